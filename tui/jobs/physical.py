"""What the physics refuses in the sound parts of a job, so that every fault of a file is told at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

from physics.faults import Fault, Refused
from physics.leverage import leverage_curve
from physics.load import wheel_load
from physics.shock import setup_faults
from tui.jobs.case_of import frame_of, load_of, shop_of
from tui.jobs.fault_words import job_fault
from tui.jobs.faults import JobFault
from tui.jobs.reading import Reading
from tui.jobs.setup_of import setup_of
from tui.jobs.tree import Path
from tui.jobs.values import number

_Part = TypeVar("_Part")


def physical_faults(reading: Reading, known: tuple[JobFault, ...]) -> tuple[JobFault, ...]:
    """Return the faults of load, frame and setups, each looked at only where nothing `known` touches it."""
    found: list[Fault] = []
    if _is_sound(known, ("load",)):
        found += _refused(wheel_load, load_of(reading))
    if _is_sound(known, ("frame",)):
        found += _refused(leverage_curve, frame_of(reading))
    if _is_sound(known, ("frame", "stroke")) and _is_sound(known, ("ambient",)):
        found += _setups(reading, known)
    return tuple(job_fault(fault) for fault in found)


def _setups(reading: Reading, known: tuple[JobFault, ...]) -> list[Fault]:
    stroke, outside = number(reading.frame, "stroke"), float(shop_of(reading).pressure)
    return [
        replace(fault, field=("setup", index, *fault.field))
        for index, section in enumerate(reading.setups)
        if _is_sound(known, ("setup", index))
        for fault in setup_faults(setup_of(section, outside), stroke)
    ]


def _refused(law: Callable[[_Part], object], part: _Part) -> tuple[Fault, ...]:
    try:
        law(part)
    except Refused as refused:
        return refused.faults
    return ()


def _is_sound(known: tuple[JobFault, ...], path: Path) -> bool:
    return not any(
        fault.path[: len(path)] == path or path[: len(fault.path)] == fault.path for fault in known
    )
