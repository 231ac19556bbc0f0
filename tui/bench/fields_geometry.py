"""Rows of a load that is known by its centre of mass, on a slope too."""

from __future__ import annotations

from tui.bench.fields_row import Amount, Choice, Option, Row
from tui.jobs.ends import End
from tui.jobs.job import Job
from tui.jobs.tree import Path
from tui.shop_units import Measure

_TABLE: Path = ("load", "geometry")
_LONG = Amount(Measure.TRAVEL, {"mm": "5", "in": "0.2"})
_LENGTHS = (
    Row(
        "wheelbase",
        (*_TABLE, "wheelbase"),
        _LONG,
        "From the front axle to the rear one, the bike level and unloaded.",
    ),
    Row(
        "mass behind front",
        (*_TABLE, "mass_behind_front"),
        _LONG,
        "How far behind the front axle the mass of rider and bike acts: the rear scale over both, times the "
        "wheelbase.",
    ),
    Row(
        "mass height",
        (*_TABLE, "mass_height"),
        _LONG,
        "How far above the ground that mass acts, rider in position. It counts on a slope only; about a "
        "metre is common practice, no source.",
    ),
    Row(
        "slope",
        (*_TABLE, "slope"),
        Amount(Measure.ANGLE, {"deg": "1"}, signed=True),
        "Slope of the ground, nose down above zero: it moves load to the front wheel.",
        usual="0 deg",
    ),
)


def geometry_rows(job: Job, end: End | None = None) -> tuple[Row, ...]:
    """Return the rows; the wheel meant by a file that names none is the fork's or the frame's.

    Where the bike has both ends, `end` says which wheel it is and there is nothing to choose.
    """
    if end is not None and job.get((*_TABLE, "wheel")) in (None, end):
        return _LENGTHS
    fork = job.get(("frame", "leverage", "kind")) == "fork"
    wheel = Row(
        "wheel",
        (*_TABLE, "wheel"),
        Choice((Option("rear", "rear"), Option("front", "front")), absent=1 if fork else 0),
        "The wheel whose suspension is on the bench.",
    )
    return (*_LENGTHS, wheel)
