"""The tables that change no number: whose bike it is, what was measured on it, and how it rode."""

from __future__ import annotations

from collections.abc import Mapping

from tui.jobs.clean import brief
from tui.jobs.field_words import shown
from tui.jobs.fields import Section
from tui.jobs.findings import Findings
from tui.jobs.schema import MEASURED, RECORD, RIDDEN
from tui.jobs.sections import read_section, table_at
from tui.jobs.tree import Raw


def check_record(top: Mapping[str, Raw], setups: tuple[Section, ...], found: Findings) -> None:
    """Note what is wrong in `[record]`, `[measured]` and `[ridden]`."""
    read_section(table_at(top, "record", found), RECORD, ("record",), found, typed_only=True)
    read_section(table_at(top, "ridden", found), RIDDEN, ("ridden",), found, typed_only=True)
    table = table_at(top, "measured", found)
    measured = read_section(table, MEASURED, ("measured",), found, typed_only=True)
    names = [str(setup["name"]) for setup in setups if "name" in setup]
    meant = measured.get("setup")
    # A setup without a sound name may be the one that is meant.
    if meant is not None and names and len(names) == len(setups) and meant not in names:
        accepted = f"one of {', '.join(map(brief, names))} is accepted"
        found.fault(("measured", "setup"), f"{shown(meant)} names no setup", accepted)
