"""A map: one figure of the selected setup over two inputs, as shaded cells with their ranges in numbers."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple, cast

import numpy as np
from numpy.typing import NDArray

from physics.arrays import Values, values
from physics.case import Air, Case, Fork
from physics.inputs import Input
from physics.sweep import IMPOSSIBLE, Axis, Swept, swept
from tui.bench.aside_sweep import NOTHING, read_off
from tui.bench.aside_text import Role, setup_name, told
from tui.bench.aside_work import Task, Told
from tui.bench.state import BenchState
from tui.bench.state_sweep import chosen_input, known_case
from tui.charts.cells import Cell, Row, cells
from tui.charts.look import ChartLook
from tui.jobs.sweep_words import as_read, figure_named, figure_text, input_text, why_not
from tui.shop_units import ShopUnits

POINTS = 60
"""Numbers along each side."""
_LEAST_ROOM = 12
_LOW, _HIGH, _WIDE_FROM = 9, 18, 60
"""Rows of the map in a narrow view and in a wide one."""
_MARKS = {"topped_out": "t", "bottomed_out": "b", "unsolved": "?", IMPOSSIBLE: "x"}
_MARK_WORDS = {
    "t": "tops out",
    "b": "on the stop",
    "?": "no answer",
    "x": "cannot be",
    "!": "above the label",
}
_HOW = (
    "Every shade covers as much of the map. Each cell is solved anew where the setup has something to solve. "
    "S on a field of the panels takes it along, M takes it upwards, v turns to the next figure."
)
_SUGGESTED = ("positive_volume", "preload", "sag")
"""What goes upwards while nobody has chosen."""


class _Asked(NamedTuple):
    """A map to draw: the case with the selected setup alone, both inputs, the figure."""

    case: Case
    known: Case
    over: Input
    against: Input
    figure: str


def task(state: BenchState) -> Task | None:
    """Return the work that the map of this state takes, None where there is nothing to draw."""
    asked = _asked(state)
    if asked is None or state.good is None:
        return None
    axes = [Axis(one, one.along(*one.reach(asked.known), POINTS)) for one in (asked.over, asked.against)]

    def work(told: Told) -> Swept:
        return swept(asked.case, axes, [asked.figure, "set_pressure"], told)

    key = (state.good.job, state.setup, asked.over.name, asked.against.name, asked.figure)
    return Task(key, work)


def _asked(state: BenchState) -> _Asked | None:
    known = known_case(state)
    if state.good is None or known is None:
        return None
    index = min(state.setup, len(state.good.case.setups) - 1)
    case = replace(state.good.case, setups=state.good.case.setups[index : index + 1])
    known = replace(known, setups=known.setups[:1])
    over = chosen_input(known, [state.sweep.over])
    against = chosen_input(known, (state.sweep.against, *_SUGGESTED), but=over.name)
    return _Asked(case, known, over, against, state.sweep.figure)


def lines(state: BenchState, width: int, look: ChartLook) -> list[Row]:
    """Return the view of the selected setup: the newest map there is, and how far the next one has come."""
    asked, wanted, worked = _asked(state), task(state), state.worked
    if asked is None or wanted is None or state.good is None:
        return told(NOTHING, width, look.glyphs)
    index = min(state.setup, len(state.good.case.setups) - 1)
    rows = [setup_name(state.good.answer.setups[index].name, index, look)]
    rows += told(_head(asked, state.units), width, look.glyphs, Role.STRONG)
    if worked.key != wanted.key:
        share = worked.share if worked.asked == wanted.key else 0.0
        rows += told(f"Working it out: {share:.0%}. Escape leaves it.", width, look.glyphs, Role.QUIET)
        return rows
    found = cast(Swept, worked.found)
    rows += _Sheet(asked, found, state.units, look, index).rows(width)
    for why in why_not(found):
        rows += told(why, width, look.glyphs, Role.CAUTION)
    return rows + [[], *told(_HOW, width, look.glyphs, Role.QUIET)]


def _head(asked: _Asked, units: ShopUnits) -> str:
    sides, fork = [], isinstance(asked.known.frame.leverage, Fork)
    for one, way in ((asked.over, "along"), (asked.against, "upwards")):
        now = read_off(_here(one, asked.known), one, asked.known, units)
        sides.append(f"{input_text(one.name, fork)} {way}, now {now}")
    return f"{figure_text(asked.figure, fork)}: {'; '.join(sides)}"


def _here(one: Input, known: Case) -> float:
    """Return the number of an input as the job stands, NaN where it has none."""
    number = one.read(known)
    return float(values(np.nan if number is None else number))


class _Sheet(NamedTuple):
    """A finished map and what it is drawn with."""

    asked: _Asked
    found: Swept
    units: ShopUnits
    look: ChartLook
    setup: int

    def rows(self, width: int) -> list[Row]:
        """Return map, axis and legend; a sentence where there is no number anywhere."""
        drawn = as_read(self.asked.figure, self.found)[0]
        texts = [self._written(self.asked.against, end) for end in (-1, 0)]
        left = max(map(len, texts)) + 1
        across, up = self._places(0, max(width - left, 1)), self._places(1, self._height(width))[::-1]
        if not np.isfinite(drawn).any():
            fork = isinstance(self.asked.known.frame.leverage, Fork)
            label = figure_named(self.asked.figure, fork).label
            none = f"{self.found.names[0]} has no {label} anywhere here."
            return told(none, width, self.look.glyphs)
        if across.size < _LEAST_ROOM:
            return told("Too narrow for a map.", width, self.look.glyphs)
        marks = self._marks(drawn)[np.ix_(across, up)].T
        body: list[Row] = [[_painted(mark) for mark in row] for row in marks]
        self._stand(body, across, up)
        for place, row in enumerate(body):
            text = texts[0] if place == 0 else texts[1] if place == len(body) - 1 else ""
            body[place] = cells(text.rjust(left - 1) + " ", Role.QUIET) + row
        first, last = (self._written(self.asked.over, end) for end in (0, -1))
        axis = first + last.rjust(max(across.size - len(first), len(last) + 1))
        return [*body, cells(" " * left + axis, Role.QUIET), *self._legend(drawn, width)]

    def _height(self, width: int) -> int:
        return _HIGH if width >= _WIDE_FROM else _LOW

    def _places(self, axis: int, room: int) -> NDArray[np.intp]:
        """Return which number of an axis each of `room` cells shows; a count has cells of one width."""
        count = self.found.axes[axis].numbers.size
        if count > room:
            return np.linspace(0, count - 1, room).round().astype(np.intp)
        return np.repeat(np.arange(count), room // count)

    def _written(self, one: Input, end: int) -> str:
        axis = self.found.axes[0 if one is self.asked.over else 1]
        return read_off(float(axis.numbers[end]), one, self.asked.known, self.units)

    def _marks(self, drawn: Values) -> NDArray[np.str_]:
        """Return the letter of every case: its shade, or why it has no number or should not be set."""
        shades = np.array(list(self.look.glyphs.shades))
        place = np.searchsorted(self._edges(drawn)[1:-1], drawn, side="right")
        marks = shades[np.minimum(place, len(shades) - 1)]
        for state, mark in _MARKS.items():
            marks = np.where(np.isnan(drawn) & (self.found.state[0] == state), mark, marks)
        marks = np.where(np.isnan(drawn) & (self.found.state[0] == "ok"), " ", marks)
        spring = self.asked.case.setups[0].spring
        limit = spring.max_pressure if isinstance(spring, Air) else None
        if limit is None:
            return marks
        # A label's limit is a gauge reading: it moves with the air around it.
        over = self.found.figures["set_pressure"][0] - self.found.outside
        return np.where(over > limit - self.asked.known.shop.pressure, "!", marks)

    def _stand(self, body: list[Row], across: NDArray[np.intp], up: NDArray[np.intp]) -> None:
        """Put the setup's marker where the job stands, if that is on the map."""
        at = []
        for axis, places in zip(self.found.axes, (across, up), strict=True):
            here = _here(axis.input, self.asked.known)
            if not axis.numbers[0] <= here <= axis.numbers[-1]:
                return
            at.append(int(np.argmin(np.abs(axis.numbers[places] - here))))
        body[at[1]][at[0]] = (self.look.marker(self.setup), Role.SETUP + self.setup % len(self.look.lines))

    def _edges(self, drawn: Values) -> Values:
        """Return the ends of the shades, each for as many cases: one steep corner hides nothing."""
        return values(np.nanquantile(drawn, np.linspace(0.0, 1.0, len(self.look.glyphs.shades) + 1)))

    def _legend(self, drawn: Values, width: int) -> list[Row]:
        measure, shades = figure_named(self.asked.figure).measure, self.look.glyphs.shades
        texts = [self.units.plain(edge, measure) for edge in self._edges(drawn)]
        parts = [f"{shade} {texts[i]} to {texts[i + 1]}" for i, shade in enumerate(shades)]
        if texts[0] == texts[-1]:
            parts = [f"{shades[0]} {texts[0]} all over"]
        unit = self.units.unit(measure)
        marks = np.unique(self._marks(drawn))
        parts += [f"{mark} {words}" for mark, words in _MARK_WORDS.items() if mark in marks]
        parts.append(f"{self.look.marker(self.setup)} now")
        return told(f"{unit + ': ' if unit else ''}{'   '.join(parts)}", width, self.look.glyphs)


def _painted(mark: str) -> Cell:
    return mark, Role.CAUTION if mark in _MARK_WORDS else Role.BASE
