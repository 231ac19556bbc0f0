"""The reader: job as typed → values of its fields in SI, and all faults."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

from physics.frozen import dataclass
from physics.limits import HIGHEST_PRESSURE
from physics.units import Dimension, OutOfReach, UnitFault, accepted, in_unit, named, parse, quoted
from tui.job.faults import FRONT_TABLES, Findings, JobFault, Spelling, UnusableJob, spelled
from tui.job.fields import (
    DAMPER,
    EVERY_SETUP,
    FIELDS,
    LEVERAGE,
    LOAD_WAYS,
    SETUP,
    SPRING,
    STAGES,
    TOP,
    TYPED_ONLY,
    Amount,
    Bare,
    Choice,
    Column,
    Field,
    Fields,
    Group,
    Kind,
    Names,
    Points,
    Share,
    Words,
)
from tui.job.job import MOST_SETUPS, UNCONFIRMED, Job, check_list
from tui.job.quantities import dimension_of, is_number
from tui.job.tree import Raw, Tree, TreePath, brief, clean, look_up
from tui.job.wheels import SHARED_LOAD, front_spelling

if TYPE_CHECKING:
    from physics.case import Linkage


def takes(kind: Kind) -> str:
    """Return what a field accepts, in words."""
    match kind:
        case Amount() | Share():
            return accepted(_dimension(kind)) + "".join(f', or "{word}"' for word in words_of(kind))
        case Bare():
            whole = "whole " if kind.whole else ""
            return f"use a {whole}number {_span(kind, _plain(kind.low), _plain(kind.high))}, no unit"
        case Choice(several=True):
            return f"use one of {', '.join(kind.words)}, or a list of several"
        case Choice():
            return f"use one of {', '.join(kind.words)}"
        case Column():
            return f"use a list of {kind.least} to {kind.most} numbers, no units"
        case Points():
            count = f"{kind.least} to {kind.most}"
            return f"use a table of {count} points, each as in axle = [430, 5]"
        case Names(pairs=True):
            return f'use an array of up to {kind.most} pairs of points, such as ["main", "axle"]'
        case Names():
            count = str(kind.most) if kind.least == kind.most else f"{kind.least} to {kind.most}"
            return f"use an array of {count} point names"
        case _:
            return "use text that is not empty"


def words_of(kind: Amount | Share) -> list[str]:
    """Return the words accepted instead of a number."""
    return list(kind.words) if isinstance(kind, Amount) else []


def _takes_range(kind: Amount | Share, unit: str) -> str:
    """Return the accepted range of a quantity, in the unit that was typed."""
    dimension = _dimension(kind)
    # A bare 30 usually means 30 %.
    percent = ', such as "30 %" or 0.30' if dimension is Dimension.FRACTION and not unit else ""
    low, high = (f"{_plain(in_unit(si, unit, dimension))} {unit}".rstrip() for si in limits(kind))
    return f"use {named(dimension)} {_span(kind, low, high)}{percent}"


def limits(kind: Amount | Share | Bare) -> tuple[float, float]:
    """Return the lowest and highest accepted number of a field, quantities in SI."""
    return kind.low, HIGHEST_PRESSURE if kind.high is None else kind.high


def _dimension(kind: Amount | Share) -> Dimension:
    dimension = dimension_of(kind.measure)
    assert dimension is not None
    return dimension


def _within(value: float, kind: Amount | Share | Bare) -> bool:
    low, high = limits(kind)
    return low <= value <= high and (kind.closed or value > low)


def _span(kind: Amount | Share | Bare, low: str, high: str) -> str:
    return f"from {low} to {high}" if kind.closed else f"above {low} and up to {high}"


def _plain(number: float) -> str:
    return f"{float(f'{number:.4g}'):.10f}".rstrip("0").rstrip(".")


def shown(raw: Raw) -> str:
    """Return a raw value as typed for a message, or only its type if it is long."""
    match raw:
        case Tree():
            return "a table"
        case tuple():
            return "an array"
        case str():
            return quoted(raw)
        case bool():
            return str(raw).lower()
        case int() if abs(raw) > 10**15:
            return "this long number"
        case _:
            return str(raw)


LONGEST_NAME = 24
_NAME = f"use a name of 1 to {LONGEST_NAME} letters, digits and signs"
_XY = "use two numbers, x and y"
_ONE_OF_TWO = "use one of the two"

Places = Mapping[str, tuple[float, float]]
"""Places by name, in the unit of their key."""


@dataclass(frozen=True, slots=True)
class Listed:
    """Names of points in a row, or `pairs` of them."""

    names: tuple[str, ...] = ()
    pairs: tuple[tuple[str, str], ...] = ()


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

    An invalid number is NaN, so that nothing that depends on it is checked; an invalid word or column has no
    value.
    """
    values: dict[str, Value] = {}
    for key, field in fields.items():
        place = (*path, key)
        if isinstance(field.kind, Group):
            values |= _group(table.get(key), field.kind, place, found)
        elif key in table:
            value = _read(table[key], field.kind, place, found)
            if value is not None:
                values[key] = value
        elif field.due and not field.one_of:
            found.fault(place, "missing", takes(field.kind))
    return values


