"""The linkage screen: tables beside the drawing with its curve, and the lines around them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from physics.arrays import values
from physics.frozen import NamedTuple
from tui.job.job import Job
from tui.kit.cells import CellRow
from tui.kit.keymap import quiet
from tui.kit.look import ChartLook
from tui.kit.screen import FRAMED_FROM, Command, StateScreen
from tui.kit.scrolling import ScrolledText
from tui.kit.widget import ClickedLines, Lines
from tui.linkage import state as edit
from tui.linkage.drawing import View, draw, figure_moved, figure_typed
from tui.linkage.keymap import KEYMAP
from tui.linkage.panes import CurvePane, Pane, TablePane
from tui.linkage.sketch import sketch_of
from tui.linkage.state import STEPS, LinkageState, Part
from tui.linkage.words import foot_lines, legend, reading_line, title_line, why_lines

if TYPE_CHECKING:
    from tui.bench.overlays import BenchTarget
    from tui.charts.export import Ground
    from tui.kit.overlays import Overlays

BESIDE_FROM, ROOMY_FROM, CURVE_FROM = 72, 110, 30
"""Columns from which the drawing is beside the tables, and from which the tables are wide; rows from which
the curve is kept when there are faults."""
_WHY_LINES = 6

_LOW_BELOW = 14
Keep = Callable[[LinkageState], str]


class Shop(NamedTuple):
    """Settings from the bench: folder for files, and the look of exported charts."""

    folder: Path
    picture: Callable[[], tuple[ChartLook, Ground]]


class LinkageScreen(StateScreen[LinkageState, Job | None], inherit_bindings=False):
    """Tables, drawing and curve of one linkage. Closes with the job whose linkage to adopt, or None."""

    KEYMAP = KEYMAP
    DEFAULT_CSS = """
    LinkageScreen {
        layout: vertical;
        & #middle { height: 1fr; }
        & #tables { width: 43; margin-right: 1; }
        & #right { width: 1fr; height: 1fr; }
        & #why { height: auto; }
        & #curve { height: 7; }
        & #foot { height: 4; }
        & #help { display: none; }
        &.-low #foot { height: 2; }
        &.-roomy #curve { height: 12; }
        &.-roomy #tables { width: 46; }
        &.-framed #tables, &.-framed #right { border: round $secondary; padding: 0 1; }
        &.-framed #tables { width: 50; margin-right: 0; }
        &.-framed.-ascii #tables, &.-framed.-ascii #right { border: ascii $secondary; }
        &.-framed.-solid #tables, &.-framed.-solid #right { border: solid $secondary; }
        &.-narrow #right { display: none; }
        &.-narrow #tables { width: 1fr; margin-right: 0; }
        &.-narrow.-drawing #right { display: block; }
        &.-narrow.-drawing #tables { display: none; }
        &.-no-curve #curve { display: none; }
        &.-helps #legend, &.-helps #drawing, &.-helps #why, &.-helps #curve { display: none; }
        &.-helps #help { display: block; padding: 0 1; }
    }
    """

    def __init__(
        self, state: LinkageState, look: ChartLook, keep: Keep, commands: Mapping[str, Command], shop: Shop
    ) -> None:
        """Show a state; `keep` writes every change to a draft, or says why it cannot."""
        super().__init__(state, look, commands)
        self.shop = shop
        self._keep = keep
        self.after: BenchTarget | None = None
        """What to do on the bench after closing this screen."""
        self._trouble = ""

    def compose(self) -> ComposeResult:
        """Stack title, tables beside the drawing, and the lines below."""
        yield Lines(id="title")
        yield Lines(id="reading")
        with Horizontal(id="middle"):
            yield TablePane(id="tables")
            with Vertical(id="right"):
                yield Lines(id="legend")
                yield Pane(id="drawing")
                yield Lines(id="why")
                yield CurvePane(self.look, id="curve")
                yield ScrolledText(self.look, id="help")
        yield Lines(id="foot")

    def on_mount(self) -> None:
        """Show the state for the size there is."""
        self.add_class(f"-{self.glyphs.frame}")
        self.query_one(TablePane).focus()
        self.lay_out(*self.app.size)

    def on_resize(self, event: events.Resize) -> None:
        """Choose the layout for the size."""
        self.lay_out(event.size.width, event.size.height)

    def lay_out(self, width: int, height: int) -> None:
        """Show the state in the layout for a size in cells."""
        self.set_class(width >= ROOMY_FROM and height >= CURVE_FROM, "-roomy")
        self.set_class(width >= FRAMED_FROM[0] and height >= FRAMED_FROM[1], "-framed")
        self.set_class(height < _LOW_BELOW, "-low")
        self.show()
        self.call_after_refresh(self._show_why)  # how it folds depends on a width that is not there yet

    def take(self, state: LinkageState) -> None:
        """Continue with another state; a burst of keys is shown once."""
        if state.history is not self.state.history:
            self._trouble = self._keep(state)
        super().take(state)

    def hang_up(self) -> None:
        """Keep the linkage, including text being typed."""
        self.take(edit.commit(self.state))

    def show(self) -> None:
        """Give every widget what it shows."""
        state, glyphs, (width, height) = self.state, self.glyphs, self.app.size
        # The help has long lines: in a narrow window it replaces the tables too.
        alone = width < BESIDE_FROM or state.zoom or (state.helps and width < ROOMY_FROM)
        self.set_class(alone, "-narrow")
        self.set_class(state.part is Part.DRAWING or state.helps, "-drawing")
        self.set_class(bool(state.faults) and height < CURVE_FROM, "-no-curve")
        self.set_class(state.helps, "-helps")
        self.make_room(width, height)
        help_lines = self._help_lines if state.helps else None
        self.query_one(ScrolledText).take_focus_of(self.query_one(TablePane), help_lines)
        self.query_one(TablePane).show_state(state, glyphs)
        self._show_why()
        style = self.look.line_style
        self.lines("drawing").show(lambda w, h: draw(view_of(self.state), w, h, style, glyphs))
        self.query_one(CurvePane).show(state)
        self.lines("title").show(lambda w, h: title_line(state, self._trouble, w, glyphs))
        self.lines("legend").show(lambda w, h: legend(state, w, glyphs))
        self.lines("reading").show(lambda w, h: reading_line(state, w, glyphs))
        foot = self.overlays.lines if self.is_overlaid else foot_lines
        self.lines("foot").show(lambda w, h: foot(state, w, h, glyphs))

    def _help_lines(self, width: int, look: ChartLook) -> list[CellRow]:
        from tui.linkage.overlays import help_lines  # few look at it

        return help_lines(self.state, width, look)

    def act(self, id: str) -> None:
        """Run a command; nothing is to be done on the bench afterwards."""
        self.after = None
        super().act(id)

    def go_to(self, target: BenchTarget) -> None:
        """Leave for something on the bench, asking about changes first."""
        self.act("leave")
        self.after = target

    @property
    def overlays(self) -> Overlays[LinkageState, BenchTarget]:
        """Menu and finder, loaded on first use."""
        from tui.linkage.overlays import OVERLAYS

        return OVERLAYS

    def _show_why(self) -> None:
        state, why = self.state, self.lines("why")
        width = self.query_one("#right").content_size.width or self.app.size.width
        why.styles.height = height = min(len(why_lines(state, width, self.glyphs)), _WHY_LINES)
        why.display = height > 0
        why.show(lambda w, h: why_lines(state, w, self.glyphs)[:h])

    def ready(self, state: LinkageState) -> LinkageState:
        """Return the state with text being typed committed."""
        return edit.commit(state)

    def rolled(self, state: LinkageState, steps: int) -> LinkageState:
        """Return the state with the cursor moved by the wheel of the mouse."""
        return edit.move_by_rows(state, steps)

    @on(TablePane.Clicked)
    def _clicked(self, event: TablePane.Clicked) -> None:
        here = (event.part, event.row, event.column)
        state = replace(quiet(self.state), menu="", finder=None, helps=False)
        if here != edit.spot_of(state):
            self.take(edit.with_cursor(edit.commit(state), *here))
        elif state.edit is None:
            self.take(edit.open_edit(state))

    @on(ClickedLines.Clicked)
    def _line_clicked(self, event: ClickedLines.Clicked) -> None:
        """Do what a word of the footer does, or give the drawing the focus."""
        if event.part == "foot":
            self.do_clicked(event)
        elif event.part in ("legend", "drawing"):
            self.take(edit.show_drawing(quiet(self.state)))


def view_of(state: LinkageState) -> View:
    """Return what to draw: the motion at the cursor, or an invalid linkage as typed over the last valid one.

    The latter is the last linkage that moved, at full extension, if its unit is the same.
    """
    sketch, (part, row, _column) = state.sketch, state.shown_spot
    has_row = row < state.rows(part)
    point = sketch.names[row] if part is Part.POINTS and has_row else ""
    bar = sketch.bars[row] if part is Part.BARS and has_row else None
    if state.answer is not None and not state.is_outdated:
        room = state.answer.motion.places.reshape(-1, 2)
        return View(figure_moved(state.answer, state.cursor / STEPS), values(room), None, point, bar)
    figure = figure_typed(sketch)
    last = None if state.answer is None else sketch_of(state.answer.job)
    if last is None or (last.known is None) != (sketch.known is None):
        return View(figure, figure.places, None, point, bar)
    before = figure_typed(last)
    return View(figure, values(np.concatenate([figure.places, before.places])), before, point, bar)
