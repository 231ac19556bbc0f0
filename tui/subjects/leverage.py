"""The rows of a leverage table as a job may have them: in mm, rising, within range; faults by their line."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal, cast

from physics.units import Dimension, UnitFault, parse
from tui.job.job import Job
from tui.job.schema import LEVERAGE as KEYS
from tui.job.schema import Column as Range
from tui.job.tree import Raw
from tui.subjects.asked import Unanswered
from tui.tables.columns import Column, Numbers, numbers_of
from tui.tables.heads import LEVERAGE, RATIO, STROKE, TRAVEL, Role
from tui.tables.questions import Told, lines_of, told_in
from tui.tables.source import UnusableReadings, text_of_file, unusable
from tui.tables.table import RawTable, table_of

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


_SAME = 1e-9
"""Lengths [m] that differ by less are one."""


def understood(read: LeverageRead) -> str:
    """Return what was found in a file, in one line."""
    columns = ", ".join(
        f"{column.role.name}{f' [{column.unit}]' if column.unit else ''} in column {column.place + 1}"
        for column in read.found
    )
    start, end = read.ratio
    stroke = "" if read.stroke is None else f", {read.stroke:g} mm of stroke"
    return (
        f"{columns[:1].upper()}{columns[1:]}: "
        f"{read.rows} rows to {read.wheel_travel:g} mm of wheel travel{stroke}, "
        f"ratio {start:.2f} to {end:.2f} : 1"
    )


def kept_words(read: LeverageRead) -> str:
    """Say how the rows of a job differ from those of the file, empty where they do not."""
    if {column.role for column in read.found} == {STROKE, RATIO}:
        more = f", with {read.kept - read.rows} rows added between them" if read.kept > read.rows else ""
        return f"Wheel travel follows from the ratios over the stroke{more}"
    if read.kept < read.rows:
        return f"{read.kept} of the rows are kept, evenly spread: a job takes no more"
    return ""


def frame_of(read: LeverageRead) -> dict[str, Raw]:
    """Return the keys of a frame that the table tells."""
    sizes = {"wheel_travel": read.wheel_travel, "stroke": read.stroke}
    known = {key: f"{size:.10g} mm" for key, size in sizes.items() if size is not None}
    return {**known, "leverage": {"kind": read.kind, **read.columns}}


def changes(job: Job, read: LeverageRead) -> Mapping[str, str]:
    """Return what the table makes of the frame's sizes, by key, those alone that it changes."""
    sizes = {key: text for key, text in frame_of(read).items() if key != "leverage"}
    return {key: text for key, text in sizes.items() if not _is_same(job.get(("frame", key)), text)}


def taken_into(job: Job, read: LeverageRead) -> Job:
    """Return the job with the leverage of a table, and with the sizes of the frame that go with it."""
    for key, text in changes(job, read).items():
        job = job.with_value(("frame", key), text)
    return job.with_value(("frame", "leverage"), frame_of(read)["leverage"])


def _is_same(raw: Raw, text: str) -> bool:
    try:
        lengths = [parse(str(one), Dimension.LENGTH)[0] for one in (raw, text)]
    except UnitFault:
        return False
    return abs(lengths[0] - lengths[1]) < _SAME


def table_text(source: str, columns: str, units: str) -> str:
    """Return the `[frame]` of the leverage table in a file; raises `Unanswered`."""
    path = Path(source)
    try:
        told = told_in(columns, units, LEVERAGE)
        return _frame(leverage_in(table_of(text_of_file(path), path.name), told))
    except UnusableReadings as unusable:
        raise Unanswered(lines_of(unusable)) from unusable


def _frame(read: LeverageRead) -> str:
    import tomlkit  # help must not wait for it

    said = "".join(f"# {line}.\n" for line in (understood(read), kept_words(read)) if line)
    return said + tomlkit.dumps({"frame": frame_of(read)})
