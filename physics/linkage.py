"""A linkage moved through the stroke of its shock: the path of every point, and the leverage along it.

The constraints are one system of equations. Every moving point has two unknowns. A bar is one equation, the
distance between its ends. Points that bars join into one rigid body are placed in it by two linear equations
each, which also hold if three points of a body are collinear and if it has redundant bars.

The shock is shortened step by step from its drawn length. Newton's method on the distance constraints,
started by extrapolation, gives the points; their velocities follow from the same equations, differentiated
once and twice, so the leverage needs no finite difference.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from physics.answer import LinkageAnswer
from physics.arrays import Marks, Values, values
from physics.case import Frame, Linkage
from physics.faults import Fault, Refused
from physics.frozen import dataclass

Index = NDArray[np.intp]
COINCIDE = 1e-9
"""Two points closer than this [m] coincide."""
_RANK = 1e-8
"""Singular values below this fraction of the largest count as zero."""


@dataclass(frozen=True, slots=True, eq=False)
class System:
    """The equations of a linkage over its points (n, 2); the last one is the length of the shock.

    `drawn` [m] are the points as drawn, `moving` the indices of those that move. `linear` (rows, 2n) places
    points in their rigid bodies, `ends` (rows, n) is +1 and −1 at the two ends of a distance and `length`
    (rows,) [m] its value. `bar` (equations,) is the bar behind each equation, −1 for the shock.
    """

    drawn: Values
    moving: Index
    linear: Values
    ends: Values
    length: Values
    bar: Index

    def jacobian(self, places: Values) -> Values:
        """Return the derivatives (..., equations, unknowns) of the equations at `places` (..., n, 2)."""
        arms = self.ends @ places / self.length[:, None]
        distances = self.ends[:, self.moving, None] * arms[..., None, :]
        distances = distances.reshape(*arms.shape[:-1], -1)
        rows, points = len(self.linear), len(self.drawn)
        linear = self.linear.reshape(rows, points, 2)[:, self.moving].reshape(rows, 2 * len(self.moving))
        linear = np.broadcast_to(linear, (*arms.shape[:-2], *linear.shape))
        return values(np.concatenate([linear, distances], axis=-2))

    def misfit(self, places: Values, shock: Values | float) -> Values:
        """Return the residuals [m] of the equations at places (..., n, 2) with the shock `shock` long."""
        arms = self.ends @ places
        length = np.broadcast_to(self.length, arms.shape[:-1]).copy()
        length[..., -1] = shock
        distances = ((arms**2).sum(axis=-1) - length**2) / (2 * self.length)
        flat = places.reshape(*places.shape[:-2], -1)
        return values(np.concatenate([flat @ self.linear.T, distances], axis=-1))


def system_of(linkage: Linkage, bars: Iterable[int] | None = None) -> System:
    """Return the equations of a sound linkage, only of the bars with these indices if given."""
    place = {name: index for index, name in enumerate(linkage.names)}
    chosen = list(range(len(linkage.bars))) if bars is None else list(bars)
    pairs = {index: (place[linkage.bars[index][0]], place[linkage.bars[index][1]]) for index in chosen}
    drawn = values(linkage.places).reshape(-1, 2)
    fixed = {place[name] for name in linkage.fixed}
    linear, linear_bars, left = _bodies(drawn, fixed, pairs)
    ends = ends_of(linkage, (*(linkage.bars[index] for index in left), linkage.shock))
    moving = np.array([index for index in range(len(drawn)) if index not in fixed], dtype=np.intp)
    length = np.linalg.norm(ends @ drawn, axis=-1)
    bar = np.array([*linear_bars, *left, -1], dtype=np.intp)
    return System(drawn, moving, linear, ends, values(length), bar)


def ends_of(linkage: Linkage, pairs: Sequence[tuple[str, str]]) -> Values:
    """Return +1 and −1 at the two ends of each pair of points, (pairs, points)."""
    ends = np.zeros((len(pairs), len(linkage.names)))
    for row, (one, other) in enumerate(pairs):
        ends[row, linkage.names.index(one)] += 1.0
        ends[row, linkage.names.index(other)] -= 1.0
    return ends


def rank(matrix: Values) -> int:
    """Return the numerical rank of a matrix.

    >>> rank(values([[1.0, 2.0], [2.0, 4.0]]))
    1
    """
    if not matrix.size:
        return 0
    sizes = np.linalg.svd(matrix, compute_uv=False)
    return int(np.sum(sizes > _RANK * max(1.0, float(sizes[0]))))


def _bodies(
    drawn: Values, fixed: set[int], pairs: dict[int, tuple[int, int]]
) -> tuple[Values, list[int], list[int]]:
    """Return the linear equations of the bodies, the bar behind each, and the bars that stay distances.

    A body grows from a bar, and the frame from its fixed points, by every point with bars to two of its
    points.
    """
    rows: list[Values] = []
    of_bars: list[int] = []
    within: set[int] = set()
    seeds: list[int] = []
    bodies = [_grown(sorted(fixed), drawn, pairs)] if len(fixed) > 1 else []
    for index, pair in pairs.items():
        if index in within or any(set(pair) <= body.keys() for body in bodies):
            continue
        body = _grown(list(pair), drawn, pairs)
        bodies.append(body)
        seeds.append(index)
        within |= {i for i, (one, other) in pairs.items() if one in body and other in body}
    for body in bodies:
        base = [point for point, held in body.items() if held is None]
        one, other = _furthest(base, drawn)
        for point, held in body.items():
            if held is not None:
                rows += _placed(drawn, point, one, other)
                of_bars += held
    inside = {i for i, (one, other) in pairs.items() if any(one in b and other in b for b in bodies)}
    left = [index for index in pairs if index in seeds or index not in inside]
    linear = values(rows) if rows else np.zeros((0, 2 * len(drawn)))
    return linear, of_bars, left


def _grown(
    seed: list[int], drawn: Values, pairs: dict[int, tuple[int, int]]
) -> dict[int, tuple[int, int] | None]:
    """Return the points of a body, each with the two bars that hold it, None for the seed."""
    body: dict[int, tuple[int, int] | None] = dict.fromkeys(seed)
    grew = True
    while grew:
        grew = False
        for point in range(len(drawn)):
            if point in body:
                continue
            holds = {
                other if one == point else one: index
                for index, (one, other) in pairs.items()
                if point in (one, other) and (other if one == point else one) in body
            }
            first, *rest = holds or (-1,)
            second = next((o for o in rest if np.linalg.norm(drawn[o] - drawn[first]) > COINCIDE), None)
            if second is not None:
                body[point] = (holds[first], holds[second])
                grew = True
    return body


def _furthest(points: list[int], drawn: Values) -> tuple[int, int]:
    """Return the two points furthest apart, which define the axes of a body."""
    gaps = np.linalg.norm(drawn[points][:, None] - drawn[points], axis=-1)
    one, other = np.unravel_index(np.argmax(gaps), gaps.shape)
    return points[int(one)], points[int(other)]


def _placed(drawn: Values, point: int, one: int, other: int) -> list[Values]:
    """Return the two equations that hold a point in place along and across the line through two others."""
    along, arm = drawn[other] - drawn[one], drawn[point] - drawn[one]
    a = float(arm @ along / (along @ along))
    b = float((along[0] * arm[1] - along[1] * arm[0]) / (along @ along))
    found = []
    for axis, across in ((0, -b), (1, b)):
        row = np.zeros((len(drawn), 2))
        row[point, axis] += 1.0
        row[one, axis] -= 1.0 - a
        row[other, axis] -= a
        row[other, 1 - axis] -= across
        row[one, 1 - axis] += across
        found.append(values(row.reshape(-1)))
    return found


def squared(system: System) -> tuple[System, list[int]]:
    """Return a square system, and the bars that are redundant as drawn."""
    jacobian = system.jacobian(system.drawn)
    spare = _dependent(jacobian) if len(jacobian) > jacobian.shape[1] else []
    if not spare:
        return system, []
    linear = len(system.linear)
    left = replace(
        system,
        linear=np.delete(system.linear, [row for row in spare if row < linear], axis=0),
        ends=np.delete(system.ends, [row - linear for row in spare if row >= linear], axis=0),
        length=np.delete(system.length, [row - linear for row in spare if row >= linear]),
        bar=np.delete(system.bar, spare),
    )
    return left, [int(bar) for bar in system.bar[spare]]


def _dependent(rows: Values) -> list[int]:
    """Return the rows that depend linearly on the rows before them."""
    basis: list[Values] = []
    spare = []
    for index, row in enumerate(rows):
        rest = row.copy()
        for _ in range(2):  # Gram-Schmidt twice against rounding
            for axis in basis:
                rest -= (rest @ axis) * axis
        size = float(np.linalg.norm(rest))
        if size > _RANK * max(1.0, float(np.linalg.norm(row))):
            basis.append(values(rest / size))
        else:
            spare.append(index)
    return spare


LEVERAGE = ("frame", "leverage")
SILENT_EYES = 0.01
LARGEST_EYES = 0.05
"""The drawn shock may differ from its eye-to-eye by these fractions: without and with a caution."""
_STILL = 1e-7
"""A fraction of the fastest point's velocity that counts as standing still."""


