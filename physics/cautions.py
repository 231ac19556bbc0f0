"""What the mechanic must know about an answer that is otherwise good; codes are in `physics.faults`."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from physics import gas
from physics.answer import AirAnswer, Riding, SetupAnswer
from physics.arrays import Values
from physics.case import (
    Air,
    Case,
    Coil,
    EqualisedNegative,
    Frame,
    Linkage,
    Measured,
    SeparateNegative,
    Setup,
    Target,
)
from physics.coil_fit import fit_cautions
from physics.faults import Caution
from physics.leverage import SILENT_CLOSURE, LeverageCurve
from physics.limits import HIGHEST_PRESSURE
from physics.linkage_checks import SILENT_EYES, eye_to_eye
from physics.not_typed import not_typed
from physics.pairs import checked, pair_cautions
from physics.wire_answer import wire_cautions

NEAR_TARGET = 1e-3
"""A solved setup that settles further than this from the target sag, as a fraction, misses it."""
MEASURED_SHARE = 0.9
"""Measured pairs should reach this share of the wheel travel (common practice, no source)."""
COLDEST, WARMEST = 255.0, 345.0
"""Temperatures [K] around the shock between which the slow gas law holds within 0.1 %."""
PUMPS_REACH = 400 * 6894.757293168
"""Gauge pressure [Pa] that common shock pumps and labels end below (from memory)."""


def frame_cautions(frame: Frame, lever: LeverageCurve) -> tuple[Caution, ...]:
    """Return the cautions about the leverage of one case."""
    found = []
    error = float(lever.closure_error)
    if abs(error) > SILENT_CLOSURE:
        found.append(Caution("closure", {"closure_error": error}))
    if isinstance(frame.leverage, Measured):
        measured, full = float(np.max(frame.leverage.travel)), float(lever.wheel_travel)
        if measured < MEASURED_SHARE * full:
            found.append(Caution("pairs_stop_short", {"measured": measured, "wheel_travel": full}))
        found += pair_cautions(frame.leverage, checked(frame.leverage))
    if isinstance(frame.leverage, Linkage) and frame.eye_to_eye is not None:
        typed, drawn = frame.eye_to_eye, eye_to_eye(frame.leverage)
        if abs(drawn / typed - 1) > SILENT_EYES:
            found.append(Caution("eyes_differ", {"typed": typed, "drawn": drawn}))
    return tuple(found)


def setup_cautions(
    asked: Setup, found: SetupAnswer, case: Case, lever: LeverageCurve, static: Values
) -> tuple[Caution, ...]:
    """Return the cautions about one setup under a static wheel force [N], those of what is not typed last.

    `asked` is the setup before it was solved.
    """
    spring = found.setup.spring
    stroke = float(lever.stroke)
    own = _coil_cautions(spring, stroke, found, case) if isinstance(spring, Coil) else []
    if isinstance(spring, Air) and found.air is not None:
        own = _air_cautions(spring, found.air, case)
    return (*_standing(asked, found, case.target, lever), *own, *not_typed(found, case, lever, static))


def _standing(asked: Setup, found: SetupAnswer, target: Target, lever: LeverageCurve) -> list[Caution]:
    """Return the cautions about where and how the wheel settles."""
    if found.state != "ok":
        return [Caution(found.state)]
    cautions = _falling(found.riding)
    reached = found.sag.wheel_fraction if target.of == "travel" else found.sag.stroke_fraction
    solved = (asked.spring.rate if isinstance(asked.spring, Coil) else asked.spring.pressure) is None
    staged = isinstance(asked.spring, Coil) and asked.spring.stage_rate is not None
    if solved and not staged and abs(float(reached) - float(target.sag)) > NEAR_TARGET:
        cautions.append(Caution("target_missed", {"asked": float(target.sag), "found": float(reached)}))
    bumper = found.setup.bumper
    if bumper is not None and found.sag.stroke > lever.stroke - bumper.length:
        cautions.append(Caution("bumper_at_sag", {"length": float(bumper.length)}))
    return cautions + _port(found)


def _port(found: SetupAnswer) -> list[Caution]:
    """Return a caution where the chambers meet on every stroke out of sag, which the riding curve leaves out.

    It takes each chamber to keep its own air from sag on, so that past the port it reads too high: 0.8 % at
    the end with the port 1.3 mm past sag, 3.6 % with 5.3 mm, on one invented example.
    """
    spring = found.setup.spring
    negative = spring.negative if isinstance(spring, Air) else None
    if isinstance(negative, EqualisedNegative) and float(negative.port) > float(found.sag.stroke):
        there = {"port": float(negative.port), "sag_stroke": float(found.sag.stroke)}
        return [Caution("port_past_sag", there)]
    return []


def _falling(riding: Riding) -> list[Caution]:
    """Return a caution where the wheel force falls somewhere past the sag point: the wheel drops through."""
    if riding.softest_wheel_rate < 0:
        return [Caution("falling_force", {"wheel": float(riding.softest_at_wheel)})]
    return []


def _coil_cautions(coil: Coil, stroke: float, answered: SetupAnswer, case: Case) -> list[Caution]:
    preload = float(coil.preload)
    found = [Caution("no_preload") if preload == 0 else Caution("preloaded_coil", {"preload": preload})]
    wire = answered.coil.wire if answered.coil else None
    if wire is None:
        return found + fit_cautions(coil, stroke)
    if coil.solid_length is None:
        coil = replace(coil, solid_length=float(wire.solid_length))
    shaken = _wheel_alone(answered.riding, case)
    return found + fit_cautions(coil, stroke) + wire_cautions(coil, wire, shaken)


def _wheel_alone(riding: Riding, case: Case) -> float:
    """Return how fast [Hz] the wheel alone swings on its spring, without a tyre; NaN without a figure."""
    rate, unsprung = float(riding.wheel_rate_at_sag), float(case.load.unsprung_mass)
    return math.sqrt(rate / unsprung) / (2 * math.pi) if rate > 0 and unsprung > 0 else math.nan


def _air_cautions(spring: Air, air: AirAnswer, case: Case) -> list[Caution]:
    if np.isnan(air.set_pressure):
        return [Caution("pressurised"), Caution("no_pressure", {"highest": HIGHEST_PRESSURE})]
    found = [Caution("pressurised"), *_over_label(spring, air)]
    if air.set_pressure - case.shop.pressure > PUMPS_REACH:
        found.append(Caution("beyond_pumps", {"pressure": float(air.set_pressure)}))
    if air.fill is not None and not air.fill.holds:
        short = {"rounds": float(air.fill.rounds), "reading": float(air.fill.readings[-1])}
        found.append(Caution("never_holds", short))
    if air.rest_stroke > 0:
        at_rest = {"rest_stroke": float(air.rest_stroke), "rest_pressure": float(air.rest_pressure)}
        found.append(Caution("drawn_in", at_rest))
    return found + _outside_gas_law(air, case)


def _over_label(spring: Air, air: AirAnswer) -> list[Caution]:
    """Return what is pumped above the label's limit, which is for filling, not for the peak of a stroke."""
    limit = spring.max_pressure
    if limit is None:
        return []
    pumped = {"over_label": float(air.set_pressure)}
    if isinstance(spring.negative, SeparateNegative):
        pumped["negative_over_label"] = float(spring.negative.pressure)
    if air.fill is not None and np.isnan(air.fill.single_fill):
        pumped["single_fill_over_label"] = float(air.fill.one_go)
    return [
        Caution(code, {"pressure": pressure, "limit": limit})
        for code, pressure in pumped.items()
        if pressure > limit
    ]


def _outside_gas_law(air: AirAnswer, case: Case) -> list[Caution]:
    """Return cautions where a peak, the sag point or the air around leaves what the gas law was fitted on."""
    cautions = []
    if air.highest_at_sag > gas.HIGHEST:
        cautions.append(Caution("sag_gas_range", {"pressure": float(air.highest_at_sag)}))
    pressure = np.fmax(np.fmax(air.peak_pressure, air.fast_peak_pressure), air.highest_extended)
    temperature = np.fmax(case.shop.temperature, air.fast_peak_temperature)
    mild = COLDEST <= case.shop.temperature <= WARMEST
    if pressure > gas.HIGHEST or temperature > gas.HOTTEST or not mild:
        there = {"pressure": float(pressure), "temperature": float(temperature)}
        cautions.append(Caution("gas_range", there))
    return cautions
