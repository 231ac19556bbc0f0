"""An answer as the rows of the table: one figure a row, a value per setup and its change to the first."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tui.bench.figures_words import (
    STATE_KEY,
    STATE_LABEL,
    STATES,
    Figure,
    figures_for,
    read_figure,
)
from tui.shop_units import ABSENT, OVER, ShopUnits

if TYPE_CHECKING:
    from physics.answer import Answer, SetupAnswer

SAME = "same"
"""Stands where two setups show the same figure."""


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row as text. A heading has only a label; `changes` is empty for the first setup."""

    key: str
    label: str
    unit: str = ""
    values: tuple[str, ...] = ()
    changes: tuple[str, ...] = ()

    @property
    def is_heading(self) -> bool:
        """Whether the row only names the part of the ride below it."""
        return not self.key


def figure_rows(answer: Answer, units: ShopUnits) -> tuple[TableRow, ...]:
    """Return the rows of the table, a heading above each part of the ride."""
    states = tuple(STATES[setup.state] for setup in answer.setups)
    rows = [TableRow(STATE_KEY, STATE_LABEL, "", states, ("",) * len(states))]
    part = None
    for figure in figures_for(answer.setups, answer.frame.fork):
        if figure.part is not part:
            part = figure.part
            rows.append(TableRow("", part.value))
        rows.append(_row(figure, answer, units))
    return tuple(rows)


def _row(figure: Figure, answer: Answer, units: ShopUnits) -> TableRow:
    numbers = [read_figure(figure, setup, answer) for setup in answer.setups]
    values = tuple(
        _marked(figure, setup, units.plain(number, figure.measure))
        for setup, number in zip(answer.setups, numbers, strict=True)
    )
    changes = ("", *(change(figure, units, numbers[0], other) for other in numbers[1:]))
    return TableRow(figure.key, figure.label, units.unit(figure.measure) or figure.per, values, changes)


def _marked(figure: Figure, setup: SetupAnswer, value: str) -> str:
    over = figure.key == "set_pressure" and any(found.code == "over_label" for found in setup.cautions)
    return f"{OVER}{value}" if over else value


def change(figure: Figure, units: ShopUnits, first: float, other: float) -> str:
    """Return the change from one setup's figure to another's, both as they are shown.

    A difference of the rounded numbers, so that it agrees with what a person subtracts; a quotient where
    the figure asks for one.
    """
    shown = units.plain(first, figure.measure), units.plain(other, figure.measure)
    if ABSENT in shown:
        return ABSENT
    if shown[0] == shown[1]:
        return SAME
    if figure.by_ratio:
        ratio = other / first if first else math.inf
        return f"x {ratio:.2f}" if math.isfinite(ratio) else ABSENT
    return f"{float(shown[1]) - float(shown[0]):+.{units.writings[figure.measure].digits}f}"