def _group(raw: Raw | None, group: Group, path: TreePath, found: Findings) -> dict[str, Value]:
    if isinstance(raw, Tree):
        inner = _read_table(raw, group.fields, path, found)
        return {f"{path[-1]}.{name}": value for name, value in inner.items()}
    if raw is not None:
        found.fault(path, f"{shown(raw)} is not a table", f"use a table of {', '.join(group.fields)}")
    return {}


def _read(raw: Raw, kind: Kind, path: TreePath, found: Findings) -> Value | None:
    match kind:
        case Amount() | Share():
            return _quantity(raw, kind, path, found)
        case Bare():
            if is_number(raw) and _within(raw, kind) and not (kind.whole and raw != int(raw)):
                return float(raw)
        case Words():
            if isinstance(raw, str) and raw.strip():
                return raw
        case Choice(several=True):
            words = raw if isinstance(raw, tuple) else (raw,)
            if words and all(word in kind.words for word in words) and len(set(words)) == len(words):
                return words
        case Choice():
            if isinstance(raw, str) and raw in kind.words:
                return raw
        case Column():
            if isinstance(raw, tuple):
                return _column(raw, kind, path, found)
        case Points():
            if isinstance(raw, Tree) and kind.least <= len(raw) <= kind.most:
                return _read_points(raw, kind, path, found)
        case Names():
            if isinstance(raw, tuple) and kind.least <= len(raw) <= kind.most:
                return _read_names(raw, kind, path, found)
    found.fault(path, f"{shown(raw)} cannot be used", takes(kind))
    return math.nan if isinstance(kind, Bare) else None


def _quantity(raw: Raw, kind: Amount | Share, path: TreePath, found: Findings) -> Value:
    words = words_of(kind)
    if raw in words:
        return str(raw)
    try:
        value, unit = _measured(raw, kind)
    except OutOfReach as fault:
        found.fault(path, fault.what, _takes_range(kind, fault.unit))
    except UnitFault as fault:
        found.fault(path, fault.what, takes(kind) if "none" in words else fault.accepted)
    else:
        if _within(value, kind):
            return float(value)
        found.fault(path, f"{shown(raw)} is out of range", _takes_range(kind, unit))
    return math.nan


def _measured(raw: Raw, kind: Amount | Share) -> tuple[float, str]:
    """Return a quantity and its unit; raises `UnitFault`."""
    if isinstance(raw, str):
        return parse(raw, _dimension(kind), limits(kind))
    if not is_number(raw):
        raise UnitFault(f"{shown(raw)} cannot be used", takes(kind))
    if _dimension(kind) is not Dimension.FRACTION:
        raise UnitFault(f"{shown(raw)} has no unit", takes(kind))
    return raw, ""


