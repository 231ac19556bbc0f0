"""The setups of a wheel against the first in words a rider understands, every sentence out of its number."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from physics.advise import rebound_change
from physics.answer import SetupAnswer
from physics.arrays import Values
from tui.jobs.advice_words import rebound_text
from tui.jobs.clean import brief
from tui.jobs.words import STATES
from tui.sheet.model import Line, Part, Said, Section
from tui.shop_units import ABSENT, Measure, ShopUnits

ALIKE = 0.03
"""Share by which two figures may differ and still be told as alike: common practice, no source."""


class _Topic(NamedTuple):
    """One thing a rider feels: what is read off a setup, how it is told, and what more or less of it means.

    `told` holds the number; the difference is told as a share unless `in_units`.
    """

    label: str
    told: str
    measure: Measure
    read: Callable[[SetupAnswer], Values]
    more: str
    less: str
    in_units: bool = False


_TOPICS = (
    _Topic(
        "Start",
        "the wheel starts to move at {}",
        Measure.FORCE,
        lambda s: s.figures.starting_wheel,
        "more of a small bump reaches the rider",
        "less of a small bump reaches the rider",
        in_units=True,
    ),
    _Topic(
        "Middle",
        "halfway in it holds {} the load",
        Measure.RATIO,
        lambda s: s.riding.support_50,
        "more to push against in corners",
        "less to push against in corners",
    ),
    _Topic(
        "Ramp",
        "the last fifth of the travel adds {} the force of the fifth before",
        Measure.RATIO,
        lambda s: s.riding.end_ramp,
        "more of the force comes just before the end",
        "less of the force comes just before the end",
    ),
    _Topic(
        "End",
        "it takes {} at the wheel to use all the travel",
        Measure.FORCE,
        lambda s: s.riding.bottom_wheel_force,
        "bottoms less often",
        "bottoms more often",
    ),
    _Topic(
        "Bounce",
        "natural frequency {}",
        Measure.FREQUENCY,
        lambda s: s.riding.natural_frequency,
        "answers more quickly",
        "answers more slowly",
    ),
    _Topic(
        "Weight",
        "the spring weighs {}",
        Measure.SPRING_MASS,
        lambda s: s.mass,
        "more to carry",
        "less to carry",
        in_units=True,
    ),
)


def riding_section(setups: Sequence[SetupAnswer], units: ShopUnits) -> Section:
    """Return how the setups ride, each against the first."""
    parts: list[Part] = [
        Line(topic.label, told) for topic in _TOPICS if (told := _compared(topic, setups, units))
    ]
    parts += _rebound(setups)
    parts += [Said(f"{brief(setup.name)}: {STATES[setup.state]}.") for setup in setups if setup.state != "ok"]
    if len(setups) == 1:
        return Section("How it rides", tuple(parts))
    alike = f"alike: within {units.show(ALIKE, Measure.FRACTION)}"
    return Section(f"How they ride, against {brief(setups[0].name)} ({alike})", tuple(parts))


def _compared(topic: _Topic, setups: Sequence[SetupAnswer], units: ShopUnits) -> str:
    """Return a topic over all setups that have its figure, empty where none has."""
    told: list[str] = []
    for setup in setups:
        number = _shown(float(topic.read(setup)), topic, units)
        if not number:
            continue
        said = number if told else topic.told.format(number)
        if len(setups) > 1:
            said += f" with {brief(setup.name)}{_verdict(topic, setups[0], setup, units)}"
        told.append(said)
    return f"{'; '.join(told)}." if told else ""


def _shown(si: float, topic: _Topic, units: ShopUnits) -> str:
    shown = units.show(si, topic.measure)
    if shown == ABSENT:
        return ""
    return shown if units.unit(topic.measure) else f"{shown} times"


def _verdict(topic: _Topic, reference: SetupAnswer, setup: SetupAnswer, units: ShopUnits) -> str:
    """Say how far a figure is from the first setup's and what that means; nothing without two figures."""
    first, here = float(topic.read(reference)), float(topic.read(setup))
    if setup is reference or not (math.isfinite(first) and first > 0):
        return ""
    share = here / first - 1
    if abs(share) <= ALIKE:
        return ", alike"
    size = _apart(first, here, topic.measure, units) if topic.in_units else f"{round(abs(share) * 100)} %"
    return f", {size} more: {topic.more}" if share > 0 else f", {size} less: {topic.less}"


def _apart(first: float, here: float, measure: Measure, units: ShopUnits) -> str:
    """Return the difference of what is shown, so that the sheet adds up."""
    writing = units.writings[measure]
    apart = abs(float(units.plain(here, measure)) - float(units.plain(first, measure)))
    return f"{apart:.{writing.digits}f} {writing.unit}"


def _rebound(setups: Sequence[SetupAnswer]) -> Iterator[Line]:
    """Say what each setup asks of the rebound damping against the first."""
    here = float(setups[0].riding.critical_damping)
    changes = [(s.name, rebound_change(here, float(s.riding.critical_damping))) for s in setups[1:]]
    told = [f"{text} with {brief(name)}" for name, ratio in changes if (text := rebound_text(ratio))]
    if told:
        yield Line("Damping", f"{'; '.join(told)}. How many clicks that is, the damper's maker knows.")
