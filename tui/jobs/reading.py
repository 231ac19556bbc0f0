"""A job whose every value is sound, and how a job as typed becomes one."""

from __future__ import annotations

from dataclasses import dataclass, replace

from tui.jobs.ends import SHARED_LOAD, front_spelling
from tui.jobs.faults import JobFault, UnusableJob
from tui.jobs.field_words import shown
from tui.jobs.fields import Section
from tui.jobs.findings import Findings
from tui.jobs.job import Job
from tui.jobs.kinds import read_leverage
from tui.jobs.record_sections import check_record
from tui.jobs.schema import AMBIENT, TARGET, TOLERANCE, TOP
from tui.jobs.sections import check_format, read_frame, read_load, read_section, table_at
from tui.jobs.setup_sections import read_setups
from tui.jobs.slips import FRONT_TABLES, Spelling, spelled
from tui.jobs.tree import Table, look_up
from tui.jobs.unconfirmed import check_list


@dataclass(frozen=True, slots=True)
class Reading:
    """The values of a job: SI floats, pressures still gauge [Pa].

    `ride` is None where the job asks about no other air than the shop's, `front` where it is one wheel only.
    """

    load: Section
    frame: Section
    leverage: Section
    target: Section
    ambient: Section
    ride: Section | None
    tolerance: Section
    setups: tuple[Section, ...]
    spelling: Spelling
    front: Reading | None = None

    @property
    def wheels(self) -> tuple[Reading, ...]:
        """The wheels of the job, the front one last."""
        return (self,) if self.front is None else (self, self.front)


def read(job: Job) -> Reading:
    """Read a job as typed; raise `UnusableJob` with all its faults if it has any."""
    reading, faults = look(job)
    if faults:
        raise UnusableJob(faults)
    return reading


def look(job: Job) -> tuple[Reading, tuple[JobFault, ...]]:
    """Return what is sound in a job and every fault of the rest."""
    spelling = spelled(job.tree)
    found = Findings(spelling)
    found.slips()
    reading = _wheel(spelling, found)
    front = spelling.tree.get("front")
    if isinstance(front, Table):
        _both_ends(spelling.tree, front, found)
        at_front = front_spelling(spelling)
        of_front = Findings(at_front)
        reading = replace(reading, front=_wheel(at_front, of_front))
        # What is wrong with a value that both wheels share is told already.
        place = spelling.in_file(("front",))
        found.faults += [fault for fault in of_front.faults if fault.path[:1] == place]
    elif front is not None:
        found.fault(("front",), f"{shown(front)} is no table", "a table [front] is accepted")
    return reading, tuple(found.faults)


def _wheel(spelling: Spelling, found: Findings) -> Reading:
    top = spelling.tree
    found.unknown_keys(top, TOP, ())
    check_list(top, (), found, only=("title",))
    check_format(top.get("format"), found)
    title = top.get("title", "")
    if not isinstance(title, str):
        found.fault(("title",), f"{shown(title)} cannot be used", "text is accepted")
    frame = table_at(top, "frame", found)
    reading = Reading(
        load=read_load(table_at(top, "load", found), found),
        frame=read_frame(frame, found),
        leverage={} if frame is None else read_leverage(frame.get("leverage"), found),
        target=read_section(table_at(top, "target", found), TARGET, ("target",), found),
        ambient=read_section(table_at(top, "ambient", found), AMBIENT, ("ambient",), found),
        ride=_ride(top, found),
        tolerance=read_section(table_at(top, "tolerance", found), TOLERANCE, ("tolerance",), found),
        setups=read_setups(top.get("setup"), str(look_up(frame, ("leverage", "kind"))), found),
        spelling=spelling,
    )
    check_record(top, reading.setups, found)
    return reading


def _ride(top: Table, found: Findings) -> Section | None:
    table = table_at(top, "ride", found) if "ride" in top else None
    return None if "ride" not in top else read_section(table, AMBIENT, ("ride",), found, typed_only=True)


def _both_ends(top: Table, front: Table, found: Findings) -> None:
    """Note what contradicts that the top level is the rear wheel, and what the front has twice."""
    found.unknown_keys(front, FRONT_TABLES, ("front",))
    rear, own = (look_up(tree, ("load",)) for tree in (top, front))
    if look_up(top, ("frame", "leverage", "kind")) == "fork":
        what = "a fork at the rear: beside [front] the top level is the rear wheel"
        found.fault(("frame", "leverage", "kind"), what, "a fork in [front.frame.leverage] is accepted")
    if look_up(rear, ("geometry", "wheel")) == "front":
        what = "front, but beside [front] the top level is the rear wheel"
        found.fault(("load", "geometry", "wheel"), what, "rear, or no such key, is accepted")
    if isinstance(own, Table) and not (isinstance(rear, Table) and "scale_mass" in rear):
        for key in SHARED_LOAD:
            if key in own:
                found.fault(("front", "load", key), "counts for both wheels", f"{key} in [load] is accepted")
