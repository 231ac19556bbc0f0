"""The sheet as plain text of 80 columns: linear, labels before values, good to be read aloud."""

from __future__ import annotations

from collections.abc import Iterator

from tui.bench.dialogs_literal import literal
from tui.glyphs import ASCII, UTF8
from tui.sheet.model import Blank, Box, Chart, Line, Part, Said, Sheet, Warned
from tui.sheet.wrapped import wrapped

_INDENT = "  "
_RULE = "_" * 24


def plain(sheet: Sheet, *, ascii_only: bool = False) -> str:
    """Return the sheet as text; with `ascii_only` people's words lose the letters that are not."""
    glyphs = ASCII if ascii_only else UTF8
    lines = (
        line for told, first, rest in _lines(sheet) for line in wrapped(literal(told, glyphs), first, rest)
    )
    return "\n".join(lines) + "\n"


Spoken = tuple[str, str, str]
"""A text, what its first line begins with, and every other one."""


def _lines(sheet: Sheet) -> Iterator[Spoken]:
    if sheet.shop:
        yield sheet.shop, "", ""
    yield f"Setup sheet: {sheet.title}", "", ""
    yield "", "", ""
    for told in sheet.about:
        yield from _part(told, "")
    for group in sheet.groups:
        yield from (("", "", ""), ("", "", ""), (group.title, "", ""))
        for section in group.sections:
            if section.title:
                yield from (("", "", ""), (section.title, "", ""))
            for part in section.parts:
                yield from _part(part, _INDENT)


def _part(part: Part, indent: str) -> Iterator[Spoken]:
    deeper = indent + _INDENT
    match part:
        case Line(label, value):
            yield f"{label}: {value}", indent, deeper
        case Said(text):
            yield text, indent, deeper
        case Warned(text):
            yield f"Caution: {text}", indent, deeper
        case Box(text):
            yield f"[ ] {text}", indent, f"{indent}    "
        case Blank(label, hint):
            yield f"{label}: {_RULE}{f' ({hint})' if hint else ''}", indent, deeper
        case Chart():
            yield part.title, indent, deeper
            for line in part.lines:
                yield from _part(line, deeper)
