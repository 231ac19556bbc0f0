"""What a mechanic knows of the leverage → L and dL/dw at evenly spaced wheel travels, before closing.

A table, measured pairs and a linkage are shared by every case; the numbers of the other kinds may have the
axis of cases.
"""

from __future__ import annotations

import numpy as np

from physics.arrays import NONE, Values, per_point, values
from physics.case import Ends, Fork, Frame, Linkage, Measured, Table
from physics.faults import Fault, Refused
from physics.linkage import move
from physics.linkage_checks import eye_faults
from physics.pairs import fitted

INTERVALS = 240
"""Steps of wheel travel: a quarter, a half, 0.6, three quarters and 0.8 of the travel fall on nodes."""
_ROWS = ("frame", "leverage", "travel_mm")
_HAIR = 1e-9
"""A table may stop this far [m] short of the travel: rounding in a typed number."""


def ratio_at(frame: Frame, wheel: Values) -> tuple[Values, Values, Values]:
    """Return L, dL/dw [1/m] at travels (cases..., nodes) [m], and the rms residual [m] of measured pairs.

    Raises `Refused` for rows that are out of order, too few or too short, and for a linkage that does not
    move through the stroke or was drawn with another shock.
    """
    match frame.leverage:
        case Ends():
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


def _between_ends(ends: Ends, t: Values, frame: Frame) -> tuple[Values, Values]:
    """Return the straight line, or the parabola through three points at w = 0, W/2, W; t = w/W."""
    start, end = per_point(ends.start), per_point(ends.end)
    bend = 0.0 if ends.middle is None else 2 * start + 2 * end - 4 * per_point(ends.middle)
    rise = end - start - bend
    slope = (rise + 2 * bend * t) / per_point(frame.wheel_travel)
    return values(start + (rise + bend * t) * t), values(slope)


def _through_table(table: Table, longest: float, wheel: Values) -> tuple[Values, Values]:
    from scipy.interpolate import PchipInterpolator

    travel = table.travel
    if len(travel) < 2 or np.any(np.diff(travel) <= 0):
        raise Refused(Fault(_ROWS, "not_increasing"))
    first, last = float(travel[0]), float(travel[-1])
    if first > _HAIR or last < longest - _HAIR:
        raise Refused(Fault(_ROWS, "not_covered", {"first": first, "last": last, "wheel_travel": longest}))
    curve = PchipInterpolator(travel, table.ratio)
    inside = np.clip(wheel, first, last)
    return values(curve(inside)), values(curve.derivative()(inside))


def _through_pairs(pairs: Measured, wheel: Values) -> tuple[Values, Values, Values]:
    """Return L = 1/x′(w) and L′ = −x″/x′² of the curve x(w) through the pairs, and its residual."""
    curve = fitted(pairs)
    if curve is None:
        raise Refused(Fault(_ROWS, "too_few_pairs", {"pairs": float(len(pairs.travel))}))
    residual = np.sqrt(np.mean((curve.stroke(pairs.travel) - pairs.stroke) ** 2))
    ratio, slope = curve.leverage(wheel)
    if np.any(ratio <= 0):
        raise Refused(Fault(_ROWS, "stroke_turns_back"))
    return ratio, slope, values(residual)


def _of_linkage(linkage: Linkage, frame: Frame, wheel: Values) -> tuple[Values, Values]:
    """Return L and dL/dw at the same shares of the travel that the linkage itself gives over the stroke."""
    from scipy.interpolate import CubicHermiteSpline

    wrong_shock = eye_faults(linkage, frame.eye_to_eye)
    try:
        motion = move(linkage, float(np.max(frame.stroke)))
    except Refused as refusal:
        raise Refused(*refusal.faults, *wrong_shock) from None
    if wrong_shock:
        raise Refused(*wrong_shock)
    if np.isnan(motion.wheel[-1]):  # a stroke that is not known: nothing hangs on it
        return np.full_like(wheel, np.nan), np.full_like(wheel, np.nan)
    curve = CubicHermiteSpline(motion.wheel, motion.ratio, motion.slope)
    reached = np.interp(frame.stroke, motion.stroke, motion.wheel)
    share = per_point(reached / frame.wheel_travel)
    there = np.clip(wheel * share, 0.0, motion.wheel[-1])
    return values(curve(there)), values(curve.derivative()(there) * share)
