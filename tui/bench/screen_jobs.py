"""Opening and saving jobs from the bench; nothing is written over and nothing lost unasked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from tui.bench.state_view import fresh
from tui.jobs.faults import UnusableJob
from tui.jobs.history import History

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen
    from tui.jobs.files import OpenedFile
    from tui.jobs.job import Job

Then = Callable[[], None]
"""What goes on once a file is saved or a change is let go."""


def save(screen: BenchScreen, then: Then | None = None) -> None:
    """Save the job where it lives: in its file, the records or both; what lives nowhere goes into these."""
    from tui.bench.screen_saving import save_in_records

    screen.commit()
    desk, records = screen.desk, partial(save_in_records, screen, then)
    if desk.path is None:
        records()
    else:
        _write(screen, desk.path, records if _is_older_in_records(screen) else then)


def save_as(screen: BenchScreen, then: Then | None = None) -> None:
    """Ask for a path and save the job there."""
    from tui.bench.dialogs_path import SavePrompt

    screen.commit()

    def chosen(path: Path | None) -> None:
        if path is not None:
            _write(screen, path, then)

    screen.app.push_screen(SavePrompt(str(screen.desk.path or f"{Path.cwd()}/"), screen.glyphs), chosen)


def _write(screen: BenchScreen, path: Path, then: Then | None, *, overwrite: bool = False) -> None:
    from tui.jobs.files import ChangedMeanwhile, FileTrouble

    try:
        screen.desk.save(screen.state.bike, path, overwrite=overwrite)
    except ChangedMeanwhile:
        _ask_overwrite(screen, path, then)
    except FileTrouble as trouble:
        screen.say(f"Not saved to {path}: {trouble}.")
    else:
        history = screen.state.history.mark_saved()
        screen.take(replace(screen.state, history=history, note=_saved_to(screen, path)))
        if then is not None:
            then()


def _saved_to(screen: BenchScreen, path: Path) -> str:
    """Say where the job is saved, and how to save it where it is older."""
    if _is_older_in_records(screen):
        return f"Saved to {path.name}. w saves it into the records too."
    return f"Saved to {path}."


def _is_older_in_records(screen: BenchScreen) -> bool:
    return screen.desk.entry is not None and screen.desk.recorded != screen.state.bike


def _ask_overwrite(screen: BenchScreen, path: Path, then: Then | None) -> None:
    from tui.bench.dialogs import REPLACE, ask_overwrite

    def replied(reply: str | None) -> None:
        if reply == REPLACE:
            _write(screen, path, then, overwrite=True)

    screen.app.push_screen(ask_overwrite(path, screen.glyphs), replied)


def open_job(screen: BenchScreen) -> None:
    """Ask for a job file and put it on the bench, the present job saved or let go first."""
    from tui.bench.dialogs_path import OpenPrompt

    def chosen(path: Path | None) -> None:
        if path is not None:
            _open(screen, path)

    def ask() -> None:
        folder = screen.desk.path.parent if screen.desk.path else Path.cwd()
        screen.app.push_screen(OpenPrompt(f"{folder}/", screen.glyphs), chosen)

    if_not_needed(screen, ask)


def _open(screen: BenchScreen, path: Path) -> None:
    from tui.bench.dialogs_faults import faults_page
    from tui.jobs.files import FileTrouble

    try:
        file = load_job(path)
    except UnusableJob as unusable:
        screen.app.push_screen(faults_page(path.name, unusable.faults, screen.glyphs))
        return
    except FileTrouble as trouble:
        screen.say(f"{path.name} is not opened: {trouble}.")
        return
    screen.desk.opened(file)
    screen.take(fresh(History.starting_at(file.job), screen.state.units, f"{path.name} is open."))


def load_job(path: Path) -> OpenedFile:
    """Return a job file whose faults, if any, are in its values.

    Raises `FileTrouble`, or `UnusableJob` for what is no job file of this format or has keys that are not
    known: on the screen such a key could be neither shown nor put right.
    """
    from tui.jobs.files import load

    file = load(path)
    refuse_what_cannot_be_shown(file.job)
    return file


def refuse_what_cannot_be_shown(job: Job) -> None:
    """Raise `UnusableJob` for another format and for keys that are not known, which have no row."""
    from tui.jobs.reading import look

    _reading, faults = look(job)
    fatal = tuple(fault for fault in faults if fault.path == ("format",) or fault.what == "unknown key")
    if fatal:
        raise UnusableJob(fatal)


def if_not_needed(screen: BenchScreen, then: Then) -> None:
    """Go on at once if all is saved; else ask what becomes of the changes.

    While the job is being saved that waits, until it is asked for once more.
    """
    from tui.bench.dialogs import DISCARD, SAVE, ask_unsaved

    state, shelf = screen.commit(), screen.desk.shelf
    if shelf.busy and shelf.after is None:
        shelf.after = partial(if_not_needed, screen, then)
        screen.say("Still saving into the records: this goes on after that.")
        return
    shelf.after = None
    if not state.history.has_unsaved_changes:
        then()
        return

    def replied(reply: str | None) -> None:
        if reply == SAVE:
            save(screen, then)
        elif reply == DISCARD:
            then()

    screen.app.push_screen(ask_unsaved(state.job.title, screen.glyphs), replied)
