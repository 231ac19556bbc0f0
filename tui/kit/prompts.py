"""One line of text asked for: no blinking, no control characters, Enter to take it, Escape to go back."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from dataclasses import dataclass
from functools import partial
from itertools import islice
from pathlib import Path
from typing import ClassVar, TypeVar

from textual import events, on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widget import Widget
from textual.widgets import Input, Static

from tui.job.tree import clean
from tui.kit.dialogs import Dialog, Result
from tui.kit.look import Glyphs
from tui.kit.work import promptly
from tui.saying import first_of


class LineInput(Input):
    """The framework's input, kept still and clean."""

    # In a terminal's own colours the framework has a black caret on white, which the themes turn over.
    DEFAULT_CSS = """
    LineInput { background: $surface; }
    LineInput:ansi > .input--cursor { background: ansi_default; color: ansi_default; text-style: reverse; }
    """

    def __init__(self, text: str) -> None:
        super().__init__(clean(text), compact=True, select_on_focus=False)
        self.cursor_blink = False

    async def on_key(self, event: events.Key) -> None:
        """Do what a key means here and now, so that keys which come in one burst keep their order.

        The framework puts letters in at once and leaves bindings to the next round: what is typed right
        after Ctrl+U over a slow line would be deleted by it.
        """
        bound = None if event.is_printable else self.screen.active_bindings.get(event.key)
        if bound is not None and bound.enabled:
            event.stop()
            event.prevent_default()
            await self.app.run_action(bound.binding.action, default_namespace=bound.node)

    def replace(self, text: str, start: int, end: int) -> None:
        """Put text in place of a stretch, without what a terminal must not be sent."""
        super().replace(clean(text), start, end)


_NO_ANSWER = "The disk does not answer yet. Escape goes back."
Found = TypeVar("Found")


class Refused(ValueError):
    """Text that cannot be taken; the message says what is wrong with it."""


class Prompt(Dialog[Result]):
    """A dialog around one line of text. `read` turns the text into the result."""

    DEFAULT_CSS = """
    Prompt {
        & > .box { width: 76; }
        & .hint, & .keys { width: 1fr; }
        & .line { height: 1; width: 1fr; }
        & .line LineInput { width: 1fr; }
        & .line Static { width: 2; }
        & .line .unit { width: auto; color: $text-muted; }
        & .note { color: $text-muted; width: 1fr; }
        & .note.-wrong { color: $text-error; text-style: bold; }
    }
    """

    TITLE: ClassVar[str] = ""
    HINT: ClassVar[str] = ""
    """Says what is wanted."""
    UNIT: ClassVar[str] = ""
    """Stands behind the line: the unit that a bare number is taken in."""
    KEYS: ClassVar[str] = ""

    def __init__(self, text: str, glyphs: Glyphs, title: str = "", hint: str = "") -> None:
        """Ask for a line in which `text` stands first; title and hint are the prompt's own unless given."""
        super().__init__(title or self.TITLE, glyphs, f"Enter  accept   {self.KEYS}Escape  back")
        self._hint = hint or self.HINT
        self._text = text
        self._noted = text
        self._doubted: str | None = None
        self._looking: str | None = None

    def body(self) -> Sequence[Widget]:
        """Return the hint, the line and room for what is wrong with it."""
        unit = (Static(self.words(self.UNIT), classes="unit"),) if self.UNIT else ()
        line = Horizontal(Static(self.words("> ")), LineInput(self._text), *unit, classes="line")
        return (Static(self.words(self._hint), classes="hint"), line, Static(classes="note"))

    @property
    def line(self) -> LineInput:
        """The line being typed."""
        return self.query_one(LineInput)

    def note(self, text: str, *, wrong: bool = False) -> None:
        """Say something below the line."""
        note = self.query_one(".note", Static)
        note.set_class(wrong, "-wrong")
        note.update(self.words(text))
        self._noted = self.line.value

    @on(Input.Changed)
    def _clear_note(self, event: Input.Changed) -> None:
        if event.value != self._noted:
            self.note("")

    def say(self, note: str) -> None:
        """Say something below the line."""
        self.note(note)

    @on(Input.Submitted)
    def _take(self, event: Input.Submitted) -> None:
        self.look(self.read, self._taken)

    def look(self, work: Callable[[str], Found], then: Callable[[str, Future[Found]], object]) -> None:
        """Do something with the line for which a disk may be needed, and go on with what became of it.

        While a disk does not answer the keys go on. What comes when the prompt is closed, or when another
        text stands in the line, is dropped.
        """
        text = self.line.value
        if self._looking == text:  # asked for again while the disk does not answer
            self.say(_NO_ANSWER)
            return
        self._looking = text

        def found(done: Future[Found]) -> None:
            if self._looking == text:
                self._looking = None
            if not self._left and self.line.value == text:
                then(text, done)

        promptly(self, partial(work, text), found, _NO_ANSWER)

    def _taken(self, text: str, done: Future[Result]) -> None:
        try:
            found = done.result()
        except Refused as refused:
            self.note(str(refused), wrong=True)
        except OSError as error:
            self.note(f"This path cannot be used: {error.strerror}.", wrong=True)
        else:
            doubt = "" if text == self._doubted else self.doubt(found)
            if doubt:
                self._doubted = text
                self.note(f"{doubt} Enter again accepts it.")
            else:
                self.close_with(found)

    def read(self, text: str) -> Result:
        """Return the result for the text, in any thread.

        Raises `Refused`, or `OSError` for a path that cannot be used.
        """
        raise NotImplementedError

    def doubt(self, found: Result) -> str:
        """Return the question about a result that is unlikely, empty for any other."""
        return ""


