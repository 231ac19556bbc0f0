"""A page to read: paragraphs in a frame, scrolled by keys, closed by Escape."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from tui.bench.dialogs import Dialog
from tui.glyphs import Glyphs

if TYPE_CHECKING:
    from physics.answer import Answer

STALE = "From the last good answer: something typed since then cannot be used."
"""Stands first on a page that is older than what is typed."""

_FRAME = 6
"""Lines of the screen that are not the text: border, title, keys and a gap before each."""


class Tone(Enum):
    """How a paragraph is meant; the value is its style class."""

    PLAIN = "plain"
    HEAD = "head"
    STRONG = "strong"
    QUIET = "quiet"
    CAUTION = "caution"


@dataclass(frozen=True, slots=True)
class Paragraph:
    """One paragraph of a page, `indent` columns in; a head has a gap above it.

    A `lead` stands in front of the text in `indent` columns of its own.
    """

    text: str
    tone: Tone = Tone.PLAIN
    indent: int = 0
    lead: str = ""


def setup_title(what: str, answer: Answer, setup: int) -> str:
    """Return a title that says which of the setups a page is about."""
    count = len(answer.setups)
    of_many = f", setup {setup + 1} of {count}" if count > 1 else ""
    return f"{what} {answer.setups[setup].name}{of_many}"


class Page(Dialog[None]):
    """A page in front of the bench."""

    DEFAULT_CSS = """
    Page {
        & > .box { width: 84; }
        & VerticalScroll { height: auto; scrollbar-size: 0 0; margin-top: 1; }
        & VerticalScroll Static { width: 1fr; max-width: 100%; }
        & Horizontal { height: auto; }
        & .lead { text-style: bold; padding-right: 1; }
        & .head { text-style: bold; color: $text-secondary; margin-top: 1; }
        & .head.-first { margin-top: 0; }
        & .strong { text-style: bold; }
        & .quiet { color: $text-muted; }
        & .caution { color: $text-warning; }
    }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,q", "back", "Back", show=False),
        Binding("up", "lines(-1)", "Line up", show=False, priority=True),
        Binding("down", "lines(1)", "Line down", show=False, priority=True),
        Binding("pageup", "pages(-1)", "Page up", show=False, priority=True),
        Binding("pagedown,space", "pages(1)", "Page down", show=False, priority=True),
        Binding("home", "lines(-9999)", "Start", show=False, priority=True),
        Binding("end", "lines(9999)", "End", show=False, priority=True),
    ]

    KEYS: ClassVar[str] = "Escape  back"
    """Stands below the text; keys to scroll follow where there is more of it."""

    def __init__(self, title: str, paragraphs: Sequence[Paragraph], glyphs: Glyphs) -> None:
        """Show paragraphs under a title."""
        super().__init__(title, glyphs, self.KEYS)
        self.paragraphs = tuple(paragraphs)

    def body(self) -> Sequence[Widget]:
        """Return the text in a window that scrolls."""
        return (VerticalScroll(*map(self._shown, range(len(self.paragraphs)))),)

    def _shown(self, place: int) -> Widget:
        paragraph = self.paragraphs[place]
        mark = f"{self.glyphs.caution} " if paragraph.tone is Tone.CAUTION else ""
        shown = Static(self.words(mark + paragraph.text), classes=paragraph.tone.value)
        shown.set_class(place == 0, "-first")
        if paragraph.lead:
            lead = Static(self.words(paragraph.lead), classes="lead")
            lead.styles.width = paragraph.indent
            return Horizontal(lead, shown)
        shown.styles.padding = (0, 0, 0, paragraph.indent)
        return shown

    @property
    def window(self) -> VerticalScroll:
        """The window that scrolls."""
        return self.query_one(VerticalScroll)

    def on_resize(self, event: events.Resize) -> None:
        """Leave the text what the frame does not need."""
        for window in self.query(VerticalScroll):  # none is there any more on a page that is being closed
            window.styles.max_height = max(event.size.height - _FRAME, 1)
            self.call_after_refresh(self._tell_place)

    def action_lines(self, lines: int) -> None:
        """Scroll by so many lines."""
        self.window.scroll_relative(y=lines, animate=False, immediate=True)
        self._tell_place()

    def action_pages(self, pages: int) -> None:
        """Scroll by so many windows, one line kept in sight."""
        self.action_lines(pages * max(self.window.size.height - 1, 1))

    def _tell_place(self) -> None:
        shown, lines = self.window.size.height, self.window.virtual_size.height
        keys = self.KEYS
        if lines > shown:
            first = self.window.scroll_offset.y
            keys += f"   lines {first + 1} to {first + shown} of {lines}   up, down, space  scroll"
        self.query_one(".keys", Static).update(self.words(keys))
