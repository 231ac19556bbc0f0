"""The line that is always read first: what every setup came to, rate or pressure and its sag."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from tui.bench.dialogs_literal import literal
from tui.bench.screen_lines import Role
from tui.bench.state import BenchState
from tui.charts.cells import Row, cells
from tui.charts.look import ChartLook
from tui.shop_units import ABSENT, OVER, Measure, ShopUnits, gauge

if TYPE_CHECKING:
    from physics.answer import SetupAnswer

_STATES = {"topped_out": "tops out", "bottomed_out": "on the stop", "unsolved": "not found"}
_GAP = "  "


def result_line(state: BenchState, width: int, look: ChartLook) -> Row:
    """Return name, rate or pressure and sag of every setup; what does not fit goes, sags before names."""
    if state.good is None:
        return []
    answer = state.good.answer
    worths = [_worth(setup, state.units, float(answer.shop.pressure)) for setup in answer.setups]
    names = [f"{literal(setup.name, look.glyphs)} " for setup in answer.setups]
    sags = [
        f"{_at_rest(setup, state.units, float(answer.shop.pressure))}, {_sag(setup, state.units)}"
        for setup in answer.setups
    ]
    none = [""] * len(worths)
    row: Row = []
    for parts in ((names, sags), (names, none), (none, none)):
        row = _joined(look, worths, *parts)
        if len(row) <= width:
            break
    return row


def _joined(look: ChartLook, worths: Sequence[str], names: Sequence[str], sags: Sequence[str]) -> Row:
    row: Row = []
    for index, (name, worth, sag) in enumerate(zip(names, worths, sags, strict=True)):
        row += cells(f"{_GAP if index else ''} {look.marker(index)} {name}", Role.BASE)
        row += cells(worth, Role.WARNING if worth.startswith(OVER) else Role.STRONG) + cells(sag, Role.BASE)
    return row


def _worth(setup: SetupAnswer, units: ShopUnits, ambient: float) -> str:
    if setup.coil is not None:
        rate = units.show(float(setup.coil.rate), Measure.SPRING_RATE)
        return "in stages" if rate == ABSENT and setup.state != "unsolved" else rate
    if setup.air is not None:
        over = any(caution.code == "over_label" for caution in setup.cautions)
        pressure = units.show(gauge(float(setup.air.set_pressure), ambient), Measure.PRESSURE)
        return f"{OVER}{pressure}" if over else pressure
    return ABSENT


def _at_rest(setup: SetupAnswer, units: ShopUnits, ambient: float) -> str:
    """Return what the gauge reads where an air spring rests drawn in, if that is another number."""
    if setup.air is None or setup.state == "unsolved":
        return ""
    full, rest = (
        units.show(gauge(float(pressure), ambient), Measure.PRESSURE)
        for pressure in (setup.air.set_pressure, setup.air.rest_pressure)
    )
    return "" if rest in (full, ABSENT) else f", reads {rest} at rest"


def _sag(setup: SetupAnswer, units: ShopUnits) -> str:
    if setup.state in _STATES:
        return _STATES[setup.state]
    return f"sag {units.show(float(setup.sag.wheel_fraction), Measure.FRACTION)}"