def drawing_faults(linkage: Linkage) -> tuple[Fault, ...]:
    """Return every fault of names, bars, axle and shock; without one the equations can be set up."""
    return (*_names(linkage), *_bars(linkage), *_loose_ends(linkage))


def freedom_faults(linkage: Linkage, system: System) -> tuple[Fault, ...]:
    """Return the faults of mobility: a sound drawing must have one degree of freedom, the shock in it."""
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
    """Return the length [m] of the shock as drawn, NaN if its eyes are not among the points."""
    known = set(linkage.shock) <= set(linkage.names)
    return _apart(linkage, linkage.shock) if known else math.nan


def eye_faults(linkage: Linkage, typed: float | None) -> tuple[Fault, ...]:
    """Return a fault if the shock was drawn far from the typed eye-to-eye [m]."""
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
    """Name the redundant bars: each whose removal alone suffices, or the last ones that suffice together."""
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
    """Return whether these bars alone leave one degree of freedom in which shock and axle take part."""
    system = system_of(linkage, bars)
    jacobian = system.jacobian(system.drawn)
    unknowns = jacobian.shape[1]
    if unknowns - rank(jacobian[:-1]) != 1 or rank(jacobian) < unknowns:
        return False
    way = np.linalg.svd(jacobian[:-1])[2][-1].reshape(-1, 2)
    axle = list(system.moving).index(linkage.names.index(linkage.axle))
    return bool(np.abs(way[axle]).max() > _STILL)


