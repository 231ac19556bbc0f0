"""A change that is advised, in words: what to turn, what it does, what else it does, and what it asks for."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from physics.advise import SAG_NEAR, Advice, Advised
from physics.case import Coil, NoNegative, Setup, Target
from physics.changes import Mark, Trial, Turned
from physics.faults import Caution
from physics.offered import Bar
from tui.jobs.fork_words import spoken
from tui.jobs.measured_words import GAUGE_FIRST
from tui.jobs.symptom_words import SYMPTOMS
from tui.jobs.tree import Raw
from tui.jobs.words import caution_text
from tui.shop_units import Measure, ShopUnits, gauge

if TYPE_CHECKING:
    from tui.jobs.advised import SagMeasured

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


def effects(advice: Advice, target: Target, units: ShopUnits) -> tuple[str, ...]:
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
        _rebound(advice),
    )
    return tuple(text for text in told if text)


def _rebound(advice: Advice) -> str:
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
