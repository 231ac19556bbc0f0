"""Changes to a setup for what the rider felt: the setting, its effect, its side effects, its cautions."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import combinations
from typing import Any

from physics.advise import (
    ALIKE,
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
from physics.answer import SetupAnswer
from physics.bench import answer
from physics.case import Air, Coil, NoNegative, Setup, Target
from physics.changes import ByMeasuredSag, Mark, Trial, Turned, by_measured_sag, settings
from physics.faults import Caution, Unfit
from physics.frozen import NamedTuple
from physics.inputs import SETUP_INPUTS
from physics.knobs import Grain
from physics.offered import Bar
from tui.job.answer import JobAnswer, answer_job
from tui.job.case import setup_of
from tui.job.cautions import caution_texts
from tui.job.choices import SYMPTOMS, new_word, symptoms_of
from tui.job.faults import Findings, Spelling, UnusableJob
from tui.job.figures import figure_named
from tui.job.job import listed, setup_on_bike, with_list
from tui.job.reading import read_setups
from tui.job.tree import Raw, Tree, brief
from tui.job.typed import SOLVE
from tui.job.wheels import spoken, with_wheel_job
from tui.kit.document import Block, Document, Heading, Paragraph, SetupName, plain_lines
from tui.kit.roles import Role
from tui.shop_units import USUAL, Measure, ShopUnits, gauge, number
from tui.subjects.asked import Seat, answered_file, change_object, printed, refused, seat_named, seats
from tui.subjects.measurements import (
    PATH,
    MeasuredRow,
    at_pressure,
    measured_rows,
    pressures_apart,
    verdict_text,
)
from tui.subjects.pumping import NO_LIMIT
from tui.subjects.readings import taken_into

LABELS: Mapping[Mark, str] = {
    "sag_fraction": "sag", "starting_wheel": "breakaway force (wheel)", "support_50": "mid-stroke support",
    "bottom_ratio": "bottom-out ratio", "end_ramp": "ramp-up", "energy_from_sag": "energy from sag to stop",
    "natural_frequency": "natural frequency", "critical_damping": "critical damping",
}  # fmt: skip
"""What every figure that a symptom speaks of is called here."""
PRACTICE = (
    "Figures of the riding curve: slow up to sag, then fast; sag and breakaway force are slow. They are "
    "calculated from the values as written here. Which figure belongs to which symptom, and the step sizes, "
    "are rules of thumb. First: most effect on those figures for the least change elsewhere; changes that "
    "take the sag off a typed target come last. Not offered: less than 3 %, which counts as the same. Never "
    "advised: above max pressure, more than 120 bar at full stroke (slow; a fast hit may peak higher), a "
    "rest position of more than 1 mm, or a coil that does not fit."
)
REBOUND = (
    "Critical damping at the shaft = 2 x root(wheel rate x mass) x leverage squared, at sag. For the same "
    "damping ratio scale rebound damping with it. For the number of clicks see the damper maker."
)
UNSETTLED = "No sag yet: solve rate or pressure for the target sag first."
OTHER_UNSETTLED = "The other end has no sag: solve its rate or pressure for its target sag first."
STAGES = "A progressive coil has no single rate to change."
WOUND = "A coil's ramp-up is fixed; no setting changes it."
NOTHING = "No {}single step within this shock's limits helps by 3 % or more."
NOTHING_TOGETHER = "No {}single step within this shock's limits helps the complaints together by 3 % or more."
NOTHING_APART = "No {}single step brings front and rear closer by 3 % or more."
_SLIGHT = "Not worth it: less than 3 %, or as much harm as good:"
_MOST_SLIGHT = 3
"""Changes not worth making that are told."""
_OPPOSITE = '"{}" and "{}" ask for opposite changes.'
_SET_FIRST = "First set {} on the bike, where the gauge read {}. The changes below start from that setting."
BARRED: Mapping[Bar, str] = {
    "label": "more than max pressure",
    "gas_law": "more than 120 bar at full stroke, slow, outside the tested air model",
    "rest": "a rest position of more than 1 mm",
}
"""What a change was left out for."""
_OPENED = (
    "Let all air out of every chamber before opening. If the shock stays compressed, stop: pressure is "
    "trapped. Eye protection; maker's manual first."
)
_BELOW_LABEL = "Never above max pressure. "
_PUMPED = f"{_BELOW_LABEL}Eye protection; maker's manual first."
CAUTIONS: Mapping[Turned, str] = {
    "pressure": _PUMPED,
    "negative_pressure": _PUMPED,
    "rate": "Back off the collar before changing the spring. Eye protection; maker's manual first.",
    "preload": "Stay within the maker's preload turns: too few rattle, too many coil-bind.",
    "positive_spacers": _OPENED,
    "negative_spacers": _OPENED,
    "bumper": "Only if the maker has such a bumper. Remove the spring and all pressure first. Eye "
    "protection; maker's manual first.",
}
"""What to mind with the hand about to do it."""


SETTINGS: Mapping[str, Measure] = {
    "rate": Measure.SPRING_RATE, "preload": Measure.TRAVEL,
    "pressure": Measure.PRESSURE, "negative_pressure": Measure.PRESSURE,
    "positive_spacers": Measure.COUNT, "negative_spacers": Measure.COUNT,
    "positive_volume": Measure.VOLUME, "negative_volume": Measure.VOLUME, "port": Measure.TRAVEL,
}  # fmt: skip
"""What may be turned on a setup, by key of the job file, and how it is written."""
PRESSURES = ("pressure", "negative_pressure")
OF_ONE_SPRING = (
    "mass", "free_length", "solid_length", "rated_stroke", "wire_diameter", "outer_diameter", "mean_diameter",
    "active_coils", "total_coils", "ends", "material", "grade",
)  # fmt: skip
"""What is measured on one coil and does not apply to another."""
_NAMES = {"rate": "spring", "bumper": "bumper fully compressed"}
"""What a change turns, where that is not called as in the job file."""
_READ = {one.name: one.read for one in SETUP_INPUTS}
_SAME_PRELOAD = 1e-9
_TOLD = 0.01
"""Share from which a side effect is told."""
_INDENT = " " * 4
_ARROW = "\N{RIGHTWARDS ARROW}"


def grain_of(units: ShopUnits, outside: float) -> Grain:
    """Return the digits with which settings are written, at an ambient pressure `outside` [Pa]."""
    writings = {name: units.writings[measure] for name, measure in SETTINGS.items()}
    steps = {name: writing.factor * 10.0**-writing.digits for name, writing in writings.items()}
    return Grain(steps, dict.fromkeys(PRESSURES, outside))


def settings_of(setup: Setup, outside: float) -> dict[str, float]:
    """Return the settings of a setup that can be changed, by key [SI], pressures as a gauge shows them."""
    found = {name: _READ[name](setup) for name in SETTINGS}
    known = {name: float(number) for name, number in found.items() if number is not None}
    return {name: gauge(number, outside) if name in PRESSURES else number for name, number in known.items()}


def _typed_value(turned: Turned, setup: Setup, units: ShopUnits, outside: float) -> str:
    """Return the setting of a change as the job stores it, in the shop's units, pressures gauge."""
    if turned == "bumper":
        return units.show(math.nan if setup.bumper is None else float(setup.bumper.force), Measure.FORCE)
    return units.show(settings_of(setup, outside)[turned], SETTINGS[turned])


