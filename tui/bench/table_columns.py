"""Which columns of the table fit a width, and which setups they show."""

from __future__ import annotations

from dataclasses import dataclass

MARK = 2
"""Columns in front of a label for the cursor."""
VALUE, WIDEST_VALUE = 12, 18
VALUE_WITH_UNIT = 14
CHANGE = 9
_LEAST_LABEL = 12


@dataclass(frozen=True, slots=True)
class Columns:
    """Widths of the columns and the setups shown; `unit` is 0 where units stand with the numbers.

    `change` is 0 where the width leaves no room for changes.
    """

    label: int
    unit: int
    value: int
    change: int
    setups: tuple[int, ...]


def columns(width: int, count: int, selected: int, label: int, unit: int) -> Columns:
    """Plan the table: `count` setups, the selected one always shown, the first beside it where it fits.

    `label` and `unit` are the longest there are.
    """
    left = MARK + label + 1 + unit
    if width >= left + VALUE + (CHANGE if count > 1 else 0):
        shown = _shown(width - left, count, selected)
        spare = (width - left - _needed(shown)) // max(len(shown), 1)
        return Columns(label, unit, min(VALUE + spare, WIDEST_VALUE), CHANGE, shown)
    room = width - MARK - VALUE_WITH_UNIT
    change = CHANGE if count > 1 and room - CHANGE >= _LEAST_LABEL else 0
    return Columns(
        max(min(label, room - change), 0), 0, VALUE_WITH_UNIT, change, (selected,) if count else ()
    )


def _needed(setups: tuple[int, ...]) -> int:
    return sum(VALUE + (CHANGE if setup else 0) for setup in setups)


def _shown(room: int, count: int, selected: int) -> tuple[int, ...]:
    """Return the selected setup, the first, and as many neighbours of the selected one as fit."""
    shown: tuple[int, ...] = ()
    after = [*range(selected + 1, count)]
    before = [*range(selected - 1, 0, -1)]
    for setup in [selected, *([0] if selected else []), *before[:1], *after, *before[1:]]:
        if setup >= count:
            continue
        wider = (*shown, setup)
        if _needed(wider) > room:
            break
        shown = wider
    return tuple(sorted(shown))
