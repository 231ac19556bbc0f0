"""Why a case has no answer, readings no parameters or hardware no setting, as data: codes and SI numbers.

The caller adds the words. Loads without numpy.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field as defaulted
from typing import TYPE_CHECKING, Literal

from physics.frozen import dataclass

if TYPE_CHECKING:
    from physics.arrays import Marks


FAULTS: Mapping[str, tuple[str, ...]] = {
    # load
    "nothing_left": ("carried",),
    # frame; the numbers are m, ratios and counts
    "does_not_close": (
        "stroke",
        "leverage_stroke",
        "closure_error",
        "fits_end",
        "fits_middle",
        "fits_travel",
    ),
    "ratio_not_positive": ("ratio",),
    "not_increasing": (),
    "not_covered": ("first", "last", "wheel_travel"),
    "too_few_pairs": ("pairs",),
    "stroke_turns_back": (),
    "pairs_end": ("last", "wheel_travel"),
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
    "pair_beyond": ("pair", "at", "typed_stroke", "wheel_travel", "stroke"),
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
    "too_long_for_shock": ("length", "eyes"),
    # a coil's wire: Pa, N/m, fractions, m, Hz
    "wire_stress": ("stress", "allowed"),
    "wire_not_set": ("stress", "allowed"),
    "wire_rate": ("wire_rate", "rate", "band"),
    "buckling": ("free_length", "longest"),
    "surge": ("surge", "least"),
    # air: Pa absolute, m of stroke, K, counts. The label limits the filling pressure, not the peak.
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
    # missing inputs, with the effect of a usual one: Pa absolute, m, N, m³, fractions
    "gas_not_typed": ("charge", "rod", "push", "share"),
    "legs_not_typed": ("volume", "stanchion", "push", "share"),
    "bumper_not_typed": ("length", "push", "share", "fast_share"),
}
"""Every caution code and the names of its values."""

NOT_TO_BE_FITTED = ("coil_bind", "rated_stroke", "preload_turns", "too_long_for_shock")
"""Cautions about a coil that must not be fitted with its preload."""
NOT_TYPED = ("gas_not_typed", "legs_not_typed", "bumper_not_typed")
"""Cautions about missing inputs: they concern the figures, not the work in hand."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One input that cannot be used.

    `field` is the path of the input inside its case, e.g. `("frame", "stroke")` or
    `("setup", 0, "positive_volume")`; `code` is one of `FAULTS`; `values` are SI numbers for the message,
    `names` the points of a linkage concerned, a bar given as the pair of its ends. `cases` marks which of
    many cases are affected, None for all of them.
    """

    field: tuple[str | int, ...]
    code: str
    values: Mapping[str, float] = defaulted(default_factory=dict)
    names: tuple[str | tuple[str, str], ...] = ()
    cases: Marks | None = defaulted(default=None, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Caution:
    """Something the mechanic must know about an otherwise valid answer.

    `code` is one of `CAUTIONS`, `values` are SI numbers for the message.
    """

    code: str
    values: Mapping[str, float] = defaulted(default_factory=dict)


class Refused(ValueError):
    """A case without an answer; carries every fault found.

    >>> str(Refused(Fault(("frame", "stroke"), "does_not_close", {"closure_error": 0.1})))
    "frame.stroke: does_not_close {'closure_error': 0.1}"
    """

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
    "not_alone": (),
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
"""Every code and the names its values may have; `way` is +1 compressing, −1 extending, 0 either."""


@dataclass(frozen=True, slots=True)
class Why:
    """One reason: `code` is one of `UNFIT`, `names` the parameters concerned, `values` SI numbers."""

    code: str
    names: tuple[str, ...] = ()
    values: Mapping[str, float] = defaulted(default_factory=dict)


class Unfit(ValueError):
    """Readings from which no parameters can be estimated; `why` has the reason.

    >>> Unfit("too_few", readings=3.0, needed=4.0).why.values["needed"]
    4.0
    """

    def __init__(self, code: str, names: tuple[str, ...] = (), **values: float) -> None:
        """Keep the reason."""
        self.why = Why(code, names, values)
        super().__init__(f"{code} {' '.join(names)} {values}")


Limit = Literal["no_room", "no_pressure", "label", "pumps", "gas_law", "rest", "preload", "elsewhere"]
"""What rules out a setting: no air left in a chamber; no pressure that carries the load at the sag; a
pressure above the label or, without one, above common pumps; air beyond the range of the gas law; too much
rest position; no force left for a coil; another equilibrium reached first."""
Reason = Literal["target_unsettled"] | Limit


class Unmatched(ValueError):
    """The target setup does not settle, or every setting is beyond a limit: `reason` says which.

    >>> Unmatched("no_room").reason
    'no_room'
    """

    def __init__(self, reason: Reason) -> None:
        """Keep the reason."""
        self.reason: Reason = reason
        super().__init__(reason)
