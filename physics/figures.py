"""The numbers read off a curve, once off the slow one and once off the riding curve.

With w_s the sag point and the chord the straight line of F_w from (w_s, W_s) to (W, F_w(W)). Everything of
shape (cases...). Figures that depend on the sag point are NaN where the wheel does not settle.

The riding curve is the slow curve up to the sag point and the isentrope out of it from there on, continuous
in force: a sprung mass moves at 2 to 3 Hz, and the air of a chamber takes seconds to lose
its heat (common practice, no source). Its chord ends at 0.8 W, short of where a bumper
usually starts.
"""

from __future__ import annotations

import numpy as np

from physics.answer import Figures, Riding, Sag
from physics.arrays import (
    SAME_PLACE,
    Values,
    beside_points,
    each,
    per_point,
    picked,
    side_by_side,
    some,
    values,
    where,
)
from physics.extras import bumper_force
from physics.frozen import dataclass
from physics.leverage import INTERVALS, Places
from physics.limits import STANDARD_GRAVITY
from physics.shock import ShaftForce, Shock, at_wheel
from physics.walk import Walk

_SPAN = np.linspace(0.0, 1.0, INTERVALS + 1)
_SIMPSON = np.array([1.0, *[4.0, 2.0] * (INTERVALS // 2 - 1), 4.0, 1.0]) / (3 * INTERVALS)
_HAIR = 1e-9
"""Distance from a kink at which the curve is read on either side, as a fraction of the wheel travel."""

_CHORD_END = 0.8
"""Fraction of the travel at which the chord of the riding curve ends."""
_SHARES = (0.25, 0.5, 0.6, 0.75, _CHORD_END, 1.0)
_MARKS, _COUNT = np.array(_SHARES), len(_SHARES)
_NODES = np.array([round(share * INTERVALS) for share in _SHARES])


@dataclass(frozen=True, slots=True)
class Ahead:
    """What the figures read of a shock besides its walk: both its movements at `places`, fast out of the sag.

    The places (cases..., places) are the `_SHARES` of the travel, evenly spaced ones from the sag point on,
    and both sides of every kink beyond it.
    """

    places: Places
    slow: ShaftForce
    fast: ShaftForce


def ahead(shock: Shock, sag: Sag) -> Ahead:
    """Return what the figures read of a shock that settles at a sag point."""
    marks = values(per_point(shock.lever.wheel_travel) * _MARKS)
    places = shock.lever.at(side_by_side(marks, _travels_from_sag(shock, sag.wheel)))
    slow = shock.at(places.stroke)
    has_air = shock.air is not None or shock.legs is not None
    return Ahead(places, slow, shock.fast_at(places.stroke, sag.stroke) if has_air else slow)


@dataclass(frozen=True, slots=True)
class _FromSag:
    """Wheel force and rate from the sag point to full travel; the first INTERVALS + 1 are evenly spaced."""

    wheel: Values
    force: Values
    rate: Values

    def energy(self) -> Values:
        """Return ∫ F_w dw [J] from the sag point to full travel."""
        return _energy(self.wheel[..., : INTERVALS + 1], self.force[..., : INTERVALS + 1])

    def softest(self) -> tuple[Values, Values]:
        """Return the lowest wheel rate [N/m] and the wheel travel [m] where it is."""
        index = np.argmin(self.rate, axis=-1)
        return picked(self.rate, index), picked(self.wheel, index)


def figures(walked: Walk, static: Values, sag: Sag, beyond: Ahead | None = None) -> Figures:
    """Return every figure for a static wheel force [N] and a sag point.

    `beyond` is `ahead` of that point, if already known.
    """
    shock, force = walked.shock, walked.wheel_force
    beyond = beyond or ahead(shock, sag)
    quarter, half, sixty, three_quarters, eighty, bottom = each(force[..., _NODES])
    starting = np.maximum(walked.shaft.force[..., 0], 0.0) + values(shock.setup.friction)
    total = _energy(walked.places.wheel, force)
    mass = static / STANDARD_GRAVITY
    rate, fast_rate, fast_bottom = _at_sag(beyond, sag.stroke)
    wheel_rate, fast_wheel_rate = (
        at_wheel(sag.shaft_force, shaft_rate, sag.ratio, sag.slope)[1] for shaft_rate in (rate, fast_rate)
    )
    slow = _slow_from_sag(beyond, sag.wheel)
    softest_rate, softest_at = slow.softest()
    full = shock.lever.wheel_travel
    return Figures(
        starting_shaft=values(starting),
        starting_wheel=values(starting / walked.places.ratio[..., 0]),
        support_25=values(quarter / static),
        support_50=values(half / static),
        support_75=values(three_quarters / static),
        bottom_wheel_force=bottom,
        bottom_ratio=values(bottom / static),
        chord_deviation=_chord_deviation(slow, sag.wheel, static, full, bottom),
        softest_wheel_rate=softest_rate,
        softest_at_wheel=softest_at,
        end_ramp=_share(values(bottom - eighty), values(eighty - sixty)),
        energy_total=total,
        energy_from_sag=slow.energy(),
        drop_height=_drop_height(total, static, full),
        wheel_rate_at_sag=wheel_rate,
        rate_at_sag=rate,
        fast_rate_at_sag=fast_rate,
        natural_frequency=_frequency(wheel_rate, mass),
        fast_natural_frequency=_frequency(fast_wheel_rate, mass),
        critical_damping=_critical_damping(wheel_rate, mass, sag.ratio),
        fast_bottom_shaft=fast_bottom,
    )


def riding(walked: Walk, static: Values, sag: Sag, slow: Figures, beyond: Ahead | None = None) -> Riding:
    """Return the figures of the riding curve; `slow` are those of the same shock, load and sag point.

    `beyond` is `ahead` of that point, if already known.
    A coil without air beside it has one curve, slow or fast; its supports and chord follow the
    rules of the riding figures all the same. Its end, ramp-up and energy need no sag point.
    """
    shock, full = walked.shock, walked.shock.lever.wheel_travel
    beyond = beyond or ahead(shock, sag)
    marks, places = values(per_point(full) * _MARKS), beyond.places
    force, rate = at_wheel(beyond.fast.force, beyond.fast.rate, places.ratio, places.slope)
    at_marks = _above_sag_slow(walked, marks, sag.wheel, force[..., :_COUNT])
    quarter, half, sixty, three_quarters, eighty, bottom = each(at_marks)
    bare_sixty, _, bare_eighty, bare_bottom = each((at_marks - _bumper_at_wheel(shock, places))[..., 2:])
    fast = _FromSag(places.wheel[..., _COUNT:], force[..., _COUNT:], rate[..., _COUNT:])
    softest_rate, softest_at = fast.softest()
    from_sag = fast.energy()
    quarter_at, half_at, _, three_quarters_at, chord_end, _ = each(marks)
    # Without a sag point only a coil has a curve, slow throughout.
    total = where(
        np.isfinite(sag.wheel), slow.energy_total - slow.energy_from_sag + from_sag, slow.energy_total
    )
    total = where(np.isfinite(bottom), total, np.nan)
    mass = static / STANDARD_GRAVITY
    wheel_rate = at_wheel(sag.shaft_force, slow.fast_rate_at_sag, sag.ratio, sag.slope)[1]
    return Riding(
        support_25=_support(quarter, static, sag, quarter_at),
        support_50=_support(half, static, sag, half_at),
        support_75=_support(three_quarters, static, sag, three_quarters_at),
        bottom_wheel_force=bottom,
        bottom_ratio=values(bottom / static),
        bottom_ratio_without_bumper=values(bare_bottom / static),
        chord_deviation=_chord_deviation(fast, sag.wheel, static, chord_end, eighty),
        softest_wheel_rate=softest_rate,
        softest_at_wheel=softest_at,
        end_ramp=_share(values(bottom - eighty), values(eighty - sixty)),
        end_ramp_without_bumper=_share(values(bare_bottom - bare_eighty), values(bare_eighty - bare_sixty)),
        energy_total=total,
        energy_from_sag=from_sag,
        drop_height=_drop_height(total, static, full),
        wheel_rate_at_sag=wheel_rate,
        natural_frequency=_frequency(wheel_rate, mass),
        critical_damping=_critical_damping(wheel_rate, mass, sag.ratio),
    )


def _above_sag_slow(walked: Walk, marks: Values, sag: Values, fast: Values) -> Values:
    """Return the riding curve's wheel force at `marks` (cases..., marks) [m]: slow above the sag point."""
    return where(marks < per_point(sag) * (1 - SAME_PLACE), walked.wheel_force[..., _NODES], fast)


def _bumper_at_wheel(shock: Shock, places: Places) -> Values:
    """Return the wheel force of the bumper [N] at the `_SHARES` of the travel, zero without one."""
    if shock.setup.bumper is None:
        return values(0.0)
    stroke, ratio = places.stroke[..., :_COUNT], places.ratio[..., :_COUNT]
    return values(bumper_force(shock.setup.bumper, stroke, shock.lever.stroke)[0] / ratio)


def _support(force: Values, static: Values, sag: Sag, at: Values) -> Values:
    """Return F_w/W_s at a wheel travel [m], NaN above the sag point.

    A travel equal to the sag may lie above it by the rounding of the root: it still counts as the sag.
    """
    return where(at >= sag.wheel * (1 - SAME_PLACE), values(force / static), np.nan)


def _drop_height(total: Values, static: Values, full: Values) -> Values:
    """Return h [m] with the total energy equal to the potential energy: m g (h + W) = E.

    >>> round(float(_drop_height(values(200.0), values(560.0), values(0.150))), 4)
    0.2071
    """
    return values(total / static - full)


def _at_sag(beyond: Ahead, stroke: Values) -> tuple[Values, Values, Values]:
    """Return shaft rate at sag, slow and fast [N/m], and the fast shaft force at full stroke [N]."""
    settled, sag, full = np.isfinite(stroke), _COUNT, _COUNT - 1
    figures = beyond.slow.rate[..., sag], beyond.fast.rate[..., sag], beyond.fast.force[..., full]
    slow, quick, bottom = (where(settled, figure, np.nan) for figure in figures)
    return slow, quick, bottom


def _travels_from_sag(shock: Shock, sag: Values) -> Values:
    """Return travels (cases..., places) [m] from the sag point on, including both sides of every kink."""
    full = per_point(shock.lever.wheel_travel)
    start = per_point(sag)
    wheel, kinks = values(start + (full - start) * _SPAN), shock.kinks()
    if kinks.size:
        there = shock.lever.at_stroke(kinks).wheel
        beside = np.concatenate([there - _HAIR * full, there + _HAIR * full], axis=-1)
        beside = np.clip(beside, start, full)
        beside = np.broadcast_to(beside, (*wheel.shape[:-1], beside.shape[-1]))
        wheel = np.concatenate([wheel, beside], axis=-1)
    return wheel


def _slow_from_sag(beyond: Ahead, sag: Values) -> _FromSag:
    """Return the slow curve from the sag point (cases...) [m] on."""
    places, settled = beyond.places, np.isfinite(sag)
    force, rate = at_wheel(beyond.slow.force, beyond.slow.rate, places.ratio, places.slope)
    if some(~settled):
        force, rate = (where(settled[..., np.newaxis], part, np.nan) for part in (force, rate))
    return _FromSag(places.wheel[..., _COUNT:], force[..., _COUNT:], rate[..., _COUNT:])


def _chord_deviation(beyond: _FromSag, sag: Values, static: Values, end: Values, there: Values) -> Values:
    """Return the largest F_w − chord in magnitude, with its sign, relative to the rise of the chord.

    The chord runs from (w_s, W_s) to wheel travel `end` [m] with wheel force `there` [N].
    """
    length, rise = values(end - sag), values(there - static)
    run = (beyond.wheel - beside_points(sag)) / beside_points(where(length > 0, length, np.nan))
    chord = beside_points(static) + beside_points(rise) * run
    off = where(run <= 1, beyond.force - chord, 0.0)
    largest = picked(off, np.argmax(abs(off), axis=-1))
    return where(length > 0, _share(largest, rise), np.nan)


def _share(part: Values, whole: Values) -> Values:
    """Return part/whole, NaN where `whole` is zero."""
    return values(part / where(whole == 0, np.nan, whole))


def _frequency(wheel_rate: Values, mass: Values) -> Values:
    """Return √(k_w/m)/2π [Hz], NaN for a negative rate.

    >>> round(float(_frequency(values(12_800.0), values(57.1))), 3)
    2.383
    """
    return values(np.sqrt(where(wheel_rate >= 0, wheel_rate, np.nan) / mass) / (2 * np.pi))


def _critical_damping(wheel_rate: Values, mass: Values, ratio: Values) -> Values:
    """Return 2√(k_w m)·L² [N s/m] at the shaft.

    At the wheel c_w = 2√(k_w m). A shaft damper of c sees v/L and its force reaches the wheel over L:
    c_w v = c (v/L)/L, so c = c_w L².

    >>> round(float(_critical_damping(values(12_800.0), values(57.1), values(2.5))))
    10686
    """
    return values(4 * np.pi * _frequency(wheel_rate, mass) * mass * ratio * ratio)


def _energy(travel: Values, force: Values) -> Values:
    """Return ∫ F_w dw [J] over evenly spaced travels (cases..., INTERVALS + 1) [m], Simpson's rule.

    >>> travel = values(np.linspace(0.0, 0.150, INTERVALS + 1))
    >>> round(float(_energy(travel, values(12_800.0 * travel))), 6)  # k w²/2
    144.0
    """
    return values((travel[..., -1] - travel[..., 0]) * (force @ _SIMPSON))
