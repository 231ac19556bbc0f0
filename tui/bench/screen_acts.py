"""What the screen does besides changing its state: files, pages in front of the bench, mouse, leaving."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from tui.bench.grid import FieldGrid
from tui.bench.state import BenchState, answered, opened
from tui.bench.state_edit import committed
from tui.bench.table import FigureTable
from tui.jobs.faults import UnusableJob
from tui.jobs.files import ChangedMeanwhile, FileTrouble, OpenedFile, load
from tui.jobs.history import History

if TYPE_CHECKING:
    from tui.bench.dialogs_page import Page
    from tui.bench.screen import BenchScreen

Then = Callable[[], None]


def _say(screen: BenchScreen, note: str) -> None:
    screen.take(replace(screen.state, note=note))


def _commit(screen: BenchScreen) -> BenchState:
    """Take what is being typed, so that no key loses it."""
    screen.take(committed(screen.state))
    return screen.state


# --- files -----------------------------------------------------------------------------------


def save(screen: BenchScreen, then: Then | None = None) -> None:
    """Save the job to its file, or ask for one; go on with `then` once it is saved."""
    _commit(screen)
    if screen.desk.path is None:
        save_as(screen, then)
    else:
        _write(screen, screen.desk.path, then)


def save_as(screen: BenchScreen, then: Then | None = None) -> None:
    """Ask for a path and save the job there."""
    from tui.bench.dialogs_path import SavePrompt

    _commit(screen)

    def chosen(path: Path | None) -> None:
        if path is not None:
            _write(screen, path, then)

    screen.app.push_screen(SavePrompt(str(screen.desk.path or f"{Path.cwd()}/"), screen.glyphs), chosen)


def _write(screen: BenchScreen, path: Path, then: Then | None, *, overwrite: bool = False) -> None:
    try:
        screen.desk.save(screen.state.job, path, overwrite=overwrite)
    except ChangedMeanwhile:
        _ask_overwrite(screen, path, then)
    except FileTrouble as trouble:
        _say(screen, f"Not saved to {path}: {trouble}.")
    else:
        saved = replace(screen.state, history=screen.state.history.mark_saved(), note=f"Saved to {path}.")
        screen.take(saved)
        if then is not None:
            then()


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

    _if_not_needed(screen, ask)


def _open(screen: BenchScreen, path: Path) -> None:
    try:
        file = load_job(path)
    except (FileTrouble, UnusableJob) as trouble:
        _say(screen, f"{path.name} is not opened: {trouble}.")
        return
    screen.desk.opened(file)
    state = replace(opened(History.starting_at(file.job), screen.state.units), note=f"{path.name} is open.")
    screen.take(answered(state))


def load_job(path: Path) -> OpenedFile:
    """Return a job file whose faults, if any, are in its values.

    Raises `FileTrouble`, or `UnusableJob` for what is no job file of this format or has keys that are not
    known: on the screen such a key could be neither shown nor put right.
    """
    from tui.jobs.reading import look

    file = load(path)
    _reading, faults = look(file.job)
    fatal = tuple(fault for fault in faults if fault.path == ("format",) or fault.what == "unknown key")
    if fatal:
        raise UnusableJob(fatal)
    return file


def _if_not_needed(screen: BenchScreen, then: Then) -> None:
    """Go on at once if all is saved; else ask what becomes of the changes."""
    from tui.bench.dialogs import DISCARD, SAVE, ask_unsaved

    state = _commit(screen)
    if not state.history.has_unsaved_changes:
        then()
        return

    def replied(reply: str | None) -> None:
        if reply == SAVE:
            save(screen, then)
        elif reply == DISCARD:
            then()

    screen.app.push_screen(ask_unsaved(state.job.title, screen.glyphs), replied)


# --- pages -----------------------------------------------------------------------------------


def show_help(screen: BenchScreen) -> None:
    """Show every key."""
    from tui.bench.help import help_page
    from tui.bench.keys import GROUPS

    screen.app.push_screen(help_page(GROUPS, screen.glyphs))


def show_filling(screen: BenchScreen) -> None:
    """Show how to pump the selected setup."""
    from tui.bench.filling import filling_page

    _show_page(screen, filling_page)


def show_ordering(screen: BenchScreen) -> None:
    """Show what to order for the selected setup."""
    from tui.bench.ordering import ordering_page

    _show_page(screen, ordering_page)


def _show_page(screen: BenchScreen, page: Callable[..., Page]) -> None:
    state = _commit(screen)
    if state.good is None or state.setup >= len(state.good.answer.setups):
        _say(screen, "Nothing to say yet: put right what is marked in the panels.")
        return
    screen.app.push_screen(
        page(state.good.answer, state.setup, state.units, screen.glyphs, stale=state.stale)
    )


# --- program ---------------------------------------------------------------------------------


def leave(screen: BenchScreen) -> None:
    """Leave the program; asks if something is not saved."""

    def go() -> None:
        screen.desk.leave()
        screen.app.exit()

    _if_not_needed(screen, go)


def suspend(screen: BenchScreen) -> None:
    """Put the program aside, as a shell does with ctrl+z."""
    screen.app.action_suspend_process()


def switch_table(screen: BenchScreen) -> None:
    """Go to the table of figures, or back to the panels."""
    screen.table_wanted = not screen.in_table
    screen.lay_out(*screen.app.size)
    target = FigureTable if screen.table_wanted else FieldGrid
    screen.query_one(target).focus()


def switch_mouse(screen: BenchScreen) -> None:
    """Let the terminal have the mouse, or take it again."""
    from tui.bench.screen_mouse import give_mouse, has_mouse

    give_mouse(screen.app, to_program=not has_mouse(screen.app))
    mine = has_mouse(screen.app)
    _say(screen, "The mouse works here again." if mine else "The mouse is the terminal's: it selects text.")


ACTS: Mapping[str, Callable[[BenchScreen], None]] = {
    "save": save,
    "save_as": save_as,
    "open": open_job,
    "quit": leave,
    "suspend": suspend,
    "help": show_help,
    "fill": show_filling,
    "order": show_ordering,
    "table": switch_table,
    "mouse": switch_mouse,
}
"""By the id of an action what the screen does for it."""
