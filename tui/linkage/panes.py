"""The tables of a linkage as lines of cells, its curve, and their widgets."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from rich.style import Style
from textual import events
from textual.message import Message

from physics.frozen import NamedTuple
from tui.charts import drawing as sheet
from tui.charts.drawing import LEAST_COLUMNS, LEAST_ROWS, Picture, picture
from tui.charts.series import Axis, ChartData, Line, Scene
from tui.charts.widget import paint
from tui.kit.cells import CellRow, cells, fitted, scrolled
from tui.kit.look import ChartLook, Glyphs, literal
from tui.kit.roles import Role
from tui.kit.screen import edit_cells
from tui.kit.widget import Lines, LookWidget, RollingWidget
from tui.linkage.drawing import letter
from tui.linkage.sketch import Moved
from tui.linkage.state import (
    COLUMNS,
    STEPS,
    WHAT,
    LinkageState,
    Part,
    Spot,
    cell_text,
    eye_distances,
    faulty_rows,
    unit_of,
)
from tui.shop_units import ABSENT, Measure, ShopUnits

_LEAD = 4
"""Width of the marks before a row (selected, faulty, letter of the point) [cells]."""
_WIDTHS = {Part.POINTS: (12, 8, 8, 9), Part.BARS: (14, 14), Part.KNOWN: (14, 14, 9), Part.LEVEL: (14, 14)}
_NUMBERS = {Part.POINTS: (1, 2)}
"""Right-aligned columns."""
_HEADS = {
    Part.POINTS: ("name", "x", "y", "what"),
    Part.BARS: ("from", "to", "long"),
    Part.KNOWN: ("from", "to", "long"),
    Part.LEVEL: ("from", "to", "tilted"),
}


class Table(NamedTuple):
    """The lines of all tables and the row that each line belongs to, None for headings."""

    lines: list[CellRow]
    owners: list[tuple[Part, int] | None]


def tables(state: LinkageState, width: int, glyphs: Glyphs) -> Table:
    """Return every table under its heading."""
    found: list[tuple[CellRow, tuple[Part, int] | None]] = []
    wrong = faulty_rows(state)
    for part in (part for part in state.parts if part is not Part.DRAWING):
        found.append((_heading(state, part, glyphs), None))
        rows = range(state.rows(part))
        found += [(_line(state, part, row, (part, row) in wrong, glyphs), (part, row)) for row in rows]
        if not rows:
            found.append((cells("    none yet", Role.QUIET), None))
        if part is Part.BARS and math.isfinite(drawn := eye_distances(state)[0]):
            length = state.units.show(drawn, Measure.TRAVEL)
            found.append((cells(f"    {'shock, eye to eye':<27} {length}", Role.QUIET), None))
    return Table([fitted(line, width, glyphs.ellipsis) for line, _ in found], [owner for _, owner in found])


def _heading(state: LinkageState, part: Part, glyphs: Glyphs) -> CellRow:
    here = state.part is part
    title = f"{glyphs.selected if here else ' '} {part.value.upper()}"
    room = _LEAD + _WIDTHS[part][0]
    head = fitted(cells(title, Role.TITLE if here else Role.HEAD), room, glyphs.ellipsis)
    unit = unit_of(state.sketch)
    for column, word in list(enumerate(_HEADS[part]))[1:]:
        named = f"{word} {unit}" if column in _NUMBERS.get(part, ()) else word
        head += _column(cells(named, Role.HEAD), part, column, glyphs)
    return head


def _line(state: LinkageState, part: Part, row: int, wrong: bool, glyphs: Glyphs) -> CellRow:
    here, sketch = state.shown_spot[:2] == (part, row), state.sketch
    mark = glyphs.selected if here else glyphs.fault if wrong else " "
    line = cells(f"{mark} ", Role.WRONG if wrong else Role.HERE)
    line += cells(f"{letter(row)} " if part is Part.POINTS else "  ", Role.VALUE)
    for column in range(COLUMNS[part]):
        line += _cell(state, (part, row, column), wrong, glyphs)
    if part is Part.BARS:
        ends = [sketch.places.get(name, (math.nan, math.nan)) for name in sketch.bars[row]]
        line += cells(_number(math.dist(*ends), unit_of(sketch)), Role.QUIET)
    if part is Part.LEVEL:
        line += cells(_number(math.degrees(abs(sketch.off_level)), "deg"), Role.QUIET)
    return line


def _number(value: float, unit: str) -> str:
    return ABSENT if math.isnan(value) else f"{value:.1f} {unit}"


def _cell(state: LinkageState, spot: Spot, wrong: bool, glyphs: Glyphs) -> CellRow:
    part, _row, column = spot
    here = spot == state.shown_spot
    if here and state.edit is not None:
        # Clip a long text around the caret.
        width = _WIDTHS[part][column]
        typed = edit_cells(state.edit, Role.EDIT, width - 2) + [(" ", int(Role.EDIT))] * width
        return [*typed[: width - 1], (" ", int(Role.BASE))]
    resting = Role.RESTING if state.part is Part.DRAWING else Role.CURSOR
    role = resting if here else Role.WRONG if wrong else Role.VALUE
    text = literal(cell_text(state.sketch, spot), glyphs) or ABSENT
    if part is not Part.POINTS and column < 2 and text in state.sketch.names:
        text = f"{letter(state.sketch.names.index(text))} {text}"
    return _column(cells(text, role), part, column, glyphs)


def _column(text: CellRow, part: Part, column: int, glyphs: Glyphs) -> CellRow:
    """Return text in its column with a gap after it; numbers are right-aligned."""
    width = _WIDTHS[part][column] if column < len(_WIDTHS[part]) else len(text) + 1
    if part is Part.POINTS and column == WHAT:  # the last one takes the room there is
        width = max(width, len(text) + 1)
    text = text if len(text) < width else fitted(text, width - 1, glyphs.ellipsis, text[-1][1])
    blank: CellRow = [(" ", int(Role.BASE))] * (width - 1 - len(text))
    ordered = blank + text if column in _NUMBERS.get(part, ()) else text + blank
    return [*ordered, (" ", int(Role.BASE))]


class Pane(Lines):
    """Cells drawn by a function, in the roles of tables and drawing."""

    DEFAULT_CSS = "Pane { height: 1fr; }"


class TablePane(Pane, RollingWidget, can_focus=True):
    """The tables, scrolled to show the selected row."""

    @dataclass
    class Clicked(Message):
        """A cell was clicked."""

        part: Part
        row: int
        column: int

    _table = Table([], [])
    _top = 0

    def show_state(self, state: LinkageState, glyphs: Glyphs) -> None:
        """Show the tables of a state."""
        self.show(lambda width, height: self._drawn(state, width, height, glyphs))

    def _drawn(self, state: LinkageState, width: int, height: int, glyphs: Glyphs) -> list[CellRow]:
        if width < 1 or height < 1:
            return []
        table = self._table = tables(state, width, glyphs)
        here = state.shown_spot[:2]
        line = table.owners.index(here) if here in table.owners else 0
        first = max(line - 1, 0) if here[1] == 0 else line  # its heading too
        self._top = scrolled(self._top, first, line, height, max(len(table.lines), height))
        shown = table.lines[self._top : self._top + height]
        return shown + [[(" ", int(Role.BASE))] * width for _ in range(height - len(shown))]

    def on_click(self, event: events.Click) -> None:
        """Report which cell was clicked."""
        event.prevent_default()  # not which word
        at = event.get_content_offset_capture(self)
        line = at.y + self._top
        owner = self._table.owners[line] if line < len(self._table.owners) else None
        if owner is not None:
            part, last = owner[0], COLUMNS[owner[0]] - 1
            ends = (_LEAD + sum(_WIDTHS[part][: column + 1]) for column in range(last))
            self.post_message(self.Clicked(*owner, sum(end <= at.x for end in ends)))


class CurvePane(LookWidget):
    """The leverage ratio over the wheel travel, read at the cursor."""

    def __init__(self, look: ChartLook, *, id: str | None = None) -> None:
        super().__init__(look, id=id)
        self._of: tuple[Moved, ShopUnits] | None = None
        self._scene: Scene | None = None
        self._picture: Picture | None = None
        self._cursor, self._stale = 0.0, False

    def show(self, state: LinkageState) -> None:
        """Show the curve of a state's last motion; the plot is redrawn for another motion only."""
        self._cursor, self._stale = state.cursor / STEPS, state.is_outdated
        of = None if state.answer is None else (state.answer, state.units)
        if of != self._of:
            self._of, self._picture = of, None
            self._scene = None if of is None else curve(of[0], of[1], self.look)
        self._update()

    def redraw(self) -> None:
        """Redraw the plot for the present size."""
        self._picture = None
        self._update()

    def _update(self) -> None:
        width, height = self.size
        scene = self._scene
        if scene is None or width < LEAST_COLUMNS or height <= LEAST_ROWS:
            self.put([[(" ", 0)] * width for _ in range(height)])
            return
        if self._picture is None:
            self._picture = picture(scene, width, height - 1)
        shares = sheet.Layout(width, 1, height - 1, 0)
        self.put(sheet.rows(scene, self._picture, shares, self._cursor, stale=self._stale))

    def style_of(self, role: int) -> Style:
        """Return the style of a role."""
        return self.rich_style + paint(self.look, role)


def curve(moved: Moved, units: ShopUnits, look: ChartLook) -> Scene:
    """Return the leverage of a linkage over its wheel travel, as a chart."""
    motion = moved.motion
    data = ChartData(
        title="leverage ratio",
        x=Axis("wheel travel", Measure.TRAVEL),
        y=Axis("leverage ratio", Measure.RATIO, from_zero=False),
        fraction=np.linspace(0.0, 1.0, len(motion.wheel)),
        place=motion.wheel,
        lines=(Line("linkage", 0, motion.wheel, motion.ratio),),
    )
    return Scene(data, units, look)
