"""Matching one setup of an answered job to another, or to target figures.

Settings are first rounded to the digits that the shop writes, typed into a copy of the setup, read like a job
file and answered. All figures and cautions shown are from that answer.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import lru_cache
from typing import Any, Generic, TypeVar, cast

import numpy as np

from physics import knobs
from physics.answer import SetupAnswer
from physics.case import Air, Coil, Setup
from physics.cautions import usual_reach
from physics.faults import Caution, Reason, Unmatched
from physics.frozen import NamedTuple, dataclass
from physics.knobs import Bound
from physics.limits import HIGHEST_PRESSURE
from physics.match import ALIKE, Match, Rung, matched
from physics.offered import MOST_REST
from physics.shock import coil_of
from physics.units import decimal_text
from physics.wants import Judged, Relation, Want, Wished, wished
from tui.job import cautions
from tui.job.answer import JobAnswer, answer_job
from tui.job.figures import WANTED, figure_called, figure_named, read_figure
from tui.job.job import Job, listed, with_list
from tui.job.quantities import doubts, fraction_unseen, is_fraction
from tui.job.tree import Raw, Tree, TreePath, brief, clean
from tui.job.wheels import spoken
from tui.kit.document import (
    TAKES,
    Block,
    Document,
    Drawing,
    Heading,
    Paragraph,
    SetupName,
    Table,
    TableRow,
    Take,
    caution,
    plain_lines,
)
from tui.kit.roles import Role
from tui.saying import nearest
from tui.shop_units import ALL, USUAL, Measure, ShopUnits, Writing, gauge, number
from tui.subjects.advice import OF_ONE_SPRING, PRESSURES, SETTINGS, grain_of, settings_of
from tui.subjects.answers import answer_object
from tui.subjects.asked import Seat, answered_file, change_object, printed, refused, seat_named, seats

_HARDWARE = ("positive_volume", "negative_volume", "port")
_COIL_DROPS = (*OF_ONE_SPRING, "stages")
_OF_THE_WHEEL = ("format", "title", "load", "frame", "target", "ambient", "ride", "tolerance")
_TENTH_OF_A_TURN = 0.1

Found = TypeVar("Found", bound=Match | Wished)


@dataclass(frozen=True, slots=True, eq=False)
class Offer(Generic[Found]):
    """Settings found, the setup as typed with them, and the answer for the wheel with that setup alone."""

    found: Found
    table: Tree
    tried: JobAnswer

    @property
    def setup(self) -> SetupAnswer:
        """The answer for the offered setup."""
        return self.tried.answer.setups[0]

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """Its cautions, those of the frame first."""
        return (*self.tried.answer.cautions, *self.setup.cautions)


AnyOffer = Offer[Match] | Offer[Wished]


def matched_job(
    answered: JobAnswer, target: int, using: int, units: ShopUnits, *, volumes: bool = False
) -> Offer[Match] | Reason:
    """Return the settings of one setup that come closest to another, or the limit that excludes all."""
    return cast("Offer[Match] | Reason", _found(answered, target, using, units, volumes))


def wished_job(
    answered: JobAnswer, using: int, wants: tuple[Want, ...], units: ShopUnits, *, volumes: bool = False
) -> Offer[Wished] | Reason:
    """Return the settings of one setup that come closest to the targets, or the limit that excludes all."""
    return cast("Offer[Wished] | Reason", _found(answered, wants, using, units, volumes))


@lru_cache(maxsize=16)
def _found(
    answered: JobAnswer, aim: int | tuple[Want, ...], using: int, units: ShopUnits, volumes: bool
) -> AnyOffer | Reason:
    """Return what comes closest to an aim: the index of a target setup, or target figures."""
    case, typed, outside = answered.case, answered.job.setups[using], float(answered.answer.shop.pressure)
    # Search only settings that can be written, with the digits shown.
    grain = grain_of(units, outside)
    if pitch := _pitch(typed, case.setups[using]):
        grain = replace(grain, steps={**grain.steps, "preload": _TENTH_OF_A_TURN * pitch})
    found: Match | Wished
    try:
        if isinstance(aim, int):
            found = matched(case, aim, using, volumes=volumes, grain=grain)
        else:
            found = wished(case, using, aim, volumes=volumes, grain=grain)
    except Unmatched as unmatched:
        return unmatched.reason
    table = _with_settings(typed, found, units, outside)
    wheel = {key: raw for key, raw in answered.job.tree.items() if key in _OF_THE_WHEEL}
    tried = answer_job(Job(Tree({**wheel, "setup": (table,)})))
    return cast("AnyOffer", Offer(found, table, tried))


def other_kind(answered: JobAnswer, target: int) -> int | None:
    """Return the first setup of another kind than the target setup, else the first other one, if any."""
    kinds = [setup.kind for setup in answered.answer.setups]
    others = [place for place in range(len(kinds)) if place != target]
    apart = [place for place in others if kinds[place] != kinds[target]]
    return next(iter(apart + others), None)


def _searched(found: Match | Wished) -> tuple[str, ...]:
    """Return the settings searched, in display order."""
    names = {bound.name for bound in found.bounds}
    is_coil = isinstance(found.setup.spring, Coil)
    return tuple(name for name in SETTINGS if name in names or (is_coil and name == "rate"))


def _with_settings(typed: Tree, found: Match | Wished, units: ShopUnits, outside: float) -> Tree:
    """Return a setup as typed with the settings found, in the shop's units; `outside` is ambient [Pa].

    Data of the coil before do not apply to another one and are dropped. Settings count as typed, while
    changed chambers and ports are unconfirmed.
    """
    raw = dict(typed)
    settings = settings_of(found.setup, outside)
    names = _searched(found)
    if isinstance(found.setup.spring, Coil):
        raw = {key: value for key, value in raw.items() if key not in _COIL_DROPS}
        if pitch := _pitch(typed, found.setup):
            raw["preload_turns"] = round(settings["preload"] / pitch, 1)
            names = tuple(name for name in names if name != "preload")
    for name in names:
        if SETTINGS[name] is not Measure.COUNT:
            raw[name] = units.show(settings[name], SETTINGS[name])
        elif raw.get(name, 0) != round(settings[name]):
            raw[name] = round(settings[name])
    changed = {key for key in raw if raw[key] != typed.get(key)}
    unmeasured = {key for key in _HARDWARE if key in changed}
    return with_list(raw, (set(listed(typed)) - changed) | unmeasured)


def _pitch(typed: Tree, setup: Setup) -> float | None:
    """Return the thread pitch [m] of a coil whose preload is typed in turns."""
    in_turns = "preload_turns" in typed and isinstance(setup.spring, Coil)
    return coil_of(setup).thread_pitch if in_turns else None


_CALLED = {"rate": "spring rate", "pressure": "set pressure", "port": "port position"}
_NAMES = {name: _CALLED.get(name, name.replace("_", " ")) for name in SETTINGS}
_REACHED = 0.95
"""Fraction of a limit from which it is reported as reached."""
_REASONS: dict[Reason, str] = {
    "target_unsettled": "The target setup has no sag under this rider.",
    "no_room": "No setting reaches this: a chamber has no air left at full stroke.",
    "no_pressure": "No setting reaches this: no pressure up to {law} holds the load at this sag.",
    "label": "No setting reaches this: this sag needs more than the max pressure of {label}.",
    "pumps": "No setting reaches this: this sag needs more than {pumps}, the limit of common shock pumps and "
    "labels.",
    "gas_law": "No setting reaches this: this sag needs more than {law} at full stroke, outside the tested "
    "air model.",
    "rest": "No setting reaches this: this sag needs a rest position of more than {rest}.",
    "preload": "No setting reaches this: gas charge and bumper carry the load at this sag without a coil.",
    "elsewhere": "No setting reaches this: with every setting the wheel rests at another sag.",
}
MEANING = (
    f"Like the target: wheel force within {ALIKE * 100:.0f} % of the target's, or of the static load where "
    "that is more (rule of thumb), on the riding curves, no seal friction. Of every setting the closest is "
    "shown, by RMS difference of wheel force; from full extension to sag it counts a quarter."
)
MIND = (
    "Let all air out of every chamber before opening; never above max pressure. Back off the collar before "
    "removing a coil. Eye protection; maker's manual first."
)


def reason_text(reason: Reason, seat: Seat, units: ShopUnits) -> str:
    """Return why nothing is offered for a setup, in words."""
    spring = seat.answer.setup.spring
    label = spring.max_pressure if isinstance(spring, Air) else None
    said = spoken(_REASONS[reason], seat.fork)
    return said.format(
        law=units.show(gauge(HIGHEST_PRESSURE, seat.outside), Measure.PRESSURE),
        pumps=units.show(usual_reach(seat.there.case), Measure.PRESSURE),
        label=units.show(math.nan if label is None else gauge(label, seat.outside), Measure.PRESSURE),
        rest=units.show(MOST_REST, Measure.TRAVEL),
    )


def document(
    seat: Seat,
    offer: AnyOffer,
    units: ShopUnits,
    target: SetupAnswer | None = None,
    names: tuple[SetupName, ...] = (),
) -> Document:
    """Return what is offered for a setup: to come close to the `target`, or figures wanted without one.

    The `names` are those of the setups that it is about, below the verdict.
    """
    found, sag, searched = offer.found, offer.setup.sag, _searched_text(offer, units)
    share = units.show(float(sag.wheel_fraction), Measure.FRACTION)
    settles = f"Sag {units.show(float(sag.wheel), Measure.TRAVEL)}, {share} of travel."
    takes: tuple[Block, ...] = ()
    if isinstance(found, Match):
        verdict, buyable = (
            f"{_set_text(offer, units)}: {_close_text(found, units)}",
            _buyable_text(found, units),
        )
        takes = Drawing(TAKES), Paragraph("" if found.rungs else buyable, plain=buyable)
    else:
        verdict = _binds_text(found, fork=seat.fork)
    blocks: list[Block] = [Paragraph(verdict, Role.STRONG), *named(names), *takes]
    blocks += [_settings_table(seat, offer, units), Paragraph(settles, Role.STRONG)]
    if isinstance(found, Wished):
        blocks.append(Heading(f"Targets at {_wanted_sag(seat, units)}"))
        blocks += [Paragraph(judged_text(each, units, fork=seat.fork)) for each in found.judged]
    on_bound = Paragraph(_on_bound_text(offer), Role.STRONG, verbatim=True)
    cautions = (caution(text, verbatim=True) for text in caution_texts(offer, units))
    mind = Paragraph(MIND, Role.CAUTION)
    blocks += [Paragraph("", plain=f"Searched: {searched}"), on_bound, *cautions, mind]
    if target is not None:
        rows: list[TableRow] = [("", "target", "found", "now")]
        for figure in map(figure_named, _COMPARED):
            numbers = [read_figure(figure, setup) for setup in (target, offer.setup, seat.answer)]
            if any(map(math.isfinite, numbers)):
                shown = (units.plain(number, figure.measure) for number in numbers)
                rows.append((f"{figure.label} {figure.unit(units)}".rstrip(), *shown))
        # A narrow view has no room for the state.
        blocks += [Heading("Figures of the riding curve"), Table(tuple(rows), last_from=0)]
    blocks += [Heading("Searched"), Paragraph(searched, Role.QUIET, plain="")]
    if target is not None:
        blocks.append(Paragraph(MEANING, Role.QUIET))
    if isinstance(found, Match):
        blocks.append(Paragraph(_off_text(found, units), Role.QUIET))
    return Document(tuple(blocks), seat.fork)


def _settings_table(seat: Seat, offer: AnyOffer, units: ShopUnits) -> Table:
    before, then = (settings_of(setup, seat.outside) for setup in (seat.answer.setup, offer.setup.setup))
    rows = []
    for name in _searched(offer.found):
        old, new = (units.show(part.get(name, math.nan), SETTINGS[name]) for part in (before, then))
        if name == "preload" and "preload_turns" in offer.table:
            new = f"{new}, {offer.table['preload_turns']} turns"
        rows.append((_NAMES[name], old, new))
    plain = tuple(f"{name}: {old} \N{RIGHTWARDS ARROW} {new}" for name, old, new in rows)
    return Table((("", "now", "found"), *rows), plain)


def _wanted_sag(seat: Seat, units: ShopUnits) -> str:
    target = seat.there.answer.target
    return f"{units.show(float(target.sag), Measure.FRACTION)} sag ({target.of})"


def match_takes(offer: Offer[Match], units: ShopUnits) -> tuple[Take, ...]:
    """Return the coil found and the nearest available rates as lines to take; nothing for air."""
    if not isinstance(offer.found.setup.spring, Coil):
        return ()
    found, pitch = offer.found, _pitch(offer.table, offer.found.setup)
    rate = settings_of(found.setup, 0.0)["rate"]
    sag = float(offer.setup.sag.wheel_fraction)
    exact = Rung(rate, float(coil_of(found.setup).preload), sag, float(found.closeness), float(found.alike))
    takes = list[Take]()
    for place, rung in enumerate((exact, *_rungs(found))):
        shown = units.show(rung.rate, Measure.SPRING_RATE)
        length = units.show(rung.preload, Measure.TRAVEL)
        turns = round(rung.preload / pitch, 1) if pitch else math.nan
        told = f"{turns} turns" if pitch else length
        wound: tuple[TreePath, Raw] = (("preload_turns",), turns) if pitch else (("preload",), length)
        text = f"{shown}, preload {told}: {_rung_text(rung, found, units)}"
        head = "Nearest rates to buy" if place else "Closest"
        takes.append(Take(text, ((("rate",), shown), wound), head=head))
    return tuple(takes)


def _rungs(found: Match) -> list[Rung]:
    """Return the coils in stock, the one nearest to the rate found first."""
    here = settings_of(found.setup, 0.0)["rate"]
    return sorted(found.rungs, key=lambda rung: abs(rung.rate - here))


def _rung_text(rung: Rung, found: Match, units: ShopUnits) -> str:
    """Return how like the target a coil is, and its sag if that is another one."""
    sag, wanted = units.shows(Measure.FRACTION, rung.sag, float(found.sag.sag))
    too_stiff = rung.preload == 0 and rung.sag < float(found.sag.sag) and sag != wanted
    lead = f"sag {sag}, too stiff for {wanted}; " if too_stiff else ""
    return f"{lead}{_alike_text(rung.alike)}"


def _alike_text(alike: float) -> str:
    return f"like the target over {alike * 100:.0f} % of travel"


def _buyable_text(found: Match, units: ShopUnits) -> str:
    """Return the available coils nearest to the one found, empty for air."""
    if not isinstance(found.setup.spring, Coil):
        return ""
    rungs = []
    for rung in _rungs(found):
        rate, preload = units.show(rung.rate, Measure.SPRING_RATE), units.show(rung.preload, Measure.TRAVEL)
        rungs.append(f"{rate} with preload {preload}, {_rung_text(rung, found, units)}")
    return f"Nearest rates to buy: {'. '.join(rungs) or 'none reaches this sag with preload'}."


def named(names: tuple[SetupName, ...]) -> tuple[Table, ...]:
    """Return the names of setups beside each other."""
    return (Table((names,), heads=0),) if names else ()


def _set_text(offer: AnyOffer, units: ShopUnits) -> str:
    """Return the settings found in one line: "439 lbf/in, preload 0.4 turns"."""
    settings = settings_of(offer.setup.setup, float(offer.tried.answer.shop.pressure))
    told = []
    for name in _searched(offer.found):
        text = units.show(settings[name], SETTINGS[name])
        if name == "preload" and "preload_turns" in offer.table:
            text = f"{offer.table['preload_turns']} turns"
        told.append(text if name in ("rate", "pressure") else f"{_NAMES[name]} {text}")
    return ", ".join(told)


def _close_text(found: Match, units: ShopUnits) -> str:
    """Return over how much of the travel it is like the target setup, and where it is not."""
    gap, measure = float(found.gap), Measure.TRAVEL
    size = units.show(abs(gap), Measure.FORCE)
    if size == units.show(0.0, Measure.FORCE):
        return "matches the target through all the travel."
    side = "firmer" if gap > 0 else "softer"
    start, end = units.plain(float(found.gap_from), measure), units.show(float(found.gap_to), measure)
    where = units.show(float(found.gap_at), measure)
    off = f"most off from {start} to {end} of wheel travel, {size} {side} at {where}"
    return f"{_alike_text(float(found.alike))}; {off}."


def _off_text(found: Match, units: ShopUnits) -> str:
    """Return the difference of wheel force over all the travel."""
    off = units.show(float(found.closeness), Measure.FRACTION)
    return f"Wheel force off by {units.show(float(found.force), Measure.FORCE)} RMS ({off} of static load)."


def _searched_text(offer: AnyOffer, units: ShopUnits) -> str:
    """Return the search bounds of the settings, and the limits that were kept."""
    found, setup, answer = offer.found, offer.setup.setup, offer.tried.answer
    outside = float(answer.shop.pressure)
    text = "; ".join(_bound_text(bound, setup, outside, units) for bound in found.bounds)
    kept = ""
    if not isinstance(setup.spring, Coil):
        law = units.show(gauge(HIGHEST_PRESSURE, outside), Measure.PRESSURE)
        rests = f"rest position at most {units.show(MOST_REST, Measure.TRAVEL)}"
        kept = f" Every chamber at most {law}, slow; {rests}."
    volumes = any(bound.name == "positive_volume" for bound in found.bounds)
    assumed = " The ranges of volumes and port are assumed." if volumes else ""
    return spoken(f"{text[:1].upper()}{text[1:]}.{kept}{assumed}", answer.frame.fork)


def _on_bound_text(offer: AnyOffer) -> str:
    """Return the settings at a bound of the search, and the limits reached, empty for none."""
    air = offer.setup.air
    there = [f"{_NAMES[bound.name]} ({bound.on}est)" for bound in offer.found.bounds if bound.on]
    if air is not None and float(air.rest_stroke) > _REACHED * MOST_REST:
        there.append("rest position (at its limit)")
    if air and float(np.fmax(air.peak_pressure, air.highest_extended)) > _REACHED * HIGHEST_PRESSURE:
        there.append("peak pressure (at the limit of the tested air model)")
    return f"At the limit of the search: {', '.join(there)}." if there else ""


_SHARES = {
    "positive_volume": (knobs.VOLUME_REACH, "the typed volume"),
    "negative_volume": (knobs.NEGATIVE_REACH, "the typed volume"),
    "port": (knobs.PORT_REACH, "the stroke"),
}


def _bound_text(bound: Bound, setup: Setup, outside: float, units: ShopUnits) -> str:
    name, measure = bound.name, SETTINGS[bound.name]
    low, high = _ends_of(bound, outside)
    if name in PRESSURES:
        labelled = isinstance(setup.spring, Air) and setup.spring.max_pressure is not None
        which = "max pressure" if labelled else "limit of common pumps"
        return f"{_NAMES[name]} up to {units.show(high, measure)} ({which})"
    text = f"{_NAMES[name]} {units.plain(low, measure)} to {units.show(high, measure)}"
    if name not in _SHARES:
        return text
    (least, most), whole = _SHARES[name]
    return f"{text} ({least * 100:.0f} to {most * 100:.0f} % of {whole})"


def _ends_of(bound: Bound, outside: float) -> tuple[float, float]:
    moved = outside if bound.name in PRESSURES else 0.0
    return bound.low - moved, bound.high - moved


def caution_texts(offer: AnyOffer, units: ShopUnits) -> list[str]:
    """Return all cautions of the offered setup, as `solve` gives them."""
    unlikely = (doubt.text(units) for doubt in doubts(offer.tried.job))
    return [*unlikely, *cautions.caution_texts(offer.cautions, offer.tried.answer, units)]


_COMPARED = (
    "starting_wheel", "support_25", "support_50", "support_75", "bottom_ratio", "wheel_rate_at_sag"
)  # fmt: skip
"""Figures for comparing target and match, those of the riding curve first."""


EXAMPLE = "support_50>=1.7; bottom_ratio=4.3"
_WANT = re.compile(
    r"\s*([a-z_0-9.]+?)\s*(>=|<=|=)\s*([+-]?(?:[\d.,]+\s+)?\d+\s*/\s*\d+|[+-]?[\d.,]+)\s*(\D.*)?"
)
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")
_RELATIONS: dict[str, Relation] = {">=": "at least", "<=": "at most", "=": "just"}
_SHOWN = ("starting_wheel", "wheel_rate_at_sag", "energy_total", "drop_height", "natural_frequency")
"""Figures whose units a prompt shows."""
_AIR_ONLY = ("rest_stroke", "compression_ratio")


class UnusableWant(Exception):
    """A target that cannot be read: what is wrong, and what to use."""

    def __init__(self, what: str, accepted: str) -> None:
        self.what, self.accepted = what, accepted
        super().__init__(f"{what}; {accepted}")


def now_text(seat: Seat, units: ShopUnits) -> str:
    """Return what a setup has of the two figures that targets are most often typed for."""
    figures = (figure_named(name, seat.fork) for name in ("support_50", "bottom_ratio"))
    now = (f"{one.label}: {one.show(read_figure(one, seat.answer), units)}" for one in figures)
    return f"{'; '.join(now)}; no target typed."


def targets_table(seat: Seat, units: ShopUnits) -> Table:
    """Return the names of what can be wanted of the riding curve, and what a setup has of each now."""
    rows: list[TableRow] = [("name to type", "now", "figure")]
    for figure in (figure_named(name, seat.fork) for name in WANTED):
        number = read_figure(figure, seat.answer)
        variant = figure.name.startswith(_SLOW) or figure.name.endswith(_BARE) or not figure.shown
        if math.isfinite(number) and not variant:
            rows.append((figure.name, figure.show(number, units), figure.label))
    widest = max(len(str(label)) for *_, label in rows)
    return Table(tuple((*row[:-1], str(row[-1]).ljust(widest)) for row in rows), last_from=0)


_SLOW, _BARE = "slow_", "_without_bumper"
"""Begins the names of figures of the slow curve, ends those of a shock without its bumper."""
VARIANTS = (
    f"Also the slow curve, such as {_SLOW}support_50, and without the bumper: bottom_ratio{_BARE}, "
    f"end_ramp{_BARE}."
)


def units_text(units: ShopUnits) -> str:
    """Return the unit that a bare number takes, for a few figures; ratios have none."""
    named = (f"{name} {units.unit(figure_named(name).measure)}" for name in _SHOWN)
    return f"{', '.join(named)}; ratios no unit"


def wants_of(line: str, units: ShopUnits) -> tuple[Want, ...]:
    """Return the target figures in a line, separated by semicolons; raises `UnusableWant`."""
    return tuple(want_of(part, units) for part in line.split(";") if part.strip())


def want_of(text: str, units: ShopUnits) -> Want:
    """Return the target figure in a text such as "support_50>=1.7"; raises `UnusableWant`.

    A bare number is in the shop's unit, or in that of the name: "energy_total_j>=300".
    """
    text = clean(text)  # a message quotes it
    match = _WANT.fullmatch(text)
    use = 'use "support_50>=1.7", "bottom_ratio=4.3" or "starting_wheel<=60 N"'
    if match is None:
        raise UnusableWant(f'"{brief(text)}" cannot be read', use)
    name, sign, digits, unit = match.groups()
    named = figure_called(name, WANTED)
    if named is None:
        near = nearest(name, WANTED)
        accepted = f"use {f'{near}, the nearest, or ' if near else ''}one of {', '.join(WANTED)}"
        raise UnusableWant(f'no figure is called "{brief(name)}"', accepted)
    digits = decimal_text(digits)
    if _THOUSANDS.fullmatch(digits):
        plain = " or ".join(digits.replace(",", mark) for mark in ("", "."))
        raise UnusableWant(f'"{digits}" may be thousands or decimals', f"write {plain}")
    try:
        wanted = float(digits.replace(",", "."))
    except ValueError:
        raise UnusableWant(f'"{brief(digits)}" is not a number', use) from None
    if not math.isfinite(wanted):
        raise UnusableWant(f'"{brief(digits)}" is too large a number', use)
    measure, per = figure_named(named.figure).measure, figure_named(named.figure).per
    if not unit and measure is Measure.FRACTION and is_fraction(digits):
        raise UnusableWant(f"{named.figure}: {fraction_unseen(digits)}", "write it in %")
    writing = _writing(unit, measure, per) if unit else named.writing or units.writings[measure]
    return Want(named.figure, _RELATIONS[sign], (wanted - writing.offset) * writing.factor)


def _writing(unit: str, measure: Measure, per: str) -> Writing:
    """Return the format of a typed unit; raises `UnusableWant` for one of another measure.

    A ratio may be followed by what it is `per`, as it is shown.
    """
    known = {shop.unit(measure): shop.writings[measure] for shop in ALL}
    plain = {"".join(name.split()).casefold(): writing for name, writing in known.items()}
    if measure is Measure.RATIO:
        plain["%"] = Writing("%", 0.01, 1)
        plain["".join(per.split())] = USUAL.writings[measure]
    found = plain.get("".join(unit.split()).casefold())
    if found is None:
        names = " or ".join(name for name in known if name) or "a number without a unit"
        raise UnusableWant(f'"{brief(unit)}" is not a unit of this figure', f"use {names}")
    return found


def judged_text(each: Judged, units: ShopUnits, *, fork: bool = False) -> str:
    """Return the result for one target figure, in the shop's units and with its label in the table."""
    want, figure = each.want, figure_named(each.want.figure, fork)
    # A colon ends the target here, so "3.1 : 1" is only 3.1.
    unit = figure.unit(units).partition(":")[0]
    number, found, alone = (
        f"{units.scale(here, figure.measure):.4g} {unit}".rstrip()
        for here in (want.number, each.found, each.alone)
    )
    relation = "exactly" if want.relation == "just" else want.relation
    asked = f"{figure.label} {relation} {number}"
    if math.isnan(each.found):
        air_only = want.figure in _AIR_ONLY
        return f"{asked}: {'air springs only' if air_only else 'does not exist at this sag'}"
    if each.met:
        return f"{asked}: {found}, met"
    if each.reachable:
        return f"{asked}: {found}, not met with the others; possible alone"
    return f"{asked}: {found}, not met; best possible {alone}"


