"""The rows of a leverage table as a job may have them: in mm, rising, within range; faults by their line."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, cast

from tui.jobs.schema import LEVERAGE as KEYS
from tui.jobs.schema import Column as Range
from tui.readings.column_numbers import Numbers
from tui.readings.kinds import UnusableReadings, unusable
from tui.readings.roles import RATIO, STROKE, TRAVEL, Role

if TYPE_CHECKING:
    import numpy as np

    from physics.arrays import Values

DIGITS = 4
"""Decimals kept of a length [mm] and of a ratio: finer than anything that is measured."""
_AT_ZERO = 0.005
"""A first row this close to full extension [mm] is there."""
_UPSIDE_DOWN = 0.6
"""Ratios that stay below this are stroke over travel: no frame, and no fork, has so little."""
RANGES: Mapping[Role, Range] = {
    TRAVEL: cast(Range, KEYS["table"]["travel_mm"]),
    STROKE: cast(Range, KEYS["measured"]["stroke_mm"]),
    RATIO: cast(Range, KEYS["table"]["ratio"]),
}
"""What a job takes."""


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """Columns (rows,) by role, lengths [mm], from full extension on, and the line each row stands in."""

    of: Mapping[Role, Values]
    lines: np.typing.NDArray[np.intp]


def rows_of(numbers: Numbers, fewest: int) -> Rows:
    """Return sound rows; raises `UnusableReadings` with every fault by its line."""
    import numpy as np

    if len(numbers.lines) < fewest:
        raise UnusableReadings(f"{len(numbers.lines)} rows; at least {fewest} are accepted")
    lengths = [role for role in numbers.of if role is not RATIO]
    # From the end of the travel back is as good an order as any.
    way = -1 if all(numbers.of[role][0] > numbers.of[role][-1] for role in lengths) else 1
    of = {
        role: np.round(column[::way] * (1.0 if role is RATIO else 1e3), DIGITS)
        for role, column in numbers.of.items()
    }
    for role in lengths:
        if abs(of[role][0]) <= _AT_ZERO:
            of[role][0] = 0.0
    rows = Rows(of, np.array(numbers.lines, dtype=np.intp)[::way])
    faults = sorted({fault for role in of for fault in _faults(rows, role)})
    if faults:
        raise unusable([f"line {line}: {what}" for line, what in faults])
    _refuse_upside_down(of)
    return rows


def refuse_late_start(rows: Rows, role: Role) -> None:
    """Raise `UnusableReadings` where rows begin after full extension: what is before them is not known."""
    first = float(rows.of[role][0])
    if first > 0:
        raise UnusableReadings(
            f"line {rows.lines[0]}: {role.name} begins at {first:g} mm; rows from full extension on, 0 mm, "
            "are accepted"
        )


def _faults(rows: Rows, role: Role) -> Iterable[tuple[int, str]]:
    """Return what is wrong with a column, each with its line."""
    import numpy as np

    column, span, unit = rows.of[role], RANGES[role], "" if role is RATIO else " mm"
    for row in np.flatnonzero((column < span.low) | (column > span.high)):
        accepted = f"{span.low:g} to {span.high:g}{unit} is accepted"
        yield int(rows.lines[row]), f"{role.name} {column[row]:g}{unit}; {accepted}"
    if role is RATIO:
        return
    for row in np.flatnonzero(np.diff(column) <= 0) + 1:
        before = f"is not above the {column[row - 1]:g}{unit} before it"
        yield int(rows.lines[row]), f"{role.name} {column[row]:g}{unit} {before}; rows that rise are accepted"


def _refuse_upside_down(of: Mapping[Role, Values]) -> None:
    most = float(of[RATIO].max()) if RATIO in of else _UPSIDE_DOWN
    if most < _UPSIDE_DOWN:
        raise UnusableReadings(
            f"no ratio is above {most:g}: that is stroke over travel; wheel travel over shock stroke "
            "is accepted"
        )
