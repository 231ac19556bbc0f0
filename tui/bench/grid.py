"""The panels of the bench: their fields as lines of cells, and the widget that shows them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from textwrap import wrap
from typing import ClassVar

from textual import events
from textual.message import Message

from tui.bench.cells import Cell, Look, caution_at, cell_of, faults_by_row, left_out_at
from tui.bench.state import BenchState
from tui.job.faults import JobFault
from tui.job.fields import Field
from tui.job.panels import Panel
from tui.job.typed import unit_taken
from tui.kit.cells import CellRow as Cells
from tui.kit.cells import cells, fitted
from tui.kit.layout import Block, column_width, page_of, pages, scrolled
from tui.kit.look import ChartLook, Glyphs, literal
from tui.kit.roles import Role, classes_of
from tui.kit.screen import edit_cells
from tui.kit.widget import LookWidget, RollingWidget
from tui.shop_units import ABSENT

LABEL = 18
"""Cells for the name of a field."""

_FIELD = 2 + LABEL
_FAULT_LINES = 7

Faults = Mapping[tuple[int, int], Sequence[JobFault]]
Drawn = list[tuple[int | None, Cells]]
"""The lines of a panel, each with the row it belongs to: None for title and headings."""


def height_of(state: BenchState, index: int, faults: Faults, width: int, look: ChartLook) -> int:
    """Return how many lines a panel has, without drawing it."""
    rows = state.panels[index].rows
    wrong = [fault for place in range(len(rows)) for fault in faults.get((index, place), ())]
    headed = sum(bool(row.head) for row in rows)
    return 1 + len(rows) + headed + sum(len(_fault(fault, width, look)) for fault in wrong)


def drawn(state: BenchState, index: int, faults: Faults, width: int, look: ChartLook) -> Drawn:
    """Return one panel of the state, `width` cells wide."""
    panel = state.panels[index]
    lines: Drawn = [(None, _title(state, index, panel, width, look))]
    for place, row in enumerate(panel.rows):
        if row.head:
            lines.append((None, fitted(cells(row.head, Role.HEAD), width, look.glyphs.ellipsis)))
        told = [line for fault in faults.get((index, place), ()) for line in _fault(fault, width, look)]
        here = index == state.panel and place == state.rows[index]
        lines += [(place, line) for line in (_line(state, row, here, bool(told), width, look), *told)]
    return lines


def _title(state: BenchState, index: int, panel: Panel, width: int, look: ChartLook) -> Cells:
    here = index == state.panel
    rule = ("=" if here else "-") if look.glyphs.ascii else ("━" if here else "─")
    title = cells(f"{rule}{rule} ", Role.RULE)
    if panel.setup is not None:
        title += cells(f"{look.marker(panel.setup)} ", Role.SETUP + panel.setup)
    title += cells(f"{literal(panel.title, look.glyphs)} ", Role.TITLE)
    if is_selected_setup(state, panel) and not here:
        title += cells("selected ", Role.RULE)
    kind = cells(f" {panel.kind} {rule}{rule}" if panel.kind else "", Role.RULE)
    title = fitted(title, min(len(title), width - len(kind)), look.glyphs.ellipsis, Role.TITLE)
    return fitted([*title, *[(rule, int(Role.RULE))] * (width - len(title) - len(kind)), *kind], width, rule)


def is_selected_setup(state: BenchState, panel: Panel) -> bool:
    """Return whether a panel shows the setup that is selected."""
    return panel.setup is not None and panel.setup == state.setup


def _line(state: BenchState, row: Field, here: bool, wrong: bool, width: int, look: ChartLook) -> Cells:
    glyphs = look.glyphs
    label = _mark(state, row, here, wrong, glyphs)
    label += fitted(cells(row.label, Role.STRONG if here else Role.LABEL), LABEL, glyphs.ellipsis, Role.LABEL)
    room = max(width - _FIELD, 0)
    if here and state.edit is not None:
        # The text being typed, of a long one a part, and the unit it will take.
        typed = cells("  ", Role.EDIT) + edit_cells(state.edit, Role.EDIT, max(room - 3, 0))
        typed += cells(unit_taken(state.job, row, state.edit.text, state.units), Role.QUIET)
        typed = (typed + [(" ", int(Role.EDIT))] * room)[:room]
        return fitted(label + typed, width, glyphs.ellipsis)
    value = _value(cell_of(state, row), state.is_outdated, here, wrong, room, look)
    return fitted(label + fitted(value, room, glyphs.ellipsis, value[-1][1]), width, glyphs.ellipsis)


def _mark(state: BenchState, row: Field, here: bool, wrong: bool, glyphs: Glyphs) -> Cells:
    """Return what stands before a field: that it is the selected one, cannot be used, or wants care."""
    if here:
        return cells(f"{glyphs.selected} ", Role.STRONG)
    if wrong:
        return cells(f"{glyphs.fault} ", Role.WRONG)
    care = caution_at(state, row) or left_out_at(state, row)
    return cells(f"{glyphs.caution} ", Role.WARNING) if care else cells("  ", Role.LABEL)


def _value(cell: Cell, stale: bool, here: bool, wrong: bool, room: int, look: ChartLook) -> Cells:
    """Return a value and behind it how it came to be, or the same in the shop's unit."""
    behind, role, quiet = cell.in_shop_units, Role.VALUE, Role.QUIET
    match cell.look:
        case Look.SOLVED:
            behind, role = "old" if stale else "solved", Role.SOLVED
        case Look.USUAL:
            behind, role = "assumed" if cell.text[:1].isdigit() else "", Role.QUIET
        case Look.ABSENT:
            role = Role.QUIET
    if here:
        role = quiet = Role.CURSOR_SOLVED if cell.look is Look.SOLVED else Role.CURSOR
    elif wrong and role is not Role.QUIET:
        role = Role.WRONG
    mark = look.glyphs.solved if cell.look is Look.SOLVED else " "
    mark = look.glyphs.unconfirmed if cell.unconfirmed else mark
    text = ABSENT if cell.look is Look.ABSENT else literal(cell.text, look.glyphs)
    shown = cells(f"{mark} {text}", role)
    extra = cells(f"  {behind}" if behind else "", quiet)
    # What does not fit whole is left out: half a number is another number.
    whole = shown + extra if len(shown) + len(extra) <= room else shown
    return whole + [(" ", int(role if here else Role.BASE))] * (room - len(whole))


