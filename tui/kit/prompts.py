"""Prompts for one line of text, without blinking or control characters; Enter accepts, Escape goes back."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from functools import partial
from itertools import islice
from pathlib import Path
from typing import ClassVar, TypeVar

from textual import events, on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widget import Widget
from textual.widgets import Input, Static

from physics.frozen import dataclass
from tui.job.tree import clean
from tui.kit.dialogs import Dialog, Result
from tui.kit.look import Glyphs
from tui.kit.work import promptly
from tui.saying import first_of


class LineInput(Input):
    """The framework's input without blinking and without control characters."""

    # With the terminal's own colours the framework's caret is black on white; the themes reverse it.
    DEFAULT_CSS = """
    LineInput { background: $surface; }
    LineInput:ansi > .input--cursor { background: ansi_default; color: ansi_default; text-style: reverse; }
    """

    def __init__(self, text: str) -> None:
        super().__init__(clean(text), compact=True, select_on_focus=False)
        self.cursor_blink = False

    async def on_key(self, event: events.Key) -> None:
        """Handle a key immediately, so that keys of one burst keep their order.

        The framework inserts letters at once but runs bindings later: over a slow connection, Ctrl+U would
        delete letters typed after it.
        """
        bound = None if event.is_printable else self.screen.active_bindings.get(event.key)
        if bound is not None and bound.enabled:
            event.stop()
            event.prevent_default()
            await self.app.run_action(bound.binding.action, default_namespace=bound.node)

    def replace(self, text: str, start: int, end: int) -> None:
        """Replace a range by text, cleaned of control characters."""
        super().replace(clean(text), start, end)


_NO_ANSWER = "The disk does not answer yet. Escape goes back."
Found = TypeVar("Found")


class Refused(ValueError):
    """Invalid text; the message says what is wrong with it."""


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
    KEYS: ClassVar[str] = ""

    def __init__(self, text: str, glyphs: Glyphs, title: str = "", hint: str = "") -> None:
        """Ask for a line with initial `text`; title and hint are by default those of the class."""
        super().__init__(title or self.TITLE, glyphs, f"Enter  accept   {self.KEYS}Escape  back")
        self._hint = hint or self.HINT
        self._text = text
        self._noted = text
        self._unit = self.unit_of(text)
        self._doubted: str | None = None
        self._looking: str | None = None

    def body(self) -> Sequence[Widget]:
        """Return the hint, the line, and space for an error."""
        unit = Static(self.words(self._unit), classes="unit")
        line = Horizontal(Static(self.words("> ")), LineInput(self._text), unit, classes="line")
        return (Static(self.words(self._hint), classes="hint"), line, Static(classes="note"))

    def unit_of(self, text: str) -> str:
        """Return the unit that the text would take, shown after the line; empty for none."""
        return ""

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
    def _changed(self, event: Input.Changed) -> None:
        if event.value != self._noted:
            self.note("")
        unit = self.unit_of(event.value)
        if unit != self._unit:
            self._unit = unit
            self.query_one(".unit", Static).update(self.words(unit))

    def say(self, note: str) -> None:
        """Say something below the line."""
        self.note(note)

    @on(Input.Submitted)
    def _take(self, event: Input.Submitted) -> None:
        self.look(self.read, self._taken)

    def look(self, work: Callable[[str], Found], then: Callable[[str, Future[Found]], object]) -> None:
        """Do work on the line that may access a disk, then continue with the result.

        While a disk does not answer, keys still work. A result that comes after the prompt was closed, or
        after the text was changed, is dropped.
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
        """Return the result for the text; runs in a thread.

        Raises `Refused`, or `OSError` for a path that cannot be used.
        """
        raise NotImplementedError

    def doubt(self, found: Result) -> str:
        """Return a question about an unlikely result, else empty."""
        return ""


ENDING = ".toml"
"""Ending of job files."""

_MOST_NAMES = 5000
"""Maximum number of names read from a folder: a key must not wait for a huge one."""


@dataclass(frozen=True, slots=True)
class Completion:
    """The text as far as it is unique, and the possible names; folders end with a slash."""

    text: str
    names: tuple[str, ...]


def complete(text: str, endings: tuple[str, ...] = (ENDING,)) -> Completion:
    """Complete the last part of a path with folders and files with these endings, by default job files.

    Hidden names are offered once a dot is typed. Names with control characters are left out.
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
    """Return typed text as a path, with `~` expanded."""
    path = Path(_pasted(text.strip()))
    try:
        return path.expanduser()
    except RuntimeError:  # no such person, or no home
        return path


def _pasted(text: str) -> str:
    """Return the absolute path if one was pasted after the suggested folder, else the text."""
    place = text.rfind(os.sep * 2) + 1
    if place < 2 or Path(text).parent.is_dir() or not Path(text[place:]).parent.is_dir():
        return text
    return text[place:]


_SHOWN_NAMES = 6


class CompletingPrompt(Prompt[Result]):
    """A prompt in which Tab completes a path."""

    ENDINGS: ClassVar[tuple[str, ...]] = (ENDING,)
    """Endings of the files that Tab offers."""
    NO_NAMES: ClassVar[str] = "No folder or job file starts like this."
    KEYS = "Tab  complete   "
    BINDINGS: ClassVar[list[BindingType]] = [Binding("tab", "complete", "Complete", show=False)]

    def action_complete(self) -> None:
        """Complete the path; if there are several possible names, show them."""
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
    """Ask for an existing file to open."""

    TITLE = "Open a job"
    HINT = f"Path of a job file ({ENDING})"

    def read(self, text: str) -> Path:
        """Return the path of a file."""
        return existing_file(text)


def existing_file(text: str) -> Path:
    """Return typed text as the path of an existing file; raises `Refused`."""
    path = as_path(text)
    if not text.strip():
        raise Refused("Type a path.")
    if path.is_dir():
        raise Refused("This is a folder; add a file name.")
    if not path.is_file():
        raise Refused("No such file; Tab shows what there is.")
    return path


def _is_folder(path: Path) -> bool:
    """Return whether a path leads to a folder; raises `OSError` for one that the system refuses.

    From Python 3.14 on `Path.is_dir` calls a name that is too long no folder.
    """
    try:
        return stat.S_ISDIR(path.stat().st_mode)
    except (FileNotFoundError, NotADirectoryError, ValueError):
        return False


class SavePrompt(CompletingPrompt[Path]):
    """Ask for a path to save to, in an existing folder; a missing ending is the first of `ENDINGS`."""

    TITLE = "Save the job as"
    HINT = f"Path of the file; without an ending it gets {ENDING}"

    def read(self, text: str) -> Path:
        """Return the path with its ending; refuses a folder, or a file in a missing folder."""
        path, typed = as_path(text), text.strip()
        path = path if path.suffix or not path.name else path.with_suffix(self.ENDINGS[0])
        if not typed or typed.endswith(os.sep) or _is_folder(path):
            raise Refused("The file name is missing.")
        if not _is_folder(path.parent):
            raise Refused("That folder does not exist.")
        return path
