"""The ground under a logged ride, found by a fit of all heights at once.

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
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from physics.arrays import Marks, Values, values
from physics.limits import STANDARD_GRAVITY
from physics.logged_travel import LEAD, STRETCH, TAIL, AirAlong, Logged, Trace, wheel_force
from physics.motion import Lane

FORCE_ERROR = 12.0
"""σ_F [N]: how well spring, damper and masses are known (an estimate)."""
GROUND_SPEED, GROUND_CORNER = 2.2, 22.0
"""σ_v [m/s] for each 2 ms, and f_c [Hz] beyond which a tyre and a wheel's circle leave little of a ground."""
STRETCHES_A_FIT = 4
"""Stretches fitted at once, with one lead-in."""
MASS_ERROR = 0.05
"""How far the sprung mass may be off, as a share of it."""

_STAGES = ((0.10, 300.0, 6, 0.01), (0.02, 60.0, 6, 0.01), (0.004, 15.0, 20, 0.003))
"""Creep speed [m/s], softness of the corners [N], the most steps of each stage, the relative gain at which it
ends."""
BETWEEN = 5e-3
"""How far off a cubic between readings may be [m]: at a stop nothing else holds the wheel there."""
_LM = 0.1
_HALVINGS = 4


_Factors = dict[int, Values | float]
"""Factors of a line of residuals by place: z_s, z_u, z_r at the sample before, at it, and after it."""


@dataclass(frozen=True, slots=True)
class Found:
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
class Fit:
    """A part of a log to be fitted: the setup ridden, the log and the air along it, and the grid.

    `mass` (points,) [kg] is that of the air in the first chamber; of `stretches` in it, `first` says that the
    log begins with them.
    """

    lane: Lane
    trace: Trace
    air: AirAlong
    mass: Values
    step: float
    noise: float
    stretches: int
    first: bool

    def found(self, near: Found | None = None, is_mass_known: bool = False) -> Found:
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
        return Found(heights, ratio)

    def started(self) -> Values:
        """Return the heights (3, points) of two high-pass integrations of the sprung mass's force."""
        from scipy.signal import butter, savgol_filter, sosfiltfilt

        lane, step = self.lane, self.step
        window = max(5, 2 * round(0.012 / step) + 1)
        w = savgol_filter(self.trace.travel, window, 3)
        u = savgol_filter(self.trace.travel, window, 3, deriv=1, delta=step)
        up = wheel_force(lane, self.air, values(w), values(u), 0.05)[0] / lane.mass - STANDARD_GRAVITY
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
        inner = AirAlong(self.air.stroke[1:-1], self.air.push[1:-1], self.air.rate[1:-1])
        force, stiff, drag = wheel_force(lane, inner, w[1:-1], wheel, creep)
        up = (s[2:] - 2 * s[1:-1] + s[:-2]) * twice
        axle = (u[2:] - 2 * u[1:-1] + u[:-2]) * twice
        surplus = m * (up + STANDARD_GRAVITY) - force
        top, end = marks
        counts = np.ones_like(surplus)
        surplus[top], counts[top] = softplus(surplus[top], soft / 2)
        rounded, counts[end] = softplus(-surplus[end], soft / 2)
        surplus[end] = -rounded
        first = surplus / FORCE_ERROR
        tyre, t = softplus(kt * q[1:-1] + ct * once * (q[2:] - q[:-2]), soft)
        second = (m * up + mu * axle + (m + mu) * STANDARD_GRAVITY - tyre) / FORCE_ERROR
        off = (w - self.trace.travel) * weight
        rising, bending = self.of_ground()
        third = (r[2:] - r[:-2]) * rising
        fourth = (r[2:] - 2 * r[1:-1] + r[:-2]) * bending
        heavier = (ratio - 1) / MASS_ERROR
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
        square_of_mass, slope_of_mass = MASS_ERROR**-2, (lines.ratio - 1) / MASS_ERROR**2
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


def softplus(x: Values, soft: float) -> tuple[Values, Values]:
    """Return soft·ln(1 + e^(x/soft)), which rounds the corner of max(0, x), and its derivative.

    >>> rounded, slope = softplus(values([-1e6, 0.0, 1e6]), 15.0)  # soft · ln 2 = 10.397
    >>> rounded.round(3).tolist(), slope.round(3).tolist()
    ([0.0, 10.397, 1000000.0], [0.0, 0.5, 1.0])
    """
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


def fits_of(ride: Logged) -> list[Fit]:
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
            cut = Trace(start, trace.travel[part], trace.smooth[part], trace.stride)
            found.append(Fit(ride.lane, cut, air.cut(part), mass[part], step, ride.noise, count, first == 0))
    return found
