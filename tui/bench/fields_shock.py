"""Rows that coil and air have alike: friction, damper gas, bumper, a fork's lower legs, name."""

from __future__ import annotations

from tui.bench.fields_row import Amount, Kind, Row, Words
from tui.jobs.job import Job
from tui.jobs.tree import Path
from tui.shop_units import Measure

PRELOAD_CAUTION = (
    "Preload stores energy: back the collar off before anything is undone, wear eye protection, and leave "
    "what is in doubt to a qualified technician."
)
AIR_CAUTION = (
    "Never above the limit on the label. Eye protection on, valve away from the face; let all air out "
    "before opening. In doubt, a qualified technician."
)
OPENING_CAUTION = (
    "Let all air out before opening the chamber. Never above the label's limit after, eye protection on; "
    "in doubt, a qualified technician."
)
GAS_CAUTION = (
    "The damper charge is for a qualified technician with the maker's manual: eye protection, never above "
    "the label."
)
SMALL = {"mm": "0.5"}


def row(
    table: Path,
    key: str,
    label: str,
    kind: Kind,
    meaning: str,
    *,
    caution: str = "",
    usual: str = "",
    head: str = "",
) -> Row:
    """Return a row for `key` of the table of one setup."""
    return Row(label, (*table, key), kind, meaning, caution, usual, head)


def friction_row(table: Path) -> Row:
    """Return the row of the seal friction."""
    return row(
        table,
        "friction",
        "seal friction",
        Amount(Measure.FORCE),
        "What the seals hold back in either direction: half the difference between pushing the shaft in and "
        "letting it out, slowly, on a scale.",
        usual="0 N",
        head="friction and weight",
    )


def tail_rows(job: Job, table: Path, *, rod_known: bool) -> tuple[Row, ...]:
    """Return the rows of what a setup has besides its spring, and of its name.

    The rod only where the spring has not asked for it; lower legs for a fork, or where the job has them.
    """
    rod = () if rod_known else (rod_row(table, head="damper gas, if it has any"),)
    gas_head = "damper gas, if it has any" if rod_known else ""
    legs = _leg_rows(table)
    if job.get(("frame", "leverage", "kind")) != "fork" and all(job.get(leg.path) is None for leg in legs):
        legs = ()
    return (*rod, *_gas_rows(table, gas_head), *_bumper_rows(table), *legs, *_name_rows(table))


def rod_row(table: Path, head: str = "") -> Row:
    """Return the row of the damper rod."""
    return row(
        table,
        "rod",
        "damper rod",
        Amount(Measure.TRAVEL, SMALL),
        "Diameter of the damper rod where it enters the damper, with a caliper. A fork's air shaft has "
        "none: 0.",
        usual="0 mm",
        head=head,
    )


def _gas_rows(table: Path, head: str) -> tuple[Row, ...]:
    return (
        row(
            table,
            "gas_pressure",
            "gas charge",
            Amount(Measure.PRESSURE, {"psi": "5", "bar": "0.5"}, or_none=True),
            'The damper\'s charge at full extension; "none" where it has none.',
            caution=GAS_CAUTION,
            head=head,
        ),
        row(
            table,
            "gas_volume",
            "gas volume",
            Amount(Measure.VOLUME),
            "Volume of that charge at full extension. Given with the pressure or not at all.",
        ),
    )


def _bumper_rows(table: Path) -> tuple[Row, ...]:
    return (
        row(
            table,
            "bumper_length",
            "bumper length",
            Amount(Measure.TRAVEL, SMALL, share_of="stroke", or_none=True),
            "Stroke over which the bottom-out bumper is squeezed: its free height less what is left when it "
            'is squeezed flat; "none" for a shock without one.',
            head="bottom-out bumper, if it has one",
        ),
        row(
            table,
            "bumper_force",
            "bumper force",
            Amount(Measure.FORCE, {"N": "50", "lbf": "10", "kgf": "5"}),
            "Force when the bumper is fully squeezed. Given with the length or not at all.",
        ),
    )


def _leg_rows(table: Path) -> tuple[Row, ...]:
    return (
        row(
            table,
            "lower_leg_volume",
            "lower leg volume",
            Amount(Measure.VOLUME, or_none=True),
            "Free air in one lower leg at full extension, oil in: fill it with oil from a syringe while it "
            'is open for service; "none" where the legs are vented.',
            head="air in the lower legs",
        ),
        row(
            table,
            "stanchion_diameter",
            "stanchion diameter",
            Amount(Measure.TRAVEL, SMALL),
            "Outer diameter of a stanchion, with a caliper. Given with the volume or not at all.",
        ),
    )


def _name_rows(table: Path) -> tuple[Row, ...]:
    called = "What this setup is called in the chart and in the table."
    hardware = (
        "What the shock itself is called in the records, where its measures are found again for the "
        "next rider. It changes no number."
    )
    return (
        row(table, "name", "name", Words(), called, head="setup"),
        row(table, "shock", "shock", Words(), hardware),
    )
