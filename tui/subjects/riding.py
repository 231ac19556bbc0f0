"""How setups ride, each against the first: what a rider feels of each figure."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from physics.answer import SetupAnswer
from tui.job.cautions import STATES
from tui.job.figures import Figure, figure_named, read_figure
from tui.job.tree import brief
from tui.kit.document import Document, Heading, Labelled, Paragraph
from tui.shop_units import ABSENT, Measure, ShopUnits
from tui.subjects.advice import rebound_text, rebounds

ALIKE = 0.03
"""Share by which two figures may differ and still be told as alike: common practice, no source."""


class _Topic(NamedTuple):
    """One thing a rider feels: how its figure is told, and what more or less of it means.

    `told` holds the number; the difference is told as a share unless `in_units`.
    """

    label: str
    told: str
    more: str
    less: str
    in_units: bool = False


_TOPICS: Mapping[str, _Topic] = {
    "starting_wheel": _Topic("Start", "the wheel starts to move at {}",
        "more of a small bump reaches the rider", "less of a small bump reaches the rider", in_units=True),
    "support_50": _Topic("Middle", "halfway in it holds {} the load",
        "more to push against in corners", "less to push against in corners"),
    "end_ramp": _Topic("Ramp", "the last fifth of the travel adds {} the force of the fifth before",
        "more of the force comes just before the end", "less of the force comes just before the end"),
    "bottom_wheel_force": _Topic("End", "it takes {} at the wheel to use all the travel",
        "bottoms less often", "bottoms more often"),
    "natural_frequency": _Topic("Bounce", "natural frequency {}",
        "answers more quickly", "answers more slowly"),
    "mass": _Topic("Weight", "the spring weighs {}", "more to carry", "less to carry", in_units=True),
}  # fmt: skip
"""By the name of its figure."""


def document(setups: Sequence[SetupAnswer], units: ShopUnits) -> Document:
    """Return how the setups ride, each against the first."""
    title = "How it rides"
    if len(setups) > 1:
        alike = f"alike: within {units.show(ALIKE, Measure.FRACTION)}"
        title = f"How they ride, against {brief(setups[0].name)} ({alike})"
    topics = (_compared(figure_named(name), topic, setups, units) for name, topic in _TOPICS.items())
    told = [topic for topic in topics if topic.text]
    # What each setup asks of the rebound damping against the first.
    changes = rebounds(setups, 0)
    if asks := [f"{rebound_text(ratio)} with {brief(setup.name)}" for _, setup, ratio in changes]:
        clicks = "How many clicks that is, the damper's maker knows."
        told.append(Labelled("Damping", f"{'; '.join(asks)}. {clicks}"))
    states = (f"{brief(one.name)}: {STATES[one.state]}." for one in setups if one.state != "ok")
    return Document((Heading(title), *told, *map(Paragraph, states)))


def _compared(figure: Figure, topic: _Topic, setups: Sequence[SetupAnswer], units: ShopUnits) -> Labelled:
    """Return a topic over all setups that have its figure, without a text where none has."""
    told: list[str] = []
    first = read_figure(figure, setups[0])
    for setup in setups:
        here = read_figure(figure, setup)
        number = units.show(here, figure.measure)
        if number == ABSENT:
            continue
        number = number if units.unit(figure.measure) else f"{number} times"
        said = number if told else topic.told.format(number)
        whose = f" with {brief(setup.name)}" if len(setups) > 1 else ""
        is_apart = setup is not setups[0] and math.isfinite(first) and first > 0
        told.append(said + whose + (_verdict(figure.measure, topic, first, here, units) if is_apart else ""))
    return Labelled(topic.label, f"{'; '.join(told)}." if told else "")


def _verdict(measure: Measure, topic: _Topic, first: float, here: float, units: ShopUnits) -> str:
    """Say how far a figure is from the first setup's and what that means."""
    share = here / first - 1
    if abs(share) <= ALIKE:
        return ", alike"
    size = f"{round(abs(share) * 100)} %"
    if topic.in_units:
        # The difference of what is shown, so that the sheet adds up.
        apart = abs(float(units.plain(here, measure)) - float(units.plain(first, measure)))
        size = f"{apart:.{units.writings[measure].digits}f} {units.unit(measure)}"
    return f", {size} more: {topic.more}" if share > 0 else f", {size} less: {topic.less}"
