"""One table of the file against its fields: values in SI, and every fault on the way."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TypeGuard

from physics.units import Dimension, OutOfReach, UnitFault, parse
from tui.jobs.field_words import shown, takes, takes_each, takes_range
from tui.jobs.findings import Findings
from tui.jobs.point_fields import Listed, Places, read_names, read_points
from tui.jobs.schema import Column, Field, Fields, Group, Names, Number, Picked, Points, Quantity, Word
from tui.jobs.tree import Path, Raw, Table
from tui.jobs.unconfirmed import KEY as UNCONFIRMED
from tui.jobs.unconfirmed import check_list

Value = float | str | tuple[float, ...] | Listed | Places
"""An SI number, a word such as "solve" or "none", a column of SI numbers, names of points, or places by name.

NaN for a number that cannot be used.
"""

Section = Mapping[str, Value]
"""The values of one table of the file by key; columns and tables below it are flattened with a dot."""


def read_fields(table: Mapping[str, Raw], fields: Fields, path: Path, found: Findings) -> dict[str, Value]:
    """Read the known keys of `table`; what is missing or wrong becomes a fault.

    A number that cannot be used is NaN, so that nothing which hangs on it is judged; a word or a column
    that cannot has no value.
    """
    values: dict[str, Value] = {}
    for key, field in fields.items():
        place = (*path, key)
        if isinstance(field, Group):
            values |= _group(table.get(key), key, field, place, found)
        elif key in table:
            value = _read(table[key], field, place, found)
            if value is not None:
                values[key] = value
        elif field.required:
            found.fault(place, "missing", takes(field))
    return values


def _group(raw: Raw | None, key: str, group: Group, path: Path, found: Findings) -> dict[str, Value]:
    if raw is None:
        return {}
    if not isinstance(raw, Table):
        found.fault(path, f"{shown(raw)} is no table", f"a table of {', '.join(group.fields)} is accepted")
        return {}
    check_list(raw, path, found)
    found.unknown_keys(raw, (*group.fields, UNCONFIRMED), path)
    inner = read_fields(raw, group.fields, path, found)
    return {f"{key}.{name}": value for name, value in inner.items()}


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
        case Picked():
            if _are_picked(raw, field):
                return raw if isinstance(raw, tuple) else (raw,)
        case Column():
            if isinstance(raw, tuple):
                return _column(raw, field, path, found)
        case Points():
            if isinstance(raw, Table) and field.least <= len(raw) <= field.most:
                return read_points(raw, field, path, found)
        case Names():
            if isinstance(raw, tuple) and field.least <= len(raw) <= field.most:
                return read_names(raw, field, path, found)
    found.fault(path, f"{shown(raw)} cannot be used", takes(field))
    return math.nan if isinstance(field, Number) else None


def _column(row: tuple[Raw, ...], column: Column, path: Path, found: Findings) -> Value | None:
    if not column.least <= len(row) <= column.most:
        found.fault(
            path, f"{_counted(len(row))}: too {'few' if len(row) < column.least else 'many'}", takes(column)
        )
        return None
    wrong = [
        index for index, raw in enumerate(row) if not (_is_number(raw) and column.low <= raw <= column.high)
    ]
    for index in wrong:
        found.fault((*path, index), f"{shown(row[index])} cannot be used", takes_each(column))
    return None if wrong else tuple(raw * column.scale for raw in row)


def _counted(count: int) -> str:
    return "1 number" if count == 1 else f"{count or 'no'} numbers"


def _quantity(raw: Raw, field: Quantity, path: Path, found: Findings) -> Value:
    if field.solve and raw == "solve":
        return "solve"
    if field.none and raw == "none":
        return "none"
    try:
        value, unit = _measured(raw, field)
    except OutOfReach as fault:
        found.fault(path, fault.what, takes_range(field, fault.unit))
    except UnitFault as fault:
        found.fault(path, fault.what, takes(field) if field.none else fault.accepted)
    else:
        if _within(value, field):
            return float(value)
        found.fault(path, f"{shown(raw)} is out of range", takes_range(field, unit))
    return math.nan


def _measured(raw: Raw, field: Quantity) -> tuple[float, str]:
    """Return a quantity and its unit; raises `UnitFault`."""
    if isinstance(raw, str):
        return parse(raw, field.dimension, (field.low, field.high))
    if not _is_number(raw):
        raise UnitFault(f"{shown(raw)} cannot be used", takes(field))
    if field.dimension is not Dimension.FRACTION:
        raise UnitFault(f"{shown(raw)} has no unit", takes(field))
    return raw, ""


def _are_picked(raw: Raw, field: Picked) -> bool:
    words = raw if isinstance(raw, tuple) else (raw,)
    return bool(words) and all(word in field.choices for word in words) and len(set(words)) == len(words)


def _is_number(raw: object) -> TypeGuard[int | float]:
    return isinstance(raw, int | float) and not isinstance(raw, bool)


def _within(value: float, field: Number | Quantity) -> bool:
    return field.low <= value <= field.high and (field.closed or value > field.low)
