"""Why a case has no answer, readings no parameters or hardware no setting, as data: codes and SI numbers.

Words are put to them by whoever shows them. Loaded without numpy.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import field as defaulted
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from physics.arrays import Marks


FAULTS: Mapping[str, tuple[str, ...]] = {
    # load
    "nothing_left": ("carried",),
    # frame; the numbers are m, ratios and counts
    "does_not_close": ("stroke", "leverage_stroke", "closure_error"),
    "ratio_not_positive": ("ratio",),
    "not_increasing": (),
    "not_covered": ("first", "last", "wheel_travel"),
    "too_few_pairs": ("pairs",),
    "stroke_turns_back": (),
    # a linkage; `names` of the fault are points, or pairs of points for bars
    "point_twice": (),
    "point_unknown": (),
    "point_without_bars": (),
    "bar_between_fixed": (),
    "bar_twice": (),
    "bar_without_length": (),
    "shock_without_length": (),
    "axle_fixed": (),
    "shock_fixed": (),
    "loose": ("surplus",),
    "braced": ("surplus",),
    "shock_still": (),
    "longer_than_shock": ("eye_to_eye",),
    "locks": ("at_stroke",),
    "jumps": ("at_stroke",),
    "axle_falls": ("at_stroke",),
    "eyes_differ": ("typed", "drawn"),
    # setups: volumes in m³, lengths in m
    "chamber_used_up": ("left", "needed"),
    "gas_used_up": ("left", "needed"),
    "legs_used_up": ("left", "needed"),
    "wider_than_bore": ("bore",),
    "longer_than_stroke": ("stroke",),
    "negative_preload": (),
    "no_hole": ("mean_diameter",),
    "no_working_coils": ("dead",),
    "fewer_than_working": ("coils",),
    "below_solid": ("solid",),
}
"""Every fault code of the physics and the names its values may have."""

CAUTIONS: Mapping[str, tuple[str, ...]] = {
    # the frame: shares; lengths [m]
    "closure": ("closure_error",),
    "pairs_stop_short": ("measured", "wheel_travel"),
    "odd_pair": ("pair", "at", "typed_stroke", "by_others"),
    "eyes_differ": ("typed", "drawn"),
    # where the wheel settles: fractions, m of wheel travel
    "topped_out": (),
    "bottomed_out": (),
    "unsolved": (),
    "target_missed": ("asked", "found"),
    "falling_force": ("wheel",),
    "bumper_at_sag": ("length",),
    "port_past_sag": ("port", "sag_stroke"),
    # coil: m, turns
    "preloaded_coil": ("preload",),
    "no_preload": (),
    "coil_bind": ("room", "stroke"),
    "rated_stroke": ("rated", "needed"),
    "preload_turns": ("turns", "most"),
    # a coil's wire: Pa, N/m, fractions, m, Hz
    "wire_stress": ("stress", "allowed"),
    "wire_not_set": ("stress", "allowed"),
    "wire_rate": ("wire_rate", "rate", "band"),
    "buckling": ("free_length", "longest"),
    "surge": ("surge", "least"),
    # air: Pa absolute, m of stroke, K, counts. The label limits what is pumped, not the peak of a stroke.
    "pressurised": (),
    "no_pressure": ("highest",),
    "beyond_pumps": ("pressure",),
    "over_label": ("pressure", "limit"),
    "negative_over_label": ("pressure", "limit"),
    "single_fill_over_label": ("pressure", "limit"),
    "never_holds": ("rounds", "reading"),
    "drawn_in": ("rest_stroke", "rest_pressure"),
    "gas_range": ("pressure", "temperature"),
    "sag_gas_range": ("pressure",),
    # what was not typed, its size for a usual one: Pa absolute, m, N, m³, fractions
    "gas_not_typed": ("charge", "rod", "push", "share"),
    "legs_not_typed": ("volume", "stanchion", "push", "share"),
    "bumper_not_typed": ("length", "push", "share"),
}
"""Every caution code and the names of its values."""

NOT_TYPED = ("gas_not_typed", "legs_not_typed", "bumper_not_typed")
"""Cautions about what was left out: they concern the figures, not the hand."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One input that cannot be used.

    `field` is the path of the input inside its case, e.g. `("frame", "stroke")` or
    `("setup", 0, "positive_volume")`; `code` is one of `FAULTS`; `values` are SI numbers for the message,
    `names` the points of a linkage it is about, a bar being the pair of its ends. `cases` marks which of
    many cases it is in, None where it is in all of them.
    """

    field: tuple[str | int, ...]
    code: str
    values: Mapping[str, float] = defaulted(default_factory=dict)
    names: tuple[str | tuple[str, str], ...] = ()
    cases: Marks | None = defaulted(default=None, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Caution:
    """Something the mechanic must know about an answer that is otherwise good.

    `code` is one of `CAUTIONS`, `values` are SI numbers for the words that `tui` puts to it.
    """

    code: str
    values: Mapping[str, float] = defaulted(default_factory=dict)


class Refused(ValueError):
    """A case that no answer can be given for; carries every fault found."""

    def __init__(self, *faults: Fault) -> None:
        """Collect the faults."""
        self.faults: tuple[Fault, ...] = faults
        super().__init__(
            "; ".join(f"{'.'.join(map(str, f.field))}: {f.code} {dict(f.values)}" for f in faults)
        )


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


Limit = Literal["no_room", "no_pressure", "label", "pumps", "gas_law", "rest", "preload", "elsewhere"]
"""What bars a setting: no air left in a chamber; no pressure that holds the load at the sag; more than the
label or, without one, common pumps allow; air beyond the checked gas law; a rest position too far in; no
force left for a coil; another place where the wheel settles first.
"""
Reason = Literal["target_unsettled"] | Limit


class Unmatched(ValueError):
    """The target setup does not settle, or every setting of the hardware is beyond a limit."""

    def __init__(self, reason: Reason) -> None:
        """Keep the reason."""
        self.reason: Reason = reason
        super().__init__(reason)
