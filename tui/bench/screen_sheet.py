"""The setup sheet from the bench: read in front of it, saved where one is asked for a path."""

from __future__ import annotations

import datetime
import re
from pathlib import Path
from typing import TYPE_CHECKING

from tui.bench.screen_pages import NOTHING_YET

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen
    from tui.sheet.model import Sheet

_OLD = "Not saved: the sheet is that of the last good answer; put right what is marked in the panels first."


def show_sheet(screen: BenchScreen) -> None:
    """Show the setup sheet of the job on the bench, both wheels of it."""
    from tui.bench.dialogs_sheet import SheetPage
    from tui.settings import find_settings
    from tui.sheet.build import sheet_of

    state = screen.commit()
    if state.known is None:
        screen.say(NOTHING_YET)
        return
    today = datetime.date.today()
    sheet = sheet_of(state.known, find_settings().settings, today, state.units)
    stale = state.known.job != state.bike

    page = SheetPage(sheet, screen.glyphs, stale=stale)

    def closed(_result: None) -> None:
        if page.save_asked and stale:
            screen.say(_OLD)
        elif page.save_asked:
            _ask_where(screen, sheet)

    screen.app.push_screen(page, closed)


def _ask_where(screen: BenchScreen, sheet: Sheet) -> None:
    from tui.bench.dialogs_sheet import SheetPrompt

    def chosen(path: Path | None) -> None:
        if path is not None:
            _save(screen, sheet, path)

    folder = screen.desk.path.parent if screen.desk.path else Path.cwd()
    start = f"{folder}/{name_of(sheet.title)}{SheetPrompt.ENDINGS[0]}"
    screen.app.push_screen(SheetPrompt(start, screen.glyphs), chosen)


def name_of(title: str) -> str:
    """Return the name of a file for a title: letters and digits, what stands between them as a dash."""
    return re.sub(r"[\W_]+", "-", title[:60]).strip("-").lower() or "setup-sheet"


def _save(screen: BenchScreen, sheet: Sheet, path: Path, *, overwrite: bool = False) -> None:
    from tui.bench.dialogs import REPLACE, ask_overwrite

    def replied(reply: str | None) -> None:
        if reply == REPLACE:
            _save(screen, sheet, path, overwrite=True)

    if path.exists() and not overwrite:
        screen.app.push_screen(ask_overwrite(path, screen.glyphs), replied)
        return
    screen.say("Saving the setup sheet.")
    # The library for its charts takes a second to load, and no key should wait for that.
    screen.run_worker(lambda: screen.call_later(screen.say, _saved(sheet, path)), thread=True, group="sheet")


def _saved(sheet: Sheet, path: Path) -> str:
    """Write the sheet in the form of its ending, and return what became of it in words."""
    from tui.jobs.atomic import replace_file
    from tui.jobs.faults import reason_of
    from tui.sheet.forms import form_of, written

    try:
        replace_file(path, written(sheet, form_of(path) or "text").encode())
    except (OSError, ValueError) as trouble:
        return f"The setup sheet is not saved to {path}: {reason_of(trouble)}."
    return f"The setup sheet is saved to {path.absolute()}."
