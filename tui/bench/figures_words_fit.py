"""Figures of how a setup is fitted: sag, rate, pressure, gas, weight, and the same in the air of the ride."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from tui.bench.figures_words import Figure, Part
from tui.shop_units import Measure, gauge

if TYPE_CHECKING:
    from physics.answer import SetupAnswer
    from physics.arrays import Values

_COIL, _AIR = ("coil",), ("air",)


def _set_pressure(setup: SetupAnswer, ambient: float) -> Values | float:
    return gauge(setup.air.set_pressure, ambient) if setup.air else math.nan


def _port_pressure(setup: SetupAnswer, ambient: float) -> Values | float:
    return gauge(setup.air.equalised_pressure, ambient) if setup.air else math.nan


def _peak(setup: SetupAnswer, ambient: float) -> Values | float:
    return gauge(setup.air.peak_pressure, ambient) if setup.air else math.nan


def _fast_peak(setup: SetupAnswer, ambient: float) -> Values | float:
    return gauge(setup.air.fast_peak_pressure, ambient) if setup.air else math.nan


def _limit(setup: SetupAnswer, ambient: float) -> float:
    spring = setup.setup.spring
    from physics.case import Air  # the first frame needs no numpy

    if not isinstance(spring, Air) or spring.max_pressure is None:
        return math.nan
    return gauge(spring.max_pressure, ambient)


def _ride_pressure(setup: SetupAnswer, _ambient: float) -> Values | float:
    # A gauge out there reads against the air out there.
    return gauge(setup.ride.set_pressure, float(setup.ride.ambient.pressure)) if setup.ride else math.nan


FIT = (
    Figure(
        "set_pressure", "set pressure", Part.FIT, Measure.PRESSURE, _set_pressure,
        "Gauge reading at full length once the chambers have met. More is stiffer everywhere, most of "
        "all at the end.",
        kinds=_AIR,
    ),
    Figure(
        "rate", "spring rate", Part.FIT, Measure.SPRING_RATE,
        lambda s, _: s.coil.rate if s.coil else math.nan,
        "Force it takes to squeeze the coil further. Stiffer sags less and holds more everywhere, "
        "most of all at the end.",
        kinds=_COIL,
    ),
    Figure(
        "preload", "preload", Part.FIT, Measure.TRAVEL, lambda s, _: s.coil.preload if s.coil else math.nan,
        "How far the collar squeezes the coil at full length. More takes sag away and makes the start "
        "harder; the end gains little.",
        kinds=_COIL,
    ),
    Figure(
        "preload_turns", "preload in turns", Part.FIT, Measure.TURNS,
        lambda s, _: s.coil.preload_turns if s.coil else math.nan,
        "Turns of the collar from where it just touches the coil. Past the maker's most, fit a "
        "stiffer coil instead.",
        kinds=_COIL,
    ),
    Figure(
        "sag_wheel", "sag at wheel", Part.FIT, Measure.TRAVEL, lambda s, _: s.sag.wheel,
        "How far the wheel sinks under the rider at rest. More is softer and sits lower; rate, "
        "pressure or preload change it.",
    ),
    Figure(
        "sag_travel", "sag, of travel", Part.FIT, Measure.FRACTION, lambda s, _: s.sag.wheel_fraction,
        "Sag as a share of wheel travel. More is softer and sits lower. 25 to 30 % rear, 15 to 20 % "
        "front: common practice, no source.",
    ),
    Figure(
        "sag_shock", "sag at shock", Part.FIT, Measure.TRAVEL, lambda s, _: s.sag.stroke,
        "What the ring on the shaft should show with the rider on. Measure here: it is easier to read "
        "than the wheel.",
    ),
    Figure(
        "sag_stroke", "sag, of stroke", Part.FIT, Measure.FRACTION, lambda s, _: s.sag.stroke_fraction,
        "Sag as a share of shock stroke. It differs from the share of travel because the leverage "
        "changes on the way.",
    ),
    Figure(
        "sag_at_once", "read at once", Part.FIT, Measure.TRAVEL,
        lambda s, _: s.at_once.wheel,
        "Sag at the wheel as soon as the rider sits, while air is warm. It sinks to the sag above: sit still "
        "until it stops, then read.",
    ),
    Figure(
        "sag_least", "sag, least", Part.FIT, Measure.TRAVEL, lambda s, _: s.sag.band_low,
        "Seal drag can stop the wheel this early. Bounce it and let it settle; any reading from least to "
        "most is right.",
    ),
    Figure(
        "sag_most", "sag, most", Part.FIT, Measure.TRAVEL, lambda s, _: s.sag.band_high,
        "Seal drag can hold the wheel this deep. A wide gap from least to most means draggy seals; fresh "
        "ones narrow it.",
    ),
    Figure(
        "sag_force", "shaft load at sag", Part.FIT, Measure.FORCE, lambda s, _: s.sag.shaft_force,
        "What the shock's shaft carries with the rider on. More load or more leverage raises it; the "
        "spring does not.",
    ),
)  # fmt: skip

GAS = (
    Figure(
        "port_pressure", "port pressure", Part.GAS, Measure.PRESSURE, _port_pressure,
        "Pressure in both chambers where they meet at the port, a little way in. Set pressure and "
        "port place change it.",
        kinds=_AIR,
    ),
    Figure(
        "compression", "compression", Part.GAS, Measure.RATIO,
        lambda s, _: s.air.compression_ratio if s.air else math.nan,
        "Main chamber at full length against full stroke. More pushes back harder at the end; spacers "
        "raise it, more volume lowers it.",
        per=": 1", kinds=_AIR,
    ),
    Figure(
        "peak", "peak, slow", Part.GAS, Measure.PRESSURE, _peak,
        "Pressure at full stroke when pushed in slowly. Set pressure and spacers raise it.",
        kinds=_AIR,
    ),
    Figure(
        "fast_peak", "peak, hard hit", Part.GAS, Measure.PRESSURE, _fast_peak,
        "Pressure at full stroke in a hard hit: the air heats and pushes back harder than when slow. "
        "Spacers raise it.",
        kinds=_AIR,
    ),
    Figure(
        "fast_heat", "heat, hard hit", Part.GAS, Measure.TEMPERATURE,
        lambda s, _: s.air.fast_peak_temperature if s.air else math.nan,
        "How hot the air gets for a moment at full stroke in a hard hit. Longer strokes and spacers "
        "raise it; it cools at once.",
        kinds=_AIR,
    ),
    Figure(
        "limit", "label's limit", Part.GAS, Measure.PRESSURE, _limit,
        "Most the shock's label lets you pump in. Set pressure must stay under it; the label and the "
        "maker's manual decide.",
        kinds=_AIR,
    ),
)  # fmt: skip

WEIGHT = (
    Figure(
        "weight", "spring weight", Part.WEIGHT, Measure.SPRING_MASS, lambda s, _: s.mass,
        "What the spring weighs, off the scale as you typed it, else a coil by its wire. A coil is the "
        "heavy one; the sag does not mind.",
    ),
)  # fmt: skip

OUT_THERE = (
    Figure(
        "ride_pressure", "gauge there", Part.OUT_THERE, Measure.PRESSURE, _ride_pressure,
        "What the gauge reads at full extension at the temperature and height of the ride, no air "
        "added. Cold lowers it, height raises it.",
        kinds=_AIR,
    ),
    Figure(
        "ride_sag", "sag there", Part.OUT_THERE, Measure.FRACTION,
        lambda s, _: s.ride.sag_wheel_fraction if s.ride else math.nan,
        "Sag, as a share of travel, at the temperature and height of the ride. Cold sinks an air "
        "spring; a coil stays put.",
    ),
    Figure(
        "ride_start", "start there", Part.OUT_THERE, Measure.FORCE,
        lambda s, _: s.ride.starting_shaft if s.ride else math.nan,
        "Push it takes to move the shaft at the temperature and height of the ride. Less is suppler.",
    ),
)  # fmt: skip
