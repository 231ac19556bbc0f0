"""Seal friction that somebody tells for readings one way, which do not tell it themselves."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from physics.units import Dimension, UnitFault, parse, quoted
from tui.bare_numbers import with_unit
from tui.readings.kinds import LoopRead, UnusableReadings
from tui.readings.questions import Told, Unclear

if TYPE_CHECKING:
    from physics.fit import AskedFriction

_MOST = 5000.0
"""The most friction taken [N], as in a setup."""


class FrictionMissing(Unclear):
    """Readings that go one way, with no word on friction; a bare number of the answer is in `unit`."""

    title = "Seal friction"
    option = "--friction 15N"

    def __init__(self, unit: str) -> None:
        """Ask."""
        self._unit = unit
        self.asks = (
            f"Readings one way do not tell it. A force in {unit}, or setup for that of the setup, or unknown"
        )
        super().__init__("the readings go one way, which does not tell the friction")

    def told(self, before: Told, text: str) -> Told:
        """Return what is told with the friction in text."""
        return replace(before, friction=friction_in(text, self._unit))


def friction_in(text: str, unit: str = "") -> AskedFriction:
    """Return a friction: a force [N], a bare number in `unit`, or "setup" or "unknown".

    Raises `UnusableReadings` for anything else.
    """
    word = text.strip().lower()
    if word == "setup":
        return "setup"
    if word == "unknown":
        return "unknown"
    try:
        force = parse(with_unit(text, unit), Dimension.FORCE)[0]
    except UnitFault as fault:
        raise UnusableReadings(
            f"friction: {fault.what}; use a force such as 15 N, setup, or unknown"
        ) from fault
    if not 0 <= force <= _MOST:
        raise UnusableReadings(f"friction: {quoted(text.strip())} is out of range; use 0 to {_MOST:g} N")
    return force


def with_friction(read: LoopRead, told: Told, unit: str) -> LoopRead:
    """Return readings with the friction told for them; raises `FrictionMissing` where they need one."""
    if told.friction is not None:
        return replace(read, friction=told.friction)
    if read.friction is None and not read.loop.both:
        raise FrictionMissing(unit)
    return read
