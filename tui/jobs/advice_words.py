"""A change that is advised, in words: what to turn, what it does, what else it does, and what it asks for."""

from __future__ import annotations

import math
from collections.abc import Mapping

from physics.advise import Advice
from physics.advise_changes import Turned
from physics.advise_feel import Mark
from physics.case import Air, Coil, NoNegative, Setup
from tui.shop_units import Measure, ShopUnits, gauge

MARKS: Mapping[Mark, tuple[str, Measure]] = {
    "sag_fraction": ("sag", Measure.FRACTION),
    "starting_wheel": ("start at the wheel", Measure.FORCE),
    "support_50": ("half-travel support", Measure.RATIO),
    "bottom_ratio": ("end over load", Measure.RATIO),
    "end_ramp": ("end ramp", Measure.RATIO),
    "energy_from_sag": ("work from sag to stop", Measure.ENERGY),
    "natural_frequency": ("swings", Measure.FREQUENCY),
    "critical_damping": ("critical damping", Measure.DAMPING),
}
"""Name and measure of every figure that a complaint speaks of."""
PRACTICE = (
    "Which complaint speaks of which figure, and how far a step goes, is common practice, no source. First "
    "comes what moves its figure most for the largest share by which anything else moves. Never advised: "
    "what is above the label's limit, or a coil that would not fit."
)
REBOUND = (
    "Critical damping at the shaft is 2 times the root of wheel rate times mass, times the leverage squared, "
    "all at sag. The same share of it takes rebound damping in the same ratio. How many clicks that is, "
    "only the damper's maker knows."
)
UNSETTLED = (
    "The wheel does not settle under the rider: solve its rate or pressure for the target sag first, then "
    "there is a ride to speak of."
)
STAGES = "A coil in stages has no one rate to go up or down from; its stages and how it ramps stay as wound."
WOUND = "How a coil ramps is wound into it: no setting changes that."
NOTHING = "No one step within the limits of this shock helps by 1 % or more."
NOTHING_APART = "No one step brings this end nearer to the other in what can be set here."
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
        "Spring and all pressure off the shock before its bumper is reached; eye protection on, the maker's "
        "manual first."
    ),
}
"""What to mind with the hand about to do it."""


def change_text(advice: Advice, before: Setup, units: ShopUnits, outside: float) -> str:
    """Say what to turn, from what to what, and the pressure that goes with it; `outside` is ambient [Pa]."""
    kept = ""
    if isinstance(advice.setup.spring, Air) and advice.turned not in ("pressure", "bumper"):
        kept = f", then {typed_value('pressure', advice.setup, units, outside)} for the same sag"
    was, then = (typed_value(advice.turned, setup, units, outside) for setup in (before, advice.setup))
    was = was.split(" ")[0]
    return f"{_NAMES[advice.turned]} {was} to {then}{kept}"


def effects(advice: Advice, units: ShopUnits) -> tuple[str, ...]:
    """Say what a change does to its figure, what else moves most, and what becomes of the rebound."""
    besides = f"besides: {_moved(advice, advice.side_figure, units)}" if advice.side >= _TOLD else ""
    told = (_moved(advice, advice.figure, units), besides, _rebound(advice))
    return tuple(text for text in told if text)


def _rebound(advice: Advice) -> str:
    if advice.figure != "critical_damping":
        return rebound_text(advice.rebound).partition(" (")[0]
    # Here the clicks are meant to stay: that is what helps.
    return f"rebound left as it is: {(1 - 1 / advice.rebound) * 100:.0f} % less of critical than before"


def short_effect(advice: Advice) -> str:
    """Say by which share a change moves its figure."""
    return f"{MARKS[advice.figure][0]}{_percent(advice, advice.figure)}"


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
