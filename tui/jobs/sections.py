"""Load, frame and the tables around them: which keys go together, and what is missing."""

from __future__ import annotations

from collections.abc import Mapping

from tui.jobs.field_words import shown
from tui.jobs.fields import Section, read_fields
from tui.jobs.findings import Findings
from tui.jobs.schema import FORK, FRAME, LOAD, Fields
from tui.jobs.tree import Path, Raw, Table, look_up
from tui.jobs.unconfirmed import KEY as UNCONFIRMED
from tui.jobs.unconfirmed import check_list


def check_format(form: Raw | None, found: Findings) -> None:
    """Note a format that is not this one."""
    if form != 1 or isinstance(form, bool | float):
        what = "missing" if form is None else f"{shown(form)} is not known"
        found.fault(("format",), what, "format = 1 is accepted")


def table_at(top: Mapping[str, Raw], key: str, found: Findings) -> Table | None:
    """Return the table at `key`, None where something else stands.

    One left out is empty, so that the keys due in it are named as missing one by one.
    """
    raw = top.get(key, Table({}))
    if isinstance(raw, Table):
        return raw
    found.fault((key,), f"{shown(raw)} is no table", f"a table [{key}] is accepted")
    return None


def read_section(
    table: Mapping[str, Raw] | None,
    fields: Fields,
    path: Path,
    found: Findings,
    also: tuple[str, ...] = (),
    *,
    typed_only: bool = False,
) -> Section:
    """Read the fields of one table and note the keys it does not know; nothing of what is no table.

    Unless it is `typed_only`, a list of the values that nobody has confirmed may stand in it.
    """
    if table is None:
        return {}
    if not typed_only:
        also = (*also, UNCONFIRMED)
        check_list(table, path, found)
    found.unknown_keys(table, (*fields, *also), path)
    return read_fields(table, fields, path, found)


def read_load(table: Mapping[str, Raw] | None, found: Findings) -> Section:
    """Read `[load]`: shares of rider and bike, or a scale reading, or a centre of mass on a slope."""
    values = read_section(table, LOAD, ("load",), found)
    if table is not None:
        instead = next((key for key in ("scale_mass", "geometry") if key in table), None)
        _ways_to_know_the_load(table, instead, found)
    return values


def _ways_to_know_the_load(table: Mapping[str, Raw], instead: str | None, found: Findings) -> None:
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


_SHARES = ("rider_share", "posture", "bike_share")
_LOAD_KEYS: dict[str | None, tuple[tuple[str, ...], tuple[str, ...]]] = {
    None: (("rider_mass", "bike_mass", "bike_share"), ()),
    "scale_mass": ((), ("rider_mass", "bike_mass", *_SHARES, "geometry")),
    "geometry": (("rider_mass", "bike_mass"), _SHARES),
}
"""For each way to know the load, the keys it needs and the keys that contradict it."""


def read_frame(table: Mapping[str, Raw] | None, found: Findings) -> Section:
    """Read `[frame]` without its leverage."""
    is_fork = look_up(table, ("leverage", "kind")) == "fork"
    values = read_section(table, FORK if is_fork else FRAME, ("frame",), found, also=("leverage",))
    stroke, eyes = values.get("stroke"), values.get("eye_to_eye")
    if isinstance(stroke, float) and isinstance(eyes, float) and eyes <= stroke:
        found.fault(
            ("frame", "eye_to_eye"), "not longer than the stroke", "a length above the stroke is accepted"
        )
    return values
