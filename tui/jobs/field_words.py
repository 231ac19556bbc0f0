"""What a field takes and what was typed instead, in words and in ordinary units."""

from __future__ import annotations

from physics.units import Dimension, accepted, in_unit, named, quoted
from tui.jobs.schema import Column, Field, Names, Number, Picked, Points, Quantity, Word
from tui.jobs.tree import Raw, Table

_LONGEST_NUMBER = 10**15


def takes(field: Field) -> str:
    """Say what a field takes."""
    match field:
        case Quantity(solve=True):
            return f'{accepted(field.dimension)}, or "solve"'
        case Quantity(none=True):
            return f'{accepted(field.dimension)}, or "none"'
        case Quantity():
            return accepted(field.dimension)
        case Number():
            whole = "whole " if field.whole else ""
            return f"a bare {whole}number {_span(field, _plain(field.low), _plain(field.high))} is accepted"
        case Word(choices=choices) if choices:
            return f"one of {', '.join(choices)} is accepted"
        case Picked(choices=choices):
            return f"use one of {', '.join(choices)}, or a list of several"
        case Column():
            return f"a list of {field.least} to {field.most} bare numbers is accepted"
        case Points():
            count = f"{field.least} to {field.most}"
            return f"a table of {count} points is accepted, each as in axle = [430, 5]"
        case Names(pairs=True):
            return f'an array of up to {field.most} pairs of points is accepted, such as ["main", "axle"]'
        case Names():
            count = str(field.most) if field.least == field.most else f"{field.least} to {field.most}"
            return f"an array of {count} names of points is accepted"
        case _:
            return "text that is not empty is accepted"


def takes_each(column: Column | Points) -> str:
    """Say what each number of a column or a place may be."""
    return f"a bare number from {_plain(column.low)} to {_plain(column.high)} is accepted"


def takes_range(field: Quantity, unit: str) -> str:
    """Say the range a field takes, in the unit somebody typed."""
    # A bare 30 is a slip for 30 % more often than anything else.
    percent = ', such as "30 %" or 0.30,' if field.dimension is Dimension.FRACTION and not unit else ""
    low, high = (
        f"{_plain(in_unit(si, unit, field.dimension))} {unit}".rstrip() for si in (field.low, field.high)
    )
    return f"{named(field.dimension)} {_span(field, low, high)}{percent} is accepted"


def shown(raw: Raw) -> str:
    """Name a raw value as it was typed; only what it is where that would be long."""
    match raw:
        case Table():
            return "a table"
        case tuple():
            return "an array"
        case str():
            return quoted(raw)
        case bool():
            return str(raw).lower()
        case int() if abs(raw) > _LONGEST_NUMBER:
            return "this long number"
        case _:
            return str(raw)


def _span(field: Number | Quantity, low: str, high: str) -> str:
    return f"from {low} to {high}" if field.closed else f"above {low} and up to {high}"


def _plain(number: float) -> str:
    return f"{float(f'{number:.4g}'):.10f}".rstrip("0").rstrip(".")
