"""The equations of one wheel in time, stepped for any number of lanes side by side.

A lane is one setup on one ground. Heights are of the sprung mass, z_s, of the axle, z_u, and of the ground,
z_r; wheel travel is w = z_u − z_s, zero at full extension. With x(w) and ẋ = ẇ/L,

    m z_s″   = F_w − m g                 F_w = (F_s(x) + F_d(ẋ) ± F_f)/L + what a stop carries
    m_u z_u″ = F_t − F_w − m_u g         F_t = max(0, k_t q + c_t q̇) where q = z_r − z_u + δ₀ > 0, else 0

**The step.** Newmark's method with γ = ½ and β = 1/12 (Numerov's formula), one Newton iteration from a
predictor of third order with the derivatives of every force there, a 2×2 system in closed form. The phase
error of an undamped oscillation is (ω h)⁴/480 per radian, so that a tyre hop at 30 Hz is followed at half a
millisecond, where one evaluation of the forces is all that a step costs. Friction is
Coulomb's, in closed form within the step, stick included: what F_f tanh(ẋ/v_f) comes to as v_f goes to zero.

The air's own equations are in `physics.live_air`, the two kinds of number in `physics.lanes`.
"""

from __future__ import annotations

from array import array
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from physics.arrays import Values, values
from physics.lanes import Arrays, Floats, Mark, Maths, Number, Table
from physics.live_air import LiveAir, Port, TimedChamber

STOP_STIFFNESS, STOP_DAMPING = 2e6, 0.3
"""Of the travel stops, at the wheel: stiffness [N/m], and damping [s/m] as a share of their force for each
m/s. Assumed: they stand for the frame behind the stop, and their peak force tells little else."""
BETA = 1.0 / 12.0
_TINY = 1e-300
CELLS, DAMPER_CELLS, FASTEST = 1024, 2048, 8.0
"""Cells of the tables over wheel travel and shaft speed, and the shaft speed [m/s] from which the last slope
of the damper goes on. Straight lines within a cell: the bumper's force is off by less than 0.1 N."""


@dataclass(frozen=True, slots=True)
class Lane:
    """One setup on its wheel, or many lanes: numbers are floats, or arrays (lanes,).

    `places` (cells, 6) or (lanes, cells, 6) holds at the start of each of the even cells over `travel` [m]
    the stroke, dx/dw = 1/L, and the wheel force of all that follows the stroke alone, each followed by its
    rise over the cell. `damping` (cells, 2) holds the damper force over shaft speeds from −FASTEST to FASTEST
    likewise.

    Masses in kg, `tyre_stiffness` [N/m], `tyre_damping` [N s/m], `friction` [N] at the shaft, `gravity`
    [m/s²] along the wheel's path. `air` are the chambers; the first two may meet at a `port`.
    `wall` [K] is the temperature of the walls,
    `outside` [Pa] of the air. `start` [m] is the wheel travel at which the lane starts, at rest in its
    suspension.
    """

    mass: Number
    unsprung: Number
    tyre_stiffness: Number
    tyre_damping: Number
    gravity: Number
    travel: Number
    places: Table
    damping: Table
    friction: Number
    air: tuple[TimedChamber, ...]
    port: Port
    wall: Number
    outside: Number
    start: Number


@dataclass(frozen=True, slots=True)
class Start:
    """How lanes start: upward `speed` [m/s] of both masses, the tyre loaded or just touching."""

    speed: Number = 0.0
    loaded: Mark = True


COLUMNS = ("travel", "speed", "stop", "acceleration", "height", "axle", "tyre", "wheel_force", "damper") + (
    "friction",
    "pressure",
)
"""What is kept of each step: w [m], ẇ, what a stop carries [N], z_s″, z_s, z_u, F_t, the wheel force of
spring and damper, F_d at the shaft, the friction at the wheel, and the highest chamber pressure [Pa
absolute]. The temperature [K] of each chamber follows, then the mass [kg] of air in each."""


