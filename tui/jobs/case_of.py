"""A sound job to the physics case it asks about."""

from __future__ import annotations

from typing import Literal, cast

import numpy as np

from physics import case
from physics.arrays import Values
from tui.jobs.fields import Section
from tui.jobs.reading import Reading

POSTURE_SHARE = {"standing": 0.62, "seated": 0.67}
"""Rider's share on the rear wheel by posture: common practice, not a standard."""

LADDER_STEP = 25.0 * 0.45359237 * 9.80665 / 0.0254
"""Step between rates one can buy [N/m] where the job names none: 25 lbf/in."""

_ROOM_TEMPERATURE = 293.15


def case_of(reading: Reading) -> case.Case:
    """Build the case; gauge pressures become absolute with the ambient pressure of the shop."""
    shop = _ambient(reading.ambient)
    return case.Case(
        load=_load(reading.load, fork=reading.leverage["kind"] == "fork"),
        frame=case.Frame(
            _number(reading.frame, "wheel_travel"),
            _number(reading.frame, "stroke"),
            _leverage(reading.leverage),
        ),
        target=case.Target(
            _number(reading.target, "sag"),
            cast(Literal["travel", "stroke"], reading.target.get("of", "travel")),
        ),
        shop=shop,
        setups=tuple(_setup(setup, float(shop.pressure)) for setup in reading.setups),
    )


def _number(section: Section, key: str, default: float = 0.0) -> float:
    return float(cast(float, section.get(key, default)))


def _maybe(section: Section, key: str) -> float | None:
    value = section.get(key)
    return value if isinstance(value, float) else None


def _column(section: Section, key: str) -> Values:
    return np.asarray(section[key], dtype=np.float64)


def _absolute(section: Section, key: str, ambient: float) -> float | None:
    gauge = _maybe(section, key)
    return None if gauge is None else gauge + ambient


def _ambient(section: Section) -> case.Ambient:
    from physics.gas import standard_pressure

    pressure = float(standard_pressure(_number(section, "altitude")))
    return case.Ambient(_number(section, "temperature", _ROOM_TEMPERATURE), pressure)


def _load(section: Section, *, fork: bool) -> case.Load:
    unsprung = _number(section, "unsprung_mass")
    if "scale_mass" in section:
        return case.ScaleReading(_number(section, "scale_mass"), unsprung)
    if "posture" in section:
        rear = POSTURE_SHARE[str(section["posture"])]
        share = 1.0 - rear if fork else rear
    else:
        share = _number(section, "rider_share")
    return case.RiderAndBike(
        _number(section, "rider_mass"),
        share,
        _number(section, "bike_mass"),
        _number(section, "bike_share"),
        unsprung,
    )


def _leverage(section: Section) -> case.Leverage:
    match section["kind"]:
        case "ends":
            return case.Ends(_number(section, "start"), _number(section, "end"), _maybe(section, "middle"))
        case "table":
            return case.Table(_column(section, "travel_mm"), _column(section, "ratio"))
        case "measured":
            return case.Measured(_column(section, "travel_mm"), _column(section, "stroke_mm"))
        case _:
            return case.Fork(_number(section, "head_angle"))


def _setup(section: Section, ambient: float) -> case.Setup:
    gas = _absolute(section, "gas_pressure", ambient)
    return case.Setup(
        name=str(section["name"]),
        spring=_coil(section) if section["kind"] == "coil" else _air(section, ambient),
        friction=_number(section, "friction"),
        gas=None
        if gas is None
        else case.GasCharge(gas, _number(section, "gas_volume"), _number(section, "rod")),
        bumper=case.Bumper(_number(section, "bumper_length"), _number(section, "bumper_force"))
        if "bumper_length" in section
        else None,
        mass=_maybe(section, "mass"),
    )


def _coil(section: Section) -> case.Coil:
    staged = "stages.rate_n_per_mm" in section
    turned = _number(section, "preload_turns") * _number(section, "thread_pitch")
    return case.Coil(
        rate=_maybe(section, "rate"),
        preload=_number(section, "preload", turned),
        ladder_step=_number(section, "ladder_step", LADDER_STEP),
        stage_start=_column(section, "stages.compression_mm") if staged else None,
        stage_rate=_column(section, "stages.rate_n_per_mm") if staged else None,
        free_length=_maybe(section, "free_length"),
        solid_length=_maybe(section, "solid_length"),
        rated_stroke=_maybe(section, "rated_stroke"),
        thread_pitch=_maybe(section, "thread_pitch"),
        max_preload_turns=_maybe(section, "max_preload_turns"),
    )


def _air(section: Section, ambient: float) -> case.Air:
    return case.Air(
        pressure=_absolute(section, "pressure", ambient),
        bore=_number(section, "bore"),
        rod=_number(section, "rod"),
        body=_number(section, "body"),
        positive_volume=_number(section, "positive_volume"),
        positive_spacers=_number(section, "positive_spacers"),
        positive_spacer_volume=_number(section, "positive_spacer_volume"),
        negative=_negative(section, ambient),
        max_pressure=_absolute(section, "max_pressure", ambient),
        hose_volume=_number(section, "hose_volume"),
    )


def _negative(section: Section, ambient: float) -> case.Negative:
    kind = section["negative"]
    if kind == "none":
        return case.NoNegative()
    if kind == "mechanical":
        return case.MechanicalNegative(_number(section, "negative_rate"), _number(section, "negative_length"))
    volume = _number(section, "negative_volume")
    spacers = _number(section, "negative_spacers")
    each = _number(section, "negative_spacer_volume")
    if kind == "separate":
        pressure = _number(section, "negative_pressure") + ambient
        return case.SeparateNegative(volume, spacers, each, pressure)
    return case.EqualisedNegative(volume, spacers, each, _number(section, "port"))
