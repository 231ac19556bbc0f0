"""Round numbers for an axis."""

from __future__ import annotations

import math
import sys
from dataclasses import dataclass

import numpy as np

from physics.arrays import Values

_ROUND = (1.0, 2.0, 2.5, 5.0, 10.0)
_SLACK = 1e-9


@dataclass(frozen=True, slots=True)
class Ticks:
    """Ends of an axis and the round numbers between them, with their texts."""

    low: float
    high: float
    at: tuple[float, ...]
    texts: tuple[str, ...]


def ticks(low: float, high: float, most: int, *, tight: bool) -> Ticks:
    """Return at most `most` round numbers; a tight axis keeps its ends, a loose one is rounded outwards."""
    if not high > low:
        middle = abs(low) or 1.0
        low, high = low - middle / 2, high + middle / 2
    step = _step(high - low, max(most - 1, 1))
    if not tight:
        low, high = _outwards(low, high, step)
    slack = _slack(low, high, step)
    first, last = math.ceil(low / step - slack), math.floor(high / step + slack)
    at = tuple(number * step for number in range(first, last + 1))
    digits = max(0, -math.floor(math.log10(step) + _SLACK)) + (1 if _is_quarter(step) else 0)
    return Ticks(low, high, at, tuple(f"{place + 0.0:.{digits}f}" for place in at))


def _outwards(low: float, high: float, step: float) -> tuple[float, float]:
    # Rounded ends stand still while a value is nudged; a quarter of a step leaves little paper empty.
    slack = _slack(low, high, step / 4)
    for part in (step / 4, step):
        ends = math.floor(low / part + slack) * part, math.ceil(high / part - slack) * part
        if math.floor(ends[1] / step + slack) > math.ceil(ends[0] / step - slack):  # two numbers to read
            break
    return ends


def _slack(low: float, high: float, step: float) -> float:
    """Return the share of a step that rounding may take: more where numbers are far larger than steps."""
    return max(_SLACK, 4 * sys.float_info.epsilon * max(abs(low), abs(high)) / step)


def _step(span: float, intervals: int) -> float:
    least = span / intervals
    scale = 10.0 ** math.floor(math.log10(least))
    return next(scale * nice for nice in _ROUND if scale * nice >= least * (1 - _SLACK))


def _is_quarter(step: float) -> bool:
    leading = step / 10.0 ** math.floor(math.log10(step) + _SLACK)
    return abs(leading - 2.5) < 1e-6 and step < 10


def extent(parts: list[Values]) -> tuple[float, float] | None:
    """Return the smallest and largest finite number, None where there is none."""
    finite = [part[np.isfinite(part)] for part in parts]
    together = np.concatenate(finite) if finite else np.empty(0)
    if together.size == 0:
        return None
    return float(together.min()), float(together.max())
