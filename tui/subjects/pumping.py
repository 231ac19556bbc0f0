"""An air spring about to be filled, for whoever puts words to it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from physics.answer import AirAnswer, SetupAnswer
from physics.arrays import Scalar
from physics.case import Air
from tui.job.wheels import spoken
from tui.shop_units import ABSENT, Measure, ShopUnits, gauge

CYCLES = "ten slow cycles"
"""How often the chambers are made to meet: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Filling:
    """An air spring about to be filled; `ambient` [Pa] turns its pressures into gauge readings."""

    spring: Air
    air: AirAnswer
    units: ShopUnits
    ambient: float

    def reading(self, absolute: Scalar) -> str:
        """Return what a gauge shows, with its unit."""
        return self.units.show(gauge(float(absolute), self.ambient), Measure.PRESSURE)

    @property
    def target(self) -> str:
        """The set pressure as the gauge shows it at full extension."""
        return self.reading(self.air.set_pressure)

    @property
    def settled(self) -> str:
        """The set pressure, and what the gauge shows where the shock rests with it."""
        return self.with_rest(self.air.set_pressure, self.air.rest_pressure)

    def with_rest(self, extended: Scalar, resting: Scalar) -> str:
        """Return a reading at full extension, and that at rest where the gauge tells them apart."""
        return pressure_at_rest(float(extended), float(resting), self.ambient, self.units)


def pressure_at_rest(extended: float, resting: float, ambient: float, units: ShopUnits) -> str:
    """Return a gauge reading at full extension and, where it reads otherwise as it rests, that too."""
    full, rest = (units.show(gauge(value, ambient), Measure.PRESSURE) for value in (extended, resting))
    return full if rest in (full, ABSENT) else f"{full} ({rest} as it rests)"


_STEP = 5
"""Seconds that a wait is rounded up to: the estimate is no finer."""


def wait_text(setup: SetupAnswer) -> str:
    """Return "20 s", how long to sit still before sag is read; empty where it may be read at once."""
    wait = float(setup.at_once.settling_time)
    return f"{math.ceil(wait / _STEP) * _STEP} s" if math.isfinite(wait) and wait > 0 else ""


def at_once_text(setup: SetupAnswer, units: ShopUnits, fork: bool) -> str:
    """Return what sag reads at once and the wait, empty where nobody could tell it from settled."""
    wait, once = wait_text(setup), setup.at_once
    if not wait:
        return ""
    wheel, stroke = (units.show(float(length), Measure.TRAVEL) for length in (once.wheel, once.stroke))
    at_spring = spoken(f"{stroke} at the shock", fork)
    return (
        f"{wheel}, {at_spring}, while the air is still warm; sit still for about {wait} (estimate), then read"
    )


def expect_text(setup: SetupAnswer, of: str, units: ShopUnits) -> str:
    """Return what sag will read at the wheel or, `of` the stroke, at the shock; empty without one."""
    settled, once = (setup.sag.wheel, setup.at_once.wheel)
    if of == "stroke":
        settled, once = (setup.sag.stroke, setup.at_once.stroke)
    if not math.isfinite(float(settled)):
        return ""
    expected, early = (units.show(float(length), Measure.TRAVEL) for length in (settled, once))
    wait = wait_text(setup)
    if not wait or early == expected:
        return f"Expect {expected}."
    return f"Expect {expected}, {early} at once: sit still for about {wait}, then read."
