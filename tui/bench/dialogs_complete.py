"""Completion of a path as it is typed, without a screen."""

from __future__ import annotations

import os
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from tui.jobs.clean import clean

ENDING = ".toml"
"""What the name of a job file ends in."""

_MOST_NAMES = 5000
"""Names of a folder that are looked at: a key press must not wait for an endless folder."""


@dataclass(frozen=True, slots=True)
class Completion:
    """The text as far as it is sure, and the names it may go on with; folders end in a slash."""

    text: str
    names: tuple[str, ...]


def complete(text: str, endings: tuple[str, ...] = (ENDING,)) -> Completion:
    """Complete the last part of a path with folders and files of these endings, job files unless told.

    Hidden names are offered once a dot is typed. A name with characters that cannot be typed is left out.
    """
    folder, slash, start = text.rpartition(os.sep)
    try:
        names = _names(as_path(folder + slash), start, endings)
    except OSError:
        names = ()
    if not names:
        return Completion(text, ())
    shared = os.path.commonprefix(names)  # noqa: RUF071 - letter by letter is what completing means
    return Completion(folder + slash + shared, names)


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


def _names(folder: Path, start: str, endings: tuple[str, ...]) -> tuple[str, ...]:
    found = []
    for entry in islice(folder.iterdir(), _MOST_NAMES):
        name = entry.name
        hidden = name.startswith(".") and not start.startswith(".")
        if not name.startswith(start) or hidden or clean(name) != name:
            continue
        if entry.is_dir():
            found.append(name + os.sep)
        elif name.lower().endswith(endings):
            found.append(name)
    return tuple(sorted(found))