def _fault(fault: JobFault, width: int, look: ChartLook) -> list[Cells]:
    text = literal(f"{fault.what}; {fault.accepted}", look.glyphs)
    lines = wrap(text, max(width - 4, 8), max_lines=_FAULT_LINES, placeholder=f" {look.glyphs.ellipsis}")
    return [fitted(cells(f"    {line}", Role.WRONG), width, look.glyphs.ellipsis) for line in lines]


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
    blank: list[Cells] = [[(" ", int(Role.BASE))] * width for _ in range(height - len(names))]
    made = Page([*names, *blank], dict(tops), {})
    for block in page_of(state.panel, found):
        _put(made, state, block, drawn(state, block.panel, faults, wide, look), len(names), look)
    return made


def _put(made: Page, state: BenchState, block: Block, panel: Drawn, down: int, look: ChartLook) -> None:
    """Put as much of a panel as its block holds on the page, the selected row and its heading in sight."""
    here, body, count = state.rows[block.panel], block.height - 1, len(panel)
    places = [place for place, (row, _line) in enumerate(panel) if row == here]
    first = places[0] - (places[0] > 1 and panel[places[0] - 1][0] is None)
    top = scrolled(made.tops.get(block.panel, 1), first, places[-1], body, count) if body > 0 else 1
    top = max(min(top, count - body), 1)
    made.tops[block.panel] = top
    for y, source in enumerate([0, *range(top, min(top + body, count))], block.y + down):
        row, line = panel[source]
        if source == 0 and body < count - 1:  # the title says how far down the panel one is
            rows, glyphs = len(state.panels[block.panel].rows), look.glyphs
            told = cells(f" {here + 1}/{rows} {glyphs.up}{glyphs.down}", Role.RULE)
            line = [*line[: len(line) - len(told)], *told] if len(told) < len(line) else line
        made.lines[y][block.x : block.x + len(line)] = line
        made.places[block.x, y] = (block, row)


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


class FieldGrid(LookWidget, RollingWidget, can_focus=True):
    """Every field of the job. It renders the state it is given and says what was clicked."""

    COMPONENT_CLASSES: ClassVar[set[str]] = classes_of(
        (
            *(Role.TITLE, Role.RULE, Role.HEAD, Role.STRONG, Role.SOLVED, Role.QUIET, Role.WRONG),
            *(Role.WARNING, Role.CURSOR, Role.CURSOR_SOLVED, Role.EDIT, Role.CARET),
        )
    )
    DEFAULT_CSS = """
    FieldGrid {
        & > .cell--cursor, & > .cell--cursor-solved { text-style: bold underline; }
        &:focus > .cell--cursor, &:focus > .cell--cursor-solved { text-style: bold reverse; }
    }
    """

    @dataclass
    class Clicked(Message):
        """A place in a panel was clicked; `row` is None on its title."""

        panel: int
        row: int | None

    _state: BenchState | None = None
    _page = Page([])

    def show(self, state: BenchState) -> None:
        """Show a state of the bench."""
        self._state = state
        self._draw(self._page.tops)

    def redraw(self) -> None:
        """Place the panels anew."""
        self._draw({})

    def on_click(self, event: events.Click) -> None:
        """Say which field was clicked."""
        place = self._page.at(event.x, event.y)
        if place is not None:
            self.post_message(self.Clicked(*place))

    def _draw(self, tops: Mapping[int, int]) -> None:
        """Work out the page, each panel scrolled no further from `tops` than it must be."""
        if self._state is not None:
            self._page = page(self._state, self.size.width, self.size.height, tops, self.look)
            self.put(self._page.lines)
