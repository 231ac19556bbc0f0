"""Work of sessions that ended without their owner's word: offered once the bench is alive."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from tui.bench.state_view import fresh
from tui.jobs.history import History

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen
    from tui.bench.screen_files import Desk
    from tui.jobs.draft_found import Abandoned


def offer_drafts(screen: BenchScreen) -> None:
    """Offer the drafts of dead sessions, the newest first; with a job on the bench only those of this job."""
    from tui.bench.dialogs import tell_damaged
    from tui.jobs.draft_found import abandoned_drafts

    found = abandoned_drafts()
    ours = [draft for draft in found.drafts if _belongs(draft, screen.desk)]

    def offer(_reply: str | None = None) -> None:
        _offer(screen, ours)

    if others := len(found.drafts) - len(ours):
        many = "another job was" if others == 1 else f"{others} other jobs was"
        screen.say(f"Work on {many} kept too: springwright without a job offers it.")
    if found.damaged:
        screen.app.push_screen(tell_damaged(found.damaged, screen.glyphs), offer)
    else:
        offer()


def _belongs(draft: Abandoned, desk: Desk) -> bool:
    """Return whether a draft is to be offered on a desk: any where no job was asked for."""
    if desk.entry is not None:
        kept, asked = draft.entry or {}, desk.entry
        return all(kept.get(key) == asked[key] for key in ("store", "job"))
    return desk.path is None or (draft.file is not None and draft.file == desk.path.resolve())


def _offer(screen: BenchScreen, drafts: Sequence[Abandoned]) -> None:
    """Offer the first draft that no other session has taken up meanwhile, and after the reply the next."""
    from tui.bench.dialogs import DISCARD, OPEN, tell_recovered
    from tui.jobs.draft_found import claim, forget

    if not drafts:
        return
    draft, rest = drafts[0], drafts[1:]
    held = claim(draft)
    if held is None:
        _offer(screen, rest)
        return
    screen.desk.claimed = held

    def replied(reply: str | None) -> None:
        if reply == DISCARD or (reply == OPEN and _taken_up(screen, draft)):
            forget(draft)
        held.close()
        if not screen.desk.trouble:  # else the one that was taken up has no draft of its own yet
            _offer(screen, rest)

    about = _words(draft, len(rest), busy=screen.state.history.has_unsaved_changes)
    screen.app.push_screen(tell_recovered(about, screen.glyphs), replied)


def _words(draft: Abandoned, more: int, *, busy: bool) -> list[str]:
    """Say whose work it is, where it belongs, how old it is, and how many more there are."""
    record = [draft.job.get(("record", key)) for key in ("customer", "ticket", "bike")]
    whose = ", ".join(text for text in record if isinstance(text, str))
    words = [draft.job.title or "job without a title", whose]
    if draft.file is not None:
        words.append(f"Changes to {draft.file}, not saved there.")
    elif draft.entry is not None:
        words.append("Changes to a job of the records, not saved there.")
    else:
        words.append("Never saved.")
    words.append(f"Last changed {datetime.fromtimestamp(draft.kept_at):%d %B, %H:%M}.")
    if more:
        words.append(f"And {more} more after this one.")
    if busy:
        words.append("What is on the bench now is not lost: the next start offers it.")
    return list(filter(None, words))


def _taken_up(screen: BenchScreen, draft: Abandoned) -> bool:
    """Put the draft on the bench, nothing of it saved; return whether this session could keep it itself."""
    screen.desk.recovered(draft.file, draft.entry)
    history = History(draft.job, saved=None)
    screen.take(fresh(history, screen.state.units))
    screen.desk.keep(history)
    return not screen.desk.trouble
