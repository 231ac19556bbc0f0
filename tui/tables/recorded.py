"""A logged ride from a file of any logger: time and one or two channels of travel.

The first rows determine separator, decimal mark, columns and units as in every other table; the rest is read
in blocks by numpy. A block with a cell that is not a number is read line by line; that cell becomes NaN,
which the log reports as missing. A channel is a length, a share of the stroke or of the wheel travel, or the
counts of a sensor with its readings at full extension and fully compressed.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from physics.frozen import NamedTuple, dataclass
from physics.units import quoted
from tui.job.tree import clean
from tui.tables.columns import Column, by_heads, marks_in, places_in
from tui.tables.heads import (
    BRACKETS,
    LOGGED,
    LOGGED_FORK,
    LOGGED_SHOCK,
    LOGGED_WHEEL,
    TIME,
    Role,
    factor_of,
    unit_in,
)
from tui.tables.questions import Told, Unclear, columns_told
from tui.tables.source import LONGEST, UnusableReadings, bytes_of_file, decoded, first_bytes_of_file
from tui.tables.table import COMMA, COMMENTS, POINT, RawTable, cells_of, number_as, table_of

if TYPE_CHECKING:
    from physics.arrays import Values

LARGEST_LOG = 400_000_000
"""Largest file taken [bytes]."""
MOST_SAMPLES = 4_000_000
"""Most rows taken: an hour at 1 kHz is 3 600 000."""
_SAMPLE = 60_000
"""Characters from which separator, decimal mark, columns and units are determined."""
_BLOCK = 2_000_000
"""Characters read at a time."""
_CLOCK = re.compile(r"(?:\d{4}-\d\d-\d\d[T ])?(\d{1,2}):(\d\d):(\d\d(?:[.,]\d+)?)Z?")
"""A time of day with or without a date."""

_DAY = 86_400.0
"""Seconds of a day."""
_DATE = re.compile(r"(?<!\d)(20\d\d)([-_.]?)(\d\d)\2(\d\d)(?!\d)")
"""A date, the year first."""
_HEAD = 4_000
"""Bytes at the start of a file searched for a date."""


def date_of(name: str, data: bytes) -> str:
    """Return the date of a ride from the file or its name, such as "2026-11-20"; empty for none.

    The modification time does not count: copying the file changes it.

    >>> date_of("2026-11-20 evening.csv", b"time [s],fork travel [mm]")
    '2026-11-20'
    """
    head = data[:_HEAD].decode("utf-8", "replace")
    dashed = (found for found in _DATE.finditer(head) if found[2] == "-")
    for found in (*dashed, *_DATE.finditer(name)):
        with suppress(ValueError):
            return date(int(found[1]), int(found[3]), int(found[4])).isoformat()
    return ""


Whole = Literal["stroke", "travel"]
"""The whole that a share refers to."""


class Counts(NamedTuple):
    """A sensor's readings at full extension and fully compressed."""

    extended: float
    compressed: float


class Unit(NamedTuple):
    """The unit of a channel: SI per unit, else a share `of` a whole, else counts."""

    factor: float = 1.0
    of: Whole | None = None
    counts: Counts | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Channel:
    """A column of travel as recorded: its role, its numbers (samples,) and their unit."""

    role: Role
    readings: Values
    unit: Unit

    @property
    def is_front(self) -> bool:
        """Whether the channel is the fork's."""
        return self.role is LOGGED_FORK

    @property
    def of_wheel(self) -> bool:
        """Whether the channel is vertical wheel travel, not stroke along the axis of a shock or fork."""
        return self.role is LOGGED_WHEEL or (self.role is LOGGED_SHOCK and self.unit.of == "travel")

    def lengths(self, stroke: float, travel: float) -> Values:
        """Return the channel as lengths [m] for a full `stroke` and wheel `travel` [m]."""
        from physics.log import of_counts

        full = travel if self.of_wheel else stroke
        if self.unit.counts is not None:
            return of_counts(self.readings, *self.unit.counts, full)
        return self.readings * (self.unit.factor if self.unit.of is None else full / 100)


@dataclass(frozen=True, slots=True, eq=False)
class Recorded:
    """A logged ride as in its file: name without terminal controls, bytes, times [s] (samples,) and channels.

    `told` are the answers on columns and units.
    """

    name: str
    data: bytes
    told: Told
    time: Values
    channels: tuple[Channel, ...]


