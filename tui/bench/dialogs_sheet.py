"""The setup sheet to read in front of the bench, and the path it is saved to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from pathlib import Path
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from tui.bench.dialogs_page import STALE, Page, Paragraph, Tone
from tui.bench.dialogs_path import SavePrompt
from tui.glyphs import Glyphs
from tui.settings import FILE, config_folder
from tui.sheet.forms import form_of
from tui.sheet.model import Blank, Box, Chart, Line, Part, Said, Sheet, Warned

_RULE = "_" * 16


class SheetPage(Page):
    """The sheet as text; `S` saves it."""

    KEYS = "S  save it to a file   Escape  back"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("s,S", "save", "Save", show=False)]

    def __init__(self, sheet: Sheet, glyphs: Glyphs, *, stale: bool) -> None:
        """Show a sheet, marked where it is older than what is typed."""
        old = (Paragraph(STALE, Tone.CAUTION),) if stale else ()
        super().__init__(f"Setup sheet: {sheet.title}", (*old, *_paragraphs(sheet)), glyphs)
        self.save_asked = False

    def body(self) -> Sequence[Widget]:
        """Return the text in a window that scrolls: a widget for all lines in a row that look alike.

        One for each line, as on shorter pages, would keep the hand waiting.
        """
        alike = groupby(self.paragraphs, key=lambda paragraph: (paragraph.tone, paragraph.indent))
        return (VerticalScroll(*(self._block(tone, indent, told) for (tone, indent), told in alike)),)

    def _block(self, tone: Tone, indent: int, told: Iterable[Paragraph]) -> Static:
        mark = f"{self.glyphs.caution} " if tone is Tone.CAUTION else ""
        lines = (self.words(mark + paragraph.text) for paragraph in told)
        block = Static(Content("\n").join(lines), classes=tone.value)
        block.styles.padding = (0, 0, 0, indent)
        return block

    def action_save(self) -> None:
        """Close, so that the path can be asked for."""
        self.save_asked = True
        self.close_with(None)


class SheetPrompt(SavePrompt):
    """Ask where the sheet is saved; the ending says in which form."""

    TITLE = "Save the setup sheet as"
    HINT = "A path ending in .html (to print), .md or .txt; without one it gets .html"
    ENDINGS = (".html", ".md", ".txt")
    NO_NAMES = "No folder or sheet begins like this."

    def refusal(self, path: Path, text: str) -> str:
        """Refuse what cannot be saved to, and an ending that says no form."""
        if form_of(path) is None and path.name:
            return f"No sheet ends in {path.suffix}: .html (to print, as PDF too), .md or .txt does."
        return super().refusal(path, text)


def _paragraphs(sheet: Sheet) -> Iterator[Paragraph]:
    if sheet.shop:
        yield Paragraph(sheet.shop, Tone.STRONG)
    else:
        yield Paragraph(f"No shop's name is printed: set it as name in [shop] of {config_folder() / FILE}.")
    yield from map(_paragraph, sheet.about)
    for group in sheet.groups:
        yield Paragraph(group.title, Tone.HEAD)
        for section in group.sections:
            if section.title:
                yield Paragraph(section.title, Tone.STRONG)
            for part in section.parts:
                yield _paragraph(part)
                if isinstance(part, Chart):
                    yield from (Paragraph(f"{line.label}: {line.value}", indent=4) for line in part.lines)


def _paragraph(part: Part) -> Paragraph:
    match part:
        case Line(label, value):
            return Paragraph(f"{label}: {value}", indent=2)
        case Warned(text):
            return Paragraph(text, Tone.CAUTION, indent=2)
        case Box(text):
            return Paragraph(f"[ ] {text}", indent=2)
        case Blank(label, hint):
            return Paragraph(f"{label}: {_RULE}{f' ({hint})' if hint else ''}", indent=2)
        case Said(text):
            return Paragraph(text, indent=2)
        case Chart(title=title):
            return Paragraph(title, indent=2)
