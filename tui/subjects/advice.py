"""A change that is advised, in words: what to turn, what it does, what else it does, and what it asks for."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, NamedTuple

from physics.advise import (
    MEANINGS,
    SAG_NEAR,
    Advice,
    Advised,
    Feel,
    OtherWheel,
    Symptom,
    advise,
    rebound_change,
)
from physics.bench import answer
from physics.case import Air, Coil, NoNegative, Setup, Target
from physics.changes import ByMeasuredSag, Mark, Trial, Turned, Writer, by_measured_sag
from physics.faults import Caution, Unfit
from physics.offered import Bar
from tui.job.answer import JobAnswer
from tui.job.case import setup_of
from tui.job.cautions import caution_text
from tui.job.choices import SYMPTOMS, new_word
from tui.job.clean import brief
from tui.job.faults import Findings, Spelling
from tui.job.job import listed, setup_on_bike, with_list
from tui.job.reading import read_setups
from tui.job.tree import Raw, Tree
from tui.job.wheels import WHEELS, Wheel, spoken
from tui.shop_units import ALL, USUAL, Measure, ShopUnits, gauge, number
from tui.subjects.asked import answered_file, refused
from tui.subjects.measurements import GAUGE_FIRST, MeasuredRow, gauge_is_off, measured_rows

MARKS: Mapping[Mark, tuple[str, Measure]] = {
    "sag_fraction": ("sag", Measure.FRACTION),
    "starting_wheel": ("breakaway force (wheel)", Measure.FORCE),
    "support_50": ("mid-stroke support", Measure.RATIO),
    "bottom_ratio": ("bottom-out ratio", Measure.RATIO),
    "end_ramp": ("ramp-up", Measure.RATIO),
    "energy_from_sag": ("energy from sag to stop", Measure.ENERGY),
    "natural_frequency": ("natural frequency", Measure.FREQUENCY),
    "critical_damping": ("critical damping", Measure.DAMPING),
}
"""Name and measure of every figure that a symptom speaks of."""
PRACTICE = (
    "Figures are those of riding: slow air as far as sag, then air that keeps its heat; sag and breakaway "
    "force are of slow air. They are worked out from the values as written here. Which symptom speaks of "
    "which figure, and how far a step goes, is common practice, no source. What takes the sag off its "
    "target comes last; else first comes what moves its figure most for the largest share by which anything "
    "else moves. Never advised: more than the max pressure on "
    "the label, more than 120 bar at full stroke (slow, by the checked gas law: a hard hit may peak "
    "higher), a rest position of more than 1 mm, or a coil that would not fit."
)
REBOUND = (
    "Critical damping at the shaft is 2 times the root of wheel rate times mass, times the leverage squared, "
    "all at sag. The same share of it takes rebound damping in the same ratio. How many clicks that is, "
    "only the damper's maker knows."
)
UNSETTLED = (
    "The wheel does not settle under the rider: there is no ride to speak of before it has its target sag."
)
OTHER_UNSETTLED = "The other end does not settle under the rider: it has to have its target sag first."
STAGES = "A coil in stages has no one rate to go up or down from; its stages and how it ramps stay as wound."
WOUND = "How a coil ramps is wound into it: no setting changes that."
NOTHING = "No one step within the limits of this shock helps by 1 % or more."
NOTHING_APART = "No one step brings this end nearer to the other in what can be set here."
BARRED: Mapping[Bar, str] = {
    "label": "more than the max pressure on the label",
    "gas_law": "more than 120 bar at full stroke, slow, where the checked gas law ends",
    "rest": "a rest position of more than 1 mm",
}
"""What a change was left out for."""
_OPENED = (
    "Let all air out of every chamber before anything is opened, and stop if the shock stays short then: "
    "gas is trapped in it. Eye protection on, the maker's manual first."
)
_PUMPED = "Never above the limit on the label; eye protection on, the maker's manual first."
CAUTIONS: Mapping[Turned, str] = {
    "pressure": _PUMPED,
    "negative_pressure": _PUMPED,
    "rate": "Collar off before a spring is changed; eye protection on, the maker's manual first.",
    "preload": "Stay within the turns the maker allows: too few rattle, too many bind.",
    "positive_spacers": _OPENED,
    "negative_spacers": _OPENED,
    "bumper": (
        "Only if the maker has such a bumper. Spring and all pressure off the shock before it is reached; "
        "eye protection on, the maker's manual first."
    ),
}
"""What to mind with the hand about to do it."""


def change_text(advice: Advice, before: Setup, units: ShopUnits, outside: float) -> str:
    """Say what to turn, from what to what, and what is set with it; `outside` is ambient [Pa]."""
    turned, spring, kept = advice.turned, advice.setup.spring, ""
    if isinstance(spring, Coil):
        kept = _wound(advice, before, spring, units, outside)
    elif turned not in ("pressure", "bumper"):
        kept = f", then {typed_value('pressure', advice.setup, units, outside)} for the same sag"
    was, then = (typed_value(turned, setup, units, outside) for setup in (before, advice.setup))
    was = was.split(" ")[0]
    return f"{_NAMES[turned]} {was} to {then}{kept}"


def _wound(advice: Advice, before: Setup, coil: Coil, units: ShopUnits, outside: float) -> str:
    """Say how the collar is wound with a change of a coil, empty where it stays."""
    turns = f"{round(float(coil.preload) / coil.thread_pitch, 2):g} turns" if coil.thread_pitch else ""
    if advice.turned == "preload":
        return f", that is {turns}" if turns else ""
    stays = abs(float(coil.preload) - float(getattr(before.spring, "preload", math.nan))) < _SAME_PRELOAD
    if advice.turned != "rate" or stays:
        return ""
    preload = typed_value("preload", advice.setup, units, outside)
    return f" with preload {preload}{f', {turns}' if turns else ''}"


def sag_first(
    found: Advised, measured: SagMeasured | None, units: ShopUnits, outside: float, *, listed: bool = False
) -> list[str]:
    """Say that the sag has to be put right first, and what does it; nothing where it is right.

    Where the changes stand `listed` below, the first of them need not be told twice.
    """
    told = [] if measured is None else _of_measured(found, measured, units, outside)
    if not found.sag_is_off:
        return told
    target = target_text(found.target)
    now = (
        f"it settles at {_percent_text(found.now.sag_as_aimed)}"
        if math.isfinite(found.off)
        else "it does not settle"
    )
    first = next((advice for advice in found.changes if advice.first), None)
    if first is None:
        how = "Nothing that can be set here, within the limits, brings it nearer."
    else:
        off = abs(first.after.sag_as_aimed - float(found.target.sag))
        does = "does it" if off <= SAG_NEAR else f"comes nearest, {_percent_text(first.after.sag_as_aimed)}"
        how = f"Change 1 {does}: {change_text(first, found.setup, units, outside)}."
        how = f"Change 1 {does}." if listed else how
    return [*told, f"First bring the sag to {target}: {now}. {how}"]


def _of_measured(found: Advised, measured: SagMeasured, units: ShopUnits, outside: float) -> list[str]:
    row, told = measured.row, measured.told
    at = "wheel" if row.of == "travel" else "shock"
    low, high = units.plain(row.low, row.measure), units.show(row.high, row.measure)
    sag = units.show(row.measured, row.measure)
    first = (
        f"First bring the sag to {target_text(found.target)} on the bike: {sag} measured at the {at} is "
        f"{row.verdict} its band of {low} to {high}."
    )
    if measured.gauge_off:
        return [f"{first} {GAUGE_FIRST}"]
    if told is None:
        return [first]
    load, entered = (units.show(force, Measure.FORCE) for force in (told.load, told.entered))
    said = f"By that sag the wheel carries {load}, not {entered}"
    if told.trial is not None:
        said += f"; {_holding(told.trial, units, outside)} would hold that at {target_text(found.target)}"
    return [
        first,
        f'{said}. R with "sag {sag}" takes that load into the job; until then what stands here is of the '
        "load as typed.",
    ]


def _holding(trial: Trial, units: ShopUnits, outside: float) -> str:
    text = typed_value(trial.turned, trial.setup, units, outside)
    return f"{text} of preload" if trial.turned == "preload" else text


def target_text(target: Target) -> str:
    """Return "30 % of travel"."""
    return f"{float(target.sag) * 100:.4g} % of {target.of}"


def _percent_text(share: float) -> str:
    return f"{share * 100:.1f} %"


def unsettled(found: Advised) -> str:
    """Say which end does not settle."""
    return OTHER_UNSETTLED if math.isfinite(found.now.sag_fraction) else UNSETTLED


def left_out(found: Advised) -> str:
    """Say for which limits changes were left out, empty for none."""
    reasons = [text for bar, text in BARRED.items() if bar in found.barred]
    return f"Left out, as beyond the limits: changes with {' or '.join(reasons)}." if reasons else ""


def verdict(advice: Advice) -> str:
    """Say which of several symptoms a change helps and which it worsens, empty for a single one."""
    if len(advice.effects) < 2:
        return ""
    helped = [SYMPTOMS[effect.symptom].label for effect in advice.effects if effect.helps]
    harmed = [SYMPTOMS[effect.symptom].label for effect in advice.effects if effect.harms]
    said = [f"{verb} {', '.join(names)}" for verb, names in (("helps", helped), ("worsens", harmed)) if names]
    return "; ".join(said) or "neither helps nor worsens what was felt"


def effect_texts(advice: Advice, target: Target, units: ShopUnits) -> tuple[str, ...]:
    """Say what a change does to every figure asked about, what else moves most, and what of the rebound."""
    marks = list(dict.fromkeys(effect.figure for effect in advice.effects))
    if (advice.first or advice.leaves_target) and "sag_fraction" not in marks:
        marks.insert(0 if advice.first else len(marks), "sag_fraction")
    besides = advice.side_figure if advice.side >= _TOLD and advice.side_figure not in marks else None
    told = (
        verdict(advice),
        *(_moved(advice, mark, units) for mark in marks),
        "" if besides is None else f"besides: {_moved(advice, besides, units)}",
        f"that takes the sag further from its target of {target_text(target)}"
        if advice.leaves_target
        else "",
        _words_rebound(advice),
    )
    return tuple(text for text in told if text)


def _words_rebound(advice: Advice) -> str:
    if advice.figure != "critical_damping" or not math.isfinite(advice.rebound):
        return rebound_text(advice.rebound).partition(" (")[0]
    # Here the clicks are meant to stay: that is what helps.
    return f"rebound left as it is: {(1 - 1 / advice.rebound) * 100:.0f} % less of critical than before"


def short_effect(advice: Advice, target: Target) -> str:
    """Say in a few words what a change does."""
    if advice.first:
        return f"brings the sag to {target_text(target)}"
    return verdict(advice) or f"{MARKS[advice.figure][0]}{_percent(advice, advice.figure)}"


def cautions_text(
    advice: Advice,
    cautions: Iterable[Caution],
    units: ShopUnits,
    outside: float,
    fork: bool,
    typed: Mapping[str, Raw],
) -> list[str]:
    """Return what to mind with the hand about to do a change, then every caution of the job with it.

    `typed` is the setup as it stands in the job with the change in it.
    """
    texts = [caution_text(caution, units, outside, fork, typed) for caution in cautions]
    return [spoken(CAUTIONS[advice.turned], fork), *texts]


def rebound_text(ratio: float) -> str:
    """Say what a ratio of critical damping asks of the rebound, empty where there is none."""
    if not math.isfinite(ratio):
        return ""
    percent = round(abs(ratio - 1) * 100)
    if not percent:
        return "rebound as it is"
    return f"rebound about {percent} % {'slower (more damping)' if ratio > 1 else 'faster (less damping)'}"


def unavailable(setup: Setup) -> str:
    """Say what the hardware does not let anybody change."""
    spring = setup.spring
    if isinstance(spring, Coil):
        return STAGES if spring.stage_rate is not None else WOUND
    missing = ["positive"] if not float(spring.positive_spacer_volume) > 0 else []
    each = getattr(spring.negative, "spacer_volume", None)
    if each is not None and not float(each) > 0:
        missing.append("negative")
    if missing:
        return f"Type the volume of one {' and one '.join(missing)} spacer to have them tried as well."
    return "There is no negative spring to change." if isinstance(spring.negative, NoNegative) else ""


_SAME_PRELOAD = 1e-9
_TOLD = 0.01
"""Share from which a side effect is told."""
_NAMES: Mapping[Turned, str] = {
    "pressure": "pressure",
    "rate": "spring",
    "preload": "preload",
    "positive_spacers": "positive spacers",
    "negative_spacers": "negative spacers",
    "negative_pressure": "negative pressure",
    "bumper": "bumper squeezed flat",
}


def typed_value(turned: Turned, setup: Setup, units: ShopUnits, outside: float) -> str:
    """Return what a change turns as it stands in a setup, in the shop's units, pressures gauge."""
    spring = setup.spring
    match turned:
        case "bumper":
            return units.show(math.nan if setup.bumper is None else float(setup.bumper.force), Measure.FORCE)
        case "rate" | "preload":
            measure = Measure.SPRING_RATE if turned == "rate" else Measure.TRAVEL
            return units.show(float(getattr(spring, turned)), measure)
        case "pressure":
            return units.show(gauge(float(getattr(spring, turned)), outside), Measure.PRESSURE)
        case "positive_spacers":
            return units.show(float(getattr(spring, turned)), Measure.COUNT)
    inside = float(getattr(getattr(spring, "negative", None), turned.removeprefix("negative_")))
    if turned == "negative_spacers":
        return units.show(inside, Measure.COUNT)
    return units.show(gauge(inside, outside), Measure.PRESSURE)


