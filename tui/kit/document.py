"""What a subject has to say, as plain data: headings, paragraphs, tables and cautions, and their plain lines.

`tui.kit.dressing` makes rows of cells of the same document. Nothing here knows of a terminal.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tui.job.wheels import spoken
from tui.kit.roles import Role


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
    free. A `verbatim` one holds words of people, which are never put into those of a fork.
    """

    text: str
    role: Role = Role.BASE
    plain: str | None = None
    lead: str = ""
    gap: bool = False
    verbatim: bool = False


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