def _binds_text(found: Wished, *, fork: bool) -> str:
    binding = figure_named(found.judged[found.binds].want.figure, fork).label
    there = [each for each in found.judged if math.isfinite(each.found)]
    if not there:
        return "None of these figures exists at this sag."
    if all(each.met for each in there):
        met = "All met" if len(there) == len(found.judged) else "All others met"
        return f"{met}; {binding} has the least margin."
    count = sum(each.met for each in found.judged)
    return f"{count or 'None'} of {len(found.judged)} targets met, limited by {binding}."


class MatchAsked(NamedTuple):
    """Options of the command; names are empty if not given."""

    target: str
    using: str
    want: tuple[str, ...]
    volumes: bool


def command(source: str, asked: MatchAsked, *, as_json: bool) -> str:
    """Return the settings that come closest to a target setup or to what is wanted; raises `Unanswered`."""
    bike, units, target = answered_file(source), USUAL, None
    offer: AnyOffer | Reason
    if asked.want and asked.target:
        raise refused("want", "given with --target", "use one of the two")
    if asked.want:
        seat = seat_named("with", asked.using, seats(bike))
        try:
            wants = tuple(want_of(text, units) for text in asked.want)
        except UnusableWant as unusable:
            raise refused("want", unusable.what, unusable.accepted) from unusable
        offer = wished_job(seat.there, seat.place, wants, units, volumes=asked.volumes)
        title = f"for {_wanted_sag(seat, units)}"
    else:
        target = seat_named("target", asked.target, seats(bike))
        own = [one for one in seats(bike) if one.wheel == target.wheel]
        other = other_kind(target.there, target.place)
        if other is None:
            what = "the target setup is the only setup at this wheel"
            raise refused("with", what, "use a job with a second setup there")
        seat = seat_named("with", asked.using, own) if asked.using else own[other]
        if seat.place == target.place:
            raise refused("with", "the target setup itself", "use another setup at this wheel")
        offer = matched_job(seat.there, target.place, seat.place, units, volumes=asked.volumes)
        title = f"matched to {brief(target.name)}"
    if isinstance(offer, str):
        option = "target" if offer == "target_unsettled" and target is not None else "with"
        why = reason_text(offer, seat, units).rstrip(".")
        raise refused(option, why, "use another setup or another target sag")
    if as_json:
        return printed(json_object(seat, offer, target))
    said = document(seat, offer, units, None if target is None else target.answer)
    return printed([f"{brief(seat.name)} {title}", *plain_lines(said)])


