"""One setup of an answered job in the place of another: settings found as they are written, and their answer.

What is offered is rounded to what the shop writes before anything is said of it: it is typed into a copy of
the setup, read again as a job file is and answered, and every figure and caution is that answer's.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache
from typing import Any, Generic, NamedTuple, TypeVar

import numpy as np

from physics import knobs
from physics.answer import Answer, SetupAnswer
from physics.arrays import Values
from physics.case import Air, Coil, Setup
from physics.cautions import PUMPS_REACH
from physics.faults import Caution, Reason, Unmatched
from physics.inputs import SETUP_INPUTS
from physics.knobs import Bound, Grain
from physics.limits import HIGHEST_PRESSURE
from physics.match import Match, Rung, matched
from physics.offered import MOST_REST
from physics.shock import coil_of
from physics.wants import Judged, Relation, Want, Wished, wished
from tui.job.answer import JobAnswer, answer_job
from tui.job.cautions import caution_text
from tui.job.clean import brief, clean
from tui.job.fields import fraction_unseen, is_fraction
from tui.job.figures import WANTED, figure_called, figure_named, read_figure
from tui.job.job import Job, listed, with_list
from tui.job.likely import doubts
from tui.job.tree import Raw, Tree
from tui.job.wheels import WHEELS, spoken
from tui.shop_units import ALL, USUAL, Measure, ShopUnits, Writing, gauge, number
from tui.subjects.advice import OF_ONE_SPRING
from tui.subjects.answers import answer_object
from tui.subjects.asked import Unanswered, answered_file, refused

TURNED: dict[str, Measure] = {
    "rate": Measure.SPRING_RATE,
    "preload": Measure.TRAVEL,
    "pressure": Measure.PRESSURE,
    "negative_pressure": Measure.PRESSURE,
    "positive_spacers": Measure.COUNT,
    "negative_spacers": Measure.COUNT,
    "positive_volume": Measure.VOLUME,
    "negative_volume": Measure.VOLUME,
    "port": Measure.TRAVEL,
}
"""What a match may turn, by key of the job file, and how it is written."""
PRESSURES = ("pressure", "negative_pressure")
_HARDWARE = ("positive_volume", "negative_volume", "port")
_INPUTS = {one.name: one for one in SETUP_INPUTS}
_COIL_DROPS = (*OF_ONE_SPRING, "stages")
_OF_THE_WHEEL = ("format", "title", "load", "frame", "target", "ambient", "ride", "tolerance")
_TENTH_OF_A_TURN = 0.1

Found = TypeVar("Found", Match, Wished)


@dataclass(frozen=True, slots=True, eq=False)
class Offer(Generic[Found]):
    """Settings that were found, the setup as typed with them in it, and the wheel with that setup alone."""

    found: Found
    table: Tree
    tried: JobAnswer

    @property
    def setup(self) -> SetupAnswer:
        """The answer of what is offered."""
        return self.tried.answer.setups[0]

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What must be known of it, the frame's cautions first."""
        return (*self.tried.answer.cautions, *self.setup.cautions)


def matched_job(
    answered: JobAnswer, target: int, using: int, units: ShopUnits, *, volumes: bool = False
) -> Offer[Match] | Reason:
    """Return the settings of one setup that come closest to another, or which limit bars them all."""
    return _matched(answered, target, using, units.name, volumes)


@lru_cache(maxsize=8)
def _matched(
    answered: JobAnswer, target: int, using: int, habit: str, volumes: bool
) -> Offer[Match] | Reason:
    units = next(units for units in ALL if units.name == habit)
    grain = grain_of(answered, using, units)
    try:
        found = matched(answered.case, target, using, volumes=volumes, grain=grain)
    except Unmatched as unmatched:
        return unmatched.reason
    return offered(answered, using, found, units)


def grain_of(answered: JobAnswer, using: int, units: ShopUnits) -> Grain:
    """Return how finely the settings of a setup are written: to the digits that are shown."""
    outside = float(answered.answer.shop.pressure)
    writings = {name: units.writings[measure] for name, measure in TURNED.items()}
    steps = {name: writing.factor * 10.0**-writing.digits for name, writing in writings.items()}
    pitch = _pitch(answered.job.setups[using], answered.case.setups[using])
    if pitch:
        steps["preload"] = _TENTH_OF_A_TURN * pitch
    return Grain(steps, dict.fromkeys(PRESSURES, outside))


