"""What a subject has to say, as plain data: headings, paragraphs, tables and cautions, and their plain forms.

These are lines of text, and tables for a spreadsheet, as CSV or between tabs. `tui.kit.dressing` makes rows
of cells of the same document. Nothing here knows of a terminal.

CSV is that of RFC 4180: commas, CR LF, quotes where they are needed. A number is written in full with a
decimal point, its unit in the heading of its column or row; one that does not exist is an empty cell. A text
that a spreadsheet would take for a formula has an apostrophe before it.
"""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from tui.job.job import Job
from tui.job.tree import Raw, TreePath, clean
from tui.job.wheels import Wheel, spoken
from tui.kit.roles import Role
from tui.shop_units import ABSENT, ALL


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading, in capitals on the screen; `plain` is its plain line, empty for none."""

    text: str
    plain: str = ""


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A sentence or several; an empty `text` is not on the screen.

    `plain` is how the plain lines put it: None as on the screen, empty not at all. On the screen a `lead` of
    some cells stands before the first line, under which the others hang, and a `gap` above leaves a line
    free. A `verbatim` one holds words of people, which are never put into those of a fork. The setup that
    it is `of` is named before it on the screen.
    """

    text: str
    role: Role = Role.BASE
    plain: str | None = None
    lead: str = ""
    gap: bool = False
    verbatim: bool = False
    of: SetupName | None = None


@dataclass(frozen=True, slots=True)
class Labelled:
    """A value with what it is, in words; an empty `plain` is not in the plain lines."""

    label: str
    text: str
    plain: str | None = None

    @property
    def line(self) -> str:
        """Both as one line."""
        return f"{self.label}: {self.text}"


@dataclass(frozen=True, slots=True)
class SetupName:
    """The name of a setup and its place in the job, with its marker and colour on the screen."""

    name: str
    place: int
    lead: str = ""


@dataclass(frozen=True, slots=True)
class Cell:
    """A text in a table with a role of its own."""

    text: str
    role: Role = Role.BASE