def _column(row: tuple[Raw, ...], column: Column, path: TreePath, found: Findings) -> Value | None:
    if not column.least <= len(row) <= column.most:
        count = "1 number" if len(row) == 1 else f"{len(row) or 'no'} numbers"
        found.fault(path, f"{count}: too {'few' if len(row) < column.least else 'many'}", takes(column))
        return None
    return tuple(raw * column.scale for raw in row) if _are_numbers(row, column, path, found) else None


def _are_numbers(row: tuple[Raw, ...], kind: Column | Points, path: TreePath, found: Findings) -> bool:
    """Return whether a row has only bare numbers in range; note the others."""
    bare = "" if isinstance(kind, Points) else ", no unit"  # the linkage screen converts units
    each = f"use a number from {_plain(kind.low)} to {_plain(kind.high)}{bare}"
    return _all_fit(row, lambda raw: is_number(raw) and kind.low <= raw <= kind.high, each, path, found)


def _all_fit(
    row: tuple[Raw, ...], fits: Callable[[Raw], bool], each: str, path: TreePath, found: Findings
) -> bool:
    """Return whether all elements of an array fit; note the others with `each`, what is accepted."""
    wrong = [index for index, raw in enumerate(row) if not fits(raw)]
    found.first_faults(
        wrong,
        lambda index: ((*path, index), f"{shown(row[index])} cannot be used", each),
        lambda more: (path, f"{more} more cannot be used", each),
    )
    return not wrong


def _read_points(table: Tree, points: Points, path: TreePath, found: Findings) -> Places | None:
    """Return the places of a table of points, None if one of them cannot be used."""
    before = len(found.faults)
    for name, raw in table.items():
        if not is_name(name):
            found.fault((*path, name), "this name cannot be used", _NAME)
        elif not isinstance(raw, tuple) or len(raw) != 2:
            found.fault((*path, name), f"{shown(raw)} cannot be used", _XY)
        else:
            _are_numbers(raw, points, (*path, name), found)
    if len(found.faults) > before:
        return None
    return {name: (float(x), float(y)) for name, (x, y) in table.items()}


def is_name(text: str) -> bool:
    """Return whether a text may be the name of a point: short, visible, without surrounding blanks."""
    return 0 < len(text) <= LONGEST_NAME and clean(text) == text == text.strip()


def _read_names(row: tuple[Raw, ...], names: Names, path: TreePath, found: Findings) -> Listed | None:
    """Return the names of an array, or its pairs of names, None if one of them cannot be used."""

    def is_pair(raw: Raw) -> bool:
        return isinstance(raw, tuple) and len(raw) == 2 and all(map(_is_text, raw))

    fits, one = (is_pair, "a pair of point names") if names.pairs else (_is_text, "the name of a point")
    if not _all_fit(row, fits, f"use {one}", path, found):
        return None
    return Listed(pairs=row) if names.pairs else Listed(names=row)


def _is_text(raw: Raw) -> bool:
    return isinstance(raw, str) and bool(raw)


def check_together(
    table: Mapping[str, Raw], fields: Fields, values: Section, path: TreePath, found: Findings
) -> None:
    """Note contradicting keys, missing required keys, and columns that do not increase."""
    for key, field in fields.items():
        _check_one_of(table, field, path, found)
        if key in table:
            _check_needs(table, field, fields, values, path, found)
        _check_rising(values.get(key), field, (*path, key), found)


def _check_one_of(table: Mapping[str, Raw], field: Field, path: TreePath, found: Findings) -> None:
    there = [one for one in field.one_of if one in table]
    if field.key in there[1:]:
        several = f"use one of {', '.join(field.one_of)}"
        accepted = _ONE_OF_TWO if len(field.one_of) == 2 else several
        found.fault((*path, field.key), f"given together with {there[0]}", accepted)
    elif field.due and field.one_of and not there:
        others = "".join(f", or {one}" for one in field.one_of if one != field.key)
        found.fault((*path, field.key), "missing", f"{takes(field.kind)}{others}")


