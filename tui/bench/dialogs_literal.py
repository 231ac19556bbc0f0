"""Text from people, ready for the screen: literal, on one line, in the letters the terminal has."""

from __future__ import annotations

import unicodedata

from tui.glyphs import Glyphs
from tui.jobs.clean import clean


def literal(text: str, glyphs: Glyphs) -> str:
    """Return text without control characters and, on a plain terminal, with the nearest ASCII letters."""
    kept = clean(text)
    if not glyphs.ascii or kept.isascii():
        return kept
    kept = kept.replace("±", "+-")
    # Taken apart first, so that an accented letter keeps its letter.
    parts = unicodedata.normalize("NFKD", kept)
    plain = "".join(letter for letter in parts if not unicodedata.combining(letter))
    return plain.encode("ascii", "replace").decode("ascii")