def _moved(advice: Advice, mark: Mark, units: ShopUnits) -> str:
    label, measure = MARKS[mark]
    was, then = (getattr(feel, mark) for feel in (advice.before, advice.after))
    percent = _percent(advice, mark).strip()
    moved = f"{label} {units.plain(was, measure)} to {units.show(then, measure)}"
    return f"{moved} ({percent})" if percent else moved


def _percent(advice: Advice, mark: Mark) -> str:
    """Write the share by which a figure moves, nothing where it was nothing before."""
    share = advice.before.share_to(advice.after, mark)
    return f" {share * 100:+.0f} %" if math.isfinite(share) else ""


OF_ONE_SPRING = (
    "mass", "free_length", "solid_length", "rated_stroke", "wire_diameter", "outer_diameter", "mean_diameter",
    "active_coils", "total_coils", "ends", "material", "grade",
)  # fmt: skip
"""What is measured on one coil and says nothing of another."""


def advised(
    mine: JobAnswer,
    index: int,
    symptoms: tuple[Symptom, ...],
    units: ShopUnits,
    theirs: JobAnswer | None = None,
    their_index: int = 0,
) -> Advised | None:
    """Return what to change at one end, every promise that of the values written in the shop's units.

    `unbalanced` needs the other end's answer: without it the rest is looked at, and None where nothing is.
    """
    asked = tuple(one for one in symptoms if one != "unbalanced" or theirs is not None)
    return _advised(mine, index, asked, units.name, theirs, their_index) if asked else None


