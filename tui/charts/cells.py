"""A row of the chart as cells, and which of them differ from what stands on the screen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import groupby
from operator import itemgetter

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip

Cell = tuple[str, int]
"""What stands in a cell and the role of its style; empty under the second half of a wide character."""
Row = list[Cell]

_WORTH_SKIPPING = 6
"""Unchanged cells between two changed ones that cost less to send again than to jump over."""


def cells(text: str, role: int) -> Row:
    """Return text as cells; what takes no cell of its own stays with the one before."""
    row: Row = []
    for letter in text:
        width = cell_len(letter)
        if width == 0:
            if row:
                row[-1] = (row[-1][0] + letter, role)
            continue
        row.append((letter, role))
        row.extend([("", role)] * (width - 1))
    return row


def fitted(row: Row, width: int, ellipsis: str, role: int = 0) -> Row:
    """Return the row padded or cut to a width; a cut one ends in the ellipsis."""
    if len(row) <= width:
        return row + [(" ", role)] * (width - len(row))
    kept = row[: max(width - 1, 0)]
    if kept and row[len(kept)][0] == "":  # never half a wide character
        kept[-1] = (" ", role)
    return (kept + [(ellipsis, role)])[:width]


def changed(old: Row, new: Row) -> list[tuple[int, int]]:
    """Return the spans (first, end) in which two rows differ, near ones joined."""
    if len(old) != len(new):
        return [(0, len(new))]
    spans: list[tuple[int, int]] = []
    for place, (before, after) in enumerate(zip(old, new, strict=True)):
        if before == after:
            continue
        first, end = _whole(old, new, place)
        if spans and first - spans[-1][1] <= _WORTH_SKIPPING:
            spans[-1] = (spans[-1][0], max(end, spans[-1][1]))
        else:
            spans.append((first, end))
    return spans


def _whole(old: Row, new: Row, place: int) -> tuple[int, int]:
    # A wide character is sent whole or not at all.
    first, end = place, place + 1
    while first > 0 and "" in (old[first][0], new[first][0]):
        first -= 1
    while end < len(new) and "" in (old[end][0], new[end][0]):
        end += 1
    return first, end


def strip(row: Sequence[Cell], style: Callable[[int], Style]) -> Strip:
    """Return cells as a strip, one segment for neighbours of one role."""
    segments = [
        Segment("".join(text for text, _ in run), style(role))
        for role, run in groupby(row, key=itemgetter(1))
    ]
    return Strip(segments, len(row))
