"""Export from the bench: text to the clipboard, charts as pictures, tables as CSV.

`export_view`, `copy_value`, `copy_line` and `copy_view` work on the pane with the focus; `write_as` asks for
a path and writes anything to it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Sequence
from concurrent.futures import Future
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.bench.cells import cell_of
from tui.bench.state import EVENTS, FIGURES, LOGGED, BenchState, shown_chart
from tui.bench.views.pane import shown_view, views
from tui.charts.drawing import Readout, readout
from tui.charts.export import CSV, ENDINGS, PAPER, Ground, NothingToDraw, chart_file, marked
from tui.charts.series import Scene, chart_data
from tui.job.choices import STATES
from tui.job.faults import reason_of
from tui.job.figures import STATE_LABEL, TableRow, figure_rows, figures_for, read_figure
from tui.job.job import unconfirmed_setups
from tui.kit.clipboard import copy_text
from tui.kit.dialogs import ask_overwrite
from tui.kit.document import UNVERIFIED, Rows, csv_bytes, document_numbers, heading_of, tabbed_text
from tui.kit.dressing import documents_kept
from tui.kit.look import ChartLook
from tui.kit.prompts import Refused, SavePrompt, as_path
from tui.kit.screen import StateScreen
from tui.kit.work import in_thread, promptly
from tui.shop_units import ShopUnits
from tui.themes import ThemeData, paper_look

if TYPE_CHECKING:
    from physics.answer import Answer
    from tui.bench.screen import BenchScreen

NOTHING = "Nothing to export yet: fix the marked fields first."
OLD = "Not exported: the view shows OLD results. Fix the marked fields first."
NO_TABLE = "This view has no table and no chart to export."
HELP_SHOWN = "Not exported: the help is shown. Esc closes it."
COMES = {
    "map": "Not exported: the map is still being calculated.",
    EVENTS: "Not exported: the ride is still being calculated.",
    LOGGED: "Not exported: no log, or it is still being read.",
}
_COLUMNS = 80
"""Width of a copied view [columns]."""
_LONGEST_TITLE = 30


class ExportPrompt(SavePrompt):
    """Ask for the path of an export; its ending determines the form."""

    def read(self, text: str) -> Path:
        """Return the path; refuses one that cannot be saved to, or has an unknown ending."""
        ending = as_path(text).suffix
        if ending and ending.lower() not in self.ENDINGS:
            *others, last = self.ENDINGS
            before = f"{', '.join(others)} or " if others else ""
            raise Refused(f"It cannot end in {ending}: use {before}{last}.")
        return super().read(text)


class ChartPrompt(ExportPrompt):
    """Ask for the path of a chart."""

    TITLE = "Export the chart as"
    HINT = "A path ending in .svg, .png, .pdf or .csv (its numbers); without one .svg"
    ENDINGS = ENDINGS
    NO_NAMES = "No folder, picture or table starts like this."


class TablePrompt(ExportPrompt):
    """Ask for the path of a table."""

    TITLE = "Export the table as"
    HINT = "A path ending in .csv (for a spreadsheet); without an ending it gets .csv"
    ENDINGS = (CSV,)
    NO_NAMES = "No folder or table starts like this."


def export_view(screen: BenchScreen) -> None:
    """Ask for a file and export the view to it: a chart as a picture or numbers, a table as CSV.

    The numbers of figures, chart, sweep and map are not rounded.
    """
    state = screen.commit()
    scene, rows = scene_shown(state, screen.look), numbers_shown(state, screen.look)
    if refusal := _refusal(state, scene, rows):
        screen.say(refusal)
    elif scene is not None and state.answer is not None:
        look, ground = picture_look(screen.themes[screen.app.theme])
        drawn, note = marked(replace(scene, look=look), state.answer)
        start = _start(screen, scene.chart.title, ENDINGS[0])

        def made(path: Path) -> bytes:
            # The table of a sweep has every case, impossible ones included.
            if rows and path.suffix.lower() == CSV:
                return csv_bytes(rows)
            return chart_file(drawn, path.suffix.lower(), ground, note)

        write_as(screen, ChartPrompt(start, screen.glyphs), "chart", made)
    else:
        prompt = TablePrompt(_start(screen, state.view, CSV), screen.glyphs)
        write_as(screen, prompt, "table", lambda _path: csv_bytes(rows))


def _refusal(state: BenchState, scene: Scene | None, rows: Rows) -> str:
    """Return why nothing can be exported now, empty if it can."""
    if state.helps:
        return HELP_SHOWN
    as_typed = state.view in views() and views()[state.view].as_typed
    if state.answer is None and not as_typed:
        return NOTHING
    if state.is_outdated and not as_typed:
        return OLD
    if scene is None and not rows:
        return COMES.get(state.view, NO_TABLE)
    return ""


def scene_shown(state: BenchState, look: ChartLook) -> Scene | None:
    """Return the chart of the view, None if it has none."""
    if (own := views().get(state.view)) is not None and own.scene is not None:
        return own.scene(state, look)
    view = shown_chart(state)
    if view is None or state.answer is None:
        return None
    data = chart_data(state.answer.answer, view, state.setup, slow=state.slow)
    return Scene(data, state.units, look)


def numbers_shown(state: BenchState, look: ChartLook) -> Rows:
    """Return the table of the view, none if it has none or is a chart of setups."""
    if state.view == FIGURES:
        if state.answer is None:
            return []
        doubted = unconfirmed_setups(state.answer.job)
        return figure_numbers(state.answer.answer, state.units, doubted)
    view = views().get(state.view)
    if view is None:
        return []
    if view.numbers is not None:
        return view.numbers(state)
    with documents_kept() as documents:
        view.draw(state, _COLUMNS, look)
    rows: list[Sequence[str | float]] = []
    for found in filter(None, map(document_numbers, documents)):
        rows += [[], *found] if rows else found
    return rows


def figure_numbers(answer: Answer, units: ShopUnits, unconfirmed: Collection[int] = ()) -> Rows:
    """Return all figures of all setups, unrounded, a row for each figure; pressures are gauge.

    `unconfirmed` are the indices of setups with values nobody has typed or confirmed.
    """
    names = (
        f"{setup.name}{UNVERIFIED}" if place in unconfirmed else setup.name
        for place, setup in enumerate(answer.setups)
    )
    rows: list[list[str | float]] = [["figure", *names]]
    rows.append([STATE_LABEL, *(STATES[setup.state].short for setup in answer.setups)])
    for figure in figures_for(answer.setups, answer.frame.fork):
        numbers = (read_figure(figure, setup, answer) for setup in answer.setups)
        label = heading_of(figure.label, figure.unit(units))
        rows.append([label, *(units.scale(number, figure.measure) for number in numbers)])
    return rows


def _start(screen: BenchScreen, what: str, ending: str) -> str:
    """Return the suggested path: title of the job and kind of export, in the folder of the job."""
    name = name_of(f"{screen.state.bike.title[:_LONGEST_TITLE]} {what}", "export")
    return f"{screen.session.folder}/{name}{ending}"


def name_of(title: str, otherwise: str) -> str:
    """Return a file name for a title: letters and digits, anything else as dashes."""
    return re.sub(r"[\W_]+", "-", title[:60]).strip("-").lower() or otherwise


def picture_look(theme: ThemeData) -> tuple[ChartLook, Ground]:
    """Return the look and background of an exported chart: as on the screen, or as on paper.

    Paper is used for themes made of the terminal's own colours, whose values are unknown.
    """
    paper, look = theme.ui["background"], theme.look
    colours = [paper, look.axis, *(line.colour for line in (*look.lines, *look.chambers))]
    if all(colour.startswith("#") for colour in colours):
        return look, Ground(paper, look.axis)
    return paper_look(), PAPER


def copy_value(screen: BenchScreen) -> None:
    """Copy the value under the cursor, with its unit."""
    screen.say(copy_text(screen.app, value_text(screen.commit())))


def copy_line(screen: BenchScreen) -> None:
    """Copy the line under the cursor: what it is, and its values."""
    screen.say(copy_text(screen.app, line_text(screen.commit())))


def copy_view(screen: BenchScreen) -> None:
    """Copy the whole view: table, page or sheet; of a chart, the values at its cursor."""
    screen.say(copy_text(screen.app, view_text(screen.commit(), screen.look)))


def value_text(state: BenchState) -> str:
    """Return the value under the cursor: of a field, or of a figure or curve of the selected setup."""
    if not state.in_view:
        return cell_of(state, state.row).text
    if state.view == FIGURES:
        row = _figure_row(state)
        # An answer of before a setup was added has nothing of that.
        return "" if row is None else next((_with_unit(one, row) for one in row.values[state.setup :]), "")
    read = _read(state)
    if read is None or not read.readings:
        return ""
    # Lines of chambers and leverage belong to no setup: take the first line.
    return next((one.value for one in read.readings if one.look == state.setup), read.readings[0].value)


def line_text(state: BenchState) -> str:
    """Return the line under the cursor: a field with its value, or a figure or all curves of every setup."""
    if not state.in_view:
        shown = cell_of(state, state.row)
        also = f" ({shown.in_shop_units})" if shown.in_shop_units else ""
        return f"{state.row.full_label}: {shown.text}{also}"
    if state.view == FIGURES:
        row, answer = _figure_row(state), state.answer
        if row is None or answer is None:
            return ""
        values = zip(answer.answer.setups, row.values, strict=True)
        return (
            f"{row.label}: {', '.join(f'{setup.name} {_with_unit(value, row)}' for setup, value in values)}"
        )
    read, view = _read(state), shown_chart(state)
    if read is None or view is None:
        return ""
    told = ", ".join(f"{one.name} {one.value}" for one in read.readings)
    return f"{view.value} at {read.where}: {told}"


def view_text(state: BenchState, look: ChartLook) -> str:
    """Return the view as text; figures are separated by tabs, for a message or a spreadsheet."""
    if state.view == FIGURES and not state.helps and state.answer is not None:
        answer = state.answer.answer
        rows = [["", "", *(setup.name for setup in answer.setups)]]
        rows += [[row.label, row.unit, *row.values] for row in figure_rows(answer, state.units)]
        return tabbed_text(rows)
    if shown_chart(state) is not None and not state.helps:
        return line_text(replace(state, in_view=True))
    shown = views().get(shown_view(state))
    if shown is None:
        return ""
    lines = ("".join(letter for letter, _ in row).rstrip() for row in shown.draw(state, _COLUMNS, look))
    return "\n".join(lines).strip("\n")


def _figure_row(state: BenchState) -> TableRow | None:
    """Return the row of the table with the cursor, by default the first."""
    if state.answer is None:
        return None
    rows = [row for row in figure_rows(state.answer.answer, state.units) if not row.is_heading]
    return next((row for row in rows if row.key == state.figure), rows[0])


def _with_unit(value: str, row: TableRow) -> str:
    return f"{value} {row.unit}".strip()


def _read(state: BenchState) -> Readout | None:
    """Return the readout at the cursor of a chart, None if the view is not a chart."""
    view = shown_chart(state)
    if view is None or state.answer is None:
        return None
    return readout(chart_data(state.answer.answer, view, state.setup), state.units, state.cursor)


def write_as(
    screen: StateScreen[Any, Any], prompt: SavePrompt, what: str, made: Callable[[Path], bytes]
) -> None:
    """Ask for a path, confirm before replacing a file, then make and write the export in a thread."""

    def write(path: Path, *, only_new: bool = True) -> None:
        screen.say(f"Saving the {what}.")
        # Loading the drawing library takes a second: do it in a thread, so that no key waits.
        in_thread(
            screen,
            lambda: screen.call_later(screen.say, _written(path, what, made, only_new=only_new)),
            "export",
        )

    def looked(path: Path, done: Future[bool]) -> None:
        try:
            is_there = done.result()
        except OSError as trouble:
            screen.say(_not_saved(path, what, trouble))
            return
        if is_there:
            screen.ask(ask_overwrite(path, screen.glyphs), lambda _replace: write(path, only_new=False))
        else:
            write(path)

    def chosen(path: Path) -> None:
        promptly(screen, path.exists, partial(looked, path), f"Saving the {what}: the disk does not answer.")

    screen.ask(prompt, chosen)


def _written(path: Path, what: str, made: Callable[[Path], bytes], *, only_new: bool) -> str:
    """Make an export and write its file atomically; return the result in words.

    With `only_new` a file that somebody else saved there since the question is not replaced.
    """
    from tui.job.files import replace_file

    try:
        replace_file(path, made(path), only_new=only_new)
    except NothingToDraw as nothing:
        return f"The {what} is not saved: {nothing}"
    except (OSError, ValueError) as trouble:
        return _not_saved(path, what, trouble)
    return f"The {what} is saved to {path.absolute()}."


def _not_saved(path: Path, what: str, trouble: OSError | ValueError) -> str:
    return f"The {what} is not saved to {path}: {reason_of(trouble)}."