@lru_cache(maxsize=16)
def _advised(
    mine: JobAnswer,
    index: int,
    symptoms: tuple[Symptom, ...],
    units: str,
    theirs: JobAnswer | None,
    their_index: int,
) -> Advised:
    other = None if theirs is None else OtherWheel(theirs.case, their_index)
    return advise(mine.case, index, symptoms, other, _writer(mine, index, units_named(units)))


def units_named(name: str) -> ShopUnits:
    """Return a habit of units by its name."""
    return next(units for units in ALL if units.name == name)


def _writer(mine: JobAnswer, index: int, units: ShopUnits) -> Writer:
    """Return what types a change into the setup of a job and reads it back, as anybody who opens it will."""
    typed, before = mine.job.setups[index], mine.answer.setups[index].setup
    outside, leverage = float(mine.answer.shop.pressure), str(mine.job.get(("frame", "leverage", "kind")))

    def write(trial: Trial) -> Setup | None:
        found = Findings(Spelling(Tree({}), {}))
        sections = read_setups((with_change(typed, before, trial, units, outside),), leverage, found)
        return None if found.faults else setup_of(sections[0], outside)

    return write


@lru_cache(maxsize=16)
def cautions_of(mine: JobAnswer, advice: Advice) -> tuple[Caution, ...]:
    """Return every caution that the setup would get with a change in it, those about the frame first."""
    found = answer(replace(mine.case, setups=(advice.setup,), ride=None))
    return (*found.cautions, *found.setups[0].cautions)


