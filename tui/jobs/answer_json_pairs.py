"""The part of the JSON answer that only measured pairs have: how far each lies off the curve through them."""

from __future__ import annotations

from typing import Any

from physics.case import Leverage, Measured
from physics.pairs import checked
from tui.jobs.answer_json_springs import number

_MM = 1e-3


def pairs_object(leverage: Leverage) -> dict[str, Any] | None:
    """Return the pairs held against their curve, None for another kind; `odd` counts from 0 as arrays do.

    `standard_deviation_mm` is that of a reading, null without a degree of freedom; the origin does not count.
    """
    if not isinstance(leverage, Measured):
        return None
    found = checked(leverage)
    return {
        "residual_mm": [number(off, _MM) for off in found.residual],
        "by_others_mm": [number(stroke, _MM) for stroke in found.by_others],
        "ratio": [number(ratio) for ratio in found.ratio],
        "odd": found.odd,
        "standard_deviation_mm": number(found.deviation, _MM),
        "degrees_of_freedom": found.freedom,
    }
