"""Both wheels: the selected setup of rear and front side by side, and what would make them agree."""

from __future__ import annotations

from tui.bench.edit import one_wheel_text
from tui.bench.state import BenchState
from tui.bench.views.here import NOTHING_YET
from tui.job.wheels import WHEELS
from tui.kit.cells import CellRow
from tui.kit.dressing import dressed, told
from tui.kit.look import ChartLook
from tui.subjects.balance import document


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the view of the two selected setups of the last good answer."""
    rear, front = (state.bike_answer.at(wheel) if state.bike_answer else None for wheel in WHEELS)
    if state.bike_answer is None or rear is None or front is None:
        return told(NOTHING_YET if rear is None else one_wheel_text(state), width, look.glyphs)
    at_rear, at_front = (
        min(state.setup if state.wheel == wheel else state.other_setup, len(there.answer.setups) - 1)
        for wheel, there in zip(WHEELS, (rear, front), strict=True)
    )
    return dressed(document(state.bike_answer, at_rear, at_front, state.units, look.glyphs), width, look)
