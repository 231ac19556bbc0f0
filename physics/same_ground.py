"""The same ground on another spring: the ground found from a logged ride, ridden again on every setup.

The ground is fitted, not integrated. Unknown at every sample are the heights of sprung mass, axle and ground,
z_s, z_u, z_r; one Gauss-Newton, its normal equations banded (nine diagonals), minimises the squares of

    [m (z_s″ + g) − F_w]/σ_F                                the sprung mass
    [m z_s″ + m_u z_u″ + (m + m_u) g − F_t]/σ_F             both masses together: valid at the stops too
    (z_u − z_s − w)/σ_w                                     the log
    ż_r/σ_v,  z_r″/(2π f_c σ_v)                             a ground of which the slope is white up to f_c

with F_w of spring, damper, seal friction and the gas in time along the logged travel. The sprung mass is one
more unknown, bordered on: over a ride the wheel's force must carry just that. At a stop nobody knows
what it carries: there m (z_s″ + g) ≤ F_w at full extension, and ≥ F_w at full travel. The corners of tyre,
stops and friction are rounded and made sharper in stages, starting from two high-pass integrations of the
first line.

What is said has a band: the answer with the damper 20 % harder or softer and the mass 5 % more or less, and
what giving the log back costs. Giving the log back finds bad arithmetic, not a wrong damper. Where the wheel
flew the log holds no ground. Setups are compared on one ground, never between short runs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from dataclasses import field as defaulted

import numpy as np

from physics import gas
from physics.answer import Answer
from physics.arrays import Marks, Values, values
from physics.case import STANDARD_GRAVITY, Case
from physics.ground import Course
from physics.lanes import Arrays
from physics.live_air import LiveAir
from physics.log import (
    LAST_TENTH,
    REARMED_STOP,
    REARMED_TENTH,
    Estimate,
    Log,
    Progress,
    Unusable,
    entered,
)
from physics.motion import (
    CELLS,
    COLUMNS,
    DAMPER_CELLS,
    FASTEST,
    Lane,
    Start,
    side_by_side,
    stepped,
)
from physics.ride import lanes_of

LEAST_RATE = 400.0
"""Least rate [Hz] of the grid of the fit: a log sampled more slowly is fitted between its samples too."""
FORCE_ERROR = 12.0
"""σ_F [N]: how well spring, damper and masses are known (an estimate)."""
GROUND_SPEED, GROUND_CORNER = 2.2, 22.0
"""σ_v [m/s] for each 2 ms, and f_c [Hz] beyond which a tyre and a wheel's circle leave little of a ground."""
STRETCH, LEAD, TAIL = 5.0, 3.0, 0.25
"""Seconds of a stretch that is ridden by itself, of the lead-in before it and the fit after it."""
STRETCHES_A_FIT = 4
"""Stretches fitted at once, with one lead-in."""
LONGEST_STEP = 1.05e-3
"""Longest step [s] of the ride: the phase of a tyre hop is followed, the stops included."""
DAMPER_BAND, MASS_BAND = 0.20, 0.05
"""How far damper and mass may be off: the band of what is said."""
BAND_STRETCHES = 12
"""Stretches on which the band is worked out, spread over the log."""
TOUCHING = 0.999
"""Share of the travel that counts as a meeting with the stop in a ride."""
GIVEN_BACK = 0.03
"""Largest error of the log's own 95 % travel, as a share of the travel, with which an answer is given."""
MASS_TOLD = 0.15
"""Largest difference between the mass that the log tells and the known one: beyond it rider, spring or the
sensor's zero are not what was typed."""

_STAGES = ((0.10, 300.0, 6, 0.01), (0.02, 60.0, 6, 0.01), (0.004, 15.0, 20, 0.003))
"""Creep speed [m/s], softness of the corners [N], the most steps of each stage, the relative gain at which it
ends."""
BETWEEN = 5e-3
"""How far off a cubic between readings may be [m]: at a stop nothing else holds the wheel there."""
_LM = 0.1
_HALVINGS = 4


# --- what is answered ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Used:
    """How much of the travel was used on a ground: lengths of wheel travel [m], counts over its time.

    `share` (10,) is the share of the time in each tenth of the travel. Estimates hold the band; the log's own
    have none.
    """

    mean: Estimate
    travel_95: Estimate
    travel_99: Estimate
    deepest: float
    last_tenth_entries: Estimate
    stop_meetings: Estimate
    share: Values


@dataclass(frozen=True, slots=True)
class GivenBack:
    """How well the ridden setup gives the log back: errors of 95 % travel and r.m.s. of the travel [m].

    `mass` is the sprung mass that the log tells, as a ratio to the known one. `whole` says whether all is
    well enough for an answer to be given.
    """

    error_95: float
    rms: float
    mass: float
    whole: bool


@dataclass(frozen=True, slots=True)
class SameGround:
    """A logged ride ridden again on every setup of a case.

    `ridden` is the index of the setup that was logged, `logged` what the log itself says on the same `time`
    [s], `mass` [kg] the sprung mass that it tells. `setups` has what each setup uses, None for one that does
    not settle or where all is withheld.
    `starts` (stretches,) [s] and `step` [s] are the clock of `height` (stretches, points) [m] of the ground,
    of `log` (stretches, points) [m] and `travel` (setups, stretches, points) [m], NaN where a setup does not
    settle.
    """

    ridden: int
    time: float
    logged: Used
    given_back: GivenBack
    setups: tuple[Used | None, ...]
    mass: float
    starts: Values
    step: float
    height: Values
    log: Values
    travel: Values


