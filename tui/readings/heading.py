"""Which column of a table is stroke and which is force, and their units, from the words above them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from physics.units import Dimension, UnitFault, parse, quoted
from tui.readings.kinds import UnitsMissing, UnusableReadings

_MEANT = {
    Dimension.LENGTH: ("stroke", "travel", "displacement", "position", "compression", "deflection"),
    Dimension.FORCE: ("force", "load"),
}
"""Words above a column."""
_UNITS = {
    Dimension.LENGTH: ("mm", "cm", "m", "in", "inch", "inches"),
    Dimension.FORCE: ("N", "kN", "daN", "lbf", "kgf", "lb", "lbs", "kg"),
}
"""Units above a column. A scale shows kilograms or pounds and means their weight."""
_WEIGHTS = {"kg": "kgf", "lb": "lbf", "lbs": "lbf"}
_NAMES = {Dimension.LENGTH: "stroke", Dimension.FORCE: "force"}
_ACCEPTED = "a line above the columns such as stroke [mm], force [N] is accepted"


@dataclass(frozen=True, slots=True)
class Column:
    """Where a quantity stands in a line, from 0, and its SI per unit."""

    place: int
    factor: float


def columns_of(heads: Sequence[str], count: int, units: tuple[str, str] | None) -> tuple[Column, Column]:
    """Return the columns of stroke and force under `heads`, the words above each of `count` columns.

    Without words the first of two columns is the stroke. `units` of stroke and force are asked for where the
    words tell none. Raises `UnitsMissing` and `UnusableReadings`.
    """
    stroke, force = (_place(heads, dimension) for dimension in (Dimension.LENGTH, Dimension.FORCE))
    if stroke is None and force is None and count == 2:
        stroke, force = 0, 1
    elif count == 2 and (stroke is None or force is None):
        stroke, force = (1 - (force or 0), force) if stroke is None else (stroke, 1 - stroke)
    if stroke is None or force is None:
        raise UnusableReadings(f"which of {count} columns are stroke and force is not said; {_ACCEPTED}")
    found = []
    for dimension, place, given in zip(
        (Dimension.LENGTH, Dimension.FORCE), (stroke, force), units or ("", ""), strict=True
    ):
        unit = _unit(heads[place] if heads else "", dimension) or given
        if not unit:
            raise UnitsMissing(f"the unit of the {_NAMES[dimension]} is not said; {_ACCEPTED}")
        found.append(Column(place, factor_of(unit, dimension)))
    return found[0], found[1]


def factor_of(unit: str, dimension: Dimension) -> float:
    """Return SI per unit of stroke or force; raises `UnusableReadings` for what is no such unit."""
    known = _WEIGHTS.get(unit, unit) if dimension is Dimension.FORCE else unit
    try:
        return parse(f"1 {known}", dimension)[0]
    except UnitFault as fault:
        examples = ", ".join(_UNITS[dimension])
        wrong = f"{quoted(unit)} is no unit of {_NAMES[dimension]}"
        raise UnusableReadings(f"{wrong}; one of {examples} is accepted") from fault


def _place(heads: Sequence[str], dimension: Dimension) -> int | None:
    """Return the one column whose words or unit are of a dimension; raises where two are."""
    named = [place for place, head in enumerate(heads) if _says(head, dimension)]
    found = named or [place for place, head in enumerate(heads) if _unit(head, dimension)]
    if len(found) > 1:
        which = " and ".join(str(place + 1) for place in found)
        raise UnusableReadings(f"columns {which} are both {_NAMES[dimension]}; one of each is accepted")
    return found[0] if found else None


def _says(head: str, dimension: Dimension) -> bool:
    return any(word in head.lower() for word in _MEANT[dimension])


def _unit(head: str, dimension: Dimension) -> str:
    words = re.split(r"[^A-Za-z]+", head)
    return next((unit for unit in _UNITS[dimension] if unit in words), "")
