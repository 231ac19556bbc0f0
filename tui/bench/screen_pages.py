"""Pages in front of the bench: every key, how to pump, what to order."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from tui.jobs.answering import answer_job

if TYPE_CHECKING:
    from tui.bench.dialogs_page import Page
    from tui.bench.screen import BenchScreen


def show_help(screen: BenchScreen) -> None:
    """Show every key."""
    from tui.bench.help import help_page
    from tui.bench.keys import GROUPS

    screen.app.push_screen(help_page(GROUPS, screen.glyphs))


def show_filling(screen: BenchScreen) -> None:
    """Show how to pump the selected setup."""
    from tui.bench.filling import filling_page

    _show_page(screen, filling_page)


def show_ordering(screen: BenchScreen) -> None:
    """Show what to order for the selected setup."""
    from tui.bench.ordering import ordering_page

    _show_page(screen, ordering_page, spacers=True)


def _show_page(screen: BenchScreen, page: Callable[..., Page], *, spacers: bool = False) -> None:
    state = screen.commit()
    if state.good is None or state.setup >= len(state.good.answer.setups):
        screen.say("Nothing to say yet: put right what is marked in the panels.")
        return
    answered = answer_job(state.good.job, spacers=True) if spacers else state.good
    screen.app.push_screen(page(answered.answer, state.setup, state.units, screen.glyphs, stale=state.stale))
