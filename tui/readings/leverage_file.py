"""A table of how a frame moves its shock: two of wheel travel, shock stroke and leverage ratio."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from tui.readings.column_numbers import Numbers, numbers_of
from tui.readings.columns import Column
from tui.readings.kinds import UnusableReadings
from tui.readings.leverage_rows import DIGITS, RANGES, Rows, refuse_late_start, rows_of
from tui.readings.questions import Told
from tui.readings.roles import LEVERAGE, RATIO, STROKE, TRAVEL
from tui.readings.table import RawTable

if TYPE_CHECKING:
    from physics.arrays import Values

_FEWEST = 2
_WORKED_OUT = 2
"""Decimals of a wheel travel [mm] that is worked out; rows closer together are one."""


@dataclass(frozen=True, slots=True)
class LeverageRead:
    """Leverage as a job has it, and what it was read from.

    `columns` are those of the job's `kind`; `wheel_travel` and `stroke` [mm] are where the table ends, the
    stroke None where it has none. `ratio` is the leverage at start and end, `rows` how many the file has.
    """

    name: str
    kind: Literal["table", "measured"]
    columns: Mapping[str, tuple[float, ...]]
    wheel_travel: float
    stroke: float | None
    ratio: tuple[float, float]
    found: tuple[Column, ...]
    rows: int

    @property
    def kept(self) -> int:
        """How many rows the job gets."""
        return len(self.columns["travel_mm"])


def leverage_in(table: RawTable, told: Told) -> LeverageRead:
    """Return the leverage in a table.

    Raises `Unclear` where something is to be asked first, `UnusableReadings` with every fault by its line.
    """
    numbers = numbers_of(table, LEVERAGE, told)
    return _table(table.name, numbers) if RATIO in numbers.of else _measured(table.name, numbers)


def _table(name: str, numbers: Numbers) -> LeverageRead:
    """Return ratios over wheel travel; those over shock stroke become that."""
    rows = rows_of(numbers, _FEWEST)
    over = TRAVEL if TRAVEL in rows.of else STROKE
    refuse_late_start(rows, over)
    travel, ratio = (rows.of[TRAVEL], rows.of[RATIO]) if over is TRAVEL else _over_travel(rows)
    return LeverageRead(
        name,
        "table",
        _thinned(travel_mm=travel, ratio=ratio),
        float(travel[-1]),
        float(rows.of[STROKE][-1]) if STROKE in rows.of else None,
        (float(ratio[0]), float(ratio[-1])),
        numbers.columns,
        len(rows.lines),
    )


def _over_travel(rows: Rows) -> tuple[Values, Values]:
    import numpy as np

    from physics.leverage import table_over_travel  # scipy comes with it

    found = table_over_travel(rows.of[STROKE] / 1e3, rows.of[RATIO])
    travel, kept = np.unique(np.round(found.travel * 1e3, _WORKED_OUT), return_index=True)
    if travel[-1] > RANGES[TRAVEL].high:
        most = f"{RANGES[TRAVEL].high:g} mm"
        raise UnusableReadings(f"the wheel travel comes to {travel[-1]:g} mm; up to {most} is accepted")
    return travel, np.round(found.ratio[kept], DIGITS)


def _measured(name: str, numbers: Numbers) -> LeverageRead:
    """Return pairs of travel and stroke, the ratios being those of the curve through them."""
    from physics.case import Measured
    from physics.pairs import FEWEST, fitted

    rows = rows_of(numbers, FEWEST)
    travel, stroke = rows.of[TRAVEL], rows.of[STROKE]
    curve = fitted(Measured(travel / 1e3, stroke / 1e3))
    slopes = None if curve is None else curve.slopes(travel / 1e3)[0]
    if slopes is None or (slopes <= 0).any():
        raise UnusableReadings(
            "the curve through these pairs of travel and stroke turns back; strokes that rise evenly "
            "are accepted"
        )
    return LeverageRead(
        name,
        "measured",
        _thinned(travel_mm=travel, stroke_mm=stroke),
        float(travel[-1]),
        float(stroke[-1]),
        (1 / float(slopes[0]), 1 / float(slopes[-1])),
        numbers.columns,
        len(rows.lines),
    )


def _thinned(**columns: Values) -> Mapping[str, tuple[float, ...]]:
    """Return columns with as many rows as a job may have, evenly spread, first and last among them."""
    import numpy as np

    count = len(columns["travel_mm"])
    kept = np.unique(np.linspace(0, count - 1, min(count, RANGES[TRAVEL].most)).round().astype(np.intp))
    return {key: tuple(map(float, column[kept])) for key, column in columns.items()}
