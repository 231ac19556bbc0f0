"""The numbers read off a curve.

With w_s the sag point and the chord the straight line of F_w from (w_s, W_s) to (W, F_w(W)). Everything of
shape (cases...). Figures that hang on the sag point are NaN where the wheel does not settle.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from physics.answer import Figures, Sag
from physics.arrays import Values, per_point, picked, values
from physics.case import STANDARD_GRAVITY
from physics.ratios import INTERVALS
from physics.shock import ShaftForce, Shock, at_wheel
from physics.walk import Walk, fast_walk

_SPAN = np.linspace(0.0, 1.0, INTERVALS + 1)
_HAIR = 1e-9
"""How far to either side of a kink the curve is read, as a share of the wheel travel."""


@dataclass(frozen=True, slots=True)
class _FromSag:
    """Wheel force and rate from the sag point to full travel; the first INTERVALS + 1 are evenly spaced."""

    wheel: Values
    force: Values
    rate: Values


def figures(walked: Walk, static: Values, sag: Sag, fast: ShaftForce | None = None) -> Figures:
    """Return every figure for a static wheel force [N] and a sag point.

    `fast` is what `fast_walk` says out of that point, where that is known already.
    """
    shock, force = walked.shock, walked.wheel_force
    quarter, half, sixty, three_quarters, eighty, bottom = (
        force[..., round(share * INTERVALS)] for share in (0.25, 0.5, 0.6, 0.75, 0.8, 1.0)
    )
    starting = np.maximum(walked.shaft.force[..., 0], 0.0) + values(shock.setup.friction)
    total = _energy(walked.places.wheel, force)
    mass = static / STANDARD_GRAVITY
    rate, fast_rate, fast_bottom = _at_sag(shock, sag.stroke, fast or fast_walk(shock, sag.stroke))
    wheel_rate, fast_wheel_rate = (
        at_wheel(sag.shaft_force, shaft_rate, sag.ratio, sag.slope)[1] for shaft_rate in (rate, fast_rate)
    )
    beyond = _from_sag(shock, sag.wheel)
    softest = np.argmin(beyond.rate, axis=-1)
    return Figures(
        starting_shaft=values(starting),
        starting_wheel=values(starting / walked.places.ratio[..., 0]),
        support_25=values(quarter / static),
        support_50=values(half / static),
        support_75=values(three_quarters / static),
        bottom_wheel_force=bottom,
        bottom_ratio=values(bottom / static),
        chord_deviation=_chord_deviation(beyond, sag.wheel, static, bottom),
        softest_wheel_rate=picked(beyond.rate, softest),
        softest_at_wheel=picked(beyond.wheel, softest),
        end_ramp=_share(values(bottom - eighty), values(eighty - sixty)),
        energy_total=total,
        energy_from_sag=_energy(beyond.wheel[..., : INTERVALS + 1], beyond.force[..., : INTERVALS + 1]),
        # All of the total energy taken as height: m g (h + W) = E.
        drop_height=values(total / static - shock.lever.wheel_travel),
        wheel_rate_at_sag=wheel_rate,
        rate_at_sag=rate,
        fast_rate_at_sag=fast_rate,
        natural_frequency=_frequency(wheel_rate, mass),
        fast_natural_frequency=_frequency(fast_wheel_rate, mass),
        critical_damping=_critical_damping(wheel_rate, mass, sag.ratio),
        fast_bottom_shaft=fast_bottom,
    )


def _at_sag(shock: Shock, stroke: Values, fast: ShaftForce) -> tuple[Values, Values, Values]:
    """Return shaft rate at sag, slow and fast [N/m], and the fast shaft force at full stroke [N]."""
    rate, settled = shock.at(per_point(stroke)).rate[..., 0], np.isfinite(stroke)
    return _where(settled, rate), _where(settled, fast.rate[..., -2]), _where(settled, fast.force[..., -1])


def _where(marks: Values, figure: Values) -> Values:
    return values(np.where(marks, figure, np.nan))


def _from_sag(shock: Shock, sag: Values) -> _FromSag:
    """Return the curve from the sag point (cases...) [m] on, read on both sides of every kink as well."""
    full = per_point(shock.lever.wheel_travel)
    start = per_point(sag)
    wheel, kinks = values(start + (full - start) * _SPAN), shock.kinks()
    if kinks.size:
        there = shock.lever.at_stroke(kinks).wheel
        beside = np.concatenate([there - _HAIR * full, there + _HAIR * full], axis=-1)
        beside = np.clip(beside, start, full)
        beside = np.broadcast_to(beside, (*wheel.shape[:-1], beside.shape[-1]))
        wheel = np.concatenate([wheel, beside], axis=-1)
    force, rate = shock.wheel(wheel)
    return _FromSag(wheel, _where(np.isfinite(start), force), _where(np.isfinite(start), rate))


def _chord_deviation(beyond: _FromSag, sag: Values, static: Values, bottom: Values) -> Values:
    """Return the F_w − chord of largest size over F_w(W) − W_s, with its sign."""
    past_sag = values(beyond.wheel - per_point(sag))
    run = _share(past_sag, past_sag[..., [INTERVALS]])
    rise = values(bottom - static)
    off = beyond.force - (per_point(static) + per_point(rise) * run)
    return _share(picked(values(off), np.argmax(np.abs(off), axis=-1)), rise)


def _share(part: Values, whole: Values) -> Values:
    """Return part/whole, NaN where there is no whole."""
    return values(part / np.where(whole == 0, np.nan, whole))


def _frequency(wheel_rate: Values, mass: Values) -> Values:
    """Return √(k_w/m)/2π [Hz], NaN where the rate is below zero."""
    return values(np.sqrt(np.where(wheel_rate >= 0, wheel_rate, np.nan) / mass) / (2 * np.pi))


def _critical_damping(wheel_rate: Values, mass: Values, ratio: Values) -> Values:
    """Return 2√(k_w m)·L² [N s/m] at the shaft.

    At the wheel c_w = 2√(k_w m). A shaft damper of c sees v/L and its force reaches the wheel over L:
    c_w v = c (v/L)/L, so c = c_w L².
    """
    return values(4 * np.pi * _frequency(wheel_rate, mass) * mass * ratio * ratio)


def _energy(travel: Values, force: Values) -> Values:
    """Return ∫ F_w dw [J] over evenly spaced travels (cases..., INTERVALS + 1) [m], Simpson's rule."""
    step = (travel[..., -1] - travel[..., 0]) / INTERVALS
    ends = force[..., 0] + force[..., -1]
    inner = 4 * force[..., 1:-1:2].sum(-1) + 2 * force[..., 2:-1:2].sum(-1)
    return values(step / 3 * (ends + inner))
