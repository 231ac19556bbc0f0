"""The chart panel, and the styles of its roles."""

from __future__ import annotations

from dataclasses import replace

from rich.color import Color
from rich.style import Style

from physics.answer import Answer
from tui.charts import drawing
from tui.charts.drawing import BAND, HIGHLIGHT, LAST, Picture, picture, sentence
from tui.charts.series import Scene, chart_data
from tui.charts.views import ChartView
from tui.kit.look import ChartLook
from tui.kit.roles import Role
from tui.kit.widget import LookWidget
from tui.shop_units import ShopUnits

_COLOURS: dict[int, str] = {
    role: role.name.lower() for role in (Role.AXIS, Role.LEVEL, Role.SAG, Role.CURSOR, Role.STALE)
}
"""Fields of `ChartLook` that have the colours of roles."""
_BOLD = (Role.TITLE, Role.SAG, Role.CURSOR, Role.STALE)


def paint(look: ChartLook, role: int) -> Style:
    """Return the style of a role of the chart."""
    if role & HIGHLIGHT:
        return paint(look, role % HIGHLIGHT) + Style(bold=True, reverse=True)
    if role >= LAST:
        behind = look.band if role & BAND else look.shade
        return paint(look, role % HIGHLIGHT) + Style(bgcolor=_colour(behind))
    name = _COLOURS.get(role, "")
    colour = look.line(role - Role.SETUP).colour if role >= Role.SETUP else getattr(look, name, "")
    parsed = _colour(colour) if colour else None
    return Style(color=parsed, bold=role in _BOLD or None, reverse=role == Role.STALE or None)


def _colour(named: str) -> Color:
    return Color.parse(named.removeprefix("ansi_"))


class ChartPanel(LookWidget):
    """A chart with its title and the readout of all lines at the cursor."""

    DEFAULT_CSS = "ChartPanel { width: 1fr; height: 1fr; }"

    def __init__(self, look: ChartLook, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(look, id=id, classes=classes)
        self._answer: Answer | None = None
        self._plotted: tuple[object, ...] = ()
        self._scene: Scene | None = None
        self._picture: Picture | None = None
        self._words, self._cursor, self._stale = "", 0.0, False
        self._layout = drawing.Layout(0, 0, 0, 0)

    def show(
        self,
        answer: Answer,
        view: ChartView,
        units: ShopUnits,
        *,
        selected_setup: int = 0,
        slow: bool = False,
        stale: bool = False,
        cursor: float = 0.0,
    ) -> None:
        """Show an answer; `cursor` is a fraction of the wheel travel, 0 to 1."""
        # What the plot depends on beside the answer, which is frozen, so that its identity is enough.
        plotted = view, units.name, slow, selected_setup if view is ChartView.CHAMBERS else 0
        if self._answer is not answer or self._plotted != plotted:
            chart = chart_data(answer, view, selected_setup, slow=slow)
            self._scene, self._picture = Scene(chart, units, self.look), None
        self._answer, self._plotted, self._cursor, self._stale = answer, plotted, cursor, stale
        self._update()

    def say(self, words: str) -> None:
        """Show a sentence in place of a chart."""
        self._answer, self._words = None, words
        self.redraw()

    def redraw(self) -> None:
        """Draw the plot again, in the present colours and size."""
        self._picture = None
        if self._scene is not None:
            self._scene = replace(self._scene, look=self.look)
        self._update()

    def _update(self) -> None:
        (width, height), scene = self.size, self._scene
        if not width or not height:
            return
        if self._answer is None or scene is None:
            self.put(sentence(self._words, width, height).rows)
            return
        if self._picture is None:
            self._layout = drawing.layout(scene, width, height)
            self._picture = picture(scene, width, self._layout.plot)
        self.put(drawing.rows(scene, self._picture, self._layout, self._cursor, stale=self._stale))

    def style_of(self, role: int) -> Style:
        """Return the style of a role."""
        return self.rich_style + paint(self.look, role)
