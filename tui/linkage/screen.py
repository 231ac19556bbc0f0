"""The linkage screen and its lines: whose linkage it is, what a cell means, what is read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np
from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from physics.arrays import values
from tui.job.job import UNTITLED, Job
from tui.kit.cells import CellRow, cells, fitted
from tui.kit.folding import folded
from tui.kit.keymap import quiet
from tui.kit.look import ChartLook, Glyphs, literal
from tui.kit.roles import Role
from tui.kit.screen import Command, StateScreen, keys_fitting, note_line
from tui.kit.widget import Lines
from tui.linkage import state as edit
from tui.linkage.drawing import WHAT_WORDS, View, draw, figure_moved, figure_typed, mark
from tui.linkage.keymap import KEYMAP
from tui.linkage.panes import CurvePane, Pane, TablePane
from tui.linkage.sketch import sketch_of
from tui.linkage.state import LENGTH, NAME, STEPS, WHAT, LinkageState, Part
from tui.shop_units import Measure

_MEANINGS = {
    Part.BARS: "Two points at a fixed distance. A part with three points needs three bars, with four five. "
    "Enter: next point.",
    Part.KNOWN: "Two points whose distance on the bike is known, such as the shock eyes.",
    Part.LEVEL: "Two points that are level on the bike, such as both axles: a tilted photo is turned level. "
    "v removes them.",
    Part.DRAWING: "Position shown: c compresses 1/10 of the stroke, h and l step 1/100.",
}
_CELL_MEANINGS = {
    (Part.POINTS, NAME): "Point name; the drawing shows its letter. Enter edits it.",
    (Part.POINTS, WHAT): "Enter fixes the point to the frame or frees it; w makes it the axle, s a "
    "shock eye.",
    (Part.KNOWN, LENGTH): "Their real distance, with its unit: sets the scale of the photo.",
}
_MM = (
    "From a drawing or measured on the bike at full extension: x along the bike, either direction, y up, any "
    "origin."
)
_PX = "From a side photo taken square-on from far away, bike at full extension: x right, y down."


def title_line(state: LinkageState, trouble: str, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the line at the top: whose linkage it is, and whether it is in the job or in no draft either."""
    invented = state.sketch == state.invented
    adopted = not invented and not state.changed
    told = "in the job" if adopted else "invented example, not in the job" if invented else "not in the job"
    right = cells(f" {told} ", Role.QUIET if adopted else Role.WARNING)
    if trouble:
        right = cells(f" {literal(trouble, glyphs)}, no draft: save it from the bench ", Role.FAULT)
    left = cells(f" Linkage of {literal(state.job.title or UNTITLED, glyphs)}", Role.STRONG)
    return [fitted(fitted(left, max(width - len(right), 0), glyphs.ellipsis) + right, width, glyphs.ellipsis)]


def meaning_lines(state: LinkageState, width: int, height: int, glyphs: Glyphs) -> list[CellRow]:
    """Return what the selected cell is and how to get its value."""
    coordinate = _MM if state.sketch.known is None else _PX
    meaning = _CELL_MEANINGS.get((state.part, state.column)) or _MEANINGS.get(state.part, coordinate)
    lines = folded(literal(meaning, glyphs), max(width - 2, 10))[:height]
    shown = [cells(f" {line}", Role.BASE) for line in lines]
    return [fitted(row, width, glyphs.ellipsis) for row in shown + [[]] * (height - len(shown))]


