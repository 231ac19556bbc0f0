"""Asking for wanted figures from the bench."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tui.bench.state_wants import VIEW, with_wants

if TYPE_CHECKING:
    from physics.wants import Want
    from tui.bench.screen import BenchScreen


def show_wants(screen: BenchScreen) -> None:
    """Show what is wanted and found; asked again, ask for other figures."""
    state = screen.commit()
    if state.aside != VIEW:
        screen.take(replace(state, aside=VIEW))
        return
    from tui.bench.dialogs_wants import WantsPrompt

    def chosen(wants: tuple[Want, ...] | None) -> None:
        if wants is not None:
            screen.take(with_wants(screen.state, wants))

    screen.app.push_screen(WantsPrompt(state.units, screen.glyphs), chosen)
