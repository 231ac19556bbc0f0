"""Faults that the physics finds, in a mechanic's words and at the job file's own paths."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from physics.faults import Fault, Refused
from tui.jobs.faults import JobFault
from tui.shop_units import USUAL, Measure

_Values = Mapping[str, float]


def job_faults(refused: Refused) -> tuple[JobFault, ...]:
    """Put words to every fault of a refusal."""
    return tuple(job_fault(fault) for fault in refused.faults)


def job_fault(fault: Fault) -> JobFault:
    """Put words to one fault."""
    words = _WORDS.get(fault.code)
    what, accepted = (
        words(fault.values) if words else (fault.code.replace("_", " "), "another value is needed")
    )
    return JobFault(fault.field, what, accepted)


def _mm(si: float) -> str:
    return USUAL.show(si, Measure.TRAVEL)


def _cm3(si: float) -> str:
    return USUAL.show(si, Measure.VOLUME)


def _does_not_close(v: _Values) -> tuple[str, str]:
    off = USUAL.show(abs(v["closure_error"]), Measure.FRACTION)
    return (
        f"the stroke is {_mm(v['stroke'])}, but the leverage turns the wheel travel into "
        f"{_mm(v['leverage_stroke'])} of stroke, {off} off",
        "strokes within 5 % of each other are accepted; check wheel travel, stroke and ratios",
    )


def _chamber_used_up(v: _Values) -> tuple[str, str]:
    if "needed" in v:
        return (
            f"the chamber is used up before full stroke, {_cm3(-v['left'])} short",
            f"more than {_cm3(v['needed'])} left by its spacers is accepted, or a shorter stroke",
        )
    return (
        f"the spacers take {_cm3(-v['left'])} more than the chamber holds",
        "a chamber larger than its spacers is accepted",
    )


def _gas_used_up(v: _Values) -> tuple[str, str]:
    return (
        f"the damper rod takes up all the gas before full stroke, {_cm3(-v['left'])} short",
        f"more than {_cm3(v['needed'])} is accepted",
    )


def _wider_than_bore(v: _Values) -> tuple[str, str]:
    return "as wide as the bore or wider", f"a diameter below the bore of {_mm(v['bore'])} is accepted"


def _longer_than_stroke(v: _Values) -> tuple[str, str]:
    return "beyond the stroke", f"at most the stroke of {_mm(v['stroke'])} is accepted"


def _negative_preload(_: _Values) -> tuple[str, str]:
    return "below zero", "preload of 0 mm or more is accepted"


def _nothing_left(v: _Values) -> tuple[str, str]:
    return (
        "the wheel weighs as much as rests on it, the spring would carry nothing",
        f"less than the {USUAL.show(v['carried'], Measure.MASS)} on this wheel is accepted",
    )


def _not_covered(v: _Values) -> tuple[str, str]:
    return (
        f"the rows run from {_mm(v['first'])} to {_mm(v['last'])}",
        f"rows from 0 mm to the wheel travel of {_mm(v['wheel_travel'])} are accepted",
    )


def _ratio_not_positive(v: _Values) -> tuple[str, str]:
    return (
        f"the leverage ratio falls to {USUAL.show(v['ratio'], Measure.RATIO)} within the travel",
        "ratios above 0 all through the travel are accepted",
    )


def _too_few_pairs(v: _Values) -> tuple[str, str]:
    return f"{v['pairs']:.0f} pairs", "at least four pairs of travel and stroke are accepted"


def _stroke_turns_back(_: _Values) -> tuple[str, str]:
    return (
        "a smooth curve through these pairs turns back, the shock would extend as the wheel rises",
        "stroke that grows with every step of travel is accepted; look for a misread pair",
    )


def _not_increasing(_: _Values) -> tuple[str, str]:
    return "does not increase", "numbers each above the one before are accepted"


_WORDS: dict[str, Callable[[_Values], tuple[str, str]]] = {
    "does_not_close": _does_not_close,
    "chamber_used_up": _chamber_used_up,
    "gas_used_up": _gas_used_up,
    "wider_than_bore": _wider_than_bore,
    "longer_than_stroke": _longer_than_stroke,
    "negative_preload": _negative_preload,
    "nothing_left": _nothing_left,
    "not_covered": _not_covered,
    "ratio_not_positive": _ratio_not_positive,
    "too_few_pairs": _too_few_pairs,
    "stroke_turns_back": _stroke_turns_back,
    "not_increasing": _not_increasing,
}
