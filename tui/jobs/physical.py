"""What the physics refuses in a job that has other faults, so that every fault of a file is told at once.

Whatever could not be read is NaN, and no law refuses a number that is not known.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

from physics.faults import Fault, Refused
from physics.leverage import leverage_curve
from physics.load import wheel_load
from physics.shock import setup_faults
from tui.jobs.case_of import frame_of, load_of
from tui.jobs.fault_words import job_faults
from tui.jobs.faults import JobFault
from tui.jobs.linkage_section import linkage_of
from tui.jobs.reading import Reading
from tui.jobs.schema import LEVERAGE, Column
from tui.jobs.setup_of import setup_of
from tui.jobs.values import due

_Part = TypeVar("_Part")


def physical_faults(reading: Reading) -> tuple[JobFault, ...]:
    """Return the faults of load, frame and setups that are certain, whatever else is wrong, of both ends."""
    return tuple(fault for wheel in reading.wheels for fault in _of_wheel(wheel))


def _of_wheel(reading: Reading) -> tuple[JobFault, ...]:
    found = [*_refused(wheel_load, load_of(reading)), *_frame(reading), *_setups(reading)]
    return job_faults(found, reading.spelling)


def _frame(reading: Reading) -> tuple[Fault, ...]:
    leverage = reading.leverage
    fields = LEVERAGE.get(str(leverage.get("kind")))
    if fields is None or any(isinstance(fields[key], Column) and key not in leverage for key in fields):
        return ()
    if leverage["kind"] == "linkage" and linkage_of(leverage) is None:
        return ()
    return _refused(leverage_curve, frame_of(reading))


def _setups(reading: Reading) -> list[Fault]:
    stroke = due(reading.frame, "stroke")
    return [
        replace(fault, field=("setup", index, *fault.field))
        for index, section in enumerate(reading.setups)
        # No fault hangs on a pressure, so the air of the shop counts for nothing here.
        for fault in setup_faults(setup_of(section, 0.0), stroke)
    ]


def _refused(law: Callable[[_Part], object], part: _Part) -> tuple[Fault, ...]:
    try:
        law(part)
    except Refused as refused:
        return refused.faults
    return ()
