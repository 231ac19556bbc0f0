"""Copying and export from the linkage screen: a value, a line, the tables, the curve."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from tui.bench.export import ChartPrompt, TablePrompt, name_of, write_as
from tui.charts.export import CSV, ENDINGS, chart_file, chart_numbers
from tui.kit.clipboard import copy_text
from tui.kit.document import Rows, csv_bytes, heading_of, tabbed_text
from tui.linkage.panes import curve
from tui.linkage.state import COLUMNS, LENGTH, NAME, WHAT, LinkageState, Part, cell_text, unit_of
from tui.linkage.words import reading_line

if TYPE_CHECKING:
    from tui.charts.series import Scene
    from tui.linkage.screen import LinkageScreen

OLD = "Not exported: the curve is OLD. Fix the marked values first."
NO_CURVE = "No curve to export yet: the linkage does not move."


def copy_value(screen: LinkageScreen) -> None:
    """Copy the value under the cursor, with its unit."""
    screen.say(copy_text(screen.app, value_text(screen.state)))


def copy_line(screen: LinkageScreen) -> None:
    """Copy the line under the cursor; in the drawing, the readout."""
    screen.say(copy_text(screen.app, line_text(screen.state, screen)))


def copy_view(screen: LinkageScreen) -> None:
    """Copy the tables, or the numbers of the curve while the drawing has the focus."""
    state = screen.state
    scene = drawn(screen) if state.part is Part.DRAWING else None
    rows = table_rows(state) if scene is None else chart_numbers(scene)
    screen.say(copy_text(screen.app, tabbed_text(rows)))


def drawn(screen: LinkageScreen) -> Scene | None:
    """Return the curve shown, None without one."""
    answer = screen.state.answer
    return None if answer is None else curve(answer, screen.state.units, screen.look)


def export_view(screen: LinkageScreen) -> None:
    """Ask for a file and write the tables to it, or the curve while the drawing has the focus."""
    state = screen.state
    start = f"{screen.shop.folder}/{name_of(state.job.title, 'linkage')}"
    if state.part is not Part.DRAWING:
        rows = table_rows(state)
        prompt = TablePrompt(f"{start}-linkage{CSV}", screen.glyphs)
        write_as(screen, prompt, "table", lambda _path: csv_bytes(rows))
        return
    scene = drawn(screen)
    if scene is None or state.is_outdated:
        screen.say(NO_CURVE if scene is None else OLD)
        return
    look, ground = screen.shop.picture()
    picture = replace(scene, look=look)
    asked = ChartPrompt(f"{start}-leverage{ENDINGS[0]}", screen.glyphs)
    write_as(screen, asked, "chart", lambda path: chart_file(picture, path.suffix.lower(), ground))


def value_text(state: LinkageState) -> str:
    """Return the value of the selected cell, a coordinate with its unit."""
    part, row, column = spot = state.shown_spot
    if row >= state.rows(part):
        return ""
    text = cell_text(state.sketch, spot)
    coordinate = part is Part.POINTS and column not in (NAME, WHAT)
    return f"{text} {unit_of(state.sketch)}" if coordinate and text else text


def line_text(state: LinkageState, screen: LinkageScreen) -> str:
    """Return the selected line in words; in the drawing, the readout."""
    if state.part is Part.DRAWING:
        return "".join(text for text, _role in reading_line(state, 400, screen.glyphs)[0]).strip()
    part, row, _column = state.shown_spot
    if row >= state.rows(part):
        return ""
    cells = [cell_text(state.sketch, (part, row, column)) for column in range(COLUMNS[part])]
    if part is not Part.POINTS:
        return f"{part.value}: {', '.join(cells)}"
    name, x, y, what = cells
    return f"{name}: x {x}, y {y} {unit_of(state.sketch)}, {what}"


def table_rows(state: LinkageState) -> Rows:
    """Return points, bars and other data as a table, each part under its headings."""
    sketch, unit = state.sketch, unit_of(state.sketch)
    rows: list[Sequence[str | float]] = [["point", heading_of("x", unit), heading_of("y", unit), "what"]]
    for row, point in enumerate(sketch.points):
        numbers = [raw if isinstance(raw, int | float) else str(raw) for raw in (point.x, point.y)]
        rows.append([point.name, *numbers, cell_text(sketch, (Part.POINTS, row, WHAT))])
    rows += [[], ["bar from", "to"], *map(list, sketch.bars)]
    if sketch.known is not None:
        known = [cell_text(sketch, (Part.KNOWN, 0, column)) for column in range(LENGTH + 1)]
        rows += [[], ["known from", "to", "length"], known]
    if sketch.level is not None:
        rows += [[], ["level from", "to"], list(sketch.level)]
    return rows
