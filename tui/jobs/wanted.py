"""Figures asked for in a line of text, and what became of them, in words."""

from __future__ import annotations

import math
import re
from difflib import get_close_matches
from functools import lru_cache

from physics.faults import Reason, Unmatched
from physics.wants import FIGURES, Judged, Relation, Want, Wished, wished
from tui.bare_numbers import fraction_unseen, is_fraction
from tui.jobs.answering import JobAnswer
from tui.jobs.clean import brief, clean
from tui.jobs.figure_names import figure_called, measure_of
from tui.jobs.matching import Offer, grain_of, offered
from tui.shop_units import ALL, Measure, ShopUnits, Writing

EXAMPLE = "support_50>=1.7; bottom_ratio=4.3"
_WANT = re.compile(r"\s*([a-z_0-9.]+?)\s*(>=|<=|=)\s*([+-]?[\d.,]+)\s*(\D.*)?")
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")
_RELATIONS: dict[str, Relation] = {">=": "at least", "<=": "at most", "=": "just"}
_SHOWN = ("starting_wheel", "wheel_rate_at_sag", "energy_total", "drop_height", "natural_frequency")
"""Figures whose units a prompt names before one types."""
_ABSENT, _OF_AIR = "does not exist at this sag", "exists for an air spring only"
_AIR_ONLY = ("rest_stroke", "compression_ratio")


class UnusableWant(Exception):
    """Something asked for that cannot be: what is wrong, and what is accepted."""

    def __init__(self, what: str, accepted: str) -> None:
        """Keep both."""
        self.what, self.accepted = what, accepted
        super().__init__(f"{what}; {accepted}")


def units_text(units: ShopUnits) -> str:
    """Return the unit that a bare number takes, for a few figures; ratios have none."""
    named = (f"{name} {units.unit(measure)}" for name in _SHOWN if (measure := measure_of(name)))
    return f"{', '.join(named)}; ratios no unit"


def wants_of(line: str, units: ShopUnits) -> tuple[Want, ...]:
    """Return what a line asks for, one after another with a semicolon between; raises `UnusableWant`."""
    return tuple(want_of(part, units) for part in line.split(";") if part.strip())


def want_of(text: str, units: ShopUnits) -> Want:
    """Return what is asked for by a text such as "support_50>=1.7"; raises `UnusableWant`.

    A bare number is in the unit of the shop, or in that of the name: "energy_total_j>=300".
    """
    match = _WANT.fullmatch(clean(text))
    use = 'use "support_50>=1.7", "bottom_ratio=4.3" or "starting_wheel<=60 N"'
    if match is None:
        raise UnusableWant(f'"{brief(text)}" cannot be read', use)
    name, sign, digits, unit = match.groups()
    named = figure_called(name, FIGURES)
    if named is None:
        near = get_close_matches(name, FIGURES, n=1, cutoff=0.0)[0]
        raise UnusableWant(
            f'no figure is called "{brief(name)}"', f"use {near}, the nearest, or one of {', '.join(FIGURES)}"
        )
    if _THOUSANDS.fullmatch(digits):
        plain = " or ".join(digits.replace(",", mark) for mark in ("", "."))
        raise UnusableWant(f'"{digits}" may be thousands or decimals', f"write {plain}")
    try:
        wanted = float(digits.replace(",", "."))
    except ValueError:
        raise UnusableWant(f'"{brief(digits)}" is no number', use) from None
    measure = measure_of(named.figure) or Measure.RATIO
    if not unit and measure is Measure.FRACTION and is_fraction(digits):
        raise UnusableWant(f"{named.figure}: {fraction_unseen(digits)}", "use per cent")
    writing = named.writing or units.writings[measure]
    if unit:
        writing = _writing(unit, measure)
    return Want(named.figure, _RELATIONS[sign], (wanted - writing.offset) * writing.factor)


def _writing(unit: str, measure: Measure) -> Writing:
    """Return how a unit that is typed is written; raises `UnusableWant` for one of another measure."""
    known = {shop.unit(measure): shop.writings[measure] for shop in ALL}
    plain = {"".join(name.split()).casefold(): writing for name, writing in known.items()}
    if measure is Measure.RATIO:
        plain["%"] = Writing("%", 0.01, 1)
    found = plain.get("".join(unit.split()).casefold())
    if found is None:
        names = " or ".join(name for name in known if name) or "a number without a unit"
        raise UnusableWant(f'"{brief(unit)}" is no unit of it', f"use {names}")
    return found


def wished_job(
    answered: JobAnswer, using: int, wants: tuple[Want, ...], units: ShopUnits, *, volumes: bool = False
) -> Offer[Wished] | Reason:
    """Return the settings of one setup that come closest to what is wanted, or which limit bars them all."""
    return _wished(answered, using, wants, units.name, volumes)


@lru_cache(maxsize=8)
def _wished(
    answered: JobAnswer, using: int, wants: tuple[Want, ...], habit: str, volumes: bool
) -> Offer[Wished] | Reason:
    units = next(units for units in ALL if units.name == habit)
    try:
        found = wished(answered.case, using, wants, volumes=volumes, grain=grain_of(answered, using, units))
    except Unmatched as unmatched:
        return unmatched.reason
    return offered(answered, using, found, units)


def judged_text(each: Judged, units: ShopUnits) -> str:
    """Return what became of one want, in a shop's units."""
    want = each.want
    asked = f"{want.figure} {want.relation} {_shown(want, want.number, units)}"
    if math.isnan(each.found):
        return f"{asked}: {_OF_AIR if want.figure in _AIR_ONLY else _ABSENT}"
    told = f"{asked}: {_shown(want, each.found, units)}"
    if each.met:
        return f"{told}, met"
    if each.reachable:
        return f"{told}, not met together with the others; alone it can be"
    return f"{told}, not reached; the nearest allowed is {_shown(want, each.alone, units)}"


def _shown(want: Want, here: float, units: ShopUnits) -> str:
    measure = measure_of(want.figure) or Measure.RATIO
    return f"{units.scale(here, measure):.4g} {units.unit(measure)}".rstrip()


def binds_text(found: Wished) -> str:
    """Return which want decides."""
    binding = found.judged[found.binds].want.figure
    there = [each for each in found.judged if math.isfinite(each.found)]
    if not there:
        return "Nothing of it exists at this sag."
    if all(each.met for each in there):
        met = "All met" if len(there) == len(found.judged) else "The rest is met"
        return f"{met}; {binding} has the least to spare."
    return f"In the way: {binding}."