@lru_cache(maxsize=16)
def advised(
    mine: JobAnswer,
    index: int,
    symptoms: tuple[Symptom, ...],
    units: ShopUnits,
    theirs: JobAnswer | None = None,
    their_index: int = 0,
) -> Advised | None:
    """Return the changes at one wheel, all effects calculated with the values written in the shop's units.

    `unbalanced` needs the other wheel's answer: without it only other symptoms count; None without any.
    """
    typed, before = mine.job.setups[index], mine.answer.setups[index].setup
    outside, leverage = float(mine.answer.shop.pressure), str(mine.job.get(("frame", "leverage", "kind")))

    def write(trial: Trial) -> Setup | None:
        """Write a change into the setup of the job and read it back, as a job that is opened is read."""
        found = Findings(Spelling(Tree({}), {}))
        sections = read_setups((with_change(typed, before, trial, units, outside),), leverage, found)
        return None if found.faults else setup_of(sections[0], outside)

    asked = tuple(one for one in symptoms if one != "unbalanced" or theirs is not None)
    other = None if theirs is None else OtherWheel(theirs.case, their_index)
    firm = not mine.job.is_unconfirmed(("target", "sag"))
    return advise(mine.case, index, asked, other, write, firm=firm) if asked else None


def with_change(setup: Tree, before: Setup, change: Advice | Trial, units: ShopUnits, outside: float) -> Tree:
    """Return a setup as typed with a change in it, in the shop's units; `outside` is ambient [Pa].

    `before` is the same setup with its settings in place. What is changed is taken as typed, the rest as far
    confirmed as it was.
    """
    found: dict[str, Raw] = dict(setup)
    turned, after = change.turned, change.setup
    setting: Turned = "pressure" if isinstance(after.spring, Air) else "rate"
    if setting == "pressure" or "stages" not in setup:
        found[setting] = _typed_value(setting, after, units, outside)
    if turned == "rate":
        for key in OF_ONE_SPRING:
            found.pop(key, None)
    if turned == "preload" or (turned == "rate" and _is_wound(before, after)):
        turns = _turns(after)
        if turns is not None and "preload_turns" in setup:
            found["preload_turns"] = turns
        else:
            found["preload"] = _typed_value("preload", after, units, outside)
    elif turned not in (setting, "rate"):
        text = _typed_value(turned, after, units, outside)
        key = "bumper_force" if turned == "bumper" else turned
        found[key] = int(text) if turned.endswith("spacers") else text
    return with_list(found, (key for key in listed(setup) if found.get(key) == setup[key]))


