"""Many cases at once: a Case whose numbers have an axis of cases, through the laws of the bench.

Riders of every weight on one setup, one setup over a range of pressures, temperatures or volumes: any
number of a case may be an array, their shapes broadcast against each other. What is for one
case at a time stays with `physics.bench`: curves, filling rounds, spacer counts, cautions.

`swept` covers one input or several, each case solved and settled anew, and reads figures by name, pressures
absolute [Pa]. An impossible case is NaN in every figure and counted by reason; none stops the sweep.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields, replace
from functools import partial
from typing import Literal

import numpy as np

from physics.answer import AirAnswer, CoilAnswer, Figures, LoadAnswer, Riding, Sag, arrays_in, mapped
from physics.arrays import NONE, Marks, Scalar, Values, Words, values
from physics.buyable import buyable_coils
from physics.case import Case, Coil, Setup
from physics.coil import coil_answer
from physics.conditions import Elsewhere, elsewhere
from physics.faults import Fault, Refused
from physics.figures import ahead, figures, riding
from physics.fill import air_answer
from physics.frozen import dataclass
from physics.inputs import Input
from physics.sag import under_load
from physics.shock import shock_of
from physics.solve import solved, solved_case
from physics.stand import Stand, stand
from physics.walk import walk


@dataclass(frozen=True, slots=True)
class SweptSetup:
    """`SetupAnswer` for any number of cases: every array has the shape of the cases.

    `setup` keeps its numbers in the shapes they were given or solved in; `state` is an array of words.
    """

    name: str
    kind: Literal["coil", "air"]
    state: Words
    setup: Setup
    coil: CoilAnswer | None
    air: AirAnswer | None
    sag: Sag
    figures: Figures
    riding: Riding
    ride: Elsewhere | None


@dataclass(frozen=True, slots=True)
class Sweep:
    """The load and every setup of a case over its axis of cases, shape `cases`."""

    cases: tuple[int, ...]
    load: LoadAnswer
    setups: tuple[SweptSetup, ...]


def sweep(case: Case) -> Sweep:
    """Return sag, figures and pressures of every case of `case`.

    Raises `Refused` with every fault of any of its cases.

    >>> from physics.case import Ambient, Frame, LeverageEnds, ScaleReading, Target
    >>> frame, shop = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Ambient(293.15, 101_325.0)
    >>> coil, loads = Setup("coil", Coil(None, 0.0, 4378.0)), ScaleReading(values([60.0, 74.0]), 4.0)
    >>> found = sweep(Case(loads, frame, Target(0.30, "travel"), shop, (coil,)))
    >>> found.setups[0].coil.rate.round().tolist()  # 56 and 70 kg sprung
    [76274.0, 95342.0]
    """
    bike = stand(case)
    found = Sweep((), bike.load, tuple(swept_setup(setup, bike) for setup in case.setups))
    shape = np.broadcast_shapes(*(array.shape for array in arrays_in(found)))
    return replace(mapped(found, lambda array: np.broadcast_to(array, shape)), cases=shape)


def swept_setup(asked: Setup, bike: Stand) -> SweptSetup:
    """Return one setup over its cases, without broadcasting its arrays to one shape."""
    case, static = bike.case, bike.load.static_wheel_force
    setup = solved(asked, bike.lever, case.shop, case.target, static)
    shock = shock_of(setup, bike.lever, case.shop)
    walked = walk(shock)
    stood = under_load(walked, static)
    coil = None
    if isinstance(setup.spring, Coil):
        buyable = buyable_coils(setup, bike.lever, case.shop, case.target, static)
        coil = replace(coil_answer(setup.spring, bike.lever.stroke), buyable=buyable)
    beyond = ahead(shock, stood.sag)
    slow = figures(walked, static, stood.sag, beyond)
    return SweptSetup(
        name=setup.name,
        kind="air" if coil is None else "coil",
        state=stood.state,
        setup=setup,
        coil=coil,
        air=air_answer(shock, stood) if coil is None else None,
        sag=stood.sag,
        figures=slow,
        riding=riding(walked, static, stood.sag, slow, beyond),
        ride=None if case.ride is None else elsewhere(shock, case.ride, static),
    )


SLOW = "slow_"
"""Prefix of a figure that exists twice: of the slow curve, not of the riding curve."""
_PLACES: Mapping[str, tuple[str, str]] = {
    **{
        f"{start}{field.name}": (part, field.name)
        for part, start, kind in (
            ("coil", "", CoilAnswer),
            ("air", "", AirAnswer),
            ("sag", "sag_", Sag),
            ("ride", "ride_", Elsewhere),
            ("figures", "", Figures),
            ("figures", SLOW, Figures),
            ("riding", "", Riding),
        )
        for field in fields(kind)
        if field.type == "Values"
    },
    "sag_fraction": ("sag", "wheel_fraction"),
    "shaft_force": ("sag", "shaft_force"),
    "ride_sag_fraction": ("ride", "sag_wheel_fraction"),
}
FIGURES = tuple(_PLACES)
"""Every figure by its name: each number of an answer, named after its field."""

SOLVED = frozenset({"set_pressure", "rate"})
"""Figures that are solved for: they need no curve."""


def figure_of(setup: SweptSetup, name: str) -> Values:
    """Return a figure of shape (cases...), NaN if the setup has none; `KeyError` for an unknown name."""
    part, field = _PLACES[name]
    of = getattr(setup, part)
    return NONE if of is None else values(getattr(of, field))


def solved_figure(setup: Setup, name: str) -> Values:
    """Return one of `SOLVED` of a solved setup."""
    spring = setup.spring
    if isinstance(spring, Coil):
        return NONE if name != "rate" or spring.rate is None else values(spring.rate)
    return NONE if name != "set_pressure" or spring.pressure is None else values(spring.pressure)


IMPOSSIBLE = "impossible"
"""The state of an impossible case."""
Progress = Callable[[float], None]
"""Called with the fraction done, 0 to 1; an exception it raises stops the sweep."""
_BLOCK, _SOLVED_BLOCK = 256, 65_536
"""Cases per block: with curves, and if only a rate or a pressure is solved."""


@dataclass(frozen=True, slots=True)
class Axis:
    """One input and its values (n,)."""

    input: Input
    numbers: Values


@dataclass(frozen=True, slots=True)
class Impossible:
    """One reason why cases are impossible, the fault of the first of them, and the number of cases."""

    fault: Fault
    cases: int


@dataclass(frozen=True, slots=True)
class Swept:
    """Result of a sweep; `figures` by name and `state` are of shape (setups, n, …), one n for each axis.

    `state` is that of the answer, or `IMPOSSIBLE`; if only rate or pressure were asked for, "ok" means
    only that they were found. `outside` (n, …) [Pa] is the ambient pressure of the shop, for gauge readings.
    """

    axes: tuple[Axis, ...]
    names: tuple[str, ...]
    state: Words
    figures: Mapping[str, Values]
    outside: Values
    impossible: tuple[Impossible, ...]


def swept(
    case: Case, axes: Sequence[Axis], figures: Sequence[str], progress: Progress | None = None
) -> Swept:
    """Return figures, by the names in `FIGURES`, over every combination of the axes.

    `case` is a single one. `progress` is called after each block of cases.
    """
    shape = tuple(axis.numbers.size for axis in axes)
    grid = [part.reshape(-1) for part in np.meshgrid(*(axis.numbers for axis in axes), indexing="ij")]
    count, setups = grid[0].size, len(case.setups)
    found = {name: np.full((setups, count), np.nan) for name in figures}
    state = np.full((setups, count), IMPOSSIBLE, dtype="<U12")
    wrong: dict[tuple[object, ...], Impossible] = {}
    quick = SOLVED.issuperset(figures)
    size = _SOLVED_BLOCK if quick else _BLOCK
    for start in range(0, count, size):
        numbers = [part[start : start + size] for part in grid]
        law = partial(_solved if quick else _settled, figures=figures)
        block, kept = _possible(law, partial(with_numbers, case, axes), numbers, wrong)
        places = start + np.flatnonzero(kept)
        if block is not None:
            state[:, places] = block.state
            for name in figures:
                found[name][:, places] = block.figures[name]
        if progress is not None:
            progress(min(start + size, count) / count)
    outside = with_numbers(case, axes, grid).shop.pressure
    return Swept(
        axes=tuple(axes),
        names=tuple(setup.name for setup in case.setups),
        state=state.reshape((setups, *shape)),
        figures={name: part.reshape((setups, *shape)) for name, part in found.items()},
        outside=np.broadcast_to(outside, (count,)).reshape(shape),
        impossible=tuple(wrong.values()),
    )


def with_numbers(case: Case, axes: Sequence[Axis], numbers: Sequence[Scalar]) -> Case:
    """Return the case with a number, or an array of cases, for each axis.

    Altitude is last: it moves the absolute pressures of every gauge reading put in before.
    """
    pairs = sorted(zip(axes, numbers, strict=True), key=lambda pair: pair[0].input.name == "altitude")
    for axis, number in pairs:
        case = axis.input.put(case, number)
    return case


@dataclass(frozen=True, slots=True)
class _Block:
    """States and figures (setups, cases) of some cases."""

    state: Words
    figures: Mapping[str, Values]


def _possible(
    law: Callable[[Case, int], _Block],
    make: Callable[[Sequence[Values]], Case],
    numbers: Sequence[Values],
    wrong: dict[tuple[object, ...], Impossible],
) -> tuple[_Block | None, Marks]:
    """Return the law of the possible cases, None if there is none, and which they are.

    Faults that only appear once others are removed are found by repetition.
    """
    kept = np.ones(numbers[0].shape, dtype=bool)
    while kept.any():
        try:
            return law(make([part[kept] for part in numbers]), int(np.count_nonzero(kept))), kept
        except Refused as refused:
            bad = np.zeros(np.count_nonzero(kept), dtype=bool)
            for fault in refused.faults:
                here = np.broadcast_to(True if fault.cases is None else fault.cases, bad.shape)
                bad |= here
                _count(wrong, fault, int(np.count_nonzero(here)))
            kept[np.flatnonzero(kept)[bad]] = False
    return None, kept


def _count(wrong: dict[tuple[object, ...], Impossible], fault: Fault, cases: int) -> None:
    key = (fault.field, fault.code)
    known = wrong.get(key, Impossible(fault, 0))
    wrong[key] = replace(known, cases=known.cases + cases)


def _settled(case: Case, cases: int, figures: Sequence[str]) -> _Block:
    found = sweep(case)
    read = {name: [figure_of(setup, name) for setup in found.setups] for name in figures}
    states = np.stack([np.broadcast_to(setup.state, (cases,)) for setup in found.setups])
    return _Block(states, {name: _rows(parts, cases) for name, parts in read.items()})


def _solved(case: Case, cases: int, figures: Sequence[str]) -> _Block:
    setups = solved_case(case).setups
    read = {name: [solved_figure(setup, name) for setup in setups] for name in figures}
    rows = {name: _rows(parts, cases) for name, parts in read.items()}
    known = np.any([np.isfinite(part) for part in rows.values()], axis=0)
    return _Block(np.where(known, "ok", "unsolved"), rows)


def _rows(parts: Sequence[Values], cases: int) -> Values:
    """Return one row of cases per setup."""
    return values([np.broadcast_to(part, (cases,)) for part in parts])