def legend(state: LinkageState, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return the line above the drawing: what its marks mean, or that it is not what is typed."""
    if state.is_outdated:
        row = cells(f"{glyphs.stale} OLD: last valid drawing dotted", Role.WARNING)
    elif state.answer is None:
        row = cells("As typed: it does not move.", Role.WARNING)
    else:
        words = (f"{mark(kind, glyphs)} {word}  " for kind, word in enumerate(WHAT_WORDS))
        row = cells("".join(words), Role.QUIET)
    return [fitted(row, width, glyphs.ellipsis)]


def why_lines(state: LinkageState, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return why the linkage does not move, every reason in words; nothing where it does."""
    texts = (literal(f"{glyphs.fault} {fault.what}; {fault.accepted}.", glyphs) for fault in state.faults)
    lines = (line for text in texts for line in folded(text, max(width, 10), "  "))
    return [fitted(cells(line, Role.FAULT), width, glyphs.ellipsis) for line in lines]


def reading_line(state: LinkageState, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return what is read at the cursor, each with its unit."""
    if state.answer is None:
        return [fitted(cells(" No stroke to read yet.", Role.QUIET), width, glyphs.ellipsis)]
    motion, units = state.answer.motion, state.units
    step = round(state.cursor / STEPS * (len(motion.stroke) - 1))
    row = cells(f" {glyphs.stale} OLD" if state.is_outdated else "", Role.WARNING)
    for word, text in (
        ("stroke", units.show(motion.stroke[step], Measure.TRAVEL)),
        ("wheel travel", units.show(motion.wheel[step], Measure.TRAVEL)),
        ("leverage", f"{units.plain(motion.ratio[step], Measure.RATIO)} : 1"),
        ("total", units.show(motion.wheel[-1], Measure.TRAVEL)),
    ):
        piece = cells(f" {word} ", Role.QUIET) + cells(f"{text} ", Role.STRONG)
        if len(row) + len(piece) > width:  # half a number is another number
            break
        row += piece
    return [fitted(row, width, glyphs.ellipsis)]


def keys_line(state: LinkageState, width: int, glyphs: Glyphs) -> list[CellRow]:
    """Return what was last said, else the keys that fit, those of one label together."""
    return note_line(state.note, width, glyphs) or keys_fitting([], KEYMAP.key_line(state), width, glyphs)


BESIDE_FROM, ROOMY_FROM, CURVE_FROM = 72, 110, 30
"""Columns from which the drawing stands beside the tables, and from which these are wide; rows from which
the curve stays where something is wrong."""
_WHY_LINES = 6

Keep = Callable[[LinkageState], str]


class LinkageScreen(StateScreen[LinkageState, Job | None], inherit_bindings=False):
    """Tables, drawing and curve of one linkage. It closes with the job to adopt it from, or with None."""

    KEYMAP = KEYMAP
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

    def __init__(
        self, state: LinkageState, look: ChartLook, keep: Keep, commands: Mapping[str, Command]
    ) -> None:
        """Show a state; `keep` takes every change into a draft, or says why it cannot."""
        super().__init__(state, look, commands)
        self._keep = keep
        self._trouble = ""

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
        self.query_one(TablePane).focus()
        self.lay_out(*self.app.size)

    def on_resize(self, event: events.Resize) -> None:
        """Choose the layout for the size."""
        self.lay_out(event.size.width, event.size.height)

    def lay_out(self, width: int, height: int) -> None:
        """Show the state in the layout for a size in cells."""
        wide = width >= BESIDE_FROM
        self.state = replace(self.state, wide=wide)
        if self.state.part not in self.state.parts:
            self.state = edit.with_cursor(self.state, Part.POINTS, 0, self.state.column)
        self.set_class(not wide, "-narrow")
        self.set_class(width >= ROOMY_FROM and height >= CURVE_FROM, "-roomy")
        self.show()
        self.call_after_refresh(self._show_why)  # how it folds hangs on a width that is not there yet

    def take(self, state: LinkageState) -> None:
        """Go on with another state; a burst of keys is shown once."""
        if state.history is not self.state.history:
            self._trouble = self._keep(state)
        super().take(state)

    def hang_up(self) -> None:
        """Keep the linkage as it is, with what is being typed."""
        self.take(edit.commit(self.state))

    def show(self) -> None:
        """Give every widget what it shows."""
        state, glyphs = self.state, self.glyphs
        self.set_class(state.part is Part.DRAWING, "-drawing")
        self.set_class(bool(state.faults) and self.app.size.height < CURVE_FROM, "-no-curve")
        self.query_one(TablePane).show_state(state, glyphs)
        self._show_why()
        style = self.look.line_style
        self.lines("drawing").show(lambda w, h: draw(view_of(self.state), w, h, style, glyphs))
        self.query_one(CurvePane).show(state)
        self.lines("title").show(lambda w, h: title_line(state, self._trouble, w, glyphs))
        self.lines("legend").show(lambda w, h: legend(state, w, glyphs))
        self.lines("reading").show(lambda w, h: reading_line(state, w, glyphs))
        self.lines("meaning").show(lambda w, h: meaning_lines(state, w, h, glyphs))
        self.lines("keys").show(lambda w, h: keys_line(state, w, glyphs))

    def _show_why(self) -> None:
        state, why = self.state, self.lines("why")
        width = self.query_one("#right").size.width or self.app.size.width
        why.styles.height = height = min(len(why_lines(state, width, self.glyphs)), _WHY_LINES)
        why.display = height > 0
        why.show(lambda w, h: why_lines(state, w, self.glyphs)[:h])

    def ready(self, state: LinkageState) -> LinkageState:
        """Return the state with what is being typed taken."""
        return edit.commit(state)

    def rolled(self, state: LinkageState, steps: int) -> LinkageState:
        """Return the state with the cursor moved by the wheel of the mouse."""
        return edit.move_by_rows(state, steps)

    @on(TablePane.Clicked)
    def _clicked(self, event: TablePane.Clicked) -> None:
        here = (event.part, event.row, event.column)
        state = quiet(self.state)
        if here != edit.spot_of(state):
            self.take(edit.with_cursor(edit.commit(state), *here))
        elif state.edit is None:
            self.take(edit.open_edit(state))


def view_of(state: LinkageState) -> View:
    """Return what is drawn of a state: its motion where it is read, or what is typed over the last good.

    That is the last linkage that moved, at full extension, where it is in the unit of what is typed.
    """
    sketch, has_row = state.sketch, state.row < state.rows(state.part)
    point = sketch.names[state.row] if state.part is Part.POINTS and has_row else ""
    bar = sketch.bars[state.row] if state.part is Part.BARS and has_row else None
    if state.answer is not None and not state.is_outdated:
        room = state.answer.motion.places.reshape(-1, 2)
        return View(figure_moved(state.answer, state.cursor / STEPS), values(room), None, point, bar)
    figure = figure_typed(sketch)
    last = None if state.answer is None else sketch_of(state.answer.job)
    if last is None or (last.known is None) != (sketch.known is None):
        return View(figure, figure.places, None, point, bar)
    before = figure_typed(last)
    return View(figure, values(np.concatenate([figure.places, before.places])), before, point, bar)