STEPS = 200
"""Steps over the stroke."""
_NEWTON_STEPS = 12
_CLOSE = 1e-8
"""Stop when the Newton step is below this [m]; convergence is quadratic, so the error is below 1e-14 m."""
_FAR = 2.0
"""Largest step relative to the end velocities; more means a jump to another branch."""
_BEARING = 0.5
"""Bars with at least this fraction of the largest bar force are named as locking."""
_STRETCH = 1e-6
"""Relative change of a redundant bar's length that locks the linkage."""


@dataclass(frozen=True, slots=True, eq=False)
class Motion:
    """A linkage over its stroke: n = steps + 1 positions, the first as drawn.

    `stroke` (n,) [m], `places` (n, points, 2) [m] in the order of the names, `wheel` (n,) [m] rise of the
    axle, `ratio` (n,) L = dw/dx, `slope` (n,) dL/dw [1/m]. The arrays are read-only.
    """

    stroke: Values
    places: Values
    wheel: Values
    ratio: Values
    slope: Values


@lru_cache(maxsize=32)
def move(linkage: Linkage, stroke: float, steps: int = STEPS) -> Motion:
    """Return the motion of a linkage over a shock stroke [m].

    Raises `Refused` for an unsound drawing, for one without exactly one degree of freedom, and for
    one that locks, jumps to another branch or lowers its axle before the stroke is used up. An unknown stroke
    (NaN) still reports drawing faults; the motion is NaN.

    >>> names, places = ("pivot", "frame eye", "axle"), ((0.0, 0.0), (0.0, 0.2), (-0.4, 0.0))
    >>> bars = (("pivot", "axle"),)
    >>> swingarm = Linkage(names, places, names[:2], bars, "axle", ("frame eye", "axle"))
    >>> motion = move(swingarm, 0.05)
    >>> round(float(motion.ratio[0]), 3)  # √(0.4² + 0.2²)/0.2 for the shock straight from axle to frame
    2.236
    """
    system, dropped = _system(linkage, stroke)
    if np.isnan(stroke):
        unknown = np.full(steps + 1, np.nan)
        return Motion(unknown, np.full((steps + 1, *system.drawn.shape), np.nan), *[unknown] * 3)
    used = np.linspace(0.0, stroke, steps + 1)
    shock = values(system.length[-1] - used)
    places = _followed(linkage, system, used, shock)
    speed, bend = _speeds(system, places, shock)
    _refuse_jumps(linkage, system, places, speed, used)
    _refuse_stretch(linkage, dropped, places, used)
    axle = linkage.names.index(linkage.axle)
    ratio, slope = speed[:, axle, 1], bend[:, axle, 1]
    _refuse_falling(linkage, ratio, used)
    wheel = places[:, axle, 1] - places[0, axle, 1]
    motion = Motion(values(used), places, values(wheel), values(ratio), values(slope / ratio))
    for part in (motion.stroke, motion.places, motion.wheel, motion.ratio, motion.slope):
        part.flags.writeable = False
    return motion


