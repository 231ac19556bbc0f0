"""Force and stroke as read → the parameters of the spring, each with its standard error.

Least squares on the force; the readings are taken to scatter evenly and independently in force. Scatter has
the covariance s² (JᵀJ)⁻¹ with s² = Σr²/(readings − unknowns), J at the solution. An error in a tool that does
e [N] to the readings moves the parameters by (JᵀJ)⁻¹Jᵀe; both are added as variances.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from physics.arrays import Values, values
from physics.case import Case, Setup
from physics.fit_laws import Law, Unknown, law_of, starts_of
from physics.fit_shape import Shape, shape_of
from physics.fit_told import told
from physics.fit_tools import TO_DEVIATION, USUAL_TOOLS, FitTools, Tool, tool_effects
from physics.loop import LeftOut, Loop, usable
from physics.stand import stand
from physics.unfit import Unfit

_INSIDE = 1e-9
"""How far inside its limits the search starts, in usual sizes of a parameter."""
_MOST_FOR_START = 40
"""Readings that the starting values are compared on."""
MOST_FRICTION = 60.0
"""Friction [N] of a shock or fork that nobody told lies between none and this. Common practice, no source."""

AskedFriction = float | Literal["setup", "unknown"]
"""Friction of readings one way: typed [N], that of the setup, or not known."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """One parameter read from readings: its name, value and standard error, in SI.

    `error` is that of scatter and tools together, `scatter` and `tools` are what each of the two makes alone.
    `tool` has the standard errors by tool. `per_newton` is the change of the value with 1 N more friction,
    NaN where the readings tell the friction.
    """

    name: str
    value: float
    error: float
    scatter: float
    tools: float
    tool: Mapping[Tool, float]
    per_newton: float


@dataclass(frozen=True, slots=True)
class Friction:
    """The seal friction [N] in a fit, how far off it may be either way, and who said so.

    One that is fitted has its error with the estimates.
    """

    value: float
    off: float
    said: Literal["fitted", "typed", "setup", "unknown"]


@dataclass(frozen=True, slots=True)
class Fit:
    """What readings make of a setup.

    `loop` has the readings used, `left_out` says which were not. `residual` [N] is reading less law,
    (readings,); `scatter` [N] its standard deviation with the unknowns taken off the count; `correlation`
    (unknowns, unknowns) is that of scatter. `gauge` [Pa] and `tools` are how far off the tools were taken to
    be. `setup` has the parameters in it, none below zero; where the readings went one way only it keeps the
    friction it had.
    """

    loop: Loop
    left_out: LeftOut
    estimates: tuple[Estimate, ...]
    residual: Values
    scatter: float
    correlation: Values
    friction: Friction
    shape: Shape
    gauge: float
    tools: FitTools
    setup: Setup

    def __getitem__(self, name: str) -> Estimate:
        """Return the estimate of a parameter; raises `KeyError` for one that was not unknown."""
        for estimate in self.estimates:
            if estimate.name == name:
                return estimate
        raise KeyError(name)


def fit(
    case: Case,
    index: int,
    loop: Loop,
    friction: AskedFriction = "unknown",
    tools: FitTools = USUAL_TOOLS,
) -> Fit:
    """Return the parameters of a setup of a single case from readings of its force over its stroke.

    `friction` [N, not below zero] is for readings that go one way; not known, it is taken from the middle of
    0 to `MOST_FRICTION` and its error joins the others. Raises `Refused` as `answer` does, and `Unfit` where
    the readings do not give the parameters: too few, not of this shock, or unable to tell two of them apart,
    with the reading that would help.
    """
    bike, setup = stand(case), case.setups[index]
    loop, left_out = usable(loop, float(bike.lever.stroke))
    known = _known_friction(setup, loop, friction)
    law = law_of(setup, bike, loop, known.value)
    law.check_count(len(loop.stroke))
    solution = _solved(law, loop)
    _check_limits(law.unknowns, solution)
    residual = values(loop.force - law.force(solution, loop.stroke, loop.way))
    scatter = float(np.sqrt(residual @ residual / (len(residual) - len(solution))))
    slopes = law.slopes(solution, loop.stroke, loop.way)
    effects = tool_effects(law, loop, solution, case.tolerance.gauge, tools)
    if known.off:
        effects = {**effects, "friction": TO_DEVIATION * known.off * loop.way[None, :]}
    shape = shape_of(loop, residual, slopes, effects)
    errors, correlation = _told(law, loop, solution, slopes, scatter, shape)
    found = _estimates(law, loop, solution, errors, slopes, effects)
    if loop.both:
        known = replace(known, value=found[-1].value)
    fitted = Fit(
        loop=loop,
        left_out=left_out,
        estimates=found,
        residual=residual,
        scatter=scatter,
        correlation=correlation,
        friction=known,
        shape=shape,
        gauge=case.tolerance.gauge,
        tools=tools,
        setup=_taken(law, setup, found),
    )
    _check_friction(fitted)
    return fitted


def _told(
    law: Law, loop: Loop, solution: Values, slopes: Values, scatter: float, shape: Shape
) -> tuple[Values, Values]:
    """Return errors and correlation as `told`; where a bend is why nothing is told, that is the reason."""
    try:
        return told(law, loop, solution, slopes, scatter)
    except Unfit as unfit:
        if shape.verdict == "bent":
            raise Unfit("bent", unfit.why.names, size=shape.size) from unfit
        raise


def _known_friction(setup: Setup, loop: Loop, asked: AskedFriction) -> Friction:
    """Return the friction that readings one way have; where they go both ways it is among the unknowns."""
    if loop.both:
        if asked != "unknown":
            raise Unfit("friction_told", ("friction",))
        return Friction(np.nan, 0.0, "fitted")
    if asked == "unknown":
        half = MOST_FRICTION / 2
        return Friction(half, half, "unknown")
    if asked == "setup":
        held = float(values(setup.friction))
        # None is also what a setup has of which nobody typed it.
        if not held > 0:
            raise Unfit("no_friction", ("friction",))
        return Friction(held, 0.0, "setup")
    return Friction(asked, 0.0, "typed")


def _estimates(
    law: Law,
    loop: Loop,
    solution: Values,
    errors: Values,
    slopes: Values,
    effects: Mapping[Tool, Values],
) -> tuple[Estimate, ...]:
    """Return the parameters with the errors of scatter (unknowns,) and of the tools."""
    moves = np.linalg.pinv(slopes) * law.sizes[:, None]
    by_tool = {
        tool: np.sqrt(np.sum((moves @ effect.T) ** 2, axis=1)).tolist() for tool, effect in effects.items()
    }
    per_newton = np.full(len(solution), np.nan) if loop.both else -(moves @ loop.way)
    found = []
    for place, unknown in enumerate(law.unknowns):
        tool = {name: own[place] for name, own in by_tool.items()}
        scatter, tools = float(errors[place]), float(np.hypot.reduce([0.0, *tool.values()]))
        error = float(np.hypot(scatter, tools))
        value, newton = float(solution[place]), float(per_newton[place])
        found.append(Estimate(unknown.name, value, error, scatter, tools, tool, newton))
    return tuple(found)


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
        if one.name == "friction" and one.value < -4 * one.scatter - 1.0:
            raise Unfit("ways_swapped", ("friction",), friction=one.value)


def _taken(law: Law, asked: Setup, found: tuple[Estimate, ...]) -> Setup:
    """Return the setup with what was found in it; what cannot be below zero is not."""
    setup = asked
    for unknown, estimate in zip(law.unknowns, found, strict=True):
        setup = unknown.place(setup, values(max(estimate.value, 0.0)))
    return setup
