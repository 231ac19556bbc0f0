"""One line of a prompt to readings: typed ones, or the path of a tester's file with its units behind it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tui.readings.csv_file import read_csv
from tui.readings.kinds import Readings, UnitsMissing, UnusableReadings
from tui.readings.typed import FORMS, typed_readings


def readings_asked(text: str, units: tuple[str, str], as_path: Callable[[str], Path]) -> Readings:
    """Return the readings a line asks for, `units` of stroke and force being those of typed pairs.

    Raises `UnusableReadings` in words for the one who typed it.
    """
    typed = typed_readings(text, units)
    if typed is not None:
        return typed
    path = as_path(text)
    if path.is_file():
        return _read(path, None)
    *words, stroke, force = ["", "", *text.split()]
    path = as_path(" ".join(words).strip())
    if words[2:] and path.is_file():
        return _read(path, (stroke, force))
    raise UnusableReadings(f"There is no such file, and no readings are typed here; {FORMS} is accepted")


def _read(path: Path, units: tuple[str, str] | None) -> Readings:
    try:
        return read_csv(path, units)
    except UnitsMissing as missing:
        what = missing.lines[0].split(";")[0]
        raise UnusableReadings(f"{what}; write both units behind the path: {path.name} mm N") from missing