def _system(linkage: Linkage, stroke: float) -> tuple[System, list[int]]:
    """Return a square system and the redundant bars, or refuse the drawing."""
    faults = drawing_faults(linkage)
    if faults:
        raise Refused(*faults)
    system = system_of(linkage)
    faults = freedom_faults(linkage, system)
    if stroke >= system.length[-1]:
        longest = {"eye_to_eye": float(system.length[-1])}
        faults += (Fault(("frame", "stroke"), "longer_than_shock", longest),)
    if faults:
        raise Refused(*faults)
    return squared(system)


def _followed(linkage: Linkage, system: System, used: Values, shock: Values) -> Values:
    """Return the places (steps, points, 2) for the lengths of the shock, one after the other."""
    places = np.empty((len(shock), *system.drawn.shape))
    places[0] = system.drawn
    for step in range(1, len(shock)):
        found = _solved(system, _led_to(system, places, step, shock), float(shock[step]))
        if found is None:
            raise _locked(linkage, system, places[step - 1], float(used[step - 1]))
        places[step] = found
    return places


def _led_to(system: System, places: Values, step: int, shock: Values) -> Values:
    """Extrapolate previous steps: by velocity, then linear, quadratic, cubic."""
    if step == 1:
        speed, _ = _speeds(system, places[:1], shock[:1])
        return values(places[0] + speed[0] * (shock[0] - shock[1]))
    if step == 2:
        return values(2 * places[1] - places[0])
    if step == 3:
        return values(3 * (places[2] - places[1]) + places[0])
    # In differences, so that a fixed point stays fixed to the last digit.
    one, two, three, four = places[step - 4 : step]
    return values(four + 3 * (four - three) - 3 * (three - two) + (two - one))


def _solved(system: System, places: Values, shock: float) -> Values | None:
    """Return positions near `places` that satisfy every bar, None if Newton does not converge."""
    found = places.copy()
    for _ in range(_NEWTON_STEPS):
        try:
            step = np.linalg.solve(system.jacobian(found), system.misfit(found, shock))
        except np.linalg.LinAlgError:
            return None
        found[system.moving] -= step.reshape(-1, 2)
        if np.abs(step).max() < _CLOSE:
            return found
    return None


def _speeds(system: System, places: Values, shock: Values) -> tuple[Values, Values]:
    """Return dq/dx and d²q/dx² (steps, points, 2) of every point over the stroke.

    From d·d = l²: d·d′ = l l′ and d·d″ = l l″ + l′² − d′·d′, where l′ = −1 for the shock and 0 for bars.
    """
    jacobian = system.jacobian(places)
    first = np.zeros((len(places), jacobian.shape[1], 1))
    first[:, -1, 0] = -shock / system.length[-1]
    speed = np.zeros_like(places)
    speed[:, system.moving] = np.linalg.solve(jacobian, first).reshape(len(places), -1, 2)
    second = np.zeros_like(first)
    turning = -((system.ends @ speed) ** 2).sum(axis=-1)
    turning[:, -1] += 1.0
    second[:, -len(system.length) :, 0] = turning / system.length
    bend = np.zeros_like(places)
    bend[:, system.moving] = np.linalg.solve(jacobian, second).reshape(len(places), -1, 2)
    return values(speed), values(bend)