@dataclass(frozen=True, slots=True)
class SagMeasured:
    """A measured sag outside of its band: the row that says so, and what it tells, None for nothing.

    `gauge_off` is whether the pressure was off as well, which then comes before the sag.
    """

    row: MeasuredRow
    gauge_off: bool
    told: ByMeasuredSag | None


@lru_cache(maxsize=8)
def sag_measured(mine: JobAnswer, index: int) -> SagMeasured | None:
    """Return what a measured sag says of a setup where it lies outside of its band, else None."""
    if index != setup_on_bike(mine.job):
        return None
    rows = measured_rows(mine)
    row = next((one for one in rows if one.key == "sag" and one.verdict in ("below", "above")), None)
    if row is None:
        return None
    if gauge_is_off(rows):
        return SagMeasured(row, True, None)
    try:
        told = by_measured_sag(mine.case, mine.answer.setups[index].setup, row.measured, row.of)
    except Unfit:
        told = None
    return SagMeasured(row, False, told)


def with_change(setup: Tree, before: Setup, change: Advice | Trial, units: ShopUnits, outside: float) -> Tree:
    """Return a setup as typed with a change in it, in the shop's units; `outside` is ambient [Pa].

    `before` is the same setup with its settings in place. What is changed is taken as typed, the rest as far
    confirmed as it was.
    """
    found: dict[str, Raw] = dict(setup)
    turned, after = change.turned, change.setup
    is_air = isinstance(after.spring, Air)
    setting: Turned = "pressure" if is_air else "rate"
    if is_air or "stages" not in setup:
        found[setting] = typed_value(setting, after, units, outside)
    if turned == "rate":
        for key in OF_ONE_SPRING:
            found.pop(key, None)
    if turned == "preload" or (turned == "rate" and _is_wound(before, after)):
        found |= _preload(setup, after, units, outside)
    elif turned not in (setting, "rate"):
        key = "bumper_force" if turned == "bumper" else turned
        text = typed_value(turned, after, units, outside)
        found[key] = int(text) if turned.endswith("spacers") else text
    return with_list(found, (key for key in listed(setup) if found.get(key) == setup[key]))


