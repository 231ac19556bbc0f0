"""Measuring on the stand: from one pair of travel and stroke to the next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from physics.arrays import Values, values
from physics.case import Measured
from physics.pairs import FEWEST, PairsCheck, checked, pair_cautions
from tui.bench.edit import committed, typed
from tui.bench.state import BenchState, selected, with_job
from tui.job.cautions import caution_text
from tui.job.fields import Choice, Pair, in_si, is_number, pair_at, typed_into
from tui.job.job import Job
from tui.job.panels import LEVERAGE
from tui.job.tree import Raw, Tree, TreePath
from tui.job.wheels import wheel_job
from tui.kit.cells import CellRow, cells
from tui.kit.document import Role
from tui.kit.dressing import columns, heading, told
from tui.kit.look import ChartLook
from tui.shop_units import METRIC, Measure

PAIRS = "pairs"
_KIND: TreePath = (*LEVERAGE, "kind")
_MEASURED = "measured"
_COLUMNS: tuple[TreePath, ...] = ((*LEVERAGE, "travel_mm"), (*LEVERAGE, "stroke_mm"))
_LONGEST = 600.0
_FIRST_PAIR: dict[str, Raw] = {"travel_mm": (0.0,), "stroke_mm": (0.0,)}


def measuring(state: BenchState) -> BenchState:
    """Show the view of the pairs; asked again, take the pair that is open and start the next one.

    The travel of the next pair is typed already.
    """
    if state.view != PAIRS:
        return replace(state, view=PAIRS)
    if state.edit is not None and not all(map(is_number, _open_pair(state))):
        return replace(state, note="Type the stroke behind the travel first; then z takes the pair.")
    state = committed(state)
    fresh = not measured(state.job)
    state = _taking_pairs(state) if fresh else state
    travels, _ = pair_columns(state.job)
    here = selected(state, (*LEVERAGE, "travel_mm", len(travels)))
    following = next_of(state.job)
    if following is None:
        return replace(here, note="The pairs reach the end of the travel; one more takes both its numbers.")
    note = "Leverage comes from pairs now; u takes that back." if fresh else ""
    return replace(typed(here, f"{following:g} "), note=note)


def measured(job: Job) -> bool:
    """Return whether the leverage of a job comes from pairs."""
    return job.get(_KIND) == _MEASURED


def _taking_pairs(state: BenchState) -> BenchState:
    """Return the state with pairs for its leverage: those it had before, else full extension alone."""
    there = selected(state, _KIND)
    choice = there.row.kind
    if not isinstance(choice, Choice):
        return state
    option = next(index for index, way in enumerate(choice.options) if way.stored == _MEASURED)
    return with_job(there, choice.select(there.job, _KIND, option, _before(state)))


def _before(state: BenchState) -> Mapping[str, Raw]:
    for bike in reversed(state.history.past):
        leverage = wheel_job(bike, state.wheel).get(LEVERAGE)
        if isinstance(leverage, Tree) and leverage.get("kind") == _MEASURED:
            return leverage
    return _FIRST_PAIR


def _open_pair(state: BenchState) -> tuple[Raw | None, ...]:
    """Return the two numbers of the pair that is open, as far as they are typed."""
    kind = state.row.kind
    return pair_at(as_it_is_typed(state), state.row.path, kind) if isinstance(kind, Pair) else ()


def as_it_is_typed(state: BenchState) -> Job:
    """Return the job with the pair that is being typed already in it."""
    if state.edit is None or not isinstance(state.row.kind, Pair):
        return state.job
    return typed_into(state.job, state.row, state.edit.text, state.units)


def pair_columns(job: Job) -> tuple[tuple[Raw, ...], tuple[Raw, ...]]:
    """Return travels and strokes [mm] as they stand in a job, whatever stands there."""
    found = (job.get((*LEVERAGE, key)) if measured(job) else None for key in _FIRST_PAIR)
    travel, stroke = (column if isinstance(column, tuple) else () for column in found)
    return travel, stroke


def pairs_missing(state: BenchState) -> int:
    """Return how many pairs a list that is being entered still lacks, 0 where nothing or more is wrong."""
    if not measured(state.job) or not {fault.path for fault in state.faults} <= set(_COLUMNS):
        return 0
    from physics.pairs import FEWEST  # where there are faults it is loaded already

    travel, stroke = pair_columns(state.job)
    whole = len(travel) == len(stroke) and all(map(is_length, (*travel, *stroke)))
    return FEWEST - len(travel) if whole and 0 < len(travel) < FEWEST else 0


def is_length(raw: Raw) -> bool:
    """Return whether a raw value is a travel or a stroke [mm] that a pair may have."""
    return is_number(raw) and 0 <= raw <= _LONGEST


def next_of(job: Job) -> float | None:
    """Return the travel [mm] to read next, None at the end of the travel or where that is not known."""
    import numpy as np  # it is there by now, and the first frame did not wait for it

    from physics.pairs import next_travel

    whole = in_si(str(job.get(("frame", "wheel_travel")) or ""), Measure.TRAVEL)
    if whole is None or not whole > 0:
        return None
    travels = np.array([travel for travel in pair_columns(job)[0] if is_length(travel)], dtype=np.float64)
    following = next_travel(travels / 1000, whole)
    return None if following is None else round(following * 1000, 1)


_PAIRS_FIRST = (
    "Let the shock's air out, or wind the collar off and take the coil out. Clamp the bike so that it cannot "
    "drop, hold the wheel, keep fingers out of the pivots. A shock that stays short may hold trapped "
    "pressure: that is for a qualified technician. The maker's manual comes first."
)
_STILL = "Spring out, bike clamped, fingers clear of the pivots."
_NOT_YET = (
    "The leverage does not come from pairs now. With the wheel at full extension, the shock at full length, "
    "z starts them; u takes that back."
)
_FORK = (
    "A fork moves along its own axis: its leverage follows from the head angle, and no pairs are needed. For "
    "one with links, z starts them at full extension; u takes that back."
)
_HOW = (
    "Raise the axle straight up, {travel} mm from full extension, and hold it. Read how far the shock has "
    "shortened there. z opens the pair: type that stroke, then Enter."
)
_AGAIN = "Axle up to {travel} mm, hold, read the shock. z opens the pair: stroke, Enter."
_END = "The pairs reach the end of the travel. Read again what is marked; more pairs make a slip clearer."
_GUIDED = 2
"""Pairs from which on a hand knows how it goes: the table comes up, the words become few."""
_UNITS = METRIC
"""Pairs are typed and kept in millimetres, whatever the habit of the shop."""
_BAR = 12
"""Most cells of a bar of the leverage."""


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the view of the job as it is typed, the pair that is open included."""
    job, glyphs = as_it_is_typed(state), look.glyphs
    pairs = _numbers(job)
    count = len(pairs.travel)
    rows = told(_STILL if count > _GUIDED else _PAIRS_FIRST, width, glyphs, Role.CAUTION)
    rows += heading("Next") + told(_next(job, count), width, glyphs)
    if count == 0:
        return rows
    found = checked(pairs)
    rows += heading("Pairs") + _table(pairs, found, width, look)
    for caution in pair_cautions(pairs, found):
        rows += [[], *told(caution_text(caution, _UNITS, 0.0), width, glyphs, Role.CAUTION)]
    return rows + [[], *told(_fit(found, count), width, glyphs)]


