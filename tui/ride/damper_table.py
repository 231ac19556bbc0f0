"""Damper curves from a tester: speed and force from a table in a file, as a job stores them."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import cast

import numpy as np

from physics.arrays import Values, values
from physics.frozen import NamedTuple
from tui.job.fields import DAMPER
from tui.job.fields import Column as Range
from tui.job.job import Job
from tui.subjects.asked import Unanswered
from tui.tables.columns import Column, Numbers, numbers_of
from tui.tables.heads import DAMPER as SUBJECT
from tui.tables.heads import FORCE, SPEED
from tui.tables.questions import Told, lines_of, told_in
from tui.tables.source import UnusableReadings, unusable
from tui.tables.table import RawTable, table_at

PLACE = ("damper",)
_SPEED_DIGITS, _FORCE_DIGITS = 4, 1
"""Decimals kept of a speed [m/s] and of a force [N]: finer than anything that is measured."""
_MOST = 20
"""Speeds kept in each direction: of more, and of a run that goes to and fro, neighbours are averaged."""
_AGAINST = "use compression positive and rebound negative, without the force of the gas"


class DamperRead(NamedTuple):
    """Speeds [m/s], rising, and forces [N] as a job stores them, and the columns they were read from.

    `turned` says that the forces of the file have the other sign, `rows` how many rows it has.
    """

    name: str
    speed: tuple[float, ...]
    force: tuple[float, ...]
    found: tuple[Column, ...]
    rows: int
    turned: bool


def damper_in(table: RawTable, told: Told) -> DamperRead:
    """Return the damper in a table; raises `Unclear`, or `UnusableReadings` with every fault by line."""
    numbers = numbers_of(table, SUBJECT, told)
    speed, force = numbers.of[SPEED], numbers.of[FORCE]
    if not (speed < 0).any():
        # A speed without a sign: the force tells the direction.
        speed = values(np.where(force < 0, -speed, speed))
    turned = bool(np.sum(speed * force < 0) > np.sum(speed * force > 0))
    force = values(-force if turned else force)
    _check(numbers, speed, force)
    ways = [_averaged(speed[there], force[there]) for there in (speed < 0, speed >= 0)]
    both = [np.concatenate(columns) for columns in zip(*ways, strict=True)]
    return DamperRead(
        table.name,
        tuple(np.round(both[0], _SPEED_DIGITS).tolist()),
        tuple(np.round(both[1], _FORCE_DIGITS).tolist()),
        numbers.columns,
        len(numbers.lines),
        turned,
    )


def _check(numbers: Numbers, speed: Values, force: Values) -> None:
    """Raise `UnusableReadings` for a direction without a row, a force along the motion, a value too high."""
    for way, there, sign in (("rebound", speed < 0, "below"), ("compression", speed > 0, "above")):
        if not there.any():
            raise UnusableReadings(f"no {way} speed; use speeds {sign} 0 as well")
    faults = []
    ranges = {key: cast(Range, DAMPER[key].kind) for key in ("speed_m_per_s", "force_n")}
    for row, line in enumerate(numbers.lines):
        at, push = float(speed[row]), float(force[row])
        for number, unit, span in zip((at, push), ("m/s", "N"), ranges.values(), strict=True):
            if not span.low <= number <= span.high:
                faults.append(f"line {line}: {number:g} {unit}; use {span.low:g} to {span.high:g} {unit}")
        if at * push < 0:
            faults.append(f"line {line}: {push:g} N at {at:g} m/s, opposite signs; {_AGAINST}")
    if faults:
        raise unusable(faults)


def _averaged(speed: Values, force: Values) -> tuple[Values, Values]:
    """Return one direction in rising order, no speed twice, neighbours averaged where there are many."""
    order = np.argsort(speed, kind="stable")
    speed, force = speed[order], force[order]
    distinct, place = np.unique(np.round(speed, _SPEED_DIGITS), return_inverse=True)
    if distinct.size > _MOST:
        place = np.arange(speed.size) * _MOST // speed.size
    count = np.bincount(place)
    at, push = (values(np.bincount(place, column) / count) for column in (speed, force))
    # An average that comes out at the speed before it adds nothing.
    kept = np.concatenate([[True], np.diff(np.round(at, _SPEED_DIGITS)) > 0])
    return values(at[kept]), values(push[kept])


def understood(read: DamperRead) -> str:
    """Return what was found in a file, in one line."""
    found = (f"{column.role.name} [{column.unit}] in column {column.place + 1}" for column in read.found)
    columns = ", ".join(found)
    kept = "" if read.rows == len(read.speed) else f", averaged to {len(read.speed)}"
    turned = (
        "; force and speed have opposite signs in the file: sign of the force reversed" if read.turned else ""
    )
    fastest = f"rebound to {-read.speed[0]:g} m/s, compression to {read.speed[-1]:g} m/s"
    return f"{columns[:1].upper()}{columns[1:]}: {read.rows} rows{kept}, {fastest}{turned}"


def damper_of(read: DamperRead) -> Mapping[str, tuple[float, ...]]:
    """Return the keys of `[damper]` for the table."""
    return {"speed_m_per_s": read.speed, "force_n": read.force}


def taken_into(job: Job, read: DamperRead) -> Job:
    """Return the job of a wheel with the damper of a table in place of the one it had."""
    return job.with_value(PLACE, dict(damper_of(read)))


def command(source: str, columns: str, units: str) -> str:
    """Return the `[damper]` of the table in a file; raises `Unanswered`."""
    import tomlkit  # help must not wait for it

    path = Path(source)
    try:
        read = damper_in(table_at(path), told_in(columns, units, SUBJECT))
    except UnusableReadings as wrong:
        raise Unanswered(lines_of(wrong)) from wrong
    keys = {key: list(column) for key, column in damper_of(read).items()}
    return f"# {understood(read)}.\n{tomlkit.dumps({'damper': keys})}"
