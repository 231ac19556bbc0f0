"""The numbers read off a curve.

With w_s the sag point and the chord the straight line of F_w from (w_s, W_s) to (W, F_w(W)).
Figures that hang on the sag point are NaN where the wheel does not settle.
"""

from __future__ import annotations

import numpy as np

from physics.answer import Figures
from physics.arrays import Values, per_point, values
from physics.case import STANDARD_GRAVITY
from physics.shock import Shock, at_wheel

_SPAN = np.linspace(0.0, 1.0, 401)
_MARKS = np.array([0.0, 0.25, 0.5, 0.6, 0.75, 0.8, 1.0])


def figures(shock: Shock, static: Values, sag: Values) -> Figures:
    """Return every figure, shape (cases...), for a static wheel force [N] and a sag point [m]."""
    lever = shock.lever
    full = lever.wheel_travel
    ok = np.isfinite(sag)
    start = np.where(ok, sag, 0.0)

    at_marks, _ = shock.wheel(per_point(full) * _MARKS)
    quarter, half, sixty, three_quarters, eighty, bottom = np.moveaxis(at_marks, -1, 0)[1:]
    ratio, slope, stroke = lever.at(per_point(start))
    still, fast = shock.at(stroke), shock.fast_at(stroke, stroke[..., 0])
    wheel_rate, fast_wheel_rate = (at_wheel(shaft, ratio, slope)[1][..., 0] for shaft in (still, fast))
    starting = np.maximum(shock.at(values([0.0])).force[..., 0], 0.0) + values(shock.setup.friction)

    beyond = per_point(start) + per_point(full - start) * _SPAN
    force, rate = shock.wheel(beyond)
    chord = per_point(static) + per_point(bottom - static) * _SPAN
    off = force - chord
    largest = np.take_along_axis(off, np.argmax(np.abs(off), -1)[..., None], -1)[..., 0]
    softest = np.argmin(rate, -1)[..., None]

    total = _energy(shock, per_point(full) * _SPAN)
    mass = static / STANDARD_GRAVITY
    bottom_shaft = shock.fast_at(per_point(lever.stroke), stroke[..., 0]).force[..., 0]

    def settled(figure: Values) -> Values:
        return values(np.where(ok, figure, np.nan))

    with np.errstate(invalid="ignore", divide="ignore"):
        return Figures(
            starting_shaft=values(starting),
            starting_wheel=values(starting / lever.node_ratio[..., 0]),
            support_25=values(quarter / static),
            support_50=values(half / static),
            support_75=values(three_quarters / static),
            bottom_wheel_force=values(bottom),
            bottom_ratio=values(bottom / static),
            chord_deviation=settled(largest / (bottom - static)),
            softest_wheel_rate=settled(np.take_along_axis(rate, softest, -1)[..., 0]),
            softest_at_wheel=settled(np.take_along_axis(beyond, softest, -1)[..., 0]),
            end_ramp=values((bottom - eighty) / (eighty - sixty)),
            energy_total=total,
            energy_from_sag=settled(_energy(shock, beyond)),
            drop_height=values(total / static - full),
            wheel_rate_at_sag=settled(wheel_rate),
            rate_at_sag=settled(still.rate[..., 0]),
            fast_rate_at_sag=settled(fast.rate[..., 0]),
            natural_frequency=settled(np.sqrt(wheel_rate / mass) / (2 * np.pi)),
            fast_natural_frequency=settled(np.sqrt(fast_wheel_rate / mass) / (2 * np.pi)),
            # At the wheel c = 2√(k m); a damper at the shaft moves 1/L as far against L times the force.
            critical_damping=settled(2 * np.sqrt(wheel_rate * mass) * ratio[..., 0] ** 2),
            fast_bottom_shaft=settled(bottom_shaft),
        )


def _energy(shock: Shock, travel: Values) -> Values:
    """Return ∫ F_w dw over evenly spaced travels [m] by Simpson's rule [J]."""
    force, _rate = shock.wheel(travel)
    step = travel[..., 1] - travel[..., 0]
    ends = force[..., 0] + force[..., -1]
    inner = 4 * force[..., 1:-1:2].sum(-1) + 2 * force[..., 2:-1:2].sum(-1)
    return values(step / 3 * (ends + inner))
