"""Text from people made safe to show: one line, no terminal controls, no reordering of what is read."""

from __future__ import annotations

import unicodedata

_LINE_ENDS = dict.fromkeys(map(ord, "\t\n\v\f\r\x85\u2028\u2029"), " ")
_BIDI = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff")


def clean(text: str) -> str:
    """Return `text` with line ends as spaces and without control or bidirectional override characters."""
    kept = text.translate(_LINE_ENDS)
    if kept.isprintable() and not _BIDI.intersection(kept):
        return kept
    return "".join(c for c in kept if c not in _BIDI and unicodedata.category(c) not in ("Cc", "Cs"))
