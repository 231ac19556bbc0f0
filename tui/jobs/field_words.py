"""What a field takes and what was typed instead, in words and in ordinary units."""

from __future__ import annotations

from physics.units import Dimension, accepted, in_unit, named
from tui.jobs.schema import Column, Field, Number, Quantity, Word
from tui.jobs.tree import Raw, Table

_LONGEST_QUOTE = 60
_LONGEST_NUMBER = 10**15


def takes(field: Field) -> str:
    """Say what a field takes."""
    match field:
        case Quantity(solve=True):
            return f'{accepted(field.dimension)}, or "solve"'
        case Quantity():
            return accepted(field.dimension)
        case Number():
            return f"a bare {'whole ' if field.whole else ''}number {_span(field, '')} is accepted"
        case Word(choices=choices) if choices:
            return f"one of {', '.join(choices)} is accepted"
        case Column():
            return f"an array of {field.least} to {field.most} bare numbers is accepted"
        case _:
            return "text is accepted"


def takes_each(column: Column) -> str:
    """Say what each number of a column may be."""
    return f"a bare number from {_plain(column.low, '')} to {_plain(column.high, '')} is accepted"


def takes_range(field: Quantity, unit: str) -> str:
    """Say the range a field takes, in the unit somebody typed."""
    # A bare 30 is a slip for 30 % more often than anything else.
    percent = ', such as "30 %" or 0.30,' if field.dimension is Dimension.FRACTION and not unit else ""
    return f"{named(field.dimension)} {_span(field, unit)}{percent} is accepted"


def shown(raw: Raw) -> str:
    """Quote a raw value, shortened where it is long."""
    if isinstance(raw, Table | tuple):
        return "a table" if isinstance(raw, Table) else "this array"
    if isinstance(raw, int) and abs(raw) > _LONGEST_NUMBER:
        return "this number"
    text = str(raw).lower() if isinstance(raw, bool) else f'"{raw}"' if isinstance(raw, str) else str(raw)
    return text if len(text) <= _LONGEST_QUOTE else f"{text[:_LONGEST_QUOTE]}…"


def _span(field: Number | Quantity, unit: str) -> str:
    low, high = _plain(field.low, unit), _plain(field.high, unit)
    return f"from {low} to {high}" if field.closed else f"above {low} and up to {high}"


def _plain(si: float, unit: str) -> str:
    number = float(f"{in_unit(si, unit) if unit else si:.4g}")
    text = f"{number:.10f}".rstrip("0").rstrip(".")
    return f"{text} {unit}" if unit else text
