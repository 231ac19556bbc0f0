"""The panels as one page of cells, and what stands where on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from tui.bench.dialogs_literal import literal
from tui.bench.grid_layout import Block, column_width, page_of, pages, scrolled
from tui.bench.grid_lines import Drawn, Role, drawn, height_of, is_selected_setup
from tui.bench.state import BenchState
from tui.bench.state_cells import faults_by_row
from tui.charts.cells import Row as Cells
from tui.charts.cells import cells, fitted
from tui.charts.look import ChartLook


@dataclass(frozen=True, slots=True)
class Page:
    """Lines of cells, the row at every place that has one, and the first line shown of every panel."""

    lines: list[Cells]
    tops: dict[int, int] = field(default_factory=dict)
    places: dict[tuple[int, int], tuple[Block, int | None]] = field(default_factory=dict)

    def at(self, x: int, y: int) -> tuple[int, int | None] | None:
        """Return panel and row at a place, the row None on titles and headings."""
        for (column, line), (block, row) in self.places.items():
            if line == y and column <= x < column + block.width:
                return block.panel, row
        return None


def page(state: BenchState, width: int, height: int, tops: Mapping[int, int], look: ChartLook) -> Page:
    """Return the page with the selected panel; `tops` are the lines the panels were scrolled to before."""
    if width < 1 or height < 1:
        return Page([])
    faults = faults_by_row(state)
    wide = column_width(width)
    heights = [height_of(state, index, faults, wide, look) for index in range(len(state.panels))]
    found = pages(heights, width, height)
    names: list[Cells] = []
    if len(found) > 1 and height > 3:
        names = [_strip(state, width, look)]
        found = pages(heights, width, height - 1)
    made = Page([*names, *_blank(width, height - len(names))], dict(tops), {})
    for block in page_of(state.panel, found):
        panel = drawn(state, block.panel, faults, wide, look)
        _put(made, state, block, panel, len(names), look)
    return made


def _blank(width: int, height: int) -> list[Cells]:
    return [[(" ", int(Role.BASE))] * width for _ in range(height)]


def _put(made: Page, state: BenchState, block: Block, panel: Drawn, down: int, look: ChartLook) -> None:
    """Put as much of a panel as its block holds on the page, the selected row in sight."""
    here, body, count = state.rows[block.panel], block.height - 1, len(panel.lines)
    top = scrolled(made.tops.get(block.panel, 1), *panel.span(here), body, count) if body > 0 else 1
    top = max(min(top, count - body), 1)
    made.tops[block.panel] = top
    for y, source in enumerate([0, *range(top, min(top + body, count))], block.y + down):
        line = panel.lines[source]
        if source == 0 and body < count - 1:
            line = _with_place(line, here + 1, len(state.panels[block.panel].rows), look)
        made.lines[y][block.x : block.x + len(line)] = line
        made.places[block.x, y] = (block, panel.rows[source])


def _with_place(title: Cells, row: int, rows: int, look: ChartLook) -> Cells:
    """Return a title that says how far down the panel one is."""
    told = cells(f" {row}/{rows} {look.glyphs.up}{look.glyphs.down}", Role.RULE)
    return [*title[: len(title) - len(told)], *told] if len(told) < len(title) else title


def _strip(state: BenchState, width: int, look: ChartLook) -> Cells:
    """Return the names of all panels on one line, the selected one between brackets and always in sight.

    The selected setup stands in round brackets where another panel is shown.
    """
    line: Cells = []
    seen = 0
    for index, panel in enumerate(state.panels):
        here = index == state.panel
        name = literal(panel.title, look.glyphs)
        mark = f"{look.marker(panel.setup)} " if panel.setup is not None else ""
        chosen = is_selected_setup(state, panel)
        text = f"[{mark}{name}]" if here else f"({mark}{name})" if chosen else f" {mark}{name} "
        line += cells(text, Role.TITLE if here else Role.QUIET)
        if here:
            seen = len(line)
    first = max(seen - width, 0)
    shown = [*cells(look.glyphs.ellipsis, Role.QUIET), *line[first + 1 :]] if first else line
    return fitted(shown, width, look.glyphs.ellipsis, Role.QUIET)
