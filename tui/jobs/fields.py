"""One table of the file against its fields: values in SI, and every fault on the way."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from typing import TypeGuard

from physics.units import Dimension, UnitFault, parse
from tui.jobs.faults import JobFault
from tui.jobs.field_words import shown, takes, takes_each, takes_range
from tui.jobs.schema import Column, Field, Fields, Group, Number, Quantity, Word
from tui.jobs.tree import Path, Raw, Table

Value = float | str | tuple[float, ...]
"""An SI number, a word such as "solve", or a column of SI numbers."""

Section = Mapping[str, Value]
"""The values of one table of the file by key; columns and tables below it are flattened with a dot."""

_LONGEST_KEY = 40


class Findings:
    """What reading has found so far: the faults, and the unit each quantity was typed in."""

    def __init__(self) -> None:
        """Start with nothing found."""
        self.faults: list[JobFault] = []
        self.units: dict[Path, str] = {}

    def fault(self, path: Path, what: str, accepted: str) -> None:
        """Note one fault."""
        self.faults.append(JobFault(path, what, accepted))


def unknown_keys(table: Mapping[str, Raw], known: Iterable[str], path: Path, found: Findings) -> None:
    """Note every key of `table` that is not `known`, and the nearest one that is."""
    names = sorted(known)
    for key in table:
        if key not in names:
            near = get_close_matches(key[:_LONGEST_KEY], names, n=1, cutoff=0.0)
            hint = f"the nearest known key is {near[0]}" if near else "no key is known here"
            found.fault((*path, key), "unknown key", hint)


def read_fields(table: Mapping[str, Raw], fields: Fields, path: Path, found: Findings) -> dict[str, Value]:
    """Read the known keys of `table`; what is missing or wrong becomes a fault and has no value."""
    values: dict[str, Value] = {}
    for key, field in fields.items():
        place = (*path, key)
        if key not in table:
            if not isinstance(field, Group) and field.required:
                found.fault(place, "missing", takes(field))
        elif isinstance(field, Group):
            if isinstance(table[key], Table):
                unknown_keys(table[key], field.fields, place, found)
                inner = read_fields(table[key], field.fields, place, found)
                values |= {f"{key}.{name}": value for name, value in inner.items()}
            else:
                found.fault(place, "not a table", f"a table of {', '.join(field.fields)} is accepted")
        else:
            value = _read(table[key], field, place, found)
            if value is not None:
                values[key] = value
    return values


def _read(raw: Raw, field: Field, path: Path, found: Findings) -> Value | None:
    match field:
        case Quantity():
            return _quantity(raw, field, path, found)
        case Number():
            if _is_number(raw) and _within(raw, field) and not (field.whole and raw != int(raw)):
                return float(raw)
        case Word():
            if isinstance(raw, str) and (raw in field.choices if field.choices else raw.strip()):
                return raw
        case Column():
            if isinstance(raw, tuple) and field.least <= len(raw) <= field.most:
                return _column(raw, field, path, found)
    found.fault(path, f"{shown(raw)} cannot be used", takes(field))
    return None


def _column(row: tuple[Raw, ...], column: Column, path: Path, found: Findings) -> Value | None:
    wrong = [
        index for index, raw in enumerate(row) if not (_is_number(raw) and column.low <= raw <= column.high)
    ]
    for index in wrong:
        found.fault((*path, index), f"{shown(row[index])} cannot be used", takes_each(column))
    return None if wrong else tuple(raw * column.scale for raw in row)


def _quantity(raw: Raw, field: Quantity, path: Path, found: Findings) -> Value | None:
    if field.solve and raw == "solve":
        return "solve"
    if field.dimension is Dimension.FRACTION and _is_number(raw):
        raw = repr(float(raw))
    if not isinstance(raw, str):
        found.fault(path, f"{shown(raw)} has no unit", takes(field))
        return None
    try:
        value, unit = parse(raw, field.dimension, (field.low, field.high))
    except UnitFault as fault:
        found.fault(path, fault.what, fault.accepted)
        return None
    if not _within(value, field):
        found.fault(path, f"{shown(raw)} is out of range", takes_range(field, unit))
        return None
    found.units[path] = unit
    return value


def _is_number(raw: object) -> TypeGuard[int | float]:
    return isinstance(raw, int | float) and not isinstance(raw, bool)


def _within(value: float, field: Number | Quantity) -> bool:
    return field.low <= value <= field.high and (field.closed or value > field.low)