def _is_wound(before: Setup, after: Setup) -> bool:
    """Return whether a change of the spring comes with another preload."""
    was, then = before.spring, after.spring
    assert not isinstance(was, Air)
    assert not isinstance(then, Air)
    return abs(float(then.preload) - float(was.preload)) > _HAIR


_HAIR = 1e-9


def _preload(setup: Tree, after: Setup, units: ShopUnits, outside: float) -> dict[str, Raw]:
    coil = after.spring
    assert not isinstance(coil, Air)
    if "preload_turns" in setup and coil.thread_pitch:
        return {"preload_turns": round(float(coil.preload) / coil.thread_pitch, 2)}
    return {"preload": typed_value("preload", after, units, outside)}


_KEYS = {
    "sag_fraction": "sag_fraction",
    "starting_wheel": "starting_wheel_n",
    "support_50": "support_50",
    "bottom_ratio": "bottom_ratio",
    "end_ramp": "end_ramp",
    "energy_from_sag": "energy_from_sag_j",
    "natural_frequency": "natural_frequency_hz",
    "critical_damping": "critical_damping_n_s_per_m",
}
"""The key of each figure, as in the answer to a job: sag and breakaway force there, the rest in `riding`."""


class _Ridden(NamedTuple):
    """The setup that was ridden: its end, that end's answer and its place there."""

    wheel: Wheel
    there: JobAnswer
    place: int

    @property
    def outside(self) -> float:
        """Ambient pressure [Pa] of the shop."""
        return float(self.there.answer.shop.pressure)


