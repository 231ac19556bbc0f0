"""The widgets of the linkage screen: tables, drawing and curve, each sending only the cells that changed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np
from rich.style import Style
from textual import events
from textual.message import Message

from tui.bench.grid_layout import scrolled
from tui.bench.screen_lines import Lines
from tui.charts import sheet
from tui.charts.cell_widget import LookWidget
from tui.charts.cells import Row
from tui.charts.drawing import LEAST_COLUMNS, LEAST_ROWS, Picture, picture
from tui.charts.look import ChartLook
from tui.charts.paint import paint
from tui.charts.scene import Scene
from tui.charts.series import Axis, ChartData, Line
from tui.glyphs import Glyphs
from tui.linkage.moving import Moved
from tui.linkage.roles import Role
from tui.linkage.state import STEPS, LinkageState, Part
from tui.linkage.tables import Table, column_at, tables
from tui.shop_units import Measure, ShopUnits


class Pane(Lines):
    """Cells drawn by a function, in the roles of this screen.

    | Class | Description |
    | :- | :- |
    | `linkage--title`, `linkage--head` | Heading of the table with the cursor, of the others. |
    | `linkage--value`, `linkage--quiet`, `linkage--fault` | A value, what matters less, what is wrong. |
    | `linkage--here`, `linkage--cursor` | The selected row and its point and bar, the selected cell. |
    | `linkage--edit`, `linkage--caret` | A value being typed. |
    | `linkage--bar`, `linkage--shock`, `linkage--path`, `linkage--mark` | The drawing, and marks in it. |
    | `linkage--stale` | What is drawn of an older linkage. |
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        f"linkage--{role.name.lower()}" for role in Role if role is not Role.BASE
    }
    DEFAULT_CSS = """
    Pane {
        height: 1fr;
        & > .linkage--title { text-style: bold; }
        & > .linkage--head { color: $text-secondary; }
        & > .linkage--quiet { color: $text-muted; }
        & > .linkage--fault { color: $text-error; }
        & > .linkage--here { color: $text-accent; text-style: bold; }
        & > .linkage--cursor { text-style: bold reverse; }
        & > .linkage--edit { background: $panel; text-style: bold; }
        & > .linkage--caret { text-style: bold reverse; }
        & > .linkage--shock { color: $text-accent; }
        & > .linkage--path { color: $text-muted; }
        & > .linkage--mark { text-style: bold; }
        & > .linkage--stale { color: $text-muted; }
    }
    """

    def class_of(self, role: int) -> str:
        """Return the component class of a role."""
        return f"linkage--{Role(role).name.lower()}"


class TablePane(Pane, can_focus=True):
    """The tables, scrolled no further than the selected row needs."""

    @dataclass
    class Clicked(Message):
        """A cell was clicked."""

        part: Part
        row: int
        column: int

    @dataclass
    class Rolled(Message):
        """The wheel of the mouse was turned by so many rows."""

        rows: int

    def __init__(self, *, id: str | None = None) -> None:
        """Start at the top, empty."""
        super().__init__(id=id)
        self._table = Table([], [])
        self._top = 0

    def show_state(self, state: LinkageState, glyphs: Glyphs) -> None:
        """Show the tables of a state."""
        self.show(lambda width, height: self._drawn(state, width, height, glyphs))

    def _drawn(self, state: LinkageState, width: int, height: int, glyphs: Glyphs) -> list[Row]:
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

    def on_mouse_scroll_down(self) -> None:
        """Go down with the wheel."""
        self.post_message(self.Rolled(1))

    def on_mouse_scroll_up(self) -> None:
        """Go up with the wheel."""
        self.post_message(self.Rolled(-1))


class CurvePane(LookWidget):
    """The leverage ratio over the wheel travel, read at the cursor."""

    def __init__(self, look: ChartLook, *, id: str | None = None) -> None:
        """Start empty."""
        super().__init__(look, id=id)
        self._of: tuple[Moved, ShopUnits] | None = None
        self._scene: Scene | None = None
        self._picture: Picture | None = None
        self._cursor, self._stale = 0.0, False

    def show(self, state: LinkageState) -> None:
        """Show the curve of a state's last motion; the plot is drawn anew for another motion only."""
        self._cursor, self._stale = state.cursor / STEPS, state.stale
        if state.good is None:
            self._of = self._scene = self._picture = None
        elif self._of is None or self._of[0] is not state.good or self._of[1] != state.units:
            self._of = (state.good, state.units)
            self._scene = Scene(_chart(state.good), state.units, self.look)
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
