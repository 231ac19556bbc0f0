"""Roles of cells → styles of the terminal."""

from __future__ import annotations

from rich.color import Color
from rich.style import Style

from tui.charts.look import ChartLook, Role
from tui.charts.sheet import HIGHLIGHT


class Paint:
    """The styles of one look, worked out once each."""

    def __init__(self, look: ChartLook) -> None:
        self._look = look
        self._styles: dict[int, Style] = {
            Role.BASE: Style.null(),
            Role.TITLE: Style(bold=True),
            Role.AXIS: _coloured(look.axis),
            Role.LEVEL: _coloured(look.level),
            Role.SAG: _coloured(look.sag) + Style(bold=True),
            Role.CURSOR: _coloured(look.cursor) + Style(bold=True),
            Role.STALE: _coloured(look.stale) + Style(bold=True, reverse=True),
        }

    def style(self, role: int) -> Style:
        """Return the style of a role."""
        if role not in self._styles:
            self._styles[role] = self._line(role)
        return self._styles[role]

    def _line(self, role: int) -> Style:
        if role >= HIGHLIGHT:
            return self.style(role - HIGHLIGHT) + Style(bold=True, reverse=True)
        return _coloured(self._look.line(role - Role.LINE).colour)


def _coloured(name: str) -> Style:
    return Style(color=Color.parse(name.removeprefix("ansi_")))