def _is_wound(before: Setup, after: Setup) -> bool:
    was, then = before.spring, after.spring
    assert not isinstance(was, Air)
    assert not isinstance(then, Air)
    return abs(float(then.preload) - float(was.preload)) > _SAME_PRELOAD


def _turns(setup: Setup) -> float | None:
    """Return the preload of a coil in turns of its collar, None if no thread pitch is known."""
    coil = setup.spring
    if isinstance(coil, Air) or not coil.thread_pitch:
        return None
    return round(float(coil.preload) / coil.thread_pitch, 2)


@lru_cache(maxsize=16)
def cautions_of(mine: JobAnswer, advice: Advice) -> tuple[Caution, ...]:
    """Return every caution that the setup would get with a change in it, those about the frame first."""
    found = answer(replace(mine.case, setups=(advice.setup,), ride=None))
    return (*found.cautions, *found.setups[0].cautions)


class SagMeasured(NamedTuple):
    """A measured sag outside its band: the row of the measurement, and its meaning, None for none."""

    row: MeasuredRow
    told: ByMeasuredSag | None


@lru_cache(maxsize=8)
def sag_measured(mine: JobAnswer, index: int) -> SagMeasured | None:
    """Return the meaning of a measured sag that lies outside its band, else None."""
    if index != setup_on_bike(mine.job):
        return None
    rows = measured_rows(mine)
    row = next((one for one in rows if one.key == "sag" and one.verdict in ("below", "above")), None)
    if row is None:
        return None
    case, setup = mine.case, mine.answer.setups[index].setup
    if math.isfinite(row.at_gauge):
        case = at_pressure(mine, index, row.at_gauge)
        setup = case.setups[0]
    try:
        told = by_measured_sag(case, setup, row.measured, row.of)
    except Unfit:
        told = None
    return SagMeasured(row, told)


@lru_cache(maxsize=8)
def with_measured_load(bike: JobAnswer, seat: Seat, units: ShopUnits) -> tuple[JobAnswer, Seat] | None:
    """Return the bike under the load that a measured sag outside its band implies, None without one.

    Without a gauge reading the sag was measured at the setting as solved, which therefore is kept as typed.
    """
    measured, job = sag_measured(seat.there, seat.place), seat.there.job
    if measured is None or measured.told is None:
        return None
    edited = taken_into(job, seat.place, measured.told.carried, units)
    if edited is None:
        return None
    if job.get((*PATH, "gauge")) is None:
        key: Turned = "pressure" if isinstance(seat.answer.setup.spring, Air) else "rate"
        if seat.typed.get(key) == SOLVE:
            held = _typed_value(key, seat.answer.setup, units, seat.outside)
            edited = edited.with_value(("setup", seat.place, key), held)
    try:
        loaded = answer_job(with_wheel_job(bike.job, seat.wheel, edited), before=bike)
    except UnusableJob:
        return None
    there = loaded.at(seat.wheel)
    return None if there is None else (loaded, seat._replace(there=there))


class AdviceAsked(NamedTuple):
    """The setup that was ridden, its bike, and the symptoms felt; `other` is the setup at the other wheel."""

    bike: JobAnswer
    seat: Seat
    symptoms: tuple[Symptom, ...]
    units: ShopUnits = USUAL
    other: int = 0

    @property
    def has_measured_load(self) -> bool:
        """Whether the changes are for the load that a measured sag implies instead of the one typed."""
        return with_measured_load(self.bike, self.seat, self.units) is not None

    @property
    def loaded(self) -> AdviceAsked:
        """The same for the bike that the changes start from, under its measured load where there is one."""
        if (there := with_measured_load(self.bike, self.seat, self.units)) is None:
            return self
        return self._replace(bike=there[0], seat=there[1])

    @property
    def found(self) -> Advised | None:
        """The changes, None if there is no answer."""
        bike, seat = self.loaded.bike, self.loaded.seat
        theirs = bike.at("front" if seat.wheel == "rear" else "rear") if bike.front else None
        other = min(self.other, len(theirs.answer.setups) - 1) if theirs is not None else 0
        return advised(seat.there, seat.place, self.symptoms, self.units, theirs, other)

    def typed(self, advice: Advice) -> Tree:
        """Return the setup as it stands in the job with a change in it."""
        seat = self.loaded.seat
        return with_change(seat.typed, seat.answer.setup, advice, self.units, seat.outside)

    def cautions(self, advice: Advice) -> list[tuple[Caution, str]]:
        """Return every caution that the setup would get with a change in it, with its sentence."""
        there = self.loaded.seat.there
        found = cautions_of(there, advice)
        texts = caution_texts(found, there.answer, self.units, self.typed(advice))
        return [*zip(found, texts, strict=True)]