def _check_needs(
    table: Mapping[str, Raw], field: Field, fields: Fields, values: Section, path: TreePath, found: Findings
) -> None:
    key, needs, why, value = field.key, field.needs, field.label, values.get(field.key)
    if isinstance(field.kind, Choice):
        option = next((one for one in field.kind.options if one.stored == value), None)
        needs, why = ((), why) if option is None else (tuple(option.needs), f"{why} {option.word}")
    is_count = isinstance(field.kind, Bare) and field.kind.whole
    # A count of zero requires nothing else.
    if _is_none(table, field) or (is_count and not (isinstance(value, float) and value > 0)):
        return
    for need in needs:
        if need not in table:
            found.fault((*path, need), "missing", f'{takes(fields[need].kind)}; "{why}" needs it')
        elif _is_none(table, fields[need]):
            found.fault((*path, key), f'given together with {need} = "none"', _ONE_OF_TWO)


def _is_none(table: Mapping[str, Raw], field: Field) -> bool:
    return isinstance(field.kind, Amount) and field.kind.or_none and table.get(field.key) == "none"


_PATH: TreePath = ("frame", "leverage")
_MM = 1e-3
_MOST_TILT = math.radians(45)
"""Largest tilt of a photo held by hand; beyond it the level points must be wrong."""


def _as_drawn(table: Mapping[str, Raw], values: dict[str, Value], found: Findings) -> dict[str, Value]:
    """Return the values of a linkage with "points" in m, y up, if they can be determined.

    Pixels have y down; their scale comes from the one known length.
    """
    # Other requirements of these keys have their own messages.
    _check_one_of(table, LEVERAGE["linkage"]["points_px"], _PATH, found)
    typed, along, up = values.get("points_mm"), _MM, _MM
    if "points_px" in table and "points_mm" not in table:
        along = _scale(table, values, found)
        typed, up = values.get("points_px"), -along
    elif "points_mm" not in table:
        found.fault((*_PATH, "points_mm"), "missing", "use points_mm or points_px")
    if "known" in table and "points_px" not in table:
        found.fault((*_PATH, "known"), "given without points_px", "use a known length with points_px only")
    if not isinstance(typed, Mapping) or math.isnan(along):
        return values
    return values | {"points": {name: (along * x, up * y) for name, (x, y) in typed.items()}}


def linkage_of(section: Section) -> Linkage | None:
    """Return the linkage of a section, None if a part of it is missing or could not be read."""
    from physics.case import Linkage

    points, axle = section.get("points"), section.get("axle")
    fixed, bars, shock = (section.get(key) for key in ("fixed", "bars", "shock"))
    if not isinstance(points, Mapping) or axle is None:
        return None
    if not (isinstance(fixed, Listed) and isinstance(bars, Listed) and isinstance(shock, Listed)):
        return None
    one, other = shock.names
    # Points used only for the scale or level of a picture need no bars.
    named = (section.get(key) for key in ("known.from", "known.to", "level.from", "level.to"))
    used = {None, *fixed.names, *sum(bars.pairs, ()), str(axle), one, other}
    beside = (str(name) for name in dict.fromkeys(named) if name in points and name not in used)
    held = (*fixed.names, *beside)
    return Linkage(tuple(points), tuple(points.values()), held, bars.pairs, str(axle), (one, other))


def _levelled(table: Mapping[str, Raw], values: dict[str, Value], found: Findings) -> dict[str, Value]:
    """Return the values with the points rotated to make the "level" points level, else without points.

    "turned" [rad] is the rotation, anticlockwise positive.
    """
    points, ends = values.get("points"), [values.get(f"level.{end}") for end in ("from", "to")]
    if "level" not in table or not isinstance(points, Mapping):
        return values
    unturned = {key: value for key, value in values.items() if key != "points"}
    if None in ends or not _are_points("level", ends, points, found):
        return unturned
    (ax, ay), (bx, by) = (points[str(end)] for end in ends)
    # The order of the two has no meaning: rotate the shorter way.
    tilt = math.remainder(math.atan2(by - ay, bx - ax), math.pi)
    if abs(tilt) > _MOST_TILT:
        told = f"the two points are {math.degrees(abs(tilt)):.0f} degrees off level"
        found.fault((*_PATH, "level"), told, "use two points at most 45 degrees off level")
        return unturned
    c, s = math.cos(tilt), math.sin(tilt)
    turned = {name: (c * x + s * y, c * y - s * x) for name, (x, y) in points.items()}
    return unturned | {"points": turned, "turned": -tilt}


