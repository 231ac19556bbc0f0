"""What only an air spring has to say: pressures, rest position, and the pressure for each spacer count."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from physics import gas
from physics.air import positive_area
from physics.answer import AirAnswer, SpacerRow
from physics.arrays import Values, per_point, values
from physics.case import Case, Setup
from physics.leverage import LeverageCurve
from physics.sag import UnderLoad
from physics.shock import Shock, air_of, pressure_of, shock_of
from physics.solve import solved

MOST_SPACERS = 8
"""Spacer counts looked at, from none on."""


def air_answer(shock: Shock, stood: UnderLoad) -> AirAnswer:
    """Return the pressures [Pa absolute] and the rest position of a charged shock, shape (cases...).

    The peaks are the positive chamber's at full stroke, slow and fast out of the sag point. Without
    the rounds of filling and the rows of spacers, which belong to a single case.
    """
    air = shock.charged()
    T = per_point(shock.ambient.temperature)
    full = per_point(shock.lever.stroke)
    packed = air.positive.density_at(full)
    hot = gas.isentropic_temperature(T, air.positive.density_at(per_point(stood.sag.stroke)), packed)
    resting = air.positive.density_at(per_point(stood.rest_stroke))
    return AirAnswer(
        set_pressure=pressure_of(shock.setup),
        equalised_pressure=gas.pressure(air.equalised_density, shock.ambient.temperature),
        compression_ratio=values(air.positive.volume / air.positive.volume_at(full)[..., 0]),
        peak_pressure=gas.pressure(packed, T)[..., 0],
        fast_peak_pressure=gas.pressure(packed, hot)[..., 0],
        rest_stroke=stood.rest_stroke,
        rest_pressure=gas.pressure(resting, T)[..., 0],
        fill=None,
        spacers=(),
        fast_peak_temperature=hot[..., 0],
    )


def spacer_rows(setup: Setup, case: Case, lever: LeverageCurve, static: Values) -> tuple[SpacerRow, ...]:
    """Return, for each spacer count that leaves air at full stroke, the pressure for the target sag.

    For a single case; empty where spacers have no volume. `setup` may have its pressure typed or not.
    """
    spring = air_of(setup)
    if not np.all(values(spring.positive_spacer_volume) > 0):
        return ()
    counts = np.arange(MOST_SPACERS + 1.0)
    room = values(spring.positive_volume) - counts * spring.positive_spacer_volume
    counts = counts[room > positive_area(spring) * lever.stroke]
    if not counts.size:
        return ()
    spaced = replace(spring, pressure=None, positive_spacers=counts)
    ready = solved(replace(setup, spring=spaced), lever, case.shop, case.target, static)
    shock = shock_of(ready, lever, case.shop)
    packed = shock.charged().positive.density_at(per_point(lever.stroke))
    peak = gas.pressure(packed, per_point(case.shop.temperature))[..., 0]
    bottom = shock.wheel(per_point(lever.wheel_travel))[0][..., 0]
    return tuple(
        SpacerRow(int(count), *map(values, row))
        for count, *row in zip(counts, pressure_of(ready), peak, bottom, strict=True)
    )
