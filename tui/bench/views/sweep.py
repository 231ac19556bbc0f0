"""Sweep over one input for every setup, and map over two inputs for the selected one: one figure each."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

import numpy as np
from numpy.typing import NDArray

from physics.arrays import Values, values
from physics.case import Case, Fork
from physics.frozen import NamedTuple
from physics.inputs import Input
from physics.sweep import Swept
from tui.bench.state import BenchState, next_figure, solved_case
from tui.bench.views.cursor import cell_read, map_asked, map_found, map_key, move_read, swept_here
from tui.bench.views.here import NOTHING_YET, View, seat_here
from tui.bench.views.takes import drawn_takes
from tui.charts import series
from tui.charts.drawing import SHORT, TALL, picture, view_rows
from tui.charts.series import Scene
from tui.job.fields import INPUTS
from tui.job.figures import NO_ESTIMATE, figure_named, input_text
from tui.kit.cells import CellRow, cells
from tui.kit.document import TAKES, Rows, SetupName
from tui.kit.dressing import Draw, dressed, told
from tui.kit.keymap import by
from tui.kit.look import ChartLook
from tui.kit.roles import Role
from tui.kit.work import Task
from tui.shop_units import ShopUnits
from tui.subjects import sweep as subject

_SWEEP_WIDE_FROM = 60
_TALLEST = 34
"""Maximum height of a chart or map [rows]."""
_EVEN = 0.05
"""If a figure changes by less than this fraction, its axis includes zero, to show that it hardly changes."""
_LEAST_ROOM = 12
_FEW = 20
"""Maximum number of axis values treated as a count, with equally many cells each."""
_SLOW_COLUMNS, _LARGE_FROM = 72, 130
"""Columns of a map, limited for slow connections, and the view width from which it has more."""
_LOW, _HIGH, _MAP_WIDE_FROM = 9, 18, 60
"""Rows of the map in a narrow and in a wide view, and the width from which it is wide."""
_MARK_WORDS = {one.mark: one.short for state, one in subject.STATES_SWEPT.items() if state != "ok"}
_MARK_WORDS["!"] = "above max pressure"
_MARK_WORDS[NO_ESTIMATE] = "no estimate"
KEYS: Mapping[str, Callable[[BenchState], BenchState]] = {
    "less_than_sign": by(next_figure, -1),
    "greater_than_sign": by(next_figure, 1),
    "left": partial(move_read, across=-1),
    "right": partial(move_read, across=1),
}
"""Keys while the view has the focus: previous and next figure, and moving the cursor."""
MAP_KEYS: Mapping[str, Callable[[BenchState], BenchState]] = {
    **KEYS,
    "up": partial(move_read, up=1),
    "down": partial(move_read, up=-1),
}
"""The same for a map, with a cursor in two directions."""


def lines(state: BenchState, width: int, look: ChartLook, height: int = 0) -> list[CellRow]:
    """Return the view for every setup of the last valid answer; the chart fills a `height` if given."""
    known, figure, found = solved_case(state), state.sweep.figure, swept_here(state)
    if found is None or known is None or state.answer is None:
        return told(NOTHING_YET, width, look.glyphs)
    drawn = Scene(_chart(found, figure, known), state.units, look)
    read, over = cell_read(state, found), found.axes[0]
    at = subject.number_now(over.input, known) if read is None else float(over.numbers[read[0]])
    said = subject.document(found, figure, known, state.units)
    now = subject.now_text(
        [over.input], figure, known, state.answer.answer, state.answer.answer.setups, state.units
    )
    parts = _read(state, now, look)
    words = len(dressed(said, width, look, {**parts, subject.CHART: lambda _width: []}))
    least = TALL if width >= _SWEEP_WIDE_FROM and not height else SHORT
    rows = min(max(height - words, least), _TALLEST)
    chart = partial(_drawn, drawn, at - subject.left_off(over.input, known), rows)
    return dressed(said, width, look, {**parts, subject.CHART: chart})


def _read(state: BenchState, now: str, look: ChartLook) -> Mapping[str, Draw]:
    """Return what draws the readout, that of the present job until the cursor is moved, in as many lines."""

    def rows(width: int) -> list[CellRow]:
        shown = drawn_takes(state, look)[TAKES](width) or told(now, width, look.glyphs, Role.STRONG)
        return shown + [[] for _ in range((1 if width >= _SWEEP_WIDE_FROM else 2) - len(shown))]

    return {TAKES: rows}


def scene(state: BenchState, look: ChartLook) -> Scene | None:
    """Return the chart of the sweep, None without one."""
    known, found = solved_case(state), swept_here(state)
    if found is None or known is None:
        return None
    return Scene(_chart(found, state.sweep.figure, known), state.units, look)


def numbers(state: BenchState) -> Rows:
    """Return the table of the sweep, empty without one."""
    known, found = solved_case(state), swept_here(state)
    return (
        []
        if found is None or known is None
        else subject.numbers_of(found, [state.sweep.figure], known, state.units)
    )


def map_numbers(state: BenchState) -> Rows:
    """Return the table of the map, empty before it is computed."""
    asked, found = map_asked(state), map_found(state)
    return (
        []
        if asked is None or found is None
        else subject.numbers_of(found, _map_figures(asked), asked.known, state.units)
    )


def _map_figures(asked: subject.MapAsked) -> tuple[str, ...]:
    return tuple(dict.fromkeys((asked.figure, "set_pressure")))


def _drawn(scene: Scene, here: float, height: int, width: int) -> list[CellRow]:
    """Return the chart with an arrow at the cursor, initially at the job's present value."""
    return view_rows(scene, picture(scene, width, height), here)