def _are_points(key: str, ends: list[Value | None], points: Mapping[str, object], found: Findings) -> bool:
    """Return whether both ends are names of distinct points; note what is wrong."""
    for side, end in zip(("from", "to"), ends, strict=True):
        if end not in points:
            found.fault((*_PATH, key, side), "no point has this name", "use the name of a point")
    if any(end not in points for end in ends):
        return False
    if points[str(ends[0])] == points[str(ends[1])]:
        found.fault((*_PATH, key), "both points are at the same place", "use two points that are apart")
        return False
    return True


def _scale(table: Mapping[str, Raw], values: dict[str, Value], found: Findings) -> float:
    """Return the scale [m per pixel], NaN if it cannot be determined."""
    if "known" not in table:
        needed = "add a table known = { from, to, length }: points_px needs it"
        found.fault((*_PATH, "known"), "missing", needed)
        return math.nan
    points, length = values.get("points_px"), values.get("known.length", math.nan)
    ends = [values.get(f"known.{end}") for end in ("from", "to")]
    if not isinstance(points, Mapping) or not isinstance(length, float) or None in ends:
        return math.nan
    if not _are_points("known", ends, points, found):
        return math.nan
    return length / math.dist(points[str(ends[0])], points[str(ends[1])])


def _read_table(
    table: Mapping[str, Raw],
    fields: Fields,
    path: TreePath,
    found: Findings,
    also: tuple[str, ...] = (),
) -> dict[str, Value]:
    """Read the fields of one table and its list of unconfirmed ones; note unknown keys."""
    if path[0] not in TYPED_ONLY:
        also = (*also, UNCONFIRMED)
        check_list(table, path, found)
    found.unknown_keys(table, (*fields, *also), path)
    return read_fields(table, fields, path, found)


def _read_of_kind(
    table: Mapping[str, Raw], kinds: Mapping[str, Fields], path: TreePath, found: Findings
) -> dict[str, Value]:
    """Read a table of one of several `kinds`; with an unknown kind the values have no "kind".

    Such a table may have the keys of every kind, and must have those required by all.
    """
    kind = table.get("kind")
    if isinstance(kind, str) and kind in kinds:
        return {"kind": kind, **_read_table(table, kinds[kind], path, found, ("kind",))}
    what = "missing" if kind is None else f"{shown(kind)} is not known"
    found.fault((*path, "kind"), what, f"use one of {', '.join(kinds)}")
    known = {key: field for fields in kinds.values() for key, field in fields.items()}
    common = set[str].intersection(*(set(fields) for fields in kinds.values()))
    every = {key: field if key in common else field._replace(due=False) for key, field in known.items()}
    return _read_table(table, every, path, found, ("kind",))


def _read_leverage(table: Raw | None, found: Findings) -> Section:
    """Read `[frame.leverage]` of any kind; inconsistent columns have no value.

    Points of a linkage are converted to m.
    """
    if not isinstance(table, Tree):
        what = "missing" if table is None else f"{shown(table)} is not a table"
        found.fault(_PATH, what, f"use a table with kind = one of {', '.join(LEVERAGE)}")
        return {}
    values = _read_of_kind(table, LEVERAGE, _PATH, found)
    if values.get("kind") == "linkage":
        return _levelled(table, _as_drawn(table, values, found), found)
    columns = {key: value for key, value in values.items() if isinstance(value, tuple)}
    fields = {key: field for fields in LEVERAGE.values() for key, field in fields.items()}
    if not _go_together(columns, fields, _PATH, found):
        values = {key: value for key, value in values.items() if key not in columns}
    return values


