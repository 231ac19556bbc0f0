"""The linkage screen: it keeps the state, gives it to the widgets and does what a key means."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import ClassVar

import numpy as np
from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical

from physics.arrays import Values, values
from tui.bench.screen_lines import Lines
from tui.charts.cells import Row
from tui.charts.look import ChartLook
from tui.jobs.job import Job
from tui.linkage.drawing import Figure, View, drawn, figure_moved, figure_typed
from tui.linkage.keys import action_for, is_typed, pressed
from tui.linkage.panes import CurvePane, Pane, TablePane
from tui.linkage.sketch import sketch_of
from tui.linkage.state import STEPS, LinkageState, Part, placed, quiet
from tui.linkage.state_edit import by_rows, committed, opened_edit, typed
from tui.linkage.words import keys_line, legend, meaning_lines, reading_line, title_line, why_lines
from tui.sparing import SparingScreen

BESIDE_FROM, ROOMY_FROM, CURVE_FROM = 72, 110, 30
"""Columns from which the drawing stands beside the tables, and from which these are wide; rows from which
the curve stays where something is wrong."""
_WHY_LINES = 6

Keep = Callable[[LinkageState], str]
Acts = Mapping[str, Callable[["LinkageScreen"], None]]


class LinkageScreen(SparingScreen[Job | None], inherit_bindings=False):
    """Tables, drawing and curve of one linkage. It closes with the job to adopt it from, or with None."""

    BINDINGS: ClassVar[list[BindingType]] = []
    DEFAULT_CSS = """
    LinkageScreen {
        layout: vertical;
        & #middle { height: 1fr; }
        & #tables { width: 43; margin-right: 1; }
        & #right { width: 1fr; height: 1fr; }
        & #why { height: auto; }
        & #curve { height: 7; }
        & #meaning { height: 2; }
        &.-roomy #curve { height: 12; }
        &.-roomy #tables { width: 46; }
        &.-narrow #right { display: none; }
        &.-narrow #tables { width: 1fr; margin-right: 0; }
        &.-narrow.-drawing #right { display: block; }
        &.-narrow.-drawing #tables { display: none; }
        &.-no-curve #curve { display: none; }
    }
    """

    def __init__(self, state: LinkageState, look: ChartLook, keep: Keep, acts: Acts) -> None:
        """Show a state; `keep` takes every change into a draft, or says why it cannot; `acts` by action."""
        super().__init__()
        self._acts = acts
        self.state = state
        self.look = look
        self._keep = keep
        self._trouble = ""
        self._waiting = False

    def compose(self) -> ComposeResult:
        """Stack title, tables beside the drawing, and the lines below."""
        yield Lines(id="title")
        with Horizontal(id="middle"):
            yield TablePane(id="tables")
            with Vertical(id="right"):
                yield Lines(id="legend")
                yield Pane(id="drawing")
                yield Lines(id="why")
                yield CurvePane(self.look, id="curve")
        yield Lines(id="reading")
        yield Lines(id="meaning")
        yield Lines(id="keys")

    def on_mount(self) -> None:
        """Show the state for the size there is."""
        self.lay_out(*self.app.size)
        self.query_one(TablePane).focus()
        self.show()
        self.call_after_refresh(self._show_why)

    def on_resize(self, event: events.Resize) -> None:
        """Choose the layout for the size."""
        self.lay_out(event.size.width, event.size.height)
        self.show()
        self.call_after_refresh(self._show_why)  # how it folds hangs on a width that is not there yet

    def lay_out(self, width: int, height: int) -> None:
        """Give the screen the layout for a size in cells."""
        wide = width >= BESIDE_FROM
        self.state = replace(self.state, wide=wide)
        if self.state.part not in self.state.parts:
            self.state = placed(self.state, Part.POINTS, 0, self.state.column)
        self.set_class(not wide, "-narrow")
        self.set_class(width >= ROOMY_FROM and height >= CURVE_FROM, "-roomy")

    def take(self, state: LinkageState) -> None:
        """Go on with another state; a burst of keys is shown once."""
        if state.history is not self.state.history:
            self._trouble = self._keep(state)
        self.state = state
        if not self._waiting:
            self._waiting = True
            self.call_later(self._show_newest)

    def hang_up(self) -> None:
        """Keep the linkage as it is, with what is being typed."""
        self.take(committed(self.state))

    def say(self, note: str) -> None:
        """Tell the person something."""
        self.take(replace(self.state, note=note))

    def _show_newest(self) -> None:
        self._waiting = False
        self.show()

    def show(self) -> None:
        """Give every widget what it shows."""
        state, glyphs = self.state, self.look.glyphs
        self.set_class(state.part is Part.DRAWING, "-drawing")
        self.set_class(bool(state.faults) and self.app.size.height < CURVE_FROM, "-no-curve")
        self.query_one(TablePane).show_state(state, glyphs)
        self._show_why()
        self.query_one("#drawing", Pane).show(self._drawn)
        self.query_one(CurvePane).show(state)
        self._lines("title").show(lambda w, h: title_line(state, self._trouble, w, glyphs))
        self._lines("legend").show(lambda w, h: legend(state, w, glyphs))
        self._lines("reading").show(lambda w, h: reading_line(state, w, glyphs))
        self._lines("meaning").show(lambda w, h: meaning_lines(state, w, h, glyphs))
        self._lines("keys").show(lambda w, h: keys_line(state, w, glyphs))

    def _show_why(self) -> None:
        state, why = self.state, self._lines("why")
        width = self.query_one("#right").size.width or self.app.size.width
        height = min(len(why_lines(state, width, self.look.glyphs)), _WHY_LINES)
        why.display = height > 0
        why.styles.height = height
        why.show(lambda w, h: why_lines(state, w, self.look.glyphs)[:h])

    def _drawn(self, width: int, height: int) -> list[Row]:
        return drawn(view_of(self.state), width, height, self.look.line_style, self.look.glyphs)

    def _lines(self, name: str) -> Lines:
        return self.query_one(f"#{name}", Lines)

    def on_key(self, event: events.Key) -> None:
        """Do what the key means."""
        if self.passed_on(event):
            return
        event.stop()
        event.prevent_default()
        action = action_for(self.state, event.key, event.character)
        if action is not None and action.step is None and not is_typed(self.state, event.character):
            self.act(action.id)
        else:
            self.take(pressed(self.state, event.key, event.character))

    def act(self, id: str) -> None:
        """Do what no change of state alone can do."""
        self.take(committed(quiet(self.state)))
        self._acts[id](self)

    def on_paste(self, event: events.Paste) -> None:
        """Type what is pasted, its first line."""
        text = event.text.strip().splitlines()
        if text:
            event.stop()
            self.take(typed(self.state, text[0]))

    @on(TablePane.Clicked)
    def _clicked(self, event: TablePane.Clicked) -> None:
        here = (event.part, event.row, event.column)
        state = quiet(self.state)
        if here != (state.part, state.row, state.column):
            self.take(placed(committed(state), *here))
        elif state.edit is None:
            self.take(opened_edit(state))

    @on(TablePane.Rolled)
    def _rolled(self, event: TablePane.Rolled) -> None:
        self.take(by_rows(quiet(self.state), event.rows))


def view_of(state: LinkageState) -> View:
    """Return what is drawn of a state: its motion where it is read, or what is typed over the last good."""
    point = state.sketch.names[state.row] if _on(state, Part.POINTS) else ""
    bar = state.sketch.bars[state.row] if _on(state, Part.BARS) else None
    if state.good is not None and not state.stale:
        room = state.good.motion.places.reshape(-1, 2)
        return View(figure_moved(state.good, state.cursor / STEPS), values(room), None, point, bar)
    figure, before = figure_typed(state.sketch), _before(state)
    return View(figure, _room(figure, before), before, point, bar)


def _on(state: LinkageState, part: Part) -> bool:
    return state.part is part and state.row < state.rows(part)


def _before(state: LinkageState) -> Figure | None:
    """Return the last linkage that moved, at full extension, if it is in the unit of what is typed."""
    sketch = None if state.good is None else sketch_of(state.good.job)
    if sketch is None or (sketch.known is None) != (state.sketch.known is None):
        return None
    return figure_typed(sketch)


def _room(figure: Figure, before: Figure | None) -> Values:
    return figure.places if before is None else values(np.concatenate([figure.places, before.places]))
