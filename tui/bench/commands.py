"""What the bench does besides changing its state: pages, sheet, tables, colours, the mouse, leaving.

The framework settles once at start who has the mouse and has no switch; the driver's own two methods are
called here.
"""

from __future__ import annotations

import datetime
import os
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

from tui.bench.edit import select_kind, setup_of_kind
from tui.bench.files import if_not_needed, open_job, save, save_as, save_with_note
from tui.bench.screen import BenchScreen
from tui.bench.state import BenchState, select_field, with_job
from tui.bench.views.here import NOTHING_YET
from tui.bench.views.match import WANTS, with_wants
from tui.bench.views.readings import READINGS, with_readings
from tui.job.answer import answer_job
from tui.job.faults import reason_of
from tui.job.files import replace_file
from tui.job.panels import LEVERAGE
from tui.kit.dialogs import ask_overwrite, page_of, setup_title, show_help
from tui.kit.document import Document
from tui.kit.look import LINE_STYLES
from tui.kit.screen import suspend
from tui.settings import find_settings
from tui.sheet.model import Sheet
from tui.subjects import pumping
from tui.subjects.leverage import LeverageRead, taken_into
from tui.tables.source import Readings
from tui.themes import no_colour


def switch_table(screen: BenchScreen) -> None:
    """Go to the table of figures, or back to the panels."""
    screen.table_wanted = not screen.in_table
    screen.lay_out(*screen.app.size)
    if screen.table_wanted:
        screen.right.go_to_table(screen.state)
    else:
        screen.grid.focus()


def turn_theme(screen: BenchScreen) -> None:
    """Go to the next set of colours."""
    if no_colour(os.environ):
        screen.say("NO_COLOR is set: there is nothing to choose.")
        return
    names = sorted(screen.themes)
    name = names[(names.index(screen.app.theme) + 1) % len(names)]
    screen.app.register_theme(screen.themes[name].textual())
    screen.app.theme = name
    screen.restyle(screen.themes[name].chart(screen.glyphs))
    screen.say(f"Colours: {name}.")


def turn_line_style(screen: BenchScreen) -> None:
    """Draw the lines of the chart with the next kind of character."""
    styles = ("ascii",) if screen.glyphs.ascii else LINE_STYLES
    style = styles[(styles.index(screen.look.line_style) + 1) % len(styles)]
    screen.restyle(replace(screen.look, line_style=style))
    screen.say(f"Lines drawn in {style}.")


def switch_mouse(screen: BenchScreen) -> None:
    """Let the terminal have the mouse, or take it again."""
    from textual.drivers.linux_driver import LinuxDriver

    driver = screen.app._driver
    mine = bool(getattr(driver, "_mouse", False))
    if isinstance(driver, LinuxDriver):
        mine = not mine
        driver._mouse = True  # neither method does anything while the driver believes that there is no mouse
        if mine:
            driver._enable_mouse_support()
        else:
            driver._disable_mouse_support()
            driver._mouse = False
    screen.say("The mouse works here again." if mine else "The mouse is the terminal's: it selects text.")


def show_filling(screen: BenchScreen) -> None:
    """Show how to pump the selected air setup; where a coil is selected, select the first air setup."""
    state = select_kind(screen.commit(), "air")
    screen.take(state)
    setup = setup_of_kind(state, "air")
    if state.answer is None:
        screen.say(NOTHING_YET)
    elif setup is None:
        screen.say("No air setup to pump: press a to add one.")
    else:
        answer = state.answer.answer
        told = pumping.document(answer, setup, state.units, state.answer.job.setups[setup])
        _show_page(screen, setup_title("Pumping", answer, setup), told)


def _show_page(screen: BenchScreen, title: str, told: Document) -> None:
    screen.app.push_screen(page_of(title, told, screen.glyphs, stale=screen.state.is_outdated))


def show_ordering(screen: BenchScreen) -> None:
    """Show what to order for the selected setup: springs for a coil, spacers for air."""
    from tui.subjects.ordering import document

    state = screen.commit()
    if state.answer is None:
        screen.say(NOTHING_YET)
        return
    answer = answer_job(state.answer.job, spacers=True).answer
    setup = min(state.setup, len(answer.setups) - 1)
    told = document(answer, setup, state.units, state.answer.job.setups[setup])
    what = "A spring for" if answer.setups[setup].kind == "coil" else "Spacers for"
    _show_page(screen, setup_title(what, answer, setup), told)


_OLD = "Not saved: the sheet is that of the last good answer; put right what is marked in the panels first."


