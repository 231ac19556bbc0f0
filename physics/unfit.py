"""Why readings give no parameters, as data: a code, the parameters it is about, SI numbers for the words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import field as defaulted

UNFIT: Mapping[str, tuple[str, ...]] = {
    # force and stroke: counts, places in the list from 0, m, Pa
    "not_numbers": ("reading",),
    "too_few": ("readings", "needed"),
    "beyond_stroke": ("reading", "stroke", "full"),
    "one_place": ("stroke",),
    "in_stages": (),
    "no_rate": (),
    "no_pressure": (),
    "not_apart": ("correlation", "stroke", "way"),
    "not_told": ("stroke", "way"),
    "at_limit": (),
    "no_end": (),
    "ways_swapped": ("friction",),
    "friction_told": (),
    "no_friction": (),
    "bent": ("size",),
    "falling": ("rate",),
    # before and after cycling: Pa absolute
    "not_equalised": (),
    "not_lower": ("before", "after"),
    "too_little": ("before", "after"),
    "emptied": ("after",),
    # set pressure and measured sag: m, N
    "no_sag": ("sag", "whole"),
    "nothing_carried": ("load",),
}
"""Every code and the names its values may have; `way` is +1 going in, −1 coming out, 0 either."""


@dataclass(frozen=True, slots=True)
class Why:
    """One reason: `code` is one of `UNFIT`, `names` the parameters it is about, `values` SI numbers."""

    code: str
    names: tuple[str, ...] = ()
    values: Mapping[str, float] = defaulted(default_factory=dict)


class Unfit(ValueError):
    """Readings that no parameters can honestly be read from."""

    def __init__(self, code: str, names: tuple[str, ...] = (), **values: float) -> None:
        """Keep the reason."""
        self.why = Why(code, names, values)
        super().__init__(f"{code} {' '.join(names)} {values}")
