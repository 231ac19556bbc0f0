"""Readings typed in one line: pairs of stroke and force, pressures about a cycling, or a sag."""

from __future__ import annotations

import re
from typing import NamedTuple

from physics.units import Dimension, UnitFault, parse, quoted
from tui.bare_numbers import fraction_unseen, is_fraction, sag_length, with_unit
from tui.readings.friction import friction_in
from tui.readings.kinds import CyclingRead, LoopRead, Readings, SagRead, UnusableReadings
from tui.shop_units import Measure, ShopUnits

_CYCLING = re.compile(r"before\s+(.+?)\s+after\s+(.+)", re.IGNORECASE)
_SAG = re.compile(r"sag\s+(.+)", re.IGNORECASE)
_FRICTION = re.compile(r"friction\s+(.+)", re.IGNORECASE)
FORMS = "0 120; 10 900; 20 1700 or before 200 psi after 170 psi or sag 45 mm or sag 30 %"
"""What a line of readings may look like, in the usual units."""
_EXAMPLES = {
    "mm": "0 120; 10 900; 20 1700",
    "in": "0 27; 0.4 200; 0.8 380",
    "psi": "before 200 after 170",
    "bar": "before 14 after 12",
}
_WORD = re.compile(r"([+-]?[\d.,]+)(\D.*)?")


class TypedUnits(NamedTuple):
    """The units that bare numbers take: of stroke and sag, of force, and of pressure."""

    length: str
    force: str
    pressure: str

    @classmethod
    def of(cls, units: ShopUnits) -> TypedUnits:
        """Return those of a shop."""
        return cls(*(units.unit(one) for one in (Measure.TRAVEL, Measure.FORCE, Measure.PRESSURE)))

    def forms(self) -> str:
        """Return what a line of readings may look like, with the unit that each number takes."""
        pairs, pressures = _EXAMPLES[self.length], _EXAMPLES[self.pressure]
        sag = sag_length(self.length).split()[0]
        return (
            f"stroke {self.length} and force {self.force}: {pairs}; or {self.pressure}: {pressures}; "
            f"or {self.length} or %: sag {sag}, sag 30 %"
        )


def typed_readings(text: str, units: TypedUnits) -> Readings | None:
    """Return the readings in a line, None for one that is not of their form; a bare number takes its unit.

    Friction may stand last among pairs: a force, a bare number in the unit of force, "setup" or "unknown".
    Raises `UnusableReadings` for one that is, but cannot be used.
    """
    text = text.strip()
    if found := _CYCLING.fullmatch(text):
        return cycling(found[1], found[2], units.pressure)
    if found := _SAG.fullmatch(text):
        return sag(found[1], units.length)
    return _pairs(text, units) if ";" in text else None


def cycling(before: str, after: str, unit: str) -> CyclingRead:
    """Return two pressures; a bare number is in `unit`."""
    return CyclingRead(*(_quantity(with_unit(text, unit), Dimension.PRESSURE) for text in (before, after)))


def sag(text: str, unit: str) -> SagRead:
    """Return a sag: a length, a bare number in `unit`, or a share with its per cent sign.

    A bare number below 1 is refused: it may be either.
    """
    if is_fraction(text):
        raise UnusableReadings(f"sag: {fraction_unseen(text, sag_length(unit))}")
    is_share = text.strip().endswith("%")
    dimension = Dimension.FRACTION if is_share else Dimension.LENGTH
    return SagRead(_quantity(with_unit(text, unit), dimension), is_share)


def _quantity(text: str, dimension: Dimension) -> float:
    try:
        return parse(text, dimension)[0]
    except UnitFault as fault:
        raise UnusableReadings(str(fault)) from fault


def _pairs(text: str, units: TypedUnits) -> LoopRead:
    import numpy as np  # the first frame must not wait for it

    from physics.loop import loop_of

    parts = [part.strip() for part in text.split(";") if part.strip()]
    friction = None
    if parts and (found := _FRICTION.fullmatch(parts[-1])):
        friction = friction_in(found[1], units.force)
        parts.pop()
    if not parts:
        raise UnusableReadings(f"no reading is typed; {FORMS} is accepted")
    rows, faults = [], []
    for place, pair in enumerate(parts, 1):
        try:
            rows.append(_pair(pair, units))
        except UnusableReadings as unusable:
            faults.append(f"reading {place}: {unusable}")
    if faults:
        raise UnusableReadings(*faults)
    table = np.array(rows)
    return LoopRead(loop_of(table[:, 0], table[:, 1]), "typed by hand", friction)


def _pair(pair: str, units: TypedUnits) -> tuple[float, float]:
    """Return a stroke [m] and a force [N]; numbers without a unit take those of `units`."""
    texts: list[str] = []
    for word in pair.replace("−", "-").split():
        if _WORD.fullmatch(word):
            texts.append(word)
        elif texts and not word[0].isdecimal():
            texts[-1] += f" {word}"
    if len(texts) != 2 or " ".join(texts) != " ".join(pair.replace("−", "-").split()):
        use = f"use a stroke in {units.length} and a force in {units.force}"
        raise UnusableReadings(f"{quoted(pair)} is not two numbers; {use}")
    stroke = _quantity(with_unit(texts[0], units.length), Dimension.LENGTH)
    return stroke, _quantity(with_unit(texts[1], units.force), Dimension.FORCE)
