"""The tables of a linkage as lines of cells, its curve, and their widgets."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from typing import ClassVar, NamedTuple

import numpy as np
from rich.style import Style
from textual import events
from textual.message import Message

from tui.charts import drawing as sheet
from tui.charts.drawing import LEAST_COLUMNS, LEAST_ROWS, Picture, picture
from tui.charts.series import Axis, ChartData, Line, Scene
from tui.charts.widget import paint
from tui.kit.cells import CellRow, cells, fitted, scrolled
from tui.kit.edit import Edit
from tui.kit.look import ChartLook, Glyphs, literal
from tui.kit.roles import Role, classes_of
from tui.kit.screen import edit_cells
from tui.kit.widget import Lines, LookWidget, RollingWidget
from tui.linkage.drawing import letter
from tui.linkage.moving import Moved
from tui.linkage.sketch import Sketch
from tui.linkage.state import COLUMNS, STEPS, WHAT, LinkageState, Part, Spot, cell_text, faulty_rows, spot_of
from tui.shop_units import ABSENT, Measure, ShopUnits

_LEAD = 4
"""Cells before a row: that it is selected or faulty, and the letter of its point."""
_WIDTHS = {Part.POINTS: (12, 8, 8, 9), Part.BARS: (14, 14), Part.KNOWN: (14, 14, 9), Part.LEVEL: (14, 14)}
_NUMBERS = {Part.POINTS: (1, 2)}
"""Columns that stand to the right."""
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
    found = Table([], [])
    wrong = faulty_rows(state)
    for part in (part for part in state.parts if part is not Part.DRAWING):
        _put(found, _heading(state, part, width, glyphs), None)
        for row in range(state.rows(part)):
            _put(found, _line(state, part, row, wrong, width, glyphs), (part, row))
        if not state.rows(part):
            _put(found, cells("    none yet", Role.QUIET), None)
    return Table([fitted(line, width, glyphs.ellipsis) for line in found.lines], found.owners)


def _put(table: Table, line: CellRow, owner: tuple[Part, int] | None) -> None:
    table.lines.append(line)
    table.owners.append(owner)


def _heading(state: LinkageState, part: Part, width: int, glyphs: Glyphs) -> CellRow:
    here = state.part is part
    title = cells(
        f"{glyphs.selected if here else ' '} {part.value.upper()}", Role.TITLE if here else Role.HEAD
    )
    head = fitted(title, _LEAD + _WIDTHS[part][0], glyphs.ellipsis)
    unit = "mm" if state.sketch.known is None else "px"
    for column, word in list(enumerate(_HEADS[part]))[1:]:
        named = f"{word} {unit}" if column in _NUMBERS.get(part, ()) else word
        head += _column(cells(named, Role.HEAD), part, column, glyphs)
    return head


def _line(
    state: LinkageState, part: Part, row: int, wrong: Collection[tuple[Part, int]], width: int, glyphs: Glyphs
) -> CellRow:
    here = (state.part, state.row) == (part, row)
    mark = glyphs.selected if here else glyphs.fault if (part, row) in wrong else " "
    line = cells(f"{mark} ", Role.WRONG if (part, row) in wrong else Role.HERE)
    line += cells(f"{letter(row)} " if part is Part.POINTS else "  ", Role.VALUE)
    for column in range(COLUMNS[part]):
        line += _cell(state, (part, row, column), (part, row) in wrong, glyphs)
    if part is Part.BARS:
        line += cells(_length(state.sketch, row), Role.QUIET)
    if part is Part.LEVEL:
        line += cells(_tilt(state.sketch), Role.QUIET)
    return line


def _cell(state: LinkageState, spot: Spot, wrong: bool, glyphs: Glyphs) -> CellRow:
    part, _row, column = spot
    here = spot == spot_of(state)
    if here and state.edit is not None:
        return _edited(state.edit, _WIDTHS[part][column])
    role = Role.CURSOR if here else Role.WRONG if wrong else Role.VALUE
    text = literal(cell_text(state.sketch, spot), glyphs) or ABSENT
    if part is not Part.POINTS and column < 2 and text in state.sketch.names:
        text = f"{letter(state.sketch.names.index(text))} {text}"
    return _column(cells(text, role), part, column, glyphs)


def _column(text: CellRow, part: Part, column: int, glyphs: Glyphs) -> CellRow:
    """Return text in its column, a gap behind it; numbers stand to the right."""
    width = _WIDTHS[part][column] if column < len(_WIDTHS[part]) else len(text) + 1
    if part is Part.POINTS and column == WHAT:  # the last one takes the room there is
        width = max(width, len(text) + 1)
    text = text if len(text) < width else fitted(text, width - 1, glyphs.ellipsis, text[-1][1])
    blank: CellRow = [(" ", int(Role.BASE))] * (width - 1 - len(text))
    ordered = blank + text if column in _NUMBERS.get(part, ()) else text + blank
    return [*ordered, (" ", int(Role.BASE))]


def _edited(edit: Edit, width: int) -> CellRow:
    """Return what is being typed with its caret; of a long text the part around it."""
    typed = edit_cells(edit, Role.EDIT, width - 2) + [(" ", int(Role.EDIT))] * width
    return [*typed[: width - 1], (" ", int(Role.BASE))]


def _length(sketch: Sketch, row: int) -> str:
    """Return how long a bar is as drawn."""
    ends = [sketch.places.get(name) for name in sketch.bars[row]]
    if ends[0] is None or ends[1] is None:
        return ABSENT
    return f"{math.dist(ends[0], ends[1]):.1f} {'mm' if sketch.known is None else 'px'}"


def _tilt(sketch: Sketch) -> str:
    """Return how far the picture is off level as typed."""
    tilt = sketch.off_level
    return ABSENT if math.isnan(tilt) else f"{math.degrees(abs(tilt)):.1f} deg"


def column_at(part: Part, x: int) -> int:
    """Return the column of a part at a place in its row."""
    ends = [_LEAD + sum(_WIDTHS[part][: column + 1]) for column in range(COLUMNS[part])]
    return next((column for column, end in enumerate(ends) if x < end), COLUMNS[part] - 1)


class Pane(Lines):
    """Cells drawn by a function, in the roles of tables and drawing."""

    COMPONENT_CLASSES: ClassVar[set[str]] = classes_of(
        (
            *(Role.TITLE, Role.HEAD, Role.WRONG, Role.HERE, Role.CURSOR, Role.EDIT, Role.CARET),
            *(Role.SHOCK, Role.PATH, Role.MARK, Role.STALE),
        )
    )
    DEFAULT_CSS = "Pane { height: 1fr; }"


class TablePane(Pane, RollingWidget, can_focus=True):
    """The tables, scrolled no further than the selected row needs."""

    @dataclass
    class Clicked(Message):
        """A cell was clicked."""

        part: Part
        row: int
        column: int

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._table = Table([], [])
        self._top = 0

    def show_state(self, state: LinkageState, glyphs: Glyphs) -> None:
        """Show the tables of a state."""
        self.show(lambda width, height: self._drawn(state, width, height, glyphs))

    def _drawn(self, state: LinkageState, width: int, height: int, glyphs: Glyphs) -> list[CellRow]:
        if width < 1 or height < 1:
            return []
        table = self._table = tables(state, width, glyphs)
        here = (state.part, state.row)
        line = table.owners.index(here) if here in table.owners else 0
        first = max(line - 1, 0) if state.row == 0 else line  # its heading too
        self._top = scrolled(self._top, first, line, height, max(len(table.lines), height))
        shown = table.lines[self._top : self._top + height]
        return shown + [[(" ", int(Role.BASE))] * width for _ in range(height - len(shown))]

    def on_click(self, event: events.Click) -> None:
        """Say which cell was clicked."""
        line = event.y + self._top
        owner = self._table.owners[line] if line < len(self._table.owners) else None
        if owner is not None:
            self.post_message(self.Clicked(*owner, column_at(owner[0], event.x)))


class CurvePane(LookWidget):
    """The leverage ratio over the wheel travel, read at the cursor."""

    def __init__(self, look: ChartLook, *, id: str | None = None) -> None:
        super().__init__(look, id=id)
        self._of: tuple[Moved, ShopUnits] | None = None
        self._scene: Scene | None = None
        self._picture: Picture | None = None
        self._cursor, self._stale = 0.0, False

    def show(self, state: LinkageState) -> None:
        """Show the curve of a state's last motion; the plot is drawn anew for another motion only."""
        self._cursor, self._stale = state.cursor / STEPS, state.is_outdated
        if state.answer is None:
            self._of = self._scene = self._picture = None
        elif self._of is None or self._of[0] is not state.answer or self._of[1] != state.units:
            self._of = (state.answer, state.units)
            self._scene = Scene(_chart(state.answer), state.units, self.look)
            self._picture = None
        self._update()

    def redraw(self) -> None:
        """Draw the plot anew for the size there is now."""
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


def _chart(moved: Moved) -> ChartData:
    motion = moved.motion
    return ChartData(
        title="leverage ratio",
        x=Axis("wheel travel", Measure.TRAVEL),
        y=Axis("leverage ratio", Measure.RATIO, from_zero=False),
        fraction=np.linspace(0.0, 1.0, len(motion.wheel)),
        place=motion.wheel,
        lines=(Line("linkage", 0, motion.wheel, motion.ratio),),
    )
