"""A linkage moved through the stroke of its shock: where every point goes, and the leverage on the way.

The shock is shortened step by step from its drawn length. Newton on the distances, started from where the
last steps lead, gives the points; the speeds of all of them follow from the same equations, differentiated
once and twice, so that the leverage is no difference of positions.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from physics.arrays import Marks, Values, values
from physics.case import Linkage
from physics.faults import Fault, Refused
from physics.linkage_checks import LEVERAGE, drawing_faults, freedom_faults
from physics.linkage_system import System, ends_of, squared, system_of

STEPS = 200
_NEWTON_STEPS = 12
_CLOSE = 1e-8
"""Last Newton move [m]; its square over the lengths of a bike leaves less than 1e-14 m."""
_FAR = 2.0
"""A step may move a point this many times as far as the speeds at its ends say: more is another branch."""
_BEARING = 0.5
"""Bars that bear this share of the most loaded one are those that lock a linkage."""
_STRETCH = 1e-6
"""A bar may stretch by this share of its length before it locks the linkage."""


@dataclass(frozen=True, slots=True, eq=False)
class Motion:
    """A linkage over its stroke: n = steps + 1 places, the first as drawn.

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

    Raises `Refused` for a drawing that is not sound, for one that has no or several ways to move, and for
    one that locks, jumps to another branch or lowers its axle before the stroke is used. A stroke that is
    NaN, not known, has the faults of the drawing and a motion that is NaN.
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
    """Return as many equations as unknowns, and the bars that say nothing new as drawn."""
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
    """Return the places (steps, points, 2) that belong to the lengths of the shock, one after the other."""
    places = np.empty((len(shock), *system.drawn.shape))
    places[0] = system.drawn
    for step in range(1, len(shock)):
        found = _solved(system, _led_to(system, places, step, shock), float(shock[step]))
        if found is None:
            raise _locked(linkage, system, places[step - 1], float(used[step - 1]))
        places[step] = found
    return places


def _led_to(system: System, places: Values, step: int, shock: Values) -> Values:
    """Return where the steps before lead: along the speeds first, then along a line, a parabola, a cubic."""
    if step == 1:
        speed, _ = _speeds(system, places[:1], shock[:1])
        return values(places[0] + speed[0] * (shock[0] - shock[1]))
    if step == 2:
        return values(2 * places[1] - places[0])
    if step == 3:
        return values(3 * (places[2] - places[1]) + places[0])
    # In differences, so that a fixed point stays where it is to the last digit.
    one, two, three, four = places[step - 4 : step]
    return values(four + 3 * (four - three) - 3 * (three - two) + (two - one))


def _solved(system: System, places: Values, shock: float) -> Values | None:
    """Return the places near `places` that keep every bar, None where Newton finds none."""
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
    """Name the bars that bear most where the shock cannot be shortened further, the most loaded first."""
    load = np.abs(_load_of_bars(linkage, system, places))
    most = float(np.max(load, initial=0.0))
    found = [int(bar) for bar in np.argsort(-load) if load[bar] >= _BEARING * most]
    return _stuck(linkage, "locks", found, at_stroke)


def _load_of_bars(linkage: Linkage, system: System, places: Values) -> Values:
    """Return the forces of the bars (bars,) that hold a unit force along the shock, as nearly as they can."""
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
    """Refuse a step further than the speeds at its ends say, or one across a place where branches meet."""
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
    """Refuse bars beyond those needed that do not keep their length on the way."""
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
