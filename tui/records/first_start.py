"""What is said at the very first start: where the records are, and that there is something to look at."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen

WORDS = "O opens the records: an invented demo shop can be put in there. ? shows keys."


def tell_first_start(screen: BenchScreen) -> None:
    """Say where the records are as long as there are none, unless something else is told or asked."""
    if not screen.state.note and screen.desk.file is None and screen.desk.shelf.is_new:
        screen.say(WORDS)
