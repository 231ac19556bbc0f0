"""One line of a prompt to readings: typed ones, or the path of a tester's file."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from tui.readings.friction import with_friction
from tui.readings.kinds import LoopRead, Readings, UnusableReadings
from tui.readings.loop_file import loop_in
from tui.readings.questions import Open, Told, attempt
from tui.readings.source import text_of_file
from tui.readings.table import table_of
from tui.readings.typed import FORMS, TypedUnits, typed_readings


def readings_asked(text: str, units: TypedUnits, as_path: Callable[[str], Path]) -> Readings | Open[Readings]:
    """Return the readings a line asks for, a bare number typed taking its unit of `units`.

    A file may leave a question open, and readings one way that of friction. Raises `UnusableReadings` in
    words for the one who typed it.
    """
    typed = typed_readings(text, units)
    if isinstance(typed, LoopRead):
        return attempt(partial(with_friction, typed, unit=units.force), Told())
    if typed is not None:
        return typed
    path = as_path(text)
    if not path.is_file():
        raise UnusableReadings(f"There is no such file, and no readings are typed here; {FORMS} is accepted")
    table = table_of(text_of_file(path), path.name)
    return attempt(lambda told: with_friction(loop_in(table, told), told, units.force), Told())
