"""Places by name and lists of names, as a drawn linkage has them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tui.jobs.clean import clean
from tui.jobs.field_words import shown, takes_each
from tui.jobs.findings import Findings
from tui.jobs.schema import Names, Points
from tui.jobs.tree import Path, Raw, Table

LONGEST_NAME = 24
_NAME = f"a name of 1 to {LONGEST_NAME} letters, digits and signs is accepted"
_XY = "two bare numbers, x and y, are accepted"


Places = Mapping[str, tuple[float, float]]
"""Places by name, in the unit of their key."""


@dataclass(frozen=True, slots=True)
class Listed:
    """Names of points in a row, or `pairs` of them."""

    names: tuple[str, ...] = ()
    pairs: tuple[tuple[str, str], ...] = ()


def read_points(table: Table, points: Points, path: Path, found: Findings) -> Places | None:
    """Return the places of a table of points, None where one of them cannot be used."""
    before = len(found.faults)
    for name, raw in table.items():
        if not is_name(name):
            found.fault((*path, name), "this name cannot be used", _NAME)
        elif not isinstance(raw, tuple) or len(raw) != 2:
            found.fault((*path, name), f"{shown(raw)} cannot be used", _XY)
        else:
            _numbers(raw, points, (*path, name), found)
    if len(found.faults) > before:
        return None
    return {name: (float(x), float(y)) for name, (x, y) in table.items()}


def _numbers(raw: tuple[Raw, ...], points: Points, path: Path, found: Findings) -> None:
    for axis, number in enumerate(raw):
        bare = isinstance(number, int | float) and not isinstance(number, bool)
        if not bare or not points.low <= number <= points.high:
            found.fault((*path, axis), f"{shown(number)} cannot be used", takes_each(points))


def read_names(row: tuple[Raw, ...], names: Names, path: Path, found: Findings) -> Listed | None:
    """Return the names of an array, or its pairs of names, None where one of them cannot be used."""
    accepted = f"{'a pair of names of points' if names.pairs else 'the name of a point'} is accepted"
    wrong = [index for index, raw in enumerate(row) if not _fits(raw, names)]
    for index in wrong:
        found.fault((*path, index), f"{shown(row[index])} cannot be used", accepted)
    if wrong:
        return None
    return Listed(pairs=row) if names.pairs else Listed(names=row)


def _fits(raw: Raw, names: Names) -> bool:
    if not names.pairs:
        return isinstance(raw, str) and bool(raw)
    return isinstance(raw, tuple) and len(raw) == 2 and all(isinstance(name, str) and name for name in raw)


def is_name(text: str) -> bool:
    """Return whether a text may be the name of a point: short, seen, with nothing around it."""
    return 0 < len(text) <= LONGEST_NAME and clean(text) == text == text.strip()
