"""The ground under a logged ride, from a least-squares fit of all heights at once.

The ground is fitted, not integrated. The unknowns at every sample are the heights of sprung mass, axle and
ground, z_s, z_u, z_r. Gauss-Newton with banded normal equations (nine diagonals) minimises the sum of squares
of

    [m (z_s″ + g) − F_w]/σ_F                                the sprung mass
    [m z_s″ + m_u z_u″ + (m + m_u) g − F_t]/σ_F             both masses together: valid at the stops too
    (z_u − z_s − w)/σ_w                                     the log
    ż_r/σ_v,  z_r″/(2π f_c σ_v)                             prior: ground slope is white noise up to f_c

where F_w includes spring, damper, seal friction, and the gas integrated along the logged travel. The force of
a stop is unknown, so at a stop the first residual becomes an inequality: m (z_s″ + g) ≤ F_w at full
extension, ≥ F_w at full travel. The corners of tyre, stops and friction are smoothed, less so from stage to
stage. The initial guess integrates the first equation twice with a high-pass filter.

Three more unknowns border the band matrix: sprung mass, a factor on the damper, and seal friction. They are
observable because over a ride the wheel force carries the mass, a wheel in the air extends as fast as the
damper allows, and the force jumps by twice the friction where the wheel changes direction.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from physics.arrays import Marks, Values, values
from physics.frozen import NamedTuple, dataclass
from physics.limits import STANDARD_GRAVITY
from physics.logged_travel import LEAD, STRETCH, TAIL, AirAlong, Logged, Trace, WheelForce, wheel_force
from physics.motion import Lane

FORCE_ERROR = 12.0
"""σ_F [N]: standard deviation of the force from spring, damper and masses (an estimate)."""
GROUND_SPEED, GROUND_CORNER = 2.2, 22.0
"""σ_v [m/s] per 2 ms, and f_c [Hz], above which tyre and wheel radius filter out most of the ground."""
STRETCHES_A_FIT = 4
"""Stretches per fit; they share one lead-in."""
MASS_ERROR, DAMPER_ERROR, FRICTION_ERROR = 0.05, 0.20, 20.0
"""Prior standard deviations: of sprung mass and damper as fractions, and of seal friction [N] (at least the
friction itself)."""
HARDER, USUAL_FRICTION = (1.5, 2.25, 3.4), 10.0
"""Starting values for the identification: factors on the damper, and least friction [N]."""
_LED_DOWN = 0.85
"""The damper must fall below its starting value times this factor, else the next start is tried."""
LEAST_DAMPER = 0.5
"""Lower bound of the damper factor: a log for which the fit ends there does not determine the damper."""


class _Stage(NamedTuple):
    """A stage of the fit: at most `most` steps, until one reduces the cost by less than `gain`, relative.

    `creep` [m/s] is the shaft speed of full friction, `soft` [N] the width of the smoothed corners.
    """

    creep: float
    soft: float
    most: int
    gain: float


_STAGES = (_Stage(0.10, 300.0, 6, 0.01), _Stage(0.02, 60.0, 6, 0.01), _Stage(0.004, 15.0, 20, 0.003))
_TELLING = _Stage(0.004, 15.0, 40, 3e-4)
BETWEEN = 5e-3
"""Standard deviation [m] of the cubic between readings: at a stop nothing else determines the travel
there."""
_FIRMNESS, _SOFTER = (0.1, 1e2, 1e5), (0.01, 1e2, 1e5)
"""Levenberg-Marquardt damping while the setup is looked for, and for one that is known; the next value is
tried if a step does not reduce the cost."""
_ROUNDING = 1e-15
"""Least damping as a share of the largest diagonal element: with less, rounding errors of the factorisation
would exceed what the log tells of slow changes of the ground's height."""
_HALVINGS = 4

_Factors = dict[int, Values | float]
"""Derivatives of a residual by position: z_s, z_u, z_r at the previous sample, this one, and the next."""


@dataclass(frozen=True, slots=True)
class Told:
    """The setup as identified from a log: factors on sprung mass and damper, seal `friction` [N]."""

    mass: float
    damper: float
    friction: float

    def on(self, lane: Lane) -> Lane:
        """Return a lane with these values."""
        return replace(
            lane,
            mass=lane.mass * self.mass,
            damping=values(lane.damping * self.damper),
            friction=self.friction,
        )

    def moved(self, by: Values) -> Told:
        """Return the values changed by (3,), limited to their physical range."""
        return Told(
            max(self.mass + float(by[0]), 0.5),
            max(self.damper + float(by[1]), LEAST_DAMPER),
            max(self.friction + float(by[2]), 0.0),
        )


