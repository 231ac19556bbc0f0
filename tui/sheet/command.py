"""Headless commands for the setup sheet and for a chart of a job file.

The sheet is printed, or written to a file whose ending determines the form.
"""

from __future__ import annotations

import datetime
import os
from pathlib import Path
from typing import TYPE_CHECKING, cast

from physics.frozen import NamedTuple
from tui.charts.export import ENDINGS as CHART_ENDINGS
from tui.charts.export import NothingToDraw, chart_file, marked
from tui.charts.series import Scene, chart_data
from tui.charts.views import BY_NAME
from tui.job.answer import JobAnswer
from tui.job.faults import JobFault, reason_of
from tui.job.files import replace_file
from tui.job.tree import brief
from tui.job.wheels import Wheel
from tui.kit.look import glyphs_for
from tui.saying import path_text
from tui.settings import Settings, find_settings
from tui.sheet.build import ENDINGS, Form, form_of, sheet_of, written
from tui.shop_units import ALL, ShopUnits
from tui.subjects.asked import Seat, Unanswered, answered_file, refused, seat_named
from tui.subjects.unverified import unverified
from tui.themes import paper_look

if TYPE_CHECKING:
    from tui.ride.logged import Logged

_PRINTED = ("", "-", "/dev/stdout", "/dev/fd/1", "/proc/self/fd/1")
"""Names of standard output, which is written to, whereas a file is replaced."""


class SheetAsked(NamedTuple):
    """Options for a sheet; empty if not given.

    A `strict` sheet refuses unconfirmed values; `workings` adds the appendix. `log` is the file of a logged
    ride for the sheet, with options for open questions about its table. Only with `replace` is an existing
    file replaced.
    """

    output: str
    form: str
    units: str
    date: str
    strict: bool = False
    workings: bool = False
    log: str = ""
    log_columns: str = ""
    log_units: str = ""
    replace: bool = False


def sheet_text(source: str, asked: SheetAsked) -> str:
    """Return the sheet, empty if it was written to a file; raises `Unanswered` for any error."""
    form, date, path = _form(asked), _date(asked.date), Path(asked.output)
    settings = _settings()
    units = _units(asked.units, settings)
    answered = answered_file(source)
    if asked.strict and (values := unverified(answered.job)):
        accepted = "type it, or confirm it on the bench"
        faults = (JobFault(one.path, f"{one.label} {one.value} is unverified", accepted) for one in values)
        raise Unanswered(tuple(map(str, faults)))
    ride = _ride(answered, asked)
    sheet = sheet_of(answered, settings, date, units, workings=asked.workings, ride=ride)
    if asked.output in _PRINTED:
        return written(sheet, form, ascii_only=glyphs_for(os.environ).ascii)
    _write(path, written(sheet, form).encode(), replace=asked.replace)
    return ""


_OF_LOG = "log-"
"""Prefix of the options for open questions about the table of a log."""


def _ride(answered: JobAnswer, asked: SheetAsked) -> Logged | None:
    """Return the logged ride for the sheet, None without one."""
    if not asked.log:
        for option in ("columns", "units"):
            if getattr(asked, f"log_{option}"):
                raise refused(f"{_OF_LOG}{option}", "there is no log", "use it with --log LOG")
        return None
    from tui.ride.logged import logged_file, options_told

    return logged_file(
        answered, asked.log, options_told(asked.log_columns, asked.log_units, _OF_LOG), _OF_LOG
    )


class ChartAsked(NamedTuple):
    """Options for a chart; `setup` and `units` are empty if not given.

    Only with `replace` is an existing file replaced.
    """

    output: str
    view: str
    setup: str
    wheel: Wheel
    units: str
    slow: bool
    replace: bool = False


def chart_text(source: str, asked: ChartAsked) -> str:
    """Write a chart to its file and return nothing to print; raises `Unanswered` for any error."""
    path = Path(asked.output)
    ending = path.suffix.lower()
    if ending not in CHART_ENDINGS:
        raise _no_form(path, f"use {', '.join(CHART_ENDINGS)}")
    units = _units(asked.units, _settings())
    there = answered_file(source).at(asked.wheel)
    if there is None:
        raise refused("wheel", "this job has no front", "use rear")
    data = chart_data(there.answer, BY_NAME[asked.view], _place(asked, there), slow=asked.slow)
    scene, note = marked(Scene(data, units, paper_look()), there)
    try:
        _write(path, chart_file(scene, ending, note=note), replace=asked.replace)
    except NothingToDraw as nothing:
        raise refused("view", str(nothing).rstrip("."), "use another view or setup") from nothing
    return ""


def _place(asked: ChartAsked, there: JobAnswer) -> int:
    """Return the index of the setup, by default the first air setup."""
    setups = there.answer.setups
    if not asked.setup:
        return next((place for place, setup in enumerate(setups) if setup.kind == "air"), 0)
    seats = [Seat(asked.wheel, there, place) for place in range(len(setups))]
    return seat_named("setup", asked.setup, seats).place


def _settings() -> Settings:
    """Return the settings; faults are errors here, as the sheet is for a customer."""
    found = find_settings()
    if found.faults:
        raise Unanswered(tuple(map(str, found.faults)), source=str(found.path))
    return found.settings


def _units(name: str, settings: Settings) -> ShopUnits:
    return next((units for units in ALL if units.name == name), settings.units)


def _write(path: Path, data: bytes, *, replace: bool) -> None:
    try:
        replace_file(path, data, only_new=not replace)
    except FileExistsError as taken:
        accepted = "use another name, or --replace to replace it"
        raise refused("output", f"{path_text(path)} exists already", accepted) from taken
    except (OSError, ValueError) as trouble:
        reason = reason_of(trouble)
        accepted = "use a folder that you may write to"
        raise refused("output", f"{reason[:1].lower()}{reason[1:]}", accepted) from trouble


def _form(asked: SheetAsked) -> Form:
    if asked.form:
        return cast("Form", asked.form)
    form = "text" if asked.output in _PRINTED else form_of(Path(asked.output))
    if form is None:
        raise _no_form(Path(asked.output), f"use {', '.join(ENDINGS)}, or --format")
    return form


def _no_form(path: Path, accepted: str) -> Unanswered:
    return refused("output", f'"{path.name}": unknown ending', accepted)


def _date(text: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text) if text else datetime.date.today()
    except ValueError as error:
        accepted = "use year-month-day, e.g. 2026-03-14"
        raise refused("date", f'"{brief(text)}" is not a date', accepted) from error