def march(
    lane: Lane,
    start: Start,
    ground: Sequence[Number],
    rise: Sequence[Number],
    step: float,
    keep: Callable[[tuple[Number, ...]], None],
    maths: Maths,
) -> None:
    """Step lanes over a ground; `keep` is given the numbers of `COLUMNS` after each step, the start included.

    `ground` [m] and `rise` [m/s] are the ground's height and its derivative at every step, each a float or
    (lanes,). The first pass of the loop has no length: it finds the acceleration at the start.
    """
    row, any_of = maths.row, maths.any
    m, mu, kt, ct, g = lane.mass, lane.unsprung, lane.tyre_stiffness, lane.tyre_damping, lane.gravity
    travel, friction = lane.travel, lane.friction
    cells = CELLS / travel
    over_speed, middle = DAMPER_CELLS / (2 * FASTEST), DAMPER_CELLS / 2
    inverse_mass = 1.0 / m + 1.0 / mu
    rubs = any_of(friction)
    m_g, mu_g = m * g, mu * g
    zs, zu = 0.0 * m, lane.start + 0.0 * m
    vs = vu = start.speed + 0.0 * m
    preload = zu - ground[0] + start.loaded * (m_g + mu_g) / kt
    as_, au = 0.0 * m, 0.0 * m
    t, (x, dx, *_) = row(lane.places, lane.start * cells)
    air = LiveAir(lane.air, lane.port, lane.wall, lane.outside, x + t * dx, maths)
    pressures, outside, breathes = air.pressure, lane.outside, bool(lane.air)
    q_before, u_before, rub, tyre_before, touched = 0.0 * m, 0.0 * m, 0.0 * m, 0.0 * m, m < 0
    h = half = newmark = 0.0
    for z, dz in zip(ground, rise, strict=True):
        # where the step leads if no force changes
        up, down = as_ + rub / m, au - rub / mu
        zs = zs + h * (vs + half * up)
        zu = zu + h * (vu + half * down)
        vs = vs + h * up
        vu = vu + h * down
        w = zu - zs
        u = vu - vs
        t_w, (x, dx, r, dr, force, stiff) = row(lane.places, w * cells)
        r = r + t_w * dr
        force = force + t_w * stiff
        speed = r * u
        t, (damped, drag) = row(lane.damping, speed * over_speed + middle)
        damped = damped + t * drag
        shaft, rate = damped, 0.0
        if breathes:
            push, rate = air.moved_to(x + t_w * dx)
            shaft = damped + push
        carried = force + r * shaft
        # the stops: `over` is how far the wheel is beyond the end that it is at
        over = maths.beyond(w, travel)
        k_w = stiff * cells + dr * cells * shaft + r * r * rate
        c_w = r * r * drag * over_speed
        stopped = 0.0 * over
        if any_of(over):
            size = abs(over)
            gain = maths.largest(1.0 + STOP_DAMPING * u * maths.where(over > 0, 1.0, -1.0), 0.0)
            stopped = STOP_STIFFNESS * over * gain
            k_w = k_w + STOP_STIFFNESS * gain * (size > 0)
            c_w = c_w + STOP_STIFFNESS * STOP_DAMPING * size
        pushed = carried + stopped
        q = z - zu + preload
        pressed = kt * q + ct * (dz - vu)
        touching = (q >= 0) & (pressed > 0)
        tyre = pressed * touching
        # Newton's step for both accelerations
        s = c_w * half + k_w * newmark
        under = mu + s + (ct * half + kt * newmark) * touching
        rs = pushed - m_g - m * as_
        ru = tyre - pushed - mu_g - mu * au
        det = (m + s) * under - s * s
        more_s = (under * rs + s * ru) / det
        more_u = (s * rs + (m + s) * ru) / det
        as_ = as_ + more_s
        au = au + more_u
        zs = zs + newmark * more_s
        zu = zu + newmark * more_u
        vs = vs + half * more_s
        vu = vu + half * more_u
        if any_of(touching != touched) and h:
            # A tyre that touches down within the step pushes for its last part only, from c_t q̇ on; one that
            # leaves the ground, for its first part. What Newmark's means make of it is put right.
            part = maths.where(
                touching, q / (q - q_before + _TINY), tyre_before / (tyre_before - pressed + _TINY)
            )
            part = maths.least(maths.largest(part, 0.0), 1.0)
            landing = touching & (q_before < 0)
            leaving = touched & (tyre == 0)
            push = landing * h * part * (tyre - 0.5 * kt * q) + leaving * half * part * tyre_before
            mean = half * (landing * tyre + leaving * tyre_before)
            vu = vu + (push - mean) / mu
            lever = landing * half * part + leaving * h * (1.0 - part / 3.0)
            lag = landing * newmark * tyre + leaving * (h * half - newmark) * tyre_before
            zu = zu + (lever * push - lag) / mu
        touched, tyre_before = touching, tyre
        q_before = q
        if rubs and h:
            # The step above went on with the friction of the last one; what differs is put right.
            was = h * rub * inverse_mass
            held, lag = maths.rubbed(u_before, vu - vs + was, friction * r * inverse_mass, h)
            rub = held / inverse_mass / h
            jump, lag = (held - was) / inverse_mass, (lag - half * was) / inverse_mass
            vs = vs + jump / m
            vu = vu - jump / mu
            zs = zs + lag / m
            zu = zu - lag / mu
        u_before = vu - vs
        keep(
            (
                zu - zs,
                vu - vs,
                stopped,
                as_ + rub / m,
                zs,
                zu,
                tyre,
                carried,
                damped,
                rub,
                maths.largest(pressures[0], pressures[1])
                if len(pressures) > 1
                else (pressures or [outside])[0],
                *air.warmth,
                *air.mass,
            )
        )
        if not h:
            h, half, newmark = step, step / 2, BETA * step * step
            air.begin(step)


FEW = 16
"""Up to so many lanes, one after the other on plain floats is faster than all of them in arrays."""
_TOLD = 64
"""Steps of many lanes between two words of progress."""

Progress = Callable[[float], bool]
"""Told the fraction that is done; returns False to stop, which raises `Stopped`."""


class Stopped(Exception):
    """The caller's `Progress` asked to stop."""