@dataclass(frozen=True, slots=True)
class Found:
    """Heights (3, points) [m] of sprung mass, axle and ground, and the setup as identified."""

    heights: Values
    told: Told


@dataclass(frozen=True, slots=True)
class _Lines:
    """Cost of a state, its five series of residuals, and what their derivatives need.

    At the inner points, `up` is z_s″ [m/s²]; `counts` and `touching` are the derivatives of the smoothed
    corners of stops and tyre, divided by σ_F.
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
    """Normal equations of a fit: upper bands (9, 3, points) and gradient `slope` (3, points).

    The border belongs to the unknowns of the setup: its `columns` (unknowns, 3, points), its own block
    `square` (unknowns, unknowns) and gradient `pull` (unknowns,).
    """

    bands: Values
    slope: Values
    columns: Values
    square: Values
    pull: Values

    def step(self) -> tuple[Values, Values]:
        """Return the steps of the heights (3, points) and of the setup (3,); overwrites the bands."""
        from scipy.linalg import solveh_banded

        # LAPACK's order of columns, so that it copies neither.
        right = np.stack([side.T.reshape(-1) for side in (self.slope, *self.columns)]).T
        bands = self.bands.transpose(2, 1, 0).reshape(-1, 9).T
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
    """A part of a log to be fitted: the ridden setup, the log and the air along it, and the grid.

    `mass` (points,) [kg] is the mass of air in the first chamber, `stretches` the number of stretches in this
    part, `first` whether the log starts with it.
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
        """Return the setup as entered."""
        return Told(1.0, 1.0, float(self.lane.friction))

    def found(self, told: Told, near: Found | None = None) -> Found:
        """Return the heights for a given setup; starting `near` the solution, only the last stage is run."""
        found = Found(self.started(told), told) if near is None else Found(near.heights, told)
        for stage in _STAGES[1:] if near is None else _STAGES[-1:]:
            found = self.settled(found, stage, free=0, damping=_SOFTER)
        return found

    def telling(self) -> Found:
        """Fit heights and setup together.

        The start is a damper that is too hard: it would require the tyre to pull, so the fit moves down to
        the true value. From below it would not move: with a damper that is too soft, a ground that follows
        the wheel explains nearly everything.
        """
        typed = self.typed()
        for harder in HARDER:
            hard = Told(1.0, harder, max(typed.friction, USUAL_FRICTION))
            found = Found(self.started(hard), hard)
            # Smoothed corners would bias the damper and hide the friction: free the setup only now.
            for stage in _STAGES[:-1]:
                found = self.settled(found, stage, free=0)
            found = self.settled(found, _TELLING, free=3)
            if found.told.damper < _LED_DOWN * harder:
                break
        if found.told.damper > LEAST_DAMPER:
            return found
        found = self.found(typed)
        return self.settled(found, _TELLING, free=1)

    def settled(
        self, found: Found, stage: _Stage, *, free: int, damping: tuple[float, ...] = _FIRMNESS
    ) -> Found:
        """Run one stage with the heights and the first `free` unknowns of the setup; return its result."""
        weight = np.full(len(self.trace.travel), 1 / BETWEEN)
        weight[:: self.trace.stride] = 1 / self.noise
        marks = self.at_stops()
        lines = self.lines(found, weight, marks, stage)
        for _ in range(stage.most):
            last = lines.cost
            for firmness in damping:
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
        """Return the initial heights (3, points): sprung acceleration, integrated twice and high-passed."""
        from scipy.signal import butter, savgol_filter, sosfiltfilt

        lane, step = self.lane, self.step
        mass = told.mass * lane.mass
        window = max(5, 2 * round(0.012 / step) + 1)
        w = savgol_filter(self.trace.travel, window, 3)
        u = savgol_filter(self.trace.travel, window, 3, deriv=1, delta=step)
        pushed = wheel_force(lane, self.air, values(w), values(u), 0.05, told.damper, told.friction).force
        up = pushed / mass - STANDARD_GRAVITY
        # At full extension the stop carries the spring force: the sprung mass is in free fall.
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
        """Mark the inner points at which the stop at full extension, or at full travel, may be in contact."""
        near, travel, smooth = 4 * self.noise, self.trace.travel, self.trace.smooth
        found = []
        for there in (
            np.minimum(travel, smooth) < near,
            np.maximum(travel, smooth) > self.lane.travel - near,
        ):
            wide = there.copy()
            # A contact may fall between two readings.
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
        """Return the residuals and the cost of a state."""
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
        """Return the deviation of the setup from the one entered, and its prior standard deviation, (3,)."""
        typed = self.typed()
        apart = values([told.mass - 1.0, told.damper - 1.0, told.friction - typed.friction])
        return apart, values([MASS_ERROR, DAMPER_ERROR, max(FRICTION_ERROR, typed.friction)])

    def of_ground(self) -> tuple[float, float]:
        """Return the weights of the ground's first and second difference."""
        h = self.step
        speed_error = GROUND_SPEED * np.sqrt(0.002 / h)
        return 1 / (2 * h * speed_error), 1 / (h * h * 2 * np.pi * GROUND_CORNER * speed_error)

    def normal(self, lines: _Lines, weight: Values, firmness: float, free: int) -> _Normal:
        """Return the normal equations of the heights and the first `free` unknowns of the setup."""
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
        bands[8] += max(firmness, _ROUNDING * bands[8].max())
        return _Normal(bands, slope, columns, own, pull)

    def bordered(
        self, lines: _Lines, of_first: _Factors, of_second: _Factors, count: int
    ) -> tuple[Values, Values, Values]:
        """Return the border for the first `count` unknowns of the setup: columns, block and gradient."""
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
    # A dot product would start the threads of the linear algebra library every time.
    return float(np.square(residual).sum())


