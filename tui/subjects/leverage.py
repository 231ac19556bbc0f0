"""Leverage as it is measured: a table in a file, and pairs of travel and stroke read on the stand."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal, cast

import numpy as np
from numpy.typing import NDArray

from physics.arrays import Values, values
from physics.case import Measured
from physics.faults import Caution, Refused
from physics.frozen import NamedTuple
from physics.leverage import table_over_travel
from physics.pairs import (
    BEYOND,
    FEWEST,
    READ_WITHIN,
    PairsCheck,
    beyond_cautions,
    checked,
    first_beyond,
    fitted,
    next_travel,
    pair_cautions,
    suspects,
)
from physics.units import Dimension, UnitFault, parse
from tui.job.answer import JobAnswer
from tui.job.case import frame_of as si_frame_of
from tui.job.case import turned_by
from tui.job.cautions import caution_text
from tui.job.faults import JobFault
from tui.job.fields import LEVERAGE as KEYS
from tui.job.fields import Column as Range
from tui.job.fields import field_at
from tui.job.job import Job
from tui.job.panels import LEVERAGE as PLACE
from tui.job.quantities import in_si, is_number, unlikely
from tui.job.reading import look
from tui.job.tree import Raw, TreePath
from tui.kit.document import Block, Cell, Document, Drawing, Heading, Paragraph, Table, TableRow, Take
from tui.kit.roles import Role
from tui.shop_units import METRIC, Measure, ShopUnits, in_unit_of, keyed
from tui.subjects.asked import Unanswered
from tui.tables.columns import Column, Numbers, numbers_of
from tui.tables.heads import LEVERAGE, RATIO, STROKE, TRAVEL
from tui.tables.heads import Role as Quantity
from tui.tables.questions import Told, lines_of, told_in
from tui.tables.source import UnusableReadings, unusable
from tui.tables.table import RawTable, table_at

DIGITS = 4
"""Decimals kept of lengths [mm] and ratios: finer than any measurement."""
_AT_ZERO = 0.005
"""A first row within this of full extension [mm] counts as full extension."""
_UPSIDE_DOWN = 0.6
"""Ratios entirely below this are stroke over travel: no frame or fork has so low a leverage."""
_FEWEST = 2
_WORKED_OUT = 2
"""Decimals of a computed wheel travel [mm]; rows closer together are merged."""
_SAME = 1e-9
"""Lengths [m] that differ by less are equal."""
RANGES: Mapping[Quantity, Range] = {
    TRAVEL: cast(Range, KEYS["table"]["travel_mm"].kind),
    STROKE: cast(Range, KEYS["measured"]["stroke_mm"].kind),
    RATIO: cast(Range, KEYS["table"]["ratio"].kind),
}
"""Ranges accepted by a job."""


class _Rows(NamedTuple):
    """Columns (rows,) by quantity, lengths [mm], from full extension on, and the line each row stands in."""

    of: Mapping[Quantity, Values]
    lines: NDArray[np.intp]


def _rows_of(numbers: Numbers, fewest: int) -> _Rows:
    """Return valid rows; raises `UnusableReadings` with every fault by line."""
    if len(numbers.lines) < fewest:
        raise UnusableReadings(f"{len(numbers.lines)} rows; use at least {fewest}")
    lengths = [role for role in numbers.of if role is not RATIO]
    # Accept rows in reverse order.
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
        accepted = "use wheel travel over shock stroke"
        raise UnusableReadings(f"no ratio is above {most:g}: that is stroke over travel; {accepted}")
    return rows


def _faults(rows: _Rows, role: Quantity) -> Iterable[tuple[int, str]]:
    column, span, unit = rows.of[role], RANGES[role], "" if role is RATIO else " mm"
    for row in np.flatnonzero((column < span.low) | (column > span.high)):
        accepted = f"use {span.low:g} to {span.high:g}{unit}"
        yield int(rows.lines[row]), f"{role.name} {column[row]:g}{unit}; {accepted}"
    if role is RATIO:
        return
    for row in np.flatnonzero(np.diff(column) <= 0) + 1:
        before = f"is not above the {column[row - 1]:g}{unit} of the previous row"
        yield int(rows.lines[row]), f"{role.name} {column[row]:g}{unit} {before}; use increasing rows"


class LeverageRead(NamedTuple):
    """Leverage in the form of a job, and its source.

    `columns` are those of the job's `kind`; `wheel_travel` and `stroke` [mm] are at the end of the table, the
    stroke None if it has none. `ratio` is the leverage at start and end, `rows` the number of rows in the
    file.
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
        """Number of rows for the job."""
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
    # The job has a maximum number of rows: take evenly spread ones, including first and last.
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
    """Return wheel travel [mm] and the ratios over it, converted from ratios over shock stroke if needed."""
    over = TRAVEL if TRAVEL in rows.of else STROKE
    first = float(rows.of[over][0])
    if first > 0:
        where, accepted = f"line {rows.lines[0]}", "use rows from full extension on, 0 mm"
        raise UnusableReadings(f"{where}: {over.name} begins at {first:g} mm; {accepted}")
    if over is TRAVEL:
        return rows.of[TRAVEL], rows.of[RATIO]
    found = table_over_travel(rows.of[STROKE] / 1e3, rows.of[RATIO])
    travel, kept = np.unique(np.round(found.travel * 1e3, _WORKED_OUT), return_index=True)
    if travel[-1] > RANGES[TRAVEL].high:
        most = f"{RANGES[TRAVEL].high:g} mm"
        raise UnusableReadings(f"the wheel travel comes to {travel[-1]:g} mm; use up to {most}")
    return travel, np.round(found.ratio[kept], DIGITS)