def advice_text(source: str, words: Sequence[str], name: str | None, *, as_json: bool) -> str:
    """Return what to change on a setup of a job file for what was felt; raises `Unanswered`."""
    bike, asked = answered_file(source), {new_word(word) for word in words}
    symptoms = tuple(symptom for symptom, said in SYMPTOMS.items() if said.word in asked)
    ridden = _ridden(bike, name)
    other = bike.at("front" if ridden.wheel == "rear" else "rear") if bike.front is not None else None
    if "unbalanced" in symptoms and other is None:
        raise refused("symptom", "unbalanced takes two ends", "use a job with a front beside the rear")
    found = advised(ridden.there, ridden.place, symptoms, USUAL, other)
    assert found is not None
    told = _Told(ridden, bike, symptoms, found)
    if as_json:
        return json.dumps(_object(told), allow_nan=False) + "\n"
    return "\n".join(_lines(told)) + "\n"


class _Told(NamedTuple):
    """The advice for the setup that was ridden."""

    ridden: _Ridden
    bike: JobAnswer
    symptoms: tuple[Symptom, ...]
    found: Advised

    @property
    def sag_first(self) -> list[str]:
        """Why the sag has to be put right first, and what does it."""
        there, place = self.ridden.there, self.ridden.place
        said = sag_first(self.found, sag_measured(there, place), USUAL, self.ridden.outside)
        return [spoken(text, there.answer.frame.fork) for text in said]

    def cautions(self, advice: Advice) -> tuple[Caution, ...]:
        """Every caution that the job gets with a change in it."""
        return cautions_of(self.ridden.there, advice)

    def typed(self, advice: Advice) -> Tree:
        """Return the setup as it stands in the job with a change in it."""
        before = self.ridden.there.job.setups[self.ridden.place]
        return with_change(before, self.found.setup, advice, USUAL, self.ridden.outside)


def _ridden(bike: JobAnswer, name: str | None) -> _Ridden:
    """Return the setup of that name, the first of all where none is named."""
    ends = WHEELS if bike.front is not None else WHEELS[:1]
    answers = [(end, there) for end in ends if (there := bike.at(end)) is not None]
    seats = [
        _Ridden(end, there, place) for end, there in answers for place in range(len(there.answer.setups))
    ]
    named = [seat for seat in seats if name in (None, _name(seat))]
    if not named:
        known = ", ".join(f'"{brief(_name(seat))}"' for seat in seats)
        what = f'no setup is named "{brief(name or "")}"'
        raise refused("setup", what, f"--setup with one of {known} is accepted")
    return named[0]


def _name(seat: _Ridden) -> str:
    return seat.there.answer.setups[seat.place].name


