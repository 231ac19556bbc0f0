"""The line that is always read first: what every setup came to, rate or pressure and its sag."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.bench.dialogs_literal import literal
from tui.bench.screen_lines import Role
from tui.bench.state import BenchState
from tui.charts.cells import Row, cells
from tui.charts.look import ChartLook
from tui.shop_units import ABSENT, Measure, ShopUnits, gauge

if TYPE_CHECKING:
    from physics.answer import SetupAnswer

_STATES = {"topped_out": "tops out", "bottomed_out": "on the stop", "unsolved": "not found"}
_GAP = "   "


def result_line(state: BenchState, width: int, look: ChartLook) -> Row:
    """Return name, rate or pressure and sag of every setup; without the sag where it does not fit."""
    if state.good is None:
        return []
    answer = state.good.answer
    ambient = float(answer.shop.pressure)
    for with_sag in (True, False):
        row: Row = []
        for index, setup in enumerate(answer.setups):
            name = f" {look.marker(index)} {literal(setup.name, look.glyphs)} "
            row += cells(name, Role.BASE) + cells(_worth(setup, state.units, ambient), Role.STRONG)
            row += cells(f", {_sag(setup, state.units)}{_GAP}" if with_sag else _GAP, Role.BASE)
        if len(row) - len(_GAP) <= width:
            break
    return row


def _worth(setup: SetupAnswer, units: ShopUnits, ambient: float) -> str:
    if setup.coil is not None:
        rate = units.show(float(setup.coil.rate), Measure.SPRING_RATE)
        return "in stages" if rate == ABSENT and setup.state != "unsolved" else rate
    if setup.air is not None:
        return units.show(gauge(float(setup.air.set_pressure), ambient), Measure.PRESSURE)
    return ABSENT


def _sag(setup: SetupAnswer, units: ShopUnits) -> str:
    if setup.state in _STATES:
        return _STATES[setup.state]
    return f"sag {units.show(float(setup.sag.wheel_fraction), Measure.FRACTION)}"