def document(
    asked: AdviceAsked,
    found: Advised,
    chosen: int | None = None,
    ridden: Sequence[str] = (),
    mark: str = " ",
    *,
    felt: bool = True,
) -> Document:
    """Return the changes; only the `chosen` one is described in full and has a `mark`, with None all are.

    `ridden` is the travel each change would have used on the ground of a logged ride, where there is one;
    `felt` is false if nobody has complained, and the changes are what would help if somebody did.
    """
    named = " and ".join(f'"{SYMPTOMS[one].label}"' for one in asked.symptoms)
    head = "What to change" if felt else f"What would help with {named}"
    head += ", best first" * (len(found.changes) > 1)
    blocks: list[Block] = [Heading(head), *_opposites(asked), *_sag_first(asked, found)]
    if not found.settles:
        blocks.append(Paragraph(OTHER_UNSETTLED if math.isfinite(found.now.sag_fraction) else UNSETTLED))
    for place, advice in enumerate(found.changes):
        used = ridden[place] if place < len(ridden) else ""
        in_full = chosen in (None, place)
        blocks += _change(
            asked, found, advice, f"{mark if in_full else ' '} {place + 1}", used, in_full=in_full
        )
    if found.settles:
        if all(advice.to_target for advice in found.changes):
            blocks.append(Paragraph(_nothing(asked, besides=bool(found.changes))))
        blocks += _slight(asked, found)
        reasons = " or ".join(text for bar, text in BARRED.items() if bar in found.barred)
        left_out = f"Left out, beyond the limits: changes with {reasons}." if reasons else ""
        blocks += [Paragraph(text, Role.QUIET) for text in (left_out, _unavailable(found.setup))]
    # Without a ride to speak of the lines end here.
    plain = None if found.settles else ""
    blocks += [*_rebound(asked, plain), Paragraph(PRACTICE, Role.QUIET, plain, gap=True)]
    return Document(tuple(blocks), asked.seat.fork)


def best_text(asked: AdviceAsked, found: Advised) -> str:
    """Return the symptoms with the best change in one line; without one, what helps besides the spring."""
    changes = (change_text(one, found.setup, asked.units, asked.seat.outside) for one in found.changes)
    besides = [text for one in asked.symptoms if (text := SYMPTOMS[one].by_hand)]
    nothing = f"{' and '.join(besides)}; no other setting found that helps" if besides else _NONE_HELPS
    best, first = next(changes, nothing), ""
    if (pressures := _set_first(asked, found)) is not None:
        first = f"first set {pressures[0]} (gauge read {pressures[1]}), then "
    return f"{', '.join(SYMPTOMS[one].label for one in asked.symptoms)}: {first}{best}."


_NONE_HELPS = "nothing found that helps"


def _set_first(asked: AdviceAsked, found: Advised) -> tuple[str, str] | None:
    """Return the pressure that the changes start from and the one read on the bike, None if they agree.

    None also if the sag is corrected first: a change says what is set then.
    """
    seat = asked.loaded.seat
    if found.sag_is_off or seat.place != setup_on_bike(seat.there.job):
        return None
    return pressures_apart(measured_rows(seat.there), asked.units)


def _nothing(asked: AdviceAsked, *, besides: bool) -> str:
    """Say that nothing is worth changing, `besides` the correction of the sag if that is listed."""
    said = NOTHING if len(asked.symptoms) == 1 else NOTHING_TOGETHER
    return (NOTHING_APART if asked.symptoms == ("unbalanced",) else said).format("other " * besides)


def _opposites(asked: AdviceAsked) -> Iterator[Paragraph]:
    """Name the symptoms that ask for opposite changes of one figure: no change helps both."""
    for one, other in combinations((one for one in asked.symptoms if one in MEANINGS), 2):
        mine, theirs = MEANINGS[one], MEANINGS[other]
        if mine.figure == theirs.figure and mine.more != theirs.more:
            text = _OPPOSITE.format(SYMPTOMS[one].label, SYMPTOMS[other].label)
            yield Paragraph(text, Role.CAUTION, plain=text)


def _slight(asked: AdviceAsked, found: Advised) -> Iterator[Paragraph]:
    """List the changes that were left out because they do too little or harm as much as they help."""
    told = found.slight[:_MOST_SLIGHT]
    if told:
        yield Paragraph(_SLIGHT, Role.QUIET)
    for advice in told:
        text = change_text(advice, found.setup, asked.units, asked.seat.outside)
        yield Paragraph(f"{text}: {_felt(advice)}", Role.QUIET, lead="  ")


