"""Pumping, ordering and the setup sheet beside the fields."""

from __future__ import annotations

import datetime
from functools import lru_cache

from tui.bench.state import BenchState
from tui.bench.views.here import NOTHING_FIXED
from tui.job.answer import JobAnswer, answer_job
from tui.kit.cells import CellRow
from tui.kit.dressing import dressed, told
from tui.kit.look import ChartLook
from tui.subjects.advice import units_named

_COIL_SELECTED = "The selected setup is a coil: nothing to pump."


def pump_lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return how to pump the selected air setup of the last valid result."""
    from tui.subjects.pumping import document

    if state.answer is None:
        return told(NOTHING_FIXED, width, look.glyphs)
    answered, index = state.answer, min(state.setup, len(state.answer.answer.setups) - 1)
    if answered.answer.setups[index].air is None:
        return told(_COIL_SELECTED, width, look.glyphs)
    return dressed(document(answered.answer, index, state.units, answered.job.setups[index]), width, look)


def verdict_lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return how the setups of the last valid result ride, each against the baseline."""
    from tui.subjects.riding import document

    if state.answer is None:
        return told(NOTHING_FIXED, width, look.glyphs)
    return dressed(document(state.answer.answer.setups, state.units), width, look)


def order_lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return what to order for the selected setup of the last valid result: a spring or spacers."""
    from tui.subjects.ordering import document

    if state.answer is None:
        return told(NOTHING_FIXED, width, look.glyphs)
    answer = answer_job(state.answer.job, spacers=True).answer
    index = min(state.setup, len(answer.setups) - 1)
    return dressed(document(answer, index, state.units, state.answer.job.setups[index]), width, look)


@lru_cache(maxsize=4)
def _sheet_text(answered: JobAnswer, habit: str, today: datetime.date) -> str:
    from tui.settings import find_settings
    from tui.sheet.build import sheet_of
    from tui.sheet.forms import written

    return written(sheet_of(answered, find_settings().settings, today, units_named(habit)), "text")


def sheet_lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the setup sheet of the job on the bench, both wheels of it."""
    if state.bike_answer is None:
        return told(NOTHING_FIXED, width, look.glyphs)
    rows: list[CellRow] = []
    for line in _sheet_text(state.bike_answer, state.units.name, datetime.date.today()).splitlines():
        rows += told(line, width, look.glyphs) if line.strip() else [[]]
    return rows
