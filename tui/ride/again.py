"""The same ground on another spring, in words: what each other setup, and each change, would have used of it.

What the log shows stands in place of a felt complaint, beside those that were ticked: the same computed
changes as after a ride, with their effect on the customer's own trail. Which statistic belongs to which
symptom is a rule of thumb.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from physics.advise import Advice, Advised, Symptom
from physics.bench import answer
from physics.frozen import NamedTuple
from physics.ground_used import DAMPER_BAND, MASS_BAND, Used
from physics.log import Estimate, Unusable
from physics.same_ground import SameGround, same_ground
from tui.job.answer import JobAnswer, answer_job
from tui.job.choices import SYMPTOMS, symptoms_of
from tui.job.job import ON_BIKE, setup_on_bike
from tui.job.tree import Tree, brief
from tui.job.wheels import with_wheel_job
from tui.kit.document import (
    Block,
    Document,
    Heading,
    Paragraph,
    SetupName,
    Table,
    TableRow,
    caution,
    csv_text,
    heading_of,
    plain_lines,
)
from tui.kit.roles import Role
from tui.ride.events import CAUTION
from tui.ride.logged import (
    Ground,
    Ridden,
    band_text,
    clock_text,
    document,
    json_object,
    logged_file,
    met_text,
    numbers,
    options_told,
    scaled,
    static_sag,
    used_text,
    why_text,
)
from tui.ride.riding import conditions_text
from tui.shop_units import USUAL, Measure, ShopUnits, keyed
from tui.subjects import advice
from tui.subjects.advice import AdviceAsked, change_text, symptoms_named
from tui.subjects.asked import (
    Seat,
    answered_file,
    job_faults_told,
    printed,
    refused,
    seat_named,
    seats,
)

_SHOWN = 3
"""Changes that are listed beside what a log says, the best ones; advice has all of them."""
_DEEPER, _HIGHER = 0.08, 0.05
"""Share of the travel by which dynamic sag differs from static sag before that counts as a symptom."""
_UNUSED = 0.85
"""Share of the travel that 99 % travel stays below where travel counts as unused."""
_MET = 2
"""Bottom-outs from which a setup counts as blowing through its travel."""


class Heard(NamedTuple):
    """A symptom found in the log, and the statistic that shows it, in words."""

    symptom: Symptom
    said: str


class Again(NamedTuple):
    """A logged ride on the other setups of the job and with changes to the one that was ridden.

    `found` has the setups at these `places` of the job, then the changes; None with the reason in `trouble`.
    `asked` is what advice was asked for, None if nothing was heard or felt, and `advised` its answer. `typed`
    is for each change the setup as it stands in the job with that change in it.
    """

    ridden: Ridden
    places: tuple[int, ...]
    heard: tuple[Heard, ...]
    asked: AdviceAsked | None
    advised: Advised | None
    found: SameGround | None
    trouble: str = ""
    typed: tuple[Tree, ...] = ()

    @property
    def changes(self) -> tuple[Advice, ...]:
        """The changes for what the log shows and what was felt, best first."""
        return () if self.advised is None else self.advised.changes

    @property
    def felt(self) -> tuple[Symptom, ...]:
        """Symptoms that were felt and that the log does not show."""
        shown = {one.symptom for one in self.heard}
        return () if self.asked is None else tuple(one for one in self.asked.symptoms if one not in shown)


def again(
    bike: JobAnswer,
    ridden: Ridden,
    units: ShopUnits = USUAL,
    progress: Callable[[float], None] | None = None,
    against: str = "",
    felt: tuple[Symptom, ...] | None = None,
) -> Again:
    """Return a logged ride ridden again, on all setups of the job or on the one that is named alone.

    `felt` is what the rider felt, by default what the job says. Changes are typed in the units of the shop.
    `progress` is called with the fraction done and may raise to cancel.
    """
    names = [setup.name for setup in ridden.seat.there.answer.setups]
    places = tuple(
        at for at, name in enumerate(names) if not against or at == ridden.seat.place or name == against
    )
    heard = tuple(heard_in(ridden, units))
    asked = advice_on(bike, ridden, units, felt)
    advised = None if asked is None else asked.found
    changes = () if advised is None else advised.changes
    typed = () if asked is None else tuple(asked.typed(change) for change in changes)
    found = Again(ridden, places, heard, asked, advised, None, typed=typed)
    if len(places) == 1 and not changes:
        return found._replace(trouble="the job has no other setup for this wheel")
    damper = ridden.seat.there.case.setups[ridden.seat.place].damper
    changed = tuple(replace(change.setup, damper=damper) for change in changes)
    there = ridden.seat.there
    # What is on the bench is answered already, the changes alone are not.
    added = answer(replace(there.case, setups=changed)).setups if changed else ()
    case = replace(there.case, setups=(*(there.case.setups[place] for place in places), *changed))
    known = replace(there.answer, setups=(*(there.answer.setups[place] for place in places), *added))
    try:
        ground = same_ground(case, known, ridden.log, places.index(ridden.seat.place), progress=progress)
    except Unusable as unusable:
        return found._replace(trouble=why_text(unusable, units))
    except ValueError:
        return found._replace(trouble="the setup ridden has no sag")
    return found._replace(found=ground)


def advice_on(
    bike: JobAnswer, ridden: Ridden, units: ShopUnits, felt: tuple[Symptom, ...] | None = None
) -> AdviceAsked | None:
    """Return the advice to ask for: symptoms that the log shows, then those `felt`; None without any."""
    if felt is None:
        felt = symptoms_of(ridden.seat.there.job.get(("ridden", "symptom")))
    shown = (one.symptom for one in heard_in(ridden, units))
    symptoms = tuple(dict.fromkeys((*shown, *felt)))
    theirs = bike.at("front" if ridden.seat.wheel == "rear" else "rear") if bike.front else None
    other = 0 if theirs is None else setup_on_bike(theirs.job)
    return AdviceAsked(bike, ridden.seat, symptoms, units, other) if symptoms else None


def heard_in(ridden: Ridden, units: ShopUnits) -> Iterator[Heard]:
    """Yield the symptoms that the log shows, out of those a rider can feel."""
    found, full = ridden.found, ridden.log.wheel_travel
    static = static_sag(ridden.seat.answer)
    sag = found.mean_moving
    shown = units.show(sag.value / full, Measure.FRACTION)
    if found.stop_count >= _MET:
        yield Heard("blows_through", met_text(found.stop_count))
    elif not found.stop_count and found.travel_99.high < _UNUSED * full:
        used = units.show(found.travel_99.value / full, Measure.FRACTION)
        yield Heard("unused_travel", f"99 % of the time below {used} of travel, no bottom-out")
    if sag.low / full > static + _DEEPER:
        yield Heard("packs_down", f"dynamic sag is {shown}")
    elif sag.high / full < static - _HIGHER:
        yield Heard("too_high", f"dynamic sag is {shown}")


# --- words -----------------------------------------------------------------------------------


GROUND = "The same ground on every setup"


def lead(found: Again, units: ShopUnits) -> Iterator[Block]:
    """Yield the first lines: the travel each other setup uses, the symptoms in the log, and the changes.

    On the screen the changes are lines that can be taken, see `change_texts`.
    """
    ground = found.found
    if ground is None or not ground.given_back.whole:
        yield from withheld(found, units)
        return
    yield Paragraph(_verdict(found, ground, units), Role.STRONG, verbatim=True)
    yield from heard_blocks(found.heard, found.felt)
    if found.asked is not None and not found.changes:
        yield Paragraph("No single change within the limits helps with that.")
    for text in change_texts(found, units):
        yield Paragraph("", plain=text, verbatim=True)


def log_document(name: str, ridden: Ridden, found: Again | None, units: ShopUnits) -> Document:
    """Return the symptoms that a log shows, for the view of changes."""
    return Document((Paragraph(f"{brief(name)}:", Role.STRONG), *log_blocks(ridden, found, units)))


def log_blocks(ridden: Ridden, found: Again | None, units: ShopUnits) -> Iterator[Block]:
    """Yield the symptoms that a log shows and, once the ground is `found`, why results are withheld."""
    yield Paragraph(f"{used_text(ridden, units)}.", Role.STRONG, verbatim=True)
    heard = tuple(heard_in(ridden, units))
    yield from heard_blocks(heard, () if found is None else found.felt)
    if found is not None and (found.found is None or not found.found.given_back.whole):
        yield from withheld(found, units)


def withheld(found: Again, units: ShopUnits) -> Iterator[Block]:
    """Yield why no result for other setups is shown."""
    ground, name = found.found, brief(found.ridden.seat.name)
    if ground is None:
        yield Paragraph(f"{GROUND}: not calculated, {found.trouble}.", Role.CAUTION)
        return
    mass = units.show(abs(ground.given_back.mass - 1), Measure.FRACTION)
    way = "heavier" if ground.given_back.mass > 1 else "lighter"
    yield caution(
        f"{GROUND}: not shown. {name} as typed does not reproduce the log: the travel that it stays below "
        f"95 % of the time is {_error(found, ground, units)} of full travel off, as if the load were {mass} "
        f"{way}. Check load, pressure or rate, damper and leverage first."
    )


def heard_blocks(heard: Sequence[Heard], felt: Sequence[Symptom]) -> Iterator[Block]:
    """Yield the symptoms that a log shows, and those felt besides."""
    if heard:
        told = "; ".join(f"{one.said} ({SYMPTOMS[one.symptom].label})" for one in heard)
        yield Paragraph(f"The log shows: {told}. Rule of thumb.")
    if felt:
        names = ", ".join(SYMPTOMS[one].label for one in felt)
        yield Paragraph(f"Felt by the rider on this bike{' besides' if heard else ''}: {names}.")


def change_texts(found: Again, units: ShopUnits, which: str = "") -> Iterator[str]:
    """Yield the best changes, each with the travel it would have used; none where that is withheld.

    With two wheels each line begins with `which` wheel it is.
    """
    begin = f"{which.capitalize()}, change" if which else "Change"
    outside = float(found.ridden.seat.there.answer.shop.pressure)
    effects = effect_texts(found, units)[:_SHOWN]
    for place, (change, effect) in enumerate(zip(found.changes, effects, strict=False)):
        text = change_text(change, found.ridden.seat.answer.setup, units, outside)
        yield f"{begin} {place + 1}, {text}: {effect}."


def effect_texts(found: Again, units: ShopUnits) -> list[str]:
    """Return the travel each change would have used on this ground; nothing where that is withheld."""
    ground, full = found.found, found.ridden.log.wheel_travel
    if ground is None or not ground.given_back.whole:
        return []
    after = ground.setups[len(found.places) :]
    return ["no sag" if used is None else _used_text(used, full, units) for used in after]


def _error(found: Again, ground: SameGround, units: ShopUnits) -> str:
    return units.show(abs(ground.given_back.error_95) / found.ridden.log.wheel_travel, Measure.FRACTION)


def blocks(found: Again, units: ShopUnits) -> Iterator[Block]:
    """Yield the figures on the same ground and their assumptions; nothing where they are withheld."""
    ground = found.found
    if ground is None or not ground.given_back.whole:
        return
    yield Heading(GROUND, f"{GROUND}:")
    yield _table(found, ground, units)
    elsewhere = conditions_text(found.ridden.seat.there, units)
    if elsewhere:
        yield Paragraph(elsewhere, Role.QUIET, elsewhere)
    damper, mass = (f"{band * 100:.0f} %" for band in (DAMPER_BAND, MASS_BAND))
    name = brief(found.ridden.seat.name)
    yield Paragraph(
        f"The ground is calculated from the log and ridden again; {name} itself is "
        f"{_error(found, ground, units)} of travel off. {_told_text(ground, units)} Ranges: damper "
        f"±{damper}, mass ±{mass}. A wrong damper setting may still reproduce the log. While "
        "the wheel is in the air, the log shows no ground.",
        Role.QUIET,
    )


def _told_text(ground: SameGround, units: ShopUnits) -> str:
    """Return mass, damper and friction as identified from the log."""
    back = ground.given_back
    mass, damper = (units.show(ratio, Measure.FRACTION) for ratio in (back.mass, back.damper))
    return (
        f"The log shows the damper at {damper} and the load at {mass} of what is in the job, and "
        f"{units.show(back.friction, Measure.FORCE)} of seal friction; all setups ride with that damper and "
        "load."
    )


def _verdict(found: Again, ground: SameGround, units: ShopUnits) -> str:
    full = found.ridden.log.wheel_travel
    told = [f"{one.name} {_used_text(used, full, units)}" for one, used in _others(found, ground)]
    logged = _used_text(ground.logged, full, units)
    others = "; ".join(told) or ("no other setup has a sag" if len(found.places) > 1 else "")
    same = f" As calculated on the same ground: {others}." if others else ""
    # The log has more: each stretch begins with a run-in that is not counted.
    over = clock_text(ground.time)
    return f"{brief(found.ridden.seat.name)} as ridden, in {over} of the log: {logged}.{same}"


def _used_text(used: Used, full: float, units: ShopUnits) -> str:
    reached = scaled(used.travel_95, 1 / full)
    # What was logged has no range.
    is_logged = reached.low == reached.high
    deep = (
        units.show(reached.value, Measure.FRACTION)
        if is_logged
        else band_text(reached, Measure.FRACTION, units)
    )
    met = used.stop_meetings
    low, high = (round(end) for end in (met.low, met.high))
    between = f" ({low} to {high})" if high > low else ""
    return f"95 % of the time below {deep} of travel, {met_text(round(met.value))}{between}"


def _others(found: Again, ground: SameGround) -> Iterator[tuple[SetupName, Used]]:
    """Yield the other setups of the job that settle, each by its name."""
    for place, used in zip(found.places, ground.setups, strict=False):
        if used is not None and place != found.ridden.seat.place:
            yield SetupName(brief(found.ridden.seat.there.answer.setups[place].name), place), used


def _table(found: Again, ground: SameGround, units: ShopUnits) -> Table:
    full, rows = found.ridden.log.wheel_travel, list[TableRow]()
    logged = SetupName(f"{brief(found.ridden.seat.name)}, as ridden", found.ridden.seat.place), ground.logged
    for name, used in (logged, *_others(found, ground)):
        shares = (one.value / full for one in (used.mean, used.travel_95, used.travel_99))
        counts = (used.last_tenth_entries.value, used.stop_meetings.value)
        cells = [units.plain(share, Measure.FRACTION) for share in shares]
        rows.append((name, *cells, *(units.plain(count, Measure.COUNT) for count in counts)))
    # "95 %" is the name of a column: a unit beside it would make two of them.
    head = (heading_of("travel", units.unit(Measure.FRACTION)), "mean", "95 %", "99 %")
    return Table(((*head, "last tenth", "bottom-out"), *rows))


def ground_object(found: Again) -> dict[str, Any]:
    """Return the same ground as plain data; null for what is withheld or does not settle."""
    ground, full = found.found, found.ridden.log.wheel_travel
    names = [found.ridden.seat.there.answer.setups[place].name for place in found.places]
    heard = [{"symptom": SYMPTOMS[one.symptom].word, "text": one.said} for one in found.heard]
    if ground is None:
        return {"ridden": found.ridden.seat.name, "trouble": found.trouble, "log_shows": heard}
    outside = float(found.ridden.seat.there.answer.shop.pressure)
    changes = [
        {
            "change": change_text(change, found.ridden.seat.answer.setup, USUAL, outside),
            "used": _used_object(ground.setups[len(names) + place], full),
        }
        for place, change in enumerate(found.changes)
    ]
    return {
        "ridden": found.ridden.seat.name,
        "time_s": ground.time,
        "conditions": conditions_text(found.ridden.seat.there, USUAL) or None,
        "given_back": {
            "error_95_fraction": ground.given_back.error_95 / full,
            "rms_mm": ground.given_back.rms * 1e3,
            "mass_ratio": ground.given_back.mass,
            "damper_ratio": ground.given_back.damper,
            "friction_n": ground.given_back.friction,
            "enough": ground.given_back.whole,
        },
        "logged": _used_object(ground.logged, full),
        "setups": [
            {"name": name, "used": _used_object(used, full)}
            for name, used in zip(names, ground.setups, strict=False)
        ],
        "log_shows": heard,
        "changes": changes,
    }


def _used_object(used: Used | None, full: float) -> dict[str, Any] | None:
    if used is None:
        return None
    shares = {
        f"{name}_fraction": _estimate_object(scaled(getattr(used, name), 1 / full))
        for name in ("mean", "travel_95", "travel_99")
    }
    counts = {name: _estimate_object(getattr(used, name)) for name in ("last_tenth_entries", "stop_meetings")}
    return {**shares, **keyed(deepest_mm=used.deepest), **counts, **keyed(share_of_time=used.share)}


def _estimate_object(one: Estimate) -> dict[str, Any]:
    return keyed(value=one.value, low=one.low, high=one.high)


class LogAsked(NamedTuple):
    """The options of the command beside job and log; empty where not given.

    `against` is the setup that rides the same ground, or "all"; `setup` the one that was ridden, in place of
    the one on the bike.
    """

    columns: str = ""
    units: str = ""
    other: str = ""
    against: str = ""
    setup: str = ""


EVERY = "all"
"""Asks for every setup."""


def command(source: str, file: str, asked: LogAsked, *, as_json: bool = False, as_csv: bool = False) -> str:
    """Return the printed analysis of a log for the job file `source`; raises `Unanswered`."""
    bike = answered_file(source)
    if asked.setup:
        bike = _ridden_with(bike, seat_named("setup", asked.setup, seats(bike)))
    known = [seat for seat in seats(bike) if asked.against not in ("", EVERY)]
    name = seat_named("against", asked.against, known).name if known else ""
    told = options_told(asked.columns, asked.units)
    found = logged_file(bike, file, told)
    other = logged_file(bike, asked.other, told) if asked.other else None
    rode = [again(bike, one, against=name) for one in found.channels] if asked.against else []
    if as_json:
        plain = json_object(bike, found, other)
        for channel, one in zip(plain["channels"], rode, strict=False):
            channel["same_ground"] = ground_object(one)
        return printed(plain)
    if as_csv:
        return csv_text(numbers(found, USUAL))
    said = document(
        found, USUAL, other, [Ground(tuple(lead(one, USUAL)), tuple(blocks(one, USUAL))) for one in rode]
    )
    return printed([bike.job.heading, *plain_lines(said, "")])


class AdviseAsked(NamedTuple):
    """The options of advice from a log: symptoms, the setup ridden, and the log."""

    words: Sequence[str]
    setup: str
    log: str
    columns: str = ""
    units: str = ""


def advise_command(source: str, asked: AdviseAsked, *, as_json: bool = False) -> str:
    """Return the printed changes for the symptoms in a log and those felt; raises `Unanswered`."""
    bike, felt = answered_file(source), symptoms_named(asked.words)
    seat = seat_named("setup", asked.setup, seats(bike)) if asked.setup else None
    bike = bike if seat is None else _ridden_with(bike, seat)
    found = logged_file(bike, asked.log, options_told(asked.columns, asked.units, "log-"), "log-")
    channels = [one for one in found.channels if seat is None or one.seat.wheel == seat.wheel]
    if seat is not None and not channels:
        raise refused("log", f"it has no travel of the {seat.wheel}", "use --setup of the other wheel")
    one = again(bike, channels[0], felt=felt or None)
    if as_json:
        plain = {} if one.asked is None or one.advised is None else advice.json_object(one.asked, one.advised)
        ground = ground_object(one)
        for change, ridden in zip(plain.get("changes", ()), ground.get("changes", ()), strict=False):
            change["on_logged_ground"] = ridden["used"]
        return printed(
            {**plain, "format": 1, "title": bike.job.title, "log": found.name, "same_ground": ground}
        )
    wheel = f"{one.ridden.seat.wheel} " if bike.front is not None else ""
    title = f"Advice, {wheel}{brief(one.ridden.seat.name)}, by the log {brief(found.name)}"
    return printed([title, *plain_lines(advice_from(one, USUAL))])


def advice_from(one: Again, units: ShopUnits) -> Document:
    """Return the changes after a logged ride, each with the travel it would have used."""
    blocks = (*log_blocks(one.ridden, one, units), caution(CAUTION))
    if one.asked is None or one.advised is None:
        return Document((*blocks, Paragraph(NOTHING_SHOWN)))
    said = advice.document(one.asked._replace(units=units), one.advised, ridden=effect_texts(one, units))
    return replace(said, blocks=(*blocks, *said.blocks))


NOTHING_SHOWN = (
    "The log shows no complaint: it bottoms out less than twice, uses its travel and rides at its sag. "
    "Changes need a complaint of the rider."
)


def _ridden_with(bike: JobAnswer, seat: Seat) -> JobAnswer:
    """Return the same job with another setup on the bike."""
    ridden = with_wheel_job(bike.job, seat.wheel, seat.there.job.with_value(ON_BIKE, seat.name))
    with job_faults_told():
        return answer_job(ridden)