def _lines(told: _Told) -> list[str]:
    ridden, found = told.ridden, told.found
    which = f"{ridden.wheel} " if told.bike.front is not None else ""
    fork = ridden.there.answer.frame.fork
    said = [SYMPTOMS[symptom] for symptom in told.symptoms]
    felt = ", ".join(one.label for one in said)
    lines = [f"After the ride, {which}{brief(_name(ridden))}: {felt}", *(f"  {one.means}" for one in said)]
    lines += [f"  {text}" for text in told.sag_first]
    if not found.settles:
        lines.append(f"  {unsettled(found)}")
    for place, advice in enumerate(found.changes):
        lines.append(f"  {place + 1}. {change_text(advice, found.setup, USUAL, ridden.outside)}")
        cautions = cautions_text(
            advice, told.cautions(advice), USUAL, ridden.outside, fork, told.typed(advice)
        )
        told_of = (spoken(text, fork) for text in effect_texts(advice, found.target, USUAL))
        effects = (*told_of, *(f"Caution: {text}" for text in cautions))
        lines += [f"     {text}" for text in effects]
    if not found.settles:
        return lines
    if not any(not advice.first for advice in found.changes):
        nothing = NOTHING_APART if told.symptoms == ("unbalanced",) else NOTHING
        lines.append(f"  {spoken(nothing, fork)}")
    lines += [f"  {text}" for text in (spoken(left_out(found), fork), unavailable(found.setup)) if text]
    for name, ratio in _advice_rebound(ridden):
        lines.append(f"  With {brief(name)} in its place: {rebound_text(ratio)}")
    return [*lines, f"  {spoken(PRACTICE, fork)}"]


def _advice_rebound(ridden: _Ridden) -> list[tuple[str, float]]:
    """Return by how much rebound damping changes when each other setup of the wheel goes in."""
    setups = ridden.there.answer.setups
    here = float(setups[ridden.place].riding.critical_damping)
    ratios = [(s.name, rebound_change(here, float(s.riding.critical_damping))) for s in setups]
    others = (pair for place, pair in enumerate(ratios) if place != ridden.place)
    return [pair for pair in others if number(pair[1]) is not None]


def _object(told: _Told) -> dict[str, Any]:
    found = told.found
    turns = [MEANINGS[symptom].rebound for symptom in told.symptoms if symptom in MEANINGS]
    return {
        "format": 1,
        "title": told.bike.job.title,
        "end": told.ridden.wheel,
        "setup": _name(told.ridden),
        "symptoms": [SYMPTOMS[symptom].word for symptom in told.symptoms],
        "settles": found.settles,
        "target": {"sag_fraction": number(found.target.sag), "of": found.target.of},
        "sag_first": told.sag_first,
        "now": _feel(found.now),
        "rebound_damping": next((turn for turn in turns if turn), None),
        "changes": [_change(advice, told) for advice in found.changes],
        "left_out_for": sorted(found.barred),
        "rebound_ratio_to": dict(_advice_rebound(told.ridden)),
    }


def _change(advice: Advice, told: _Told) -> dict[str, Any]:
    ridden, found = told.ridden, told.found
    before = ridden.there.job.setups[ridden.place]
    typed = told.typed(advice)
    fork = ridden.there.answer.frame.fork
    return {
        "text": change_text(advice, found.setup, USUAL, ridden.outside),
        "turned": advice.turned,
        "more": advice.more,
        "brings_sag_to_target": advice.first,
        "takes_sag_off_target": advice.leaves_target,
        # What to write into the setup's table of the job file, and what to take out of it.
        "write": {key: raw for key, raw in typed.items() if before.get(key) != raw},
        "take_out": [key for key in before if key not in typed],
        "figure": _KEYS[advice.figure],
        "effect_fraction": number(advice.effect),
        "effects": [
            {
                "symptom": SYMPTOMS[effect.symptom].word,
                "figure": _KEYS[effect.figure],
                "effect_fraction": number(effect.share),
                "helps": effect.helps,
                "worsens": effect.harms,
            }
            for effect in advice.effects
        ],
        "side_figure": None if advice.side_figure is None else _KEYS[advice.side_figure],
        "side_fraction": number(advice.side),
        "rebound_ratio": number(advice.rebound),
        "then": _feel(advice.after),
        "caution": spoken(CAUTIONS[advice.turned], fork),
        "cautions": [
            {"code": caution.code, "text": caution_text(caution, USUAL, ridden.outside, fork, typed)}
            for caution in told.cautions(advice)
        ],
    }


def _feel(feel: Feel) -> dict[str, float | None]:
    return {key: number(getattr(feel, mark)) for mark, key in _KEYS.items()}