def _go_together(
    columns: Mapping[str, tuple[float, ...]], fields: Fields, path: TreePath, found: Findings
) -> bool:
    """Note related columns that differ in length, and columns that do not increase as required."""
    before = len(found.faults)
    if len({len(column) for column in columns.values()}) > 1:
        found.fault(path, f"{' and '.join(columns)} differ in length", "use arrays of the same length")
    for key, column in columns.items():
        _check_rising(column, fields[key], (*path, key), found)
    return len(found.faults) == before


def _check_rising(column: Value | None, field: Field, path: TreePath, found: Findings) -> None:
    """Note every number of an increasing column that is not above the previous one."""
    if not (isinstance(field.kind, Column) and field.kind.rising and isinstance(column, tuple)):
        return
    for index, (before, here) in enumerate(pairwise(column), start=1):
        if here <= before:
            found.fault((*path, index), "not above the previous one", "use increasing numbers")


def _table_at(top: Mapping[str, Raw], key: str, found: Findings) -> Tree | None:
    """Return the table at `key`, None if it is something else.

    A missing table is empty, so that its required keys are reported one by one.
    """
    raw = top.get(key, Tree({}))
    if isinstance(raw, Tree):
        return raw
    found.fault((key,), f"{shown(raw)} is not a table", f"use a table [{key}]")
    return None


def _read_at(top: Mapping[str, Raw], key: str, found: Findings) -> Section:
    """Read the table at `key`; nothing if it is not a table."""
    table = _table_at(top, key, found)
    return {} if table is None else _read_table(table, FIELDS[key], (key,), found)


def _read_load(top: Mapping[str, Raw], found: Findings) -> Section:
    """Read `[load]`: shares of rider and bike, or a scale reading, or a centre of mass on a slope."""
    values, table = _read_at(top, "load", found), top.get("load", Tree({}))
    if not isinstance(table, Tree):
        return values
    way = next((way for way in LOAD_WAYS if way.mark in table), LOAD_WAYS[0])
    for key in way.drops:
        if key in table:
            found.fault(("load", key), f"given together with {way.mark}", _ONE_OF_TWO)
    for key in way.needs:
        if key not in (way.mark, "posture", *table):
            instead = "" if way.mark else ", or give a scale reading or a centre of mass instead"
            found.fault(("load", key), "missing", f"{takes(FIELDS['load'][key].kind)}{instead}")
    if not way.mark and ("rider_share" in table) == ("posture" in table):
        what = "given together with posture" if "posture" in table else "missing"
        found.fault(("load", "rider_share"), what, "use either rider_share or posture")
    return values


def _read_frame(table: Tree | None, found: Findings) -> Section:
    """Read `[frame]` without its leverage."""
    if table is None:
        return {}
    fields = FIELDS["frame"]
    if look_up(table, ("leverage", "kind")) == "fork":
        fields = {key: field._replace(**field.on_fork) for key, field in fields.items()}
    values = _read_table(table, fields, ("frame",), found, ("leverage",))
    stroke, eyes = values.get("stroke"), values.get("eye_to_eye")
    if isinstance(stroke, float) and isinstance(eyes, float) and eyes <= stroke:
        found.fault(("frame", "eye_to_eye"), "not longer than the stroke", "use a length above the stroke")
    return values


_ACCEPTED = "use one or more [[setup]]"


def read_setups(tables: Raw | None, leverage: str, found: Findings) -> tuple[Section, ...]:
    """Read every setup on a frame with this kind of leverage; of an invalid one, the valid values."""
    if isinstance(tables, Tree):
        found.fault(("setup",), "a single table", f"{_ACCEPTED}, in double brackets")
        return (_setup(tables, ("setup",), leverage, found),)
    if not isinstance(tables, tuple) or not tables:
        what = {None: "missing", (): "empty"}.get(tables, f"{shown(tables)} is not a list of tables")
        found.fault(("setup",), what, _ACCEPTED)
        return ()
    if len(tables) > MOST_SETUPS:
        found.fault(("setup",), f"{len(tables)} setups are too many", f"use up to {MOST_SETUPS} [[setup]]")
        tables = tables[:MOST_SETUPS]
    return tuple(_setup(table, ("setup", index), leverage, found) for index, table in enumerate(tables))


