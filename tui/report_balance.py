"""Both ends in the plain report: how each pair of setups goes together, and what would make them agree."""

from __future__ import annotations

import math

from physics.balance import Balance, Change, WheelBalance, balance
from physics.case import Air
from tui.jobs.answering import JobAnswer
from tui.jobs.balance_words import AGREES, CAUTIONS, COMPARED, PRACTICE, is_nearest, over_text
from tui.jobs.clean import brief
from tui.jobs.fork_words import spoken
from tui.shop_units import ABSENT, Measure, ShopUnits, gauge

_SPOKEN = {
    "sag_fraction": ("sag", Measure.FRACTION),
    "frequency": ("natural frequency", Measure.FREQUENCY),
    "support": ("support 50 %", Measure.RATIO),
    "bottom_ratio": ("end over load", Measure.RATIO),
}


def balance_lines(answered: JobAnswer, units: ShopUnits) -> list[str]:
    """Return a statement of every pair of a rear and a front setup."""
    lines = ["Both ends"]
    front = answered.front
    assert front is not None
    for at_rear in range(len(answered.answer.setups)):
        for at_front in range(len(front.answer.setups)):
            lines += _pair(answered, at_rear, front, at_front, units)
    return [*lines, f"  {PRACTICE}"]


def _pair(rear: JobAnswer, at_rear: int, front: JobAnswer, at_front: int, units: ShopUnits) -> list[str]:
    found = balance(rear.case, at_rear, front.case, at_front)
    names = [brief(end.answer.setups[at].name) for end, at in ((rear, at_rear), (front, at_front))]
    return [
        f"  Rear {names[0]}, front {names[1]}",
        *_figures(found, units),
        *_advice("front", front, at_front, found.front, units),
        *_advice("rear", rear, at_rear, found.rear, units),
    ]


def _figures(found: Balance, units: ShopUnits) -> list[str]:
    lines = []
    for name, (label, measure) in _SPOKEN.items():
        rear, front = (units.show(getattr(end.now, name), measure) for end in (found.rear, found.front))
        ratio = units.plain(getattr(found.ratio, name), Measure.RATIO)
        over = "" if ratio == ABSENT else f", front over rear {ratio}"
        lines.append(f"    {label.capitalize()}: rear {rear}, front {front}{over}")
    return lines


def _advice(end: str, there: JobAnswer, index: int, found: WheelBalance, units: ShopUnits) -> list[str]:
    spring = there.case.setups[index].spring
    measure = Measure.PRESSURE if isinstance(spring, Air) else Measure.SPRING_RATE
    outside = float(there.answer.shop.pressure)
    fork = there.answer.frame.fork
    lines = [f"    {spoken(_change(end, change, measure, outside, units), fork)}" for change in found.changes]
    if not lines:
        return [f"    The {end}: {AGREES[0].lower()}{AGREES[1:]}"]
    cautions = [CAUTIONS[measure.name.lower()]]
    if any(change.over for change in found.changes):
        cautions.insert(0, COMPARED)
    return [*lines, *(f"    Caution: {spoken(text, fork)}" for text in cautions)]


def _change(end: str, change: Change, measure: Measure, outside: float, units: ShopUnits) -> str:
    si = float(change.setting)
    setting = units.show(gauge(si, outside) if measure is Measure.PRESSURE else si, measure)
    label = _SPOKEN[change.measure][0]
    if setting == ABSENT:
        return f"To agree in {label} no setting of the {end} is found"
    count = float(change.spacers)
    spacers = "" if math.isnan(count) else f" with {count:.0f} spacer{'' if count == 1 else 's'}"
    over = over_text((change,))
    above = f", {over}" if over else ""
    aim = f"To come nearest in {label}, without agreeing," if is_nearest(change) else f"To agree in {label}"
    then = ", ".join(f"{of} {units.show(getattr(change.then, n), m)}" for n, (of, m) in _SPOKEN.items())
    return f"{aim} set the {end} to {setting}{spacers}{above}: then {then}"
