"""Tables that come in several kinds: the leverage and the setups."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise

from tui.jobs.field_words import shown
from tui.jobs.fields import Section, Value, read_fields
from tui.jobs.findings import Findings
from tui.jobs.linkage_section import read_drawing
from tui.jobs.schema import LEVERAGE, Field, Fields, Group
from tui.jobs.tree import Path, Raw, Table
from tui.jobs.unconfirmed import KEY as UNCONFIRMED
from tui.jobs.unconfirmed import check_list

Columns = Mapping[str, tuple[float, ...]]


def read_of_kind(
    table: Mapping[str, Raw], kinds: Mapping[str, Fields], path: Path, found: Findings
) -> dict[str, Value]:
    """Read a table of one of several `kinds`; the values of one whose kind is not known have no "kind".

    Such a table may hold the keys of every kind and owes those that all of them owe.
    """
    kind = _kind(table, kinds, path, found)
    fields = _fields_of_any(kinds) if kind is None else kinds[kind]
    check_list(table, path, found)
    found.unknown_keys(table, (*fields, "kind", UNCONFIRMED), path)
    values = read_fields(table, fields, path, found)
    return values if kind is None else {"kind": kind} | values


def _kind(table: Mapping[str, Raw], kinds: Mapping[str, Fields], path: Path, found: Findings) -> str | None:
    kind = table.get("kind")
    if isinstance(kind, str) and kind in kinds:
        return kind
    what = "missing" if kind is None else f"{shown(kind)} is not known"
    found.fault((*path, "kind"), what, f"one of {', '.join(kinds)} is accepted")
    return None


def _fields_of_any(kinds: Mapping[str, Fields]) -> Fields:
    known = {key: field for fields in kinds.values() for key, field in fields.items()}
    common = set[str].intersection(*(set(fields) for fields in kinds.values()))
    return {key: field if key in common else _not_due(field) for key, field in known.items()}


def _not_due(field: Field) -> Field:
    return field if isinstance(field, Group) else replace(field, required=False)


def read_leverage(table: Raw | None, found: Findings) -> Section:
    """Read `[frame.leverage]` of any kind; columns that do not go together have no value.

    A linkage has its points in m whatever they were typed in.
    """
    path: Path = ("frame", "leverage")
    if not isinstance(table, Table):
        what = "missing" if table is None else f"{shown(table)} is no table"
        found.fault(path, what, f"a table with kind = one of {', '.join(LEVERAGE)} is accepted")
        return {}
    values = read_of_kind(table, LEVERAGE, path, found)
    if values.get("kind") == "linkage":
        return read_drawing(table, values, found)
    columns = {key: value for key, value in values.items() if isinstance(value, tuple)}
    if not go_together(columns, path, ("travel_mm", "stroke_mm"), found):
        values = {key: value for key, value in values.items() if key not in columns}
    return values


def go_together(columns: Columns, path: Path, rising: tuple[str, ...], found: Findings) -> bool:
    """Note columns that belong together and differ in length, and those of `rising` that do not rise."""
    before = len(found.faults)
    if len({len(column) for column in columns.values()}) > 1:
        found.fault(path, f"{' and '.join(columns)} differ in length", "arrays of one length are accepted")
    for key in rising:
        increasing(columns.get(key), (*path, key), found)
    return len(found.faults) == before


def increasing(column: tuple[float, ...] | None, path: Path, found: Findings) -> None:
    """Note a column that does not increase throughout."""
    for index, (before, here) in enumerate(pairwise(column or ()), start=1):
        if here <= before:
            found.fault((*path, index), "not above the one before it", "numbers that increase are accepted")