def _setup(table: Raw, path: TreePath, leverage: str, found: Findings) -> Section:
    if not isinstance(table, Tree):
        found.fault(path, f"{shown(table)} is not a table", "use a table [[setup]]")
        return {}
    values = _read_of_kind(table, SETUP, path, found)
    # What kind of leverage it is may be what is wrong.
    is_shock = leverage in LEVERAGE and leverage != "fork"
    of_fork = [key for key, field in EVERY_SETUP.items() if field.fork_only and is_shock]
    asked = {key: field for key, field in EVERY_SETUP.items() if key not in of_fork}
    check_together(table, asked, values, path, found)
    for key in of_fork:
        value = values.pop(key, None)
        # What cannot be read at all is told already.
        if isinstance(value, str) or (isinstance(value, float) and not math.isnan(value)):
            accepted = f"use {key} with leverage of kind fork only"
            found.fault((*path, key), "only a fork has lower legs", accepted)
    # Of a kind that is not known, whatever it has is looked at, and nothing missed.
    for kind, own in SPRING.items():
        if "kind" not in values:
            own = {key: field._replace(due=False) for key, field in own.items()}
        if values.get("kind", kind) == kind:
            check_together(table, own, values, path, found)
    if values.get("kind") != "air":
        _stages(values, (*path, "stages"), found)
        free, solid = values.get("free_length"), values.get("solid_length")
        if isinstance(free, float) and isinstance(solid, float) and solid >= free:
            below = "use a length below free_length"
            found.fault((*path, "solid_length"), "not below free_length", below)
    return values


def _stages(values: dict[str, Value], path: TreePath, found: Findings) -> None:
    """Note inconsistent stages, which then have no value."""
    columns = {
        key.removeprefix("stages."): value
        for key, value in values.items()
        if key.startswith("stages.") and isinstance(value, tuple)
    }
    sound = _go_together(columns, STAGES, path, found)
    starts = columns.get("compression_mm")
    if starts and starts[0] != 0.0:
        accepted = "use 0 for the first stage"
        found.fault((*path, "compression_mm"), "the first stage does not start at 0", accepted)
    for key in () if sound else columns:
        del values[f"stages.{key}"]


def _read_damper(top: Mapping[str, Raw], found: Findings) -> Section:
    """Read `[damper]`: fractions of critical damping, slopes, or columns of speed and force."""
    values, table = _read_at(top, "damper", found), top.get("damper")
    if not isinstance(table, Tree):
        return values
    columns = {key: value for key, value in values.items() if isinstance(value, tuple)}
    rest = {key: value for key, value in values.items() if key not in columns}
    check_together(table, DAMPER, rest, ("damper",), found)
    sound = _go_together(columns, DAMPER, ("damper",), found) and _resists(columns, found)
    return values if sound else rest


def _resists(columns: Mapping[str, tuple[float, ...]], found: Findings) -> bool:
    """Note a tester's table with one direction only, and forces in the direction of motion."""
    before = len(found.faults)
    speeds, forces = columns.get("speed_m_per_s", ()), columns.get("force_n", ())
    ends = {"rebound": speeds[:1] < (0.0,), "compression": speeds[-1:] > (0.0,)}
    for way, is_there in ends.items() if speeds else ():
        if not is_there:
            sign = "below" if way == "rebound" else "above"
            found.fault(("damper", "speed_m_per_s"), f"no {way} speed", f"use a speed {sign} 0 as well")
    for index, (speed, force) in enumerate(zip(speeds, forces, strict=False)):
        if speed * force < 0:
            what = "above 0 in rebound" if speed < 0 else "below 0 in compression"
            accepted = "use compression positive and rebound negative, speed and force"
            found.fault(("damper", "force_n", index), what, accepted)
    return len(found.faults) == before


