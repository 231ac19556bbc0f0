"""Figures of how a setup rides: its start, its middle, its end and its timing; and the same moved slowly.

From sag on a wheel rides faster than the air of a chamber can give its heat away, so that middle, end and
timing are read off the riding curve. What they are on the slow curve stands apart, for the workings.
"""

from __future__ import annotations

import math
from dataclasses import replace

from tui.bench.figures_words import Figure, Part
from tui.shop_units import Measure

_AIR = ("air",)
_LOAD = "x load"
_BEFORE = "x before"

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
        "support_25", "support 25 %", Part.MIDDLE, Measure.RATIO, lambda s, _: s.riding.support_25,
        "Wheel force a quarter of the way in, against the rider's load. More rides higher; less sinks "
        "in sooner. None where sag is deeper.",
        per=_LOAD,
    ),
    Figure(
        "support_50", "support 50 %", Part.MIDDLE, Measure.RATIO, lambda s, _: s.riding.support_50,
        "Wheel force halfway in, against the rider's load. More holds up in corners and when pumping; "
        "less wallows.",
        per=_LOAD,
    ),
    Figure(
        "support_75", "support 75 %", Part.MIDDLE, Measure.RATIO, lambda s, _: s.riding.support_75,
        "Wheel force three quarters in, against the rider's load. More saves the last quarter for the "
        "big hits.",
        per=_LOAD,
    ),
    Figure(
        "off_line", "middle, off line", Part.MIDDLE, Measure.FRACTION, lambda s, _: s.riding.chord_deviation,
        "Bend of the curve from sag to 80 % of the travel. Below zero it dips under a straight line; spacers "
        "deepen it, a bumper does not.",
    ),
    Figure(
        "softest_rate", "softest rate", Part.MIDDLE, Measure.WHEEL_RATE,
        lambda s, _: s.riding.softest_wheel_rate,
        "Least wheel rate from sag on: where the bike gives way most easily. Lower blows through; "
        "leverage and spacers change it.",
    ),
    Figure(
        "softest_at", "softest at", Part.MIDDLE, Measure.TRAVEL, lambda s, _: s.riding.softest_at_wheel,
        "Wheel travel where the wheel rate is least. Deep in the travel it shows on big compressions, "
        "early on at sag.",
    ),
    Figure(
        "wheel_rate", "wheel rate at sag", Part.MIDDLE, Measure.WHEEL_RATE,
        lambda s, _: s.riding.wheel_rate_at_sag,
        "How much firmer each further bit of travel gets around sag. More is firm and lively, less is "
        "soft and settled.",
    ),
    Figure(
        "fast_rate", "shock rate at sag", Part.MIDDLE, Measure.SPRING_RATE,
        lambda s, _: s.figures.fast_rate_at_sag,
        "Rate of the whole shock at sag as it rides: an air spring against a coil, in the coil's own unit.",
    ),
)  # fmt: skip

