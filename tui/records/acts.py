"""What the records screen does besides changing its state, by the id of the action."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from tui.jobs.faults import UnusableJob
from tui.records.acts_away import delete, hide, purge, restore, settle, undo
from tui.records.columns import whose
from tui.records.demo import put_in_demo
from tui.records.listing import JobLine, Page, PartLine, RevisionLine
from tui.records.opening import begins, compares, opens, takes
from tui.records.screen import OnBench, RecordsScreen
from tui.records.state import Mark, emptied, entered, left, marked

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen
    from tui.store.kept import Revision

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


def show_help(screen: RecordsScreen) -> None:
    """Show every key."""
    from tui.bench.help import help_page
    from tui.records.actions import GROUPS

    screen.put_in_front(help_page(GROUPS, screen.look.glyphs))


def suspend(screen: RecordsScreen) -> None:
    """Put the program aside, as a shell does with ctrl+z."""
    screen.app.action_suspend_process()


ACTS: Mapping[str, Callable[[RecordsScreen], None]] = {
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

    screen.app.push_screen(RecordsScreen(screen.desk.shelf, screen.look, screen.state.units, ACTS), closed)