def _felt(advice: Advice) -> str:
    """Say by how much a change is better or worse for each symptom; those it does not move are left out."""
    said = []
    for effect in advice.effects:
        percent = f"{abs(effect.share) * 100:.1f} %"
        if effect.symptom == "unbalanced" and effect.share >= ALIKE > effect.gain:
            said.append(f"{LABELS[effect.figure]} {percent} closer, other figures further apart")
        elif abs(effect.share) >= _TOLD:
            said.append(
                f"{SYMPTOMS[effect.symptom].label} {percent} {'better' if effect.share > 0 else 'worse'}"
            )
    return ", ".join(said)


def _sag_first(asked: AdviceAsked, found: Advised) -> list[Paragraph]:
    """Say what has to be set first and what brings the sag to its target; nothing if both are right."""
    measured = sag_measured(asked.seat.there, asked.seat.place)
    told = [] if measured is None else list(_of_measured(asked, found, measured))
    if measured is None and (pressures := _set_first(asked, found)) is not None:
        text = _SET_FIRST.format(*pressures)
        told.append(Paragraph(text, Role.CAUTION, plain=text))
    if not found.sag_is_off:
        return told
    settles, change, target = math.isfinite(found.off), found.correction, target_text(found.target)
    now = f"it is {_percent(found.now)}" if settles else "it has no sag"
    lead = f"First bring the sag to {target}: {now}."
    if asked.has_measured_load and settles:
        lead = f"With the measured load the sag is {_percent(found.now)}."
    if change is not None and change in found.changes and (found.firm or not settles):
        reached = change.after.sag_as_aimed
        near = abs(reached - float(found.target.sag)) <= SAG_NEAR
        how = f"{lead} Change 1 {'does it' if near else f'comes nearest, {_percent(change.after)}'}"
        text = change_text(change, found.setup, asked.units, asked.seat.outside)
        # On the screen the change stands right below.
        return [*told, Paragraph(f"{how}.", Role.CAUTION, plain=f"{how}: {text}.")]
    if settles and not (found.firm and change is None):
        text = _aside(asked, found, change)
    else:
        text = f"{lead} No setting within the limits brings it nearer."
    return [*told, Paragraph(text, Role.CAUTION, plain=text)]


def _percent(feel: Feel) -> str:
    return f"{feel.sag_as_aimed * 100:.1f} %"


def _aside(asked: AdviceAsked, found: Advised, change: Advice | None) -> str:
    """Say that a sag is off a target that does not lead the changes, and what the correction would do."""
    lead = f"Sag is {_percent(found.now)}, target {target_text(found.target)}"
    if not found.firm:
        lead += ", typical and not confirmed: confirm or type it"
    if change is None or change in found.changes:
        return f"{lead}."
    text = change_text(change, found.setup, asked.units, asked.seat.outside)
    harmed = ", ".join(SYMPTOMS[effect.symptom].label for effect in change.effects if effect.harms)
    return (
        f"{lead}. {text[0].upper()}{text[1:]} brings it there{f', but worsens {harmed}' if harmed else ''}."
    )


def _of_measured(asked: AdviceAsked, found: Advised, measured: SagMeasured) -> Iterator[Paragraph]:
    row, told, units = measured.row, measured.told, asked.units
    at = "wheel" if row.of == "travel" else "shock"
    band = f"{units.plain(row.low, row.measure)} to {units.show(row.high, row.measure)}"
    sag, target = units.show(row.measured, row.measure), target_text(found.target)
    first = f"First bring the sag to {target} on the bike: " if found.firm else ""
    there = f" at {units.show(row.at_gauge, Measure.PRESSURE)}" if math.isfinite(row.at_gauge) else ""
    text = f"{first}{sag} measured at the {at}{there}, {verdict_text(row)}: expected {band}."
    yield Paragraph(text, Role.CAUTION, plain=text)
    if told is None:
        return
    load, entered = units.shows(Measure.FORCE, told.load, told.entered)
    said = f"With that sag the wheel carries {load}, not {entered}"
    if (trial := told.trial) is not None:
        text = _typed_value(trial.turned, trial.setup, units, asked.seat.outside)
        holding = f"preload {text}" if trial.turned == "preload" else text
        said += f"; {holding} gives {target} with it"
    loaded, pressures = asked.has_measured_load, _set_first(asked, found)
    which = "for that load" if loaded else "for the load as typed"
    start = "" if pressures is None else f" and start from {pressures[0]}: set that first"
    said += f". The changes below are {which}{start}."
    keys = f'To put that load into the job: Space, then r, type "sag {sag}", Enter, Enter.'
    if loaded and found.changes:
        keys += " Enter on a change here puts it in, too."
    yield Paragraph(f"{said} {keys}", Role.CAUTION, plain=said)