def offered(answered: JobAnswer, using: int, found: Found, units: ShopUnits) -> Offer[Found]:
    """Return settings that were found for a setup of a wheel as an offer."""
    typed = answered.job.setups[using]
    table = _with_settings(typed, found, units, float(answered.answer.shop.pressure))
    wheel = {key: raw for key, raw in answered.job.tree.items() if key in _OF_THE_WHEEL}
    return Offer(found, table, answer_job(Job(Tree({**wheel, "setup": (table,)}))))


def other_kind(answered: JobAnswer, target: int) -> int | None:
    """Return the first setup of another kind than the target setup, else the first other one, if any."""
    kinds = [setup.kind for setup in answered.answer.setups]
    others = [place for place in range(len(kinds)) if place != target]
    apart = [place for place in others if kinds[place] != kinds[target]]
    return next(iter(apart + others), None)


def settings_of(setup: Setup, outside: float) -> dict[str, float]:
    """Return what may be turned on a setup, by key [SI], pressures as a gauge shows them."""
    found = {name: _INPUTS[name].read(setup) for name in TURNED}
    known = {name: float(number) for name, number in found.items() if number is not None}
    return {name: gauge(number, outside) if name in PRESSURES else number for name, number in known.items()}


def turned(found: Match | Wished) -> tuple[str, ...]:
    """Return the settings that were searched, in the order in which they are told."""
    names = {bound.name for bound in found.bounds}
    if isinstance(found.setup.spring, Coil):
        names |= {"rate"}
    return tuple(name for name in TURNED if name in names)


def _with_settings(typed: Tree, found: Match | Wished, units: ShopUnits, outside: float) -> Tree:
    """Return a setup as typed with what was searched put in, in the shop's units; `outside` is ambient [Pa].

    What was measured on the one coil that was in it says nothing of another, and goes. What is set is taken
    as typed; a chamber or a port of another size is one that nobody has measured yet.
    """
    raw = dict(typed)
    settings = settings_of(found.setup, outside)
    names = turned(found)
    if isinstance(found.setup.spring, Coil):
        raw = {key: value for key, value in raw.items() if key not in _COIL_DROPS}
        if pitch := _pitch(typed, found.setup):
            raw["preload_turns"] = round(settings["preload"] / pitch, 1)
            names = tuple(name for name in names if name != "preload")
    for name in names:
        if not (name.endswith("spacers") and raw.get(name, 0) == round(settings[name])):
            raw[name] = _written(name, settings[name], units)
    changed = {key for key in raw if raw[key] != typed.get(key)}
    unmeasured = {key for key in _HARDWARE if key in changed}
    return with_list(raw, (set(listed(typed)) - changed) | unmeasured)


def _pitch(typed: Tree, setup: Setup) -> float | None:
    """Return the thread pitch [m] of a coil whose preload is typed in turns."""
    if "preload_turns" not in typed or not isinstance(setup.spring, Coil):
        return None
    return coil_of(setup).thread_pitch


def _written(key: str, number: float, units: ShopUnits) -> Raw:
    """Return a setting as text, as it is shown."""
    measure = TURNED[key]
    return round(number) if measure is Measure.COUNT else units.show(number, measure)


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


_HELD = ("starting_wheel", "support_25", "support_50", "support_75", "bottom_ratio", "wheel_rate_at_sag")
"""Figures that target setup and found are held against each other by."""


def figure_rows(setups: Sequence[SetupAnswer], units: ShopUnits) -> list[list[str]]:
    """Return a row for each figure that any of the setups has, its unit beside its name."""
    rows = []
    for figure in map(figure_named, _HELD):
        numbers = [read_figure(figure, setup) for setup in setups]
        if any(map(math.isfinite, numbers)):
            shown = (units.plain(number, figure.measure) for number in numbers)
            rows.append([f"{figure.label} {units.unit(figure.measure)}".rstrip(), *shown])
    return rows


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
    named = (f"{name} {units.unit(figure_named(name).measure)}" for name in _SHOWN)
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
    named = figure_called(name, WANTED)
    if named is None:
        near = get_close_matches(name, WANTED, n=1, cutoff=0.0)[0]
        raise UnusableWant(
            f'no figure is called "{brief(name)}"', f"use {near}, the nearest, or one of {', '.join(WANTED)}"
        )
    if _THOUSANDS.fullmatch(digits):
        plain = " or ".join(digits.replace(",", mark) for mark in ("", "."))
        raise UnusableWant(f'"{digits}" may be thousands or decimals', f"write {plain}")
    try:
        wanted = float(digits.replace(",", "."))
    except ValueError:
        raise UnusableWant(f'"{brief(digits)}" is no number', use) from None
    measure = figure_named(named.figure).measure
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
    measure = figure_named(want.figure).measure
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


