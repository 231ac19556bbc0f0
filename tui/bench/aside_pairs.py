"""Measured on the stand: what to read next, how far each pair lies off the curve, and which one is odd."""

from __future__ import annotations

import numpy as np

from physics.arrays import Values, values
from physics.case import Measured
from physics.pairs import FEWEST, PairsCheck, checked, pair_cautions
from tui.bench.aside_text import Role, columns, heading, told
from tui.bench.fields_frame import LEVERAGE
from tui.bench.state import BenchState
from tui.bench.state_pairs import as_it_is_typed, is_length, measured, next_of
from tui.bench.state_pairs import columns as pair_columns
from tui.charts.cells import Row, cells
from tui.charts.look import ChartLook
from tui.jobs.job import Job
from tui.jobs.words import caution_text
from tui.shop_units import METRIC, Measure

_FIRST = (
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


def lines(state: BenchState, width: int, look: ChartLook) -> list[Row]:
    """Return the view of the job as it is typed, the pair that is open included."""
    job, glyphs = as_it_is_typed(state), look.glyphs
    pairs = _numbers(job)
    count = len(pairs.travel)
    rows = told(_STILL if count > _GUIDED else _FIRST, width, glyphs, Role.CAUTION)
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


def _table(pairs: Measured, found: PairsCheck, width: int, look: ChartLook) -> list[Row]:
    head = ["mm", "travel", "stroke", "off by", "ratio"]
    bars = _bars(found.ratio, look)
    body: list[list[str | Row]] = []
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
