"""A match in words: what is found, how close it comes, where it cannot follow, and why there is none."""

from __future__ import annotations

import math
from collections.abc import Sequence

from physics.case import Coil, Setup
from physics.match import Match, Rung
from physics.unmatched import Reason
from tui.jobs.matching import TURNED, settings_of
from tui.shop_units import Measure, ShopUnits

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
_CANS = ("positive_volume", "negative_volume", "port")
REASONS: dict[Reason, str] = {
    "goal_unsettled": "The goal does not settle under the rider: it has no sag to start from.",
    "out_of_reach": (
        "No setting of it has the sag asked for: none within the label's limit, what pumps reach, or the "
        "preload a coil may take."
    ),
}
MEANING = (
    "Close means wheel force from the goal's sag to the end of the travel: root mean square of the "
    "difference, against the rider's load. Both sit at the goal's sag. Slow strokes, seals left out."
)
MIND = (
    "Let all air out of every chamber before it is opened for spacers; never above the limit on the label. "
    "Back the collar off before a coil comes out. Eye protection on, the maker's manual first."
)


def settings_rows(now: Setup, found: Setup, units: ShopUnits, outside: float) -> list[list[str]]:
    """Return a row for each setting: its name, how it stands and what is found; `outside` is ambient [Pa].

    Volumes and port have one only where they are to change.
    """
    before, then = settings_of(now, outside), settings_of(found, outside)
    rows = {
        name: [units.show(part.get(name, math.nan), TURNED[name]) for part in (before, then)]
        for name in NAMES
        if name in then
    }
    return [[NAMES[name], *row] for name, row in rows.items() if name not in _CANS or row[0] != row[1]]


def close_text(found: Match, units: ShopUnits) -> str:
    """Return how close it comes."""
    share = units.show(float(found.closeness), Measure.FRACTION)
    return f"Closest: {share} of the load off on average, {units.show(float(found.force), Measure.FORCE)}."


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
    """Return where it cannot follow."""
    gap, measure = float(found.gap), Measure.TRAVEL
    size = units.show(abs(gap), Measure.FORCE)
    if size == units.show(0.0, Measure.FORCE):
        return "It follows the goal all the way."
    side = "firmer" if gap > 0 else "softer"
    start, end = units.plain(float(found.gap_from), measure), units.show(float(found.gap_to), measure)
    where = units.show(float(found.gap_at), measure)
    return f"Where it cannot follow: {start} to {end} of wheel travel, most at {where}, {size} {side}."


FIGURES: Sequence[tuple[str, str, Measure]] = (
    ("starting_wheel", "start at wheel", Measure.FORCE),
    ("support_25", "support 25 %", Measure.RATIO),
    ("support_50", "support 50 %", Measure.RATIO),
    ("support_75", "support 75 %", Measure.RATIO),
    ("bottom_ratio", "end over load", Measure.RATIO),
    ("wheel_rate_at_sag", "wheel rate at sag", Measure.WHEEL_RATE),
)
"""Figures that goal and found are held against each other by."""