class MatchAsked(NamedTuple):
    """What the command line asks for; names are empty where none is given."""

    goal: str
    using: str
    want: tuple[str, ...]
    volumes: bool


def match_text(source: str, asked: MatchAsked, *, as_json: bool) -> str:
    """Return the settings that come closest to a target setup or to what is wanted; raises `Unanswered`."""
    bike = answered_file(source)
    if asked.want and asked.goal:
        raise refused("want", "given beside --goal", "one of the two is accepted")
    if asked.want:
        return _wanted(bike, asked, as_json=as_json)
    there, goal = _seat(bike, "goal", asked.goal)
    using = _using(there, goal, asked.using)
    found = matched_job(there, goal, using, USUAL, volumes=asked.volumes)
    if isinstance(found, str):
        option = "goal" if found == "target_unsettled" else "with"
        raise refused(option, _why_not(there, using, found), "use another setup or another target sag")
    if as_json:
        return json.dumps(_match_object(there, goal, using, found), allow_nan=False) + "\n"
    return "\n".join(_match_lines(there, goal, using, found)) + "\n"


def _seat(bike: JobAnswer, option: str, name: str) -> tuple[JobAnswer, int]:
    """Return the end that has a setup of this name and its place there; the first of all without a name."""
    ends = [there for end in WHEELS if (there := bike.at(end)) is not None]
    seats = [(there, place) for there in ends for place in range(len(there.answer.setups))]
    named = [seat for seat in seats if name in ("", _name(*seat))]
    if not named:
        raise _unknown(option, name, [_name(*seat) for seat in seats])
    return named[0]


def _using(there: JobAnswer, goal: int, name: str) -> int:
    """Return the setup to be set, at the target setup's end of the bike."""
    using = other_kind(there, goal)
    if using is None:
        raise refused(
            "with", "the target setup is the only one of its end", "a second setup there is accepted"
        )
    if not name:
        return using
    names = [_name(there, place) for place in range(len(there.answer.setups))]
    if name not in names:
        raise _unknown("with", name, names)
    if names.index(name) == goal:
        raise refused("with", "the target setup itself", "another setup of its end is accepted")
    return names.index(name)


def _unknown(option: str, name: str, known: list[str]) -> Unanswered:
    listed = ", ".join(f'"{brief(each)}"' for each in known)
    return refused(
        option, f'no setup is named "{brief(name)}"', f"--{option} with one of {listed} is accepted"
    )


def _name(there: JobAnswer, place: int) -> str:
    return there.answer.setups[place].name


def _why_not(there: JobAnswer, using: int, reason: Reason) -> str:
    return reason_text(reason, there.answer.setups[using].setup, there.answer, USUAL).rstrip(".")


def _settings_lines(there: JobAnswer, using: int, offer: Offer[Match] | Offer[Wished]) -> list[str]:
    outside = float(there.answer.shop.pressure)
    rows = settings_rows(there.answer.setups[using].setup, offer, USUAL, outside)
    return [f"  {name}: {now} to {then}" for name, now, then in rows]


def _offer_lines(offer: Offer[Match] | Offer[Wished]) -> list[str]:
    """Return the bounds and every caution of what is offered."""
    told = [
        f"Searched: {searched_text(offer, USUAL)}",
        on_bound_text(offer),
        *(f"Caution: {text}" for text in caution_texts(offer, USUAL)),
        MIND,
    ]
    return [f"  {text}" for text in told if text]


def _match_lines(there: JobAnswer, goal: int, using: int, offer: Offer[Match]) -> list[str]:
    found = offer.found
    return [
        f"{brief(_name(there, using))} set like {brief(_name(there, goal))}",
        *_settings_lines(there, using, offer),
        f"  {sag_text(offer.setup, USUAL)}",
        f"  {close_text(found, USUAL)}",
        f"  {gap_text(found, USUAL)}",
        *(f"  {text}" for text in (buyable_text(found, USUAL),) if text),
        *_offer_lines(offer),
        f"  {MEANING}",
    ]


