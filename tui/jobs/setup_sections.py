"""The `[[setup]]` tables: which keys a coil and an air spring need together."""

from __future__ import annotations

from collections.abc import Mapping

from physics.units import Dimension, accepted
from tui.jobs.fields import Findings, Section
from tui.jobs.schema import NEGATIVE_NEEDS, SETUP
from tui.jobs.sections import increasing, read_kind, read_section, same_length
from tui.jobs.tree import Path, Raw, Table


def read_setups(tables: Raw | None, found: Findings) -> tuple[Section, ...]:
    """Read every setup; of one that cannot be used, what is sound."""
    if not isinstance(tables, tuple) or not tables or not all(isinstance(t, Table) for t in tables):
        what = "missing" if tables is None else "not a list of tables"
        found.fault(("setup",), what, "one [[setup]] or more is accepted")
        return ()
    return tuple(_setup(table, ("setup", index), found) for index, table in enumerate(tables))


def _setup(table: Mapping[str, Raw], path: Path, found: Findings) -> Section:
    kind = read_kind(table, SETUP, path, found)
    if kind is None:
        return {}
    values = read_section(table, SETUP[kind], path, found)
    _together(table, ("gas_pressure", "gas_volume"), path, found)
    _together(table, ("bumper_length", "bumper_force"), path, found)
    if "gas_pressure" in table:
        _needs(table, ("rod",), path, "gas_pressure", found)
    if kind == "coil":
        _coil(table, values, path, found)
    else:
        _air(table, values, path, found)
    return values


def _coil(table: Mapping[str, Raw], values: Section, path: Path, found: Findings) -> None:
    if ("rate" in table) == ("stages" in table):
        what = "given beside stages" if "rate" in table else "missing"
        found.fault((*path, "rate"), what, f'{accepted(Dimension.SPRING_RATE)}, or "solve", or stages')
    if "preload" in table and "preload_turns" in table:
        found.fault((*path, "preload_turns"), "given beside preload", "one of the two is accepted")
    if "preload_turns" in table:
        _needs(table, ("thread_pitch",), path, "preload_turns", found)
    if "ladder_step" in table and "ladder_lbf_per_in" in table:
        found.fault((*path, "ladder_step"), "given beside ladder_lbf_per_in", "one of the two is accepted")
    columns = {key: value for key, value in values.items() if isinstance(value, tuple)}
    increasing(columns.pop("ladder_lbf_per_in", None), (*path, "ladder_lbf_per_in"), found)
    same_length(columns, (*path, "stages"), found)
    _stages(columns.get("stages.compression_mm"), (*path, "stages", "compression_mm"), found)
    free, solid = values.get("free_length"), values.get("solid_length")
    if isinstance(free, float) and isinstance(solid, float) and solid >= free:
        found.fault(
            (*path, "solid_length"), "not below free_length", "a length below free_length is accepted"
        )


def _stages(starts: tuple[float, ...] | None, path: Path, found: Findings) -> None:
    increasing(starts, path, found)
    if starts and starts[0] != 0.0:
        found.fault(path, "the first stage does not start at 0", "0 for the first stage is accepted")


def _air(table: Mapping[str, Raw], values: Section, path: Path, found: Findings) -> None:
    negative = str(values.get("negative", "none"))
    _needs(table, NEGATIVE_NEEDS[negative], path, f'negative = "{negative}"', found)
    for chamber in ("positive", "negative"):
        if values.get(f"{chamber}_spacers"):
            _needs(table, (f"{chamber}_spacer_volume",), path, f"{chamber}_spacers", found)


def _needs(table: Mapping[str, Raw], keys: tuple[str, ...], path: Path, why: str, found: Findings) -> None:
    for key in keys:
        if key not in table:
            found.fault((*path, key), "missing", f"{key} is needed with {why}")


def _together(table: Mapping[str, Raw], keys: tuple[str, str], path: Path, found: Findings) -> None:
    if (keys[0] in table) != (keys[1] in table):
        there, absent = keys if keys[0] in table else keys[::-1]
        _needs(table, (absent,), path, there, found)
