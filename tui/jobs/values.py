"""Sound values out of a section, by key."""

from __future__ import annotations

import math
from typing import cast

import numpy as np

from physics.arrays import Values
from tui.jobs.fields import Section


def number(section: Section, key: str, default: float = 0.0) -> float:
    """Return a number, the default where it is left out."""
    return float(cast(float, section.get(key, default)))


def due(section: Section, key: str) -> float:
    """Return a number that a sound section has; NaN where it has none, so that nothing hangs on it."""
    return number(section, key, math.nan)


def maybe(section: Section, key: str) -> float | None:
    """Return a number, None where it is left out or still to be solved."""
    value = section.get(key)
    return value if isinstance(value, float) else None


def column(section: Section, key: str) -> Values:
    """Return an array of numbers."""
    return np.asarray(section[key], dtype=np.float64)


def absolute(section: Section, key: str, ambient: float) -> float | None:
    """Return a gauge pressure as absolute [Pa], None where it is left out or still to be solved."""
    gauge = maybe(section, key)
    return None if gauge is None else gauge + ambient
