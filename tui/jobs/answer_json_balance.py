"""The parts of the JSON answer that only a bike with both ends has."""

from __future__ import annotations

from typing import Any

from physics.balance import Change, Stance, WheelBalance, balance
from physics.case import Coil
from tui.jobs.answer_json_springs import number
from tui.jobs.answering import JobAnswer

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
        "pairs": [_pair(answered, answered.front, i, j) for i in rears for j in fronts],
    }


def _pair(rear: JobAnswer, front: JobAnswer, at_rear: int, at_front: int) -> dict[str, Any]:
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
