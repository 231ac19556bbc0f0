"""Where the panels stand: columns filled from the top, and as many pages as that takes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

PANEL_WIDTH = 40
"""Least cells a panel is drawn in where the screen has them."""

GAP = 2
"""Cells between two columns."""


class Block(NamedTuple):
    """Where one panel stands, and how many of its lines can be seen."""

    panel: int
    x: int
    y: int
    width: int
    height: int


def columns_in(width: int) -> int:
    """Return how many columns of panels a width has room for."""
    return max((width + GAP) // (PANEL_WIDTH + GAP), 1)


def column_width(width: int) -> int:
    """Return how wide every column of panels is."""
    columns = columns_in(width)
    return (width - GAP * (columns - 1)) // columns


def pages(heights: Sequence[int], width: int, height: int) -> list[list[Block]]:
    """Return the panels page by page, each whole where it can be; `heights` are their lines."""
    columns, wide = columns_in(width), column_width(width)
    found: list[list[Block]] = [[]]
    column, y = 0, 0
    for panel, wanted in enumerate(heights):
        lines = min(wanted, height)
        if y and y + lines > height:
            column, y = column + 1, 0
        if column == columns:
            found.append([])
            column = 0
        found[-1].append(Block(panel, column * (wide + GAP), y, wide, lines))
        y += lines
    return found


def page_of(panel: int, found: Sequence[Sequence[Block]]) -> Sequence[Block]:
    """Return the page that a panel is on."""
    return next((page for page in found if any(block.panel == panel for block in page)), found[0])


def scrolled(top: int, first: int, last: int, shown: int, total: int) -> int:
    """Return the first line to show of `total`, moved only as far as brings `first` to `last` in sight."""
    top = max(top, last - shown + 1)
    top = min(top, first)
    return max(min(top, total - shown), 0)
