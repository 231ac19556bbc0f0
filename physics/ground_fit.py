"""The ground under a logged ride, found by a fit of all heights at once.

The ground is fitted, not integrated. Unknown at every sample are the heights of sprung mass, axle and ground,
z_s, z_u, z_r; one Gauss-Newton, its normal equations banded (nine diagonals), minimises the squares of

    [m (z_s″ + g) − F_w]/σ_F                                the sprung mass
    [m z_s″ + m_u z_u″ + (m + m_u) g − F_t]/σ_F             both masses together: valid at the stops too
    (z_u − z_s − w)/σ_w                                     the log
    ż_r/σ_v,  z_r″/(2π f_c σ_v)                             a ground of which the slope is white up to f_c

with F_w of spring, damper, seal friction and the gas in time along the logged travel. At a stop nobody knows
what it carries: there m (z_s″ + g) ≤ F_w at full extension, and ≥ F_w at full travel. The corners of tyre,
stops and friction are rounded and made sharper in stages, starting from two high-pass integrations of the
first line.

Sprung mass, a factor on the damper and the friction of the seals are three more unknowns, bordered on. Over a
ride the wheel's force must carry the mass; a wheel in the air comes out as fast as the damper lets it; where
the wheel turns the force jumps by twice the friction.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from physics.arrays import Marks, Values, values
from physics.limits import STANDARD_GRAVITY
from physics.logged_travel import LEAD, STRETCH, TAIL, AirAlong, Logged, Trace, WheelForce, wheel_force
from physics.motion import Lane

FORCE_ERROR = 12.0
"""σ_F [N]: how well spring, damper and masses are known (an estimate)."""
GROUND_SPEED, GROUND_CORNER = 2.2, 22.0
"""σ_v [m/s] for each 2 ms, and f_c [Hz] beyond which a tyre and a wheel's circle leave little of a ground."""
STRETCHES_A_FIT = 4
"""Stretches fitted at once, with one lead-in."""
MASS_ERROR, DAMPER_ERROR, FRICTION_ERROR = 0.05, 0.20, 20.0
"""How far the sprung mass and the damper may be off, as shares of them, and the friction of the seals [N], or
all of it where that is more."""
HARDER, USUAL_FRICTION = (1.5, 2.25, 3.4), 10.0
"""Factors on the damper, and least friction [N], from which a log is asked what it tells."""
_LED_DOWN = 0.85
"""Factor below which a log must have led down from one of them, else the next one is tried."""
LEAST_DAMPER = 0.5
"""Factor on the damper below which none is looked for: a log that leads there tells no damper."""


class _Stage(NamedTuple):
    """A stage of the fit: the most steps, and the relative `gain` at which it ends.

    `creep` [m/s] is the speed at which friction is full, `soft` [N] the rounding of the corners.
    """

    creep: float
    soft: float
    most: int
    gain: float


_STAGES = (_Stage(0.10, 300.0, 6, 0.01), _Stage(0.02, 60.0, 6, 0.01), _Stage(0.004, 15.0, 20, 0.003))
_TELLING = _Stage(0.004, 15.0, 40, 3e-4)
BETWEEN = 5e-3
"""How far off a cubic between readings may be [m]: at a stop nothing else holds the wheel there."""
_FIRMNESS = (0.1, 1e2, 1e5)
"""What holds heights where they were, the next one where a step finds nothing better."""
_HALVINGS = 4

_Factors = dict[int, Values | float]
"""Factors of a line of residuals by place: z_s, z_u, z_r at the sample before, at it, and after it."""


@dataclass(frozen=True, slots=True)
class Told:
    """What a log tells of the setup that was ridden: factors on sprung mass and damper, `friction` [N]."""

    mass: float
    damper: float
    friction: float

    def on(self, lane: Lane) -> Lane:
        """Return the setup with it."""
        return replace(
            lane,
            mass=lane.mass * self.mass,
            damping=values(lane.damping * self.damper),
            friction=self.friction,
        )

    def moved(self, by: Values) -> Told:
        """Return it with each moved by (3,), none below what is possible."""
        return Told(
            max(self.mass + float(by[0]), 0.5),
            max(self.damper + float(by[1]), LEAST_DAMPER),
            max(self.friction + float(by[2]), 0.0),
        )


@dataclass(frozen=True, slots=True)
class Found:
    """Heights (3, points) [m] of sprung mass, axle and ground, and what the log tells of the setup."""

    heights: Values
    told: Told