def _check_record(top: Mapping[str, Raw], setups: tuple[Section, ...], found: Findings) -> None:
    """Note what is wrong in `[record]`, `[measured]` and `[ridden]`."""
    _read_at(top, "record", found)
    _read_at(top, "ridden", found)
    measured = _read_at(top, "measured", found)
    names = [str(setup["name"]) for setup in setups if "name" in setup]
    meant = measured.get("setup")
    # A setup without a sound name may be the one that is meant.
    if meant is not None and names and len(names) == len(setups) and meant not in names:
        accepted = f"use one of {', '.join(map(brief, names))}"
        found.fault(("measured", "setup"), f"{shown(meant)} is not the name of a setup", accepted)
    elif names.count(str(meant)) > 1:
        what = f"{shown(meant)} names {names.count(str(meant))} setups"
        found.fault(("measured", "setup"), what, "give each of them a name of its own")


@dataclass(frozen=True, slots=True)
class Reading:
    """The values of a job: SI floats, pressures still gauge [Pa].

    `ride` is None without riding conditions, `front` for a job of one wheel.
    """

    load: Section
    frame: Section
    leverage: Section
    target: Section
    ambient: Section
    ride: Section | None
    tolerance: Section
    damper: Section
    tyre: Section
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
    """Return the valid values of a job and all its faults."""
    spelling = spelled(job.tree)
    found = Findings(spelling)
    found.slips()
    reading = _wheel(spelling, found)
    front = spelling.tree.get("front")
    if isinstance(front, Tree):
        _both_wheels(spelling.tree, front, found)
        at_front = front_spelling(spelling)
        of_front = Findings(at_front)
        reading = replace(reading, front=_wheel(at_front, of_front))
        # What is wrong with a value that both wheels share is told already.
        place = spelling.in_file(("front",))
        found.faults += [fault for fault in of_front.faults if fault.path[:1] == place]
    elif front is not None:
        found.fault(("front",), f"{shown(front)} is not a table", "use a table [front]")
    return reading, tuple(found.faults)


def check_format(form: Raw | None, found: Findings) -> None:
    """Note another format."""
    if form != 1 or isinstance(form, bool | float):
        what = "missing" if form is None else f"{shown(form)} is not known"
        found.fault(("format",), what, "use format = 1")


def _wheel(spelling: Spelling, found: Findings) -> Reading:
    top = spelling.tree
    found.unknown_keys(top, TOP, ())
    check_list(top, (), found, only=("title",))
    check_format(top.get("format"), found)
    title = top.get("title", "")
    if not isinstance(title, str):
        found.fault(("title",), f"{shown(title)} cannot be used", "use text")
    frame = _table_at(top, "frame", found)
    reading = Reading(
        load=_read_load(top, found),
        frame=_read_frame(frame, found),
        leverage={} if frame is None else _read_leverage(frame.get("leverage"), found),
        target=_read_at(top, "target", found),
        ambient=_read_at(top, "ambient", found),
        ride=_read_at(top, "ride", found) if "ride" in top else None,
        tolerance=_read_at(top, "tolerance", found),
        damper=_read_damper(top, found),
        tyre=_read_at(top, "tyre", found),
        setups=read_setups(top.get("setup"), str(look_up(frame, ("leverage", "kind"))), found),
        spelling=spelling,
    )
    _check_record(top, reading.setups, found)
    return reading


def _both_wheels(top: Tree, front: Tree, found: Findings) -> None:
    """Note contradictions to the top level being the rear wheel, and values that the front has twice."""
    found.unknown_keys(front, FRONT_TABLES, ("front",))
    rear, own = (look_up(tree, ("load",)) for tree in (top, front))
    if look_up(top, ("frame", "leverage", "kind")) == "fork":
        what = "a fork at the rear: with [front] the top level is the rear wheel"
        found.fault(("frame", "leverage", "kind"), what, "put the fork in [front.frame.leverage]")
    if look_up(rear, ("geometry", "wheel")) == "front":
        what = "front, but with [front] the top level is the rear wheel"
        found.fault(("load", "geometry", "wheel"), what, "use rear, or leave the key out")
    if isinstance(own, Tree) and not (isinstance(rear, Tree) and "scale_mass" in rear):
        for key in SHARED_LOAD:
            if key in own:
                found.fault(("front", "load", key), "counts for both wheels", f"put {key} in [load]")
