"""What the screen does besides changing its state, by the id of the action."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from tui.bench.screen_jobs import if_not_needed, open_job, save, save_as
from tui.bench.screen_leverage import import_leverage
from tui.bench.screen_look import switch_mouse, switch_table, turn_line_style, turn_theme
from tui.bench.screen_pages import show_filling, show_help, show_ordering
from tui.bench.screen_readings import show_readings
from tui.bench.screen_saving import save_with_note
from tui.bench.screen_sheet import show_sheet
from tui.bench.screen_wants import show_wants

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen


def leave(screen: BenchScreen) -> None:
    """Leave the program; asks if something is not saved."""

    def go() -> None:
        screen.desk.leave()
        screen.app.exit()

    if_not_needed(screen, go)


def suspend(screen: BenchScreen) -> None:
    """Put the program aside, as a shell does with ctrl+z."""
    screen.app.action_suspend_process()


ACTS: Mapping[str, Callable[[BenchScreen], None]] = {
    "save": save,
    "save_as": save_as,
    "save_note": save_with_note,
    "open": open_job,
    "import": import_leverage,
    "quit": leave,
    "suspend": suspend,
    "help": show_help,
    "fill": show_filling,
    "order": show_ordering,
    "readings": show_readings,
    "sheet": show_sheet,
    "wants": show_wants,
    "table": switch_table,
    "mouse": switch_mouse,
    "theme": turn_theme,
    "lines": turn_line_style,
}
"""By the id of an action what the screen does for it."""
NOT_TAKING = frozenset(("help", "table", "mouse", "theme", "lines", "suspend"))
"""Acts that leave an open value as it is; all others take it first, and so wait while it is asked about."""
