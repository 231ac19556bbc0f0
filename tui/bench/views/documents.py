"""Views that only show a document of a subject, without drawings."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from tui.bench.edit import one_wheel_text
from tui.bench.state import BenchState, next_setup
from tui.bench.views.here import NOTHING_YET, View, seat_here
from tui.bench.views.takes import drawn_takes, setups_here, spacer_chosen
from tui.job.answer import JobAnswer
from tui.job.wheels import has_front
from tui.kit.cells import CellRow
from tui.kit.document import Document, Paragraph
from tui.kit.dressing import dressed, told
from tui.kit.keymap import by
from tui.kit.look import ChartLook
from tui.shop_units import ShopUnits
from tui.subjects import balance, conditions, ordering, wire

_OfSetup = Callable[[JobAnswer, int, ShopUnits], Document]
_NO_COIL = "No coil in this job: Space, then c, adds one."
_NO_COIL_HERE = "No coil at this wheel: Space, then c, adds one; Space, then e, shows the other wheel."
_AIR_SELECTED = "The selected setup is an air spring, which has no wire: select a coil."
_NO_AIR = "A coil takes no volume spacers: Space, then a, adds an air spring."
_COIL_SELECTED = "The selected setup is a coil, which takes no volume spacers: select an air setup."


def balance_lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the comparison of both wheels with their selected setups, and changes that match them."""
    places = setups_here(state)
    if state.bike_answer is None or places is None:
        return told(NOTHING_YET if state.bike_answer is None else one_wheel_text(state), width, look.glyphs)
    told_of = balance.document(state.bike_answer, *places, state.units, look.glyphs)
    return dressed(told_of, width, look, drawn_takes(state, look))


SETUP_KEYS = {"left": by(next_setup, -1), "right": by(next_setup, 1)}
"""What keys do in a view of the selected setup on a step without tabs."""


def conditions_lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the selected setup in cold, heat and at altitude."""
    seat = seat_here(state)
    if seat is None:
        return told(NOTHING_YET, width, look.glyphs)
    told_of = conditions.document(seat.there, seat.place, state.units)
    return dressed(told_of, width, look, drawn_takes(state, look))


def wire_lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the selected coil as wire, and the wire to order for it."""
    none = _NO_COIL_HERE if has_front(state.bike) else _NO_COIL
    told_of = _of_kind(state, "coil", none, _AIR_SELECTED, wire.document)
    return dressed(told_of, width, look, drawn_takes(state, look))


def spacer_lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return all spacer counts of the selected air spring, each with the pressure for the target sag."""
    chosen = spacer_chosen(state) if state.in_view else None
    told_of = _of_kind(
        state, "air", _NO_AIR, _COIL_SELECTED, partial(ordering.spacer_document, chosen=chosen)
    )
    return dressed(told_of, width, look, drawn_takes(state, look))


def _of_kind(state: BenchState, kind: str, none: str, other: str, document: _OfSetup) -> Document:
    """Return a document of the selected setup, or a message if it is of another kind (`other`, `none`)."""
    if state.answer is None:
        return Document((Paragraph(NOTHING_YET),))
    kinds = [setup.kind for setup in state.answer.answer.setups]
    if kinds[state.setup : state.setup + 1] != [kind]:
        return Document((Paragraph(other if kind in kinds else none),))
    return document(state.answer, state.setup, state.units)


BALANCE_VIEW = View(balance_lines)
CONDITIONS_VIEW = View(conditions_lines, keys=SETUP_KEYS)
WIRE_VIEW = View(wire_lines)
SPACERS_VIEW = View(spacer_lines)
