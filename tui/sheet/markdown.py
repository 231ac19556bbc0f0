"""The sheet as Markdown: headings, lists and tick boxes, wrapped at 80 columns, people's words literal."""

from __future__ import annotations

import re
from collections.abc import Iterator

from tui.sheet.model import Blank, Box, Chart, Line, Part, Said, Sheet, Warned
from tui.sheet.wrapped import wrapped

_MARKS = re.compile(r"([\\`*_\[\]<>#|~&$@!^=])")
_STARTS_A_BLOCK = re.compile(r"^(\s*)(\d+)?([-+.)]|:::)(?=\s|-|\+|:|$)")
_RULE = r"\_" * 12


def markdown(sheet: Sheet) -> str:
    """Return the sheet as Markdown."""
    blocks = [
        f"# Setup sheet: {_literal(sheet.title)}",
        "\n".join(wrapped(_literal(sheet.shop))),
        _block(sheet.about),
    ]
    for group in sheet.groups:
        blocks.append(f"## {_literal(group.title)}")
        for section in group.sections:
            blocks += [f"### {_literal(section.title)}"] if section.title else []
            blocks.append(_block(section.parts))
    return "\n\n".join(filter(None, blocks)) + "\n"


def _block(parts: tuple[Part, ...]) -> str:
    return "\n".join(line for part in parts for line in _items(part))


def _items(part: Part, indent: str = "") -> Iterator[str]:
    """Return a part as an item of a list; what it goes on with is indented, so that it stays in the item."""
    match part:
        case Line(label, value):
            yield from _item(f"**{_literal(label)}:** {_literal(value)}", indent)
        case Said(text):
            yield from _item(_literal(text), indent)
        case Warned(text):
            yield from _item(f"**Caution:** {_literal(text)}", indent)
        case Box(text):
            yield from _item(f"[ ] {_literal(text)}", indent)
        case Blank(label, hint):
            told = f" ({_literal(hint)})" if hint else ""
            yield from _item(f"**{_literal(label)}:** {_RULE}{told}", indent)
        case Chart():
            yield from _item(_literal(part.title), indent)
            for line in part.lines:
                yield from _items(line, f"{indent}  ")


def _item(text: str, indent: str) -> list[str]:
    first, *rest = wrapped(_no_block(text), f"{indent}- ", f"{indent}  ")
    return [first, *(_no_block(line) for line in rest)]


def _literal(text: str) -> str:
    """Return words in which no letter is a mark of Markdown or HTML."""
    return _MARKS.sub(r"\\\1", text)


def _no_block(line: str) -> str:
    """Return a line that goes on with a text and would begin a list or a heading if it stood alone."""
    return _STARTS_A_BLOCK.sub(r"\1\2\\\3", line)