class UnitsUnclear(Unclear):
    """A log without units for some columns."""

    title = "Units"

    def __init__(self, roles: Sequence[Role]) -> None:
        self._roles = roles
        said = "; ".join(f"{role.name}: {_accepted(role)}" for role in roles)
        alone = len(roles) == 1
        example = ", ".join(f"{role.word} {_example(role)}" for role in roles)
        self.asks = f"{said[:1].upper()}{said[1:]}. Answer like {_example(roles[0]) if alone else example}"
        self.option = f'--units "{example}"'
        names = " and ".join(role.name for role in roles)
        which = f"unit of the {names} is" if alone else f"units of {names} are"
        super().__init__(f"the {which} not given; add a header such as {LOGGED.example}")

    def told(self, before: Told, text: str) -> Told:
        """Return the answers with a unit for each of the columns."""
        return replace(before, units={**before.units, **units_told(text, self._roles)})


def log_told(columns: str, units: str) -> Told:
    """Return the answers on a log given by command-line options, empty if there are none."""
    return Told(
        columns_told(columns, LOGGED) if columns else {}, units_told(units, LOGGED.roles) if units else {}
    )


def units_told(text: str, roles: Sequence[Role]) -> Mapping[str, str]:
    """Return units by the words of their roles from "time ms, shock counts 512 3800"; one role: the unit.

    Raises `UnusableReadings` for any other text.
    """
    found = {}
    for part in filter(None, map(str.strip, re.split(r"[,;]", text))):
        word, _, unit = part.partition(" ")
        role = next((role for role in roles if role.word == word.lower()), None)
        if role is None:
            if len(roles) > 1:
                words = ", ".join(role.word for role in roles)
                raise UnusableReadings(
                    f"{quoted(part)} cannot be read; use one of {words}, each with its unit"
                )
            role, unit = roles[0], part
        unit_of(unit, role)
        found[role.word] = unit.strip()
    return found


def told_text(told: Told) -> str:
    """Return the answers on columns and units as JSON."""
    return json.dumps({"columns": dict(told.columns), "units": dict(told.units)}, sort_keys=True)


def told_of(text: str) -> Told:
    """Return the answers from their JSON; none if it is malformed, so that they are asked again."""
    try:
        plain = json.loads(text)
        columns = {str(word): int(place) for word, place in plain["columns"].items()}
        units = {str(word): str(unit) for word, unit in plain["units"].items()}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError, OverflowError):
        return Told()
    known = any({role.word for role in roles} == set(columns) for roles in LOGGED.sets)
    return Told(columns if known else {}, units)


def unit_of(text: str, role: Role) -> Unit:
    """Return the unit in text such as "mm", "% of stroke" or "counts 512 3800"; raises `UnusableReadings`."""
    said = " ".join(text.lower().replace("percent", "%").replace(" of ", " ").split())
    if role is not TIME:
        words = said.split()
        numbers = [number for word in words[1:] if (number := number_as(word, POINT)) is not None]
        if words[:1] == ["counts"] and len(numbers) == len(words) - 1 == 2:
            counts = Counts(*numbers)
            if counts.extended == counts.compressed:
                raise UnusableReadings(
                    f"{quoted(text.strip())}: both readings are the same; use that at full extension, then "
                    "that fully compressed"
                )
            return Unit(counts=counts)
        if said in _SHARES.get(role, {}):
            return Unit(of=_SHARES[role][said])
    factor = factor_of(text, role)
    if factor is None:
        raise UnusableReadings(f"{quoted(text.strip())} is not a unit of {role.name}; use {_accepted(role)}")
    return Unit(factor)


_SHARES: Mapping[Role, Mapping[str, Whole]] = {
    LOGGED_SHOCK: {"% stroke": "stroke", "%stroke": "stroke", "% travel": "travel", "%travel": "travel"},
    LOGGED_FORK: dict.fromkeys(("%", "% travel", "%travel", "% stroke"), "stroke"),
    LOGGED_WHEEL: dict.fromkeys(("%", "% travel", "%travel"), "travel"),
}
"""Shares by their spelling: at the rear, a share of stroke differs from a share of travel."""


def _accepted(role: Role) -> str:
    if role is TIME:
        return "s, ms or us"
    share = "% of stroke, % of travel" if role is LOGGED_SHOCK else "%"
    return f"mm, in, {share}, or counts with the readings extended and compressed"


