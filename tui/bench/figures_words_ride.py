"""Figures of how a setup rides: its start, its middle, its end and its timing."""

from __future__ import annotations

import math

from tui.bench.figures_words import Figure, Part
from tui.shop_units import Measure

_AIR = ("air",)
_LOAD = "x load"

START = (
    Figure(
        "start_shaft", "start at shaft", Part.START, Measure.FORCE, lambda s, _: s.figures.starting_shaft,
        "Push it takes to move the shaft at all, seals included. Less is suppler; preload raises it, "
        "negative pull lowers it.",
    ),
    Figure(
        "start_wheel", "start at wheel", Part.START, Measure.FORCE, lambda s, _: s.figures.starting_wheel,
        "The same push felt at the wheel. Bumps weaker than this do not move it: less grips better on "
        "small stones.",
    ),
    Figure(
        "push", "positive push", Part.START, Measure.FORCE, lambda s, _: s.curve.positive[..., 0],
        "How hard the main chamber pushes at full length. With nothing pulling against it, all of it "
        "is starting force.",
        kinds=_AIR,
    ),
    Figure(
        "pull", "negative pull", Part.START, Measure.FORCE, lambda s, _: -s.curve.negative[..., 0],
        "How hard the negative side pulls the shock in at full length. More starts softer; more "
        "negative volume pulls further in.",
        kinds=_AIR,
    ),
    Figure(
        "rest", "rests drawn in", Part.START, Measure.TRAVEL,
        lambda s, _: s.air.rest_stroke if s.air else math.nan,
        "How far the shock sits in with no load, where the negative side wins. An earlier port or less "
        "negative pressure lessens it.",
        kinds=_AIR,
    ),
)  # fmt: skip

MIDDLE = (
    Figure(
        "support_25", "support 25 %", Part.MIDDLE, Measure.RATIO, lambda s, _: s.figures.support_25,
        "Wheel force a quarter of the way in, against the rider's load. More rides higher; less sinks "
        "in sooner.",
        per=_LOAD,
    ),
    Figure(
        "support_50", "support 50 %", Part.MIDDLE, Measure.RATIO, lambda s, _: s.figures.support_50,
        "Wheel force halfway in, against the rider's load. More holds up in corners and when pumping; "
        "less wallows.",
        per=_LOAD,
    ),
    Figure(
        "support_75", "support 75 %", Part.MIDDLE, Measure.RATIO, lambda s, _: s.figures.support_75,
        "Wheel force three quarters in, against the rider's load. More saves the last quarter for the "
        "big hits.",
        per=_LOAD,
    ),
    Figure(
        "off_line", "middle, off line", Part.MIDDLE, Measure.FRACTION, lambda s, _: s.figures.chord_deviation,
        "Bend of the curve from sag to the end. Below zero is a soft middle under a steep end; a bumper "
        "deepens it; without one, spacers do.",
    ),
    Figure(
        "softest_rate", "softest rate", Part.MIDDLE, Measure.WHEEL_RATE,
        lambda s, _: s.figures.softest_wheel_rate,
        "Least wheel rate from sag on: where the bike gives way most easily. Lower blows through; "
        "leverage and spacers change it.",
    ),
    Figure(
        "softest_at", "softest at", Part.MIDDLE, Measure.TRAVEL, lambda s, _: s.figures.softest_at_wheel,
        "Wheel travel where the wheel rate is least. Deep in the travel it shows on big compressions, "
        "early on at sag.",
    ),
    Figure(
        "wheel_rate", "wheel rate at sag", Part.MIDDLE, Measure.WHEEL_RATE,
        lambda s, _: s.figures.wheel_rate_at_sag,
        "How much firmer each further bit of travel gets around sag. More is firm and lively, less is "
        "soft and settled.",
    ),
    Figure(
        "shock_rate", "shock rate at sag", Part.MIDDLE, Measure.SPRING_RATE,
        lambda s, _: s.figures.rate_at_sag,
        "Rate of the whole shock at sag, moved slowly: an air spring against a coil, in the coil's "
        "own unit.",
    ),
    Figure(
        "fast_rate", "fast rate at sag", Part.MIDDLE, Measure.SPRING_RATE,
        lambda s, _: s.figures.fast_rate_at_sag,
        "Rate of the shock at sag in quick bumps, when air has no time to cool. Air is stiffer fast "
        "than slow; a coil is not.",
    ),
)  # fmt: skip

END = (
    Figure(
        "end_force", "force at end", Part.END, Measure.FORCE, lambda s, _: s.figures.bottom_wheel_force,
        "Wheel force at the end of the travel, slowly. More is harder to bottom; rate, pressure, "
        "spacers and bumper raise it.",
    ),
    Figure(
        "end_ratio", "end over load", Part.END, Measure.RATIO, lambda s, _: s.figures.bottom_ratio,
        "Force at the end against the rider's load. More is harder to bottom; it compares riders and "
        "bikes of any weight.",
        per=_LOAD,
    ),
    Figure(
        "ramp", "end ramp", Part.END, Measure.RATIO, lambda s, _: s.figures.end_ramp,
        "Rise of force over the last fifth against the fifth before. 1 is straight, more ramps up; a "
        "bumper raises it; without one, spacers do.",
        per="x before",
    ),
    Figure(
        "fast_end", "hard hit at shaft", Part.END, Measure.FORCE, lambda s, _: s.figures.fast_bottom_shaft,
        "Shaft force at full stroke in one hard hit from sag. Air gains over slow because it heats; a "
        "coil stays the same.",
    ),
    Figure(
        "energy", "energy in all", Part.END, Measure.ENERGY, lambda s, _: s.figures.energy_total,
        "What the spring can swallow from full length to the end, moved slowly. More takes a bigger "
        "hit before it bottoms.",
    ),
    Figure(
        "energy_sag", "energy from sag", Part.END, Measure.ENERGY, lambda s, _: s.figures.energy_from_sag,
        "What the spring can still swallow from sag to the end, moved slowly. More takes a bigger hit "
        "before it bottoms.",
    ),
    Figure(
        "drop", "drop height", Part.END, Measure.TRAVEL, lambda s, _: s.figures.drop_height,
        "Drop that would use all travel with no damper and no legs. A yardstick between setups, never "
        "a limit to ride to.",
    ),
)  # fmt: skip

TIMING = (
    Figure(
        "bounce", "bounce, slow", Part.TIMING, Measure.FREQUENCY,
        lambda s, _: s.figures.natural_frequency,
        "How often the bike would bounce by itself. Higher is firmer and quicker. 2 to 3 a second: "
        "common practice, no source.",
    ),
    Figure(
        "fast_bounce", "bounce, fast", Part.TIMING, Measure.FREQUENCY,
        lambda s, _: s.figures.fast_natural_frequency,
        "The same in quick bumps, when air has no time to cool. Higher is firmer; for a coil it is "
        "the same as slow.",
    ),
    Figure(
        "damping", "rebound need", Part.TIMING, Measure.DAMPING, lambda s, _: s.figures.critical_damping,
        "Shaft damping that just stops all bouncing at sag. x 1.10 against the first setup: it wants "
        "a tenth more rebound.",
        by_ratio=True,
    ),
)  # fmt: skip
