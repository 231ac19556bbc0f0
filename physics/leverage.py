"""Leverage ratio over wheel travel, closed on the shock: the lever between wheel and spring.

Whatever the mechanic knows becomes one form: L and dL/dw at evenly spaced wheel travels, a cubic
between them. Shock stroke is x(w) = ∫₀ʷ dw′/L(w′), exact at the nodes and a cubic between them.

A table, measured pairs and a linkage are shared by every case; the numbers of the other kinds may have the
axis of cases.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from physics.answer import FrameAnswer
from physics.arrays import NONE, Scalar, Values, beside_points, per_point, values
from physics.case import Fork, Frame, LeverageEnds, Linkage, Measured, Table
from physics.cubic import Cubic, shape_preserving
from physics.faults import Fault, Refused
from physics.frozen import dataclass
from physics.linkage import eye_faults, move
from physics.pairs import PairCurve, fitted
from physics.remembered import remembered
from physics.roots import bracketed_root

INTERVALS = 240
"""Steps of wheel travel: 0.25, 0.5, 0.6, 0.75 and 0.8 of the travel fall on nodes."""
_ROWS = ("frame", "leverage", "travel_mm")
_HAIR = 1e-9
"""A table may stop this far [m] short of the travel: rounding of a typed number."""


def ratio_at(frame: Frame, wheel: Values) -> tuple[Values, Values, Values]:
    """Return L, dL/dw [1/m] at travels (cases..., nodes) [m], and the rms residual [m] of measured pairs.

    Raises `Refused` for rows out of order, too few or too short, and for a linkage that does not
    move through the stroke or was drawn with another shock.
    """
    match frame.leverage:
        case LeverageEnds():
            return *_between_ends(frame.leverage, wheel / per_point(frame.wheel_travel), frame), NONE
        case Fork(head_angle):
            # A fork moves along its own axis: dw = sin(head angle) dx.
            ratio = np.sin(per_point(head_angle)) * np.ones_like(wheel)
            return ratio, np.zeros_like(ratio), NONE
        case Table():
            return *_through_table(frame.leverage, float(np.max(frame.wheel_travel)), wheel), NONE
        case Measured():
            return _through_pairs(frame.leverage, wheel)
        case Linkage():
            return *_of_linkage(frame.leverage, frame, wheel), NONE


def _between_ends(ends: LeverageEnds, t: Values, frame: Frame) -> tuple[Values, Values]:
    """Return the straight line, or the parabola through three points at w = 0, W/2, W; t = w/W."""
    start, end = per_point(ends.start), per_point(ends.end)
    bend = 0.0 if ends.middle is None else 2 * start + 2 * end - 4 * per_point(ends.middle)
    rise = end - start - bend
    slope = (rise + 2 * bend * t) / per_point(frame.wheel_travel)
    return values(start + (rise + bend * t) * t), values(slope)


def _through_table(table: Table, longest: float, wheel: Values) -> tuple[Values, Values]:
    travel = table.travel
    if len(travel) < 2 or np.any(np.diff(travel) <= 0):
        raise Refused(Fault(_ROWS, "not_increasing"))
    first, last = float(travel[0]), float(travel[-1])
    if first > _HAIR or last < longest - _HAIR:
        raise Refused(Fault(_ROWS, "not_covered", {"first": first, "last": last, "wheel_travel": longest}))
    return shape_preserving(travel, table.ratio).at(np.clip(wheel, first, last))


def _through_pairs(pairs: Measured, wheel: Values) -> tuple[Values, Values, Values]:
    """Return L = 1/x′(w) and L′ = −x″/x′² of the curve x(w) fitted to the pairs, and its residual."""
    curve = fitted(pairs)
    if curve is None:
        raise Refused(Fault(_ROWS, "too_few_pairs", {"pairs": float(len(pairs.travel))}))
    residual = np.sqrt(np.mean((curve.stroke(pairs.travel) - pairs.stroke) ** 2))
    ratio, slope = curve.leverage(wheel)
    if np.any(ratio <= 0):
        raise Refused(Fault(_ROWS, "stroke_turns_back"))
    return ratio, slope, values(residual)


def _of_linkage(linkage: Linkage, frame: Frame, wheel: Values) -> tuple[Values, Values]:
    """Return L and dL/dw of the linkage at the same fractions of the travel."""
    wrong_shock = eye_faults(linkage, frame.eye_to_eye)
    try:
        motion = move(linkage, float(np.max(frame.stroke)))
    except Refused as refusal:
        raise Refused(*refusal.faults, *wrong_shock) from None
    if wrong_shock:
        raise Refused(*wrong_shock)
    if np.isnan(motion.wheel[-1]):  # the stroke is not known
        return np.full_like(wheel, np.nan), np.full_like(wheel, np.nan)
    curve = Cubic(motion.wheel, motion.ratio, motion.slope)
    reached = np.interp(frame.stroke, motion.stroke, motion.wheel)
    share = per_point(reached / frame.wheel_travel)
    there = np.clip(wheel * share, 0.0, motion.wheel[-1])
    ratio, slope = curve.at(there)
    return ratio, slope * share


SILENT_CLOSURE = 0.005
"""Closure error up to which no caution is raised."""
LARGEST_CLOSURE = 0.05
"""Closure error beyond which a leverage is refused."""
_GAUSS_NODES = np.sqrt(3 / 7 + np.array([2, -2, -2, 2]) / 7 * np.sqrt(6 / 5)) * [-1, -1, 1, 1]
_GAUSS_WEIGHTS = (18 + np.array([-1, 1, 1, -1]) * np.sqrt(30)) / 36
"""Gauss–Legendre of four points from −1 to 1; `numpy.polynomial`, which has them too, takes long to load."""
_FEW = 16
"""Intervals of a curve through measured pairs when there are thousands of curves."""
_FLAT = 1e-12
"""Change of leverage that counts as none."""
_INVERSION_STEPS = 30
_INVERSION_TOLERANCE = 1e-8
"""Stop when the step [m] of the inversion of x(w) is below this; convergence is quadratic, so the error is
below 1e-14 m."""


@dataclass(frozen=True, slots=True)
class Places:
    """Wheel travels and shock strokes [m] that correspond, with L and dL/dw [1/m] there.

    All of shape (cases..., points).
    """

    wheel: Values
    stroke: Values
    ratio: Values
    slope: Values


@dataclass(frozen=True, slots=True, eq=False)
class LeverageCurve:
    """L over wheel travel [m], from full extension to full travel, of shape (cases...).

    `nodes` are evenly spaced in wheel travel, `step` [m] apart; `pieces` (4, 3, cases times intervals) holds
    the coefficients of the cubics of x, L and dL/dw there, `first_piece` the index at which a case starts.
    Both may have an axis of points, of one.
    `closure_error` is e = x(W)/S − 1 before scaling; `residual` [m] is the rms of measured pairs or NaN.
    """

    wheel_travel: Values
    stroke: Values
    nodes: Places
    step: Scalar
    pieces: Values
    first_piece: NDArray[np.intp] | np.intp
    closure_error: Values
    residual: Values

    def at(self, wheel: Values) -> Places:
        """Return the places at wheel travels (cases..., points) [m], clamped to the ends of the travel.

        >>> curve = leverage_curve(Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)))
        >>> there = curve.at(values([0.075]))
        >>> round(float(there.stroke[0]), 6), round(float(there.ratio[0]), 6)
        (0.03, 2.5)
        """
        intervals = self.nodes.wheel.shape[-1] - 1
        if not wheel.ndim and not np.ndim(self.first_piece):
            return self._at_one(wheel, intervals)
        place = np.minimum(np.maximum(wheel / self.step, 0.0), intervals)
        # A NaN travel stays NaN through t; only its index needs a number, which fmin gives.
        index = np.fmin(place, intervals - 1).astype(np.intp)
        t = place - index
        c0, c1, c2, there = self.pieces.take(self.first_piece + index, -1, mode="clip")
        for power in (c2, c1, c0):  # in place: half the time for hundreds of points
            there *= t
            there += power
        return Places(place * self.step, there[0], there[1], there[2])

    def _at_one(self, wheel: Values, intervals: int) -> Places:
        """Return one place of a single case: Python's floats take an eighth of the time of numpy's arrays."""
        place = min(max(float(wheel / self.step), 0.0), float(intervals))
        index = 0 if math.isnan(place) else min(int(place), intervals - 1)
        t = place - index
        (x0, l0, s0), (x1, l1, s1), (x2, l2, s2), (x3, l3, _) = self.pieces[:, :, index].tolist()
        stroke, ratio = x0 + t * (x1 + t * (x2 + t * x3)), l0 + t * (l1 + t * (l2 + t * l3))
        return Places(
            values(place * self.step), values(stroke), values(ratio), values(s0 + t * (s1 + t * s2))
        )

    def at_stroke(self, stroke: Values) -> Places:
        """Return the places at shock strokes (cases..., points) [m]; Newton's method with dx/dw = 1/L.

        The start is exact for a leverage linear between the end ratios, where dw/dx = L gives
        w = L₀ x (e^z − 1)/z with z = x (L₁ − L₀)/W.
        """
        first, last = self.nodes.ratio[..., :1], self.nodes.ratio[..., -1:]
        z = stroke * ((last - first) / per_point(self.wheel_travel))
        z = np.where(np.abs(z) < _FLAT, _FLAT, z)
        here = self.at(values(first * stroke * np.expm1(z) / z))
        for _ in range(_INVERSION_STEPS):
            move = (stroke - here.stroke) * here.ratio
            here = self.at(here.wheel + move)
            if not (np.abs(move) > _INVERSION_TOLERANCE).any():
                break
        return here


def fork_travel(stroke: Scalar, head_angle: Scalar) -> Values:
    """Return the vertical wheel travel of a fork [m], x sin α, from stroke x [m] and head angle α [rad].

    >>> round(float(fork_travel(0.150, np.radians(64.0))), 4)
    0.1348
    """
    return values(stroke * np.sin(values(head_angle)))


def frame_answer(lever: LeverageCurve) -> FrameAnswer:
    """Return the leverage as used, for display."""
    ratio = lever.nodes.ratio
    start, end = ratio[..., 0], ratio[..., -1]
    return FrameAnswer(
        leverage_start=start,
        leverage_end=end,
        progression=values((start - end) / start),
        closure_error=lever.closure_error,
        residual=lever.residual,
        wheel_travel=lever.wheel_travel,
        stroke=lever.stroke,
        travel=lever.nodes.wheel,
        ratio=ratio,
    )


def leverage_curve(frame: Frame) -> LeverageCurve:
    """Return the closed curve of a frame.

    The curve must close on the shock: with e = x(W)/S − 1, L is scaled by 1 + e. Raises `Refused` if
    |e| exceeds 5 %, a ratio is not positive, or a table does not cover the travel. Pairs that end before
    the travel are refused for that where the curve beyond them cannot be used: the stroke may well be right.

    >>> curve = leverage_curve(Frame(0.150, 0.060, LeverageEnds(2.8, 2.2)))
    >>> round(float(curve.closure_error), 4)  # 150 ln(2.8/2.2)/0.6 = 60.29 mm of stroke
    0.0048
    """
    travel, stroke = values(frame.wheel_travel), values(frame.stroke)
    try:
        nodes, residual = _open_curve(frame)
        _refuse_open(frame, stroke, nodes.stroke[..., -1], values(nodes.stroke[..., -1] / stroke - 1))
    except Refused as refused:
        ended = _pairs_end(frame)
        if ended is None or any(fault.code == "too_few_pairs" for fault in refused.faults):
            raise
        raise Refused(replace(ended, cases=refused.faults[0].cases)) from refused
    return _closed(travel, stroke, nodes, residual)


remembered_curve = remembered(8)(leverage_curve)
"""The same, kept for the last frames, because few keystrokes change the frame."""


def _pairs_end(frame: Frame) -> Fault | None:
    """Return the fault of pairs that end more than 5 % before the travel, None for any other leverage."""
    if not isinstance(frame.leverage, Measured):
        return None
    last, whole = float(np.max(frame.leverage.travel, initial=0.0)), float(np.min(frame.wheel_travel))
    if last >= (1 - LARGEST_CLOSURE) * whole:
        return None
    return Fault(_ROWS, "pairs_end", {"last": last, "wheel_travel": whole})


def _open_curve(frame: Frame) -> tuple[Places, Values]:
    """Return the nodes of a leverage as it is typed, not scaled to the stroke, and the residual [m] of pairs.

    Raises `Refused` where a ratio is not positive, besides all that `ratio_at` refuses.
    """
    travel = values(frame.wheel_travel)
    wheel = per_point(travel) * np.linspace(0.0, 1.0, INTERVALS + 1)
    ratio, slope, residual = ratio_at(frame, wheel)
    if np.any(pulling := ratio <= 0):
        least, where = {"ratio": float(np.min(ratio))}, np.asarray(pulling.any(axis=-1))
        raise Refused(Fault(("frame", "leverage"), "ratio_not_positive", least, cases=where))
    reached = _integral_of_inverse(per_point(travel) / INTERVALS, ratio, slope)
    return Places(wheel, reached, ratio, slope), residual


def curves_of_pairs(frame: Frame, curve: PairCurve) -> LeverageCurve:
    """Return the closed curves of a frame for drawn curves of its pairs, weights (cases, powers).

    A case whose stroke turns back is NaN throughout; none is refused for its closure error. The
    curves are as smooth as their polynomials, so few nodes suffice.
    """
    travel, stroke = values(frame.wheel_travel), values(frame.stroke)
    wheel = values(travel * np.linspace(0.0, 1.0, _FEW + 1))
    ratio, slope = curve.leverage(wheel)
    turned = (ratio <= 0).any(axis=-1, keepdims=True)
    reached = Places(wheel, curve.stroke(wheel), values(np.where(turned, np.nan, ratio)), slope)
    return _closed(travel, stroke, reached, NONE)


RATIO_REACH = 1.0, 5.0
"""Ratios among which one is searched that closes a frame: no frame has others (from memory)."""


@dataclass(frozen=True, slots=True)
class Closing:
    """What closes a frame on the stroke of its shock, each by itself and the rest as it is.

    The ratio at the `end` of the travel, that in the `middle` of it, the `wheel_travel` [m], and the `stroke`
    [m] that pairs or a table reach; NaN for one that the leverage does not have, or that no number within
    reach closes.
    """

    end: float
    middle: float
    wheel_travel: float
    stroke: float


def closing(frame: Frame) -> Closing:
    """Return what closes a single frame; raises `Refused` where its leverage has no curve.

    >>> found = closing(Frame(0.150, 0.060, LeverageEnds(2.8, 2.25)))
    >>> round(found.end, 4), round(found.middle, 4), round(found.wheel_travel, 5)
    (2.2222, 2.5025, 0.1509)
    """
    end = middle = stroke = np.nan
    if isinstance(frame.leverage, LeverageEnds):
        end, middle = map(float, _closing_ratios(frame, frame.leverage))
    elif isinstance(frame.leverage, Table | Measured):
        stroke = float(_open_curve(frame)[0].stroke[..., -1])
    return Closing(end, middle, _closing_travel(frame), stroke)


def _closing_ratios(frame: Frame, ends: LeverageEnds) -> Values:
    """Return the ratios at the end and in the middle (2,) at which ∫ dw/L is the stroke, both at once."""
    travel, is_end = values(frame.wheel_travel), np.array([True, False])
    t = np.linspace(0.0, 1.0, INTERVALS + 1)
    # By how much L rises at t = w/W with the ratio that is searched: the parabola through three points.
    rise = np.stack([t if ends.middle is None else t * (2 * t - 1), 4 * t * (1 - t)])

    def excess(ratio: Values) -> tuple[Values, Values]:
        last = np.where(is_end, ratio, ends.end)
        straight = (ends.start + last) / 2
        between = straight if ends.middle is None else np.full_like(last, ends.middle)
        tried = LeverageEnds(ends.start, last, np.where(is_end, between, ratio))
        here, slope, _ = ratio_at(replace(frame, leverage=tried), values(travel * t))
        turned = np.asarray((here <= 0).any(axis=-1))
        here = np.where(turned[:, None], np.nan, here)
        reached = _integral_of_inverse(values(travel / INTERVALS), here, slope)[..., -1]
        falling = travel * np.trapezoid(rise / (here * here), t, axis=-1)
        return values(np.where(turned, -np.inf, frame.stroke - reached)), values(falling)

    with np.errstate(invalid="ignore"):
        low, high = (values(np.full(2, reach)) for reach in RATIO_REACH)
        return bracketed_root(excess, low, high).at


def _closing_travel(frame: Frame) -> float:
    """Return the wheel travel [m] at which a leverage reaches the stroke, NaN beyond the last row."""
    rows = frame.leverage
    if not isinstance(rows, Table | Measured):
        # The ratio is one of the share of the travel: the stroke grows with the travel.
        return float(frame.wheel_travel * frame.stroke / _open_curve(frame)[0].stroke[..., -1])
    whole = replace(frame, wheel_travel=float(rows.travel[-1]))
    reached, most = _open_curve(whole)[0], values(whole.wheel_travel)
    if frame.stroke > reached.stroke[..., -1]:
        return float("nan")
    curve = _closed(most, reached.stroke[..., -1], reached, NONE)
    return float(curve.at_stroke(values([float(frame.stroke)])).wheel[0])


def _closed(travel: Values, stroke: Values, reached: Places, residual: Values) -> LeverageCurve:
    """Return the curve scaled to the stroke [m] of the shock."""
    error = values(reached.stroke[..., -1] / stroke - 1)
    scale = per_point(1 + error)
    nodes = Places(reached.wheel, reached.stroke / scale, reached.ratio * scale, reached.slope * scale)
    step = beside_points(travel / (nodes.wheel.shape[-1] - 1))
    pieces, first = _pieces(values(step), nodes)
    return LeverageCurve(travel, stroke, nodes, step, pieces, first, error, residual)


def _refuse_open(frame: Frame, stroke: Values, reached: Values, error: Values) -> None:
    """Refuse the case with the largest closure error, with both strokes, if it is too large.

    A single frame is told what would close it.
    """
    worst = np.argmax(np.abs(error))
    if abs(error.flat[worst]) > LARGEST_CLOSURE:
        strokes = (np.broadcast_to(part, error.shape).flat[worst] for part in (stroke, reached))
        at = dict(zip(("stroke", "leverage_stroke"), map(float, strokes), strict=True))
        at["closure_error"] = float(error.flat[worst])
        if not error.ndim:
            found = closing(frame)
            at |= {"fits_end": found.end, "fits_middle": found.middle, "fits_travel": found.wheel_travel}
        open_cases = np.asarray(np.abs(error) > LARGEST_CLOSURE)
        raise Refused(Fault(("frame", "stroke"), "does_not_close", at, cases=open_cases))


def _cubic(y0: Values, y1: Values, d0: Values, d1: Values) -> list[Values]:
    """Return the coefficients over t = 0…1 of the cubic with these values and derivatives (per unit of t)."""
    rise = y1 - y0
    return [y0, d0, 3 * rise - 2 * d0 - d1, d0 + d1 - 2 * rise]


def _integral_of_inverse(step: Values, ratio: Values, slope: Values) -> Values:
    """Return ∫ dw/L [m] from the first node to every node: Gauss–Legendre, four points an interval."""
    bend = slope * step
    cubic = _cubic(ratio[..., :-1], ratio[..., 1:], bend[..., :-1], bend[..., 1:])
    c0, c1, c2, c3 = (part[..., None] for part in cubic)
    t = (_GAUSS_NODES + 1) / 2
    total = np.cumsum((1 / (c0 + t * (c1 + t * (c2 + t * c3)))) @ _GAUSS_WEIGHTS / 2 * step, axis=-1)
    return values(np.concatenate([np.zeros_like(total[..., :1]), total], axis=-1))


def _pieces(step: Values, nodes: Places) -> tuple[Values, NDArray[np.intp] | np.intp]:
    """Return the cubics of all intervals of all cases side by side, and where each case starts."""
    l0, l1, l2, l3 = _between_nodes(nodes.ratio, nodes.slope * step)
    x0, x1, x2, x3 = _between_nodes(nodes.stroke, step / nodes.ratio)
    rows = (x0, l0, l1 / step, x1, l1, 2 * l2 / step, x2, l2, 3 * l3 / step, x3, l3, np.zeros_like(l3))
    table = np.stack(np.broadcast_arrays(*rows))
    cases, intervals = table.shape[1:-1], table.shape[-1]
    first = np.arange(np.prod(cases, dtype=np.intp)).reshape((*cases, 1)) * intervals
    return table.reshape(4, 3, -1), first if cases else np.intp(0)


def _between_nodes(value: Values, bend: Values) -> list[Values]:
    """Return the coefficients of the cubics between nodes (cases..., nodes), `bend` being per interval."""
    value, bend = np.broadcast_arrays(value, bend)
    return _cubic(value[..., :-1], value[..., 1:], bend[..., :-1], bend[..., 1:])


_LONGEST_STEP = 1 / 20
"""Longest step between rows, as a fraction of the stroke; beyond it a cubic over travel would be a different
curve."""


def table_over_travel(stroke: Values, ratio: Values) -> Table:
    """Return leverage over wheel travel from rows (rows,) of stroke [m] and L = dw/dx there.

    L(x) is the shape-preserving cubic (PCHIP) through the rows, as L(w) of a table over travel is, and
    w(x) = ∫₀ˣ L dx′ its exact integral. Rows are added between those far apart. `stroke` starts at 0
    and increases, `ratio` is positive; `ValueError` for strokes that do not increase.

    >>> table = table_over_travel(values([0.0, 0.060]), values([2.5, 2.5]))
    >>> round(float(table.travel[-1]), 6)
    0.15
    """
    curve = shape_preserving(stroke, ratio)
    steps = np.ceil(np.diff(stroke) / (_LONGEST_STEP * stroke[-1]) - 1e-9).astype(np.intp)
    places = np.interp(_counted(steps), np.arange(len(stroke)), stroke)
    return Table(curve.integral(places), curve.at(places)[0])


def _counted(steps: np.typing.NDArray[np.intp]) -> Values:
    """Return positions along the rows, a whole number at each row, with so many steps between them."""
    parts = [row + np.arange(count) / count for row, count in enumerate(np.maximum(steps, 1))]
    return values(np.concatenate([*parts, [len(steps)]]))
