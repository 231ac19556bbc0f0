"""Text in lines of a width: no number is parted from its unit."""

from __future__ import annotations

import re
from textwrap import wrap

_NO_BREAK = "\N{NO-BREAK SPACE}"
_MEASURED = re.compile(r"(?<=\d) (?=[^\W\d]|%|: 1\b)|(?<=\d N) (?=s/m)|(?<=\d :) (?=1\b)")


def bound(text: str) -> str:
    """Return a text in which no line ends between a number and its unit."""
    return _MEASURED.sub(_NO_BREAK, text)


def unbound(text: str) -> str:
    """Return a line of a text that was `bound`, with ordinary blanks."""
    return text.replace(_NO_BREAK, " ")


def folded(text: str, width: int, indent: str = "", *, most: int | None = None, more: str = "") -> list[str]:
    """Return text in lines of at most `width` letters, no number without its unit; none for no text.

    Lines after the first are indented; of more than `most` the last one ends in `more`.
    """
    lines = wrap(
        bound(text), width, subsequent_indent=indent, max_lines=most, placeholder=more, break_on_hyphens=False
    )
    return [unbound(line).rstrip() for line in lines]
