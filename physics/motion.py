"""Equations of motion of one wheel, integrated for any number of lanes in parallel.

A lane is one setup on one ground. Heights: z_s of the sprung mass, z_u of the axle, z_r of the ground; wheel
travel is w = z_u − z_s, zero at full extension. With x(w) and ẋ = ẇ/L,

    m z_s″   = F_w − m g                 F_w = (F_s(x) + F_d(ẋ) ± F_f)/L + force of a travel stop
    m_u z_u″ = F_t − F_w − m_u g         F_t = max(0, k_t q + c_t q̇) where q = z_r − z_u + δ₀ > 0, else 0

**The step.** Newmark's method with γ = ½ and β = 1/12 (Numerov's formula): a third-order predictor, then one
Newton iteration with the derivatives of all forces at the predicted state, a 2×2 system in closed form. The
phase error of an undamped oscillation is (ω h)⁴/480 per radian, small enough for a tyre hop of 30 Hz at a
step of half a millisecond; each step evaluates the forces once. Friction is Coulomb friction with stick, in
closed form within the step: the limit of F_f tanh(ẋ/v_f) for v_f → 0.

The equations of the air are in `physics.live_air`, arithmetic on floats or arrays in `physics.lanes`.
"""

from __future__ import annotations

from array import array
from collections.abc import Callable, Sequence
from dataclasses import fields, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from physics.arrays import Values, values
from physics.frozen import dataclass
from physics.lanes import Arrays, Floats, Mark, Maths, Number, Table
from physics.live_air import LiveAir, Port, TimedChamber

STOP_STIFFNESS, STOP_DAMPING = 2e6, 0.3
"""Travel stops, at the wheel: stiffness [N/m], and damping [s/m] as a fraction of the stop force per m/s.
Assumed, as a stand-in for the frame behind the stop: the peak stop force mostly reflects these values."""
BETA = 1.0 / 12.0
_TINY = 1e-300
CELLS, DAMPER_CELLS, FASTEST = 1024, 2048, 8.0
"""Number of cells of the tables over wheel travel and over shaft speed, and the shaft speed [m/s] beyond
which the damper force is extrapolated linearly. Linear within a cell: the bumper force is off by less than
0.1 N."""


@dataclass(frozen=True, slots=True)
class Lane:
    """One setup on its wheel, or many lanes: numbers are floats, or arrays (lanes,).

    `places` (cells, 6) or (lanes, cells, 6) is a table of equal cells over `travel` [m]: stroke, dx/dw = 1/L,
    and the wheel force of everything that depends on the stroke alone, each as its value at the start of the
    cell and its increase over the cell. `damping` (cells, 2) is the same for the damper force over shaft
    speeds from −FASTEST to FASTEST.

    Masses in kg, `tyre_stiffness` [N/m], `tyre_damping` [N s/m], `friction` [N] at the shaft, `gravity`
    [m/s²] along the wheel's path. `air` are the chambers; the first two may be joined by a `port`.
    `wall` [K] is the wall temperature, `outside` [Pa] the ambient pressure. `start` [m] is the initial wheel
    travel, at which the suspension is at rest.
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
    """Initial state of lanes: upward `speed` [m/s] of both masses, the tyre loaded or just touching."""

    speed: Number = 0.0
    loaded: Mark = True


COLUMNS = ("travel", "speed", "stop", "acceleration", "height", "axle", "tyre", "wheel_force", "damper") + (
    "friction",
    "pressure",
)
"""Output of each step: w [m], ẇ, stop force [N], z_s″, z_s, z_u, F_t, wheel force of spring and damper, F_d
at the shaft, friction at the wheel, and the highest chamber pressure [Pa absolute]. After these columns come
the temperature [K] of each chamber and the mass [kg] of air in each."""


def march(
    lane: Lane,
    start: Start,
    ground: Sequence[Number],
    rise: Sequence[Number],
    step: float,
    keep: Callable[[tuple[Number, ...]], None],
    maths: Maths,
) -> None:
    """Integrate lanes over a ground; `keep` receives the output (`COLUMNS`) of the start and of every step.

    `ground` [m] and `rise` [m/s] are the ground's height and its derivative at every step, each a float or
    (lanes,). The first pass of the loop has zero length: it finds the initial acceleration.
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
        # Predictor: the state after the step if no force changes.
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
        # Travel stops: `over` is how far the wheel is past either end of the travel.
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
        # Newton step for both accelerations.
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
            # A tyre that touches down within the step pushes only during its last part, starting at c_t q̇;
            # one that leaves the ground, only during its first part. Correct the averages of Newmark's
            # method.
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
            # The step above used the friction of the previous one: correct the difference.
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
"""Up to this many lanes, running them one by one on floats is faster than all together in arrays."""
_TOLD = 64
"""Steps between two progress reports."""

Progress = Callable[[float], bool]
"""Called with the fraction done; returns False to stop, which raises `Stopped`."""


class Stopped(Exception):
    """Raised when a `Progress` callback returned False."""


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
    """Return the first `columns` output columns of lanes, each on its ground: (lanes, columns, points).

    A ground is its height [m] and rise [m/s] at each step, (steps + 1,). Only every `every`-th step is kept.
    After `COLUMNS` come the temperatures [K] of the chambers and their masses of air [kg]. Up to `few` lanes
    run on floats. Raises `Stopped` when `progress` returns False.
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
    """Return every output column of one lane, (columns, steps + 1)."""
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
    """Return many lanes as one of arrays (lanes,); missing chambers are filled in as empty ones."""
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
    """Return the concatenated rows of many tables, the first row of each, and the index of the last cell.

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

    Each quantity as its value at the start of a cell and its increase over the cell.

    >>> cells_of(np.array([[0.0, 1.0, 3.0]])).tolist()
    [[0.0, 1.0], [1.0, 2.0]]
    """
    both = np.stack([samples[:, :-1], np.diff(samples, axis=-1)], axis=1)
    return values(both.reshape(-1, samples.shape[-1] - 1).T.copy())
