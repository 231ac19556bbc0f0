"""Force and stroke as read → the parameters of the spring, each with its standard error.

Least squares on the force; the readings are taken to scatter evenly and independently in force, their strokes
to be exact. Covariance s² (JᵀJ)⁻¹ with s² = Σr²/(readings − unknowns), J at the solution.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from physics.arrays import Values, values
from physics.case import Case, Setup
from physics.fit_laws import Law, Unknown, law_of, starts_of
from physics.fit_told import told
from physics.loop import Loop, check
from physics.stand import stand
from physics.unfit import Unfit

_INSIDE = 1e-9
"""How far inside its limits the search starts, in usual sizes of a parameter."""
_MOST_FOR_START = 40
"""Readings that the starting values are compared on."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """One parameter read from readings: its name, value and standard error, in SI."""

    name: str
    value: float
    error: float


@dataclass(frozen=True, slots=True)
class Fit:
    """What readings make of a setup.

    `residual` [N] is reading less law, (readings,); `scatter` [N] its standard deviation with the unknowns
    taken off the count; `correlation` (unknowns, unknowns). `setup` has the parameters in it, none below
    zero; where the readings went one way only it keeps the friction it had.
    """

    loop: Loop
    estimates: tuple[Estimate, ...]
    residual: Values
    scatter: float
    correlation: Values
    setup: Setup

    def __getitem__(self, name: str) -> Estimate:
        """Return the estimate of a parameter; raises `KeyError` for one that was not unknown."""
        for estimate in self.estimates:
            if estimate.name == name:
                return estimate
        raise KeyError(name)


def fit(case: Case, index: int, loop: Loop) -> Fit:
    """Return the parameters of a setup of a single case from readings of its force over its stroke.

    Raises `Refused` as `answer` does, and `Unfit` where the readings do not give the parameters: too few,
    not of this shock, or unable to tell two of them apart, with the reading that would help.
    """
    bike = stand(case)
    check(loop, float(bike.lever.stroke))
    law = law_of(case.setups[index], bike, loop)
    law.check_count(len(loop.stroke))
    solution = _solved(law, loop)
    _check_limits(law.unknowns, solution)
    residual = values(loop.force - law.force(solution, loop.stroke, loop.way))
    scatter = float(np.sqrt(residual @ residual / (len(residual) - len(solution))))
    errors, correlation = told(law, loop, solution, scatter)
    names = tuple(unknown.name for unknown in law.unknowns)
    found = tuple(Estimate(*row) for row in zip(names, solution.tolist(), errors.tolist(), strict=True))
    fitted = Fit(loop, found, residual, scatter, correlation, _taken(law, case.setups[index], found))
    _check_friction(fitted)
    return fitted


def _solved(law: Law, loop: Loop) -> Values:
    from scipy.optimize import least_squares  # half a second that nothing else on the bench waits for

    sizes = law.sizes
    lows, highs = (limit / sizes for limit in law.limits)
    found = least_squares(
        lambda scaled: law.force(scaled * sizes, loop.stroke, loop.way) - loop.force,
        np.clip(_start(law, loop) / sizes, lows + _INSIDE, highs - _INSIDE),
        jac=lambda scaled: law.slopes(scaled * sizes, loop.stroke, loop.way),
        bounds=(lows, highs),
        x_scale="jac",
        xtol=1e-12,
        ftol=1e-13,
        gtol=1e-12,
        max_nfev=300,
    )
    if not found.success:
        raise Unfit("no_end")
    return values(found.x * sizes)


def _start(law: Law, loop: Loop) -> Values:
    """Return the best of the values to start from."""
    starts = starts_of(law.unknowns)
    some = np.linspace(0, len(loop.stroke) - 1, min(len(loop.stroke), _MOST_FOR_START)).round().astype(int)
    off = law.force(starts, loop.stroke[some], loop.way[some]) - loop.force[some]
    return values(starts[np.argmin(np.sum(off * off, axis=-1))])


def _check_limits(unknowns: tuple[Unknown, ...], solution: Values) -> None:
    for unknown, value in zip(unknowns, solution.tolist(), strict=True):
        near = 1e-4 * unknown.size
        if not unknown.low + near < value < unknown.high - near:
            raise Unfit("at_limit", (unknown.name,))


def _check_friction(found: Fit) -> None:
    """Refuse friction that is surely below zero: the way in was taken for the way out."""
    for one in found.estimates:
        if one.name == "friction" and one.value < -4 * one.error - 1.0:
            raise Unfit("ways_swapped", ("friction",), friction=one.value)


def _taken(law: Law, asked: Setup, found: tuple[Estimate, ...]) -> Setup:
    """Return the setup with what was found in it; what cannot be below zero is not."""
    setup = asked
    for unknown, estimate in zip(law.unknowns, found, strict=True):
        setup = unknown.place(setup, values(max(estimate.value, 0.0)))
    return setup
