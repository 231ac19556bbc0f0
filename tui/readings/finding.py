"""What readings say of one setup of an answered job."""

from __future__ import annotations

import math
from functools import lru_cache

from physics.carried import Carried, carried
from physics.cycled import Cycled, cycled
from physics.fit import Fit, fit
from tui.jobs.answering import JobAnswer
from tui.jobs.measured import measured_values
from tui.jobs.on_bike import setup_on_bike
from tui.readings.kinds import CyclingRead, LoopRead, Readings

Finding = Fit | Cycled | Carried


@lru_cache(maxsize=4)
def finding(answered: JobAnswer, index: int, readings: Readings) -> Finding:
    """Return what readings say of setup `index`; raises `Unfit` where they say nothing.

    The same is asked with every line that scrolls, so the last ones are kept.
    """
    case = answered.case
    match readings:
        case LoopRead():
            return fit(case, index, readings.loop, readings.friction or "unknown")
        case CyclingRead():
            outside = float(case.shop.pressure)
            return cycled(case, index, readings.before + outside, readings.after + outside)
        case _:
            of_travel = case.target.of == "travel"
            frame = answered.answer.frame
            whole = float(frame.wheel_travel if of_travel else frame.stroke)
            sag = readings.sag * whole if readings.is_share else readings.sag
            return carried(case, index, sag, _gauge_read(answered, index))


def _gauge_read(answered: JobAnswer, index: int) -> float:
    """Return the gauge reading [Pa] in the record of the setup on the bike, NaN for none."""
    on_record = measured_values(answered.job) if index == setup_on_bike(answered.job) else {}
    reading = on_record.get("gauge")
    return reading if isinstance(reading, float) else math.nan