def softplus(x: Values, soft: float) -> tuple[Values, Values]:
    """Return soft·ln(1 + e^(x/soft)), a smooth max(0, x), and its derivative.

    >>> rounded, slope = softplus(values([-1e6, 0.0, 1e6]), 15.0)  # soft · ln 2 = 10.397
    >>> rounded.round(3).tolist(), slope.round(3).tolist()
    ([0.0, 10.397, 1000000.0], [0.0, 0.5, 1.0])
    """
    scaled = np.clip(x / soft, -40.0, 40.0)
    grown = np.exp(-np.abs(scaled))
    rounded = np.maximum(x, 0.0) + soft * np.log1p(grown)
    return values(rounded), values(np.where(scaled > 0, 1.0, grown) / (1.0 + grown))


def _add(bands: Values, slope: Values, residual: Values, factors: _Factors) -> None:
    """Add one series of residuals at the inner points to the normal equations."""
    last = slope.shape[1] - 2
    _project(slope, residual, factors)
    for p, one in factors.items():
        for q, other in factors.items():
            if q >= p:
                bands[8 - (q - p), q % 3, q // 3 : last + q // 3] += one * other


def _project(slope: Values, residual: Values, factors: _Factors) -> None:
    """Add the products of one series of residuals with its derivatives to a gradient (3, points)."""
    last = slope.shape[1] - 2
    for p, one in factors.items():
        slope[p % 3, p // 3 : last + p // 3] += one * residual


def fits_of(ride: Logged) -> list[Fit]:
    """Return the parts of a log to fit: four stretches each, with a lead-in and a tail."""
    step = ride.step
    lead, size, tail = (round(part / step) for part in (LEAD, STRETCH, TAIL))
    found = []
    for trace, air, mass in zip(ride.traces, ride.airs, ride.masses, strict=True):
        stretches = (len(trace.travel) - lead) // size
        for first in range(0, stretches, STRETCHES_A_FIT):
            count = min(STRETCHES_A_FIT, stretches - first)
            # The first point of a part must be a reading, not a point in between.
            begin = first * size - first * size % trace.stride
            part = slice(begin, min(lead + (first + count) * size + tail, len(trace.travel)))
            start = trace.start + begin * step
            cut = Trace(start, trace.travel[part], trace.smooth[part], trace.stride)
            found.append(Fit(ride.lane, cut, air.cut(part), mass[part], step, ride.noise, count, first == 0))
    return found
