"""The selected coil as wire, and the wire to order for it."""

from __future__ import annotations

from tui.bench.state import BenchState
from tui.bench.views.here import NOTHING_YET
from tui.job.wheels import has_front
from tui.kit.cells import CellRow
from tui.kit.dressing import dressed, told
from tui.kit.look import ChartLook
from tui.subjects.wire import document

_NO_COIL = "No coil in this job: c adds one."
_NO_COIL_HERE = "No coil at this end of the bike: c adds one, e goes to the other end."
_AIR_SELECTED = "The selected setup is an air spring, which has no wire: go to a coil."


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the view for the selected coil of the last good answer."""
    if state.answer is None:
        return told(NOTHING_YET, width, look.glyphs)
    coils = [index for index, setup in enumerate(state.answer.answer.setups) if setup.coil is not None]
    if not coils:
        return told(_NO_COIL_HERE if has_front(state.bike) else _NO_COIL, width, look.glyphs)
    if state.setup not in coils:
        return told(_AIR_SELECTED, width, look.glyphs)
    return dressed(document(state.answer, state.setup, state.units), width, look)