def _example(role: Role) -> str:
    return "ms" if role is TIME else "counts 512 3800" if role is LOGGED_SHOCK else "mm"


def recorded_in(
    data: bytes, name: str, told: Told, progress: Callable[[float], None] | None = None
) -> Recorded:
    """Return the log in the bytes of a file.

    `progress` receives the share read, and may raise to cancel.
    Raises `Unclear` if a question has to be answered first, `UnusableReadings` if there is no log.
    """
    import numpy as np

    text = _with_one_end(decoded(data))
    table, columns, units, marks, has_clock = _sampled(text[:_SAMPLE], name, told, is_cut=len(text) > _SAMPLE)
    start = 0
    for _line in range(table.body[0].number - 1):
        start = text.index("\n", start) + 1
    blocks, samples = [], 0
    for block, end in _blocks(text, start):
        numbers = _numbers(_in_seconds(block) if has_clock else block, table.sign, columns, marks)
        samples += len(numbers)
        if samples > MOST_SAMPLES:
            raise UnusableReadings(f"more than {MOST_SAMPLES} samples; use a log of at most an hour at 1 kHz")
        blocks.append(numbers)
        if progress is not None:
            progress(end / len(text))
    by_column = np.concatenate(blocks).T
    channels = tuple(
        Channel(column.role, np.ascontiguousarray(own), unit)
        for column, own, unit in zip(columns, by_column, units, strict=True)
        if column.role is not TIME
    )
    clock = next(place for place, column in enumerate(columns) if column.role is TIME)
    time = by_column[clock] * units[clock].factor
    return Recorded(clean(name), data, told, _past_midnight(time) if has_clock else time, channels)


@dataclass(frozen=True, slots=True, eq=False)
class LogFile:
    """A log whose columns and units are known by the answers `told`, not yet read in full.

    `source` returns its bytes, from a file or the records; it raises `UnusableReadings` if it cannot.
    """

    name: str
    told: Told
    source: Callable[[], bytes]

    @classmethod
    def at(cls, path: Path, told: Told | None = None) -> LogFile:
        """Return the log in a file."""
        return cls(clean(path.name), told or Told(), partial(bytes_of_file, path, LARGEST_LOG))

    def read(self, progress: Callable[[float], None] | None = None) -> Recorded:
        """Return the whole log; raises as `recorded_in` does."""
        return recorded_in(self.source(), self.name, self.told, progress)


def log_file(path: Path, told: Told) -> LogFile:
    """Return a log of which only the first rows were read; raises as `recorded_in` does."""
    data = first_bytes_of_file(path, 4 * _SAMPLE)
    text = _with_one_end(decoded(data))
    _sampled(text[:_SAMPLE], path.name, told, is_cut=len(data) == 4 * _SAMPLE or len(text) > _SAMPLE)
    return LogFile.at(path, told)


class _Sampled(NamedTuple):
    """What the first rows of a log determine: its table, columns, their units and decimal marks."""

    table: RawTable
    columns: tuple[Column, ...]
    units: tuple[Unit, ...]
    marks: list[str]
    has_clock: bool


def _sampled(sample: str, name: str, told: Told, *, is_cut: bool) -> _Sampled:
    if is_cut and "\n" in sample:
        sample = sample[: sample.rindex("\n")]
    has_clock = _CLOCK.search(sample) is not None
    table = table_of(_in_seconds(sample) if has_clock else sample, name)
    columns, units = by_heads(table, lambda heads: _columns(table, heads, told, has_clock=has_clock))
    cells = [[line.cell(column.place) for line in table.body] for column in columns]
    found = marks_in(table.sign, columns, cells)
    settled = {mark for mark in found if mark}
    # An ambiguous column is taken to be written like the others of its file.
    of_others = settled.pop() if len(settled) == 1 else None
    marks = [mark or of_others or _likely(table.sign, own) for mark, own in zip(found, cells, strict=True)]
    return _Sampled(table, columns, units, marks, has_clock)


def _with_one_end(text: str) -> str:
    """Return text with uniform line ends."""
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _in_seconds(text: str) -> str:
    return _CLOCK.sub(_seconds, text)


def _seconds(clock: re.Match[str]) -> str:
    whole = 3600 * int(clock[1]) + 60 * int(clock[2])
    return f"{whole + float(clock[3].replace(COMMA, POINT)):.6f}"


