"""Asking for readings from the bench."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tui.bench.state_readings import VIEW, with_readings

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen
    from tui.readings.kinds import Readings


def show_readings(screen: BenchScreen) -> None:
    """Show what the readings say; asked again, ask for others."""
    state = screen.commit()
    if state.aside != VIEW:
        screen.take(replace(state, aside=VIEW))
        return
    from tui.bench.dialogs_readings import ReadingsPrompt
    from tui.bench.dialogs_tables import settle

    def chosen(readings: Readings) -> None:
        screen.take(with_readings(screen.state, readings))

    screen.app.push_screen(
        ReadingsPrompt(state.units, screen.glyphs), lambda found: settle(screen, found, chosen)
    )