def stepped(
    lanes: Sequence[Lane],
    starts: Sequence[Start],
    grounds: Sequence[tuple[Values, Values]],
    step: float,
    *,
    columns: int = len(COLUMNS),
    every: int = 1,
    few: int = FEW,
    progress: Progress | None = None,
) -> Values:
    """Return the first `columns` of what is kept of lanes, each on its ground: (lanes, columns, points).

    A ground is its height [m] and rise [m/s] at each step, (steps + 1,); of the steps, `every` so manyth is
    kept. Beyond the `COLUMNS` are the temperatures [K] of the chambers and their masses [kg]. Up to `few`
    lanes run on floats. Raises `Stopped` when `progress` returns False.
    """
    if len(lanes) > few:
        return _on_arrays(lanes, starts, grounds, step, columns, every, progress)
    kept = []
    for n, (lane, start, (height, rise)) in enumerate(zip(lanes, starts, grounds, strict=True)):
        _tell(progress, n / len(lanes))
        kept.append(_on_floats(lane, start, height, rise, step)[:columns, ::every])
    return np.stack(kept) if kept else np.empty((0, columns, 0))


def _tell(progress: Progress | None, done: float) -> None:
    if progress is not None and not progress(done):
        raise Stopped


def _on_floats(lane: Lane, start: Start, height: Values, rise: Values, step: float) -> Values:
    """Return all that is kept of one lane, (columns, steps + 1)."""
    kept = array("d")
    plain = replace(
        lane,
        places=list(map(tuple, lane.places.tolist())),
        damping=list(map(tuple, lane.damping.tolist())),
    )
    march(plain, start, height.tolist(), rise.tolist(), step, kept.extend, Floats())
    return np.frombuffer(kept).reshape(len(height), -1).T


def _on_arrays(
    lanes: Sequence[Lane],
    starts: Sequence[Start],
    grounds: Sequence[tuple[Values, Values]],
    step: float,
    columns: int,
    every: int,
    progress: Progress | None,
) -> Values:
    steps = len(grounds[0][0])
    shared = all(ground[0] is grounds[0][0] for ground in grounds)
    height, rise = (
        list(grounds[0][part]) if shared else list(np.stack([ground[part] for ground in grounds], axis=-1))
        for part in (0, 1)
    )
    kept = np.empty((columns, (steps - 1) // every + 1, len(lanes)))
    turn = iter(range(steps))

    def keep(row: tuple[Values, ...]) -> None:
        now = next(turn)
        if now % _TOLD == 0:
            _tell(progress, now / steps)
        if now % every == 0:
            for column in range(columns):
                kept[column, now // every] = row[column]

    start = Start(values([one.speed for one in starts]), np.array([one.loaded for one in starts]))
    march(side_by_side(lanes), start, height, rise, step, keep, Arrays())
    return kept.transpose(2, 0, 1)


def side_by_side(lanes: Sequence[Lane]) -> Lane:
    """Return lanes as one of arrays (lanes,); a lane without a chamber that another has gets an empty one."""
    count = max(len(lane.air) for lane in lanes)
    nothing = TimedChamber(0.0, 1.0, 1.0, 1.0)
    air = [[*lane.air, *[nothing] * (count - len(lane.air))] for lane in lanes]
    together = {
        part.name: values([getattr(lane, part.name) for lane in lanes])
        for part in fields(Lane)
        if part.name not in ("air", "port", "places", "damping")
    }
    return Lane(
        **together,
        places=_one_table([lane.places for lane in lanes]),
        damping=_one_table([lane.damping for lane in lanes]),
        air=tuple(_stacked(TimedChamber, [one[n] for one in air]) for n in range(count)),
        port=_stacked(Port, [lane.port for lane in lanes]),
    )


Part = TypeVar("Part", TimedChamber, Port)


def _stacked(kind: type[Part], parts: Sequence[Part]) -> Part:
    return kind(*(values([getattr(one, part.name) for one in parts]) for part in fields(kind)))


def _one_table(tables: Sequence[Values]) -> tuple[Values, NDArray[np.intp], float]:
    """Return the rows of many tables one after the other, the first row of each, and the last cell of one.

    Lanes that share a table (the same array) share its rows.
    """
    places: dict[int, int] = {}
    distinct: list[Values] = []
    for table in tables:
        if id(table) not in places:
            places[id(table)] = sum(map(len, distinct))
            distinct.append(table)
    first = np.array([places[id(table)] for table in tables], dtype=np.intp)
    return np.concatenate(distinct), first, float(len(tables[0]) - 1)


def cells_of(samples: Values) -> Values:
    """Return a table for `Lane` from samples (quantities, cells + 1): (cells, 2 · quantities).

    Each quantity's value at the start of a cell, then its rise over it.

    >>> cells_of(np.array([[0.0, 1.0, 3.0]])).tolist()
    [[0.0, 1.0], [1.0, 2.0]]
    """
    both = np.stack([samples[:, :-1], np.diff(samples, axis=-1)], axis=1)
    return values(both.reshape(-1, samples.shape[-1] - 1).T.copy())
