"""Set here, ride there: the selected setup in the cold and the warm, and up the mountain."""

from __future__ import annotations

from tui.bench.state import BenchState
from tui.bench.views.here import NOTHING_YET
from tui.kit.cells import CellRow
from tui.kit.dressing import dressed, told
from tui.kit.look import ChartLook
from tui.subjects.conditions import document


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the view for the selected setup of the last good answer."""
    if state.answer is None:
        return told(NOTHING_YET, width, look.glyphs)
    index = min(state.setup, len(state.answer.answer.setups) - 1)
    return dressed(document(state.answer, index, state.units), width, look)
