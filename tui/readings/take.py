"""What readings say, written into a job as if it had been typed."""

from __future__ import annotations

import math
from collections.abc import Mapping

from physics.carried import Carried
from physics.cycled import Cycled
from physics.fit import Fit
from tui.jobs.job import Job
from tui.jobs.tree import Path
from tui.readings.finding import Finding
from tui.readings.words import MEASURES
from tui.shop_units import Measure, ShopUnits

_IN_PLACE_OF: Mapping[str, tuple[str, ...]] = {"rate": ("stages",), "preload": ("preload_turns",)}
"""What says the same in another way and goes."""


def taken_into(job: Job, index: int, found: Finding, units: ShopUnits) -> Job | None:
    """Return the job with what was found in its setup or load, None where there is no place for it."""
    table: Path = ("setup", index)
    match found:
        case Fit():
            for one in found.estimates:
                for key in _IN_PLACE_OF.get(one.name, ()):
                    job = job.without((*table, key))
                # None of them can be below zero; friction within its error of nothing may come out so.
                job = job.with_value(
                    (*table, one.name), written(max(one.value, 0.0), MEASURES[one.name], units)
                )
            return job
        case Cycled():
            return job.with_value((*table, "negative_volume"), written(found.volume, Measure.VOLUME, units))
        case _:
            return _loaded(job, found, units)


def _loaded(job: Job, found: Carried, units: ShopUnits) -> Job | None:
    if job.get(("load", "scale_mass")) is not None:
        return job.with_value(("load", "scale_mass"), written(found.scale_mass, Measure.MASS, units))
    if not 0 < found.share < 1 or math.isnan(found.share):
        return None
    return job.without(("load", "posture")).with_value(("load", "rider_share"), round(found.share, 4))


def written(si: float, measure: Measure, units: ShopUnits) -> str:
    """Write a quantity with its unit, one decimal more than a figure has: it is worked with."""
    writing = units.writings[measure]
    return f"{units.scale(si, measure):.{writing.digits + 1}f} {writing.unit}"
