"""How large a page of the sheet may be printed so that all of it stands on one: reckoned, not tried."""

from __future__ import annotations

from math import ceil
from typing import NamedTuple

from rich.cells import cell_len

from tui.sheet.model import Blank, Box, Chart, Line, Part, Said, Section, Sheet, Warned

_SIZES = (9.0, 8.5, 8.0, 7.6, 7.3, 7.0, 6.7, 6.4, 6.1, 5.8)
_HEIGHT, _WIDTH, _GAP = 765.0, 544.0, 11.0
"""What the smaller of A4 and Letter leaves between the margins, and between two columns [pt]."""
_LETTER, _LEADING = 0.485, 1.17
"""Mean width of a letter and height of a line, of the size."""
_CHART = 0.42
"""Height of a chart over its width."""
_DENSE = 0.9
_HEAD, _GROUP, _SECTION = 5.0, 3.2, 1.4
"""Lines that the head, a group and a section take for themselves; columns seldom end as one."""


class Print(NamedTuple):
    """Size of print [pt] and number of columns."""

    size: float
    columns: int


def print_of(sheet: Sheet) -> Print:
    """Return the largest print that has a sheet on one page; past the least it goes on to a second."""
    tried = (Print(size, columns) for size in _SIZES for columns in (2, 3))
    return next((one for one in tried if _height(sheet, one) <= _HEIGHT), Print(_SIZES[-1], 3))


def _height(sheet: Sheet, asked: Print) -> float:
    """Return the height [pt] of a sheet."""
    sections = sum(_section(section, asked) for group in sheet.groups for section in group.sections)
    fixed = _HEAD + _GROUP * len(sheet.groups)
    return fixed * asked.size * _LEADING + sections / asked.columns


def _section(section: Section, asked: Print) -> float:
    column = (_WIDTH - _GAP * (asked.columns - 1)) / asked.columns
    size = asked.size * (_DENSE if section.dense else 1.0)
    letters = column / (_LETTER * size)
    told = [_text(part) for part in section.parts if not isinstance(part, Chart)]
    lines = sum(ceil(cell_len(text) / letters) for text in (["; ".join(told)] if section.dense else told))
    charts = len(section.parts) - len(told)
    return (lines + _SECTION + 1.2 * charts) * size * _LEADING + charts * column * _CHART


def _text(part: Part) -> str:
    match part:
        case Line(label, value):
            return f"{label}: {value}"
        case Said(text) | Box(text):
            return text
        case Warned(text):
            return f"Caution: {text}    "
        case Blank(label, hint):
            return f"{label}: {'_' * 14} {hint}"
        case Chart(title=title):
            return title
