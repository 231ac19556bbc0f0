"""Sag has a clock: what it reads at once, and how long to wait for the settled one, in words."""

from __future__ import annotations

import math

from physics.answer import SetupAnswer
from tui.jobs.fork_words import spoken
from tui.shop_units import Measure, ShopUnits

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