TableRow = tuple[str | Cell | SetupName, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under each other: the first column left, the others right, the first `heads` rows strong.

    `units` stand beside the names of the first row, or below where that is too wide. Where `last_from` is
    given the last column can be spared: a view of fewer cells, or one narrower than the table, has none.
    A `note` stands between two rows, by the place of the second. `plain` are the table's plain lines.
    """

    rows: tuple[TableRow, ...]
    plain: tuple[str, ...] = ()
    heads: int = 1
    gap: int = 2
    units: tuple[str, ...] = ()
    last_from: int | None = None
    note: tuple[int, str] | None = None


@dataclass(frozen=True, slots=True)
class Drawing:
    """The place of what a view draws in cells, by its name."""

    name: str


Block = Heading | Paragraph | Labelled | SetupName | Table | Drawing


@dataclass(frozen=True, slots=True)
class Document:
    """Blocks one after another; on a `fork` headings and paragraphs are put into its words."""

    blocks: tuple[Block, ...]
    fork: bool = False

    def spoken(self, block: Heading | Paragraph, text: str) -> str:
        """Return a text of a block in the words of a fork where it is one."""
        return spoken(text, self.fork and not getattr(block, "verbatim", False))


TAKES = "takes"
"""The place in a document of the lines that can be taken."""


class Take(NamedTuple):
    """One line that can be taken: its text, and the values that it types into the job of a wheel.

    A value of None is removed. Without values the line is shown and cannot be taken. `wheel` is that of the
    job, None for the one on the bench; lines below each other with the same `head` are under one heading;
    `done` is what is said once it is taken, empty for the text up to its colon.
    """

    text: str
    values: tuple[tuple[TreePath, Raw | None], ...]
    wheel: Wheel | None = None
    head: str = ""
    done: str = ""

    def into(self, job: Job) -> Job:
        """Return the job of a wheel with the values typed."""
        for path, value in self.values:
            job = job.taken_out(path) if value is None else job.with_value(path, value)
        return job

    @property
    def told(self) -> str:
        """What is said once it is taken."""
        return self.done or self.text.partition(":")[0]


def caution(text: str, lead: str = "", *, verbatim: bool = False) -> Paragraph:
    """Return a caution: marked on the screen, named in the plain lines."""
    return Paragraph(text, Role.CAUTION, f"Caution: {text}", lead, verbatim=verbatim)


def plain_lines(document: Document, indent: str = "  ") -> list[str]:
    """Return the plain lines of a document, which headless commands and the report print."""
    return [f"{indent}{line}" for block in document.blocks for line in _plain(document, block) if line]


def _plain(document: Document, block: Block) -> Iterator[str]:
    match block:
        case Heading():
            yield document.spoken(block, block.plain)
        case Paragraph():
            yield document.spoken(block, block.text if block.plain is None else block.plain)
        case Labelled():
            yield block.line if block.plain is None else block.plain
        case Table():
            yield from block.plain


Rows = Sequence[Sequence[str | float]]
"""A table: texts, and numbers in the units that their headings name; NaN if there is none."""

UNVERIFIED = " (unverified)"
"""Stands behind the name of a setup that stands on values nobody has typed or confirmed."""
_MOST_WHOLE = 1e15
"""Below it every whole number is written with all its digits."""
_QUOTE = "'"
_RUN = "=+\\-@\uff1d\uff0b\uff0d\uff20"
"""Characters that begin a formula, with the wide forms of East Asian keyboards (from memory)."""
_RISKY = re.compile(f"['\t\r\n]| *[{_RUN}]")
_INSIDE = re.compile(f"([;\t\r\n])(?='* *[{_RUN}])")
_INSIDE_QUOTED = re.compile(f"([;\t\r\n])'(?='* *[{_RUN}])")


def defused(text: str) -> str:
    """Return text as a cell that no spreadsheet takes for a formula."""
    inside = _INSIDE.sub(r"\1'", text)
    return _QUOTE + inside if _RISKY.match(inside) else inside


def restored(cell: str) -> str:
    """Return the text of a cell that was `defused`."""
    return _INSIDE_QUOTED.sub(r"\1", cell.removeprefix(_QUOTE))


def csv_text(rows: Rows) -> str:
    """Return a table as CSV; shorter rows are filled up, so that all have as many cells."""
    file = io.StringIO(newline="")
    csv.writer(file).writerows(_cells(rows))
    return file.getvalue()


def csv_bytes(rows: Rows) -> bytes:
    """Return a table as a CSV file: in UTF-8, with the mark by which a spreadsheet recognises that."""
    return csv_text(rows).encode("utf-8-sig")


def tabbed_text(rows: Rows) -> str:
    """Return a table with tabs between its cells, as it is pasted into a spreadsheet or a message."""
    return "\n".join("\t".join(row).rstrip("\t") for row in _cells(rows))


def _cells(rows: Rows) -> Iterator[list[str]]:
    width = max(map(len, rows), default=0)
    for row in rows:
        yield [*map(_cell, row), *([""] * (width - len(row)))]


def _cell(value: str | float) -> str:
    if isinstance(value, str):
        text = clean(value)
        return text if text == ABSENT or _PLAIN.fullmatch(text) else defused(text)
    if not math.isfinite(value):
        return ""
    whole = float(value).is_integer() and abs(value) < _MOST_WHOLE
    return str(int(value)) if whole else repr(float(value))


def heading_of(label: str, unit: str) -> str:
    """Return what stands in a heading: the unit in brackets behind the label."""
    return f"{label} ({unit})".strip() if unit else label


_NUMBER = r"[+-]?\d+(?:\.\d+)?"
_PLAIN = re.compile(r"-?\d+(?:\.\d+)?")
"""A number that any spreadsheet takes for one and nothing else."""
UNITS = sorted({writing.unit for units in ALL for writing in units.writings.values()} - {""}, reverse=True)
"""Every unit that a number is shown in, the longer before those that begin like them."""
_MEASURED = re.compile(rf"\[?({_NUMBER})\]?(?: ({'|'.join(map(re.escape, UNITS))}))?")
"""A number alone or with its unit; one in brackets is where a setup stands in a table."""


def document_numbers(document: Document) -> Rows:
    """Return all tables of a document below each other, an empty row between; none for one without."""
    rows: list[Sequence[str | float]] = []
    title = ""
    for block in document.blocks:
        if isinstance(block, Heading):
            title = document.spoken(block, block.text)
        elif isinstance(block, Table) and block.rows:
            rows += [[], *table_numbers(block, title)] if rows else table_numbers(block, title)
    return rows


def table_numbers(table: Table, title: str = "") -> Rows:
    """Return a table of a document; its `title` stands in the corner where nothing else does.

    A unit that all numbers of a column have goes into its heading, one that all of a row have into the
    label of the row. What is marked, as above a limit, stays a text.
    """
    texts = [[_text(part).strip() for part in row] for row in table.rows]
    width = max(map(len, texts))
    texts = [[*row, *([""] * (width - len(row)))] for row in texts]
    heads, body = _heads(table, texts, width, title), texts[table.heads :]
    beside = [_shared_unit([row[column] for row in body]) for column in range(width)]
    heads = [heading_of(head, unit) for head, unit in zip(heads, beside, strict=True)]
    rows: list[Sequence[str | float]] = [heads] if table.heads else []
    for row in body:
        unit = "" if any(beside) else _shared_unit(row[1:])
        label, *cells = row
        rows.append([_value(heading_of(label, unit), beside[0]), *_values(cells, beside[1:], unit)])
    return rows


def _text(part: str | Cell | SetupName) -> str:
    if isinstance(part, SetupName):
        return part.name
    return part.text if isinstance(part, Cell) else part


def _heads(table: Table, texts: list[list[str]], width: int, title: str) -> list[str]:
    """Return the headings of the columns, with the units that the table gives for them."""
    heads = [" ".join(filter(None, column)) for column in zip(*texts[: table.heads], strict=True)]
    heads = heads or [""] * width
    heads[0] = heads[0] or title
    units = [*table.units, *([""] * (width - len(table.units)))]
    return [heading_of(head, unit) for head, unit in zip(heads, units, strict=True)]


def _shared_unit(cells: Sequence[str]) -> str:
    """Return the unit that all cells with anything in them have, empty if they do not."""
    found = [_MEASURED.fullmatch(cell) for cell in cells if cell not in ("", ABSENT)]
    units = {match[2] if match else None for match in found}
    return units.pop() or "" if len(units) == 1 else ""


def _values(cells: Sequence[str], beside: Sequence[str], unit: str) -> Iterator[str | float]:
    for cell, own in zip(cells, beside, strict=True):
        yield _value(cell, own or unit)


def _value(cell: str, unit: str) -> str | float:
    """Return the number of a cell whose unit stands in a heading; any other cell as it is."""
    match = _MEASURED.fullmatch(cell)
    if cell == ABSENT:
        return math.nan
    return float(match[1]) if match and (match[2] or "") in ("", unit) else cell
