"""Readings typed in one line: pairs of stroke and force, pressures about a cycling, or a sag."""

from __future__ import annotations

import re

from physics.units import Dimension, UnitFault, parse, quoted
from tui.readings.friction import friction_in
from tui.readings.kinds import CyclingRead, LoopRead, Readings, SagRead, UnusableReadings
from tui.readings.numbers import number_in
from tui.readings.questions import checked_factor
from tui.readings.roles import FORCE, SHAFT

_CYCLING = re.compile(r"before\s+(.+?)\s+after\s+(.+)", re.IGNORECASE)
_SAG = re.compile(r"sag\s+(.+)", re.IGNORECASE)
_FRICTION = re.compile(r"friction\s+(.+)", re.IGNORECASE)
FORMS = "0 120; 10 900; 20 1700 or before 200 psi after 170 psi or sag 45 mm"
"""What a line of readings may look like, in the usual units."""


def typed_readings(text: str, units: tuple[str, str]) -> Readings | None:
    """Return the readings in a line, None for one that is not of their form; `units` are of stroke and force.

    Friction may stand last among pairs: a force, a bare number in the unit of force, "setup" or "unknown".
    Raises `UnusableReadings` for one that is, but cannot be used.
    """
    text = text.strip()
    if found := _CYCLING.fullmatch(text):
        return cycling(found[1], found[2])
    if found := _SAG.fullmatch(text):
        return sag(found[1])
    return _pairs(text, units) if ";" in text else None


def cycling(before: str, after: str) -> CyclingRead:
    """Return two pressures with their units."""
    return CyclingRead(_quantity(before, Dimension.PRESSURE), _quantity(after, Dimension.PRESSURE))


def sag(text: str) -> SagRead:
    """Return a sag: a length with its unit, or a share."""
    is_share = text.strip().endswith("%") or number_in(text.strip()) is not None
    return SagRead(_quantity(text, Dimension.FRACTION if is_share else Dimension.LENGTH), is_share)


def _quantity(text: str, dimension: Dimension) -> float:
    try:
        return parse(text, dimension)[0]
    except UnitFault as fault:
        raise UnusableReadings(str(fault)) from fault


def _pairs(text: str, units: tuple[str, str]) -> LoopRead:
    import numpy as np  # the first frame must not wait for it

    from physics.loop import loop_of

    factors = checked_factor(units[0], SHAFT), checked_factor(units[1], FORCE)
    parts = [part.strip() for part in text.split(";") if part.strip()]
    friction = None
    if parts and (found := _FRICTION.fullmatch(parts[-1])):
        friction = friction_in(found[1], units[1])
        parts.pop()
    if not parts:
        raise UnusableReadings(f"no reading is typed; {FORMS} is accepted")
    rows, faults = [], []
    for place, pair in enumerate(parts, 1):
        numbers = [number_in(word) for word in pair.split()]
        if len(numbers) != 2 or None in numbers:
            accepted = f"stroke in {units[0]} and force in {units[1]} are accepted"
            faults.append(f"reading {place}: {quoted(pair)} is not two numbers; {accepted}")
        rows.append([number or 0.0 for number in numbers[:2]])
    if faults:
        raise UnusableReadings(*faults)
    table = np.array(rows)
    return LoopRead(loop_of(table[:, 0] * factors[0], table[:, 1] * factors[1]), "typed by hand", friction)
