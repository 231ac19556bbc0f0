"""Pumping, ordering and the setup sheet beside the fields."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

from physics.answer import Answer
from tui.bench.state import LEVERAGE, BenchState, with_job
from tui.bench.views.here import NOTHING_YET
from tui.job.answer import JobAnswer, answer_job
from tui.job.tree import Raw
from tui.kit.cells import CellRow, cells
from tui.kit.document import Take
from tui.kit.dressing import dressed, told
from tui.kit.keymap import by
from tui.kit.look import ChartLook
from tui.kit.roles import Role
from tui.shop_units import ShopUnits
from tui.subjects.leverage import closing_takes, open_document
from tui.subjects.ordering import document, order_takes

if TYPE_CHECKING:
    from tui.sheet.model import Sheet

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
    """Return how the setups of the last valid result ride, each against the baseline."""
    from tui.subjects.riding import document

    if state.answer is None:
        return told(NOTHING_YET, width, look.glyphs)
    return dressed(document(state.answer.answer.setups, state.units), width, look)


@lru_cache(maxsize=2)
def _with_spacers(answered: JobAnswer) -> Answer:
    """Return an answer with what each count of spacers does, worked out once however often it is drawn."""
    return answer_job(answered.job, spacers=True).answer


def _order_here(state: BenchState) -> tuple[Answer, int, Mapping[str, Raw]] | None:
    """Return the answer with counts of spacers, the place of the selected setup and what is typed for it."""
    if state.answer is None:
        return None
    answer = _with_spacers(state.answer)
    index = min(state.setup, len(answer.setups) - 1)
    return answer, index, state.answer.job.setups[index]


def takes_here(state: BenchState) -> tuple[Take, ...]:
    """Return what can be taken: for the selected setup of the last valid result, or for the leverage."""
    if state.view == LEVERAGE:
        return closing_takes(state.job, state.units)
    here = _order_here(state)
    return () if here is None else order_takes(here[0], here[1], state.units, here[2])


def order_lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return what to order for the selected setup: what can be taken first, then why."""
    here = _order_here(state)
    if here is None:
        return told(NOTHING_YET, width, look.glyphs)
    answer, index, typed = here
    rows = _take_rows(state, takes_here(state), width, look)
    return rows + dressed(document(answer, index, state.units, typed), width, look)


def leverage_lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return why the frame has no leverage curve, and what would close it."""
    takes = takes_here(state)
    said = open_document([fault for fault in state.faults if fault.path[:1] == ("frame",)], takes)
    return [*dressed(said, width, look), *_take_rows(state, takes, width, look)]


def _take_rows(state: BenchState, takes: Sequence[Take], width: int, look: ChartLook) -> list[CellRow]:
    rows: list[CellRow] = []
    for place, take in enumerate(takes):
        here = place == min(state.taken, len(takes) - 1)
        role = Role.CURSOR if here and state.in_view else Role.STRONG if here else Role.BASE
        mark = f"{look.glyphs.selected} " if here else "  "
        hung = [mark, *["  "] * width]
        texts = told(take.text, width - len(mark), look.glyphs, role)
        rows += [cells(lead, Role.STRONG) + row for lead, row in zip(hung, texts, strict=False)]
    return [*rows, []] if rows else []


def has_take(state: BenchState) -> bool:
    """Return whether there is a line that can be taken now."""
    return bool(takes_here(state)) and (not state.is_outdated or state.view == LEVERAGE)


def take_selected(state: BenchState) -> BenchState:
    """Type what is selected into the job; undo removes it."""
    takes = takes_here(state)
    if not has_take(state):
        return replace(state, note="Nothing to take here.")
    take = takes[min(state.taken, len(takes) - 1)]
    after = with_job(state, take.into(state.job))
    return replace(after, note=f"{take.text.partition(':')[0]}: on the bench; u undoes it.")


def move_take(state: BenchState, steps: int) -> BenchState:
    """Select another line that can be taken."""
    last = max(len(takes_here(state)) - 1, 0)
    return replace(state, taken=min(max(min(state.taken, last) + steps, 0), last))


TAKE_KEYS: Mapping[str, Callable[[BenchState], BenchState]] = {
    "up": by(move_take, -1),
    "down": by(move_take, 1),
    "enter": take_selected,
}
"""What keys do in a view with lines that can be taken."""


@lru_cache(maxsize=4)
def _sheet(answered: JobAnswer, units: ShopUnits, today: datetime.date) -> Sheet:
    from tui.settings import find_settings
    from tui.sheet.build import sheet_of

    return sheet_of(answered, find_settings().settings, today, units)


_WIDEST_SHEET = 100
"""Columns of the sheet at most: longer lines are hard to read."""


def sheet_lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the setup sheet of the job on the bench, both wheels of it."""
    from tui.sheet.text import with_roles

    if state.bike_answer is None:
        return told(NOTHING_YET, width, look.glyphs)
    sheet = _sheet(state.bike_answer, state.units, datetime.date.today())
    return [cells(line, role) for line, role in with_roles(sheet, min(width, _WIDEST_SHEET), look.glyphs)]
