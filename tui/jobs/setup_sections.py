"""The `[[setup]]` tables: which keys a coil and an air spring need together."""

from __future__ import annotations

import math
from collections.abc import Mapping

from physics.units import Dimension, accepted
from tui.jobs.field_words import shown
from tui.jobs.fields import Section, Value
from tui.jobs.findings import Findings
from tui.jobs.kinds import go_together, increasing, read_of_kind
from tui.jobs.schema import EXTRAS, LEVERAGE, NEGATIVE_NEEDS, SETUP
from tui.jobs.tree import Path, Raw, Table
from tui.jobs.wire_words import COIL_DIAMETERS

_ACCEPTED = "one [[setup]] or more is accepted"


def read_setups(tables: Raw | None, leverage: str, found: Findings) -> tuple[Section, ...]:
    """Read every setup on a frame with this kind of leverage; of one that cannot be used, what is sound."""
    if isinstance(tables, Table):
        found.fault(("setup",), "a single table", f"{_ACCEPTED}, in double brackets")
        return (_setup(tables, ("setup",), leverage, found),)
    if not isinstance(tables, tuple) or not tables:
        what = {None: "missing", (): "empty"}.get(tables, f"{shown(tables)} is no list of tables")
        found.fault(("setup",), what, _ACCEPTED)
        return ()
    return tuple(_setup(table, ("setup", index), leverage, found) for index, table in enumerate(tables))


def _setup(table: Raw, path: Path, leverage: str, found: Findings) -> Section:
    if not isinstance(table, Table):
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


def _coil(table: Mapping[str, Raw], values: dict[str, Value], path: Path, found: Findings) -> None:
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


def _one_of(table: Mapping[str, Raw], keys: tuple[str, ...], path: Path, found: Findings) -> None:
    there = [key for key in keys if key in table]
    for key in there[1:]:
        found.fault((*path, key), f"given beside {there[0]}", f"one of {', '.join(keys)} is accepted")


def _ladder(table: Mapping[str, Raw], values: Section, path: Path, found: Findings) -> None:
    if "ladder_step" in table and "ladder_lbf_per_in" in table:
        found.fault((*path, "ladder_step"), "given beside ladder_lbf_per_in", "one of the two is accepted")
    ladder = values.get("ladder_lbf_per_in")
    if isinstance(ladder, tuple):
        increasing(ladder, (*path, "ladder_lbf_per_in"), found)


def _stages(values: dict[str, Value], path: Path, found: Findings) -> None:
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


def _air(table: Mapping[str, Raw], values: Section, path: Path, found: Findings) -> None:
    negative = str(values.get("negative", "none"))
    _needs(table, NEGATIVE_NEEDS[negative], path, f'negative = "{negative}"', found)
    for chamber in ("positive", "negative"):
        spacers = values.get(f"{chamber}_spacers")
        if isinstance(spacers, float) and spacers > 0:
            _needs(table, (f"{chamber}_spacer_volume",), path, f"{chamber}_spacers", found)


def _needs(table: Mapping[str, Raw], keys: tuple[str, ...], path: Path, why: str, found: Findings) -> None:
    for key in keys:
        if key not in table:
            found.fault((*path, key), "missing", f"{key} is needed with {why}")


def _of_a_fork_only(values: dict[str, Value], keys: tuple[str, ...], path: Path, found: Findings) -> None:
    """Note what only a fork has on the setup of a shock; it has no value there."""
    for key in keys:
        value = values.pop(key, None)
        # What cannot be read at all is told already.
        if isinstance(value, str) or (isinstance(value, float) and not math.isnan(value)):
            accepted = f"{key} is accepted beside leverage of kind fork only"
            found.fault((*path, key), "only a fork has lower legs", accepted)


def _extra(table: Mapping[str, Raw], keys: tuple[str, str], path: Path, found: Findings) -> None:
    """Note one of two keys without the other, and the second beside the "none" of the first."""
    first, second = keys
    if table.get(first) == "none":
        if second in table:
            found.fault((*path, second), f'given beside {first} = "none"', "one of the two is accepted")
    elif (first in table) != (second in table):
        there, absent = keys if keys[0] in table else keys[::-1]
        _needs(table, (absent,), path, there, found)
