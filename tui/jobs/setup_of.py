"""One setup of a job to the physics setup it asks about.

What a faulty setup lacks is NaN, so that its other values can still be held against each other.
"""

from __future__ import annotations

from physics import case
from tui.jobs.fields import Section
from tui.jobs.schema import EXTRAS
from tui.jobs.values import absolute, column, due, maybe, number
from tui.jobs.wire_of import inner_diameter_of, wire_of

LADDER_STEP = 25.0 * 0.45359237 * 9.80665 / 0.0254
"""Step between rates one can buy [N/m] where the job names none: 25 lbf/in, common practice, no source."""


def setup_of(section: Section, ambient: float) -> case.Setup:
    """Build a setup; its gauge pressures become absolute with `ambient` [Pa]."""
    lacks = tuple(extra for extra, (key, _) in EXTRAS.items() if section.get(key) == "none")
    there = [extra for extra, (key, _) in EXTRAS.items() if key in section and extra not in lacks]
    return case.Setup(
        name=str(section.get("name", "")),
        spring=_coil(section) if section.get("kind") == "coil" else _air(section, ambient),
        friction=number(section, "friction"),
        gas=_gas(section, ambient) if "gas" in there else None,
        bumper=_bumper(section) if "bumper" in there else None,
        mass=maybe(section, "mass"),
        lower_legs=_lower_legs(section) if "lower_legs" in there else None,
        lacks=lacks,
        rod=maybe(section, "rod"),
    )


def _gas(section: Section, ambient: float) -> case.GasCharge:
    return case.GasCharge(
        due(section, "gas_pressure") + ambient, due(section, "gas_volume"), due(section, "rod")
    )


def _bumper(section: Section) -> case.Bumper:
    return case.Bumper(due(section, "bumper_length"), due(section, "bumper_force"))


def _lower_legs(section: Section) -> case.LowerLegs:
    return case.LowerLegs(due(section, "lower_leg_volume"), due(section, "stanchion_diameter"))


def _coil(section: Section) -> case.Coil:
    staged = "stages.compression_mm" in section and "stages.rate_n_per_mm" in section
    turned = number(section, "preload_turns") * number(section, "thread_pitch")
    return case.Coil(
        rate=maybe(section, "rate"),
        preload=number(section, "preload", turned),
        ladder_step=number(section, "ladder_step", LADDER_STEP),
        stage_start=column(section, "stages.compression_mm") if staged else None,
        stage_rate=column(section, "stages.rate_n_per_mm") if staged else None,
        free_length=maybe(section, "free_length"),
        solid_length=maybe(section, "solid_length"),
        rated_stroke=maybe(section, "rated_stroke"),
        thread_pitch=maybe(section, "thread_pitch"),
        max_preload_turns=maybe(section, "max_preload_turns"),
        ladder=column(section, "ladder_lbf_per_in") if "ladder_lbf_per_in" in section else None,
        wire=wire_of(section),
        inner_diameter=inner_diameter_of(section),
    )


def _air(section: Section, ambient: float) -> case.Air:
    return case.Air(
        pressure=absolute(section, "pressure", ambient),
        bore=due(section, "bore"),
        rod=number(section, "rod"),
        body=number(section, "body"),
        positive_volume=due(section, "positive_volume"),
        positive_spacers=number(section, "positive_spacers"),
        positive_spacer_volume=number(section, "positive_spacer_volume"),
        negative=_negative(section, ambient),
        max_pressure=absolute(section, "max_pressure", ambient),
        hose_volume=number(section, "hose_volume"),
    )


def _negative(section: Section, ambient: float) -> case.Negative:
    # One that cannot be read is taken for the kind that most can be told of.
    kind = section.get("negative", "equalised")
    if kind == "none":
        return case.NoNegative()
    if kind == "mechanical":
        return case.MechanicalNegative(due(section, "negative_rate"), due(section, "negative_length"))
    volume = due(section, "negative_volume")
    spacers = number(section, "negative_spacers")
    each = number(section, "negative_spacer_volume")
    if kind == "separate":
        return case.SeparateNegative(volume, spacers, each, due(section, "negative_pressure") + ambient)
    return case.EqualisedNegative(volume, spacers, each, due(section, "port"))
