"""The three forms of a sheet, and which one the ending of a file asks for."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from tui.sheet.model import Sheet

Form = Literal["text", "markdown", "html"]
ENDINGS: dict[str, Form] = {
    ".txt": "text", ".text": "text", ".md": "markdown", ".markdown": "markdown",
    ".html": "html", ".htm": "html",
}  # fmt: skip
"""Endings of a file in small letters."""


def form_of(path: Path) -> Form | None:
    """Return the form that the ending of a path asks for, None where it is none of them."""
    return ENDINGS.get(path.suffix.lower())


def written(sheet: Sheet, form: Form, *, ascii_only: bool = False) -> str:
    """Return a sheet in a form; only a page of HTML loads what it takes to draw."""
    from tui.sheet.text import markdown, plain

    if form == "html":
        from tui.sheet.page import page

        return page(sheet)
    return markdown(sheet) if form == "markdown" else plain(sheet, ascii_only=ascii_only)
