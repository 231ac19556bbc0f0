"""Roles of cells → styles of the terminal."""

from __future__ import annotations

from rich.color import Color
from rich.style import Style

from tui.charts.look import ChartLook, Role
from tui.charts.sheet import HIGHLIGHT


def paint(look: ChartLook, role: int) -> Style:
    """Return the style of a role of the chart."""
    if role >= HIGHLIGHT:
        return paint(look, role - HIGHLIGHT) + Style(bold=True, reverse=True)
    if role >= Role.LINE:
        return _coloured(look.line(role - Role.LINE).colour)
    match role:
        case Role.TITLE:
            return Style(bold=True)
        case Role.AXIS:
            return _coloured(look.axis)
        case Role.LEVEL:
            return _coloured(look.level)
        case Role.SAG:
            return _coloured(look.sag) + Style(bold=True)
        case Role.CURSOR:
            return _coloured(look.cursor) + Style(bold=True)
        case Role.STALE:
            return _coloured(look.stale) + Style(bold=True, reverse=True)
        case _:
            return Style.null()


def _coloured(name: str) -> Style:
    return Style(color=Color.parse(name.removeprefix("ansi_")))
