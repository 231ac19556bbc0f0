"""Places by name and lists of names, as a drawn linkage has them."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, TypeGuard

from physics.units import Dimension, OutOfReach, UnitFault, accepted, parse
from tui.job.choices import COIL_DIAMETERS
from tui.job.clean import brief, clean
from tui.job.faults import FRONT_TABLES, Findings, JobFault, Spelling, UnusableJob, spelled
from tui.job.job import UNCONFIRMED, Job, check_list
from tui.job.schema import (
    AMBIENT,
    EXTRAS,
    FORK,
    FRAME,
    LEVERAGE,
    LOAD,
    MEASURED,
    NEGATIVE_NEEDS,
    RECORD,
    RIDDEN,
    SETUP,
    TARGET,
    TOLERANCE,
    TOP,
    Column,
    Field,
    Fields,
    Group,
    Names,
    Number,
    Picked,
    Points,
    Quantity,
    Word,
    shown,
    takes,
    takes_each,
    takes_range,
)
from tui.job.tree import Raw, Tree, TreePath, look_up
from tui.job.wheels import SHARED_LOAD, front_spelling

if TYPE_CHECKING:
    from physics.case import Linkage

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


def read_points(table: Tree, points: Points, path: TreePath, found: Findings) -> Places | None:
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


def _numbers(raw: tuple[Raw, ...], points: Points, path: TreePath, found: Findings) -> None:
    for axis, number in enumerate(raw):
        bare = isinstance(number, int | float) and not isinstance(number, bool)
        if not bare or not points.low <= number <= points.high:
            found.fault((*path, axis), f"{shown(number)} cannot be used", takes_each(points))


def read_names(row: tuple[Raw, ...], names: Names, path: TreePath, found: Findings) -> Listed | None:
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


Value = float | str | tuple[float, ...] | Listed | Places
"""An SI number, a word such as "solve" or "none", a column of SI numbers, names of points, or places by name.

