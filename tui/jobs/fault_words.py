"""Faults that the physics finds, in a mechanic's words and at the job file's own paths."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from physics.faults import Fault
from tui.jobs.faults import JobFault
from tui.jobs.linkage_words import LINKAGE_WORDS, spoken
from tui.jobs.slips import Spelling
from tui.shop_units import USUAL, Measure

_WORDS = {
    "nothing_left": (
        "the wheel weighs as much as rests on it, the spring would carry nothing",
        "less than the {carried} on this wheel is accepted",
    ),
    "does_not_close": (
        "the stroke is {stroke}, but the leverage turns the wheel travel into {leverage_stroke} of stroke, "
        "{closure_error} off",
        "strokes within 5 % of each other are accepted; check wheel travel, stroke and ratios",
    ),
    "ratio_not_positive": (
        "the leverage ratio falls to {ratio} within the travel",
        "ratios above 0 all through the travel are accepted",
    ),
    "not_increasing": ("does not increase", "numbers each above the one before are accepted"),
    "not_covered": (
        "the rows run from {first} to {last}",
        "rows from 0 mm to the wheel travel of {wheel_travel} are accepted",
    ),
    "too_few_pairs": ("{pairs} pairs are too few", "at least four pairs of travel and stroke are accepted"),
    "stroke_turns_back": (
        "a smooth curve through these pairs turns back: the shock would extend as the wheel rises",
        "stroke that grows with every step of travel is accepted; look for a misread pair",
    ),
    "chamber_used_up": (
        "the chamber is used up, {left} short",
        "room for its spacers, and for the full stroke where the chamber shrinks, is accepted",
    ),
    "gas_used_up": (
        "the damper rod takes up all the gas before full stroke, {left} short",
        "more than {needed} is accepted",
    ),
    "legs_used_up": (
        "the stanchion takes up all the air of the lower leg before full stroke, {left} short",
        "more than {needed} is accepted",
    ),
    "wider_than_bore": ("as wide as the bore or wider", "less than the bore of {bore} is accepted"),
    "longer_than_stroke": ("beyond the stroke", "at most the stroke of {stroke} is accepted"),
    "negative_preload": ("below zero", "preload of 0 mm or more is accepted"),
    "no_hole": (
        "too thick for a coil of {mean_diameter} mean diameter, there is no hole left",
        "wire thinner than that is accepted",
    ),
    "no_working_coils": (
        "no coil is left to work",
        "more than the {dead} coils that lie dead at the ends is accepted",
    ),
    "fewer_than_working": ("fewer than the coils that work", "at least the {coils} that work is accepted"),
    "below_solid": (
        "shorter than the coil's own wire stacked up, {solid}",
        "a free length above that is accepted; check coils and wire",
    ),
    **LINKAGE_WORDS,
}
"""By code: what is wrong, and what is accepted."""

_MEASURES = {
    "carried": Measure.MASS,
    "closure_error": Measure.FRACTION,
    "ratio": Measure.RATIO,
    "pairs": Measure.COUNT,
    "dead": Measure.COUNT,
    "coils": Measure.RATIO,
    "left": Measure.VOLUME,
    "needed": Measure.VOLUME,
    "surplus": Measure.COUNT,
}
"""What the values of faults measure; those not named are lengths."""

_SIZES = ("left", "closure_error")
"""Values whose sign the words already tell."""


def job_faults(faults: Iterable[Fault], spelling: Spelling) -> tuple[JobFault, ...]:
    """Put words to faults of the physics, each at its place in the file."""
    return tuple(job_fault(replace(fault, field=spelling.in_file(fault.field))) for fault in faults)


def job_fault(fault: Fault) -> JobFault:
    """Put words to one fault."""
    words = _WORDS.get(fault.code)
    if words is None:
        return JobFault(fault.field, fault.code.replace("_", " "), "another value is needed")
    values = {name: _shown(name, value) for name, value in fault.values.items()}
    values["names"] = spoken(fault.names)
    what, accepted = (text.format_map(values) for text in words)
    return JobFault(fault.field, what, accepted)


def _shown(name: str, value: float) -> str:
    return USUAL.show(abs(value) if name in _SIZES else value, _MEASURES.get(name, Measure.TRAVEL))
