"""Where to read a job from and where to write it: a path asked for, completed with Tab."""

from __future__ import annotations

import os
from pathlib import Path
from typing import ClassVar

from textual.binding import Binding, BindingType

from tui.bench.dialogs import Result
from tui.bench.dialogs_complete import ENDING, as_path, complete
from tui.bench.dialogs_prompt import Prompt
from tui.glyphs import Glyphs

_SHOWN_NAMES = 6


class CompletingPrompt(Prompt[Result]):
    """A prompt in which Tab goes on with a path as far as its name is sure."""

    ENDINGS: ClassVar[tuple[str, ...]] = (ENDING,)
    """What the names of the files end in that Tab offers."""
    NO_NAMES: ClassVar[str] = "No folder or job file begins like this."
    BINDINGS: ClassVar[list[BindingType]] = [Binding("tab", "complete", "Complete", show=False)]

    def __init__(self, title: str, hint: str, text: str, glyphs: Glyphs) -> None:
        """Ask under a title, starting from what is known."""
        super().__init__(title, hint, text, glyphs, "Tab  complete   ")

    def action_complete(self) -> None:
        """Complete the path, and name the ways it may go on where there are several."""
        found = complete(self.line.value, self.ENDINGS)
        self.line.value = found.text
        self.line.cursor_position = len(found.text)
        if not found.names:
            self.note(self.NO_NAMES)
        elif len(found.names) > 1:
            more = len(found.names) - _SHOWN_NAMES
            tail = f"   and {more} more" if more > 0 else ""
            self.note("   ".join(found.names[:_SHOWN_NAMES]) + tail)


class PathPrompt(CompletingPrompt[Path]):
    """A prompt for a path; `~` is the home."""

    def problem(self, text: str) -> str:
        """Return why the path cannot be used, the system's own reason included."""
        try:
            return self.refusal(self.taken(text), text.strip())
        except OSError as error:
            return f"This path cannot be used: {error.strerror}."

    def refusal(self, path: Path, text: str) -> str:
        """Return why a path is of no use here, empty where it can be taken."""
        raise NotImplementedError

    def taken(self, text: str) -> Path:
        """Return the path, with the home in place of `~`."""
        return as_path(text)


class OpenPrompt(PathPrompt):
    """Ask for a file to open: it must be there."""

    def __init__(self, text: str, glyphs: Glyphs) -> None:
        """Ask, starting from a folder or a file."""
        super().__init__("Open a job", f"Path of a job file ({ENDING})", text, glyphs)

    def refusal(self, path: Path, text: str) -> str:
        """Refuse what is not a file."""
        return no_file(path, text)


def no_file(path: Path, text: str) -> str:
    """Return why no file can be read at a path typed as `text`, empty where one can."""
    if not text.strip():
        return "No path is written here yet."
    if path.is_dir():
        return "This is a folder; go on with the name of a file in it."
    return "" if path.is_file() else "There is no such file; Tab shows what there is."


class SavePrompt(PathPrompt):
    """Ask where to save: in a folder that is there. A name without an ending gets the first of `ENDINGS`."""

    TITLE: ClassVar[str] = "Save the job as"
    HINT: ClassVar[str] = f"Path of the file; without an ending it gets {ENDING}"

    def __init__(self, text: str, glyphs: Glyphs) -> None:
        """Ask, starting from the path of the last time."""
        super().__init__(self.TITLE, self.HINT, text, glyphs)

    def refusal(self, path: Path, text: str) -> str:
        """Refuse a folder, and a file in a folder that is not there."""
        if not text or text.endswith(os.sep) or path.is_dir():
            return "The name of the file is missing."
        return "" if path.parent.is_dir() else "There is no such folder to save in."

    def taken(self, text: str) -> Path:
        """Return the path with its ending."""
        path = as_path(text)
        return path if path.suffix or not path.name else path.with_suffix(self.ENDINGS[0])
