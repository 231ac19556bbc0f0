"""What stands in front of the bench and waits for a key: the frame of a dialog, and questions.

Escape always means back, nothing happens: every dialog then returns None.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar, TypeVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widget import Widget
from textual.widgets import Static

from tui.bench.dialogs_literal import literal
from tui.glyphs import Glyphs
from tui.sparing import SparingScreen

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
        &.-plain > .box { border: ascii $primary; }
        & .replies { width: auto; height: auto; margin-top: 1; }
        & Static { width: auto; max-width: 76; height: auto; }
    }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "back", "Back", show=False)]

    def __init__(self, title: str, glyphs: Glyphs, keys: str) -> None:
        """Frame a dialog; `keys` is the line that names its keys."""
        super().__init__(classes="-plain" if glyphs.ascii else None)
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
        """Return what stands between title and keys."""
        return ()

    def words(self, text: str) -> Content:
        """Return text as it stands, never as markup."""
        return Content(literal(text, self.glyphs))

    def action_back(self) -> None:
        """Close without an answer."""
        self.close_with(None)


@dataclass(frozen=True, slots=True)
class Reply:
    """One answer to a question: its letter, what it does in words, and the result it closes with."""

    letter: str
    label: str
    result: str


class Question(Dialog[str]):
    """A question answered by one letter; nothing else closes it but Escape, and Enter where it says so."""

    def __init__(
        self,
        title: str,
        text: Sequence[str],
        replies: Sequence[Reply],
        back: str,
        glyphs: Glyphs,
        *,
        enter: bool = False,
    ) -> None:
        """Ask with a few lines of text; `back` says what Escape leaves as it is.

        With `enter` that key gives the first reply: only where undo brings back what it changes.
        """
        super().__init__(title, glyphs, f"Escape  {back}")
        self._text = tuple(text)
        self._replies = tuple(replies)
        self._enter = enter

    def body(self) -> Sequence[Widget]:
        """Return the text and a line per reply."""
        text = (Static(self.words(line)) for line in self._text)
        return (*text, Vertical(*(Static(self._line(reply)) for reply in self._replies), classes="replies"))

    def _line(self, reply: Reply) -> Content:
        also = " or Enter" if self._enter and reply is self._replies[0] else ""
        keys = f"{reply.letter.upper()}{also}".ljust(12 if self._enter else 8)
        return Content.assemble((keys, "bold"), f"{literal(reply.label, self.glyphs)}")

    def on_key(self, event: events.Key) -> None:
        """Close with the reply of a letter, capital or small."""
        for place, reply in enumerate(self._replies):
            entered = self._enter and place == 0 and event.key == "enter"
            if entered or (event.character or "").lower() == reply.letter:
                event.stop()
                self.close_with(reply.result)


SAVE, DISCARD, REPLACE, OPEN = "save", "discard", "replace", "open"
"""Results of the questions below; Escape is always None."""


def ask_unsaved(title: str, glyphs: Glyphs) -> Question:
    """Ask what becomes of changes that are not saved: `SAVE` or `DISCARD`."""
    replies = (Reply("s", "save them first", SAVE), Reply("d", "discard them", DISCARD))
    return Question("Changes are not saved", (title,), replies, "stay here", glyphs)


def ask_overwrite(path: Path, glyphs: Glyphs) -> Question:
    """Ask before a file is written over: `REPLACE`."""
    replies = (Reply("r", "replace it; what it holds now is lost", REPLACE),)
    return Question("This file is there already", (str(path),), replies, "keep it as it is", glyphs)


def tell_recovered(about: Sequence[str], glyphs: Glyphs) -> Question:
    """Offer work not saved before the program ended: `OPEN` or `DISCARD`; Escape keeps it for later."""
    replies = (Reply("o", "open it and go on", OPEN), Reply("d", "discard it", DISCARD))
    return Question("Work from last time was kept", about, replies, "leave it for later", glyphs)


def tell_damaged(paths: Sequence[Path], glyphs: Glyphs) -> Question:
    """Name kept work that cannot be read; there is nothing to choose."""
    text = ("A draft cannot be read. Nothing of it is deleted; it lies here:", *map(str, paths))
    return Question("Damaged draft moved aside", text, (), "go on", glyphs)
