"""Measuring leverage on the stand: entering pairs of travel and stroke one after the other."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from physics.arrays import Values
from tui.bench.edit import commit, question
from tui.bench.state import BenchState, select_field, show_view, with_job
from tui.bench.views.here import View
from tui.bench.views.takes import take_rows, takes_here
from tui.job.fields import Choice, Pair
from tui.job.job import Job
from tui.job.panels import LEVERAGE
from tui.job.quantities import is_number
from tui.job.tree import Tree, TreePath
from tui.job.typed import pair_at, typed_into
from tui.job.wheels import wheel_job
from tui.kit.cells import CellRow, cells
from tui.kit.document import Document
from tui.kit.dressing import dressed
from tui.kit.edit import type_text
from tui.kit.look import ChartLook
from tui.kit.roles import Role
from tui.shop_units import Measure
from tui.subjects import leverage

PAIRS = "pairs"
_KIND: TreePath = (*LEVERAGE, "kind")
_FIRST_PAIR = Tree({"travel_mm": (0.0,), "stroke_mm": (0.0,)})
_BAR = 12
"""Maximum length of a leverage bar [cells]."""


def measuring(state: BenchState) -> BenchState:
    """Take the open pair and start the next one with its travel filled in; show the pairs."""
    state = show_view(state, PAIRS, focus=False)
    kind = state.row.kind
    pair = pair_at(as_it_is_typed(state), state.row.path, kind) if isinstance(kind, Pair) else ()
    if state.edit is not None and not all(map(is_number, pair)):
        return replace(state, note="A pair is two numbers, travel and stroke; Enter accepts it.")
    if state.edit is not None and state.edit.asked != state.edit.text:
        asked = question(state)
        if asked is not None:
            return asked
    state = commit(state)
    fresh = not leverage.has_pairs(state.job)
    state = _taking_pairs(state) if fresh else state
    travels, _ = leverage.pair_columns(state.job)
    here = select_field(state, (*LEVERAGE, "travel_mm", len(travels)))
    following = leverage.next_of(state.job)
    if following is None:
        if not leverage.are_within(state.job):
            return replace(here, note="A pair is beyond the frame: measure it again, or correct the frame.")
        return replace(here, note="Full travel is measured; a further pair needs both numbers.")
    note = "Leverage now from measured pairs; u undoes it." if fresh else ""
    return replace(type_text(here, f"{following:g} "), note=note)


def _taking_pairs(state: BenchState) -> BenchState:
    """Return the state with leverage by pairs: the previous pairs, else full extension alone."""
    there = select_field(state, _KIND)
    choice = there.row.kind
    if not isinstance(choice, Choice):
        return state
    option = next(index for index, way in enumerate(choice.options) if way.stored == leverage.MEASURED)
    past = (wheel_job(bike, state.wheel).get(LEVERAGE) for bike in reversed(state.history.past))
    measured = (way for way in past if isinstance(way, Tree) and way.get("kind") == leverage.MEASURED)
    return with_job(there, choice.select(there.job, _KIND, option, next(measured, _FIRST_PAIR)))


def as_it_is_typed(state: BenchState) -> Job:
    """Return the job including the pair being typed."""
    if state.edit is None or not isinstance(state.row.kind, Pair):
        return state.job
    return typed_into(state.job, state.row, state.edit.text, state.units)


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the view of the job including the pair being typed."""
    job = as_it_is_typed(state)
    pairs, found = leverage.measured_pairs(job)

    def drawn(width: int) -> list[CellRow]:
        rows = dressed(Document((leverage.pairs_table(job, pairs, found),)), width, look)
        if width - max(map(len, rows)) - 2 < _BAR:
            return rows
        bars = [f"  {bar}" for bar in _bars(found.ratio, look)]
        bars = [""] * (len(rows) - len(bars)) + bars  # units may stand below their heads
        return [row + cells(bar, Role.QUIET) for row, bar in zip(rows, bars, strict=True)]

    takes = takes_here(state)
    refused = [fault for fault in state.faults if fault.path[:1] == ("frame",)] if takes else []
    off = "" if refused else _off(state)
    open_frame = dressed(leverage.open_document(refused, takes, off), width, look) if takes else []
    if takes:
        open_frame += [*take_rows(state, takes, width, look), []]
    is_open = state.edit is not None and isinstance(state.row.kind, Pair)
    page = leverage.document(job, pairs, found, _ratio(state), is_open=is_open)
    measured = dressed(page, width, look, {PAIRS: drawn})
    if isinstance(state.row.kind, Pair) and not state.in_view:
        # While a pair is typed, show the pairs.
        return [*measured, [], *open_frame] if takes else measured
    return open_frame + measured


def _ratio(state: BenchState) -> str:
    """Return the leverage of the frame from full extension to full travel, empty without a valid answer."""
    if state.answer is None or state.is_outdated:
        return ""
    ratio = state.answer.answer.frame.ratio
    first, last = (state.units.plain(ratio[place], Measure.RATIO) for place in (0, -1))
    return f"{first} to {last} : 1"


def _off(state: BenchState) -> str:
    """Return by how much travel, stroke and leverage of the frame disagree, empty without a valid answer."""
    if state.answer is None or state.is_outdated:
        return ""
    return state.units.show(float(state.answer.answer.frame.closure_error), Measure.FRACTION)


def _bars(ratio: Values, look: ChartLook) -> list[str]:
    """Return a bar for each ratio, from one cell for the lowest to full length for the highest."""
    known = ratio[np.isfinite(ratio)]
    if not known.size:
        return [""] * len(ratio)
    span = float(np.ptp(known)) or 1.0
    shares = (ratio - known.min()) / span
    return [
        look.glyphs.thick * (1 + round(float(share) * (_BAR - 1))) if np.isfinite(share) else ""
        for share in shares
    ]


VIEW = View(lines, as_typed=True)