def target_text(target: Target) -> str:
    """Return "30 % of travel"."""
    return f"{float(target.sag) * 100:.4g} % of {target.of}"


def _change(
    asked: AdviceAsked, found: Advised, advice: Advice, number: str, used: str, *, in_full: bool
) -> list[Paragraph]:
    seat, units = asked.seat, asked.units
    text = change_text(advice, found.setup, units, seat.outside)
    lead = f"{number} "
    if not in_full:
        moved = _moved_by(advice, advice.figure, units)
        short = _verdict(advice) or f"{LABELS[advice.figure]}{f' {moved}' if moved else ''}"
        effect = f"brings the sag to {target_text(found.target)}" if advice.to_target else short
        return [Paragraph(f"{text}:", lead=lead), Paragraph(effect, Role.QUIET, lead=_INDENT)]
    told = [Paragraph(text, Role.STRONG, f"{number.strip()}. {text}", lead)]
    on_ground = [f"on the logged ground: {used}"] if used else []
    effects = [*on_ground, *_effects(advice, found.target, units)]
    told += (Paragraph(effect, plain=f"   {effect}", lead=_INDENT) for effect in effects)
    cautions = (_caution(asked, found, advice), *(text for _, text in asked.cautions(advice)))
    for said in cautions:
        told.append(Paragraph(said, Role.CAUTION, f"   Caution: {said}", _INDENT, verbatim=True))
    return told


def _caution(asked: AdviceAsked, found: Advised, advice: Advice) -> str:
    """Return what to mind when a change is made, first that no max pressure is known if it needs more."""
    text, after = CAUTIONS[advice.turned], advice.setup.spring
    if isinstance(after, Air) and after.max_pressure is None:
        rises = advice.turned == "negative_pressure" and advice.more
        if rises or settings(advice.setup)[0] > settings(found.setup)[0]:
            text = f"{NO_LIMIT} {text.removeprefix(_BELOW_LABEL)}"
    return spoken(text, asked.seat.fork)


def change_text(advice: Advice, before: Setup, units: ShopUnits, outside: float) -> str:
    """Return the setting, its values before and after, and what is set with it; `outside` is ambient [Pa]."""
    turned, after, kept = advice.turned, advice.setup, ""
    was, then = (_typed_value(turned, setup, units, outside) for setup in (before, after))
    if isinstance(after.spring, Coil):
        count = _turns(after)
        turns = "" if count is None else f"{count:g} turns"
        if turned == "preload" and turns:
            kept = f" ({turns})"
        elif turned == "rate" and _is_wound(before, after):
            preload = _typed_value("preload", after, units, outside)
            kept = f" with preload {preload}{f', {turns}' if turns else ''}"
    elif turned not in ("pressure", "bumper"):
        kept = f", set {_typed_value('pressure', after, units, outside)} for the same sag"
    name = _NAMES.get(turned, turned.replace("_", " "))
    return f"{name} {was.split(' ')[0]} {_ARROW} {then}{kept}"


def _effects(advice: Advice, target: Target, units: ShopUnits) -> list[str]:
    """Say the effect of a change on every figure asked about, its largest side effect and that on rebound."""
    marks = list(dict.fromkeys(effect.figure for effect in advice.effects))
    if (advice.to_target or advice.leaves_target) and "sag_fraction" not in marks:
        marks.insert(0 if advice.to_target else len(marks), "sag_fraction")
    besides = advice.side_figure if advice.side >= _TOLD and advice.side_figure not in marks else None
    further = f"takes the sag further from its target of {target_text(target)}"
    rebound = rebound_text(advice.rebound).partition(" (")[0]
    if advice.figure == "critical_damping" and math.isfinite(advice.rebound):
        # Here the clicks are meant to stay: that is what helps.
        less = (1 - 1 / advice.rebound) * 100
        rebound = f"rebound unchanged: damping ratio {less:.0f} % lower"
    told = (
        _verdict(advice),
        *(_moved(advice, mark, units) for mark in marks),
        "" if besides is None else f"side effect: {_moved(advice, besides, units)}",
        _risks(advice),
        further if advice.leaves_target else "",
        rebound,
    )
    return [text for text in told if text]


def _verdict(advice: Advice) -> str:
    """Say which of several symptoms a change helps and which it worsens; of a single one only the latter."""
    helped = [SYMPTOMS[effect.symptom].label for effect in advice.effects if effect.helps]
    harmed = [SYMPTOMS[effect.symptom].label for effect in advice.effects if effect.harms]
    if len(advice.effects) < 2 and not harmed:
        return ""
    said = [f"{verb} {', '.join(names)}" for verb, names in (("helps", helped), ("worsens", harmed)) if names]
    return "; ".join(said) or "neither helps nor worsens the symptoms"