def _match_object(there: JobAnswer, goal: int, using: int, offer: Offer[Match]) -> dict[str, Any]:
    found = offer.found
    return {
        **_offer_object(there, using, offer),
        "goal": _name(there, goal),
        "sag_fraction": number(offer.setup.sag.wheel_fraction),
        "closeness_fraction": number(found.closeness),
        "closeness_n": number(found.force),
        "largest_gap_n": number(found.gap),
        "largest_gap_at_mm": _mm(found.gap_at),
        "gap_from_mm": _mm(found.gap_from),
        "gap_to_mm": _mm(found.gap_to),
        "to_buy": [
            {
                "rate_n_per_mm": number(rung.rate / 1e3),
                "preload_mm": number(rung.preload * 1e3),
                "closeness_fraction": number(rung.closeness),
            }
            for rung in found.rungs
        ],
    }


def _mm(length: Values) -> float | None:
    return number(float(length) * 1e3)


def _offer_object(there: JobAnswer, using: int, offer: Offer[Match] | Offer[Wished]) -> dict[str, Any]:
    """Return what is found, what to write into the setup's table of the job file, and the answer to that.

    Settings and bounds are SI, pressures gauge.
    """
    before, outside = there.job.setups[using], float(there.answer.shop.pressure)
    typed, settings = offer.table, settings_of(offer.setup.setup, outside)
    promised = answer_object(offer.tried)["setups"][0]
    return {
        "format": 1,
        "title": there.job.title,
        "with": _name(there, using),
        "settings_si": {key: number(settings[key]) for key in turned(offer.found)},
        "bounds_si": {
            bound.name: {"low": low, "high": high, "on": bound.on or None}
            for bound in offer.found.bounds
            for low, high in (ends_of(bound, outside),)
        },
        "limits": {
            "highest_pressure_bar": HIGHEST_PRESSURE / 1e5,
            "rest_stroke_mm": MOST_REST * 1e3,
        },
        "write": {key: raw for key, raw in typed.items() if before.get(key) != raw},
        "take_out": [key for key in before if key not in typed],
        "promised": {key: promised[key] for key in _PROMISED if key in promised},
        "cautions": promised["cautions"],
    }


_PROMISED = (
    "state", "rate_n_per_mm", "rate_lbf_per_in", "preload_mm", "set_pressure_psi", "set_pressure_bar",
    "peak_pressure_psi", "fast_peak_pressure_psi", "rest_stroke_mm", "sag", "figures", "riding",
)  # fmt: skip
"""What is promised, of what `solve --json` says of the same setup."""


def _wanted(bike: JobAnswer, asked: MatchAsked, *, as_json: bool) -> str:
    there, using = _seat(bike, "with", asked.using)
    wants = tuple(_want(text) for text in asked.want)
    offer = wished_job(there, using, wants, USUAL, volumes=asked.volumes)
    if isinstance(offer, str):
        raise refused("with", _why_not(there, using, offer), "use another setup or another target sag")
    found = offer.found
    if as_json:
        wish = {**_offer_object(there, using, offer), **_wish_object(found)}
        return json.dumps(wish, allow_nan=False) + "\n"
    sag = USUAL.show(float(there.answer.target.sag), Measure.FRACTION)
    lines = [f"{brief(_name(there, using))} for {sag} sag of {there.answer.target.of}"]
    lines += _settings_lines(there, using, offer)
    lines += [f"  {sag_text(offer.setup, USUAL)}"]
    lines += [f"  {judged_text(each, USUAL)}" for each in found.judged]
    return "\n".join([*lines, f"  {binds_text(found)}", *_offer_lines(offer)]) + "\n"


def _want(text: str) -> Want:
    try:
        return want_of(text, USUAL)
    except UnusableWant as unusable:
        raise refused("want", unusable.what, unusable.accepted) from unusable


def _wish_object(found: Wished) -> dict[str, Any]:
    return {
        "wants": [
            {
                "figure": each.want.figure,
                "relation": each.want.relation,
                "number": each.want.number,
                "exists": not math.isnan(each.found),
                "found": number(each.found),
                "alone": number(each.alone),
                "met": each.met,
                "reachable": each.reachable,
            }
            for each in found.judged
        ],
        "binds": found.judged[found.binds].want.figure,
    }
