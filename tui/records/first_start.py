"""What is said at a start: faults in the settings and, the very first time, where the records are."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen

WORDS = "O opens the records: an invented demo shop can be put in there. ? shows keys."


def tell_first_start(screen: BenchScreen) -> None:
    """Say where the records are as long as there are none; anything else told that is long goes in front."""
    if len(screen.state.note) >= screen.app.size.width:
        _put_in_front(screen)
    elif not screen.state.note and screen.desk.file is None and screen.desk.shelf.is_new:
        screen.say(WORDS)


def _put_in_front(screen: BenchScreen) -> None:
    """Show what does not fit into its line, once whatever is asked at the start is answered."""
    from tui.records.asking import tell  # most starts have nothing to tell

    page = tell("At the start", (screen.state.note,), screen.glyphs)
    screen.when_in_front(lambda: screen.app.push_screen(page))