def json_object(seat: Seat, offer: AnyOffer, target: Seat | None) -> dict[str, Any]:
    """Return the result, the values for the setup's table of the job file, and the answer with them.

    Settings and bounds are SI, pressures gauge.
    """
    settings, found = settings_of(offer.setup.setup, seat.outside), offer.found
    promised = answer_object(offer.tried)["setups"][0]
    return {
        "format": 1,
        "title": seat.there.job.title,
        "with": seat.name,
        "settings_si": {key: number(settings[key]) for key in _searched(found)},
        "bounds_si": {
            bound.name: {"low": low, "high": high, "on": bound.on or None}
            for bound in found.bounds
            for low, high in (_ends_of(bound, seat.outside),)
        },
        "limits": {"highest_pressure_bar": HIGHEST_PRESSURE / 1e5, "rest_stroke_mm": MOST_REST * 1e3},
        **change_object(seat.typed, offer.table),
        "promised": {key: promised[key] for key in _PROMISED if key in promised},
        "cautions": promised["cautions"],
        **(_match_object(target, offer, found) if isinstance(found, Match) else _wish_object(found)),
    }


def _match_object(target: Seat | None, offer: AnyOffer, found: Match) -> dict[str, Any]:
    to_buy = []
    for rung in found.rungs:
        rate, preload = number(rung.rate / 1e3), number(rung.preload * 1e3)
        to_buy.append({
            "rate_n_per_mm": rate,
            "preload_mm": preload,
            "sag_fraction": number(rung.sag),
            "closeness_fraction": number(rung.closeness),
            "alike_fraction": number(rung.alike),
        })  # fmt: skip
    return {
        "goal": "" if target is None else target.name,
        "sag_fraction": number(offer.setup.sag.wheel_fraction),
        "closeness_fraction": number(found.closeness),
        "closeness_n": number(found.force),
        "alike_fraction": number(found.alike),
        "largest_gap_n": number(found.gap),
        "largest_gap_at_mm": number(float(found.gap_at) * 1e3),
        "gap_from_mm": number(float(found.gap_from) * 1e3),
        "gap_to_mm": number(float(found.gap_to) * 1e3),
        "to_buy": to_buy,
    }


_PROMISED = (
    "state", "rate_n_per_mm", "rate_lbf_per_in", "preload_mm", "set_pressure_psi", "set_pressure_bar",
    "peak_pressure_psi", "fast_peak_pressure_psi", "rest_stroke_mm", "sag", "figures", "riding",
)  # fmt: skip
"""Predicted values, a part of the output of `solve --json` for that setup."""


def _wish_object(found: Wished) -> dict[str, Any]:
    wants = []
    for each in found.judged:
        want = {key: getattr(each.want, key) for key in ("figure", "relation", "number")}
        became = {
            "exists": not math.isnan(each.found),
            "found": number(each.found),
            "alone": number(each.alone),
        }
        wants.append(want | became | {"met": each.met, "reachable": each.reachable})
    return {"wants": wants, "binds": found.judged[found.binds].want.figure}
