"""What keeps a linkage as drawn from being one: names, bars and its degree of freedom."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

import numpy as np

from physics.arrays import Marks, Values
from physics.case import Linkage
from physics.faults import Fault
from physics.linkage_system import COINCIDE, System, rank, system_of

LEVERAGE = ("frame", "leverage")
SILENT_EYES = 0.01
LARGEST_EYES = 0.05
"""The shock as drawn may differ from its eye-to-eye by these shares: unsaid, and with a caution."""
_STILL = 1e-7
"""A share of the fastest point's speed that counts as standing still."""


def drawing_faults(linkage: Linkage) -> tuple[Fault, ...]:
    """Return every fault of names, bars, axle and shock; without one of them the equations can be set up."""
    return (*_names(linkage), *_bars(linkage), *_loose_ends(linkage))


def freedom_faults(linkage: Linkage, system: System) -> tuple[Fault, ...]:
    """Return what is wrong with how a sound drawing moves: it must have one way, the shock in it."""
    jacobian = system.jacobian(system.drawn)
    ways = jacobian.shape[1] - rank(jacobian[:-1])
    if ways > 1:
        still_moving = _moving_in(jacobian)
        names = tuple(linkage.names[point] for point in system.moving[still_moving])
        return (Fault(LEVERAGE, "loose", {"surplus": float(ways - 1)}, names),)
    if ways < 1:
        return (_braced(linkage),)
    if rank(jacobian) < jacobian.shape[1]:
        return (Fault((*LEVERAGE, "shock"), "shock_still", {}, (linkage.shock,)),)
    return ()


def eye_to_eye(linkage: Linkage) -> float:
    """Return the length [m] of the shock as drawn, NaN where its eyes are not among the points."""
    known = set(linkage.shock) <= set(linkage.names)
    return _apart(linkage, linkage.shock) if known else math.nan


def eye_faults(linkage: Linkage, typed: float | None) -> tuple[Fault, ...]:
    """Return a fault where the shock was drawn far from the eye-to-eye [m] somebody typed."""
    drawn = eye_to_eye(linkage)
    if typed is not None and abs(drawn / typed - 1) > LARGEST_EYES:
        return (Fault(("frame", "eye_to_eye"), "eyes_differ", {"typed": typed, "drawn": drawn}),)
    return ()


def _names(linkage: Linkage) -> Iterator[Fault]:
    twice = tuple(name for name, count in Counter(linkage.names).items() if count > 1)
    if twice:
        yield Fault(LEVERAGE, "point_twice", {}, twice)
    for index, name in enumerate(linkage.fixed):
        if name not in linkage.names:
            yield Fault((*LEVERAGE, "fixed", index), "point_unknown", {}, (name,))
    if linkage.axle not in linkage.names:
        yield Fault((*LEVERAGE, "axle"), "point_unknown", {}, (linkage.axle,))
    elif linkage.axle in linkage.fixed:
        yield Fault((*LEVERAGE, "axle"), "axle_fixed", {}, (linkage.axle,))
    yield from _shock(linkage)


def _shock(linkage: Linkage) -> Iterator[Fault]:
    path = (*LEVERAGE, "shock")
    unknown = tuple(name for name in linkage.shock if name not in linkage.names)
    if unknown:
        yield Fault(path, "point_unknown", {}, unknown)
    elif linkage.shock[0] == linkage.shock[1] or _apart(linkage, linkage.shock) <= COINCIDE:
        yield Fault(path, "shock_without_length", {}, (linkage.shock,))
    elif set(linkage.shock) <= set(linkage.fixed):
        yield Fault(path, "shock_fixed", {}, (linkage.shock,))


def _bars(linkage: Linkage) -> Iterator[Fault]:
    seen: set[frozenset[str]] = set()
    for index, bar in enumerate(linkage.bars):
        unknown = tuple(name for name in bar if name not in linkage.names)
        code = ""
        if unknown:
            yield Fault((*LEVERAGE, "bars", index), "point_unknown", {}, unknown)
        elif bar[0] == bar[1] or _apart(linkage, bar) <= COINCIDE:
            code = "bar_without_length"
        elif frozenset(bar) in seen:
            code = "bar_twice"
        elif set(bar) <= set(linkage.fixed):
            code = "bar_between_fixed"
        if code:
            yield Fault((*LEVERAGE, "bars", index), code, {}, (bar,))
        seen.add(frozenset(bar))


def _loose_ends(linkage: Linkage) -> Iterator[Fault]:
    held = {*linkage.fixed, *(name for bar in linkage.bars for name in bar)}
    without = tuple(name for name in linkage.names if name not in held)
    if without:
        yield Fault(LEVERAGE, "point_without_bars", {}, without)


def _apart(linkage: Linkage, pair: tuple[str, str]) -> float:
    one, other = (linkage.places[linkage.names.index(name)] for name in pair)
    return math.dist(one, other)


def _moving_in(jacobian: Values) -> Marks:
    """Return which moving points can still move with the shock held."""
    ways = np.linalg.svd(jacobian)[2]
    free = ways[rank(jacobian) :]
    speed = np.sqrt((free.reshape(len(free), -1, 2) ** 2).sum(axis=(0, 2)))
    return np.asarray(speed > 1e-6 * np.max(speed, initial=_STILL))


def _braced(linkage: Linkage) -> Fault:
    """Name the bars too many: each that alone would do, or the last ones that together do."""
    every = list(range(len(linkage.bars)))
    alone = [index for index in every if _moves(linkage, [i for i in every if i != index])]
    surplus = 1
    if not alone:
        kept = list(every)
        for index in reversed(every):
            without = [i for i in kept if i != index]
            if _ways(linkage, without) <= 0 or _moves(linkage, without):
                kept = without
                alone.append(index)
            if _moves(linkage, kept):
                break
        surplus = len(alone)
    names = tuple(linkage.bars[index] for index in sorted(alone))
    path = (*LEVERAGE, "bars", max(alone)) if alone else LEVERAGE
    return Fault(path, "braced", {"surplus": float(surplus)}, names)


def _ways(linkage: Linkage, bars: list[int]) -> int:
    system = system_of(linkage, bars)
    jacobian = system.jacobian(system.drawn)
    return int(jacobian.shape[1]) - rank(jacobian[:-1])


def _moves(linkage: Linkage, bars: list[int]) -> bool:
    """Return whether these bars alone leave one way to move, in which shock and axle take part."""
    system = system_of(linkage, bars)
    jacobian = system.jacobian(system.drawn)
    unknowns = jacobian.shape[1]
    if unknowns - rank(jacobian[:-1]) != 1 or rank(jacobian) < unknowns:
        return False
    way = np.linalg.svd(jacobian[:-1])[2][-1].reshape(-1, 2)
    axle = list(system.moving).index(linkage.names.index(linkage.axle))
    return bool(np.abs(way[axle]).max() > _STILL)
