"""The setup sheet of a job file without a screen: printed, or written to a file in the form of its ending."""

from __future__ import annotations

import datetime
import os
from pathlib import Path
from typing import NamedTuple, cast

from tui.job.faults import JobFault, reason_of
from tui.job.files import replace_file
from tui.kit.look import glyphs_for
from tui.settings import Settings, find_settings
from tui.sheet.build import sheet_of
from tui.sheet.forms import ENDINGS, Form, form_of, written
from tui.shop_units import ALL, ShopUnits
from tui.subjects.asked import Unanswered, answered_file, refused
from tui.subjects.unverified import Unverified, unverified

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
    """Return what is to be printed: the sheet, or nothing where it was written to a file.

    Raises `Unanswered` for the job, the options, the settings, and a file that cannot be written.
    """
    form, date = _form(asked), _date(asked.date)
    settings = _settings()
    units = _units(asked.units, settings)
    answered = answered_file(source)
    if asked.strict and (values := unverified(answered.job)):
        raise Unanswered(tuple(_line(value) for value in values))
    sheet = sheet_of(answered, settings, date, units)
    printed = asked.output in _PRINTED
    text = written(sheet, form, ascii_only=printed and glyphs_for(os.environ).ascii)
    if printed:
        return text
    _write(Path(asked.output), text)
    return ""


def _line(value: Unverified) -> str:
    what = f"{value.label} {value.value} is unverified"
    return str(JobFault(value.path, what, "type it, or confirm it with Space on the bench"))


def _form(asked: SheetAsked) -> Form:
    if asked.form:
        return cast("Form", asked.form)
    if asked.output in _PRINTED:
        return "text"
    form = form_of(Path(asked.output))
    if form is None:
        raise refused(
            "output",
            f'"{Path(asked.output).name}" does not say which form',
            f"an ending of {', '.join(ENDINGS)}, or --format, is accepted",
        )
    return form


def _date(text: str) -> datetime.date:
    if not text:
        return datetime.date.today()
    try:
        return datetime.date.fromisoformat(text)
    except ValueError as error:
        raise refused(
            "date", f'"{text}" is no date', "a date as in 2026-03-14, year first, is accepted"
        ) from error


def _settings() -> Settings:
    """Return the settings; a sheet for a customer does not go out with half of them."""
    found = find_settings()
    if found.faults:
        raise Unanswered(tuple(map(str, found.faults)), source=str(found.path))
    return found.settings


def _units(name: str, settings: Settings) -> ShopUnits:
    return next((units for units in ALL if units.name == name), settings.units)


def _write(path: Path, text: str) -> None:
    try:
        replace_file(path, text.encode())
    except (OSError, ValueError) as trouble:
        reason = reason_of(trouble)
        accepted = "a name in a folder that can be written is accepted"
        raise refused("output", f"{reason[:1].lower()}{reason[1:]}", accepted) from trouble