NaN for a number that cannot be used.
"""

Section = Mapping[str, Value]
"""The values of one table of the file by key; columns and tables below it are flattened with a dot."""


def read_fields(
    table: Mapping[str, Raw], fields: Fields, path: TreePath, found: Findings
) -> dict[str, Value]:
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


def _group(raw: Raw | None, key: str, group: Group, path: TreePath, found: Findings) -> dict[str, Value]:
    if raw is None:
        return {}
    if not isinstance(raw, Tree):
        found.fault(path, f"{shown(raw)} is no table", f"a table of {', '.join(group.fields)} is accepted")
        return {}
    check_list(raw, path, found)
    found.unknown_keys(raw, (*group.fields, UNCONFIRMED), path)
    inner = read_fields(raw, group.fields, path, found)
    return {f"{key}.{name}": value for name, value in inner.items()}


def _read(raw: Raw, field: Field, path: TreePath, found: Findings) -> Value | None:
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
            if isinstance(raw, Tree) and field.least <= len(raw) <= field.most:
                return read_points(raw, field, path, found)
        case Names():
            if isinstance(raw, tuple) and field.least <= len(raw) <= field.most:
                return read_names(raw, field, path, found)
    found.fault(path, f"{shown(raw)} cannot be used", takes(field))
    return math.nan if isinstance(field, Number) else None


def _column(row: tuple[Raw, ...], column: Column, path: TreePath, found: Findings) -> Value | None:
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


def _quantity(raw: Raw, field: Quantity, path: TreePath, found: Findings) -> Value:
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


_PATH: TreePath = ("frame", "leverage")
_MM = 1e-3
_MOST_TILT = math.radians(45)
"""Further off level no picture is held by hand: the points are the wrong ones."""


def read_drawing(table: Mapping[str, Raw], values: dict[str, Value], found: Findings) -> dict[str, Value]:
    """Return the values of a linkage with its "points" in m, y up, where they can be told.

    A picture has its y down; its scale comes from the one length that is known. With two points that lie
    level it is turned until they do, by "turned" [rad], anticlockwise positive.
    """
    return _levelled(table, _as_drawn(table, values, found), found)


def _as_drawn(table: Mapping[str, Raw], values: dict[str, Value], found: Findings) -> dict[str, Value]:
    if "points_mm" in table and "points_px" in table:
        found.fault((*_PATH, "points_px"), "given beside points_mm", "one of the two is accepted")
    elif "points_px" in table:
        scale = _scale(table, values, found)
        return values | _drawn(values.get("points_px"), scale, -scale)
    elif "points_mm" not in table:
        found.fault((*_PATH, "points_mm"), "missing", "points in points_mm or in points_px are needed")
    if "known" in table and "points_px" not in table:
        found.fault(
            (*_PATH, "known"), "given without points_px", "a known length beside points_px is accepted"
        )
    return values | _drawn(values.get("points_mm"), _MM, _MM)


def linkage_of(section: Section) -> Linkage | None:
    """Return the linkage of a section, None where a part of it is missing or could not be read."""
    from physics.case import Linkage

    points, axle = section.get("points"), section.get("axle")
    fixed, bars, shock = (section.get(key) for key in ("fixed", "bars", "shock"))
    if not isinstance(points, Mapping) or axle is None:
        return None
    if not (isinstance(fixed, Listed) and isinstance(bars, Listed) and isinstance(shock, Listed)):
        return None
    one, other = shock.names
    held = (*fixed.names, *_beside(section, {*fixed.names, *sum(bars.pairs, ()), str(axle), one, other}))
    return Linkage(tuple(points), tuple(points.values()), held, bars.pairs, str(axle), (one, other))


def _beside(section: Section, used: Collection[str]) -> tuple[str, ...]:
    """Return the points that only give a picture its scale or its level: no bar needs to hold them."""
    points = section.get("points")
    there = points if isinstance(points, Mapping) else {}
    keys = ("known.from", "known.to", "level.from", "level.to")
    named = dict.fromkeys(str(section[key]) for key in keys if key in section)
    return tuple(name for name in named if name in there and name not in used)


def _levelled(table: Mapping[str, Raw], values: dict[str, Value], found: Findings) -> dict[str, Value]:
    """Return the values with the points turned until those of "level" lie level, else without points."""
    points, ends = values.get("points"), [values.get(f"level.{end}") for end in ("from", "to")]
    if "level" not in table or not isinstance(points, Mapping):
        return values
    unturned = {key: value for key, value in values.items() if key != "points"}
    if None in ends or not _are_points("level", ends, points, found):
        return unturned
    (ax, ay), (bx, by) = (points[str(end)] for end in ends)
    # Which of the two is named first says nothing: the picture is turned the shorter way.
    tilt = math.remainder(math.atan2(by - ay, bx - ax), math.pi)
    if abs(tilt) > _MOST_TILT:
        told = f"the two points lie {math.degrees(abs(tilt)):.0f} degrees off level"
        found.fault((*_PATH, "level"), told, "two points no more than 45 degrees off level are accepted")
        return unturned
    c, s = math.cos(tilt), math.sin(tilt)
    turned = {name: (c * x + s * y, c * y - s * x) for name, (x, y) in points.items()}
    return unturned | {"points": turned, "turned": -tilt}


def _are_points(key: str, ends: list[Value | None], points: Mapping[str, object], found: Findings) -> bool:
    """Return whether both ends are names of points that lie apart; note what is wrong."""
    for side, end in zip(("from", "to"), ends, strict=True):
        if end not in points:
            found.fault((*_PATH, key, side), "no point has this name", "the name of a point is accepted")
    if any(end not in points for end in ends):
        return False
    if points[str(ends[0])] == points[str(ends[1])]:
        found.fault((*_PATH, key), "both points lie at one place", "two points that lie apart are accepted")
        return False
    return True


def _drawn(points: Value | None, along: float, up: float) -> dict[str, Value]:
    if not isinstance(points, Mapping) or math.isnan(along):
        return {}
    return {"points": {name: (along * x, up * y) for name, (x, y) in points.items()}}


def _scale(table: Mapping[str, Raw], values: dict[str, Value], found: Findings) -> float:
    """Return the metres of a pixel, NaN where they cannot be told."""
    if "known" not in table:
        needed = "a table known = { from, to, length } is needed beside points_px"
        found.fault((*_PATH, "known"), "missing", needed)
        return math.nan
    points, length = values.get("points_px"), values.get("known.length", math.nan)
    ends = [values.get(f"known.{end}") for end in ("from", "to")]
    if not isinstance(points, Mapping) or not isinstance(length, float) or None in ends:
        return math.nan
    if not _are_points("known", ends, points, found):
        return math.nan
    return length / math.dist(points[str(ends[0])], points[str(ends[1])])


Columns = Mapping[str, tuple[float, ...]]


def read_of_kind(
    table: Mapping[str, Raw], kinds: Mapping[str, Fields], path: TreePath, found: Findings
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


def _kind(
    table: Mapping[str, Raw], kinds: Mapping[str, Fields], path: TreePath, found: Findings
) -> str | None:
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
    path: TreePath = ("frame", "leverage")
    if not isinstance(table, Tree):
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


def go_together(columns: Columns, path: TreePath, rising: tuple[str, ...], found: Findings) -> bool:
    """Note columns that belong together and differ in length, and those of `rising` that do not rise."""
    before = len(found.faults)
    if len({len(column) for column in columns.values()}) > 1:
        found.fault(path, f"{' and '.join(columns)} differ in length", "arrays of one length are accepted")
    for key in rising:
        increasing(columns.get(key), (*path, key), found)
    return len(found.faults) == before


def increasing(column: tuple[float, ...] | None, path: TreePath, found: Findings) -> None:
    """Note a column that does not increase throughout."""
    for index, (before, here) in enumerate(pairwise(column or ()), start=1):
        if here <= before:
            found.fault((*path, index), "not above the one before it", "numbers that increase are accepted")


def check_format(form: Raw | None, found: Findings) -> None:
    """Note a format that is not this one."""
    if form != 1 or isinstance(form, bool | float):
        what = "missing" if form is None else f"{shown(form)} is not known"
        found.fault(("format",), what, "format = 1 is accepted")


def table_at(top: Mapping[str, Raw], key: str, found: Findings) -> Tree | None:
    """Return the table at `key`, None where something else stands.

    One left out is empty, so that the keys due in it are named as missing one by one.
    """
    raw = top.get(key, Tree({}))
    if isinstance(raw, Tree):
        return raw
    found.fault((key,), f"{shown(raw)} is no table", f"a table [{key}] is accepted")
    return None


def read_section(
    table: Mapping[str, Raw] | None,
    fields: Fields,
    path: TreePath,
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


_ACCEPTED = "one [[setup]] or more is accepted"


def read_setups(tables: Raw | None, leverage: str, found: Findings) -> tuple[Section, ...]:
    """Read every setup on a frame with this kind of leverage; of one that cannot be used, what is sound."""
    if isinstance(tables, Tree):
        found.fault(("setup",), "a single table", f"{_ACCEPTED}, in double brackets")
        return (_setup(tables, ("setup",), leverage, found),)
    if not isinstance(tables, tuple) or not tables:
        what = {None: "missing", (): "empty"}.get(tables, f"{shown(tables)} is no list of tables")
        found.fault(("setup",), what, _ACCEPTED)
        return ()
    return tuple(_setup(table, ("setup", index), leverage, found) for index, table in enumerate(tables))


def _setup(table: Raw, path: TreePath, leverage: str, found: Findings) -> Section:
    if not isinstance(table, Tree):
        found.fault(path, f"{shown(table)} is no table", "a table [[setup]] is accepted")
        return {}
    values = read_of_kind(table, SETUP, path, found)
    # What kind of leverage it is may be what is wrong.
    is_shock = leverage in LEVERAGE and leverage != "fork"
    for extra, keys in EXTRAS.items():
        if extra == "lower_legs" and is_shock:
            _of_a_fork_only(values, keys, path, found)
        else:
            _extra(table, keys, path, found)
    if table.get("gas_pressure", "none") != "none":
        _needs(table, ("rod",), path, "gas_pressure", found)
    # Of a kind that is not known, whatever it has is looked at.
    if values.get("kind") != "air":
        _coil(table, values, path, found)
    if values.get("kind") != "coil":
        _air(table, values, path, found)
    return values


def _coil(table: Mapping[str, Raw], values: dict[str, Value], path: TreePath, found: Findings) -> None:
    if "rate" in table and "stages" in table:
        found.fault((*path, "rate"), "given beside stages", "one of the two is accepted")
    elif values.get("kind") == "coil" and "rate" not in table and "stages" not in table:
        found.fault((*path, "rate"), "missing", f'{accepted(Dimension.SPRING_RATE)}, or "solve", or stages')
    if "preload" in table and "preload_turns" in table:
        found.fault((*path, "preload_turns"), "given beside preload", "one of the two is accepted")
    if "preload_turns" in table:
        _needs(table, ("thread_pitch",), path, "preload_turns", found)
    _ladder(table, values, path, found)
    _one_of(table, COIL_DIAMETERS, path, found)
    _stages(values, (*path, "stages"), found)
    free, solid = values.get("free_length"), values.get("solid_length")
    if isinstance(free, float) and isinstance(solid, float) and solid >= free:
        found.fault(
            (*path, "solid_length"), "not below free_length", "a length below free_length is accepted"
        )


def _one_of(table: Mapping[str, Raw], keys: tuple[str, ...], path: TreePath, found: Findings) -> None:
    there = [key for key in keys if key in table]
    for key in there[1:]:
        found.fault((*path, key), f"given beside {there[0]}", f"one of {', '.join(keys)} is accepted")


def _ladder(table: Mapping[str, Raw], values: Section, path: TreePath, found: Findings) -> None:
    if "ladder_step" in table and "ladder_lbf_per_in" in table:
        found.fault((*path, "ladder_step"), "given beside ladder_lbf_per_in", "one of the two is accepted")
    ladder = values.get("ladder_lbf_per_in")
    if isinstance(ladder, tuple):
        increasing(ladder, (*path, "ladder_lbf_per_in"), found)


def _stages(values: dict[str, Value], path: TreePath, found: Findings) -> None:
    """Note stages that do not go together; they have no value then."""
    keys = [key for key in values if key.startswith("stages.")]
    columns = {
        key.removeprefix("stages."): column for key in keys if isinstance(column := values[key], tuple)
    }
    sound = go_together(columns, path, ("compression_mm",), found)
    starts = columns.get("compression_mm")
    if starts and starts[0] != 0.0:
        found.fault(
            (*path, "compression_mm"),
            "the first stage does not start at 0",
            "0 for the first stage is accepted",
        )
    if not sound:
        for key in keys:
            del values[key]


def _air(table: Mapping[str, Raw], values: Section, path: TreePath, found: Findings) -> None:
    negative = str(values.get("negative", "none"))
    _needs(table, NEGATIVE_NEEDS[negative], path, f'negative = "{negative}"', found)
    for chamber in ("positive", "negative"):
        spacers = values.get(f"{chamber}_spacers")
        if isinstance(spacers, float) and spacers > 0:
            _needs(table, (f"{chamber}_spacer_volume",), path, f"{chamber}_spacers", found)


def _needs(
    table: Mapping[str, Raw], keys: tuple[str, ...], path: TreePath, why: str, found: Findings
) -> None:
    for key in keys:
        if key not in table:
            found.fault((*path, key), "missing", f"{key} is needed with {why}")


def _of_a_fork_only(values: dict[str, Value], keys: tuple[str, ...], path: TreePath, found: Findings) -> None:
    """Note what only a fork has on the setup of a shock; it has no value there."""
    for key in keys:
        value = values.pop(key, None)
        # What cannot be read at all is told already.
        if isinstance(value, str) or (isinstance(value, float) and not math.isnan(value)):
            accepted = f"{key} is accepted beside leverage of kind fork only"
            found.fault((*path, key), "only a fork has lower legs", accepted)


def _extra(table: Mapping[str, Raw], keys: tuple[str, str], path: TreePath, found: Findings) -> None:
    """Note one of two keys without the other, and the second beside the "none" of the first."""
    first, second = keys
    if table.get(first) == "none":
        if second in table:
            found.fault((*path, second), f'given beside {first} = "none"', "one of the two is accepted")
    elif (first in table) != (second in table):
        there, absent = keys if keys[0] in table else keys[::-1]
        _needs(table, (absent,), path, there, found)


def check_record(top: Mapping[str, Raw], setups: tuple[Section, ...], found: Findings) -> None:
    """Note what is wrong in `[record]`, `[measured]` and `[ridden]`."""
    read_section(table_at(top, "record", found), RECORD, ("record",), found, typed_only=True)
    read_section(table_at(top, "ridden", found), RIDDEN, ("ridden",), found, typed_only=True)
    table = table_at(top, "measured", found)
    measured = read_section(table, MEASURED, ("measured",), found, typed_only=True)
    names = [str(setup["name"]) for setup in setups if "name" in setup]
    meant = measured.get("setup")
    # A setup without a sound name may be the one that is meant.
    if meant is not None and names and len(names) == len(setups) and meant not in names:
        accepted = f"one of {', '.join(map(brief, names))} is accepted"
        found.fault(("measured", "setup"), f"{shown(meant)} names no setup", accepted)


@dataclass(frozen=True, slots=True)
class Reading:
    """The values of a job: SI floats, pressures still gauge [Pa].

    `ride` is None where the job asks about no other air than the shop's, `front` where it is one wheel only.
    """

    load: Section
    frame: Section
    leverage: Section
    target: Section
    ambient: Section
    ride: Section | None
    tolerance: Section
    setups: tuple[Section, ...]
    spelling: Spelling
    front: Reading | None = None

    @property
    def wheels(self) -> tuple[Reading, ...]:
        """The wheels of the job, the front one last."""
        return (self,) if self.front is None else (self, self.front)


def read(job: Job) -> Reading:
    """Read a job as typed; raise `UnusableJob` with all its faults if it has any."""
    reading, faults = look(job)
    if faults:
        raise UnusableJob(faults)
    return reading


def look(job: Job) -> tuple[Reading, tuple[JobFault, ...]]:
    """Return what is sound in a job and every fault of the rest."""
    spelling = spelled(job.tree)
    found = Findings(spelling)
    found.slips()
    reading = _wheel(spelling, found)
    front = spelling.tree.get("front")
    if isinstance(front, Tree):
        _both_ends(spelling.tree, front, found)
        at_front = front_spelling(spelling)
        of_front = Findings(at_front)
        reading = replace(reading, front=_wheel(at_front, of_front))
        # What is wrong with a value that both wheels share is told already.
        place = spelling.in_file(("front",))
        found.faults += [fault for fault in of_front.faults if fault.path[:1] == place]
    elif front is not None:
        found.fault(("front",), f"{shown(front)} is no table", "a table [front] is accepted")
    return reading, tuple(found.faults)


def _wheel(spelling: Spelling, found: Findings) -> Reading:
    top = spelling.tree
    found.unknown_keys(top, TOP, ())
    check_list(top, (), found, only=("title",))
    check_format(top.get("format"), found)
    title = top.get("title", "")
    if not isinstance(title, str):
        found.fault(("title",), f"{shown(title)} cannot be used", "text is accepted")
    frame = table_at(top, "frame", found)
    reading = Reading(
        load=read_load(table_at(top, "load", found), found),
        frame=read_frame(frame, found),
        leverage={} if frame is None else read_leverage(frame.get("leverage"), found),
        target=read_section(table_at(top, "target", found), TARGET, ("target",), found),
        ambient=read_section(table_at(top, "ambient", found), AMBIENT, ("ambient",), found),
        ride=_ride(top, found),
        tolerance=read_section(table_at(top, "tolerance", found), TOLERANCE, ("tolerance",), found),
        setups=read_setups(top.get("setup"), str(look_up(frame, ("leverage", "kind"))), found),
        spelling=spelling,
    )
    check_record(top, reading.setups, found)
    return reading


def _ride(top: Tree, found: Findings) -> Section | None:
    table = table_at(top, "ride", found) if "ride" in top else None
    return None if "ride" not in top else read_section(table, AMBIENT, ("ride",), found, typed_only=True)


def _both_ends(top: Tree, front: Tree, found: Findings) -> None:
    """Note what contradicts that the top level is the rear wheel, and what the front has twice."""
    found.unknown_keys(front, FRONT_TABLES, ("front",))
    rear, own = (look_up(tree, ("load",)) for tree in (top, front))
    if look_up(top, ("frame", "leverage", "kind")) == "fork":
        what = "a fork at the rear: beside [front] the top level is the rear wheel"
        found.fault(("frame", "leverage", "kind"), what, "a fork in [front.frame.leverage] is accepted")
    if look_up(rear, ("geometry", "wheel")) == "front":
        what = "front, but beside [front] the top level is the rear wheel"
        found.fault(("load", "geometry", "wheel"), what, "rear, or no such key, is accepted")
    if isinstance(own, Tree) and not (isinstance(rear, Tree) and "scale_mass" in rear):
        for key in SHARED_LOAD:
            if key in own:
                found.fault(("front", "load", key), "counts for both wheels", f"{key} in [load] is accepted")
