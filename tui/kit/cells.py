"""Lines as cells: text with roles, clipping, and differences to the cells on the screen."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import groupby
from operator import itemgetter

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region
from textual.strip import Strip

from tui.kit.roles import Role

Cell = tuple[str, int]
"""Text of a cell and role of its style; empty for the second half of a wide character."""
CellRow = list[Cell]

_WORTH_A_JUMP = 10
"""Number of unchanged cells up to which it is cheaper to send them again than to move the cursor."""


def cells(text: str, role: int) -> CellRow:
    """Return text as cells; zero-width characters are combined, and those that cannot be shown dropped."""
    if text.isascii() and text.isprintable():
        return [(letter, role) for letter in text]
    row: CellRow = []
    for letter in text:
        if not letter.isprintable():
            continue
        width = cell_len(letter)
        if width:
            row.append((letter, role))
            row += [("", role)] * (width - 1)
        elif row:
            row[-1] = (row[-1][0] + letter, role)
    return row


def fitted(row: CellRow, width: int, ellipsis: str, role: int = 0) -> CellRow:
    """Return the row padded or clipped to a width; a clipped one ends with the ellipsis."""
    if len(row) <= width:
        return row + [(" ", role)] * (width - len(row))
    kept = row[: max(width - 1, 0)]
    if kept and row[len(kept)][0] == "":  # never half a wide character
        kept[-1] = (" ", role)
    return (kept + [(ellipsis, role)])[:width]


def beside(left: Sequence[CellRow], right: Sequence[CellRow], at: int) -> list[CellRow]:
    """Return rows with others to their right from column `at` on, which the left ones do not reach."""
    rows = [list(row) for row in left] + [[] for _ in right[len(left) :]]
    for row, other in zip(rows, right, strict=False):
        row += cells(" " * (at - len(row)), Role.BASE) + other
    return rows


def text_of(rows: Sequence[CellRow]) -> str:
    """Return rows as plain text, one line each."""
    return "\n".join("".join(text for text, _role in row).rstrip() for row in rows)


def changes(before: Sequence[CellRow], after: Sequence[CellRow]) -> list[Region] | None:
    """Return the regions in which two pages differ, None if their sizes differ."""
    if [len(row) for row in before] != [len(row) for row in after]:
        return None
    return [
        Region(first, y, end - first, 1)
        for y, (old, new) in enumerate(zip(before, after, strict=True))
        for first, end in _spans(old, new)
    ]


def _spans(old: CellRow, new: CellRow) -> list[tuple[int, int]]:
    """Return start and end of each run of cells in which two rows differ; close runs are merged."""
    found: list[tuple[int, int]] = []
    for place in (place for place, cell in enumerate(new) if cell != old[place]):
        first, end = place, place + 1
        while first > 0 and "" in (old[first][0], new[first][0]):  # a wide character is sent whole or not
            first -= 1
        while end < len(new) and "" in (old[end][0], new[end][0]):
            end += 1
        if found and first - found[-1][1] <= _WORTH_A_JUMP:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((first, end))
    return found


def strip(row: Sequence[Cell], style: Callable[[int], Style]) -> Strip:
    """Return cells as a strip with as few style changes as possible."""
    runs: list[tuple[Style, str]] = []
    for role, run in groupby(row, _role):
        here, text = style(role), "".join([text for text, _ in run])
        if runs:
            before, texts = runs[-1]
            if before == here:
                runs[-1] = before, texts + text
                continue
            # The foreground colour of a blank does not matter, and every style change costs bytes.
            if before.bgcolor == here.bgcolor and not (_shows_on_blanks(before) or _shows_on_blanks(here)):
                if texts.isspace():
                    runs[-1] = here, texts + text
                    continue
                kept = text.lstrip(" ")
                runs[-1] = before, texts + " " * (len(text) - len(kept))
                text = kept
        if text:
            runs.append((here, text))
    return Strip([Segment(texts, here) for here, texts in runs], len(row))


_role = itemgetter(1)


def _shows_on_blanks(style: Style) -> bool:
    return bool(style.reverse or style.underline or style.strike)


def scrolled(top: int, first: int, last: int, shown: int, total: int) -> int:
    """Return the first line to show of `total`, scrolled just enough to show `first` to `last`."""
    top = max(top, last - shown + 1)
    top = min(top, first)
    return max(min(top, total - shown), 0)


def name_at(text: str, x: int, names: Iterable[str]) -> int | None:
    """Return the index of the longest name at a cell of a line, None without one."""
    found: tuple[int, int] | None = None
    for place, name in enumerate(names):
        start = text.find(name) if name else -1
        while start >= 0:
            if start <= x < start + len(name) and (found is None or len(name) > found[0]):
                found = len(name), place
            start = text.find(name, start + 1)
    return None if found is None else found[1]