def _past_midnight(time: Values) -> Values:
    """Return times of day [s], (samples,), that count on past midnight instead of starting again at zero."""
    import numpy as np

    known = np.flatnonzero(np.isfinite(time))
    days = np.zeros_like(time)
    days[known[1:]] = np.cumsum(np.diff(time[known]) < -_DAY / 2)
    return time + _DAY * days


def _columns(
    table: RawTable, heads: Sequence[str], told: Told, *, has_clock: bool
) -> tuple[tuple[Column, ...], tuple[Unit, ...]]:
    """Return the columns of a log and their units."""
    # A bracketed share or count is not a unit of length and would contradict a travel: left out here.
    bare = [BRACKETS.sub(_known_unit, head) for head in heads]
    places = places_in(table, bare, LOGGED, told)
    units = {role: _unit(heads[place], role, told, has_clock=has_clock) for role, place in places.items()}
    if missing := [role for role, unit in units.items() if unit is None]:
        raise UnitsUnclear(missing)
    found = {role: unit for role, unit in units.items() if unit is not None}
    columns = tuple(Column(role, place, "", _least_factor(found[role])) for role, place in places.items())
    return columns, tuple(found[column.role] for column in columns)


def _known_unit(inside: re.Match[str]) -> str:
    return inside[0] if any(unit_in(inside[0], role.dimension) for role in (TIME, LOGGED_SHOCK)) else " "


def _unit(head: str, role: Role, told: Told, *, has_clock: bool) -> Unit | None:
    """Return the unit of a column, None if neither its head nor an answer gives it."""
    if text := told.units.get(role.word):
        return unit_of(text, role)
    if role is TIME and has_clock:
        return Unit()
    if (named := unit_in(head, role.dimension)) is not None:
        return Unit(factor_of(named, role) or 1.0)
    if "%" not in (said := head.lower().replace("percent", "%")):
        return None
    if role is LOGGED_SHOCK:
        # "shock [%]" may be either; "shock stroke [%]" is a share of the stroke.
        whole = re.search(r"%\s*(?:of\s*)?(?:wheel\s*)?(stroke|travel)", said) or re.search("(stroke)", said)
        return unit_of(f"% of {whole[1]}", role) if whole else None
    return unit_of("%", role)


def _least_factor(unit: Unit) -> float:
    """Return SI per number, to tell decimals from thousands; shares and counts may be of any size."""
    return unit.factor if unit.of is None and unit.counts is None else 1e-9


def _likely(sign: str, cells: Sequence[str]) -> str:
    """Return the decimal mark if the first rows are ambiguous: usually they have no decimals."""
    return COMMA if sign != COMMA and any(COMMA in cell for cell in cells) else POINT


def _blocks(text: str, start: int) -> Iterator[tuple[str, int]]:
    """Yield blocks of whole lines and the end of each."""
    while start < len(text):
        end = text.rfind("\n", start, start + _BLOCK)
        if end < start:
            end = text.find("\n", start)
        end = len(text) if end < 0 or len(text) - start <= _BLOCK else end + 1
        yield text[start:end], end
        start = end


def _numbers(block: str, sign: str, columns: Sequence[Column], marks: Sequence[str]) -> Values:
    """Return the numbers of a block, (rows, columns), NaN for cells that are not numbers."""
    import numpy as np

    if not block.strip():
        return np.empty((0, len(columns)))
    if len(block) > _BLOCK:  # one line, and none of readings
        return np.full((1, len(columns)), np.nan)
    has_comma = sign != COMMA and COMMA in block
    if not (has_comma and COMMA not in marks):
        try:
            return np.loadtxt(
                (block.replace(COMMA, POINT) if has_comma else block).splitlines(),
                delimiter=None if sign == " " else sign,
                usecols=[column.place for column in columns],
                comments=None,
                quotechar='"',
                ndmin=2,
            )
        except ValueError:
            pass
    rows = []
    for row in block.split("\n"):
        if not row.strip() or row.lstrip().startswith(COMMENTS):
            continue
        cells = cells_of(row, sign) if len(row) <= LONGEST else []
        rows.append([
            _number(cells[column.place], mark) if column.place < len(cells) else float("nan")
            for column, mark in zip(columns, marks, strict=True)
        ])  # fmt: skip
    return np.array(rows, dtype=np.float64).reshape(len(rows), len(columns))


def _number(cell: str, mark: str) -> float:
    number = number_as(cell, mark)
    return float("nan") if number is None else number
