"""What is said of how the two ends of a bike go together."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from physics.balance import Balance, Change, Stance, WheelBalance, balance
from physics.case import Air, Coil
from tui.job.answer import JobAnswer
from tui.job.clean import brief
from tui.job.wheels import spoken
from tui.shop_units import ABSENT, Measure, ShopUnits, gauge, number

if TYPE_CHECKING:
    from physics.balance import Change
    from physics.offered import Bar

MEASURES = {
    "sag_fraction": "sag",
    "frequency": "swings",
    "support": "half x load",
    "bottom_ratio": "end",
}
"""What each measure of agreement is called."""
AGREES = "In everything that can be set here it agrees with the other end, to within 2 %."
PRACTICE = (
    "Natural frequency, support and force at the end are of the riding curve: slow air as far as sag, then "
    "air that keeps its heat. Which of these should agree is the rider's choice. Common practice, no source: "
    "the front sags less than the rear, 15 to 20 % against 25 to 30 %, and the bike stays level over bumps "
    "when both swing about equally fast."
)
CAUTIONS = {
    "pressure": "Never above the limit on the label; eye protection on, the maker's manual first.",
    "spring_rate": (
        "Rates are worked out; A offers the one that can be bought. Collar off before a spring is changed; "
        "eye protection on, the maker's manual first."
    ),
}
OVER: Mapping[Bar, str] = {
    "label": "above the max pressure on the label",
    "gas_law": "beyond 120 bar at full stroke, slow, where the checked gas law ends",
    "rest": "beyond a rest position of 1 mm",
}
"""What a setting may be beyond."""
NEAREST = "Only nearest: no spacer count agrees with the other end at this sag."
"""What is said above a change that does not reach agreement."""
COMPARED = "A setting beyond a limit is told for comparison only: do not set it."
BEYOND = "Settings marked {mark} are {over}: they are told for comparison, do not set them."
"""The caution of a table that marks such settings."""


def over_text(changes: Iterable[Change]) -> str:
    """Return what some of the changes are beyond, empty where none is."""
    found = {bar for change in changes for bar in change.over}
    return " or ".join(text for bar, text in OVER.items() if bar in found)


def is_nearest(change: Change) -> bool:
    """Return whether a change, where there is one, comes nearest to the other end and does not agree."""
    return not change.agrees and math.isfinite(change.setting)


def change_label(change: Change) -> str:
    """Name the measure that a change brings together, and the spacers it takes."""
    measure = MEASURES[change.measure]
    count = float(change.spacers)
    if math.isnan(count):
        return measure
    return f"{measure}, {count:.0f} spacer{'' if count == 1 else 's'}"


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
            lines += _balance_pair(answered, at_rear, front, at_front, units)
    return [*lines, f"  {PRACTICE}"]


def _balance_pair(
    rear: JobAnswer, at_rear: int, front: JobAnswer, at_front: int, units: ShopUnits
) -> list[str]:
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


_MM = 1e-3
_N_PER_MM = 1e3
_PSI = 6894.757293168
_BAR = 1e5
_LBF_PER_IN = 0.45359237 * 9.80665 / 0.0254
_NAMES = {
    "sag_fraction": "sag_fraction",
    "frequency": "natural_frequency_hz",
    "support": "support_50",
    "bottom_ratio": "bottom_ratio",
}
"""The key of each measure of agreement."""


def balance_object(answered: JobAnswer) -> dict[str, Any]:
    """Return how every setup of the rear goes with every setup of the front."""
    assert answered.front is not None
    sizes = (len(end.answer.setups) for end in (answered, answered.front))
    rears, fronts = (range(size) for size in sizes)
    return {
        "curve": "riding",
        "pairs": [_answer_json_balance_pair(answered, answered.front, i, j) for i in rears for j in fronts],
    }


def _answer_json_balance_pair(
    rear: JobAnswer, front: JobAnswer, at_rear: int, at_front: int
) -> dict[str, Any]:
    found = balance(rear.case, at_rear, front.case, at_front)
    return {
        "rear": {"name": rear.answer.setups[at_rear].name, **_stance(found.rear.now)},
        "front": {"name": front.answer.setups[at_front].name, **_stance(found.front.now)},
        "front_over_rear": {name: number(getattr(found.ratio, measure)) for measure, name in _NAMES.items()},
        "changes": [
            *_changes("front", front, at_front, found.front),
            *_changes("rear", rear, at_rear, found.rear),
        ],
    }


def _stance(stance: Stance) -> dict[str, float | None]:
    figures = {name: number(getattr(stance, measure)) for measure, name in _NAMES.items()}
    return {"sag_mm": number(stance.sag, _MM), **figures}


def _changes(end: str, there: JobAnswer, index: int, found: WheelBalance) -> list[dict[str, Any]]:
    is_coil = isinstance(there.case.setups[index].spring, Coil)
    outside = float(there.answer.shop.pressure)
    return [
        {
            "end": end,
            "agree_in": _NAMES[change.measure],
            **(_rate(change) if is_coil else _pressure(change, outside)),
            "agrees": change.agrees,
            "then": _stance(change.then),
        }
        for change in found.changes
    ]


def _rate(change: Change) -> dict[str, Any]:
    return {
        "rate_n_per_mm": number(change.setting, _N_PER_MM),
        "rate_lbf_per_in": number(change.setting, _LBF_PER_IN),
    }


def _pressure(change: Change, outside: float) -> dict[str, Any]:
    return {
        "set_pressure_psi": number(change.setting - outside, _PSI),
        "set_pressure_bar": number(change.setting - outside, _BAR),
        "spacers": number(change.spacers),
        "over_label": change.over_label,
        "over": sorted(change.over),
    }
