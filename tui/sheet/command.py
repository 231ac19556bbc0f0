"""The setup sheet of a job file without a screen: printed, or written to a file in the form of its ending."""

from __future__ import annotations

import datetime
import os
from pathlib import Path
from typing import NamedTuple, cast

from tui.job.faults import JobFault, reason_of
from tui.job.files import replace_file
from tui.kit.look import glyphs_for
from tui.settings import find_settings
from tui.sheet.build import sheet_of
from tui.sheet.forms import ENDINGS, Form, form_of, written
from tui.shop_units import ALL
from tui.subjects.asked import Unanswered, answered_file, refused
from tui.subjects.unverified import unverified

_PRINTED = ("", "-")


class SheetAsked(NamedTuple):
    """What the command line asks of a sheet; empty where it does not say.

    A `strict` sheet is not made of values that nobody has typed or confirmed.
    """

    output: str
    form: str
    units: str
    date: str
    strict: bool = False


def sheet_text(source: str, asked: SheetAsked) -> str:
    """Return the sheet, nothing where it was written to a file; raises `Unanswered` for all that is wrong."""
    form, date, path = _form(asked), _date(asked.date), Path(asked.output)
    found = find_settings()
    # A sheet for a customer does not go out with half of the settings.
    if found.faults:
        raise Unanswered(tuple(map(str, found.faults)), source=str(found.path))
    units = next((units for units in ALL if units.name == asked.units), found.settings.units)
    answered = answered_file(source)
    if asked.strict and (values := unverified(answered.job)):
        accepted = "type it, or confirm it with Space on the bench"
        faults = (JobFault(one.path, f"{one.label} {one.value} is unverified", accepted) for one in values)
        raise Unanswered(tuple(map(str, faults)))
    sheet = sheet_of(answered, found.settings, date, units)
    if asked.output in _PRINTED:
        return written(sheet, form, ascii_only=glyphs_for(os.environ).ascii)
    try:
        replace_file(path, written(sheet, form).encode())
    except (OSError, ValueError) as trouble:
        reason = reason_of(trouble)
        accepted = "a name in a folder that can be written is accepted"
        raise refused("output", f"{reason[:1].lower()}{reason[1:]}", accepted) from trouble
    return ""


def _form(asked: SheetAsked) -> Form:
    if asked.form:
        return cast("Form", asked.form)
    form = "text" if asked.output in _PRINTED else form_of(Path(asked.output))
    if form is None:
        what = f'"{Path(asked.output).name}" does not say which form'
        raise refused("output", what, f"an ending of {', '.join(ENDINGS)}, or --format, is accepted")
    return form


def _date(text: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text) if text else datetime.date.today()
    except ValueError as error:
        accepted = "a date as in 2026-03-14, year first, is accepted"
        raise refused("date", f'"{text}" is no date', accepted) from error
