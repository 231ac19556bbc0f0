"""The sheet as plain text and Markdown, wrapped by columns as on a terminal."""

from __future__ import annotations

import re
from collections.abc import Iterator

from rich.cells import cell_len

from tui.kit.document import Paragraph
from tui.kit.look import ASCII, UTF8, Glyphs, bound, literal, unbound
from tui.kit.roles import Role
from tui.sheet.model import Box, Chart, Part, Sheet, one_line, told

WIDTH = 80
"""Width of a sheet as text [columns]."""


def wrapped(text: str, first: str = "", rest: str = "", width: int = WIDTH) -> list[str]:
    """Return `text` wrapped, with `first` and `rest` in front of the lines; too long words are split."""
    lines, line = [], first
    room = width - max(cell_len(first), cell_len(rest))
    empty = True
    for word in (piece for whole in bound(text).split(" ") for piece in _pieces(whole, room)):
        joined = f"{line}{word}" if empty else f"{line} {word}"
        if not empty and cell_len(joined) > width:
            lines.append(line)
            joined = f"{rest}{word}"
        line, empty = joined, False
    return [unbound(one).rstrip() for one in (*lines, line)]


def _pieces(word: str, room: int) -> Iterator[str]:
    """Split a word into pieces of at most `room` columns."""
    piece = ""
    for letter in word:
        if piece and cell_len(piece + letter) > room:
            yield piece
            piece = ""
        piece += letter
    yield piece


_INDENT = "  "
_PLAIN_RULE = "_" * 24


def plain(sheet: Sheet, *, ascii_only: bool = False) -> str:
    """Return the sheet as text; with `ascii_only`, other letters are replaced or dropped."""
    lines = with_roles(sheet, WIDTH, ASCII if ascii_only else UTF8)
    return "\n".join(line for line, _role in lines) + "\n"


def with_roles(sheet: Sheet, width: int, glyphs: Glyphs) -> Iterator[tuple[str, Role]]:
    """Yield the lines of the sheet in `width` columns, each with its role."""
    for text, first, rest, role in _lines(sheet):
        for line in wrapped(literal(text, glyphs), first, rest, width):
            yield line, role


_Text = tuple[str, str, str, Role]
"""A text, prefix of its first line, prefix of other lines, and its role."""
_FREE: _Text = ("", "", "", Role.BASE)


def _lines(sheet: Sheet) -> Iterator[_Text]:
    if sheet.shop:
        yield sheet.shop, "", "", Role.BASE
    yield f"Setup sheet: {sheet.title}", "", "", Role.TITLE
    yield _FREE
    for about in sheet.about:
        yield from _part(about, "")
    for group in (*sheet.groups, *sheet.workings):
        yield from (_FREE, _FREE, (group.title, "", "", Role.HEADING))
        for section in group.sections:
            if section.title:
                yield from (_FREE, (section.title, "", "", Role.STRONG))
            for part in section.parts:
                yield from _part(part, _INDENT)


def _part(part: Part, indent: str) -> Iterator[_Text]:
    deeper = indent + _INDENT
    role = part.role if isinstance(part, Paragraph) else Role.BASE
    yield one_line(part, _PLAIN_RULE), indent, f"{indent}    " if isinstance(part, Box) else deeper, role
    if isinstance(part, Chart):
        for one in part.lines:
            yield from _part(one, deeper)


_MARKS = re.compile(r"([\\`*_\[\]<>#|~&$@!^=])")
_STARTS_A_BLOCK = re.compile(r"^(\s*)(\d+)?([-+.)]|:::)(?=\s|-|\+|:|$)")


def markdown(sheet: Sheet) -> str:
    """Return the sheet as Markdown."""
    shop = "\n".join(wrapped(_literal(sheet.shop)))
    blocks = [f"# Setup sheet: {_literal(sheet.title)}", shop, _block(sheet.about)]
    for group in (*sheet.groups, *sheet.workings):
        blocks.append(f"## {_literal(group.title)}")
        for section in group.sections:
            blocks += [f"### {_literal(section.title)}"] if section.title else []
            blocks.append(_block(section.parts))
    return "\n\n".join(filter(None, blocks)) + "\n"


def _block(parts: tuple[Part, ...]) -> str:
    return "\n".join(line for part in parts for line in _items(part))


def _items(part: Part, indent: str = "") -> Iterator[str]:
    """Return a part as a list item; continuation lines are indented to stay in the item."""
    label, text = map(_literal, told(part, "_" * 12))
    whole = f"**{label}:** {text}" if label else text
    if isinstance(part, Box):
        whole = f"[ ] {_literal(part.text)}"
    first, *rest = wrapped(_no_block(whole), f"{indent}- ", f"{indent}  ")
    yield from (first, *map(_no_block, rest))
    if isinstance(part, Chart):
        for one in part.lines:
            yield from _items(one, f"{indent}  ")


def _literal(text: str) -> str:
    """Return text with the syntax of Markdown and HTML escaped."""
    return _MARKS.sub(r"\\\1", text)


def _no_block(line: str) -> str:
    """Return a continuation line escaped so that it does not begin a list or a heading."""
    return _STARTS_A_BLOCK.sub(r"\1\2\\\3", line)