def _chart(found: Swept, name: str, known: Case) -> series.ChartData:
    axis, fork = found.axes[0], isinstance(known.frame.leverage, Fork)
    figure, drawn = figure_named(name, fork), subject.as_estimated(name, found)
    finite = drawn[np.isfinite(drawn)]
    even = bool(finite.size == 0 or np.ptp(finite) < _EVEN * np.abs(finite).max())
    x = values(axis.numbers - subject.left_off(axis.input, known))
    label = subject.label_near(found, name, known)
    return series.ChartData(
        title=figure.label,
        x=series.Axis(input_text(axis.input.name, fork), INPUTS[axis.input.name][1]),
        y=series.Axis(figure.label, figure.measure, from_zero=even),
        fraction=values([0.0, 1.0]),
        place=x,
        lines=tuple(
            series.Line(setup, look, x, y)
            for look, (setup, y) in enumerate(zip(found.names, drawn, strict=True))
        ),
        level=None if label is None else series.Level("max pressure", label),
        note=f"No setup has {figure.label} in this range.",
    )


def task(state: BenchState) -> Task | None:
    """Return the task of computing the map, None if there is nothing to draw."""
    asked = map_asked(state)
    if asked is None or state.answer is None:
        return None
    return Task(map_key(state), asked.work)


def map_lines(state: BenchState, width: int, look: ChartLook, height: int = 0) -> list[CellRow]:
    """Return the view of the selected setup: the latest map, and the progress of the next one.

    The map fills a `height` if given, so that at least its axis and legend are visible.
    """
    asked, wanted, worked, seat = map_asked(state), task(state), state.worked, seat_here(state)
    if asked is None or wanted is None or seat is None:
        return told(NOTHING_YET, width, look.glyphs)
    found = map_found(state)
    said = subject.map_document(found, asked, SetupName(seat.name, seat.place), state.units)
    over, here = (asked.over, asked.against), [seat.answer]
    now = subject.now_text(over, asked.figure, asked.known, seat.there.answer, here, state.units)
    parts = _read(state, now, look)
    words = len(dressed(said, width, look, {**parts, subject.MAP: lambda _width: []}))

    def drawn(width: int) -> list[CellRow]:
        if found is None:
            return told(f"Calculating: {worked.share_text(wanted.key)}.", width, look.glyphs, Role.QUIET)
        here = cell_read(state, found)
        return _Sheet(asked, found, state.units, look, seat.place, here).rows(width, max(height - words, 0))

    return dressed(said, width, look, {**parts, subject.MAP: drawn})