def _ratios_of_pairs(rows: _Rows) -> Values:
    """Return the ratios at both ends of the curve through pairs of travel and stroke."""
    travel, stroke = rows.of[TRAVEL] / 1e3, rows.of[STROKE] / 1e3
    curve = fitted(Measured(travel, stroke))
    slopes = None if curve is None else curve.slopes(travel)[0]
    if slopes is None or (slopes <= 0).any():
        what = "the curve through these pairs of travel and stroke turns back"
        raise UnusableReadings(f"{what}; use strokes that increase evenly")
    return values(1 / slopes[[0, -1]])


def understood(read: LeverageRead) -> str:
    """Return what was found in a file, in one line."""
    found = ((f" [{column.unit}]" if column.unit else "", column) for column in read.found)
    columns = ", ".join(f"{column.role.name}{unit} in column {column.place + 1}" for unit, column in found)
    stroke = "" if read.stroke is None else f", {read.stroke:g} mm of stroke"
    rows = f"{read.rows} rows to {read.wheel_travel:g} mm of wheel travel{stroke}"
    return f"{columns[:1].upper()}{columns[1:]}: {rows}, ratio {read.ratio[0]:.2f} to {read.ratio[1]:.2f} : 1"


def kept_words(read: LeverageRead) -> str:
    """Return how the rows of the job differ from those of the file, empty if they are the same."""
    if {column.role for column in read.found} == {STROKE, RATIO}:
        more = f", with {read.kept - read.rows} rows added between them" if read.kept > read.rows else ""
        return f"Wheel travel follows from the ratios over the stroke{more}"
    if read.kept < read.rows:
        return f"{read.kept} of the rows are kept, evenly spaced: a job holds no more"
    return ""


def frame_of(read: LeverageRead) -> dict[str, Raw]:
    """Return the keys of a frame that the table gives."""
    sizes = {"wheel_travel": read.wheel_travel, "stroke": read.stroke}
    known = {key: f"{size:.10g} mm" for key, size in sizes.items() if size is not None}
    return {**known, "leverage": {"kind": read.kind, **read.columns}}