END = (
    Figure(
        "end_force", "force at end", Part.END, Measure.FORCE, lambda s, _: s.riding.bottom_wheel_force,
        "Wheel force at the end of the travel in a hit from sag. More is harder to bottom; rate, pressure, "
        "spacers and bumper raise it.",
    ),
    Figure(
        "end_ratio", "end over load", Part.END, Measure.RATIO, lambda s, _: s.riding.bottom_ratio,
        "Force at the end against the rider's load. More is harder to bottom; it compares riders and "
        "bikes of any weight.",
        per=_LOAD,
    ),
    Figure(
        "bare_ratio", "end, no bumper", Part.END, Measure.RATIO,
        lambda s, _: s.riding.bottom_ratio_without_bumper,
        "The same without the bottom-out bumper: what the spring alone holds at the end of the travel.",
        per=_LOAD,
    ),
    Figure(
        "ramp", "end ramp", Part.END, Measure.RATIO, lambda s, _: s.riding.end_ramp,
        "Rise of force over the last fifth against the fifth before. 1 is straight, more ramps up; a "
        "bumper raises it; without one, spacers do.",
        per=_BEFORE,
    ),
    Figure(
        "bare_ramp", "ramp, no bumper", Part.END, Measure.RATIO,
        lambda s, _: s.riding.end_ramp_without_bumper,
        "The same without the bottom-out bumper: what leverage and spring alone do over the last fifth.",
        per=_BEFORE,
    ),
    Figure(
        "fast_end", "hard hit at shaft", Part.END, Measure.FORCE, lambda s, _: s.figures.fast_bottom_shaft,
        "Shaft force at full stroke in one hard hit from sag. Air gains over slow because it heats; a "
        "coil stays the same.",
    ),
    Figure(
        "energy", "energy in all", Part.END, Measure.ENERGY, lambda s, _: s.riding.energy_total,
        "What the spring takes up from full extension to the end. More takes a bigger hit before it bottoms.",
    ),
    Figure(
        "energy_sag", "energy from sag", Part.END, Measure.ENERGY, lambda s, _: s.riding.energy_from_sag,
        "What the spring can still take up from sag to the end. More takes a bigger hit before it bottoms.",
    ),
    Figure(
        "drop", "drop height", Part.END, Measure.TRAVEL, lambda s, _: s.riding.drop_height,
        "Drop that would use all travel with no damper and no legs. A yardstick between setups, never "
        "a limit to ride to.",
    ),
)  # fmt: skip

TIMING = (
    Figure(
        "bounce", "natural frequency", Part.TIMING, Measure.FREQUENCY,
        lambda s, _: s.riding.natural_frequency,
        "How often the bike would bounce by itself. Higher is firmer and quicker. 2 to 3 a second: "
        "common practice, no source.",
    ),
    Figure(
        "damping", "rebound need", Part.TIMING, Measure.DAMPING, lambda s, _: s.riding.critical_damping,
        "Shaft damping that just stops all bouncing at sag. x 1.10 against the first setup: it wants "
        "a tenth more rebound.",
        by_ratio=True,
    ),
)  # fmt: skip


def _slow(figure: Figure, name: str, label: str) -> Figure:
    """Return the figure of the slow curve that goes with one of the riding curve."""
    return replace(
        figure,
        key=f"slow_{figure.key}",
        label=f"slow {label}",
        part=Part.SLOW,
        read=lambda s, _: getattr(s.figures, name) if s.air else math.nan,
        meaning=_SLOW_CHORD if figure.key == "off_line" else _SLOWLY,
        kinds=_AIR,
    )


_SLOWLY = (
    "The same on the slow curve, where the air stays as warm as the shop: what a spring tester shows, and "
    "not how it rides."
)
_SLOW_CHORD = (
    "Bend of the slow curve from sag to full travel, bumper included: what a spring tester shows, and not "
    "how it rides."
)
_SLOW_FIGURES = {
    "support_25": ("support_25", "25 %"),
    "support_50": ("support_50", "50 %"),
    "support_75": ("support_75", "75 %"),
    "off_line": ("chord_deviation", "off line"),
    "softest_rate": ("softest_wheel_rate", "soft rate"),
    "softest_at": ("softest_at_wheel", "soft at"),
    "wheel_rate": ("wheel_rate_at_sag", "wheel rate"),
    "fast_rate": ("rate_at_sag", "shock rate"),
    "end_force": ("bottom_wheel_force", "end force"),
    "end_ratio": ("bottom_ratio", "end ratio"),
    "ramp": ("end_ramp", "ramp"),
    "energy": ("energy_total", "energy"),
    "energy_sag": ("energy_from_sag", "from sag"),
    "drop": ("drop_height", "drop"),
    "bounce": ("natural_frequency", "frequency"),
    "damping": ("critical_damping", "rebound need"),
}
"""By the key of a figure of the riding curve the name of the slow one and what it is called after "slow"."""
SLOW = tuple(
    _slow(figure, *_SLOW_FIGURES[figure.key])
    for figure in (*MIDDLE, *END, *TIMING)
    if figure.key in _SLOW_FIGURES
)
