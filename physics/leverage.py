"""Leverage ratio over wheel travel, closed on the shock: the lever between wheel and spring.

Whatever the mechanic knows becomes one form: L and dL/dw at evenly spaced wheel travels, a cubic
between them. Shock stroke is x(w) = ∫₀ʷ dw′/L(w′).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from physics.arrays import Values, per_point, values
from physics.case import Ends, Fork, Frame, Measured, Table
from physics.faults import Fault, Refused

_INTERVALS = 256
_GAUSS_NODES, _GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(4)
SILENT_CLOSURE = 0.005
LARGEST_CLOSURE = 0.05


@dataclass(frozen=True, slots=True)
class LeverageCurve:
    """L over wheel travel, as nodes (cases..., nodes), and the two travels [m] (cases...).

    `closure_error` is e = x(W)/S − 1 before scaling; `residual` [m] is the rms of measured pairs or NaN.
    """

    wheel_travel: Values
    stroke: Values
    node_ratio: Values
    node_slope: Values
    node_stroke: Values
    closure_error: Values
    residual: Values

    def _place(self, wheel: Values) -> tuple[Values, Values, tuple[Values, ...]]:
        step = per_point(self.wheel_travel) / _INTERVALS
        scaled = np.clip(wheel / step, 0.0, _INTERVALS)
        index = np.minimum(scaled.astype(int), _INTERVALS - 1)
        ends = []
        for nodes in (self.node_ratio, self.node_slope, self.node_stroke):
            table = np.broadcast_to(nodes, (*wheel.shape[:-1], nodes.shape[-1]))
            ends += [np.take_along_axis(table, index, -1), np.take_along_axis(table, index + 1, -1)]
        return scaled - index, values(step), tuple(ends)

    def at(self, wheel: Values) -> tuple[Values, Values, Values]:
        """Return L, dL/dw [1/m] and shock stroke x [m] at wheel travels (cases..., points) [m]."""
        t, h, (l0, l1, s0, s1, x0, x1) = self._place(values(wheel))
        ratio = _hermite(t, h, l0, l1, s0, s1)
        slope = (6 * t**2 - 6 * t) * (l0 - l1) / h + (3 * t**2 - 4 * t + 1) * s0 + (3 * t**2 - 2 * t) * s1
        return ratio, slope, _hermite(t, h, x0, x1, 1 / l0, 1 / l1)

    def wheel_at(self, stroke: Values) -> Values:
        """Return wheel travel w [m] at shock strokes (cases..., points) [m]; Newton with dx/dw = 1/L."""
        stroke = values(stroke)
        travel = per_point(self.wheel_travel)
        wheel = stroke * travel / per_point(self.stroke)
        for _ in range(20):
            ratio, _slope, reached = self.at(wheel)
            move = (stroke - reached) * ratio
            wheel = np.clip(wheel + move, 0.0, travel)
            if np.all(np.abs(move) <= 1e-12):
                break
        return values(wheel)


def _hermite(t: Values, h: Values, y0: Values, y1: Values, d0: Values, d1: Values) -> Values:
    return (
        (2 * t**3 - 3 * t**2 + 1) * y0
        + (3 * t**2 - 2 * t**3) * y1
        + h * ((t**3 - 2 * t**2 + t) * d0 + (t**3 - t**2) * d1)
    )


def leverage_curve(frame: Frame) -> LeverageCurve:
    """Return the closed curve of a frame.

    The curve must close on the shock: with e = x(W)/S − 1, L is scaled by 1 + e. Raises `Refused` where
    |e| exceeds 5 %, where a ratio is not positive, or where a table does not cover the travel.
    """
    travel = values(frame.wheel_travel)
    wheel = per_point(travel) * np.linspace(0.0, 1.0, _INTERVALS + 1)
    ratio, slope, residual = _raw(frame, wheel)
    if not np.all(ratio > 0):
        raise Refused(Fault(("frame", "leverage"), "ratio_not_positive", {"ratio": float(np.min(ratio))}))
    stroke_nodes = _integrate_inverse(per_point(travel) / _INTERVALS, ratio, slope)
    reached = stroke_nodes[..., -1]
    error = reached / frame.stroke - 1
    if np.any(np.abs(error) > LARGEST_CLOSURE):
        worst = np.argmax(np.abs(error))
        raise Refused(
            Fault(
                ("frame", "stroke"),
                "does_not_close",
                {
                    "stroke": float(np.broadcast_to(frame.stroke, error.shape).flat[worst]),
                    "leverage_stroke": float(np.broadcast_to(reached, error.shape).flat[worst]),
                    "closure_error": float(error.flat[worst]),
                },
            )
        )
    scale = per_point(1 + error)
    stroke = values(frame.stroke)
    return LeverageCurve(
        travel, stroke, ratio * scale, slope * scale, stroke_nodes / scale, values(error), residual
    )


def _raw(frame: Frame, wheel: Values) -> tuple[Values, Values, Values]:
    """Return L, dL/dw and the residual as known, before closing."""
    none = values(np.nan)
    full = per_point(frame.wheel_travel)
    match frame.leverage:
        case Ends(start, end, middle):
            start, end = per_point(start), per_point(end)
            # The parabola through three points at w = 0, W/2, W; a straight line has no bend.
            bend = 0.0 if middle is None else 2 * start + 2 * end - 4 * per_point(middle)
            rise = end - start - bend
            t = wheel / full
            return start + rise * t + bend * t**2, values((rise + 2 * bend * t) / full), none
        case Fork(head_angle):
            ratio = np.sin(per_point(head_angle)) * np.ones_like(wheel)
            return ratio, np.zeros_like(wheel), none
        case Table(travel, ratio):
            return *_through_table(frame, travel, ratio, wheel), none
        case Measured(travel, stroke):
            return _through_pairs(travel, stroke, wheel)


def _through_table(frame: Frame, travel: Values, ratio: Values, wheel: Values) -> tuple[Values, Values]:
    from scipy.interpolate import PchipInterpolator

    here = ("frame", "leverage", "travel_mm")
    if len(travel) < 2 or np.any(np.diff(travel) <= 0):
        raise Refused(Fault(here, "not_increasing"))
    longest = float(np.max(frame.wheel_travel))
    if travel[0] > 1e-9 or travel[-1] < longest - 1e-9:
        raise Refused(
            Fault(here, "not_covered", {"first": travel[0], "last": travel[-1], "wheel_travel": longest})
        )
    curve = PchipInterpolator(travel, ratio)
    return values(curve(wheel)), values(curve.derivative()(wheel))


def _through_pairs(travel: Values, stroke: Values, wheel: Values) -> tuple[Values, Values, Values]:
    here = ("frame", "leverage", "travel_mm")
    if len(travel) < 4:
        raise Refused(Fault(here, "too_few_pairs", {"pairs": len(travel)}))
    degree = 3 if len(travel) >= 6 else 2
    powers = np.arange(1, degree + 1)
    # Scaled to the longest travel so that the normal equations stay well conditioned.
    longest = float(np.max(travel))
    matrix = (travel / longest)[:, None] ** powers
    weights, *_ = np.linalg.lstsq(matrix, stroke, rcond=None)
    residual = np.sqrt(np.mean((matrix @ weights - stroke) ** 2))
    t = (wheel / longest)[..., None]
    first = (t ** (powers - 1) * powers) @ weights / longest
    curvature = (t ** np.maximum(powers - 2, 0) * powers * (powers - 1)) @ weights / longest**2
    if not np.all(first > 0):
        raise Refused(Fault(here, "stroke_turns_back"))
    return 1 / first, -curvature / first**2, values(residual)


def _integrate_inverse(h: Values, ratio: Values, slope: Values) -> Values:
    """Return ∫ dw/L at every node: Gauss–Legendre, four points an interval."""
    ends = [part[..., None] for part in (ratio[..., :-1], ratio[..., 1:], slope[..., :-1], slope[..., 1:])]
    inside = _hermite((_GAUSS_NODES + 1) / 2, h[..., None], *ends)
    pieces = (1 / inside) @ _GAUSS_WEIGHTS / 2 * h
    total = np.cumsum(pieces, axis=-1)
    return values(np.concatenate([np.zeros_like(total[..., :1]), total], axis=-1))
