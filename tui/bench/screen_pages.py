"""Pages in front of the bench: every key, how to pump, what to order."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.bench.state_setups import kind_selected, setup_of_kind
from tui.jobs.answering import answer_job

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen


NOTHING_YET = "Nothing to say yet: put right what is marked in the panels."


def show_help(screen: BenchScreen) -> None:
    """Show every key."""
    from tui.bench.help import help_page
    from tui.bench.keys import GROUPS

    screen.app.push_screen(help_page(GROUPS, screen.glyphs))


def show_filling(screen: BenchScreen) -> None:
    """Show how to pump the selected air setup; where a coil is selected, select the first air setup."""
    from tui.bench.filling import filling_page

    state = kind_selected(screen.commit(), "air")
    screen.take(state)
    setup = setup_of_kind(state, "air")
    if state.good is None:
        screen.say(NOTHING_YET)
    elif setup is None:
        screen.say("No air setup to pump: press a to add one.")
    else:
        good = state.good
        typed = good.job.setups[setup]
        page = filling_page(good.answer, setup, state.units, screen.glyphs, stale=state.stale, typed=typed)
        screen.app.push_screen(page)


def show_ordering(screen: BenchScreen) -> None:
    """Show what to order for the selected setup: springs for a coil, spacers for air."""
    from tui.bench.ordering import ordering_page

    state = screen.commit()
    if state.good is None:
        screen.say(NOTHING_YET)
        return
    answer = answer_job(state.good.job, spacers=True).answer
    setup = min(state.setup, len(answer.setups) - 1)
    typed = state.good.job.setups[setup]
    page = ordering_page(answer, setup, state.units, screen.glyphs, stale=state.stale, typed=typed)
    screen.app.push_screen(page)