def changes(job: Job, read: LeverageRead) -> Mapping[str, str]:
    """Return the frame sizes that the table changes, by key."""

    def is_same(raw: Raw, text: str) -> bool:
        try:
            before, after = (parse(str(one), Dimension.LENGTH)[0] for one in (raw, text))
        except UnitFault:
            return False
        return abs(before - after) < _SAME

    sizes = {key: text for key, text in frame_of(read).items() if key != "leverage"}
    return {key: text for key, text in sizes.items() if not is_same(job.get(("frame", key)), text)}


def taken_into(job: Job, read: LeverageRead) -> Job:
    """Return the job with the leverage of a table and the corresponding frame sizes."""
    for key, text in changes(job, read).items():
        job = job.with_value(("frame", key), text)
    return job.with_value(("frame", "leverage"), frame_of(read)["leverage"])


def json_object(answered: JobAnswer) -> dict[str, Any]:
    """Return the frame of a wheel as plain data: leverage, pairs with their fitted curve, linkage.

    `odd` is the index of the outlier among the pairs, from 0, None without one; `standard_deviation_mm` is
    that of a reading, null without a degree of freedom; the origin does not count.
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
        read = leverage_in(table_at(path), told)
    except UnusableReadings as unusable:
        raise Unanswered(lines_of(unusable)) from unusable
    said = "".join(f"# {line}.\n" for line in (understood(read), kept_words(read)) if line)
    return said + tomlkit.dumps({"frame": frame_of(read)})


MEASURED = "measured"
"""The kind of leverage given by pairs."""
PAIRS = "pairs"
"""Name of the drawing in the document of the pairs."""
_LONGEST = 600.0
_PAIRS_FIRST = (
    "Let all air out, or back off the collar and remove the coil. Clamp the bike so it cannot drop, hold the "
    "wheel, keep fingers clear of pivots. A shock that stays compressed may hold trapped pressure: qualified "
    "technician only. The maker's manual comes first."
)
_STILL = "Spring out, bike clamped, fingers clear of the pivots."
_NOT_MEASURED = "{}not measured on the stand."
_NOT_YET = "Extend wheel and shock fully; Space, then p, starts the pairs. u undoes it."
_NO_NEED = "A fork moves along its axis: leverage follows from the head angle, no pairs needed."
_FORK = "For a linkage fork Space, then p, starts them at full extension; u undoes it."
_NEXT = "Next pair: axle up {travel} mm from full extension."
_HOW = "Raise the axle vertically and hold. Measure how far the shock has compressed."
_AGAIN = "Hold, measure the shock."
_OPENS = "Space, then p, opens the pair: type the stroke, Enter."
_OPEN = "Type the stroke, Enter."
_BEYOND = "Pair {:.0f} is impossible: measure it again, or correct the frame."
_ENDED = "Full travel is measured, {} pairs."
_ODD = "Measure pair {} again, the marked one."
_AGAIN_BOTH = "Measure pairs {} and {} again, the marked ones."
_BOTH = (
    "Without pairs {} and {} the others fit: one wrong pair hides the other. Spring out, measure both again."
)
_SCATTER = ", more than reading error ({}, rule of thumb): measure them again."
_MORE = "More pairs make a mistake easier to see."
_GUIDED = 2
"""Number of pairs from which the instruction is short and the table moves up."""
_MANY = 6
"""Number of pairs that average out reading errors."""


@lru_cache(maxsize=4)
def closing_takes(job: Job, units: ShopUnits) -> tuple[Take, ...]:
    """Return the single changes that make a frame consistent with its stroke; none if it is consistent.

    Unlikely values are left out; there are none if other values of the frame are invalid.
    """
    from physics.leverage import SILENT_CLOSURE, closing, leverage_curve

    reading, faults = look(job)
    if any(fault.path[:1] == ("frame",) for fault in faults) or "kind" not in reading.leverage:
        return ()
    frame = si_frame_of(reading)
    try:
        if abs(float(leverage_curve(frame).closure_error)) <= SILENT_CLOSURE:
            return ()
    except Refused as refused:
        if not any(fault.code == "does_not_close" for fault in refused.faults):
            return ()
    found, pairs = closing(frame), measured_pairs(job)[0]
    sizes = {(*PLACE, "end"): found.end, (*PLACE, "middle"): found.middle}
    sizes |= {("frame", "wheel_travel"): found.wheel_travel, ("frame", "stroke"): found.stroke}
    # No wheel and no shock moves less than was measured on it.
    least: dict[TreePath, Values] = {
        ("frame", "wheel_travel"): pairs.travel,
        ("frame", "stroke"): pairs.stroke,
    }
    return tuple(
        _closing_take(job, path, size, units)
        for path, size in sizes.items()
        if math.isfinite(size)
        and size > np.max(least.get(path, values([])), initial=0.0) - BEYOND
        and unlikely(".".join(map(str, path)), size, "") is None
    )


def _closing_take(job: Job, path: TreePath, size: float, units: ShopUnits) -> Take:
    measure = Measure.RATIO if path[-1] in ("end", "middle") else Measure.TRAVEL
    text, before = units.show(size, measure), job.get(path)
    typed: Raw = float(text) if measure is Measure.RATIO else text
    had = f"{before} → " if before is not None else ""
    return Take(f"{_CLOSES[str(path[-1])]} {had}{text}", ((path, typed),))


_CLOSES = {
    "end": "ratio at end",
    "middle": "ratio at middle",
    "wheel_travel": "wheel travel",
    "stroke": "stroke",
}
"""Labels of the values that make a frame consistent, by key."""


def open_document(faults: Sequence[JobFault], takes: Sequence[Take], off: str = "") -> Document:
    """Return why a frame has no leverage curve, or how far it is `off`, and the lines to take."""
    fields = (field_at(fault.path) for fault in faults if fault.what.startswith("missing"))
    missing = ", ".join(dict.fromkeys(field.full_label for field in fields if field is not None))
    first = (Paragraph(f"To type: {missing}."),) if missing else ()
    faults = [fault for fault in faults if not (missing and fault.what.startswith("missing"))]
    said = (
        Paragraph(
            f"{fault.what[:1].upper()}{fault.what[1:]}.", Role.STRONG if fault.is_unfinished else Role.CAUTION
        )
        for fault in faults
    )
    use = (Paragraph(f"{fault.accepted[:1].upper()}{fault.accepted[1:]}.") for fault in faults)
    if off:
        first = (*first, Paragraph(_OFF.format(off), Role.STRONG))
    if not takes:
        return Document((*first, *said, *use))
    how = Paragraph("Each of these alone makes the frame fit; Enter uses it. Check it on the bike first.")
    return Document((*first, *said, how))


_OFF = (
    "Wheel travel, stroke and leverage disagree by {}: the ratios are scaled to the stroke, but one is wrong."
)


def has_pairs(job: Job) -> bool:
    """Return whether the leverage of a job is given by pairs."""
    return job.get((*PLACE, "kind")) == MEASURED


def pair_columns(job: Job) -> tuple[tuple[Raw, ...], tuple[Raw, ...]]:
    """Return travels and strokes [mm] as in the job, whatever their type."""
    found = (job.get((*PLACE, key)) if has_pairs(job) else None for key in ("travel_mm", "stroke_mm"))
    travel, stroke = (column if isinstance(column, tuple) else () for column in found)
    return travel, stroke


def pairs_lacking(job: Job) -> int:
    """Return the number of pairs missing from a list being entered, 0 if complete or otherwise faulty."""
    travel, stroke = pair_columns(job)
    whole = len(travel) == len(stroke) and all(map(_is_length, (*travel, *stroke)))
    return FEWEST - len(travel) if whole and 0 < len(travel) < FEWEST else 0


def _is_length(raw: Raw) -> bool:
    """Return whether a raw value is a valid travel or stroke [mm] of a pair."""
    return is_number(raw) and 0 <= raw <= _LONGEST


_SIZES = ("wheel_travel", "stroke")
_USUAL_PART = 0.6, 1.7
"""Usual range of the leverage between two pairs, relative to the mean leverage. Common practice, no
source."""


def pair_doubt(job: Job, place: int) -> str:
    """Return a question about a pair whose leverage from the previous pair is unlikely for the frame.

    One beyond travel or stroke of the frame is told to be impossible. Empty if it is likely, or if travel or
    stroke of pair or frame is unknown.

    >>> from tui.job.job import Job
    >>> from tui.job.tree import Tree
    >>> pairs = {"kind": "measured", "travel_mm": (0.0, 20.0), "stroke_mm": (0.0, 20.0)}
    >>> frame = {"wheel_travel": "150 mm", "stroke": "60 mm", "leverage": pairs}
    >>> pair_doubt(Job(Tree({"frame": frame})), 1)
    '20 mm of travel over 20 mm of stroke is a ratio of 1.00; the frame has 2.50 on average. Is that right?'
    """
    travels, strokes = pair_columns(job)
    if not 0 < place < min(len(travels), len(strokes)):
        return ""
    ends = [column[at] for column in (travels, strokes) for at in (place - 1, place)]
    wheel, shock = (in_si(str(job.get(("frame", key)) or ""), Measure.TRAVEL) for key in _SIZES)
    if not all(map(_is_length, ends)) or not wheel or not shock:
        return ""
    before, travel, start, stroke = map(float, map(str, ends))
    pair = Measured(values([travel / 1000]), values([stroke / 1000]))
    if first_beyond(pair, wheel, shock) is not None:
        of_frame = f"the frame has {wheel * 1000:g} mm of travel and {shock * 1000:g} mm of stroke"
        return f"{travel:g} mm of travel and {stroke:g} mm of stroke is impossible: {of_frame}."
    if travel <= before or stroke <= start:
        return ""
    ratio, mean = (travel - before) / (stroke - start), wheel / shock
    if _USUAL_PART[0] * mean <= ratio <= _USUAL_PART[1] * mean:
        return ""
    said = f"{travel - before:g} mm of travel over {stroke - start:g} mm of stroke is a ratio of {ratio:.2f}"
    return f"{said}; the frame has {mean:.2f} on average. Is that right?"


def next_of(job: Job) -> float | None:
    """Return the travel [mm] to measure next, None at the end of the travel or if that is unknown."""
    whole = in_si(str(job.get(("frame", "wheel_travel")) or ""), Measure.TRAVEL)
    if whole is None or not whole > 0:
        return None
    travels = np.array([travel for travel in pair_columns(job)[0] if _is_length(travel)], dtype=np.float64)
    following = next_travel(travels / 1000, whole)
    return None if following is None else round(following * 1000, 1)


def measured_pairs(job: Job) -> tuple[Measured, PairsCheck]:
    """Return the valid pairs and their check against the fitted curve."""
    both = [pair for pair in zip(*pair_columns(job), strict=False) if all(map(_is_length, pair))]
    travel, stroke = (values([pair[place] for pair in both]) / 1000 for place in (0, 1))
    pairs = Measured(travel, stroke)
    return pairs, checked(pairs)


def _beyond(job: Job, pairs: Measured) -> tuple[Caution, ...]:
    """Return the caution about a pair beyond the sizes of the frame, none where these are unknown."""
    wheel, shock = (in_si(str(job.get(("frame", key)) or ""), Measure.TRAVEL) for key in _SIZES)
    return beyond_cautions(pairs, wheel, shock) if wheel and shock else ()


def are_within(job: Job) -> bool:
    """Return whether no pair is beyond the travel or stroke of the frame."""
    return not _beyond(job, measured_pairs(job)[0])


def document(
    job: Job, pairs: Measured, found: PairsCheck, ratio: str = "", *, is_open: bool = False
) -> Document:
    """Return what to measure next on the stand, and the pairs; lengths are always in millimetres.

    `ratio` is the leverage of the frame in words, for a frame without pairs; `is_open` says that the next
    pair is being typed.
    """
    count, travel, beyond = len(pairs.travel), next_of(job), _beyond(job, pairs)
    if not has_pairs(job):
        of_fork = job.get((*PLACE, "kind")) == "fork"
        lead = f"Leverage {ratio}, " if ratio else "Leverage "
        first, how = (_NO_NEED, _FORK) if of_fork else (_NOT_MEASURED.format(lead), _NOT_YET)
    elif beyond:
        first, how = _BEYOND.format(beyond[0].values["pair"]), _MORE
    elif travel is None:
        odd = "" if found.odd is None else f" {_ODD.format(found.odd + 1)}"
        odd = f" {_AGAIN_BOTH.format(*_counted(pairs, found))}" if suspects(pairs, found) else odd
        first, how = f"{_ENDED.format(count)}{odd}", _MORE
    else:
        key = _OPEN if is_open else _OPENS
        first = _NEXT.format(travel=f"{travel:g}")
        how = f"{_AGAIN if count > _GUIDED else _HOW} {key}"
    care = Paragraph(_STILL if count > _GUIDED else _PAIRS_FIRST, Role.CAUTION)
    blocks: list[Block] = [Paragraph(first, Role.STRONG), care, Paragraph(how)]
    if count:
        told = (*beyond, *pair_cautions(pairs, found))
        cautions = (caution_text(caution, METRIC, 0.0) for caution in told)
        blocks += [Heading("Pairs"), Drawing(PAIRS)]
        blocks += (Paragraph(text, Role.CAUTION, gap=True) for text in cautions)
        if suspects(pairs, found):
            blocks.append(Paragraph(_BOTH.format(*_counted(pairs, found)), Role.CAUTION, gap=True))
        blocks.append(Paragraph(_scatter(pairs, found), gap=True))
    return Document(tuple(blocks))


def _counted(pairs: Measured, found: PairsCheck) -> tuple[int, ...]:
    """Return the two pairs that hide each other, counted from 1."""
    return tuple(place + 1 for place in suspects(pairs, found))


def pairs_table(job: Job, pairs: Measured, found: PairsCheck) -> Table:
    """Return the pairs as a table, outliers and the first beyond the frame marked."""
    marked = {
        found.odd,
        *suspects(pairs, found),
        *(round(one.values["pair"]) - 1 for one in _beyond(job, pairs)),
    }
    lengths, columns = Measure.TRAVEL, (pairs.travel, pairs.stroke, found.residual, found.ratio)
    measures, rows = (lengths, lengths, Measure.MISFIT, Measure.RATIO), list[TableRow]()
    for index, numbers in enumerate(zip(*columns, strict=True)):
        mark, role = ("!", Role.CAUTION) if index in marked else (" ", Role.BASE)
        shown = map(METRIC.plain, numbers, measures)
        rows.append(tuple(Cell(text, role) for text in (f"{mark} {index + 1}", *shown)))
    units = ("", *(METRIC.unit(measure) for measure in measures[:-1]), "")
    return Table((("", "travel", "stroke", "error", "ratio"), *rows), units=units)


def _scatter(pairs: Measured, found: PairsCheck) -> str:
    count = len(pairs.travel)
    if np.isnan(found.rms):
        return f"{count} of at least {FEWEST} pairs; six or more average out reading errors."
    off = METRIC.show(float(found.deviation), Measure.MISFIT)
    scatter = f"Pairs scatter about the curve by {off} (standard deviation)"
    is_wide = found.odd is None and found.deviation > READ_WITHIN and not suspects(pairs, found)
    wide = f"{_SCATTER.format(METRIC.show(READ_WITHIN, Measure.MISFIT))}" if is_wide else ""
    if np.isnan(found.deviation):
        scatter = "Too few pairs to show scatter about the curve"
    more = "" if count >= _MANY else " Six or more pairs average out reading errors."
    bars = f"{wide} Bars" if wide else "; bars"
    return f"{scatter}{bars} show leverage, lowest to highest.{more}"
