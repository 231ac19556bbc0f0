"""Ride feel of each setup relative to the baseline: a verdict in a rider's words, then the figures."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from physics.advise import ALIKE
from physics.answer import SetupAnswer
from physics.frozen import NamedTuple
from tui.job.answer import JobAnswer
from tui.job.choices import STATES
from tui.job.figures import Figure, figure_named, has_estimate, read_figure
from tui.job.tree import brief
from tui.kit.document import Document, Heading, Labelled, Paragraph
from tui.kit.roles import Role
from tui.shop_units import ABSENT, Measure, ShopUnits
from tui.subjects.advice import rebound_text, rebounds
from tui.subjects.ordering import not_to_fit
from tui.subjects.pumping import not_to_pump

_SAME_SAG = 0.01
"""Difference in sag, as a share of travel, up to which setups are comparable: rule of thumb."""


class _Topic(NamedTuple):
    """One aspect of ride feel: how its figure is worded, and what more or less of it means.

    `told` holds the number; the difference is told as a share unless `in_units`. `at` is the fraction of
    wheel travel that the figure is at, NaN for the sag; a coil that is solid before that has no such figure.
    """

    label: str
    told: str
    more: str
    less: str
    in_units: bool = False
    at: float = 0.0


_TOPICS: Mapping[str, _Topic] = {
    "starting_wheel": _Topic("Small bumps", "breakaway at the wheel {}",
        "harsher on small bumps", "smoother on small bumps", in_units=True),
    "support_50": _Topic("Corners", "mid-stroke support {} static load",
        "holds up better in corners", "sinks deeper in corners", at=0.5),
    "end_ramp": _Topic("Ramp-up", "last 20 % adds {} the force of the 20 % before",
        "ramps up more", "ramps up less", at=1.0),
    "bottom_wheel_force": _Topic("Big hits", "bottom-out force at the wheel {}",
        "bottoms less easily", "bottoms more easily", at=1.0),
    "natural_frequency": _Topic("Feel", "natural frequency {}",
        "firmer around sag", "softer around sag", at=math.nan),
    "mass": _Topic("Weight", "the spring weighs {}", "heavier", "lighter", in_units=True),
}  # fmt: skip
"""By the name of its figure."""


def document(answered: JobAnswer, units: ShopUnits) -> Document:
    """Return the ride feel of the setups relative to the first, the baseline; the verdict leads."""
    return Document((*verdict(answered, units), *figures_document(answered.answer.setups, units).blocks))


def verdict(answered: JobAnswer, units: ShopUnits) -> tuple[Paragraph, ...]:
    """Return a sentence for each setup: what a rider notices compared with the baseline.

    What must not be fitted, or not be pumped to its pressure, comes first.
    """
    setups = answered.answer.setups
    barred = [_barred(answered, place, units) for place in range(len(setups))]
    first = tuple(
        Paragraph(f"{brief(one.name)}: {why}", Role.CAUTION, verbatim=True)
        for one, why in zip(setups, barred, strict=True)
        if why
    )
    unsettled = tuple(
        Paragraph(f"{brief(one.name)}: {STATES[one.state].sentence}.", Role.CAUTION, verbatim=True)
        for one in setups
        if one.state != "ok"
    )
    base, others = setups[0], [place for place in range(1, len(setups)) if setups[place].state == "ok"]
    if base.state != "ok" or not others:
        return (*first, *unsettled)
    paragraphs = tuple(
        Paragraph(
            f"{brief(setups[place].name)}, against {brief(base.name)}{_IN_THEORY if barred[place] else ''}: "
            f"{_noticed(base, setups[place])}.",
            Role.STRONG,
            verbatim=True,
        )
        for place in others
    )
    return (*first, *paragraphs, *_unequal_sag([setups[place] for place in (0, *others)]), *unsettled)


_IN_THEORY = ", by calculation only"


def _barred(answered: JobAnswer, index: int, units: ShopUnits) -> str:
    """Return why a setup must not be fitted or pumped up, empty if it may be."""
    answer, typed = answered.answer, answered.job.setups[index]
    if why := not_to_fit(answer, index, units, typed):
        return f"do not fit: {why}."
    return not_to_pump(answer, index, units, typed)


def _reaches(setup: SetupAnswer, topic: _Topic) -> bool:
    """Return whether a setup comes to where the figure of a topic is: coil bind may stop it before."""
    at = float(setup.sag.wheel_fraction) if math.isnan(topic.at) else topic.at
    return not at > setup.solid_at + _HAIR


_HAIR = 1e-9
"""Fraction of wheel travel within which a coil that goes solid counts as having come there."""


def _unequal_sag(setups: Sequence[SetupAnswer]) -> tuple[Paragraph, ...]:
    """Return a caution if the sags differ: then the comparison is not of the springs alone."""
    sags = [float(setup.sag.wheel_fraction) for setup in setups]
    if max(sags) - min(sags) <= _SAME_SAG:
        return ()
    told = ", ".join(f"{brief(one.name)} {sag * 100:.1f} %" for one, sag in zip(setups, sags, strict=True))
    return (
        Paragraph(f"Not at the same sag: {told}. Set them to one sag first.", Role.CAUTION, verbatim=True),
    )


def _noticed(base: SetupAnswer, setup: SetupAnswer) -> str:
    shares = {
        topic: _share(figure_named(name), base, setup)
        for name, topic in _TOPICS.items()
        if _reaches(base, topic) and _reaches(setup, topic)
    }
    told = [topic.more if share > 0 else topic.less for topic, share in shares.items() if abs(share) > ALIKE]
    return ", ".join(told) or "rides the same"


def _share(figure: Figure, base: SetupAnswer, setup: SetupAnswer) -> float:
    """Return the relative difference of a figure from the baseline's, NaN if either has none."""
    first = read_figure(figure, base)
    return read_figure(figure, setup) / first - 1 if math.isfinite(first) and first > 0 else math.nan