# --- the grid --------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Trace:
    """One piece of a log on the grid of the fit: its start [s], travel (points,) [m], smoothed travel.

    Only every `stride`-th point is a reading.
    """

    start: float
    travel: Values
    smooth: Values
    stride: int


def _traces(log: Log) -> tuple[float, float, list[_Trace]]:
    """Return the step of the grid [s], the noise of a reading [m], and the pieces on the grid."""
    from scipy.interpolate import CubicSpline
    from scipy.signal import resample_poly, savgol_filter

    fewer = max(1, int(log.rate // LEAST_RATE))
    stride = max(1, int(np.ceil(LEAST_RATE / log.rate - 1e-6)))
    step = fewer / stride / log.rate
    found = []
    for piece in log.pieces:
        travel = piece.wheel
        if fewer > 1:
            travel = values(resample_poly(travel, 1, fewer, padtype="line"))
        if stride > 1:
            count = (len(travel) - 1) * stride + 1
            travel = values(CubicSpline(np.arange(len(travel)), travel)(np.arange(count) / stride))
        window = max(5, 2 * round(0.006 / step) + 1)
        found.append(_Trace(piece.start, travel, values(savgol_filter(travel, window, 3)), stride))
    return step, noise_of(log) / np.sqrt(fewer), found


def noise_of(log: Log) -> float:
    """Return the standard deviation [m] of a reading of wheel travel: what third differences show.

    Kept between 0.05 and 0.3 mm: between readings far apart the wheel itself moves.

    >>> from physics.case import Frame, LeverageEnds
    >>> from physics.leverage import leverage_curve
    >>> from physics.log import read_log
    >>> lever = leverage_curve(Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)))
    >>> time, rng = values(np.arange(10_000) / 500), np.random.default_rng(1)
    >>> travel = values(0.050 + 0.030 * np.sin(12.0 * time) + rng.normal(0.0, 0.1e-3, 10_000))
    >>> round(1e3 * noise_of(read_log(time, travel, lever, "wheel")), 2)
    0.1
    """
    longest = max(log.pieces, key=lambda piece: len(piece.wheel)).wheel
    third = np.diff(longest[:200_000], 3)
    # Σ of the squared weights 1, 3, 3, 1; the median leaves out what moves fast.
    seen = float(np.median(np.abs(third))) / 0.6745 / np.sqrt(20.0)
    # Readings all on a few steps of the sensor may show no difference at all.
    return float(np.clip(max(seen, log.quantum / np.sqrt(12.0)), 0.05e-3, 0.3e-3))


# --- the forces along a travel ---------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Air:
    """The air's push on the shaft [N] and its rate [N/m] at strokes [m] along a travel, all (points,)."""

    stroke: Values
    push: Values
    rate: Values

    def cut(self, part: slice) -> _Air:
        """Return a part of it."""
        return _Air(self.stroke[part], self.push[part], self.rate[part])


@dataclass(frozen=True, slots=True)
class Logged:
    """A log on the grid of the fit, on the setup that was ridden: what the ground is found from.

    `noise` [m] is that of a reading; of each trace `airs` has the air along it, and `masses` (points,) [kg]
    what the first chamber holds.
    """

    lane: Lane
    step: float
    noise: float
    traces: tuple[_Trace, ...]
    airs: tuple[_Air, ...]
    masses: tuple[Values, ...]


def logged(rides: Sequence[tuple[Lane, Log]]) -> list[Logged]:
    """Return logs with the air in time along them, all at once; they are of one sampling rate.

    Raises `Unusable` for a log without a piece that is long enough.
    """
    gridded = []
    for lane, log in rides:
        step, noise, traces = _traces(log)
        traces = [trace for trace in traces if len(trace.travel) * step >= LEAD + STRETCH + TAIL]
        if not traces:
            longest = max(len(piece.wheel) for piece in log.pieces) / log.rate
            raise Unusable("too_short", kept=longest, least=LEAD + STRETCH + TAIL, logged=log.logged)
        gridded.append((lane, step, noise, traces))
    airs = iter(_airs_along([(lane, trace) for lane, _, _, some in gridded for trace in some], gridded[0][1]))
    found = []
    for lane, step, noise, traces in gridded:
        both = [next(airs) for _ in traces]
        found.append(
            Logged(lane, step, noise, tuple(traces), tuple(air for air, _ in both), tuple(m for _, m in both))
        )
    return found


def _airs_along(traces: Sequence[tuple[Lane, _Trace]], step: float) -> list[tuple[_Air, Values]]:
    """Return the air along each trace in time, and its mass [kg] in the first chamber at the points.

    In windows side by side with a lead-in. What crossed the port stays in its chamber until the port opens
    again, so that a second pass starts every window with the masses that the one before it was left with.
    """
    lead, size = round(LEAD / step), round(STRETCH / step)
    found, windows, lanes, firsts = [], list[Values](), list[Lane](), list[bool]()
    for lane, trace in traces:
        stroke = _strokes(lane, trace.smooth)
        found.append((_Air(stroke, np.zeros_like(stroke), np.zeros_like(stroke)), np.zeros_like(stroke)))
        for first in range(0, len(stroke) if lane.air else 0, size):
            window = stroke[max(first - lead, 0) : first + size]
            ahead = lead - min(first, lead)
            behind = size - (min(first + size, len(stroke)) - first)
            windows.append(np.pad(window, (ahead, behind), mode="edge"))
            lanes.append(lane)
            firsts.append(first == 0)
    if not windows:
        return found
    strokes = values(np.stack(windows, axis=1))
    if any(map(_meets, lanes)):
        _, _, mass = _along(lanes, strokes[::_COARSE], step * _COARSE)
        usual = values([lane.air[0].mass for lane in lanes])
        left, _ = _left_with(mass.T, usual, np.array(firsts), round(size / _COARSE))
        lanes = [_with_mass(lane, float(held)) for lane, held in zip(lanes, left, strict=True)]
    push, rate, mass = _along(lanes, strokes, step)
    column = 0
    for (lane, _), (one, held) in zip(traces, found, strict=True):
        for first in range(0, len(one.stroke) if lane.air else 0, size):
            count = min(size, len(one.stroke) - first)
            for whole, part in ((one.push, push), (one.rate, rate), (held, mass)):
                whole[first : first + count] = part[lead : lead + count, column]
            column += 1
    return found


_COARSE = 2
"""Points of the grid that one step of the first pass takes."""


def _along(lanes: Sequence[Lane], stroke: Values, step: float) -> tuple[Values, Values, Values]:
    """Return force [N], rate [N/m] of the air and the first mass [kg] along strokes (points, lanes) [m].

    Each lane starts as if it had been moving about its mean stroke for long: its air would be at the wall's
    temperature there, and is on the isentrope through that at the first point.
    """
    many, first, mean = side_by_side(lanes), stroke[0], stroke.mean(axis=0)
    warmth = [
        gas.isentropic_temperature(
            many.wall, one.mass / (one.volume - one.area * mean), one.mass / (one.volume - one.area * first)
        )
        for one in many.air
    ]
    air = LiveAir(many.air, many.port, many.wall, many.outside, first, Arrays(), warmth)
    push, rate, mass = (np.empty_like(stroke) for _ in range(3))
    for now, x in enumerate(stroke):
        push[now], rate[now] = air.moved_to(x)
        mass[now] = air.mass[0]
        if not now:
            air.begin(step)
    return push, rate, mass


def _meets(lane: Lane) -> bool:
    return len(lane.air) > 1 and bool(lane.port.at > 0)


def _left_with(
    mass: Values, start: Values, firsts: Marks, due: int, held: float | None = None
) -> tuple[Values, float | None]:
    """Return the mass [kg] in the first chamber with which each of successive windows starts, and the next.

    `mass` (windows, points) is what it was on a pass from `start` (windows,); the next window starts at point
    `due`. `firsts` (windows,) marks those before which nothing is known; `held` is what the first of the
    others starts with.
    """
    found = start.copy()
    for n in range(len(mass)):
        if held is not None and not firsts[n]:
            found[n] = held
        moved = abs(mass[n, due] - start[n]) > 1e-9 * start[n]
        held = float(mass[n, due] if moved else found[n])
    return found, held


def _with_mass(lane: Lane, first: float) -> Lane:
    """Return a lane of which the first chamber holds this mass [kg], the second the rest."""
    if not _meets(lane):
        return lane
    one, other, *more = lane.air
    total = one.mass + other.mass
    return replace(lane, air=(replace(one, mass=first), replace(other, mass=total - first), *more))


def _strokes(lane: Lane, wheel: Values) -> Values:
    at, row = _row(lane.places, wheel * (CELLS / lane.travel))
    return values(row[0] + at * row[1])


def _row(table: Values, place: Values) -> tuple[Values, Values]:
    """Return the place within its cell and the row of a table for each point."""
    cell = np.clip(place, 0, len(table) - 1).astype(np.intp)
    return place - cell, table.take(cell, 0).T


def _force(lane: Lane, air: _Air, w: Values, u: Values, creep: float) -> tuple[Values, Values, Values]:
    """Return the wheel force [N] of spring, damper and friction, and its derivatives by travel and speed."""
    cells, speeds = CELLS / lane.travel, DAMPER_CELLS / (2 * FASTEST)
    t, (x, dx, r, dr, force, stiff) = _row(lane.places, w * cells)
    x, r, force = x + t * dx, r + t * dr, force + t * stiff
    speed = r * u
    t, (damped, drag) = _row(lane.damping, speed * speeds + DAMPER_CELLS / 2)
    rub = np.tanh(speed / creep)
    shaft = damped + t * drag + lane.friction * rub + air.push + air.rate * (x - air.stroke)
    by_speed = drag * speeds + lane.friction * (1 - rub * rub) / creep
    return (
        values(force + r * shaft),
        values(stiff * cells + dr * cells * shaft + r * r * air.rate),
        values(r * r * by_speed),
    )


# --- the fit ---------------------------------------------------------------------------------


_Factors = dict[int, Values | float]
"""Factors of a line of residuals by place: z_s, z_u, z_r at the sample before, at it, and after it."""


@dataclass(frozen=True, slots=True)
class _Found:
    """Heights (3, points) [m] of sprung mass, axle and ground, and the mass as a ratio to the known one."""

    heights: Values
    ratio: float


@dataclass(frozen=True, slots=True)
class _Lines:
    """The cost of heights and mass, the five lines of residuals, and what their derivatives need.

    At the inner points `up` is z_s″ [m/s²], `stiff` and `drag` the derivatives of the wheel force by travel
    and speed, `counts` and `touching` those of the rounded corners of stops and tyre over σ_F.
    """

    cost: float
    ratio: float
    residuals: tuple[Values, Values, Values, Values, Values]
    up: Values
    stiff: Values
    drag: Values
    counts: Values
    touching: Values


@dataclass(frozen=True, slots=True)
class _Normal:
    """Upper bands (9, 3, points) and slope (3, points) of the normal equations of a fit.

    The mass is bordered on: its `column` (3, points), its own `square`, and the `pull` on it.
    """

    bands: Values
    slope: Values
    column: Values
    square: float
    pull: float

    def step(self, is_mass_known: bool) -> tuple[Values, float]:
        """Return the steps of Gauss-Newton for the heights (3, points) and the mass; uses the bands up."""
        from scipy.linalg import solveh_banded

        sides = [self.slope] if is_mass_known else [self.slope, self.column]
        right = np.stack([side.T.reshape(-1) for side in sides], axis=1)
        bands = self.bands.transpose(0, 2, 1).reshape(9, -1)
        solved = solveh_banded(bands, right, overwrite_ab=True, overwrite_b=True, check_finite=False)
        down, *along = (values(one.reshape(-1, 3).T) for one in solved.T)
        if not along:
            return values(-down), 0.0
        left = self.square - float((self.column * along[0]).sum())
        more = (float((self.column * down).sum()) - self.pull) / left
        return values(-down - more * along[0]), more


@dataclass(frozen=True, slots=True)
class _Fit:
    """A part of a log to be fitted: the setup ridden, the log and the air along it, and the grid.

    `mass` (points,) [kg] is that of the air in the first chamber; of `stretches` in it, `first` says that the
    log begins with them.
    """

    lane: Lane
    trace: _Trace
    air: _Air
    mass: Values
    step: float
    noise: float
    stretches: int
    first: bool

    def found(self, near: _Found | None = None, is_mass_known: bool = False) -> _Found:
        """Return the heights and the mass; from one that is nearly right, the last stage is enough."""
        heights, ratio = (self.started(), 1.0) if near is None else (near.heights, near.ratio)
        weight = np.full(len(self.trace.travel), 1 / BETWEEN)
        weight[:: self.trace.stride] = 1 / self.noise
        marks = self.at_stops()
        for creep, soft, most, settled in _STAGES if near is None else _STAGES[-1:]:
            lines = self.lines(heights, ratio, weight, marks, creep, soft)
            for _ in range(most):
                move, more = self.normal(lines, weight).step(is_mass_known)
                last = lines.cost
                for halving in range(_HALVINGS):
                    share = 0.5**halving
                    tried, there = values(heights + share * move), ratio + share * more
                    new = self.lines(tried, there, weight, marks, creep, soft)
                    if new.cost < last:
                        heights, ratio, lines = tried, there, new
                        break
                if last - lines.cost < settled * lines.cost:
                    break
        return _Found(heights, ratio)

    def started(self) -> Values:
        """Return the heights (3, points) of two high-pass integrations of the sprung mass's force."""
        from scipy.signal import butter, savgol_filter, sosfiltfilt

        lane, step = self.lane, self.step
        window = max(5, 2 * round(0.012 / step) + 1)
        w = savgol_filter(self.trace.travel, window, 3)
        u = savgol_filter(self.trace.travel, window, 3, deriv=1, delta=step)
        up = _force(lane, self.air, values(w), values(u), 0.05)[0] / lane.mass - STANDARD_GRAVITY
        # Hanging on its stop at full extension the wheel hides the spring from the sprung mass: it falls.
        up = np.where(w < 4 * self.noise, np.minimum(up, -STANDARD_GRAVITY / 2), up)
        slow = butter(2, 0.3, "high", fs=1 / step, output="sos")
        pad = min(len(w) - 1, round(3 / step))
        sprung = up
        for _ in range(2):
            sprung = sosfiltfilt(slow, np.cumsum(sprung) * step, padlen=pad)
        axle = sprung + w
        jerked = up + savgol_filter(self.trace.travel, window, 3, deriv=2, delta=step)
        tyre = lane.mass * up + lane.unsprung * jerked + (lane.mass + lane.unsprung) * STANDARD_GRAVITY
        return values(np.stack([sprung, axle, axle + np.maximum(tyre, -500.0) / lane.tyre_stiffness]))

    def at_stops(self) -> tuple[Marks, Marks]:
        """Mark the inner points at which the stops at full extension and at full travel may carry."""
        near, travel, smooth = 4 * self.noise, self.trace.travel, self.trace.smooth
        found = []
        for there in (
            np.minimum(travel, smooth) < near,
            np.maximum(travel, smooth) > self.lane.travel - near,
        ):
            wide = there.copy()
            # Between two readings a stop may have been met and left.
            for shift in range(1, self.trace.stride + 1):
                wide[shift:] |= there[:-shift]
                wide[:-shift] |= there[shift:]
            found.append(wide[1:-1])
        return found[0], found[1]

    def lines(
        self,
        heights: Values,
        ratio: float,
        weight: Values,
        marks: tuple[Marks, Marks],
        creep: float,
        soft: float,
    ) -> _Lines:
        """Return every residual of heights and mass, and the cost."""
        lane, h = self.lane, self.step
        m, mu, kt, ct = ratio * lane.mass, lane.unsprung, lane.tyre_stiffness, lane.tyre_damping
        twice, once = 1 / h**2, 1 / (2 * h)
        s, u, r = heights
        w, q = u - s, r - u
        wheel = (w[2:] - w[:-2]) * once
        inner = _Air(self.air.stroke[1:-1], self.air.push[1:-1], self.air.rate[1:-1])
        force, stiff, drag = _force(lane, inner, w[1:-1], wheel, creep)
        up = (s[2:] - 2 * s[1:-1] + s[:-2]) * twice
        axle = (u[2:] - 2 * u[1:-1] + u[:-2]) * twice
        surplus = m * (up + STANDARD_GRAVITY) - force
        top, end = marks
        counts = np.ones_like(surplus)
        surplus[top], counts[top] = _softplus(surplus[top], soft / 2)
        rounded, counts[end] = _softplus(-surplus[end], soft / 2)
        surplus[end] = -rounded
        first = surplus / FORCE_ERROR
        tyre, t = _softplus(kt * q[1:-1] + ct * once * (q[2:] - q[:-2]), soft)
        second = (m * up + mu * axle + (m + mu) * STANDARD_GRAVITY - tyre) / FORCE_ERROR
        off = (w - self.trace.travel) * weight
        rising, bending = self.of_ground()
        third = (r[2:] - r[:-2]) * rising
        fourth = (r[2:] - 2 * r[1:-1] + r[:-2]) * bending
        heavier = (ratio - 1) / MASS_BAND
        cost = 0.5 * (sum(map(_squares, (first, second, off, third, fourth))) + heavier**2)
        residuals = (first, second, off, third, fourth)
        return _Lines(cost, ratio, residuals, up, stiff, drag, counts / FORCE_ERROR, t / FORCE_ERROR)

    def of_ground(self) -> tuple[float, float]:
        """Return the factors of a ground's first and second difference."""
        h = self.step
        speed_error = GROUND_SPEED * np.sqrt(0.002 / h)
        return 1 / (2 * h * speed_error), 1 / (h * h * 2 * np.pi * GROUND_CORNER * speed_error)

    def normal(self, lines: _Lines, weight: Values) -> _Normal:
        """Return the normal equations."""
        lane, h, f, t, stiff, drag = (
            self.lane,
            self.step,
            lines.counts,
            lines.touching,
            lines.stiff,
            lines.drag,
        )
        m, mu, kt, ct = lines.ratio * lane.mass, lane.unsprung, lane.tyre_stiffness, lane.tyre_damping
        twice, once = 1 / h**2, 1 / (2 * h)
        first, second, off, third, fourth = lines.residuals
        rising, bending = self.of_ground()
        masses, unsprung = m * twice / FORCE_ERROR, mu * twice / FORCE_ERROR
        rows = [
            (
                first,
                {
                    0: f * (m * twice - drag * once),
                    1: f * drag * once,
                    3: f * (stiff - 2 * m * twice),
                    4: -f * stiff,
                    6: f * (m * twice + drag * once),
                    7: -f * drag * once,
                },
            ),
            (
                second,
                {
                    0: masses,
                    1: unsprung - t * ct * once,
                    2: t * ct * once,
                    3: -2 * masses,
                    4: t * kt - 2 * unsprung,
                    5: -t * kt,
                    6: masses,
                    7: unsprung + t * ct * once,
                    8: -t * ct * once,
                },
            ),
            (third, {2: -rising, 8: rising}),
            (fourth, {2: bending, 5: -2 * bending, 8: bending}),
        ]
        points = len(off)
        bands, slope = np.zeros((9, 3, points)), np.zeros((3, points))
        for residual, factors in rows:
            _add(bands, slope, residual, factors)
        # The same for the mass: its column, its own square and slope.
        weighed = lane.mass * (lines.up + STANDARD_GRAVITY)
        column = np.zeros((3, points))
        square_of_mass, slope_of_mass = MASS_BAND**-2, (lines.ratio - 1) / MASS_BAND**2
        for (residual, factors), part in zip(rows[:2], (f * weighed, weighed / FORCE_ERROR), strict=True):
            _project(column, part, factors)
            square_of_mass += _squares(part)
            slope_of_mass += float((part * residual).sum())
        square, pulled = weight * weight, off * weight
        bands[8, 0] += square
        bands[8, 1] += square
        bands[7, 1] -= square
        slope[0] -= pulled
        slope[1] += pulled
        bands[8] += _LM
        return _Normal(bands, slope, column, square_of_mass, slope_of_mass)


def _squares(residual: Values) -> float:
    # A dot product would start the threads of a linear algebra library for each.
    return float(np.square(residual).sum())


def _softplus(x: Values, soft: float) -> tuple[Values, Values]:
    """Return soft·ln(1 + e^(x/soft)), which rounds the corner of max(0, x), and its derivative."""
    scaled = np.clip(x / soft, -40.0, 40.0)
    grown = np.exp(-np.abs(scaled))
    rounded = np.maximum(x, 0.0) + soft * np.log1p(grown)
    return values(rounded), values(np.where(scaled > 0, 1.0, grown) / (1.0 + grown))


def _add(bands: Values, slope: Values, residual: Values, factors: _Factors) -> None:
    """Add the products of one line of residuals at the inner points to the normal equations."""
    last = slope.shape[1] - 2
    _project(slope, residual, factors)
    for p, one in factors.items():
        for q, other in factors.items():
            if q >= p:
                bands[8 - (q - p), q % 3, q // 3 : last + q // 3] += one * other


def _project(slope: Values, residual: Values, factors: _Factors) -> None:
    """Add the products of one line of residuals with its factors to a slope (3, points)."""
    last = slope.shape[1] - 2
    for p, one in factors.items():
        slope[p % 3, p // 3 : last + p // 3] += one * residual


# --- the ride --------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Stretches:
    """Stretches with their lead-in: `start` [s] after it, height and log (stretches, points) [m].

    `mass` (stretches,) [kg] is that of the air in the first chamber of the ridden setup at the beginning of
    the lead-in; `first` marks those before which nothing is known.
    """

    start: Values
    height: Values
    log: Values
    mass: Values
    first: Marks


def _fits(ride: Logged) -> list[_Fit]:
    """Return what is to be fitted: four stretches at once, with a lead-in and a tail."""
    step = ride.step
    lead, size, tail = (round(part / step) for part in (LEAD, STRETCH, TAIL))
    found = []
    for trace, air, mass in zip(ride.traces, ride.airs, ride.masses, strict=True):
        stretches = (len(trace.travel) - lead) // size
        for first in range(0, stretches, STRETCHES_A_FIT):
            count = min(STRETCHES_A_FIT, stretches - first)
            # A reading must be the first point of a part that is fitted between readings.
            begin = first * size - first * size % trace.stride
            part = slice(begin, min(lead + (first + count) * size + tail, len(trace.travel)))
            start = trace.start + begin * step
            cut = _Trace(start, trace.travel[part], trace.smooth[part], trace.stride)
            found.append(_Fit(ride.lane, cut, air.cut(part), mass[part], step, ride.noise, count, first == 0))
    return found


def _stretched(fit: _Fit, height: Values) -> _Stretches:
    """Return the stretches of a fitted part with its ground (points,) [m]."""
    lead, size = (round(part / fit.step) for part in (LEAD, STRETCH))
    firsts = [n * size for n in range(fit.stretches)]
    return _Stretches(
        values([fit.trace.start + (first + lead) * fit.step for first in firsts]),
        values([height[first : first + lead + size] for first in firsts]),
        values([fit.trace.travel[first : first + lead + size] for first in firsts]),
        values([fit.mass[first] for first in firsts]),
        np.array([fit.first and first == 0 for first in firsts]),
    )


def _joined(parts: Sequence[_Stretches]) -> _Stretches:
    whole = (np.concatenate([getattr(part, name.name) for part in parts]) for name in fields(_Stretches))
    return _Stretches(*whole)


@dataclass(frozen=True, slots=True)
class _Asked:
    """A lane to ride over stretches, and the mass of air [kg] its first chamber starts each with."""

    lane: Lane
    ground: _Stretches
    mass: Values


_SEEN = 0.25
"""Seconds between two looks at the air in a chamber."""


def _masses(rides: Sequence[tuple[Lane, _Stretches, _Held]], step: float, tell: Progress) -> list[Values]:
    """Return the mass of air [kg] in the first chamber with which lanes start each of successive stretches.

    A first ride over all of them shows what crossed the port. What each lane was left with by the stretches
    before is brought up to date.
    """
    found = [values([lane.air[0].mass if lane.air else 0.0] * len(ground.start)) for lane, ground, _ in rides]
    meeting = [n for n, (lane, *_) in enumerate(rides) if _meets(lane)]
    if not meeting:
        return found
    seen, finer = round(_SEEN / step), _finer_steps(step)
    column = len(COLUMNS) + max(len(rides[n][0].air) for n in meeting)
    asked = [_Asked(rides[n][0], rides[n][1], found[n]) for n in meeting]
    stepped_on = _stepped(asked, step, finer, seen * finer, column + 1, tell)
    for n, kept in zip(meeting, stepped_on, strict=True):
        _, ground, held = rides[n]
        due = round(STRETCH / step) // seen
        found[n], held.mass = _left_with(kept[:, column], found[n], ground.first, due, held.mass)
    return found


def _ridden(asked: Sequence[_Asked], step: float, tell: Progress) -> list[Values]:
    """Return the travel (stretches, points) [m] of each ride, without lead-in."""
    finer = _finer_steps(step)
    return [kept[:, 0, round(LEAD / step) :] for kept in _stepped(asked, step, finer, finer, 1, tell)]


def _finer_steps(step: float) -> int:
    return max(1, int(np.ceil(step / LONGEST_STEP)))


def _stepped(
    asked: Sequence[_Asked], step: float, finer: int, every: int, columns: int, tell: Progress
) -> list[Values]:
    """Return what is kept of rides, each (stretches, columns, points), side by side in lanes."""
    lanes, grounds = list[Lane](), list[tuple[Values, Values]]()
    finely: dict[int, list[tuple[Values, Values]]] = {}
    for one in asked:
        if id(one.ground) not in finely:
            finely[id(one.ground)] = list(zip(*_finer(one.ground.height, step, finer), strict=True))
        grounds += finely[id(one.ground)]
        lanes += [_with_mass(one.lane, float(mass)) for mass in one.mass]
    starts = [Start()] * len(lanes)

    def heard(share: float) -> bool:
        tell(share)
        return True

    kept = stepped(lanes, starts, grounds, step / finer, columns=columns, every=every, few=0, progress=heard)
    return np.split(kept, np.cumsum([len(one.mass) for one in asked])[:-1])


def _finer(height: Values, step: float, finer: int) -> tuple[Values, Values]:
    """Return height and rise (stretches, finer points) of the cubic through the points."""
    slope = np.gradient(height, step, axis=1)
    if finer == 1:
        return height, values(slope)
    count = (height.shape[1] - 1) * finer + 1
    found, rise = np.empty((len(height), count)), np.empty((len(height), count))
    a, b, p, q = height[:, :-1], height[:, 1:], slope[:, :-1] * step, slope[:, 1:] * step
    for n in range(finer):
        t = n / finer
        c, d = 3 * (b - a) - 2 * p - q, 2 * (a - b) + p + q
        found[:, n:-1:finer] = a + t * (p + t * (c + t * d))
        rise[:, n:-1:finer] = (p + t * (2 * c + 3 * t * d)) / step
    found[:, -1], rise[:, -1] = height[:, -1], slope[:, -1]
    return values(found), values(rise)


# --- the door --------------------------------------------------------------------------------


def same_ground(
    case: Case, found: Answer, log: Log, ridden: int, *, progress: Progress | None = None
) -> SameGround:
    """Return a logged ride ridden again on every setup of a case; setup `ridden` is the one logged.

    `found` is the bench's answer to the case. Raises `Unusable` if no piece of the log is long enough, and
    `ValueError` if the ridden setup does not settle.
    """
    level = np.zeros(2)
    lanes = lanes_of(case, found, Course(1e-3, level, level))
    return ridden_again([LoggedRide(tuple(lanes), ridden, log)], progress=progress)[0]


@dataclass(frozen=True, slots=True)
class LoggedRide:
    """A log, the lanes of the setups to ride again (None: does not settle), and which of them was ridden."""

    lanes: tuple[Lane | None, ...]
    ridden: int
    log: Log


def ridden_again(rides: Sequence[LoggedRide], *, progress: Progress | None = None) -> list[SameGround]:
    """Return logs of one sampling rate, such as those of both wheels, ridden again at once.

    Raises `Unusable` if no piece of a log is long enough, and `ValueError` if a ridden setup does not settle.
    """
    own = [lane for ride in rides if (lane := ride.lanes[ride.ridden]) is not None]
    if len(own) < len(rides):
        raise ValueError("the setup that was ridden does not settle")
    read = logged([(lane, ride.log) for lane, ride in zip(own, rides, strict=True)])
    works = [_Work(ride, one, _fits(one)) for ride, one in zip(rides, read, strict=True)]
    step, groups = read[0].step, max(len(work.fits) for work in works)
    for first in range(0, groups, _GROUP):
        tell = _within(progress or _unheard, first / groups, min(first + _GROUP, groups) / groups)
        fitting, batches = _within(tell, 0.0, 0.65), []
        for n, work in enumerate(works):
            if first < len(work.fits):
                batches.append(_batch(work, first, _within(fitting, n / len(works), (n + 1) / len(works))))
        _ride(batches, step, _within(tell, 0.65, 1.0))
    found = [_answer(work) for work in works]
    (progress or _unheard)(1.0)
    return found


def _unheard(share: float) -> None:
    """Hear of no progress."""


def _within(tell: Progress, low: float, high: float) -> Progress:
    """Return what tells the progress of a part of the work, from `low` to `high` of the whole."""
    return lambda share: tell(low + (high - low) * share)


_GROUP = 30
"""Fits between two rides: ten minutes of log."""


@dataclass(slots=True)
class _Held:
    """The mass of air [kg] that a setup's first chamber was left with so far, None at the beginning."""

    mass: float | None = None


@dataclass(slots=True)
class _Work:
    """One log on its way: what is to be fitted, and what was ridden so far.

    `ratio` is the mass that the log tells to the known one. `travels` has the travel of each setup that
    settles, in parts; `samples` that of the band.
    """

    ride: LoggedRide
    read: Logged
    fits: list[_Fit]
    ratio: float | None = None
    held: dict[int, _Held] = defaulted(default_factory=dict)
    grounds: list[_Stretches] = defaulted(default_factory=list)
    travels: list[list[Values]] = defaulted(default_factory=list)
    samples: list[Values] = defaulted(default_factory=list)

    def lanes(self) -> dict[int, Lane]:
        """Return the setups that settle, with the mass that the log tells."""
        ratio = 1.0 if self.ratio is None else self.ratio
        return {n: _with(lane, 1.0, ratio) for n, lane in enumerate(self.ride.lanes) if lane is not None}

    def in_band(self) -> set[int]:
        """Return the fits on which the band is worked out, spread over the log."""
        places = np.linspace(0, len(self.fits) - 1, BAND_STRETCHES // STRETCHES_A_FIT)
        return set(places.round().astype(int).tolist())


@dataclass(frozen=True, slots=True)
class _Batch:
    """Some of the stretches of a log with their ground; `marks` (stretches,) are those of the band.

    `changed` has the ground of the marked ones, found anew with each change of the band.
    """

    work: _Work
    ground: _Stretches
    marks: Marks
    changed: list[_Stretches]


_SAME_MASS = 0.005


def _usual(ratios: Sequence[float], weights: Sequence[int]) -> float:
    """Return the weighted median."""
    order = np.argsort(ratios)
    total = np.cumsum(np.array(weights)[order])
    return float(np.array(ratios)[order][np.searchsorted(total, total[-1] / 2)])


def _batch(work: _Work, first: int, tell: Progress) -> _Batch:
    """Return the ground of the next stretches of a log, fits `first` and on."""
    fits, on = work.fits[first : first + _GROUP], work.in_band()
    found = list[_Found]()
    for n, fit in enumerate(fits):
        tell(n / len(fits))
        found.append(fit.found())
    if work.ratio is None:
        work.ratio = _usual([one.ratio for one in found], [fit.stretches for fit in fits])
    # One mass for all: a hard hit in a short part may have told another.
    for n, (fit, one) in enumerate(zip(fits, found, strict=True)):
        if abs(one.ratio - work.ratio) > _SAME_MASS:
            found[n] = fit.found(_Found(one.heights, work.ratio), is_mass_known=True)
    ground = _joined([_stretched(fit, one.heights[2]) for fit, one in zip(fits, found, strict=True)])
    marks = np.concatenate([np.full(fit.stretches, first + n in on) for n, fit in enumerate(fits)])
    changed = []
    for damping, mass in _CHANGES if marks.any() else ():
        parts = []
        for n, (fit, one) in enumerate(zip(fits, found, strict=True)):
            if first + n in on:
                other = replace(fit, lane=_with(fit.lane, damping, mass))
                parts.append(_stretched(other, other.found(one, mass != 1.0).heights[2]))
        changed.append(_joined(parts))
    return _Batch(work, ground, marks, changed)


def _ride(batches: Sequence[_Batch], step: float, tell: Progress) -> None:
    """Ride every setup over the stretches of each batch, side by side, and put the travel to the work."""
    others = [
        (lane, batch.ground, batch.work.held.setdefault(n, _Held()))
        for batch in batches
        for n, lane in batch.work.lanes().items()
        if n != batch.work.ride.ridden
    ]
    masses = iter(_masses(others, step, _within(tell, 0.0, 0.4)))
    asked, counts = list[_Asked](), list[int]()
    for batch in batches:
        usual = [
            _Asked(lane, batch.ground, batch.ground.mass if n == batch.work.ride.ridden else next(masses))
            for n, lane in batch.work.lanes().items()
        ]
        changed = [
            _Asked(_with(one.lane, *change), ground, one.mass[batch.marks])
            for change, ground in zip(_CHANGES, batch.changed, strict=False)
            for one in usual
        ]
        asked += [*usual, *changed]
        counts += [len(usual), len(changed)]
    travel = iter(_ridden(asked, step, _within(tell, 0.4, 1.0)))
    for batch, usual_count, changed_count in zip(batches, counts[::2], counts[1::2], strict=True):
        mine = [next(travel) for _ in range(usual_count)]
        batch.work.grounds.append(batch.ground)
        batch.work.travels.append(mine)
        if changed_count:
            sample = [one[batch.marks] for one in mine] + [next(travel) for _ in range(changed_count)]
            batch.work.samples.append(values(sample).reshape(-1, usual_count, *sample[0].shape))


def _answer(work: _Work) -> SameGround:
    """Return what log and rides say."""
    ride, step, lanes, ground = work.ride, work.read.step, work.lanes(), _joined(work.grounds)
    lead = round(LEAD / step)
    travel = np.full((len(ride.lanes), len(ground.start), ground.height.shape[1] - lead), np.nan)
    travel[list(lanes)] = [np.concatenate(parts) for parts in zip(*work.travels, strict=True)]
    log, full = values(ground.log[:, lead:]), work.read.lane.travel
    back = _given_back(log, values(travel[ride.ridden]), full, 1.0 if work.ratio is None else work.ratio)
    used: dict[int, Used] = {}
    if back.whole:
        sample = np.concatenate(work.samples, axis=2)
        for place, (n, lane) in enumerate(lanes.items()):
            band = _band(values(sample[:, place]), values(travel[n]), back, lane.travel)
            used[n] = _used(values(travel[n]), band, lane.travel)
    return SameGround(
        ridden=ride.ridden,
        time=log.size * step,
        logged=_used(log, np.zeros((2, 5)), full),
        given_back=back,
        setups=tuple(used.get(n) for n in range(len(ride.lanes))),
        mass=lanes[ride.ridden].mass,
        starts=ground.start,
        step=step,
        height=values(ground.height[:, lead:]),
        log=log,
        travel=values(travel),
    )


# --- the band --------------------------------------------------------------------------------

_CHANGES = ((1 - DAMPER_BAND, 1.0), (1 + DAMPER_BAND, 1.0), (1.0, 1 - MASS_BAND), (1.0, 1 + MASS_BAND))
"""Factors of damper and mass of the band."""


def _with(lane: Lane, damping: float, mass: float) -> Lane:
    damped = lane.damping if damping == 1.0 else values(lane.damping * damping)
    return replace(lane, damping=damped, mass=lane.mass * mass)


def _band(sample: Values, travel: Values, back: GivenBack, full: float) -> Values:
    """Return how far the figures of a ride go down and up (2, 5).

    `sample` (1 + changes, stretches, points) [m] is its travel without a change and with each, on stretches
    of `travel`. Damper and mass are independent of each other, and each is off to one side at a time.
    """
    figures = values([_figures(one, full) for one in sample])
    # Counts are of the whole ride.
    moved = figures[1:] - figures[0]
    moved[:, 3:] *= travel.size / sample[0].size
    damper, mass = moved[:2], moved[2:]
    down = np.hypot(np.minimum(damper, 0).min(axis=0), np.minimum(mass, 0).min(axis=0))
    up = np.hypot(np.maximum(damper, 0).max(axis=0), np.maximum(mass, 0).max(axis=0))
    least = np.maximum(1.0, 0.1 * _figures(travel, full))
    least[:3] = np.hypot(FLOOR * full, back.error_95)
    return values([down + least, up + least])


FLOOR = 0.005
"""Share of the travel that the fit itself may be off with all else known."""


def _given_back(log: Values, again: Values, full: float, mass: float) -> GivenBack:
    error = float(np.quantile(again, 0.95) - np.quantile(log, 0.95))
    rms = float(np.sqrt(np.mean((again - log) ** 2)))
    return GivenBack(error, rms, mass, abs(error) <= GIVEN_BACK * full and abs(mass - 1) <= MASS_TOLD)


def _figures(travel: Values, full: float) -> Values:
    """Return mean, 95 and 99 % travel [m], entries into the last tenth and meetings with the stop."""
    share = travel / full
    entries = sum(int(entered(one, LAST_TENTH, REARMED_TENTH).sum()) for one in share)
    meetings = sum(int(entered(one, TOUCHING, REARMED_STOP).sum()) for one in share)
    return values([travel.mean(), *np.quantile(travel, [0.95, 0.99]), entries, meetings])


def _used(travel: Values, band: Values, full: float) -> Used:
    """Return what is used, its `band` (2, 5) how far figures go down and up."""
    value = _figures(travel, full)
    low, high = np.maximum(value - band[0], 0.0), value + band[1]
    high[:3] = np.minimum(high[:3], np.maximum(full, value[:3]))
    mean, travel_95, travel_99, entries, meetings = (
        Estimate(*map(float, one)) for one in zip(value, low, high, strict=True)
    )
    tenths = np.bincount(np.clip(travel / full * 10, 0, 9).astype(np.intp).ravel(), minlength=10)
    share = values(tenths / travel.size)
    return Used(mean, travel_95, travel_99, float(travel.max()), entries, meetings, share)
