"""Figures of every setup over one input or over several, each case solved and settled anew.

A case that cannot be is NaN in every figure, and why is counted; none of them stops the sweep.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from physics.arrays import Marks, Scalar, Values, Words, values
from physics.case import Case
from physics.faults import Fault, Refused
from physics.inputs import Input
from physics.solve import solved_case
from physics.sweep import sweep
from physics.swept_figures import SOLVED, figure_of, solved_figure

IMPOSSIBLE = "impossible"
"""The state of a case that cannot be."""
Told = Callable[[float], None]
"""Hears the share that is done, 0 to 1; what it raises stops the sweep."""
_BLOCK, _SOLVED_BLOCK = 256, 65_536
"""Cases worked out in one go: with a walk through the travel, and where only a rate or a pressure is due."""


@dataclass(frozen=True, slots=True)
class Axis:
    """One input and the numbers (n,) it takes."""

    input: Input
    numbers: Values


@dataclass(frozen=True, slots=True)
class Impossible:
    """One reason why cases cannot be, the fault of the first of them, and how many cases have it."""

    fault: Fault
    cases: int


@dataclass(frozen=True, slots=True)
class Swept:
    """What a sweep found; `figures` by name and `state` are of shape (setups, n, …), one n for each axis.

    `state` is that of the answer, or `IMPOSSIBLE`; where only rate or pressure were asked for, "ok" says no
    more than that they were found. `outside` (n, …) [Pa] is the air of the shop, for who shows a gauge.
    """

    axes: tuple[Axis, ...]
    names: tuple[str, ...]
    state: Words
    figures: Mapping[str, Values]
    outside: Values
    impossible: tuple[Impossible, ...]


def swept(case: Case, axes: Sequence[Axis], figures: Sequence[str], told: Told | None = None) -> Swept:
    """Return figures, by the names of `physics.swept_figures`, over every combination of the axes.

    `case` is a single one. `told` hears of the progress after each block of cases.
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
        if told is not None:
            told(min(start + size, count) / count)
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
    """Return the case with a number, or an array of cases, put in for each axis.

    Altitude comes last: what was put in as a gauge reading is one in the air it is read in.
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
    """Return what the law says of the cases that can be, None where there is none, and which they are.

    Faults that only show once others are gone are looked for again.
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
    """Return one row of cases a setup."""
    return values([np.broadcast_to(part, (cases,)) for part in parts])
