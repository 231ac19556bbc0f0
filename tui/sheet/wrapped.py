"""Text broken into lines of so many columns, wide letters counted as what they take on a terminal."""

from __future__ import annotations

import re
from collections.abc import Iterator

from rich.cells import cell_len

WIDTH = 80
"""Columns of a sheet as text."""

_NO_BREAK = "\N{NO-BREAK SPACE}"
_MEASURED = re.compile(r"(?<=\d) (?=[^\W\d]|%)")


def wrapped(text: str, first: str = "", rest: str = "", width: int = WIDTH) -> list[str]:
    """Return `text` in lines that begin with `first`, then `rest`; a word too long for a line is cut."""
    lines, line = [], first
    room = width - max(cell_len(first), cell_len(rest))
    empty = True
    for word in (piece for whole in bound(text).split(" ") for piece in _pieces(whole, room)):
        joined = f"{line}{word}" if empty else f"{line} {word}"
        if not empty and cell_len(joined) > width:
            lines.append(line)
            joined = f"{rest}{word}"
        line, empty = joined, False
    return [one.replace(_NO_BREAK, " ").rstrip() for one in (*lines, line)]


def bound(text: str) -> str:
    """Return a text in which no line ends between a number and its unit."""
    return _MEASURED.sub(_NO_BREAK, text)


def _pieces(word: str, room: int) -> Iterator[str]:
    """Cut a word into pieces of at most `room` columns."""
    piece = ""
    for letter in word:
        if piece and cell_len(piece + letter) > room:
            yield piece
            piece = ""
        piece += letter
    yield piece
