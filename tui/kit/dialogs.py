"""Dialogs in front of a screen: their frame, questions, pages.

Escape always goes back without effect: every dialog then returns None.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from itertools import count
from pathlib import Path
from typing import ClassVar, TypeVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.screen import ModalScreen
from textual.widget import Widget
from textual.widgets import Static

from physics.frozen import dataclass
from tui.kit.keymap import pressed_name
from tui.kit.look import Glyphs, literal
from tui.kit.roles import Role
from tui.kit.screen import SparingScreen

Result = TypeVar("Result")


class Dialog(SparingScreen[Result | None], ModalScreen[Result | None]):
    """A framed box over the bench: a title, what the dialog asks, and a line with its keys."""

    DEFAULT_CSS = """
    Dialog {
        align: center middle;
        background: transparent;
        &:ansi { background: transparent; }
        & > .box {
            width: auto;
            min-width: 30;
            max-width: 100%;
            height: auto;
            max-height: 100%;
            padding: 0 1;
            border: round $primary;
            background: $surface;
            color: $foreground;
        }
        & .title { text-style: bold; }
        & .keys { color: $text-muted; margin-top: 1; }
        &.-ascii > .box { border: ascii $primary; }
        &.-solid > .box { border: solid $primary; }
        & .replies { width: auto; height: auto; margin-top: 1; }
        & Static { width: auto; max-width: 76; height: auto; }
    }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "back", "Back", show=False)]

    def __init__(self, title: str, glyphs: Glyphs, keys: str) -> None:
        """Make a dialog; `keys` is the line that names its keys."""
        super().__init__(classes=f"-{glyphs.frame}")
        self.glyphs = glyphs
        self._heading = title
        self._keys = keys

    def compose(self) -> ComposeResult:
        """Put title, body and keys in the box."""
        with Vertical(classes="box"):
            yield Static(self.words(self._heading), classes="title")
            yield from self.body()
            yield Static(self.words(self._keys), classes="keys")

    def body(self) -> Sequence[Widget]:
        """Return the widgets between title and keys."""
        return ()

    def words(self, text: str) -> Content:
        """Return text literally, never as markup."""
        return Content(literal(text, self.glyphs))

    def action_back(self) -> None:
        """Close without an answer."""
        self.close_with(None)

    def say_keys(self, said: str = "") -> None:
        """Show the line with the keys, after a message."""
        self.query_one(".keys", Static).update(self.words(f"{said}   {self._keys}" if said else self._keys))

    def takes(self, key: str, character: str | None) -> bool:
        """Handle a key; return whether the dialog uses it."""
        return False

    def on_key(self, event: events.Key) -> None:
        """Handle a key, or say that it does nothing here."""
        if self.takes(event.key, event.character):
            event.stop()
        elif event.key not in self.active_bindings:
            event.stop()
            self.say_keys(f"{pressed_name(event.key, event.character)} does nothing here.")


@dataclass(frozen=True, slots=True)
class Reply:
    """One answer to a question: its letter, what it does in words, and the result it closes with."""

    letter: str
    label: str
    result: str


class ReplyLine(Static):
    """A clickable reply to a question."""

    @dataclasses.dataclass
    class Chosen(Message):
        """The reply was clicked."""

        place: int

    def __init__(self, content: Content, place: int) -> None:
        super().__init__(content)
        self.place = place

    def on_click(self) -> None:
        """Give the reply."""
        self.post_message(self.Chosen(self.place))


class Question(Dialog[str]):
    """A question answered by a letter, by Enter on the selected reply, or by a click.

    Without `enter` no reply is selected until an arrow is pressed.
    """

    def __init__(
        self,
        title: str,
        text: Sequence[str],
        replies: Sequence[Reply],
        back: str,
        glyphs: Glyphs,
        *,
        enter: bool = False,
        here: int = 0,
    ) -> None:
        """Ask with a few lines of text; `back` says what Escape does.

        With `enter` the reply at `here` is selected initially: only for changes that can be undone. Without
        any reply, Enter goes back too.
        """
        super().__init__(title, glyphs, f"Escape  {back}")
        self._text = tuple(text)
        self._replies = tuple(replies)
        self._here: int | None = here if enter and replies else None

    def body(self) -> Sequence[Widget]:
        """Return the text and a line per reply."""
        replies = (ReplyLine(self._line(place), place) for place in range(len(self._replies)))
        return (*(Static(self.words(line)) for line in self._text), Vertical(*replies, classes="replies"))

    def _line(self, place: int) -> Content:
        """Return a reply with its letter, and Enter if it is selected."""
        reply, here = self._replies[place], place == self._here
        mark = f"{self.glyphs.selected if here else ' '} "
        keys = f"{reply.letter.upper()}{' or Enter' if here else ''}".ljust(12)
        return Content.assemble(mark, (keys, "bold"), literal(reply.label, self.glyphs))

    def takes(self, key: str, character: str | None) -> bool:
        """Close with the reply of a letter in either case; arrows select a reply, Enter takes it."""
        if key in ("up", "down") and self._replies:
            self._select(1 if key == "down" else -1)
            return True
        if key == "enter" and (self._here is not None or not self._replies):
            self.close_with(None if self._here is None else self._replies[self._here].result)
            return True
        reply = next((one for one in self._replies if one.letter == (character or "").lower()), None)
        if reply is not None:
            self.close_with(reply.result)
        return reply is not None

    def _select(self, steps: int) -> None:
        before = -1 if self._here is None else self._here
        self._here = min(max(before + steps, 0), len(self._replies) - 1)
        for line in self.query(ReplyLine):
            line.update(self._line(line.place))
        self.say_keys()

    def on_reply_line_chosen(self, event: ReplyLine.Chosen) -> None:
        """Close with the reply that was clicked."""
        self.close_with(self._replies[event.place].result)