def _risks(advice: Advice) -> str:
    """Name the symptoms, not felt so far, towards which a change moves the setup."""
    asked = {effect.symptom for effect in advice.effects}
    found = [
        SYMPTOMS[symptom].label
        for symptom, meaning in MEANINGS.items()
        if symptom not in asked
        and (getattr(advice.after, meaning.figure) < getattr(advice.before, meaning.figure)) == meaning.more
        and advice.before.aside_to(advice.after, meaning.figure) > ALIKE
    ]
    return f"could cause: {', '.join(found)}" if found else ""


def _moved(advice: Advice, mark: Mark, units: ShopUnits) -> str:
    """Return a figure before and after a change, and by how much that moves it."""
    figure, by = figure_named(mark), _moved_by(advice, mark, units)
    was, then = (units.plain(getattr(feel, mark), figure.measure) for feel in (advice.before, advice.after))
    unit = figure.unit(units)
    if was == then:
        return f"{LABELS[mark]} {then} {unit}".rstrip() + ", unchanged"
    moved = f"{LABELS[mark]} {was} {_ARROW} {then} {unit}".rstrip()
    return f"{moved} ({by})" if by else moved


def _moved_by(advice: Advice, mark: Mark, units: ShopUnits) -> str:
    """Return by how much a change moves a figure in %, one that is a percentage itself in points."""
    share, measure = advice.before.share_to(advice.after, mark), figure_named(mark).measure
    if measure is Measure.FRACTION:
        points = units.difference(getattr(advice.after, mark), getattr(advice.before, mark), measure)
        return f"{points} points" if points else ""
    digits = 1 if abs(share) < _WHOLE else 0
    return f"{share * 100:+.{digits}f} %" if math.isfinite(share) else ""


_WHOLE = 0.005
"""Share below which a whole number of % would read 0."""


def rebound_text(ratio: float) -> str:
    """Say how a ratio of critical damping changes the rebound, empty without one."""
    if not math.isfinite(ratio):
        return ""
    percent = round(abs(ratio - 1) * 100)
    if not percent:
        return "rebound unchanged"
    return f"rebound about {percent} % {'slower (more damping)' if ratio > 1 else 'faster (less damping)'}"


def _unavailable(setup: Setup) -> str:
    spring = setup.spring
    if isinstance(spring, Coil):
        return STAGES if spring.stage_rate is not None else WOUND
    missing = ["positive"] if not float(spring.positive_spacer_volume) > 0 else []
    each = getattr(spring.negative, "spacer_volume", None)
    if each is not None and not float(each) > 0:
        missing.append("negative")
    if missing:
        one = " and one ".join(missing)
        return f"Type the volume of one {one} spacer in Springs to have spacers among the changes."
    return "There is no negative spring to change." if isinstance(spring.negative, NoNegative) else ""


def rebounds(setups: Sequence[SetupAnswer], here: int) -> list[tuple[int, SetupAnswer, float]]:
    """Return the ratio by which rebound damping changes when each other setup replaces the one `here`."""
    now, found = float(setups[here].riding.critical_damping), list[tuple[int, SetupAnswer, float]]()
    for place, setup in enumerate(setups):
        ratio = rebound_change(now, float(setup.riding.critical_damping))
        if place != here and math.isfinite(ratio):
            found.append((place, setup, ratio))
    return found


def _rebound(asked: AdviceAsked, plain: str | None) -> list[Block]:
    """Return the change of rebound damping for another setup; its lines are `plain` if given."""
    units, seat, load = asked.units, asked.loaded.seat, _rebound_load(asked)
    was, blocks = units.plain(float(seat.answer.riding.critical_damping), Measure.DAMPING), list[Block]()
    for place, setup, ratio in rebounds(seat.there.answer.setups, seat.place):
        then, text = units.show(float(setup.riding.critical_damping), Measure.DAMPING), rebound_text(ratio)
        under = ", under the measured load" if load else ""
        said = f"If {brief(setup.name)} is fitted instead{under}: {text}" if plain is None else plain
        moved = f"{text}: critical damping {was} {_ARROW} {then}"
        blocks += [SetupName(setup.name, place), Paragraph(moved, plain=said, lead=_INDENT, verbatim=True)]
    head = Heading(f"Rebound if another setup is fitted in place of {brief(seat.name)}")
    under_load = [Paragraph(load, plain="")] if load else []
    return [head, *under_load, *blocks, Paragraph(REBOUND, Role.QUIET, plain="")] if blocks else []


