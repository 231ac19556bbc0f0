"""Taking out of the lists and putting back, letting one version go on, and erasing for good."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from tui.records.asking import YES, ask_purge, ask_purge_again, ask_settle, tell
from tui.records.columns import whose
from tui.records.listing import JobLine, PartLine, RevisionLine
from tui.records.state import (
    RecordsState,
    Taken,
    asked_anew,
    erased,
    leaving_list,
    left,
    not_done,
    put_back,
    taken_out,
)

if TYPE_CHECKING:
    from pathlib import Path

    from tui.records.screen import RecordsScreen

_COUNTED = 100_000
"""Deleted jobs counted at most, for the question before they are erased."""


def delete(screen: RecordsScreen) -> None:
    """Take the selected job out of the lists."""
    line = screen.state.line
    if isinstance(line, JobLine):
        name = whose(line.found) or line.found.title or "The job"
        taken = Taken(line.uid, is_part=False, name=name)
        _take_out(screen, taken, lambda uid: screen.store.delete(uid), "Deleted")


def hide(screen: RecordsScreen) -> None:
    """Take the selected part out of its list."""
    line = screen.state.line
    if isinstance(line, PartLine):
        taken = Taken(line.uid, is_part=True, name=line.part.name)
        _take_out(screen, taken, lambda uid: screen.store.hide_part(uid), "Off the list")


def _take_out(screen: RecordsScreen, taken: Taken, out: Callable[[str], None], what: str) -> None:
    note = f"{what}, F7 takes it back: {taken.name}."
    _change(screen, taken, out, lambda state: taken_out(state, taken, note))


def undo(screen: RecordsScreen) -> None:
    """Put back what was taken out last and is not on its way back already."""
    state = screen.state
    taken = next((one for one in reversed(state.undo) if one.uid not in state.going), None)
    if taken is None:
        screen.say("Nothing to take back here. What was deleted before stands under deleted.")
    else:
        _put_back(screen, taken)


def restore(screen: RecordsScreen) -> None:
    """Put the selected deleted job back."""
    line = screen.state.line
    if isinstance(line, JobLine):
        name = whose(line.found) or line.found.title or "The job"
        _put_back(screen, Taken(line.uid, is_part=False, name=name))


def _put_back(screen: RecordsScreen, taken: Taken) -> None:
    def back(uid: str) -> None:
        (screen.store.show_part if taken.is_part else screen.store.restore)(uid)

    note = f"Back in the list: {taken.name}."
    _change(screen, taken, back, lambda state: put_back(state, taken.uid, note))


def _change(
    screen: RecordsScreen,
    taken: Taken,
    change: Callable[[str], None],
    done: Callable[[RecordsState], RecordsState],
) -> None:
    """Change something beside the screen; what is on its way already is left alone."""
    if taken.uid in screen.state.going:
        return
    screen.take(leaving_list(screen.state, taken.uid))
    screen.errands.send(
        partial(change, taken.uid),
        lambda _nothing: screen.take(done(screen.state)),
        lambda why: screen.take(not_done(screen.state, taken.uid, f"Nothing is changed: {why}.")),
    )


def settle(screen: RecordsScreen) -> None:
    """Ask, then let the selected one of several versions go on."""
    line = screen.state.line
    if not isinstance(line, RevisionLine):
        return
    chosen = line.revision
    lines = screen.state.listing.lines if screen.state.listing else ()
    revisions = [other.revision for other in lines if isinstance(other, RevisionLine)]
    others = [other.number for other in revisions if other.number != chosen.number]

    def settled(_nothing: None) -> None:
        screen.take(asked_anew(left(screen.state)))
        screen.say(f"Revision {chosen.number} goes on; the others stay in the timeline.")

    def replied(reply: str | None) -> None:
        if reply == YES:
            screen.errands.send(work, settled, screen.say)

    def work() -> None:
        for number in others:
            screen.store.settle(chosen.job_uid, chosen.number, number)

    screen.put_in_front(ask_settle(chosen.number, others, screen.look.glyphs), replied)


def purge(screen: RecordsScreen) -> None:
    """Count the deleted jobs, ask twice, make a backup, and erase them for good."""

    def counted(count: int) -> None:
        if count:
            screen.put_in_front(ask_purge(count, screen.look.glyphs), partial(ask_again, count))
        else:
            screen.say("Nothing is deleted: there is nothing to erase.")

    def ask_again(count: int, reply: str | None) -> None:
        if reply == YES:
            screen.put_in_front(ask_purge_again(count, screen.look.glyphs), erase)

    def erase(reply: str | None) -> None:
        if reply == YES:
            screen.say("Making a backup, then erasing.")
            screen.errands.send(work, partial(_erased, screen), partial(_not_erased, screen))

    def work() -> tuple[Path, int]:
        return screen.store.back_up(), screen.store.purge()

    def count() -> int:
        return len(screen.store.find(deleted=True, most=_COUNTED).entries)

    screen.errands.send(count, counted, screen.say)


def _erased(screen: RecordsScreen, found: tuple[Path, int]) -> None:
    backup, count = found
    screen.take(erased(screen.state, ""))
    many = "1 job is" if count == 1 else f"{count} jobs are"
    text = ("The backup that was made before lies here:", str(backup))
    screen.put_in_front(tell(f"{many} erased for good", text, screen.look.glyphs))


def _not_erased(screen: RecordsScreen, why: str) -> None:
    screen.say(f"Nothing is erased: {why}.")
