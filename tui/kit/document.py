"""Documents as plain data (headings, paragraphs, tables, cautions), and their plain forms.

The plain forms are lines of text, and tables as CSV or with tabs. `tui.kit.dressing` turns the same document
into rows of cells. Nothing here depends on a terminal.

CSV follows RFC 4180: commas, CR LF, quotes where needed. Numbers are written in full with a decimal point,
their unit in the heading of column or row; NaN is an empty cell. A text that a spreadsheet would run as a
formula gets an apostrophe in front.
"""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Iterator, Sequence

from physics.frozen import NamedTuple, dataclass
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
    """One or several sentences; an empty `text` is not shown on the screen.

    `plain` is the text for the plain lines: None for the same as on the screen, empty for none. On the
    screen, `lead` precedes the first line and the others are indented by its width; `gap` adds an empty line
    above. `verbatim` text is by people and never changed to terms of a fork. The setup that it is `of` is
    named before it on the screen.
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
    """A value with a label; with an empty `plain` it is not in the plain lines."""

    label: str
    text: str
    plain: str | None = None

    @property
    def line(self) -> str:
        """Both as one line."""
        return f"{self.label}: {self.text}"


@dataclass(frozen=True, slots=True)
class SetupName:
    """Name and index of a setup, shown with its marker and colour on the screen."""

    name: str
    place: int
    lead: str = ""


@dataclass(frozen=True, slots=True)
class Cell:
    """A text with its own role in a table."""

    text: str
    role: Role = Role.BASE


TableRow = tuple[str | Cell | SetupName, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A table: first column left-aligned, others right-aligned, the first `heads` rows emphasised.

    `units` are shown beside the names of the first row, or below them if that is too wide. With `last_from`
    the last column is optional: dropped in a view narrower than that or than the table. `note` is shown
    before the row with its index. `plain` are the table's plain lines.
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
    """Placeholder for a drawing of the view, by its name."""

    name: str


Block = Heading | Paragraph | Labelled | SetupName | Table | Drawing


@dataclass(frozen=True, slots=True)
class Document:
    """A sequence of blocks; for a `fork`, headings and paragraphs are changed to its terms."""

    blocks: tuple[Block, ...]
    fork: bool = False

    def spoken(self, block: Heading | Paragraph, text: str) -> str:
        """Return a text of a block, in terms of a fork if it is one."""
        return spoken(text, self.fork and not getattr(block, "verbatim", False))


TAKES = "takes"
"""Name of the placeholder for the lines to take."""


class Take(NamedTuple):
    """A line to take: its text, and the values that it puts into the job of a wheel.

    A value of None is removed. A line without values cannot be taken, or with `leaves` is to leave everything
    as it is, of which that is the message. `wheel` None is the one on the bench;
    consecutive lines with the same `head` are under one heading; `done` is the message after taking it, by
    default the text up to its colon. With `calculated` the values are unconfirmed in the job: somebody has
    to measure them.
    """

    text: str
    values: tuple[tuple[TreePath, Raw | None], ...]
    wheel: Wheel | None = None
    head: str = ""
    done: str = ""
    calculated: bool = False
    leaves: str = ""

    def into(self, job: Job) -> Job:
        """Return the job of a wheel with the values typed, or as `calculated`."""
        for path, value in self.values:
            if value is None:
                job = job.taken_out(path)
            else:
                job = job.with_invented(path, value) if self.calculated else job.with_value(path, value)
        return job

    @property
    def told(self) -> str:
        """The message after taking it."""
        return self.done or self.text.partition(":")[0]


def caution(text: str, lead: str = "", *, verbatim: bool = False) -> Paragraph:
    """Return a caution: marked on the screen, named in the plain lines."""
    return Paragraph(text, Role.CAUTION, f"Caution: {text}", lead, verbatim=verbatim)


def plain_lines(document: Document, indent: str = "  ") -> list[str]:
    """Return the plain lines of a document, for headless commands and the report."""
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
"""A table of texts and numbers, the latter in the units of their headings, NaN if missing."""

UNVERIFIED = " (unverified)"
"""Follows the name of a setup that depends on unconfirmed values."""
_MOST_WHOLE = 1e15
"""Whole numbers below this are written with all digits."""
_QUOTE = "'"
_RUN = "=+\\-@\uff1d\uff0b\uff0d\uff20"
"""Characters that begin a formula, with the wide forms of East Asian keyboards (from memory)."""
_RISKY = re.compile(f"['\t\r\n]| *[{_RUN}]")
_INSIDE = re.compile(f"([;\t\r\n])(?='* *[{_RUN}])")
_INSIDE_QUOTED = re.compile(f"([;\t\r\n])'(?='* *[{_RUN}])")


def defused(text: str) -> str:
    """Return text as a cell that no spreadsheet runs as a formula."""
    inside = _INSIDE.sub(r"\1'", text)
    return _QUOTE + inside if _RISKY.match(inside) else inside


def restored(cell: str) -> str:
    """Return the text of a cell that was `defused`."""
    return _INSIDE_QUOTED.sub(r"\1", cell.removeprefix(_QUOTE))


def csv_text(rows: Rows) -> str:
    """Return a table as CSV; short rows are padded to equal length."""
    file = io.StringIO(newline="")
    csv.writer(file).writerows(_cells(rows))
    return file.getvalue()


def csv_bytes(rows: Rows) -> bytes:
    """Return a table as a CSV file in UTF-8 with byte order mark, which spreadsheets need."""
    return csv_text(rows).encode("utf-8-sig")


def tabbed_text(rows: Rows) -> str:
    """Return a table with tabs between cells, for pasting into a spreadsheet or a message."""
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
    """Return a heading: the label, and the unit in brackets."""
    return f"{label} ({unit})".strip() if unit else label


_NUMBER = r"[+-]?\d+(?:\.\d+)?"
_PLAIN = re.compile(r"-?\d+(?:\.\d+)?")
"""A number that any spreadsheet recognises as such."""
UNITS = sorted({writing.unit for units in ALL for writing in units.writings.values()} - {""}, reverse=True)
"""All units of shown numbers, longer ones before their prefixes."""
_MEASURED = re.compile(rf"\[?({_NUMBER})\]?(?: ({'|'.join(map(re.escape, UNITS))}))?")
"""A number with or without unit; brackets mark the present value of a setup in a table."""


def document_numbers(document: Document) -> Rows:
    """Return all tables of a document, separated by empty rows."""
    rows: list[Sequence[str | float]] = []
    title = ""
    for block in document.blocks:
        if isinstance(block, Heading):
            title = document.spoken(block, block.text)
        elif isinstance(block, Table) and block.rows:
            rows += [[], *table_numbers(block, title)] if rows else table_numbers(block, title)
    return rows


def table_numbers(table: Table, title: str = "") -> Rows:
    """Return a table of a document as numbers; `title` fills an empty corner cell.

    A unit common to a column goes into its heading, one common to a row into its label. Marked numbers, such
    as those above a limit, stay text.
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
    """Return the headings of the columns with their units."""
    heads = [" ".join(filter(None, column)) for column in zip(*texts[: table.heads], strict=True)]
    heads = heads or [""] * width
    heads[0] = heads[0] or title
    units = [*table.units, *([""] * (width - len(table.units)))]
    return [heading_of(head, unit) for head, unit in zip(heads, units, strict=True)]


def _shared_unit(cells: Sequence[str]) -> str:
    """Return the unit common to all non-empty cells, empty if there is none."""
    found = [_MEASURED.fullmatch(cell) for cell in cells if cell not in ("", ABSENT)]
    units = {match[2] if match else None for match in found}
    return units.pop() or "" if len(units) == 1 else ""


def _values(cells: Sequence[str], beside: Sequence[str], unit: str) -> Iterator[str | float]:
    for cell, own in zip(cells, beside, strict=True):
        yield _value(cell, own or unit)


def _value(cell: str, unit: str) -> str | float:
    """Return the number of a cell whose unit is in a heading; other cells unchanged."""
    match = _MEASURED.fullmatch(cell)
    if cell == ABSENT:
        return math.nan
    return float(match[1]) if match and (match[2] or "") in ("", unit) else cell