ENDING = ".toml"
"""What the name of a job file ends in."""

_MOST_NAMES = 5000
"""Names of a folder that are looked at: a key press must not wait for an endless folder."""


@dataclass(frozen=True, slots=True)
class Completion:
    """The text as far as it is sure, and the names it may continue with; folders end in a slash."""

    text: str
    names: tuple[str, ...]


def complete(text: str, endings: tuple[str, ...] = (ENDING,)) -> Completion:
    """Complete the last part of a path with folders and files of these endings, job files unless told.

    Hidden names are offered once a dot is typed. A name with characters that cannot be typed is left out.
    """
    folder, slash, start = text.rpartition(os.sep)
    found = []
    try:
        for entry in islice(as_path(folder + slash).iterdir(), _MOST_NAMES):
            name = entry.name
            hidden = name.startswith(".") and not start.startswith(".")
            if not name.startswith(start) or hidden or clean(name) != name:
                continue
            if entry.is_dir():
                found.append(name + os.sep)
            elif name.lower().endswith(endings):
                found.append(name)
    except OSError:
        found = []
    if not found:
        return Completion(text, ())
    shared = os.path.commonprefix(found)  # noqa: RUF071 - letter by letter is what completing means
    return Completion(folder + slash + shared, tuple(sorted(found)))


def as_path(text: str) -> Path:
    """Return typed text as a path, `~` being the home of whoever types."""
    path = Path(_pasted(text.strip()))
    try:
        return path.expanduser()
    except RuntimeError:  # no such person, or no home
        return path


def _pasted(text: str) -> str:
    """Return the whole path that was put in behind the folder that was offered, else the text."""
    place = text.rfind(os.sep * 2) + 1
    if place < 2 or Path(text).parent.is_dir() or not Path(text[place:]).parent.is_dir():
        return text
    return text[place:]


_SHOWN_NAMES = 6


class CompletingPrompt(Prompt[Result]):
    """A prompt in which Tab goes on with a path as far as its name is sure."""

    ENDINGS: ClassVar[tuple[str, ...]] = (ENDING,)
    """What the names of the files end in that Tab offers."""
    NO_NAMES: ClassVar[str] = "No folder or job file starts like this."
    KEYS = "Tab  complete   "
    BINDINGS: ClassVar[list[BindingType]] = [Binding("tab", "complete", "Complete", show=False)]

    def action_complete(self) -> None:
        """Complete the path, and name the ways it may go on where there are several."""
        self.look(partial(complete, endings=self.ENDINGS), self._completed)

    def _completed(self, _text: str, done: Future[Completion]) -> None:
        found = done.result()
        self.line.value = found.text
        self.line.cursor_position = len(found.text)
        if not found.names:
            self.note(self.NO_NAMES)
        elif len(found.names) > 1:
            self.note("   ".join(first_of(found.names, _SHOWN_NAMES, str, lambda more: f"and {more} more")))


class OpenPrompt(CompletingPrompt[Path]):
    """Ask for a file to open: it must be there."""

    TITLE = "Open a job"
    HINT = f"Path of a job file ({ENDING})"

    def read(self, text: str) -> Path:
        """Return the path of a file."""
        return existing_file(text)


def existing_file(text: str) -> Path:
    """Return typed text as the path of a file that is there; raises `Refused`."""
    path = as_path(text)
    if not text.strip():
        raise Refused("Type a path.")
    if path.is_dir():
        raise Refused("This is a folder; add a file name.")
    if not path.is_file():
        raise Refused("No such file; Tab shows what there is.")
    return path


class SavePrompt(CompletingPrompt[Path]):
    """Ask where to save: in a folder that is there. A name without an ending gets the first of `ENDINGS`."""

    TITLE = "Save the job as"
    HINT = f"Path of the file; without an ending it gets {ENDING}"

    def read(self, text: str) -> Path:
        """Return the path with its ending; a folder is refused, and a file in a folder that is not there."""
        path, typed = as_path(text), text.strip()
        path = path if path.suffix or not path.name else path.with_suffix(self.ENDINGS[0])
        if not typed or typed.endswith(os.sep) or path.is_dir():
            raise Refused("The file name is missing.")
        if not path.parent.is_dir():
            raise Refused("That folder does not exist.")
        return path
