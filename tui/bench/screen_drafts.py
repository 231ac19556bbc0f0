"""Work of a session that ended without its owner's word: offered once the bench is alive."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from tui.bench.state import answered, opened
from tui.jobs.history import History

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen
    from tui.jobs.draft import Abandoned


def offer_draft(screen: BenchScreen) -> None:
    """Offer the newest draft of a dead session; with a file on the bench only a draft of that file."""
    from tui.jobs.draft import abandoned_drafts

    asked = screen.desk.path
    for draft in abandoned_drafts():
        if asked is None or (draft.file is not None and draft.file == asked.resolve()):
            _offer(screen, draft)
            return


def _offer(screen: BenchScreen, draft: Abandoned) -> None:
    from tui.bench.dialogs import DISCARD, OPEN, tell_recovered
    from tui.jobs.draft import forget

    def replied(reply: str | None) -> None:
        if reply == OPEN:
            _take_up(screen, draft)
        if reply in (OPEN, DISCARD):
            forget(draft)

    when = f"{datetime.fromtimestamp(draft.kept_at):%d %B, %H:%M}"
    screen.app.push_screen(tell_recovered(draft.job.title, when, screen.glyphs), replied)


def _take_up(screen: BenchScreen, draft: Abandoned) -> None:
    """Put the draft on the bench; nothing of it counts as saved."""
    screen.desk.recovered(draft.file)
    # Kept under this session's name before the old draft goes.
    history = History(draft.job, saved=None)
    screen.desk.keep(history)
    screen.take(answered(opened(history, screen.state.units)))
