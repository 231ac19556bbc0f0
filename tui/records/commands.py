"""Taking out of the lists and putting back, letting one version go on, and erasing for good."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from functools import partial
from typing import TYPE_CHECKING

from tui.job.faults import UnusableJob
from tui.kit.dialogs import show_help
from tui.kit.screen import suspend
from tui.records.exchange import begins, compares, opens, takes
from tui.records.lines import whose
from tui.records.screen import YES, OnBench, RecordsScreen, ask_purge, ask_purge_again, ask_settle, tell
from tui.records.state import (
    JobLine,
    Mark,
    Page,
    PartLine,
    RecordsState,
    RevisionLine,
    Taken,
    asked_anew,
    emptied,
    entered,
    erased,
    leaving_list,
    left,
    marked,
    not_done,
    put_back,
    taken_out,
)

if TYPE_CHECKING:
    from pathlib import Path

    from tui.bench.screen import BenchScreen
    from tui.records.screen import RecordsScreen
    from tui.store.kept import Revision

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


_NOT_EMPTY = "Something is saved there by now: the demo shop goes into empty records only."


def put_in_demo(screen: RecordsScreen) -> None:
    """Put it in, unless something was saved meanwhile."""
    screen.say("Putting in the demo shop.")
    screen.errands.send(lambda: _put_in(screen), lambda count: _put(screen, count), screen.say)


def _put_in(screen: RecordsScreen) -> int:
    from tui.records.looking import any_job
    from tui.store.demo_shop import put_in_demo_shop

    return 0 if any_job(screen.store) else put_in_demo_shop(screen.store, datetime.now(UTC))


def _put(screen: RecordsScreen, count: int) -> None:
    screen.take(asked_anew(screen.state))
    screen.say(f"{count} invented jobs are in. Enter opens one." if count else _NOT_EMPTY)


Wanted = tuple[str, int]
"""A revision by its job and its number."""


def open_job(screen: RecordsScreen) -> None:
    """Open the newest revision of the selected job; where several stand side by side, ask for one."""
    line = screen.state.line
    if not isinstance(line, JobLine):
        return
    if line.found.versions > 1:
        note = "Versions stand side by side: choose one to open, or F4 on two to compare."
        screen.take(entered(screen.state, Page.VERSIONS))
        screen.say(note)
        return
    _fetch(screen, (line.found.uid, line.found.latest), lambda found: _open(screen, found))


def open_revision(screen: RecordsScreen) -> None:
    """Open the selected revision, to go on from it."""
    line = screen.state.line
    if isinstance(line, RevisionLine):
        _open(screen, line.revision)


def _open(screen: RecordsScreen, revision: Revision) -> None:
    screen.close_with(opens(screen.store, revision))


def show_timeline(screen: RecordsScreen) -> None:
    """Show all that was saved of the bike of the selected job."""
    if isinstance(screen.state.line, JobLine):
        screen.take(entered(screen.state, Page.TIMELINE))


def duplicate(screen: RecordsScreen) -> None:
    """Begin a job for the next rider from the selected one."""
    wanted = _wanted(screen)
    if wanted is not None:
        _fetch(screen, wanted, lambda found: _begin(screen, found))


def _begin(screen: RecordsScreen, revision: Revision) -> None:
    try:
        job = revision.job
    except UnusableJob as unusable:
        screen.say(f"Revision {revision.number} cannot be read: {unusable.faults[0].what}.")
    else:
        screen.close_with(begins(job))


def compare(screen: RecordsScreen) -> None:
    """Mark the selected revision, or compare it with the one that is marked."""
    state, wanted = screen.state, _wanted(screen)
    if wanted is None:
        return
    if state.mark is None or state.mark[:2] == wanted:
        screen.take(marked(state, Mark(*wanted, _mark_words(screen))))
        return
    first: Wanted = state.mark[:2]
    # Both are read in one go: between two errands one of them might be erased.
    screen.errands.send(
        lambda: (screen.store.revision(*first), screen.store.revision(*wanted)),
        lambda found: _compare(screen, *found),
        screen.say,
    )


def _compare(screen: RecordsScreen, one: Revision | None, other: Revision | None) -> None:
    if one is None or other is None:
        screen.say(_GONE)
    else:
        screen.close_with(compares(one, other))


def _mark_words(screen: RecordsScreen) -> str:
    line = screen.state.line
    found = line.found if isinstance(line, JobLine) else screen.state.of
    if found is None or not isinstance(line, JobLine | RevisionLine):
        return ""
    number = line.found.latest if isinstance(line, JobLine) else line.revision.number
    return f"rev {number} of {whose(found) or found.title or 'a job without a title'}"


def take_part(screen: RecordsScreen) -> None:
    """Take the selected part into the job on the bench."""
    line = screen.state.line
    if isinstance(line, PartLine):
        screen.close_with(takes(line.part))


_GONE = "It is not in the records any more: somebody erased it for good."


def _wanted(screen: RecordsScreen) -> Wanted | None:
    """Return the revision that the selected line stands for."""
    match screen.state.line:
        case JobLine(found=found):
            return found.uid, found.latest
        case RevisionLine(revision=revision):
            return revision.job_uid, revision.number
        case _:
            return None


def _fetch(screen: RecordsScreen, wanted: Wanted, then: Callable[[Revision], None]) -> None:
    """Read a revision beside the screen and go on with it."""

    def found(revision: Revision | None) -> None:
        if revision is None:
            screen.say(_GONE)
        else:
            then(revision)

    screen.errands.send(lambda: screen.store.revision(*wanted), found, screen.say)


def back(screen: RecordsScreen) -> None:
    """Clear what is typed, else go back to the list or to the bench."""
    state = screen.state
    if state.search.text:
        screen.take(emptied(state))
    elif state.outer is not None:
        screen.take(left(state))
    else:
        screen.close_with(None)


def leave(screen: RecordsScreen) -> None:
    """Go back to the bench."""
    screen.close_with(None)


COMMANDS: Mapping[str, Callable[[RecordsScreen], None]] = {
    "open": open_job,
    "open_revision": open_revision,
    "timeline": show_timeline,
    "duplicate": duplicate,
    "compare": compare,
    "demo": put_in_demo,
    "settle": settle,
    "delete": delete,
    "hide": hide,
    "undo": undo,
    "restore": restore,
    "purge": purge,
    "take_frame": take_part,
    "take_shock": take_part,
    "back": back,
    "leave": leave,
    "help": show_help,
    "suspend": suspend,
}
"""By the id of an action what the screen does for it."""


def show_records(screen: BenchScreen) -> None:
    """Show the records on a screen of their own; they are opened beside it where they are not open yet."""
    screen.commit()

    def closed(then: OnBench | None) -> None:
        if then is not None:
            then(screen)

    screen.app.push_screen(
        RecordsScreen(screen.session.records, screen.look, screen.state.units, COMMANDS), closed
    )


WORDS = "O opens the records: an invented demo shop can be put in there. ? shows keys."


def tell_first_start(screen: BenchScreen) -> None:
    """Say where the records are as long as there are none; anything else told that is long goes in front."""
    if len(screen.state.note) >= screen.app.size.width:
        _put_in_front(screen)
    elif not screen.state.note and screen.session.file is None and screen.session.records.is_new:
        screen.say(WORDS)


def _put_in_front(screen: BenchScreen) -> None:
    """Show what does not fit into its line, once whatever is asked at the start is answered."""
    from tui.records.screen import tell  # most starts have nothing to tell

    page = tell("At the start", (screen.state.note,), screen.glyphs)
    screen.when_in_front(lambda: screen.app.push_screen(page))
