"""Views of pumping, ordering and the setup sheet."""

from __future__ import annotations

import datetime
from functools import lru_cache
from typing import TYPE_CHECKING

from tui.bench.state import BenchState
from tui.bench.views.here import NOTHING_YET, View
from tui.bench.views.takes import order_here, take_rows, takes_here
from tui.job.answer import JobAnswer
from tui.kit.cells import CellRow, cells
from tui.kit.dressing import dressed, told
from tui.kit.look import ChartLook
from tui.kit.roles import Role
from tui.shop_units import ShopUnits
from tui.subjects.leverage import open_document
from tui.subjects.ordering import document

if TYPE_CHECKING:
    from tui.bench.views.logged import Read
    from tui.kit.work import Task
    from tui.sheet.model import Sheet

_READY = "Every value on the sheet is typed or confirmed. Space, then p, saves the sheet."
_COIL_SELECTED = "A coil is not pumped: select an air setup, or ] shows what to order."


def pump_lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return how to pump the selected air setup of the last valid result."""
    from tui.subjects.pumping import document

    if state.answer is None:
        return told(NOTHING_YET, width, look.glyphs)
    answered, index = state.answer, min(state.setup, len(state.answer.answer.setups) - 1)
    if answered.answer.setups[index].air is None:
        return told(_COIL_SELECTED, width, look.glyphs)
    return dressed(document(answered.answer, index, state.units, answered.job.setups[index]), width, look)


def verdict_lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return how the setups of the last valid result ride compared to the baseline."""
    from tui.subjects.riding import document

    if state.answer is None:
        return told(NOTHING_YET, width, look.glyphs)
    return dressed(document(state.answer, state.units), width, look)


def order_lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return what to order for the selected setup: lines to take first, then the reasons."""
    here = order_here(state)
    if here is None:
        return told(NOTHING_YET, width, look.glyphs)
    rows = take_rows(state, takes_here(state), width, look)
    gap: list[CellRow] = [[]] if rows else []
    return [*rows, *gap, *dressed(document(*here, state.units), width, look)]


def leverage_lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return why the frame has no leverage curve, and the values that would fix it."""
    takes = takes_here(state)
    said = open_document([fault for fault in state.faults if fault.path[:1] == ("frame",)], takes)
    return [*dressed(said, width, look), *take_rows(state, takes, width, look)]


@lru_cache(maxsize=4)
def _sheet(answered: JobAnswer, units: ShopUnits, today: datetime.date, log: Read | None) -> Sheet:
    from tui.settings import CURRENT, Settings
    from tui.sheet.build import sheet_of

    ride = None if log is None else log.rides[0]
    found = CURRENT.get()
    settings = Settings() if found is None else found.settings
    return sheet_of(answered, settings, today, units, ride=ride)


_WIDEST_SHEET = 100
"""Maximum width of the sheet [columns]: longer lines are hard to read."""


def sheet_of_bench(state: BenchState) -> Sheet:
    """Return the setup sheet of the last valid result, with the logged ride if wanted and available."""
    assert state.bike_answer is not None
    log = None
    if state.log.on_sheet:
        from tui.bench.views.logged import for_sheet  # a sheet without a log needs nothing of it

        log = for_sheet(state)
    return _sheet(state.bike_answer, state.units, datetime.date.today(), log)


def sheet_waits(state: BenchState) -> str:
    """Return why the logged ride wanted on the sheet is missing, empty if nothing is missing."""
    if not state.log.on_sheet:
        return ""
    from tui.bench.views.logged import not_on_sheet

    return not_on_sheet(state)


def sheet_task(state: BenchState) -> Task | None:
    """Return the task for the logged ride on the sheet, None without one."""
    if not state.log.on_sheet:
        return None
    from tui.bench.views import logged

    return logged.sheet_task(state)


def sheet_lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the setup sheet of the job on the bench, for both wheels.

    Whether it can go out is shown above, and why the logged ride wanted on it is missing.
    """
    from tui.sheet.text import with_roles
    from tui.subjects.unverified import counted, unverified

    if state.bike_answer is None:
        return told(NOTHING_YET, width, look.glyphs)
    count = len(unverified(state.bike_answer.job, state.units))
    first = (counted(count), Role.CAUTION) if count else (_READY, Role.STRONG)
    above = told(first[0], width, look.glyphs, first[1])
    if why := sheet_waits(state):
        above += told(f"Logged ride not on the sheet: {why}.", width, look.glyphs, Role.CAUTION)
    lines = with_roles(sheet_of_bench(state), min(width, _WIDEST_SHEET), look.glyphs)
    return [*above, [], *(cells(line, role) for line, role in lines)]


LEVERAGE_VIEW = View(leverage_lines, as_typed=True)
PUMP_VIEW = View(pump_lines)
ORDER_VIEW = View(order_lines)
VERDICT_VIEW = View(verdict_lines)
SHEET_VIEW = View(sheet_lines, task=sheet_task, acts=lambda _state: {"enter": "sheet_save"})
