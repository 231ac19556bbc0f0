"""A leverage table out of a file to the lines of a job file, with no screen anywhere."""

from __future__ import annotations

from pathlib import Path

from tui.headless import Unanswered
from tui.readings.kinds import UnusableReadings
from tui.readings.leverage_file import LeverageRead, leverage_in
from tui.readings.leverage_said import frame_of, kept_words, understood
from tui.readings.questions import lines_of, told_in
from tui.readings.roles import LEVERAGE
from tui.readings.source import text_of_file
from tui.readings.table import table_of


def table_text(source: str, columns: str, units: str) -> str:
    """Return the `[frame]` of the leverage table in a file; raises `Unanswered`."""
    path = Path(source)
    try:
        told = told_in(columns, units, LEVERAGE)
        return _frame(leverage_in(table_of(text_of_file(path), path.name), told))
    except UnusableReadings as unusable:
        raise Unanswered(lines_of(unusable)) from unusable


def _frame(read: LeverageRead) -> str:
    import tomlkit  # help must not wait for it

    said = "".join(f"# {line}.\n" for line in (understood(read), kept_words(read)) if line)
    return said + tomlkit.dumps({"frame": frame_of(read)})
