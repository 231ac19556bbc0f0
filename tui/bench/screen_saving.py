"""Saving into the records: beside the screen, told when it is on the disk, and if somebody else saved too."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from tui.bench.screen_jobs import if_not_needed
from tui.bench.screen_store import beside, open_revision
from tui.bench.state import with_history
from tui.jobs.faults import UnusableJob

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen
    from tui.bench.screen_files import Desk
    from tui.jobs.job import Job
    from tui.shop_units import ShopUnits
    from tui.store.kept import Revision, Saved

Then = Callable[[], None]
"""What goes on once the job is saved."""


def save_in_records(screen: BenchScreen, then: Then | None = None, note: str = "") -> None:
    """Save the job as its next revision; one that says not whose it is is asked for that first."""
    state = screen.commit()
    if screen.desk.recorded == state.bike and not note:
        screen.say("Nothing has changed since it was saved.")
        if then is not None:
            then()
    elif _is_somebodys(state.bike) or _is_refused(screen):
        _save(screen, then, note)
    else:
        _ask_whose(screen, partial(_save, screen, then, note))


def _is_refused(screen: BenchScreen) -> bool:
    """Return whether the records are open and cannot be written: saving says so, nothing need be asked."""
    store = screen.desk.shelf.store
    return store is not None and store.read_only


def save_with_note(screen: BenchScreen) -> None:
    """Ask for a note on what was done, and save the job into the records with it."""
    from tui.bench.dialogs_records import NotePrompt

    def noted(note: str | None) -> None:
        if note is not None:
            save_in_records(screen, note=note)

    screen.commit()
    screen.app.push_screen(NotePrompt(screen.glyphs), noted)


def _is_somebodys(job: Job) -> bool:
    return any(job.get(("record", key)) for key in ("customer", "ticket"))


def _ask_whose(screen: BenchScreen, then: Then) -> None:
    from tui.bench.dialogs_records import WhosePrompt

    def told(whose: tuple[str, str] | None) -> None:
        if whose is not None:
            key, name = whose
            job = screen.state.bike.with_value(("record", key), name)
            screen.take(with_history(screen.state, screen.state.history.then(job)))
            then()

    screen.app.push_screen(WhosePrompt(screen.glyphs), told)


def _save(screen: BenchScreen, then: Then | None, note: str) -> None:
    """Save beside the screen; a save that is asked for meanwhile waits until this one is there."""
    desk = screen.desk
    shelf, opening = desk.shelf, desk.opening
    if shelf.busy:
        shelf.saves.append(partial(_save_next, screen, opening, then, note))
        return
    shelf.busy = True
    job, entry, before = screen.state.bike, desk.place_in_records, desk.text
    screen.say("Saving into the records.")
    beside(
        screen,
        lambda: shelf.save(job, note, entry, before),
        lambda saved: _saved(screen, opening, job, saved, then),
        partial(_not_saved, screen, opening, job),
    )


def _save_next(screen: BenchScreen, opening: object, then: Then | None, note: str) -> None:
    """Save once more, as far as the job is still on the bench and not what was just saved."""
    if screen.desk.opening is not opening:
        return
    if screen.desk.recorded != screen.state.bike or note:
        _save(screen, then, note)
    elif then is not None:
        then()


def _not_saved(screen: BenchScreen, opening: object, job: Job, why: str) -> None:
    here = screen.desk.opening is opening
    screen.say(f"{'' if here else _title(job)}Not saved: {why}.")
    screen.desk.shelf.free()


def _saved(screen: BenchScreen, opening: object, job: Job, saved: Saved, then: Then | None) -> None:
    """Take note of what is in the records now; what was typed meanwhile is not."""
    if screen.desk.opening is not opening:  # what is on the bench by now lives elsewhere
        screen.say(_title(job) + _words(saved))
        screen.desk.shelf.free()
        return
    screen.desk.lives_in_records(saved.entry, job, saved.revision.text)
    history = replace(screen.state.history, saved=job)
    screen.take(replace(screen.state, history=history, note=_words(saved) + _older_file(screen.desk, job)))
    if saved.meanwhile is not None:
        screen.when_in_front(partial(_tell_meanwhile, screen, saved, saved.meanwhile, then))
    else:
        _go_on(screen, then)


def _go_on(screen: BenchScreen, then: Then | None) -> None:
    screen.desk.shelf.free()
    if then is not None:
        then()


def _title(job: Job) -> str:
    return f"{job.title or 'The job before'}: "


def _words(saved: Saved) -> str:
    back = " It was deleted meanwhile, and is back in the lists." if saved.undeleted else ""
    return f"Saved into the records as revision {saved.revision.number}.{back}"


def _older_file(desk: Desk, job: Job) -> str:
    """Say how to save to the file too, where the job has one that is older."""
    if desk.path is None or (desk.file is not None and desk.file.job == job):
        return ""
    return f" w saves it to {desk.path.name} too."


def _tell_meanwhile(screen: BenchScreen, saved: Saved, theirs: Revision, then: Then | None) -> None:
    """Show both versions of a job that two people saved, and ask which goes on; both are kept."""
    from tui.bench.dialogs_records import COMPARE, MINE, THEIRS, ask_versions
    from tui.records.comparing import compare_on_bench
    from tui.records.moments import moment

    mine = saved.revision

    def replied(reply: str | None) -> None:
        if reply == MINE:
            _settle(screen, mine, theirs, partial(_go_on, screen, then))
        elif reply == THEIRS:
            opens = partial(_open_theirs, screen, theirs)
            _settle(screen, theirs, mine, partial(_go_on, screen, then or opens))
        elif reply == COMPARE:
            screen.desk.shelf.after = partial(compare_on_bench, screen, theirs, mine)
            screen.desk.shelf.free()
        else:
            _go_on(screen, then)

    told = _between(theirs, mine, screen.state.units)
    screen.app.push_screen(ask_versions(mine, theirs, told, moment(theirs.saved_at), screen.glyphs), replied)


def _between(theirs: Revision, mine: Revision, units: ShopUnits) -> list[str]:
    """Say what differs from theirs to mine."""
    from tui.records.differences import differences

    try:
        told = differences(theirs.job, mine.job, units)
    except UnusableJob:
        return ["What is in theirs cannot be read any more."]
    return ["From theirs to yours:", *told] if told else ["Nothing differs between the two."]


def _settle(screen: BenchScreen, goes_on: Revision, over: Revision, then: Then) -> None:
    """Let one of two versions go on, and go on with `then`."""
    store = screen.desk.shelf.open()

    def settled(_nothing: None) -> None:
        screen.say(f"Revision {goes_on.number} goes on; revision {over.number} stays in the history.")
        then()

    def failed(why: str) -> None:
        screen.say(f"Both stay side by side: {why}.")
        screen.desk.shelf.free()

    beside(screen, lambda: store.settle(goes_on.job_uid, goes_on.number, over.number), settled, failed)


def _open_theirs(screen: BenchScreen, theirs: Revision) -> None:
    """Put the version that goes on on the bench; what was typed meanwhile is asked about first."""
    note = f"Revision {theirs.number} goes on, and is open."
    if_not_needed(screen, lambda: open_revision(screen, screen.desk.shelf.open(), theirs, note))
