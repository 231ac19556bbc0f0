"""The chart panel on the screen: it shows what it is given and sends only the cells that changed."""

from __future__ import annotations

from dataclasses import dataclass, replace

from rich.color import Color
from rich.style import Style
from textual.events import Resize
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from physics.answer import Answer
from tui.charts import sheet
from tui.charts.cells import Row, changed, strip
from tui.charts.look import ChartLook, Role
from tui.charts.plotting import Picture, picture
from tui.charts.series import ChartData, ChartView, chart_data
from tui.shop_units import ShopUnits


@dataclass(frozen=True, slots=True, eq=False)
class _Shown:
    answer: Answer
    view: ChartView
    units: ShopUnits
    selected: int
    fast: bool
    stale: bool
    cursor: float

    def same_plot(self, other: _Shown) -> bool:
        """Whether both need the very same plot: answers are frozen, so identity is enough."""
        return self.answer is other.answer and (self.view, self.units.name, self.selected, self.fast) == (
            other.view, other.units.name, other.selected, other.fast,
        )  # fmt: skip


class ChartPanel(Widget):
    """One chart with its title and the line that reads every setup at the cursor."""

    DEFAULT_CSS = """
    ChartPanel { width: 1fr; height: 1fr; }
    """

    def __init__(self, look: ChartLook, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self._look = look
        self._shown: _Shown | None = None
        self._chart: ChartData | None = None
        self._picture: Picture | None = None
        self._layout = sheet.Layout(0, 0, 0)
        self._rows: list[Row] = []

    @property
    def look(self) -> ChartLook:
        """Colours, markers and line style."""
        return self._look

    @look.setter
    def look(self, look: ChartLook) -> None:
        if look != self._look:
            self._look = look
            self._picture = None
            self._rows = []
            self._update()

    def show(
        self,
        answer: Answer,
        view: ChartView,
        units: ShopUnits,
        *,
        selected_setup: int = 0,
        fast: bool = False,
        stale: bool = False,
        cursor: float = 0.0,
    ) -> None:
        """Show an answer; `cursor` is a fraction of the wheel travel."""
        shown = _Shown(answer, view, units, selected_setup, fast, stale, cursor)
        if self._shown is None or not shown.same_plot(self._shown):
            self._chart = chart_data(answer, view, selected_setup, fast=fast)
            self._picture = None
        self._shown = shown
        self._update()

    def read_at(self, cursor: float) -> None:
        """Move the cursor and leave everything else."""
        if self._shown is not None:
            self._shown = replace(self._shown, cursor=cursor)
            self._update()

    @property
    def text(self) -> str:
        """What the panel shows, as plain lines."""
        return sheet.text_of(self._rows)

    def on_resize(self, event: Resize) -> None:
        """Draw anew for the new size."""
        self._picture = None
        self._rows = []
        self._update()

    def _update(self) -> None:
        width, height = self.size
        if self._shown is None or self._chart is None or not width or not height:
            return
        shown, chart, look = self._shown, self._chart, self._look
        if self._picture is None:
            self._layout = sheet.layout(width, height, chart, shown.units, look)
            self._picture = picture(chart, shown.units, look, width, self._layout.plot)
        new = sheet.rows(
            chart, shown.units, look, self._picture, self._layout, width, shown.cursor, stale=shown.stale
        )
        old, self._rows = self._rows, new
        self._refresh_changes(old, new)

    def _refresh_changes(self, old: list[Row], new: list[Row]) -> None:
        if len(old) != len(new):
            self.refresh()
            return
        regions = [
            Region(first, y, end - first, 1)
            for y, (before, after) in enumerate(zip(old, new, strict=True))
            for first, end in changed(before, after)
        ]
        if regions:
            self.refresh(*regions)

    def render_line(self, y: int) -> Strip:
        """Return one row of the panel."""
        if y >= len(self._rows):
            return Strip.blank(self.size.width, self.rich_style)
        return strip(self._rows[y], self._style)

    def _style(self, role: int) -> Style:
        look, highlighted = self._look, role >= sheet.HIGHLIGHT
        role -= sheet.HIGHLIGHT if highlighted else 0
        if role >= Role.LINE:
            style = _coloured(look.line(role - Role.LINE).colour)
        else:
            style = {
                Role.AXIS: _coloured(look.axis),
                Role.LEVEL: _coloured(look.level),
                Role.SAG: _coloured(look.sag) + Style(bold=True),
                Role.CURSOR: _coloured(look.cursor) + Style(bold=True),
                Role.STALE: _coloured(look.stale) + Style(bold=True, reverse=True),
                Role.TITLE: Style(bold=True),
            }.get(Role(role), Style.null())
        base = self.rich_style + style
        return base + Style(bold=True, reverse=True) if highlighted else base


def _coloured(name: str) -> Style:
    return Style(color=Color.parse(name.removeprefix("ansi_")))
