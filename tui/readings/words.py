"""Why readings say nothing, in a mechanic's words, and what each parameter is called."""

from __future__ import annotations

from collections.abc import Mapping

from physics.faults import Why
from tui.shop_units import Measure, ShopUnits

NAMES: Mapping[str, str] = {
    "rate": "rate",
    "preload": "preload",
    "friction": "friction",
    "positive_volume": "positive volume",
    "negative_volume": "negative volume",
    "port": "port",
}
"""Parameters as the panels call them; volumes are without spacers."""
MEASURES: Mapping[str, Measure] = {
    "rate": Measure.SPRING_RATE,
    "preload": Measure.MISFIT,
    "friction": Measure.FORCE,
    "positive_volume": Measure.VOLUME,
    "negative_volume": Measure.VOLUME,
    "port": Measure.MISFIT,
}
_TYPE_IT = (
    "The {what} at which they were taken must be known: type it into the setup's panel; on a solved one s "
)
_MORE = "One reading more helps most at {stroke}{way}."
UNFIT_WORDS: Mapping[str, str] = {
    "not_numbers": "Reading {reading} is no stroke and force of a shock.",
    "too_few": "{readings} readings are too few: at least {needed} tell what is unknown and how sure it is, "
    "those at a turning point not counted.",
    "beyond_stroke": "Reading {reading} is at {stroke} of stroke, this shock has 0 to {full}. Stroke counts "
    "from full extension, going in.",
    "one_place": "All readings are at {stroke} of stroke: a spring shows itself between places.",
    "in_stages": "A coil in stages has more unknowns than this asks for: look at one stage as a plain coil.",
    "no_rate": _TYPE_IT.format(what="rate") + "keeps the rate.",
    "no_pressure": _TYPE_IT.format(what="pressure") + "keeps the pressure.",
    "not_apart": "These readings cannot tell {first} and {second} apart: where one is larger and the other "
    "follows, the force stays the same (correlation {correlation}). " + _MORE,
    "not_told": "These readings hardly tell the {first}. " + _MORE,
    "at_limit": "The best {first} lies at the limit of what this hardware can have: check bore, rod, body, "
    "the pressure, and whether the readings are of this shock.",
    "no_end": "Nothing comes close to these readings: check that they are of this shock and its pressure.",
    "ways_swapped": "The force is lower going in than coming out, as if friction were {friction}: stroke "
    "must grow as the shock goes in, in the order the readings were taken.",
    "friction_told": "These readings go in and out and tell the friction themselves: leave out the friction "
    "typed with them.",
    "no_friction": "The setup has no friction to take: type it with the readings, or say unknown.",
    "bent": "These readings are off by {size} in a bend that no such spring makes, so they do not tell the "
    "{first}. Pressed fast, air warms: read slowly. A bumper or damper gas must be in the setup.",
    "falling": "The force falls as the shock goes in: stroke counts from full extension, force as the shock "
    "pushes.",
    "not_equalised": "Cycling tells of a shock whose chambers meet at a port: the selected setup has none.",
    "not_lower": "After cycling the gauge must read less than before: air went into the negative chamber.",
    "too_little": "The gauge fell by less than the port alone takes. The negative chamber must be empty at "
    "first, and the port where the setup says.",
    "emptied": "The gauge fell too far for a negative chamber: look for a leak.",
    "no_sag": "A sag of {sag} is not between 0 and {whole}.",
    "nothing_carried": "There the spring pulls: no rider holds it at this sag.",
}
"""By code; the numbers in braces are written in the shop's units."""
COMMAND_WORDS: Mapping[str, str] = {
    "no_pressure": "The pressure at which they were taken must be known: say it with --pressure 190psi.",
}
"""By code what is said in place of that without a screen."""
_LENGTHS = ("stroke", "full", "sag", "whole")
_COUNTS = {"reading": 1, "readings": 0, "needed": 0}
"""Counts, and what is added to them: people count from one."""
_WAYS = {1.0: ", going in", -1.0: ", coming out", 0.0: ""}


def why_text(why: Why, units: ShopUnits) -> str:
    """Return why readings say nothing, with its numbers in the shop's units."""
    said = {key: _number(key, value, units) for key, value in why.values.items()}
    names = [NAMES[name] for name in why.names]
    said |= dict(zip(("first", "second"), names, strict=False))
    return UNFIT_WORDS[why.code].format(**said)


def _number(key: str, value: float, units: ShopUnits) -> str:
    if key in _COUNTS:
        return f"{int(value) + _COUNTS[key]}"
    if key in _LENGTHS:
        return units.show(value, Measure.TRAVEL)
    if key == "way":
        return _WAYS[value]
    return units.show(value, Measure.FORCE if key in ("friction", "size") else Measure.RATIO)
