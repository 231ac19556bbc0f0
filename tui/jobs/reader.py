"""The text of a job file to a `Job`, or every fault in it at once."""

from __future__ import annotations

import tomllib
from itertools import pairwise
from typing import Any

from physics.units import Dimension, accepted
from tui.jobs.fields import Findings, join, read_fields, unknown_keys
from tui.jobs.job import Job, JobFault, Section, UnusableJob
from tui.jobs.schema import AMBIENT, FRAME, LEVERAGE, LOAD, NEGATIVE_NEEDS, SETUP, TARGET, TOP, Fields


def read_job(text: str) -> Job:
    """Read a job file; raise `UnusableJob` with all its faults if it has any."""
    try:
        top = tomllib.loads(text)
    # Deep nesting and endless digits break the parser in its own ways.
    except (ValueError, RecursionError) as error:
        raise UnusableJob((JobFault("file", f"not TOML: {error}", "a TOML job file is accepted"),)) from error
    found = Findings()
    unknown_keys(top, TOP, "", found)
    _format(top, found)
    title = top.get("title", "")
    if not isinstance(title, str):
        found.fault("title", "not text", "text is accepted")
    frame = _table(top, "frame", found)
    leverage = frame.pop("leverage", None)
    job = Job(
        title=str(title),
        load=_load(_table(top, "load", found), found),
        frame=_section(frame, FRAME, "frame", found, also=("leverage",)),
        leverage=_leverage(leverage, found),
        target=_section(_table(top, "target", found), TARGET, "target", found),
        ambient=_section(_table(top, "ambient", found), AMBIENT, "ambient", found),
        setups=_setups(top.get("setup"), found),
        units=found.units,
    )
    if found.faults:
        raise UnusableJob(tuple(found.faults))
    return job


def _format(top: dict[str, Any], found: Findings) -> None:
    form = top.get("format")
    if form != 1 or isinstance(form, bool | float):
        what = "missing" if form is None else f"{form!r} is not known"
        found.fault("format", what, "format = 1 is accepted")


def _table(top: dict[str, Any], key: str, found: Findings) -> dict[str, Any]:
    # Of a table left out, the keys due in it are named as missing one by one.
    table = top.get(key, {})
    if isinstance(table, dict):
        return dict(table)
    found.fault(key, "not a table", f"a table [{key}] is accepted")
    return {}


def _section(
    table: dict[str, Any], fields: Fields, path: str, found: Findings, also: tuple[str, ...] = ()
) -> Section:
    unknown_keys(table, (*fields, *also), path, found)
    return read_fields(table, fields, path, found)


def _load(table: dict[str, Any], found: Findings) -> Section:
    values = _section(table, LOAD, "load", found)
    masses = ("rider_mass", "bike_mass", "bike_share")
    if "scale_mass" in table:
        for key in (*masses, "rider_share", "posture"):
            if key in table:
                found.fault(join("load", key), "given beside scale_mass", "one of the two is accepted")
        return values
    for key in masses:
        if key not in table:
            found.fault(join("load", key), "missing", f"{key} is needed unless scale_mass is given")
    if ("rider_share" in table) == ("posture" in table):
        what = "given beside posture" if "posture" in table else "missing"
        found.fault("load.rider_share", what, "either rider_share or posture is accepted")
    return values


def _leverage(table: object, found: Findings) -> Section:
    path = "frame.leverage"
    if not isinstance(table, dict):
        what = "missing" if table is None else "not a table"
        found.fault(path, what, f"a table with kind = one of {', '.join(LEVERAGE)} is accepted")
        return {}
    kind = table.get("kind")
    if not isinstance(kind, str) or kind not in LEVERAGE:
        what = "missing" if kind is None else f"{kind!r} is not known"
        found.fault(join(path, "kind"), what, f"one of {', '.join(LEVERAGE)} is accepted")
        return {}
    if kind == "linkage":
        found.fault(
            join(path, "kind"), "linkage is not available yet", "ends, table, measured or fork is accepted"
        )
        return {}
    values = {"kind": kind} | dict(_section(table, LEVERAGE[kind], path, found, also=("kind",)))
    columns = {key: value for key, value in values.items() if isinstance(value, tuple)}
    _same_length(columns, path, found)
    for key in ("travel_mm", "stroke_mm"):
        _increasing(columns.get(key), join(path, key), found)
    return values


def _same_length(columns: dict[str, tuple[float, ...]], path: str, found: Findings) -> None:
    if len({len(column) for column in columns.values()}) > 1:
        found.fault(path, f"{' and '.join(columns)} differ in length", "arrays of one length are accepted")


def _increasing(column: tuple[float, ...] | None, path: str, found: Findings) -> None:
    if column and any(b <= a for a, b in pairwise(column)):
        found.fault(path, "does not increase", "numbers each above the one before are accepted")


def _setups(tables: object, found: Findings) -> tuple[Section, ...]:
    if not isinstance(tables, list) or not tables or not all(isinstance(t, dict) for t in tables):
        found.fault(
            "setup",
            "missing" if tables is None else "not a list of tables",
            "one [[setup]] or more is accepted",
        )
        return ()
    return tuple(_setup(table, f"setup.{index}", found) for index, table in enumerate(tables))


def _setup(table: dict[str, Any], path: str, found: Findings) -> Section:
    kind = table.get("kind")
    if not isinstance(kind, str) or kind not in SETUP:
        what = "missing" if kind is None else f"{kind!r} is not known"
        found.fault(join(path, "kind"), what, f"one of {', '.join(SETUP)} is accepted")
        return {}
    values = _section(table, SETUP[kind], path, found)
    _together(table, ("gas_pressure", "gas_volume"), path, found)
    _together(table, ("bumper_length", "bumper_force"), path, found)
    if "gas_pressure" in table:
        _needs(table, ("rod",), path, "gas_pressure", found)
    if kind == "coil":
        _coil(table, values, path, found)
    else:
        _air(table, values, path, found)
    return values


def _coil(table: dict[str, Any], values: Section, path: str, found: Findings) -> None:
    if ("rate" in table) == ("stages" in table):
        what = "given beside stages" if "rate" in table else "missing"
        found.fault(join(path, "rate"), what, f'{accepted(Dimension.SPRING_RATE)}, or "solve", or stages')
    if "preload" in table and "preload_turns" in table:
        found.fault(join(path, "preload_turns"), "given beside preload", "one of the two is accepted")
    if "preload_turns" in table:
        _needs(table, ("thread_pitch",), path, "preload_turns", found)
    stages = {key: value for key, value in values.items() if isinstance(value, tuple)}
    _same_length(stages, path, found)
    _increasing(stages.get("stages.compression_mm"), join(path, "stages.compression_mm"), found)


def _air(table: dict[str, Any], values: Section, path: str, found: Findings) -> None:
    negative = str(values.get("negative", "none"))
    _needs(table, NEGATIVE_NEEDS[negative], path, f'negative = "{negative}"', found)
    for chamber in ("positive", "negative"):
        if values.get(f"{chamber}_spacers"):
            _needs(table, (f"{chamber}_spacer_volume",), path, f"{chamber}_spacers", found)


def _needs(table: dict[str, Any], keys: tuple[str, ...], path: str, why: str, found: Findings) -> None:
    for key in keys:
        if key not in table:
            found.fault(join(path, key), "missing", f"{key} is needed with {why}")


def _together(table: dict[str, Any], keys: tuple[str, str], path: str, found: Findings) -> None:
    if (keys[0] in table) != (keys[1] in table):
        there, absent = keys if keys[0] in table else keys[::-1]
        _needs(table, (absent,), path, there, found)
