"""Leverage as it is measured: a table in a file, and pairs of travel and stroke read on the stand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, Literal, NamedTuple, cast

import numpy as np
from numpy.typing import NDArray

from physics.arrays import Values, values
from physics.case import Measured
from physics.pairs import FEWEST, PairsCheck, checked, fitted, next_travel, pair_cautions
from physics.units import Dimension, UnitFault, parse
from tui.job.answer import JobAnswer
from tui.job.case import turned_by
from tui.job.cautions import caution_text
from tui.job.fields import LEVERAGE as KEYS
from tui.job.fields import Column as Range
from tui.job.job import Job
from tui.job.panels import LEVERAGE as PLACE
from tui.job.quantities import in_si, is_number
from tui.job.tree import Raw
from tui.kit.document import Block, Cell, Document, Drawing, Heading, Paragraph, Table, TableRow
from tui.kit.roles import Role
from tui.shop_units import METRIC, Measure, in_unit_of, keyed
from tui.subjects.asked import Unanswered
from tui.tables.columns import Column, Numbers, numbers_of
from tui.tables.heads import LEVERAGE, RATIO, STROKE, TRAVEL
from tui.tables.heads import Role as Quantity
from tui.tables.questions import Told, lines_of, told_in
from tui.tables.source import UnusableReadings, text_of_file, unusable
from tui.tables.table import RawTable, table_of

DIGITS = 4
"""Decimals kept of a length [mm] and of a ratio: finer than anything that is measured."""
_AT_ZERO = 0.005
"""A first row this close to full extension [mm] is there."""
_UPSIDE_DOWN = 0.6
"""Ratios that stay below this are stroke over travel: no frame, and no fork, has so little."""
_FEWEST = 2
_WORKED_OUT = 2
"""Decimals of a wheel travel [mm] that is worked out; rows closer together are one."""
_SAME = 1e-9
"""Lengths [m] that differ by less are one."""
RANGES: Mapping[Quantity, Range] = {
    TRAVEL: cast(Range, KEYS["table"]["travel_mm"].kind),
    STROKE: cast(Range, KEYS["measured"]["stroke_mm"].kind),
    RATIO: cast(Range, KEYS["table"]["ratio"].kind),
}
"""What a job takes."""


class _Rows(NamedTuple):
    """Columns (rows,) by quantity, lengths [mm], from full extension on, and the line each row stands in."""

    of: Mapping[Quantity, Values]
    lines: NDArray[np.intp]


def _rows_of(numbers: Numbers, fewest: int) -> _Rows:
    """Return sound rows; raises `UnusableReadings` with every fault by its line."""
    if len(numbers.lines) < fewest:
        raise UnusableReadings(f"{len(numbers.lines)} rows; at least {fewest} are accepted")
    lengths = [role for role in numbers.of if role is not RATIO]
    # From the end of the travel back is as good an order as any.
    way = -1 if all(numbers.of[role][0] > numbers.of[role][-1] for role in lengths) else 1
    scale = {role: 1.0 if role is RATIO else 1e3 for role in numbers.of}
    of = {role: np.round(column[::way] * scale[role], DIGITS) for role, column in numbers.of.items()}
    for role in lengths:
        if abs(of[role][0]) <= _AT_ZERO:
            of[role][0] = 0.0
    rows = _Rows(of, np.array(numbers.lines, dtype=np.intp)[::way])
    faults = sorted({fault for role in of for fault in _faults(rows, role)})
    if faults:
        raise unusable([f"line {line}: {what}" for line, what in faults])
    most = float(of[RATIO].max()) if RATIO in of else _UPSIDE_DOWN
    if most < _UPSIDE_DOWN:
        accepted = "wheel travel over shock stroke is accepted"
        raise UnusableReadings(f"no ratio is above {most:g}: that is stroke over travel; {accepted}")
    return rows


def _faults(rows: _Rows, role: Quantity) -> Iterable[tuple[int, str]]:
    column, span, unit = rows.of[role], RANGES[role], "" if role is RATIO else " mm"
    for row in np.flatnonzero((column < span.low) | (column > span.high)):
        accepted = f"{span.low:g} to {span.high:g}{unit} is accepted"
        yield int(rows.lines[row]), f"{role.name} {column[row]:g}{unit}; {accepted}"
    if role is RATIO:
        return
    for row in np.flatnonzero(np.diff(column) <= 0) + 1:
        before = f"is not above the {column[row - 1]:g}{unit} before it"
        yield int(rows.lines[row]), f"{role.name} {column[row]:g}{unit} {before}; rows that rise are accepted"


class LeverageRead(NamedTuple):
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
    """Return the leverage in a table; raises `Unclear`, or `UnusableReadings` with every fault by line."""
    numbers = numbers_of(table, LEVERAGE, told)
    is_table = RATIO in numbers.of
    rows = _rows_of(numbers, _FEWEST if is_table else FEWEST)
    if is_table:
        travel, ratio = _ratios(rows)
        columns = {"travel_mm": travel, "ratio": ratio}
    else:
        travel, ratio = rows.of[TRAVEL], _ratios_of_pairs(rows)
        columns = {"travel_mm": travel, "stroke_mm": rows.of[STROKE]}
    # A job has so many rows at most: evenly spread, first and last among them.
    count = min(len(travel), RANGES[TRAVEL].most)
    kept = np.unique(np.linspace(0, len(travel) - 1, count).round().astype(np.intp))
    return LeverageRead(
        name=table.name,
        kind="table" if is_table else "measured",
        columns={key: tuple(map(float, column[kept])) for key, column in columns.items()},
        wheel_travel=float(travel[-1]),
        stroke=float(rows.of[STROKE][-1]) if STROKE in rows.of else None,
        ratio=(float(ratio[0]), float(ratio[-1])),
        found=numbers.columns,
        rows=len(rows.lines),
    )


def _ratios(rows: _Rows) -> tuple[Values, Values]:
    """Return wheel travel [mm] and the ratios over it; those over shock stroke become that."""
    over = TRAVEL if TRAVEL in rows.of else STROKE
    first = float(rows.of[over][0])
    if first > 0:
        where, accepted = f"line {rows.lines[0]}", "rows from full extension on, 0 mm, are accepted"
        raise UnusableReadings(f"{where}: {over.name} begins at {first:g} mm; {accepted}")
    if over is TRAVEL:
        return rows.of[TRAVEL], rows.of[RATIO]
    from physics.leverage import table_over_travel  # scipy comes with it

    found = table_over_travel(rows.of[STROKE] / 1e3, rows.of[RATIO])
    travel, kept = np.unique(np.round(found.travel * 1e3, _WORKED_OUT), return_index=True)
    if travel[-1] > RANGES[TRAVEL].high:
        most = f"{RANGES[TRAVEL].high:g} mm"
        raise UnusableReadings(f"the wheel travel comes to {travel[-1]:g} mm; up to {most} is accepted")
    return travel, np.round(found.ratio[kept], DIGITS)


def _ratios_of_pairs(rows: _Rows) -> Values:
    """Return the ratios at both ends of the curve through pairs of travel and stroke."""
    travel, stroke = rows.of[TRAVEL] / 1e3, rows.of[STROKE] / 1e3
    curve = fitted(Measured(travel, stroke))
    slopes = None if curve is None else curve.slopes(travel)[0]
    if slopes is None or (slopes <= 0).any():
        what = "the curve through these pairs of travel and stroke turns back"
        raise UnusableReadings(f"{what}; strokes that rise evenly are accepted")
    return values(1 / slopes[[0, -1]])


def understood(read: LeverageRead) -> str:
    """Return what was found in a file, in one line."""
    found = ((f" [{column.unit}]" if column.unit else "", column) for column in read.found)
    columns = ", ".join(f"{column.role.name}{unit} in column {column.place + 1}" for unit, column in found)
    stroke = "" if read.stroke is None else f", {read.stroke:g} mm of stroke"
    rows = f"{read.rows} rows to {read.wheel_travel:g} mm of wheel travel{stroke}"
    return f"{columns[:1].upper()}{columns[1:]}: {rows}, ratio {read.ratio[0]:.2f} to {read.ratio[1]:.2f} : 1"


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

    def is_same(raw: Raw, text: str) -> bool:
        try:
            before, after = (parse(str(one), Dimension.LENGTH)[0] for one in (raw, text))
        except UnitFault:
            return False
        return abs(before - after) < _SAME

    sizes = {key: text for key, text in frame_of(read).items() if key != "leverage"}
    return {key: text for key, text in sizes.items() if not is_same(job.get(("frame", key)), text)}


def taken_into(job: Job, read: LeverageRead) -> Job:
    """Return the job with the leverage of a table, and with the sizes of the frame that go with it."""
    for key, text in changes(job, read).items():
        job = job.with_value(("frame", key), text)
    return job.with_value(("frame", "leverage"), frame_of(read)["leverage"])


def json_object(answered: JobAnswer) -> dict[str, Any]:
    """Return the frame of a wheel as plain data: its leverage, pairs against their curve, drawn linkage.

    Of the pairs `odd` counts from 0 as arrays do, None without an odd one; `standard_deviation_mm` is that
    of a reading, null without a degree of freedom; the origin does not count.
    """
    frame, leverage, linkage = (
        answered.answer.frame,
        answered.case.frame.leverage,
        answered.answer.frame.linkage,
    )
    pairs = drawn = None
    if isinstance(leverage, Measured):
        found = checked(leverage)
        off = {"residual_mm": found.residual, "by_others_mm": found.by_others, "ratio": found.ratio}
        spread = {"standard_deviation_mm": found.deviation, "degrees_of_freedom": found.freedom}
        pairs = keyed(**off, odd=found.odd, **spread)
    if linkage is not None:
        drawn = keyed(
            turned_deg=turned_by(answered.job),
            wheel_travel_mm=linkage.wheel_travel,
            eye_to_eye_mm=linkage.eye_to_eye,
            stroke_mm=linkage.stroke,
            axle_path_mm=[in_unit_of("_mm", point) for point in linkage.axle],
            ratio=linkage.ratio,
        )
    names = ("leverage_start", "leverage_end", "progression", "closure_error")
    numbers = keyed(**{name: getattr(frame, name) for name in names}, residual_mm=frame.residual)
    return numbers | {"pairs": pairs, "linkage": drawn}


def command(source: str, columns: str, units: str) -> str:
    """Return the `[frame]` of the leverage table in a file; raises `Unanswered`."""
    import tomlkit  # help must not wait for it

    path = Path(source)
    try:
        told = told_in(columns, units, LEVERAGE)
        read = leverage_in(table_of(text_of_file(path), path.name), told)
    except UnusableReadings as unusable:
        raise Unanswered(lines_of(unusable)) from unusable
    said = "".join(f"# {line}.\n" for line in (understood(read), kept_words(read)) if line)
    return said + tomlkit.dumps({"frame": frame_of(read)})


MEASURED = "measured"
"""The kind of leverage that comes from pairs."""
PAIRS = "pairs"
"""What a view draws in the document of the pairs."""
_LONGEST = 600.0
_PAIRS_FIRST = (
    "Let the shock's air out, or wind the collar off and take the coil out. Clamp the bike so that it cannot "
    "drop, hold the wheel, keep fingers out of the pivots. A shock that stays short may hold trapped "
    "pressure: that is for a qualified technician. The maker's manual comes first."
)
_STILL = "Spring out, bike clamped, fingers clear of the pivots."
_NOT_YET = (
    "The leverage does not come from pairs now. With the wheel at full extension, the shock at full length, "
    "z starts them; u takes that back."
)
_FORK = (
    "A fork moves along its own axis: its leverage follows from the head angle, and no pairs are needed. For "
    "one with links, z starts them at full extension; u takes that back."
)
_HOW = (
    "Raise the axle straight up, {travel} mm from full extension, and hold it. Read how far the shock has "
    "shortened there. z opens the pair: type that stroke, then Enter."
)
_AGAIN = "Axle up to {travel} mm, hold, read the shock. z opens the pair: stroke, Enter."
_END = "The pairs reach the end of the travel. Read again what is marked; more pairs make a slip clearer."
_GUIDED = 2
"""Pairs from which on a hand knows how it goes: the table comes up, the words become few."""
_MANY = 6
"""Pairs that smooth out the reading."""


def has_pairs(job: Job) -> bool:
    """Return whether the leverage of a job comes from pairs."""
    return job.get((*PLACE, "kind")) == MEASURED


def pair_columns(job: Job) -> tuple[tuple[Raw, ...], tuple[Raw, ...]]:
    """Return travels and strokes [mm] as they stand in a job, whatever stands there."""
    found = (job.get((*PLACE, key)) if has_pairs(job) else None for key in ("travel_mm", "stroke_mm"))
    travel, stroke = (column if isinstance(column, tuple) else () for column in found)
    return travel, stroke


def pairs_lacking(job: Job) -> int:
    """Return how many pairs a list that is being entered still lacks, 0 where nothing or more is wrong."""
    travel, stroke = pair_columns(job)
    whole = len(travel) == len(stroke) and all(map(_is_length, (*travel, *stroke)))
    return FEWEST - len(travel) if whole and 0 < len(travel) < FEWEST else 0


def _is_length(raw: Raw) -> bool:
    """Return whether a raw value is a travel or a stroke [mm] that a pair may have."""
    return is_number(raw) and 0 <= raw <= _LONGEST


def next_of(job: Job) -> float | None:
    """Return the travel [mm] to read next, None at the end of the travel or where that is not known."""
    whole = in_si(str(job.get(("frame", "wheel_travel")) or ""), Measure.TRAVEL)
    if whole is None or not whole > 0:
        return None
    travels = np.array([travel for travel in pair_columns(job)[0] if _is_length(travel)], dtype=np.float64)
    following = next_travel(travels / 1000, whole)
    return None if following is None else round(following * 1000, 1)


def measured_pairs(job: Job) -> tuple[Measured, PairsCheck]:
    """Return the pairs of which both are lengths, and how well they go together."""
    both = [pair for pair in zip(*pair_columns(job), strict=False) if all(map(_is_length, pair))]
    travel, stroke = (values([pair[place] for pair in both]) / 1000 for place in (0, 1))
    pairs = Measured(travel, stroke)
    return pairs, checked(pairs)


def document(job: Job, pairs: Measured, found: PairsCheck) -> Document:
    """Return what to read next on the stand, and the pairs there are; lengths are always in millimetres."""
    count, travel = len(pairs.travel), next_of(job)
    if not has_pairs(job):
        following = _FORK if job.get((*PLACE, "kind")) == "fork" else _NOT_YET
    elif travel is None:
        following = _END
    else:
        following = (_AGAIN if count > _GUIDED else _HOW).format(travel=f"{travel:g}")
    first = Paragraph(_STILL if count > _GUIDED else _PAIRS_FIRST, Role.CAUTION)
    blocks: list[Block] = [first, Heading("Next"), Paragraph(following)]
    if count:
        cautions = (caution_text(caution, METRIC, 0.0) for caution in pair_cautions(pairs, found))
        blocks += [Heading("Pairs"), Drawing(PAIRS)]
        blocks += (Paragraph(text, Role.CAUTION, gap=True) for text in cautions)
        blocks.append(Paragraph(_scatter(found, count), gap=True))
    return Document(tuple(blocks))


def pairs_table(pairs: Measured, found: PairsCheck) -> Table:
    """Return the pairs, the odd one marked."""
    lengths, columns = Measure.TRAVEL, (pairs.travel, pairs.stroke, found.residual, found.ratio)
    measures, rows = (lengths, lengths, Measure.MISFIT, Measure.RATIO), list[TableRow]()
    for index, numbers in enumerate(zip(*columns, strict=True)):
        mark, role = ("!", Role.CAUTION) if index == found.odd else (" ", Role.BASE)
        shown = map(METRIC.plain, numbers, measures)
        rows.append(tuple(Cell(text, role) for text in (f"{mark} {index + 1}", *shown)))
    return Table((("mm", "travel", "stroke", "off by", "ratio"), *rows))


def _scatter(found: PairsCheck, count: int) -> str:
    if np.isnan(found.rms):
        return f"{count} of at least {FEWEST} pairs that a curve takes; six or more smooth out the reading."
    off = METRIC.show(float(found.deviation), Measure.MISFIT)
    scatter = f"The pairs scatter about the curve by {off} (standard deviation)"
    if np.isnan(found.deviation):
        scatter = "There are no more pairs than the curve takes, which says nothing of their scatter"
    more = "" if count >= _MANY else " Six pairs or more smooth out the reading."
    return f"{scatter}; the bars are the leverage, lowest to highest.{more}"
