"""Load, leverage and the tables around them: which keys go together, and what is missing."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

from tui.jobs.fields import Findings, Section, read_fields, unknown_keys
from tui.jobs.schema import FRAME, LEVERAGE, LOAD, Fields
from tui.jobs.tree import Path, Raw, Table


def check_format(form: Raw | None, found: Findings) -> None:
    """Note a format that is not this one."""
    if form != 1 or isinstance(form, bool | float):
        found.fault(("format",), "missing" if form is None else "not known", "format = 1 is accepted")


def table_at(top: Mapping[str, Raw], key: str, found: Findings) -> Mapping[str, Raw]:
    """Return the table at `key`; of one left out, the keys due in it are named as missing one by one."""
    table = top.get(key, Table({}))
    if isinstance(table, Table):
        return table
    found.fault((key,), "not a table", f"a table [{key}] is accepted")
    return Table({})


def read_section(
    table: Mapping[str, Raw], fields: Fields, path: Path, found: Findings, also: tuple[str, ...] = ()
) -> Section:
    """Read the fields of one table and note the keys it does not know."""
    unknown_keys(table, (*fields, *also), path, found)
    return read_fields(table, fields, path, found)


def read_load(table: Mapping[str, Raw], found: Findings) -> Section:
    """Read `[load]`: shares of rider and bike, or a scale reading, or a centre of mass on a slope."""
    values = read_section(table, LOAD, ("load",), found)
    instead = next((key for key in ("scale_mass", "geometry") if key in table), None)
    needed, barred = _LOAD_KEYS[instead]
    for key in barred:
        if key in table:
            found.fault(("load", key), f"given beside {instead}", "one of the two is accepted")
    for key in needed:
        if key not in table:
            unless = "" if instead else " unless scale_mass or geometry is given"
            found.fault(("load", key), "missing", f"{key} is needed{unless}")
    if instead is None and ("rider_share" in table) == ("posture" in table):
        what = "given beside posture" if "posture" in table else "missing"
        found.fault(("load", "rider_share"), what, "either rider_share or posture is accepted")
    return values


_SHARES = ("rider_share", "posture", "bike_share")
_LOAD_KEYS: dict[str | None, tuple[tuple[str, ...], tuple[str, ...]]] = {
    None: (("rider_mass", "bike_mass", "bike_share"), ()),
    "scale_mass": ((), ("rider_mass", "bike_mass", *_SHARES, "geometry")),
    "geometry": (("rider_mass", "bike_mass"), _SHARES),
}
"""For each way to know the load, the keys it needs and the keys that contradict it."""


def read_frame(table: Mapping[str, Raw], found: Findings) -> Section:
    """Read `[frame]` without its leverage."""
    values = read_section(table, FRAME, ("frame",), found, also=("leverage",))
    stroke, eyes = values.get("stroke"), values.get("eye_to_eye")
    if isinstance(stroke, float) and isinstance(eyes, float) and eyes <= stroke:
        found.fault(
            ("frame", "eye_to_eye"), "not longer than the stroke", "a length above the stroke is accepted"
        )
    return values


def read_leverage(table: Raw | None, found: Findings) -> Section:
    """Read `[frame.leverage]` of any kind."""
    path: Path = ("frame", "leverage")
    if not isinstance(table, Table):
        what = "missing" if table is None else "not a table"
        found.fault(path, what, f"a table with kind = one of {', '.join(LEVERAGE)} is accepted")
        return {}
    kind = read_kind(table, LEVERAGE, path, found)
    if kind is None:
        return {}
    values = {"kind": kind} | dict(read_section(table, LEVERAGE[kind], path, found, also=("kind",)))
    columns = {key: value for key, value in values.items() if isinstance(value, tuple)}
    same_length(columns, path, found)
    for key in ("travel_mm", "stroke_mm"):
        increasing(columns.get(key), (*path, key), found)
    return values


def read_kind(
    table: Mapping[str, Raw], kinds: Mapping[str, Fields], path: Path, found: Findings
) -> str | None:
    """Return the kind of a table that comes in several, None where it is not one of them."""
    kind = table.get("kind")
    if isinstance(kind, str) and kind in kinds:
        return kind
    where: Path = (*path, "kind")
    if kind == "linkage":
        found.fault(where, "linkage is not available yet", f"one of {', '.join(kinds)} is accepted")
    else:
        what = "missing" if kind is None else f'"{kind}" is not known'
        found.fault(where, what, f"one of {', '.join(kinds)} is accepted")
    return None


def same_length(columns: Mapping[str, tuple[float, ...]], path: Path, found: Findings) -> None:
    """Note columns that belong together and differ in length."""
    if len({len(column) for column in columns.values()}) > 1:
        found.fault(path, f"{' and '.join(columns)} differ in length", "arrays of one length are accepted")


def increasing(column: tuple[float, ...] | None, path: Path, found: Findings) -> None:
    """Note a column that does not increase throughout."""
    for index, (before, here) in enumerate(pairwise(column or ()), start=1):
        if here <= before:
            found.fault((*path, index), "not above the one before it", "numbers that increase are accepted")
