"""Every spacer count on both sides of an air spring, each with the pressure for the target sag."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from physics.air import positive_area
from physics.arrays import Marks, Values, values
from physics.case import Air, Case, EqualisedNegative, SeparateNegative, Setup
from physics.chamber import LEAST_VOLUME
from physics.frozen import dataclass
from physics.limits import HIGHEST_PRESSURE
from physics.shock import air_of
from physics.spacing import MOST_SPACERS, spacer_counts
from physics.sweep import sweep


@dataclass(frozen=True, slots=True)
class SpacerTable:
    """Counts of positive (p,) and negative (n,) spacers; all else of shape (p, n), NaN if no pressure does.

    `set_pressure` [Pa absolute] reaches the target sag, `fast_peak_pressure` [Pa absolute] is that at full
    stroke when riding, `support_50` and `bottom_ratio` are wheel forces of the riding curve at half and full
    travel over the static load. `over_label` marks set pressures above the max pressure, `beyond_law` peaks
    above the range of the gas law.
    """

    positive: Values
    negative: Values
    set_pressure: Values
    fast_peak_pressure: Values
    support_50: Values
    bottom_ratio: Values
    over_label: Marks
    beyond_law: Marks


def spacer_table(case: Case, index: int) -> SpacerTable:
    """Return the table of one air setup of a single case, whatever its typed pressure.

    Counts that leave no air are left out, and a side without spacers has its present count. Raises
    `Refused` as `answer` does, `TypeError` for a coil.

    >>> from physics.case import Ambient, Frame, LeverageEnds, NoNegative, ScaleReading, Target
    >>> frame, shop = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Ambient(293.15, 101_325.0)
    >>> air = Setup("air", Air(None, 0.040, 0.0, 0.0, 105e-6, 0, 6e-6, NoNegative()))
    >>> case = Case(ScaleReading(60.0, 4.0), frame, Target(0.30, "travel"), shop, (air,))
    >>> table = spacer_table(case, 0)
    >>> [round(float(pressure) / 1e5, 2) for pressure in table.set_pressure[:2, 0]]
    [9.37, 9.22]

    By hand: 1373 N on 1256.6 mm² is 11.94 bar absolute at 18 mm, where 22.6 of the 105 and 99 cm³ are gone;
    ideal air was at 11.94 · 82.4/105 = 9.37 and 11.94 · 76.4/99 = 9.21 bar before.
    """
    asked = case.setups[index]
    spring = air_of(asked)
    positive, negative = _positive(spring, values(case.frame.stroke)), _negative(spring)
    setup = _with_counts(asked, positive[:, None], negative)
    found = sweep(replace(case, setups=(setup,), ride=None)).setups[0]
    if found.air is None:
        raise TypeError("this setup has a coil")
    shape = positive.size, negative.size
    pressure, peak, middle, end = (
        np.broadcast_to(part, shape)
        for part in (
            found.air.set_pressure,
            found.air.fast_peak_pressure,
            found.riding.support_50,
            found.riding.bottom_ratio,
        )
    )
    limit = np.inf if spring.max_pressure is None else spring.max_pressure
    over, beyond = np.asarray(pressure > limit), np.asarray(peak > HIGHEST_PRESSURE)
    return SpacerTable(positive, negative, pressure, peak, middle, end, over, beyond)


def _with_counts(setup: Setup, positive: Values, negative: Values) -> Setup:
    spring = air_of(setup)
    second = spring.negative
    if isinstance(second, SeparateNegative | EqualisedNegative):
        second = replace(second, spacers=negative)
    return replace(setup, spring=replace(spring, pressure=None, positive_spacers=positive, negative=second))


def _positive(spring: Air, stroke: Values) -> Values:
    counts = spacer_counts(spring, stroke)
    if not counts.size:
        return np.atleast_1d(values(spring.positive_spacers))
    room = values(spring.positive_volume) - counts * spring.positive_spacer_volume
    return counts[room - positive_area(spring) * stroke > LEAST_VOLUME]


def _negative(spring: Air) -> Values:
    second = spring.negative
    if not isinstance(second, SeparateNegative | EqualisedNegative):
        return values([0.0])
    if not np.all(values(second.spacer_volume) > 0):
        return np.atleast_1d(values(second.spacers))
    counts = np.arange(MOST_SPACERS + 1.0)
    return counts[values(second.volume) - counts * second.spacer_volume > LEAST_VOLUME]
