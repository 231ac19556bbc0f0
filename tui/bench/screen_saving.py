"""Saving into the records: beside the screen, told when it is on the disk, and if somebody else saved too."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from tui.bench.screen_store import beside, open_revision
from tui.bench.state import with_history

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen
    from tui.jobs.job import Job
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
    elif _is_somebodys(state.bike):
        _save(screen, then, note)
    else:
        _ask_whose(screen, partial(_save, screen, then, note))


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
    shelf = desk.shelf
    if shelf.busy:
        shelf.waiting = partial(_save, screen, then, note)
        return
    shelf.busy = True
    job, entry, before = screen.state.bike, desk.place_in_records, desk.text
    screen.say("Saving into the records.")
    beside(
        screen,
        lambda: shelf.save(job, note, entry, before),
        lambda saved: _saved(screen, job, saved, then),
        partial(_not_saved, screen),
    )


def _not_saved(screen: BenchScreen, why: str) -> None:
    _free(screen)
    screen.say(f"Not saved into the records: {why}.")


def _saved(screen: BenchScreen, job: Job, saved: Saved, then: Then | None) -> None:
    """Take note of what is in the records now; what was typed meanwhile is not."""
    screen.desk.lives_in_records(saved.entry, job, saved.revision.text)
    history = replace(screen.state.history, saved=job)
    screen.take(replace(screen.state, history=history, note=_words(saved)))
    _free(screen)
    if saved.meanwhile is not None:
        _tell_meanwhile(screen, saved, saved.meanwhile, then)
    elif then is not None:
        then()


def _words(saved: Saved) -> str:
    back = " It was deleted meanwhile, and is back in the lists." if saved.undeleted else ""
    return f"Saved into the records as revision {saved.revision.number}.{back}"


def _free(screen: BenchScreen) -> None:
    shelf = screen.desk.shelf
    shelf.busy = False
    waiting, shelf.waiting = shelf.waiting, None
    if waiting is not None:
        waiting()


def _tell_meanwhile(screen: BenchScreen, saved: Saved, theirs: Revision, then: Then | None) -> None:
    """Show both versions of a job that two people saved, and ask which goes on; both are kept."""
    from tui.bench.dialogs_records import COMPARE, MINE, THEIRS, ask_versions
    from tui.records.comparing import compare_on_bench
    from tui.records.differences import differences
    from tui.records.moments import moment

    mine = saved.revision

    def replied(reply: str | None) -> None:
        if reply == MINE:
            _settle(screen, mine, theirs)
        elif reply == THEIRS:
            _settle(screen, theirs, mine)
        elif reply == COMPARE:
            compare_on_bench(screen, theirs, mine)
        if then is not None and reply != COMPARE:
            then()

    told = differences(theirs.job, mine.job, screen.state.units)
    screen.app.push_screen(ask_versions(mine, theirs, told, moment(theirs.saved_at), screen.glyphs), replied)


def _settle(screen: BenchScreen, goes_on: Revision, over: Revision) -> None:
    """Let one of two versions go on, which is then the one on the bench."""
    store = screen.desk.shelf.open()

    def settled(_nothing: None) -> None:
        screen.say(f"Revision {goes_on.number} goes on; revision {over.number} stays in the history.")
        if screen.desk.place_in_records != store.entry_of(goes_on, goes_on.number):
            open_revision(screen, store, goes_on)

    beside(screen, lambda: store.settle(goes_on.job_uid, goes_on.number, over.number), settled, screen.say)