def _next(job: Job, count: int) -> str:
    if not measured(job):
        return _FORK if job.get((*LEVERAGE, "kind")) == "fork" else _NOT_YET
    travel = next_of(job)
    if travel is None:
        return _END
    return (_AGAIN if count > _GUIDED else _HOW).format(travel=f"{travel:g}")


def _numbers(job: Job) -> Measured:
    """Return the pairs of which both are lengths."""
    both = [pair for pair in zip(*pair_columns(job), strict=False) if all(map(is_length, pair))]
    travel, stroke = (values([pair[place] for pair in both]) / 1000 for place in (0, 1))
    return Measured(travel, stroke)


def _table(pairs: Measured, found: PairsCheck, width: int, look: ChartLook) -> list[CellRow]:
    head = ["mm", "travel", "stroke", "off by", "ratio"]
    bars = _bars(found.ratio, look)
    body: list[list[str | CellRow]] = []
    for index in range(len(pairs.travel)):
        odd = index == found.odd
        texts = [
            _UNITS.plain(pairs.travel[index], Measure.TRAVEL),
            _UNITS.plain(pairs.stroke[index], Measure.TRAVEL),
            _UNITS.plain(found.residual[index], Measure.MISFIT),
            _UNITS.plain(found.ratio[index], Measure.RATIO),
        ]
        role = Role.CAUTION if odd else Role.BASE
        mark = f"{look.glyphs.caution if odd else ' '} {index + 1}"
        body.append([cells(text, role) for text in (mark, *texts)])
    rows = columns([head, *body])
    room = width - max(map(len, rows)) - 2
    if room < _BAR:
        return rows
    return [rows[0], *(row + cells(f"  {bar}", Role.QUIET) for row, bar in zip(rows[1:], bars, strict=True))]


def _bars(ratio: Values, look: ChartLook) -> list[str]:
    """Return a bar for each ratio, from the lowest one with a cell to the highest with all of them."""
    known = ratio[np.isfinite(ratio)]
    if not known.size:
        return [""] * len(ratio)
    span = float(np.ptp(known)) or 1.0
    shares = (ratio - known.min()) / span
    return [
        look.glyphs.thick * (1 + round(float(share) * (_BAR - 1))) if np.isfinite(share) else ""
        for share in shares
    ]


def _fit(found: PairsCheck, count: int) -> str:
    if np.isnan(found.rms):
        return f"{count} of at least {FEWEST} pairs that a curve takes; six or more smooth out the reading."
    off = _UNITS.show(float(found.deviation), Measure.MISFIT)
    scatter = (
        "There are no more pairs than the curve takes, which says nothing of their scatter"
        if np.isnan(found.deviation)
        else f"The pairs scatter about the curve by {off} (standard deviation)"
    )
    more = "" if count >= 6 else " Six pairs or more smooth out the reading."
    return f"{scatter}; the bars are the leverage, lowest to highest.{more}"