def show_sheet(screen: BenchScreen) -> None:
    """Show the setup sheet of the job on the bench, both wheels of it; from there it is saved."""
    from tui.bench.prompts import SheetPage, SheetPrompt
    from tui.sheet.build import sheet_of

    state = screen.commit()
    if state.bike_answer is None:
        screen.say(NOTHING_YET)
        return
    sheet = sheet_of(state.bike_answer, find_settings().settings, datetime.date.today(), state.units)
    page = SheetPage(sheet, screen.glyphs, stale=state.bike_answer.job != state.bike)

    def closed(_result: None) -> None:
        if page.save_asked and page.stale:
            screen.say(_OLD)
        elif page.save_asked:
            start = f"{screen.session.folder}/{name_of(sheet.title)}{SheetPrompt.ENDINGS[0]}"
            screen.ask(SheetPrompt(start, screen.glyphs), lambda path: _save(screen, sheet, path))

    screen.app.push_screen(page, closed)


def name_of(title: str) -> str:
    """Return the name of a file for a title: letters and digits, what stands between them as a dash."""
    return re.sub(r"[\W_]+", "-", title[:60]).strip("-").lower() or "setup-sheet"


def _save(screen: BenchScreen, sheet: Sheet, path: Path, *, overwrite: bool = False) -> None:
    if path.exists() and not overwrite:
        question = ask_overwrite(path, screen.glyphs)
        screen.ask(question, lambda _replace: _save(screen, sheet, path, overwrite=True))
        return
    screen.say("Saving the setup sheet.")
    # The library for its charts takes a second to load, and no key should wait for that.
    screen.run_worker(lambda: screen.call_later(screen.say, _saved(sheet, path)), thread=True, group="sheet")


def _saved(sheet: Sheet, path: Path) -> str:
    """Write the sheet in the form of its ending, and return what became of it in words."""
    from tui.sheet.forms import form_of, written

    try:
        replace_file(path, written(sheet, form_of(path) or "text").encode())
    except (OSError, ValueError) as trouble:
        return f"The setup sheet is not saved to {path}: {reason_of(trouble)}."
    return f"The setup sheet is saved to {path.absolute()}."


def show_wants(screen: BenchScreen) -> None:
    """Show what is wanted and found; asked again, ask for other figures."""
    state = screen.commit()
    if state.view != WANTS:
        screen.take(replace(state, view=WANTS))
        return
    from tui.bench.prompts import WantsPrompt

    prompt = WantsPrompt(state.units, screen.glyphs)
    screen.ask(prompt, lambda wants: screen.take(with_wants(screen.state, wants)))


def show_readings(screen: BenchScreen) -> None:
    """Show what the readings say; asked again, ask for others."""
    state = screen.commit()
    if state.view != READINGS:
        screen.take(replace(state, view=READINGS))
        return
    from tui.bench.prompts import ReadingsPrompt, ask_table

    def chosen(readings: Readings) -> None:
        screen.take(with_readings(screen.state, readings))

    ask_table(screen, ReadingsPrompt(state.units, screen.glyphs), chosen)


def import_leverage(screen: BenchScreen) -> None:
    """Ask for a file, show what is in it and take that into the job."""
    from tui.bench.prompts import LeveragePrompt, ask_table, ask_to_take

    screen.commit()

    def shown(read: LeverageRead) -> None:
        question = ask_to_take(screen.state.job, read, screen.glyphs)
        screen.ask(question, lambda _take: screen.take(leverage_taken(screen.state, read)))

    ask_table(screen, LeveragePrompt(f"{screen.session.folder}/", screen.glyphs), shown)


def leverage_taken(state: BenchState, read: LeverageRead) -> BenchState:
    """Take a leverage table into the job, one edit, the cursor there or on what does not go with it."""
    job = taken_into(state.job, read)
    if job == state.job:
        return replace(state, note="The job has this leverage already.")
    after = select_field(with_job(state, job), (*LEVERAGE, "kind"))
    if after.faults:
        after = select_field(after, after.faults[0].path)
    return replace(after, note=f"Leverage from {read.name} taken; u takes it back.")


def leave(screen: BenchScreen) -> None:
    """Leave the program; asks if something is not saved."""

    def go() -> None:
        screen.session.leave()
        screen.app.exit()

    if_not_needed(screen, go)


COMMANDS: Mapping[str, Callable[[BenchScreen], None]] = {
    "save": save,
    "save_as": save_as,
    "save_note": save_with_note,
    "open": open_job,
    "import": import_leverage,
    "quit": leave,
    "suspend": suspend,
    "help": show_help,
    "fill": show_filling,
    "order": show_ordering,
    "readings": show_readings,
    "sheet": show_sheet,
    "wants": show_wants,
    "table": switch_table,
    "mouse": switch_mouse,
    "theme": turn_theme,
    "lines": turn_line_style,
}
"""By the id of an action what the screen does for it."""