def _rebound_load(asked: AdviceAsked) -> str:
    """Return for which load the rebound is calculated, empty if that is the load as typed."""
    measured = sag_measured(asked.seat.there, asked.seat.place)
    if not asked.has_measured_load or measured is None or measured.told is None:
        return ""
    load, entered = asked.units.shows(Measure.FORCE, measured.told.load, measured.told.entered)
    return f"For the measured load, {load} at the wheel; the verdict on Compare is for {entered} as typed."


def symptoms_named(words: Iterable[str]) -> tuple[Symptom, ...]:
    """Return the symptoms that words of the command line name, in the order they are offered, each once."""
    return symptoms_of(tuple(map(new_word, words)))


def command(source: str, words: Sequence[str], name: str | None, *, as_json: bool) -> str:
    """Return the changes to a setup of a job file for the symptoms felt; raises `Unanswered`."""
    bike, symptoms = answered_file(source), symptoms_named(words)
    if not symptoms:
        raise refused("symptom", "not given", "use --symptom with what was felt, or --log with a logged ride")
    seat = seat_named("setup", name or "", seats(bike))
    if "unbalanced" in symptoms and bike.front is None:
        raise refused("symptom", "unbalanced needs front and rear", "use a job with both")
    asked = AdviceAsked(bike, seat, symptoms)
    found, said = asked.found, [SYMPTOMS[symptom] for symptom in symptoms]
    assert found is not None
    if as_json:
        return printed(json_object(asked, found))
    which = f"{seat.wheel} " if bike.front is not None else ""
    title = f"Advice, {which}{brief(seat.name)}: {', '.join(one.label for one in said)}"
    return printed([title, *(f"  {one.means}" for one in said), *plain_lines(document(asked, found))])


def json_object(asked: AdviceAsked, found: Advised) -> dict[str, Any]:
    """Return the changes as plain data, numbers in the unit of their key; null if there is none."""
    turns = [MEANINGS[symptom].rebound for symptom in asked.symptoms if symptom in MEANINGS]
    seat, loaded = asked.seat, asked.loaded.seat
    return {
        "format": 1,
        "title": asked.bike.job.title,
        "end": seat.wheel,
        "setup": seat.name,
        "symptoms": [SYMPTOMS[symptom].word for symptom in asked.symptoms],
        "settles": found.settles,
        "target": {
            "sag_fraction": number(found.target.sag),
            "of": found.target.of,
            "confirmed": found.firm,
        },
        "measured_load": change_object(*(_load(at) for at in (seat, loaded))),
        "sag_first": plain_lines(Document(tuple(_sag_first(asked, found)), seat.fork), ""),
        "now": _feel(found.now),
        "rebound_damping": next((turn for turn in turns if turn), None),
        "changes": [_change_object(asked, found, advice) for advice in found.changes],
        "not_worth_it": [
            {
                "text": change_text(advice, found.setup, asked.units, seat.outside),
                "effects": _effect_objects(advice),
            }
            for advice in found.slight
        ],
        "left_out_for": sorted(found.barred),
        "rebound_ratio_to": {
            setup.name: ratio for _, setup, ratio in rebounds(loaded.there.answer.setups, loaded.place)
        },
    }


def _load(seat: Seat) -> Tree:
    """Return the load as typed, which wheel sets it included."""
    load: Tree = seat.there.job.tree.get("load", Tree({}))
    return load


def _change_object(asked: AdviceAsked, found: Advised, advice: Advice) -> dict[str, Any]:
    seat = asked.seat
    return {
        "text": change_text(advice, found.setup, asked.units, seat.outside),
        "turned": advice.turned,
        "more": advice.more,
        "brings_sag_to_target": advice.to_target,
        "takes_sag_off_target": advice.leaves_target,
        **change_object(seat.typed, asked.typed(advice)),
        "figure": _key(advice.figure),
        "effect_fraction": number(advice.effect),
        "effects": _effect_objects(advice),
        "side_figure": None if advice.side_figure is None else _key(advice.side_figure),
        "side_fraction": number(advice.side),
        "rebound_ratio": number(advice.rebound),
        "then": _feel(advice.after),
        "caution": _caution(asked, found, advice),
        "cautions": [{"code": one.code, "text": text} for one, text in asked.cautions(advice)],
    }


def _effect_objects(advice: Advice) -> list[dict[str, Any]]:
    return [
        {
            "symptom": SYMPTOMS[effect.symptom].word,
            "figure": _key(effect.figure),
            "effect_fraction": number(effect.share),
            "helps": effect.helps,
            "worsens": effect.harms,
        }
        for effect in advice.effects
    ]


def _feel(feel: Feel) -> dict[str, float | None]:
    return {_key(mark): number(getattr(feel, mark)) for mark in LABELS}


def _key(mark: Mark) -> str:
    return f"{mark}{figure_named(mark).ends[0]}"