class _Sheet(NamedTuple):
    """A computed map and the parameters of its drawing."""

    asked: subject.MapAsked
    found: Swept
    units: ShopUnits
    look: ChartLook
    setup: int
    read: tuple[int, ...] | None

    def rows(self, width: int, room: int) -> list[CellRow]:
        """Return map, axis and legend in `room` rows if given; a sentence if there are no numbers."""
        drawn = subject.as_estimated(self.asked.figure, self.found)[0]
        texts = [self._written(self.asked.against, end) for end in (-1, 0)]
        left = max(map(len, texts)) + 1
        if not np.isfinite(drawn).any():
            fork = isinstance(self.asked.known.frame.leverage, Fork)
            label = figure_named(self.asked.figure, fork).label
            # Why is said below where it is beyond the air model.
            return told(f"{self.found.names[0]} has no {label} in these ranges.", width, self.look.glyphs)
        legend = self._legend(drawn, width)
        height = _HIGH if width >= _MAP_WIDE_FROM else _LOW
        height = min(max(room - 1 - len(legend), _LOW), _TALLEST) if room else height
        columns = max(width - left, 1)
        columns = min(columns, _SLOW_COLUMNS) if width < _LARGE_FROM else columns
        across, up = self._places(0, columns), self._places(1, height)[::-1]
        if across.size < _LEAST_ROOM:
            return told("Too narrow for a map.", width, self.look.glyphs)
        marks = self._marks(drawn)[np.ix_(across, up)].T
        body: list[CellRow] = [
            [(mark, Role.CAUTION if mark in _MARK_WORDS else Role.BASE) for mark in row] for row in marks
        ]
        self._stand(body, across, up)
        if self.read is not None:
            at = [
                int(np.argmin(np.abs(places - read)))
                for places, read in zip((across, up), self.read, strict=True)
            ]
            body[at[1]][at[0]] = (body[at[1]][at[0]][0], Role.CURSOR)
        for place, row in enumerate(body):
            text = texts[0] if place == 0 else texts[1] if place == len(body) - 1 else ""
            body[place] = cells(text.rjust(left - 1) + " ", Role.QUIET) + row
        first, last = (self._written(self.asked.over, end) for end in (0, -1))
        axis = first + last.rjust(max(across.size - len(first), len(last) + 1))
        return [*body, cells(" " * left + axis, Role.QUIET), *legend]

    def _places(self, axis: int, room: int) -> NDArray[np.intp]:
        """Return the index of the axis value for each of `room` cells; counts get cells of equal width."""
        count = self.found.axes[axis].numbers.size
        if count > min(room, _FEW):
            return np.linspace(0, count - 1, room).round().astype(np.intp)
        return np.repeat(np.arange(count), room // count)

    def _written(self, one: Input, end: int) -> str:
        axis = self.found.axes[0 if one is self.asked.over else 1]
        return subject.read_off(float(axis.numbers[end]), one, self.asked.known, self.units)

    def _marks(self, drawn: Values) -> NDArray[np.str_]:
        """Return the letter of every case: its shade, or why it has no number or must not be set."""
        shades = np.array(list(self.look.glyphs.shades))
        place = np.searchsorted(self._edges(drawn)[1:-1], drawn, side="right")
        marks = shades[np.minimum(place, len(shades) - 1)]
        for state, words in subject.STATES_SWEPT.items():
            marks = np.where(np.isnan(drawn) & (self.found.state[0] == state), words.mark, marks)
        beyond = subject.beyond_estimate(self.asked.figure, self.found)[0]
        marks = np.where(beyond, NO_ESTIMATE, marks)
        return np.where(self.asked.above_label(self.found), "!", marks)

    def _stand(self, body: list[CellRow], across: NDArray[np.intp], up: NDArray[np.intp]) -> None:
        """Put the setup's marker at the job's present values, if these are on the map."""
        at = []
        for axis, places in zip(self.found.axes, (across, up), strict=True):
            here = subject.number_now(axis.input, self.asked.known)
            if not axis.numbers[0] <= here <= axis.numbers[-1]:
                return
            at.append(int(np.argmin(np.abs(axis.numbers[places] - here))))
        body[at[1]][at[0]] = (self.look.marker(self.setup), Role.SETUP + self.setup % len(self.look.lines))

    def _edges(self, drawn: Values) -> Values:
        """Return the limits of the shades as quantiles, so that a steep corner does not use up all shades."""
        return values(np.nanquantile(drawn, np.linspace(0.0, 1.0, len(self.look.glyphs.shades) + 1)))

    def _legend(self, drawn: Values, width: int) -> list[CellRow]:
        measure, shades = figure_named(self.asked.figure).measure, self.look.glyphs.shades
        texts = [self.units.plain(edge, measure) for edge in self._edges(drawn)]
        parts = [f"{shade} {texts[i]} to {texts[i + 1]}" for i, shade in enumerate(shades)]
        if texts[0] == texts[-1]:
            parts = [f"{shades[0]} {texts[0]} everywhere"]
        unit = self.units.unit(measure)
        marks = np.unique(self._marks(drawn))
        parts += [f"{mark} {words}" for mark, words in _MARK_WORDS.items() if mark in marks]
        parts.append(f"{self.look.marker(self.setup)} now")
        rows = [cells(f"{unit}: " if unit else "", Role.BASE)]
        for place, part in enumerate(parts):
            gap = "   " if place and rows[-1] else ""
            if rows[-1] and len(rows[-1]) + len(gap) + len(part) > width:
                rows.append([])
                gap = ""
            rows[-1] += cells(gap + part, Role.BASE)
        return rows


VIEW = View(lines, lines, keys=KEYS, scene=scene, numbers=numbers)
MAP_VIEW = View(map_lines, map_lines, task=task, keys=MAP_KEYS, numbers=map_numbers)
