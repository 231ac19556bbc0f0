"""What only an air spring has to say: pressures, rest position, and the pressure for each spacer count."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from physics import gas
from physics.answer import AirAnswer, SpacerRow
from physics.arrays import Values, values
from physics.case import Case, Setup
from physics.leverage import LeverageCurve
from physics.sag import UnderLoad, under_load
from physics.shock import Shock, air_of, pressure_of, shock_of
from physics.solve import solved
from physics.spacing import spacer_counts
from physics.walk import fast_walk, walk


def air_answer(shock: Shock, stood: UnderLoad) -> AirAnswer:
    """Return the pressures [Pa absolute] and the rest position of a charged shock, shape (cases...).

    The peaks are the positive chamber's at full stroke, slow and fast out of the sag point. Without
    the rounds of filling and the rows of spacers, which belong to a single case.
    """
    air, T = shock.charged(), values(shock.ambient.temperature)
    places = np.broadcast_arrays(0.0, stood.sag.stroke, shock.lever.stroke, stood.rest_stroke)
    density = air.chambers.density_at(np.stack(places, axis=-1)[..., None, :])
    pressure = gas.pressure(density, T[..., None, None])
    hot = gas.isentropic_temperature(T, density[..., 0, _SAG], density[..., 0, _FULL])
    highest = pressure.max(axis=-2)
    return AirAnswer(
        set_pressure=pressure_of(shock.setup),
        equalised_pressure=gas.pressure(air.equalised_density, T),
        compression_ratio=values(density[..., 0, _FULL] / density[..., 0, _EXTENDED]),
        peak_pressure=pressure[..., 0, _FULL],
        fast_peak_pressure=gas.pressure(density[..., 0, _FULL], hot),
        rest_stroke=stood.rest_stroke,
        rest_pressure=pressure[..., 0, _REST],
        fill=None,
        spacers=(),
        fast_peak_temperature=hot,
        highest_extended=highest[..., _EXTENDED],
        highest_at_sag=highest[..., _SAG],
    )


_EXTENDED, _SAG, _FULL, _REST = range(4)


def spacer_rows(setup: Setup, case: Case, lever: LeverageCurve, static: Values) -> tuple[SpacerRow, ...]:
    """Return, for each spacer count that leaves air at full stroke, the pressure for the target sag.

    For a single case; empty where spacers have no volume. `setup` may have its pressure typed or not.
    """
    spring = air_of(setup)
    counts = spacer_counts(spring, lever.stroke)
    if not counts.size:
        return ()
    spaced = replace(spring, pressure=None, positive_spacers=counts)
    ready = solved(replace(setup, spring=spaced), lever, case.shop, case.target, static)
    shock = shock_of(ready, lever, case.shop)
    stood = under_load(walk(shock), static)
    found = air_answer(shock, stood)
    bottom = values(fast_walk(shock, stood.sag.stroke).force[..., -1] / lever.nodes.ratio[..., -1])
    columns = (found.set_pressure, found.peak_pressure, found.fast_peak_pressure, bottom)
    return tuple(
        SpacerRow(int(count), *map(values, row)) for count, *row in zip(counts, *columns, strict=True)
    )