@dataclass(frozen=True, slots=True)
class _Lines:
    """The cost of heights and what is told, the five lines of residuals, and what their derivatives need.

    At the inner points: `up` is z_s″ [m/s²], `counts` and `touching` are the derivatives of the rounded
    corners of stops and tyre over σ_F.
    """

    cost: float
    told: Told
    residuals: tuple[Values, Values, Values, Values, Values]
    up: Values
    wheel: WheelForce
    counts: Values
    touching: Values


@dataclass(frozen=True, slots=True)
class _Normal:
    """Upper bands (9, 3, points) and slope (3, points) of the normal equations of a fit.

    What is told of the setup is bordered on: `columns` (told, 3, points), their own `square` (told, told) and
    the `pull` (told,) on them.
    """

    bands: Values
    slope: Values
    columns: Values
    square: Values
    pull: Values

    def step(self) -> tuple[Values, Values]:
        """Return the steps for the heights (3, points) and what is told (3,); uses the bands up."""
        from scipy.linalg import solveh_banded

        right = np.stack([side.T.reshape(-1) for side in (self.slope, *self.columns)], axis=1)
        bands = self.bands.transpose(0, 2, 1).reshape(9, -1)
        solved = solveh_banded(bands, right, overwrite_ab=True, overwrite_b=True, check_finite=False)
        down, *along = (values(one.reshape(-1, 3).T) for one in solved.T)
        moved = np.zeros(3)
        if not along:
            return values(-down), moved
        left = self.square - values([[(one * other).sum() for other in along] for one in self.columns])
        due = values([(one * down).sum() for one in self.columns]) - self.pull
        more = values(np.linalg.solve(left, due))
        moved[: len(more)] = more
        return values(-down - sum(part * one for part, one in zip(more, along, strict=True))), moved


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

    def typed(self) -> Told:
        """Return the setup as it is known."""
        return Told(1.0, 1.0, float(self.lane.friction))

    def found(self, told: Told, near: Found | None = None) -> Found:
        """Return the heights of a setup that is known; from ones nearly right, the last stage is enough."""
        found = Found(self.started(told), told) if near is None else Found(near.heights, told)
        for stage in _STAGES if near is None else _STAGES[-1:]:
            found = self.settled(found, stage, free=0)
        return found

    def telling(self) -> Found:
        """Return heights and setup together, both as the log tells them.

        It starts from a damper that is too hard: that one would need a tyre that pulls, so that the log leads
        down to the true one. Below it, a ground that follows the wheel explains nearly all.
        """
        typed = self.typed()
        for harder in HARDER:
            hard = Told(1.0, harder, max(typed.friction, USUAL_FRICTION))
            found = Found(self.started(hard), hard)
            # Rounded corners would tell another damper and no friction.
            for stage in _STAGES[:-1]:
                found = self.settled(found, stage, free=0)
            found = self.settled(found, _TELLING, free=3)
            if found.told.damper < _LED_DOWN * harder:
                break
        if found.told.damper > LEAST_DAMPER:
            return found
        found = self.found(typed)
        return self.settled(found, _TELLING, free=1)

    def settled(self, found: Found, stage: _Stage, *, free: int) -> Found:
        """Return heights, and the first `free` numbers of what is told, at the end of one stage."""
        weight = np.full(len(self.trace.travel), 1 / BETWEEN)
        weight[:: self.trace.stride] = 1 / self.noise
        marks = self.at_stops()
        lines = self.lines(found, weight, marks, stage)
        for _ in range(stage.most):
            last = lines.cost
            for firmness in _FIRMNESS:
                move, more = self.normal(lines, weight, firmness, free).step()
                for halving in range(_HALVINGS):
                    share = 0.5**halving
                    tried = Found(values(found.heights + share * move), found.told.moved(share * more))
                    new = self.lines(tried, weight, marks, stage)
                    if new.cost < last:
                        found, lines = tried, new
                        break
                if lines.cost < last:
                    break
            if last - lines.cost < stage.gain * lines.cost:
                break
        return found

    def started(self, told: Told) -> Values:
        """Return the heights (3, points) of two high-pass integrations of the sprung mass's force."""
        from scipy.signal import butter, savgol_filter, sosfiltfilt

        lane, step = self.lane, self.step
        mass = told.mass * lane.mass
        window = max(5, 2 * round(0.012 / step) + 1)
        w = savgol_filter(self.trace.travel, window, 3)
        u = savgol_filter(self.trace.travel, window, 3, deriv=1, delta=step)
        pushed = wheel_force(lane, self.air, values(w), values(u), 0.05, told.damper, told.friction).force
        up = pushed / mass - STANDARD_GRAVITY
        # Hanging on its stop at full extension the wheel hides the spring from the sprung mass: it falls.
        up = np.where(w < 4 * self.noise, np.minimum(up, -STANDARD_GRAVITY / 2), up)
        slow = butter(2, 0.3, "high", fs=1 / step, output="sos")
        pad = min(len(w) - 1, round(3 / step))
        sprung = up
        for _ in range(2):
            sprung = sosfiltfilt(slow, np.cumsum(sprung) * step, padlen=pad)
        axle = sprung + w
        jerked = up + savgol_filter(self.trace.travel, window, 3, deriv=2, delta=step)
        tyre = mass * up + lane.unsprung * jerked + (mass + lane.unsprung) * STANDARD_GRAVITY
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
        found: Found,
        weight: Values,
        marks: tuple[Marks, Marks],
        stage: _Stage,
    ) -> _Lines:
        """Return every residual of heights and what is told, and the cost."""
        lane, h, told, soft = self.lane, self.step, found.told, stage.soft
        m, mu, kt, ct = told.mass * lane.mass, lane.unsprung, lane.tyre_stiffness, lane.tyre_damping
        twice, once = 1 / h**2, 1 / (2 * h)
        s, u, r = found.heights
        w, q = u - s, r - u
        speed = (w[2:] - w[:-2]) * once
        inner = AirAlong(self.air.stroke[1:-1], self.air.push[1:-1], self.air.rate[1:-1])
        wheel = wheel_force(lane, inner, w[1:-1], speed, stage.creep, told.damper, told.friction)
        up = (s[2:] - 2 * s[1:-1] + s[:-2]) * twice
        axle = (u[2:] - 2 * u[1:-1] + u[:-2]) * twice
        surplus = m * (up + STANDARD_GRAVITY) - wheel.force
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
        residuals = (first, second, off, third, fourth)
        apart, errors = self.apart(told)
        cost = 0.5 * (sum(map(_squares, residuals)) + _squares(apart / errors))
        return _Lines(cost, told, residuals, up, wheel, counts / FORCE_ERROR, t / FORCE_ERROR)

    def apart(self, told: Told) -> tuple[Values, Values]:
        """Return how far off the setup as known is told to be (3,), and how far it may be."""
        typed = self.typed()
        apart = values([told.mass - 1.0, told.damper - 1.0, told.friction - typed.friction])
        return apart, values([MASS_ERROR, DAMPER_ERROR, max(FRICTION_ERROR, typed.friction)])

    def of_ground(self) -> tuple[float, float]:
        """Return the factors of a ground's first and second difference."""
        h = self.step
        speed_error = GROUND_SPEED * np.sqrt(0.002 / h)
        return 1 / (2 * h * speed_error), 1 / (h * h * 2 * np.pi * GROUND_CORNER * speed_error)

    def normal(self, lines: _Lines, weight: Values, firmness: float, free: int) -> _Normal:
        """Return the normal equations, those of the first `free` of what is told among them."""
        lane, h, f, t = self.lane, self.step, lines.counts, lines.touching
        stiff, drag = lines.wheel.by_travel, lines.wheel.by_speed
        m, mu, kt, ct = lines.told.mass * lane.mass, lane.unsprung, lane.tyre_stiffness, lane.tyre_damping
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
        columns, own, pull = self.bordered(lines, rows[0][1], rows[1][1], free)
        square, pulled = weight * weight, off * weight
        bands[8, 0] += square
        bands[8, 1] += square
        bands[7, 1] -= square
        slope[0] -= pulled
        slope[1] += pulled
        bands[8] += firmness
        return _Normal(bands, slope, columns, own, pull)

    def bordered(
        self, lines: _Lines, of_first: _Factors, of_second: _Factors, count: int
    ) -> tuple[Values, Values, Values]:
        """Return columns, squares and slope of the first `count` of what is told."""
        f, weighed = lines.counts, self.lane.mass * (lines.up + STANDARD_GRAVITY)
        first, second, *_ = lines.residuals
        parts = [f * weighed, -f * lines.wheel.by_damper, -f * lines.wheel.by_friction][:count]
        both = weighed / FORCE_ERROR
        apart, errors = (one[:count] for one in self.apart(lines.told))
        columns = np.zeros((count, 3, len(self.trace.travel)))
        for column, part in zip(columns, parts, strict=True):
            _project(column, part, of_first)
        square = values([[(one * other).sum() for other in parts] for one in parts]).reshape(count, count)
        pull = values([(part * first).sum() for part in parts]) + apart / errors**2
        if count:
            _project(columns[0], both, of_second)
            square[0, 0] += _squares(both)
            pull[0] += float((both * second).sum())
        return columns, values(square + np.diag(errors**-2)), values(pull)


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
