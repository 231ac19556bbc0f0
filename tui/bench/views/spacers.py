"""The spacer table: every count on both sides of an air spring, set for the sag wanted."""

from __future__ import annotations

from physics.case import Air
from tui.bench.state import BenchState
from tui.bench.views.here import NOTHING_YET
from tui.kit.cells import CellRow
from tui.kit.dressing import dressed, told
from tui.kit.look import ChartLook
from tui.subjects.ordering import spacer_document

_COIL = "A coil takes no volume spacers: add an air setup (a)."
_COIL_SELECTED = "The selected setup is a coil, which takes no volume spacers: go to an air setup."


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the view of the selected air setup of the last good answer."""
    if state.answer is None:
        return told(NOTHING_YET, width, look.glyphs)
    airs = [place for place, one in enumerate(state.answer.case.setups) if isinstance(one.spring, Air)]
    if state.setup not in airs:
        return told(_COIL_SELECTED if airs else _COIL, width, look.glyphs)
    return dressed(spacer_document(state.answer, state.setup, state.units), width, look)