def figures_document(setups: Sequence[SetupAnswer], units: ShopUnits) -> Document:
    """Return the figures behind the verdict."""
    title = "How it rides"
    if len(setups) > 1:
        same = f"same: within {units.show(ALIKE, Measure.FRACTION)}"
        title = f"Ride, against {brief(setups[0].name)} ({same})"
    topics = (_compared(figure_named(name), topic, setups, units) for name, topic in _TOPICS.items())
    told = [topic for topic in topics if topic.text]
    # The rebound damping each setup needs relative to the first.
    changes = rebounds(setups, 0)
    if asks := [f"{rebound_text(ratio)} with {brief(setup.name)}" for _, setup, ratio in changes]:
        clicks = "For the number of clicks see the damper maker."
        told.append(Labelled("Damping", f"{'; '.join(asks)}. {clicks}"))
    return Document((Heading(title), *told))


def _compared(figure: Figure, topic: _Topic, setups: Sequence[SetupAnswer], units: ShopUnits) -> Labelled:
    """Return a topic for all setups that have its figure, without text if none has."""
    told: list[str] = []
    lead = topic.told
    for setup in setups:
        here = read_figure(figure, setup)
        number = units.show(here, figure.measure)
        if number == ABSENT:
            continue
        whose = f" with {brief(setup.name)}" if len(setups) > 1 else ""
        if not _reaches(setup, topic):
            told.append(f"not reached{whose}: coil bind")
            continue
        if not has_estimate(figure, setup):
            told.append(f"far beyond the tested air model{whose}")
            continue
        said = lead.format(number if units.unit(figure.measure) else f"{number} x")
        lead = "{}"
        is_first = setup is setups[0] or not has_estimate(figure, setups[0])
        is_first = is_first or not _reaches(setups[0], topic)
        apart = "" if is_first else _apart(figure, topic, setups[0], setup, units)
        told.append(f"{said}{whose}{apart}")
    return Labelled(topic.label, f"{'; '.join(told)}." if told else "")


def _apart(figure: Figure, topic: _Topic, base: SetupAnswer, setup: SetupAnswer, units: ShopUnits) -> str:
    """Return the difference of a figure from the baseline's and what it means."""
    share, measure = _share(figure, base, setup), figure.measure
    if not math.isfinite(share):
        return ""
    if abs(share) <= ALIKE:
        return ", same"
    size = f"{round(abs(share) * 100)} %"
    if topic.in_units:
        # The difference of the rounded values, so that the sheet adds up.
        first, here = (float(units.plain(read_figure(figure, one), measure)) for one in (base, setup))
        apart = abs(here - first)
        size = f"{apart:.{units.writings[measure].digits}f} {units.unit(measure)}"
    return f", {size} more: {topic.more}" if share > 0 else f", {size} less: {topic.less}"
