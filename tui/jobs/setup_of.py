"""One sound setup of a job to the physics setup it asks about."""

from __future__ import annotations

from physics import case
from tui.jobs.fields import Section
from tui.jobs.values import absolute, column, maybe, number

LADDER_STEP = 25.0 * 0.45359237 * 9.80665 / 0.0254
"""Step between rates one can buy [N/m] where the job names none: 25 lbf/in, common practice, no source."""


def setup_of(section: Section, ambient: float) -> case.Setup:
    """Build a setup; its gauge pressures become absolute with `ambient` [Pa]."""
    gas = absolute(section, "gas_pressure", ambient)
    return case.Setup(
        name=str(section["name"]),
        spring=_coil(section) if section["kind"] == "coil" else _air(section, ambient),
        friction=number(section, "friction"),
        gas=None
        if gas is None
        else case.GasCharge(gas, number(section, "gas_volume"), number(section, "rod")),
        bumper=case.Bumper(number(section, "bumper_length"), number(section, "bumper_force"))
        if "bumper_length" in section
        else None,
        mass=maybe(section, "mass"),
    )


def _coil(section: Section) -> case.Coil:
    staged = "stages.rate_n_per_mm" in section
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
    )


def _air(section: Section, ambient: float) -> case.Air:
    return case.Air(
        pressure=absolute(section, "pressure", ambient),
        bore=number(section, "bore"),
        rod=number(section, "rod"),
        body=number(section, "body"),
        positive_volume=number(section, "positive_volume"),
        positive_spacers=number(section, "positive_spacers"),
        positive_spacer_volume=number(section, "positive_spacer_volume"),
        negative=_negative(section, ambient),
        max_pressure=absolute(section, "max_pressure", ambient),
        hose_volume=number(section, "hose_volume"),
    )


def _negative(section: Section, ambient: float) -> case.Negative:
    kind = section["negative"]
    if kind == "none":
        return case.NoNegative()
    if kind == "mechanical":
        return case.MechanicalNegative(number(section, "negative_rate"), number(section, "negative_length"))
    volume = number(section, "negative_volume")
    spacers = number(section, "negative_spacers")
    each = number(section, "negative_spacer_volume")
    if kind == "separate":
        pressure = number(section, "negative_pressure") + ambient
        return case.SeparateNegative(volume, spacers, each, pressure)
    return case.EqualisedNegative(volume, spacers, each, number(section, "port"))
