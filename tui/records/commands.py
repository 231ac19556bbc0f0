"""Commands of the records screen that do more than change its state."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

from tui.bench.commands import LOOK_COMMANDS, find_in_front
from tui.bench.new_job import begin_first_job
from tui.bench.screen import BenchScreen
from tui.job.faults import UnusableJob
from tui.job.job import UNTITLED
from tui.kit.dialogs import Question, Reply
from tui.kit.screen import suspend
from tui.kit.work import promptly
from tui.records import state as steps
from tui.records.exchange import begin_job, compare, open_saved, take
from tui.records.lines import owner_text, revision_of
from tui.records.overlays import OVERLAYS
from tui.records.screen import OnBench, RecordsScreen, tell
from tui.records.state import JobLine, Line, Mark, Page, PartLine, RecordsState, RevisionLine, Taken
from tui.records.taking import copy_line, copy_list, export_list
from tui.store.kept import Revision

_COUNTED = 100_000
"""Maximum number of deleted jobs counted for the question before erasing them."""
_GONE = "No longer in the records: someone erased it."
_NOT_EMPTY = "The records are no longer empty: no demo shop was added."

Wanted = tuple[str, int]
"""A revision by its job and its number."""


def put_away(screen: RecordsScreen) -> None:
    """Ask, then remove the selected job or part from its list."""
    taken = _taken(screen.state.line)
    if taken is None or taken.uid in screen.state.going:
        return
    verb, what = ("remove", "part") if taken.is_part else ("delete", "job")
    kept = (
        "Jobs that use it keep it."
        if taken.is_part
        else "Its revisions are kept in the list of deleted jobs."
    )
    text = (taken.name, f"{kept} Space, then u restores it.")
    reply = Reply(verb[0], f"{verb} it", verb)
    title, then = f"{verb.capitalize()} this {what}?", partial(_change, screen, taken, back=False)
    _ask(screen, title, text, reply, "keep it", then)


def restore(screen: RecordsScreen) -> None:
    """Put the selected deleted job back."""
    _change(screen, _taken(screen.state.line), back=True)


def put_back(screen: RecordsScreen) -> None:
    """Restore what was removed last and is not being restored already."""
    state = screen.state
    _change(
        screen, next((one for one in reversed(state.undo) if one.uid not in state.going), None), back=True
    )


def _taken(line: Line | None) -> Taken | None:
    match line:
        case JobLine(found=found):
            return Taken(line.uid, is_part=False, name=owner_text(found) or found.title or "The job")
        case PartLine(part=part):
            return Taken(line.uid, is_part=True, name=part.name)
        case _:
            return None


def _change(screen: RecordsScreen, taken: Taken | None, *, back: bool) -> None:
    """Remove something from its list or restore it, unless that is in progress already."""
    if taken is None or taken.uid in screen.state.going:
        return

    def work() -> None:
        store = screen.store
        if taken.is_part:
            (store.show_part if back else store.hide_part)(taken.uid)
        else:
            (store.restore if back else store.delete)(taken.uid)

    def done(_nothing: None) -> None:
        if back:
            after = steps.with_restored(screen.state, taken.uid, f"Restored: {taken.name}.")
        else:
            what = "Removed" if taken.is_part else "Deleted"
            after = steps.with_removed(
                screen.state, taken, f"{what}; Space, then u restores it: {taken.name}."
            )
        screen.take(after)

    def refused(why: str) -> None:
        screen.take(steps.with_refused(screen.state, taken.uid, f"Nothing is changed: {why}."))

    screen.take(steps.with_pending(screen.state, taken.uid))
    screen.store_tasks.send(work, done, refused)


def _ask(
    screen: RecordsScreen, title: str, text: Sequence[str], reply: Reply, back: str, then: Callable[[], None]
) -> None:
    """Ask for confirmation, and do something on the one reply."""
    question = Question(title, text, (reply,), back, screen.glyphs)
    screen.put_in_front(question, lambda chosen: None if chosen is None else then())


def settle(screen: RecordsScreen) -> None:
    """Ask, then make the selected version current."""
    line = screen.state.line
    if not isinstance(line, RevisionLine):
        return
    chosen = line.revision
    lines = screen.state.listing.lines if screen.state.listing else ()
    numbers = [other.revision.number for other in lines if isinstance(other, RevisionLine)]
    others = [number for number in numbers if number != chosen.number]

    def work() -> None:
        for number in others:
            screen.store.settle(chosen.job_uid, chosen.number, number)

    def settled(_nothing: None) -> None:
        screen.take(steps.ask_again(steps.leave_page(screen.state)))
        screen.say(f"Revision {chosen.number} is current; the others stay in the history.")

    left = f"revision{'s' if len(others) > 1 else ''} {' and '.join(map(str, others))}"
    one = f"revision {chosen.number}"
    text = f"The next save continues {one}; {left} can still be opened from the history."
    reply = Reply("g", f"make {one} current", "settle")
    title, back = "Which version is current?", "keep all, decide later"
    _ask(screen, title, (text,), reply, back, lambda: screen.store_tasks.send(work, settled, screen.say))


def purge(screen: RecordsScreen) -> None:
    """Count the deleted jobs, ask twice, by two keys, make a backup, and erase them for good."""

    def counted(count: int) -> None:
        if not count:
            screen.say("Nothing is deleted: there is nothing to erase.")
            return
        jobs = f"job{'' if count == 1 else 's'}"
        deleted = f"{count} deleted {jobs}"
        text = (
            f"{deleted} with all revisions, and customers and bikes used by no other job.",
            "A backup is made first. Deleted jobs can also stay where they are",
            "and be restored at any time.",
        )
        reply = Reply("e", f"erase {count} {jobs} for good", "erase")
        title = f"Really erase {count} {jobs} for good?"
        again = (f"{deleted} will be erased. There is no undo.",)
        yes = Reply("y", "yes, make the backup and erase them", "erase")
        _ask(
            screen, "Erase the deleted jobs?", text, reply, "keep them",
            lambda: _ask(screen, title, again, yes, "keep them", erase),
        )  # fmt: skip

    def erase() -> None:
        screen.say("Making a backup, then erasing.")
        screen.store_tasks.send(work, done, lambda why: screen.say(f"Nothing is erased: {why}."))

    def work() -> tuple[Path, int]:
        return screen.store.back_up(), screen.store.purge()

    def done(found: tuple[Path, int]) -> None:
        backup, count = found
        screen.take(steps.with_erased(screen.state, ""))
        many = "1 job is" if count == 1 else f"{count} jobs are"
        text = ("Backup made before:", str(backup))
        screen.put_in_front(tell(f"{many} erased for good", text, screen.glyphs))

    screen.store_tasks.send(
        lambda: len(screen.store.find(deleted=True, most=_COUNTED).entries), counted, screen.say
    )


def put_in_demo(screen: RecordsScreen) -> None:
    """Add the demo shop, unless something was saved meanwhile."""

    def work() -> int:
        from tui.records.looking import any_job
        from tui.store.demo_shop import put_in_demo_shop

        return 0 if any_job(screen.store) else put_in_demo_shop(screen.store, datetime.now(UTC))

    def done(count: int) -> None:
        screen.take(steps.ask_again(screen.state))
        screen.say(f"{count} invented jobs added. Enter opens one." if count else _NOT_EMPTY)

    screen.say("Adding the demo shop.")
    screen.store_tasks.send(work, done, screen.say)


def open_job(screen: RecordsScreen) -> None:
    """Open the newest revision of the selected job; where several stand side by side, ask for one."""
    line = screen.state.line
    if not isinstance(line, JobLine):
        return
    if line.found.versions > 1:
        screen.take(steps.open_page(screen.state, Page.VERSIONS))
        screen.say("Conflicting versions: open one, or Space, then c on two compares them.")
        return
    _fetch(screen, [(line.found.uid, line.found.latest)], partial(_open, screen))


def open_revision(screen: RecordsScreen) -> None:
    """Open the selected revision, to continue from it."""
    line = screen.state.line
    if isinstance(line, RevisionLine):
        _open(screen, line.revision)


def _open(screen: RecordsScreen, revision: Revision) -> None:
    screen.close_with(partial(open_saved, screen.store, revision))


def duplicate(screen: RecordsScreen) -> None:
    """Begin a job for the next rider from the selected one."""

    def begin(revision: Revision) -> None:
        try:
            screen.close_with(partial(begin_job, revision.job))
        except UnusableJob as unusable:
            screen.say(f"Revision {revision.number} cannot be read: {unusable.faults[0].what}.")

    wanted = revision_of(screen.state.line)
    if wanted is not None:
        _fetch(screen, [wanted], begin)


def mark_or_compare(screen: RecordsScreen) -> None:
    """Mark the selected revision, or compare it with the one that is marked."""
    state, wanted = screen.state, revision_of(screen.state.line)
    if wanted is None:
        return
    if state.mark is None or state.mark[:2] == wanted:
        line = state.line
        found = line.found if isinstance(line, JobLine) else state.of
        named = "" if found is None else owner_text(found) or found.title or UNTITLED
        screen.take(steps.switch_mark(state, Mark(*wanted, f"rev {wanted[1]} of {named}" if named else "")))
        return
    first: Wanted = state.mark[:2]

    # Both are read in one go: between two tasks one of them might be erased.
    _fetch(screen, (first, wanted), lambda one, other: screen.close_with(partial(compare, one, other)))


def take_part(screen: RecordsScreen) -> None:
    """Use the selected part in the job on the bench."""
    line = screen.state.line
    if isinstance(line, PartLine):
        screen.close_with(partial(take, line.part))


def _fetch(screen: RecordsScreen, wanted: Sequence[Wanted], then: Callable[..., None]) -> None:
    """Read revisions in the background, then call `then` with them as arguments."""

    def found(revisions: Sequence[Revision | None]) -> None:
        if None in revisions:
            screen.say(_GONE)
        else:
            then(*revisions)

    screen.store_tasks.send(lambda: [screen.store.revision(*one) for one in wanted], found, screen.say)


def back(screen: RecordsScreen) -> None:
    """Go one step back: clear the search, else to the list or to the bench."""
    after = steps.step_back(screen.state)
    if after == screen.state:
        screen.close_with(None)
    else:
        screen.take(after)


def copy_or_leave(screen: RecordsScreen) -> None:
    """Copy the text selected with the mouse, or leave without one."""
    if not screen.copy_selection():
        screen.close_with(None)


def _with(step: Callable[[RecordsState], RecordsState]) -> Callable[[RecordsScreen], None]:
    return lambda screen: screen.take(step(screen.state))


COMMANDS: Mapping[str, Callable[[RecordsScreen], None]] = {
    **LOOK_COMMANDS,
    "open_saved": open_job,
    "open_revision": open_revision,
    "duplicate": duplicate,
    "compare": mark_or_compare,
    "demo": put_in_demo,
    "settle": settle,
    "delete": put_away,
    "hide": put_away,
    "put_back": put_back,
    "restore": restore,
    "purge": purge,
    "take_frame": take_part,
    "take_shock": take_part,
    "step_back": back,
    "leave_records": lambda screen: screen.close_with(None),
    "find": partial(find_in_front, saved=False),
    "menu": _with(OVERLAYS.open_menu),
    "help": _with(steps.switch_help),
    "copy_line": copy_line,
    "copy_view": copy_list,
    "export": export_list,
    "copy_or_quit": copy_or_leave,
    "suspend": suspend,
}
"""Commands by the id of their action."""


def show_records(screen: BenchScreen) -> None:
    """Show the records screen; the records are opened in the background if needed."""
    screen.commit()

    def closed(then: OnBench | None) -> None:
        if then is not None:
            then(screen)

    records = RecordsScreen(
        screen.session.records, screen.look, screen.state.units, COMMANDS, screen.session.folder
    )
    screen.app.push_screen(records, closed)


WORDS = "The invented demo is on the bench. / finds new job, open, records, help."


def tell_first_start(screen: BenchScreen) -> None:
    """At the first start, ask what to open; show a long start message on a page.

    This waits until other questions at the start are answered.
    """
    if len(screen.state.note) >= screen.app.size.width:
        page = tell("At the start", (screen.state.note,), screen.glyphs)
        screen.when_in_front(lambda: screen.app.push_screen(page))
        return
    records = screen.session.records

    def found(done: Future[bool]) -> None:
        if done.result() and not screen.state.note and screen.session.file is None:
            screen.say(WORDS)
            screen.when_in_front(lambda: begin_first_job(screen))

    if not screen.state.note and screen.session.file is None:
        promptly(screen, lambda: records.is_new, found, "")