def _locked(linkage: Linkage, system: System, places: Values, at_stroke: float) -> Refused:
    """Name the most loaded bars where the shock cannot be shortened further, the most loaded first."""
    load = np.abs(_load_of_bars(linkage, system, places))
    most = float(np.max(load, initial=0.0))
    found = [int(bar) for bar in np.argsort(-load) if load[bar] >= _BEARING * most]
    return _stuck(linkage, "locks", found, at_stroke)


def _load_of_bars(linkage: Linkage, system: System, places: Values) -> Values:
    """Return the bar forces (bars,) that balance a unit force along the shock (least squares)."""
    ends = ends_of(linkage, (*linkage.bars, linkage.shock))
    arms = ends @ places
    arms /= np.linalg.norm(arms, axis=-1, keepdims=True)
    pull = (ends[:, system.moving, None] * arms[:, None, :]).reshape(len(ends), -1)
    return values(np.linalg.lstsq(pull[:-1].T, -pull[-1], rcond=None)[0])


def _stuck(linkage: Linkage, code: str, bars: list[int], at_stroke: float) -> Refused:
    path = (*LEVERAGE, "bars", bars[0]) if bars else LEVERAGE
    names = tuple(linkage.bars[bar] for bar in bars)
    return Refused(Fault(path, code, {"at_stroke": at_stroke}, names))


def _refuse_jumps(linkage: Linkage, system: System, places: Values, speed: Values, used: Values) -> None:
    """Refuse a step longer than the end velocities allow, or one across a branch point."""
    length = np.linalg.norm(np.diff(places, axis=0), axis=-1)
    pace = np.linalg.norm(speed, axis=-1)
    led = np.maximum(pace[:-1], pace[1:]) * np.diff(used)[:, None]
    far: Marks = np.any(length > _FAR * led + _CLOSE, axis=-1)
    side = np.sign(np.linalg.det(system.jacobian(places)))
    jumped = np.flatnonzero(far | (side[1:] != side[:-1]))
    if jumped.size:
        step = int(jumped[0])
        locked = _locked(linkage, system, places[step], float(used[step])).faults[0]
        raise Refused(Fault(locked.field, "jumps", locked.values, locked.names))


def _refuse_stretch(linkage: Linkage, bars: list[int], places: Values, used: Values) -> None:
    """Refuse redundant bars that do not keep their length over the stroke."""
    for bar in bars:
        one, other = (linkage.names.index(name) for name in linkage.bars[bar])
        length = np.linalg.norm(places[:, one] - places[:, other], axis=-1)
        stretched = np.flatnonzero(np.abs(length - length[0]) > _STRETCH * length[0])
        if stretched.size:
            raise _stuck(linkage, "locks", [bar], float(used[stretched[0] - 1]))


def _refuse_falling(linkage: Linkage, ratio: Values, used: Values) -> None:
    falling = np.flatnonzero(ratio <= 0)
    if falling.size:
        at = {"at_stroke": float(used[falling[0]])}
        raise Refused(Fault((*LEVERAGE, "axle"), "axle_falls", at, (linkage.axle,)))


_EVERY = 5
"""Every how many steps of the motion one is reported."""


def linkage_answer(frame: Frame) -> LinkageAnswer | None:
    """Return what the linkage of a frame gives, None for any other leverage."""
    linkage = frame.leverage
    if not isinstance(linkage, Linkage):
        return None
    motion = move(linkage, float(np.max(frame.stroke)))
    axle = motion.places[::_EVERY, linkage.names.index(linkage.axle)]
    return LinkageAnswer(
        wheel_travel=values(motion.wheel[-1]),
        eye_to_eye=values(eye_to_eye(linkage)),
        stroke=values(motion.stroke[::_EVERY]),
        axle=values(axle - axle[0]),
        ratio=values(motion.ratio[::_EVERY]),
    )