SAVE, DISCARD, REPLACE, OPEN, LEAVE = "save", "discard", "replace", "open", "leave"
"""Results of the questions below; Escape is always None."""


def ask_unsaved(title: str, glyphs: Glyphs) -> Question:
    """Ask what to do with unsaved changes: `SAVE` or `DISCARD`."""
    replies = (Reply("s", "save them first", SAVE), Reply("d", "discard them", DISCARD))
    return Question("Changes are not saved", (title,), replies, "stay here", glyphs)


def ask_to_leave(is_kept: bool, glyphs: Glyphs) -> Question:
    """Ask whether to leave while saving takes long: `LEAVE`. A draft of a job that `is_kept` remains."""
    kept = "The job is kept as a draft and offered at the next start."
    lost = "No draft could be kept either: what is not saved would be lost."
    words = ("Saving to the records is not done yet.", kept if is_kept else lost)
    return Question("Leave without waiting?", words, (Reply("l", "leave", LEAVE),), "stay and wait", glyphs)


def ask_overwrite(path: Path, glyphs: Glyphs) -> Question:
    """Ask before overwriting a file: `REPLACE`."""
    replies = (Reply("r", "replace it; its contents are lost", REPLACE),)
    return Question("This file exists already", (str(path),), replies, "keep the old file", glyphs)


def tell_recovered(about: Sequence[str], glyphs: Glyphs) -> Question:
    """Offer work not saved before the program ended: `OPEN` or `DISCARD`; Escape keeps it for later."""
    replies = (Reply("o", "open it", OPEN), Reply("d", "discard it", DISCARD))
    return Question("Unsaved work from last time", about, replies, "not now", glyphs)


def tell_damaged(paths: Sequence[Path], glyphs: Glyphs) -> Question:
    """Report damaged drafts; there is nothing to choose."""
    text = ("A draft cannot be read. It was not deleted; it is here:", *map(str, paths))
    return Question("Damaged draft moved aside", text, (), "continue", glyphs)


_FRAME = 6
"""Lines of the screen that are not the text: border, title, keys and a gap before each."""


@dataclass(frozen=True, slots=True)
class Paragraph:
    """One paragraph of a page, `indent` columns in; a heading has a gap above it.

    A `lead` is in front of the text, in the `indent` columns.
    """

    text: str
    role: Role = Role.BASE
    indent: int = 0
    lead: str = ""


class Page(Dialog[None]):
    """A page in front of the bench."""

    DEFAULT_CSS = """
    Page {
        & > .box { width: 84; }
        & VerticalScroll { height: auto; scrollbar-size: 0 0; margin-top: 1; }
        & VerticalScroll Static { width: 1fr; max-width: 100%; }
        & Horizontal { height: auto; }
        & .lead { text-style: bold; padding-right: 1; }
        & .heading { text-style: bold; color: $text-secondary; margin-top: 1; }
        & .heading.-first { margin-top: 0; }
        & .strong { text-style: bold; }
        & .quiet { color: $text-muted; }
        & .caution { color: $text-warning; text-style: bold; }
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
    """Keys below the text; those for scrolling are added if needed."""

    def __init__(self, title: str, paragraphs: Sequence[Paragraph], glyphs: Glyphs) -> None:
        super().__init__(title, glyphs, self.KEYS)
        self.paragraphs = tuple(paragraphs)

    def body(self) -> Sequence[Widget]:
        """Return the text in a window that scrolls."""
        return (VerticalScroll(*map(self._shown, count(), self.paragraphs)),)

    def _shown(self, place: int, paragraph: Paragraph) -> Widget:
        mark = f"{self.glyphs.caution} " if paragraph.role is Role.CAUTION else ""
        shown = Static(self.words(mark + paragraph.text), classes=paragraph.role.name.lower())
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
        """Give the text the height that the frame leaves."""
        for window in self.query(VerticalScroll):  # none is there any more on a page that is being closed
            window.styles.max_height = max(event.size.height - _FRAME, 1)
            self.call_after_refresh(self._tell_place)

    def action_lines(self, lines: int) -> None:
        """Scroll by some lines."""
        self.window.scroll_relative(y=lines, animate=False, immediate=True)
        self._tell_place()

    def action_pages(self, pages: int) -> None:
        """Scroll by some pages, keeping one line visible."""
        self.action_lines(pages * max(self.window.size.height - 1, 1))

    def _tell_place(self) -> None:
        shown, lines = self.window.size.height, self.window.virtual_size.height
        keys = self.KEYS
        if lines > shown:
            first = self.window.scroll_offset.y
            keys += f"   lines {first + 1} to {first + shown} of {lines}   up, down, space  scroll"
        self.query_one(".keys", Static).update(self.words(keys))
