"""A tester's file of force over stroke."""

from __future__ import annotations

from pathlib import Path

from tui.readings.column_numbers import numbers_of
from tui.readings.kinds import LoopRead
from tui.readings.questions import Told
from tui.readings.roles import FORCE, LOOP, SHAFT
from tui.readings.source import text_of_file
from tui.readings.table import RawTable, table_of


def read_loop(path: Path, told: Told) -> LoopRead:
    """Return the readings of a file.

    Raises `Unclear` where something is to be asked first, `UnusableReadings` with every fault by its line.
    """
    return loop_in(table_of(text_of_file(path), path.name), told)


def loop_in(table: RawTable, told: Told) -> LoopRead:
    """Return the readings in a table; raises as `read_loop` does."""
    from physics.loop import loop_of  # numpy comes with it

    found = numbers_of(table, LOOP, told).of
    return LoopRead(loop_of(found[SHAFT], found[FORCE]), table.name)
