"""Both ends: the selected setup of rear and front side by side, and what would make them agree."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from physics.balance import Balance, Change, WheelBalance, balance
from physics.case import Air, Coil
from tui.bench.edit import alone
from tui.bench.state import BenchState
from tui.job.answer import JobAnswer
from tui.job.wheels import WHEELS, Wheel, left_out, spoken
from tui.kit.cells import CellRow
from tui.kit.document import Role
from tui.kit.dressing import columns, heading, setup_name, told
from tui.kit.look import ChartLook
from tui.shop_units import Measure, ShopUnits, gauge
from tui.subjects.balance import (
    AGREES,
    BEYOND,
    CAUTIONS,
    NEAREST,
    PRACTICE,
    change_label,
    is_nearest,
    over_text,
)

_NOTHING_YET = "Nothing to say yet: put right what is marked in the panels."
_EXAMPLE = "The {} is still the invented example: no value of it is typed. F6 on it takes it off."
_WIDE = 46
"""Cells from which the last column of each table has room."""
_MEASURES: tuple[tuple[str, str, Measure], ...] = (
    ("sag", "sag_fraction", Measure.FRACTION),
    ("sag", "sag", Measure.TRAVEL),
    ("swings", "frequency", Measure.FREQUENCY),
    ("half x load", "support", Measure.RATIO),
    ("end x load", "bottom_ratio", Measure.RATIO),
)
_THEN = (
    ("sag_fraction", Measure.FRACTION),
    ("frequency", Measure.FREQUENCY),
    ("bottom_ratio", Measure.RATIO),
    ("support", Measure.RATIO),
)
"""What an end is after a change, the least wanted last."""


class _Seat(NamedTuple):
    """One end in the view: which it is, its answer, the setup looked at, and how it stands to the other."""

    wheel: Wheel
    there: JobAnswer
    setup: int
    found: WheelBalance

    @property
    def spring(self) -> Coil | Air:
        """The spring as the job asks for it."""
        return self.there.case.setups[self.setup].spring


def lines(state: BenchState, width: int, look: ChartLook) -> list[CellRow]:
    """Return the view of the two selected setups of the last good answer."""
    rear, front = (state.bike_answer.at(end) if state.bike_answer else None for end in WHEELS)
    if rear is None or front is None:
        return told(_NOTHING_YET if rear is None else alone(state), width, look.glyphs)
    at_rear, at_front = (
        min(state.setup if state.wheel == end else state.other_setup, len(there.answer.setups) - 1)
        for end, there in zip(WHEELS, (rear, front), strict=True)
    )
    out = left_out(state.bike_answer.job) if state.bike_answer else None
    doubt = _EXAMPLE.format(out) if out else ""
    found = _balance(rear, at_rear, front, at_front)
    seats = (_Seat("rear", rear, at_rear, found.rear), _Seat("front", front, at_front, found.front))
    rows = told(f"{look.glyphs.unconfirmed} {doubt}", width, look.glyphs, Role.CAUTION) if doubt else []
    rows += [_name(seat, look) for seat in seats] + _side_by_side(found, width, state.units)
    for seat in reversed(seats):
        rows += _advice(seat, width, look, state.units)
    return rows + [[], *told(PRACTICE, width, look.glyphs, Role.QUIET)]


@lru_cache(maxsize=4)
def _balance(rear: JobAnswer, at_rear: int, front: JobAnswer, at_front: int) -> Balance:
    """Return the balance of two setups; keys that only move about find it worked out."""
    return balance(rear.case, at_rear, front.case, at_front)


def _name(seat: _Seat, look: ChartLook) -> CellRow:
    return setup_name(f"{seat.wheel}: {seat.there.answer.setups[seat.setup].name}", seat.setup, look)


def _side_by_side(found: Balance, width: int, units: ShopUnits) -> list[CellRow]:
    head = ["", "rear", "front", "apart", "ratio"]
    table = [head, *(_figures(found, label, name, measure, units) for label, name, measure in _MEASURES)]
    return columns([row if width >= _WIDE else row[:-1] for row in table])


def _figures(found: Balance, label: str, name: str, measure: Measure, units: ShopUnits) -> list[str]:
    apart = getattr(found.apart, name)
    return [
        f"{label} {units.unit(measure)}".rstrip(),
        units.plain(getattr(found.rear.now, name), measure),
        units.plain(getattr(found.front.now, name), measure),
        f"{'+' if apart > 0 else ''}{units.plain(apart, measure)}",
        units.plain(getattr(found.ratio, name), Measure.RATIO),
    ]


def _advice(seat: _Seat, width: int, look: ChartLook, units: ShopUnits) -> list[CellRow]:
    """Return what to change at one end, each line with what the end is then."""
    spring, changes = seat.spring, seat.found.changes
    rows = heading(f"At the {seat.wheel}, to agree in" if changes else f"At the {seat.wheel}")
    if isinstance(spring, Coil) and spring.stage_rate is not None:
        return rows + told("A coil in stages has no one rate to set.", width, look.glyphs)
    if not changes:
        return rows + told(AGREES, width, look.glyphs)
    measure = Measure.PRESSURE if isinstance(spring, Air) else Measure.SPRING_RATE
    head: list[str | CellRow] = ["", units.unit(measure), "sag %", "Hz", "end", "half"]
    ranked = sorted(changes, key=is_nearest)
    table = [head, *(_change(seat, change, measure, units, look) for change in ranked)]
    shown = columns([row if width >= _WIDE else row[:-1] for row in table])
    nearest = sum(map(is_nearest, ranked))
    agreeing = len(shown) - nearest
    rows += shown[:agreeing]
    if nearest:
        rows += [*told(NEAREST, width, look.glyphs), *shown[agreeing:]]
    cautions = [CAUTIONS[measure.name.lower()]]
    if over := over_text(changes):
        cautions.insert(0, BEYOND.format(mark=look.glyphs.caution, over=over))
    fork = seat.there.answer.frame.fork
    told_of = (told(spoken(text, fork), width, look.glyphs, Role.CAUTION) for text in cautions)
    return rows + [row for lines in told_of for row in lines]


def _change(
    seat: _Seat, change: Change, measure: Measure, units: ShopUnits, look: ChartLook
) -> list[str | CellRow]:
    setting = float(change.setting)
    if measure is Measure.PRESSURE:
        setting = gauge(setting, float(seat.there.answer.shop.pressure))
    mark = look.glyphs.caution if change.over else ""
    then = (units.plain(getattr(change.then, name), of) for name, of in _THEN)
    return [change_label(change), mark + units.plain(setting, measure), *then]
