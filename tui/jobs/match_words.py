"""A match in words: what is found, how close it comes, where it cannot follow, and why there is none."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from physics import knobs
from physics.answer import Answer, Riding, SetupAnswer
from physics.case import Air, Coil, Setup
from physics.cautions import PUMPS_REACH
from physics.faults import Reason
from physics.knobs import Bound
from physics.limits import HIGHEST_PRESSURE
from physics.match import Match, Rung
from physics.offered import MOST_REST
from physics.wants import Wished
from tui.jobs.fork_words import spoken
from tui.jobs.likely import doubts
from tui.jobs.matching import PRESSURES, TURNED, Offer, settings_of, turned
from tui.jobs.words import caution_text
from tui.shop_units import Measure, ShopUnits, gauge

NAMES = {
    "rate": "coil rate",
    "preload": "preload",
    "pressure": "set pressure",
    "negative_pressure": "negative pressure",
    "positive_spacers": "positive spacers",
    "negative_spacers": "negative spacers",
    "positive_volume": "positive volume",
    "negative_volume": "negative volume",
    "port": "port at stroke",
}
_REACHED = 0.95
"""Share of a limit from which it is told as reached."""
_REASONS: dict[Reason, str] = {
    "target_unsettled": "The target setup does not settle under the rider: it has no sag to match.",
    "no_room": "Nothing to offer: every setting leaves a chamber without air at full stroke.",
    "no_pressure": "Nothing to offer: no pressure up to {law} holds the load at this sag.",
    "label": "Nothing to offer: every setting with this sag needs more than the max pressure of {label}.",
    "pumps": "Nothing to offer: every setting with this sag needs more than {pumps}, where common pumps end.",
    "gas_law": (
        "Nothing to offer: every setting with this sag squeezes a chamber beyond {law}, where the gas law is "
        "no longer checked."
    ),
    "rest": "Nothing to offer: every setting with this sag rests more than {rest} into its stroke unloaded.",
    "preload": "Nothing to offer: gas charge and bumper carry the load at this sag without a coil.",
    "elsewhere": "Nothing to offer: with every setting the wheel settles at another place than this sag.",
}
UNLIKE = 0.5
"""Share of the static load beyond which two setups do not ride alike (common practice, no source)."""
MEANING = (
    "Off by is the root mean square difference in wheel force between the riding curves over all of the "
    "travel, against the static load; a millimetre above sag weighs a quarter of one from sag on. Seal "
    "friction is left out."
)
MIND = (
    "Let all air out of every chamber before it is opened for spacers; never above the limit on the label. "
    "Back the collar off before a coil comes out. Eye protection on, the maker's manual first."
)


def reason_text(reason: Reason, setup: Setup, answer: Answer, units: ShopUnits) -> str:
    """Return why a setup of an answer has nothing to offer."""
    outside = float(answer.shop.pressure)
    label = setup.spring.max_pressure if isinstance(setup.spring, Air) else None
    said = spoken(_REASONS[reason], answer.frame.fork)
    return said.format(
        law=units.show(gauge(HIGHEST_PRESSURE, outside), Measure.PRESSURE),
        pumps=units.show(PUMPS_REACH, Measure.PRESSURE),
        label=units.show(math.nan if label is None else gauge(label, outside), Measure.PRESSURE),
        rest=units.show(MOST_REST, Measure.TRAVEL),
    )


def settings_rows(
    now: Setup, offer: Offer[Match] | Offer[Wished], units: ShopUnits, outside: float
) -> list[list[str]]:
    """Return a row for each setting: its name, as it stands, as it is written; `outside` is ambient [Pa]."""
    before, then = (settings_of(setup, outside) for setup in (now, offer.setup.setup))
    rows = []
    for name in turned(offer.found):
        old, new = (units.show(part.get(name, math.nan), TURNED[name]) for part in (before, then))
        if name == "preload" and "preload_turns" in offer.table:
            new = f"{new}, {offer.table['preload_turns']} turns"
        rows.append([NAMES[name], old, new])
    return rows


def sag_text(setup: SetupAnswer, units: ShopUnits) -> str:
    """Return the sag that what is offered has."""
    wheel, share = float(setup.sag.wheel), float(setup.sag.wheel_fraction)
    return f"Sag {units.show(wheel, Measure.TRAVEL)}, {units.show(share, Measure.FRACTION)} of travel."


def close_text(found: Match, units: ShopUnits) -> str:
    """Return how close it comes."""
    share = units.show(float(found.closeness), Measure.FRACTION)
    told = f"Off by {share} of the static load, {units.show(float(found.force), Measure.FORCE)}."
    return told if float(found.closeness) <= UNLIKE else f"{told} No setting of it rides like that."


def buyable_text(found: Match, units: ShopUnits) -> str:
    """Return the coils one can buy in the place of the one found, empty for air."""
    if not isinstance(found.setup.spring, Coil):
        return ""
    rungs = [_rung_text(rung, units) for rung in found.rungs]
    return f"To buy: {'; '.join(rungs) or 'none that preload can bring to this sag'}."


def _rung_text(rung: Rung, units: ShopUnits) -> str:
    rate, preload = units.show(rung.rate, Measure.SPRING_RATE), units.show(rung.preload, Measure.TRAVEL)
    return f"{rate} with {preload} of preload, {units.show(rung.closeness, Measure.FRACTION)} off"


def gap_text(found: Match, units: ShopUnits) -> str:
    """Return where it is furthest off."""
    gap, measure = float(found.gap), Measure.TRAVEL
    size = units.show(abs(gap), Measure.FORCE)
    if size == units.show(0.0, Measure.FORCE):
        return "It follows the target setup all the way."
    side = "firmer" if gap > 0 else "softer"
    start, end = units.plain(float(found.gap_from), measure), units.show(float(found.gap_to), measure)
    where = units.show(float(found.gap_at), measure)
    return f"Furthest off {size} at {where} of travel, {side}; at least half of that from {start} to {end}."


def searched_text(offer: Offer[Match] | Offer[Wished], units: ShopUnits) -> str:
    """Return between which bounds the settings were searched, and the limits that none of them is beyond."""
    found, setup, answer = offer.found, offer.setup.setup, offer.tried.answer
    outside = float(answer.shop.pressure)
    parts = [_bound_text(bound, setup, outside, units) for bound in found.bounds]
    kept = ""
    if not isinstance(setup.spring, Coil):
        law, rest = gauge(HIGHEST_PRESSURE, outside), units.show(MOST_REST, Measure.TRAVEL)
        kept = (
            f" Every chamber within {units.show(law, Measure.PRESSURE)} slow; unloaded it rests no more than "
            f"{rest} in."
        )
    assumed = " Volumes and port within shares that are assumed." if _has_volumes(found) else ""
    text = "; ".join(parts)
    return spoken(f"{text[:1].upper()}{text[1:]}.{kept}{assumed}", answer.frame.fork)


def on_bound_text(offer: Offer[Match] | Offer[Wished]) -> str:
    """Return which settings sit on a bound of the search and which limits are reached, empty for none."""
    ends, air = {"low": "lowest", "high": "highest"}, offer.setup.air
    there = [f"{NAMES[bound.name]} ({ends[bound.on]})" for bound in offer.found.bounds if bound.on]
    if air is not None and float(air.rest_stroke) > _REACHED * MOST_REST:
        there.append("rest position (the most allowed)")
    highest = 0.0 if air is None else float(np.fmax(air.peak_pressure, air.highest_extended))
    if highest > _REACHED * HIGHEST_PRESSURE:
        there.append("peak pressure (the highest of the gas law)")
    return f"On a bound of the search: {', '.join(there)}." if there else ""


def _has_volumes(found: Match | Wished) -> bool:
    return any(bound.name == "positive_volume" for bound in found.bounds)


_SHARES = {
    "positive_volume": (knobs.VOLUME_REACH, "the typed volume"),
    "negative_volume": (knobs.NEGATIVE_REACH, "the typed volume"),
    "port": (knobs.PORT_REACH, "the stroke"),
}


def _bound_text(bound: Bound, setup: Setup, outside: float, units: ShopUnits) -> str:
    name, measure = bound.name, TURNED[bound.name]
    low, high = ends_of(bound, outside)
    if name in PRESSURES:
        labelled = isinstance(setup.spring, Air) and setup.spring.max_pressure is not None
        which = "max pressure" if labelled else "where common pumps end"
        return f"{NAMES[name]} up to {units.show(high, measure)} ({which})"
    text = f"{NAMES[name]} {units.plain(low, measure)} to {units.show(high, measure)}"
    if name not in _SHARES:
        return text
    (least, most), whole = _SHARES[name]
    return f"{text} ({least * 100:.0f} to {most * 100:.0f} % of {whole})"


def ends_of(bound: Bound, outside: float) -> tuple[float, float]:
    """Return the ends of a bound [SI], pressures as a gauge shows them."""
    moved = outside if bound.name in PRESSURES else 0.0
    return bound.low - moved, bound.high - moved


def caution_texts(offer: Offer[Match] | Offer[Wished], units: ShopUnits) -> list[str]:
    """Return every caution of what is offered, as `solve` gives it for a job with that setup."""
    answer = offer.tried.answer
    outside, fork = float(answer.shop.pressure), answer.frame.fork
    unlikely = [doubt.text(units) for doubt in doubts(offer.tried.job)]
    return unlikely + [caution_text(caution, units, outside, fork) for caution in offer.cautions]


FIGURES: Sequence[tuple[str, str, Measure]] = (
    ("starting_wheel", "start at wheel", Measure.FORCE),
    ("support_25", "support 25 %", Measure.RATIO),
    ("support_50", "support 50 %", Measure.RATIO),
    ("support_75", "support 75 %", Measure.RATIO),
    ("bottom_ratio", "end over load", Measure.RATIO),
    ("wheel_rate_at_sag", "wheel rate at sag", Measure.WHEEL_RATE),
)
"""Figures that target setup and found are held against each other by, those of the riding curve first."""


def figure_rows(setups: Sequence[SetupAnswer], units: ShopUnits) -> list[list[str]]:
    """Return a row for each figure that any of the setups has, its unit beside its name."""
    rows = []
    for name, label, measure in FIGURES:
        numbers = [_figure(setup, name) for setup in setups]
        if any(map(math.isfinite, numbers)):
            shown = (units.plain(number, measure) for number in numbers)
            rows.append([f"{label} {units.unit(measure)}".rstrip(), *shown])
    return rows


def _figure(setup: SetupAnswer, name: str) -> float:
    return float(getattr(setup.riding if name in Riding.__slots__ else setup.figures, name))
