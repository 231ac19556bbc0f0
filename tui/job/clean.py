"""Text from people made safe to show: one line, no terminal controls, no reordering of what is read."""

from __future__ import annotations

import unicodedata

_LONGEST = 60
_LINE_ENDS = dict.fromkeys(map(ord, "\t\n\v\f\r\x85\u2028\u2029"), " ")
# Controls, halves of characters, and marks that steer without being seen, such as those of direction.
_UNSEEN = ("Cc", "Cs", "Cf")
# Some scripts cannot be spelled without these two.
_JOINERS = "\u200c\u200d"


def clean(text: str) -> str:
    """Return `text` with line ends as spaces and without control, direction and other unseen marks."""
    kept = text.translate(_LINE_ENDS)
    if kept.isprintable():
        return kept
    return "".join(c for c in kept if c in _JOINERS or unicodedata.category(c) not in _UNSEEN)


def brief(text: str) -> str:
    """Return text shortened to what a line has room for."""
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}..."
