"""Lines of a view that Enter puts into the job: the list, its cursor, and taking one."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache, partial

from tui.bench.edit import show_wheel
from tui.bench.state import LEVERAGE, MAP, SPACERS, SWEEP, BenchState, with_job
from tui.bench.views.cursor import place_takes
from tui.bench.views.here import seat_here
from tui.job.answer import JobAnswer, answer_job
from tui.job.wheels import WHEELS
from tui.kit.cells import CellRow, cells
from tui.kit.document import TAKES, Take
from tui.kit.dressing import Draw, told
from tui.kit.keymap import by
from tui.kit.look import ChartLook
from tui.kit.roles import Role
from tui.subjects import balance, conditions, leverage, ordering, wire

Takes = tuple[Take, ...]
Step = Callable[[BenchState], BenchState]
AS_TYPED = frozenset((LEVERAGE, "pairs"))
"""Views whose lines belong to the job as typed, answered or not."""


@lru_cache(maxsize=2)
def _with_spacers(answered: JobAnswer) -> JobAnswer:
    """Return an answer that includes the spacer tables; cached."""
    return answer_job(answered.job, spacers=True)


def order_here(state: BenchState) -> tuple[JobAnswer, int] | None:
    """Return the answer with spacer tables and the index of the selected setup."""
    if state.answer is None:
        return None
    answered = _with_spacers(state.answer)
    return answered, min(state.setup, len(answered.answer.setups) - 1)


def _order(state: BenchState) -> Takes:
    here = order_here(state)
    return () if here is None else ordering.order_takes(*here, state.units)


def _closing(state: BenchState) -> Takes:
    return leverage.closing_takes(state.job, state.units)


def setups_here(state: BenchState) -> tuple[int, int] | None:
    """Return the indices of the compared setups of rear and front, None without both wheels."""
    answers = [state.bike_answer.at(wheel) if state.bike_answer else None for wheel in WHEELS]
    places = [
        min(state.setup if state.wheel == wheel else state.other_setup, len(there.answer.setups) - 1)
        for wheel, there in zip(WHEELS, answers, strict=True)
        if there is not None
    ]
    return (places[0], places[1]) if len(places) == len(WHEELS) else None


def _balance(state: BenchState) -> Takes:
    places = setups_here(state)
    if state.bike_answer is None or places is None:
        return ()
    return balance.match_takes(state.bike_answer, *places, state.units)


def _conditions(state: BenchState) -> Takes:
    seat = seat_here(state)
    return () if seat is None else conditions.pump_takes(seat.there, seat.place, state.units)


def _wire(state: BenchState) -> Takes:
    seat = seat_here(state)
    return () if seat is None else wire.wire_takes(seat.there, seat.place)


def _spacers(state: BenchState) -> Takes:
    cell = spacer_chosen(state)
    return () if cell is None else (_grid(state)[cell[0]][cell[1]],)


def _grid(state: BenchState) -> tuple[Takes, ...]:
    """Return all spacer counts of the selected setup, none for a coil."""
    seat = seat_here(state)
    if seat is None or seat.answer.air is None:
        return ()
    return ordering.spacer_takes(seat.there, seat.place, state.units)


def spacer_chosen(state: BenchState) -> tuple[int, int] | None:
    """Return row and column of the spacer count under the cursor, initially those fitted."""
    seat, grid = seat_here(state), _grid(state)
    if seat is None or not grid:
        return None
    row, column = state.cell or ordering.spacers_fitted(seat.there, seat.place)
    return min(max(row, 0), len(grid) - 1), min(max(column, 0), len(grid[0]) - 1)


def move_spacers(state: BenchState, rows: int, columns: int) -> BenchState:
    """Move to another spacer count."""
    here, grid = spacer_chosen(state), _grid(state)
    if here is None:
        return state
    row, column = here[0] + rows, here[1] + columns
    return replace(state, cell=(min(max(row, 0), len(grid) - 1), min(max(column, 0), len(grid[0]) - 1)))


_ARROWS: Mapping[str, Step] = {
    "up": partial(move_spacers, rows=-1, columns=0),
    "down": partial(move_spacers, rows=1, columns=0),
    "left": partial(move_spacers, rows=0, columns=-1),
    "right": partial(move_spacers, rows=0, columns=1),
}


OFFERS: Mapping[str, Callable[[BenchState], Takes]] = {
    "order": _order,
    SPACERS: _spacers,
    LEVERAGE: _closing,
    "pairs": _closing,
    "balance": _balance,
    MAP: place_takes,
    SWEEP: place_takes,
    "conditions": _conditions,
    "wire": _wire,
}
"""Lines to take, by the id of the view."""


def takes_here(state: BenchState) -> Takes:
    """Return the lines to take in the view shown."""
    offer = OFFERS.get(state.view)
    return offer(state) if offer and not state.helps else ()


def place_here(state: BenchState, takes: Sequence[Take]) -> int:
    """Return the index of the line that Enter takes."""
    return min(state.taken, max(len(takes) - 1, 0))


def take_rows(state: BenchState, takes: Sequence[Take], width: int, look: ChartLook) -> list[CellRow]:
    """Return the lines to take as rows, the selected one marked."""
    rows: list[CellRow] = []
    before = ""
    for place, take in enumerate(takes):
        if take.head != before:
            rows += told(f"{take.head}:", width, look.glyphs, Role.STRONG)
            before = take.head
        here = place == place_here(state, takes)
        role = Role.CURSOR if here and state.in_view else Role.STRONG if here else Role.BASE
        mark = f"{look.glyphs.selected} " if here else "  "
        for row in told(take.text, width - 2, look.glyphs, role):
            rows.append(cells(mark, Role.STRONG) + row)
            mark = "  "
    return rows


def drawn_takes(state: BenchState, look: ChartLook) -> Mapping[str, Draw]:
    """Return what draws the lines to take at their place in a document."""
    return {TAKES: lambda width: take_rows(state, takes_here(state), width, look)}


def can_take(state: BenchState) -> bool:
    """Return whether there is a line to take now."""
    is_old = state.bike_answer is None or state.bike_answer.job != state.bike
    return bool(takes_here(state)) and (not is_old or state.view in AS_TYPED)


def take_selected(state: BenchState) -> BenchState:
    """Put the selected line into the job; undo removes it."""
    if not can_take(state):
        return replace(state, note="Nothing to use here.")
    takes = takes_here(state)
    take = takes[place_here(state, takes)]
    if not take.values:
        return replace(state, note=take.leaves or f"{take.told}: not set.")
    moved = ""
    if take.wheel not in (None, state.wheel):
        # Show the wheel that is changed.
        moved = f"Now at the {take.wheel}. "
        state = replace(show_wheel(state, take.wheel), in_view=True)
    job = take.into(state.job)
    if job == state.job:
        return replace(state, note=f"{moved}{take.told}: already on the bench.")
    after = replace(with_job(state, job), cell=None, note=f"{moved}{take.told}: on the bench; u undoes it.")
    # The job is now at this line, whose place among the others may have changed.
    lines = enumerate(takes_here(after))
    same = (place for place, line in lines if line.values[:1] == take.values[:1])
    return replace(after, taken=next(same, after.taken))


def move_take(state: BenchState, steps: int) -> BenchState:
    """Select another line to take."""
    takes = takes_here(state)
    return replace(state, taken=min(max(place_here(state, takes) + steps, 0), max(len(takes) - 1, 0)))


def take_keys(state: BenchState) -> Mapping[str, Step]:
    """Return the keys of the lines to take; past the first and the last line they scroll the view."""
    takes = takes_here(state)
    if state.view == SPACERS and takes:
        return {**_ARROWS, "enter": take_selected}
    place, keys = place_here(state, takes), dict[str, Step]()
    if place > 0:
        keys["up"] = by(move_take, -1)
    if place < len(takes) - 1:
        keys["down"] = by(move_take, 1)
    return {**keys, "enter": take_selected} if takes else {}
