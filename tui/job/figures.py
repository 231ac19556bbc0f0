"""The figures of a setup as a mechanic meets them: a name, a unit, a place in the ride and a meaning."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from tui.job.wheels import spoken
from tui.shop_units import ABSENT, IMPERIAL, METRIC, OVER, USUAL, Measure, ShopUnits, Writing, gauge

if TYPE_CHECKING:
    from collections.abc import Iterator

    from physics.answer import Answer, SetupAnswer
    from physics.arrays import Values
    from physics.sweep import Swept

LONGEST_LABEL = 18
"""Columns that a label may take."""

LONGEST_MEANING = 150
"""Letters that a meaning may take: two lines of the smallest screen."""


class Part(Enum):
    """The part of the ride a figure speaks of; the value is its heading, in the order of the table."""

    FIT = "fit"
    START = "start"
    MIDDLE = "middle"
    END = "end"
    TIMING = "timing"
    GAS = "gas"
    WEIGHT = "weight"
    OUT_THERE = "in the air of the ride"
    SLOW = "air moved slowly, for the workings"


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure: where it stands in the answer, how it is written and what it says about the ride.

    `read` takes a setup and the shop's ambient pressure [Pa] and returns SI, pressures gauge. `per` says what
    a bare ratio is a ratio of. `by_ratio` compares two setups by quotient instead of difference.
    """

    key: str
    label: str
    part: Part
    measure: Measure
    read: Callable[[SetupAnswer, float], Values | float]
    meaning: str
    per: str = ""
    by_ratio: bool = False
    kinds: tuple[str, ...] = ("coil", "air")


STATE_KEY = "state"
STATE_LABEL = "state"
STATE_MEANING = (
    "What the wheel does under the rider at rest. Tops out: too stiff to move. "
    "On the stop: too soft, no travel left."
)
STATES = {"ok": "settles", "topped_out": "tops out", "bottomed_out": "on the stop", "unsolved": "no answer"}
"""Each state in a word or three, for a cell of the table."""


@cache
def every_figure(fork: bool = False) -> tuple[Figure, ...]:
    """Return every figure there is, in the order of the table, in the words of a shock or of a `fork`."""
    pass
    pass

    found = (*FIT, *START, *MIDDLE, *END, *TIMING, *GAS, *WEIGHT, *OUT_THERE, *SLOW)
    return tuple(
        replace(figure, label=spoken(figure.label, fork), meaning=spoken(figure.meaning, fork))
        for figure in found
    )


def figures_for(setups: Sequence[SetupAnswer], fork: bool = False) -> tuple[Figure, ...]:
    """Return the figures that at least one of these setups can have, in the words of a `fork` in one."""
    kinds = {setup.kind for setup in setups}
    rides = any(setup.ride is not None for setup in setups)
    return tuple(
        figure
        for figure in every_figure(fork)
        if kinds.intersection(figure.kinds) and (rides or figure.part is not Part.OUT_THERE)
    )


def meaning_of(key: str, fork: bool = False) -> tuple[str, str]:
    """Return label and meaning of a row of the table; raises `KeyError` for a row that does not exist."""
    if key == STATE_KEY:
        return STATE_LABEL, STATE_MEANING
    figure = next((figure for figure in every_figure(fork) if figure.key == key), None)
    if figure is None:
        raise KeyError(key)
    return figure.label, figure.meaning


def read_figure(figure: Figure, setup: SetupAnswer, answer: Answer) -> float:
    """Return a figure of one setup in SI, NaN where it does not exist."""
    return float(figure.read(setup, float(answer.shop.pressure)))


_COIL, _FIT_AIR = ("coil",), ("air",)


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
        kinds=_FIT_AIR,
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
        kinds=_FIT_AIR,
    ),
    Figure(
        "compression", "compression", Part.GAS, Measure.RATIO,
        lambda s, _: s.air.compression_ratio if s.air else math.nan,
        "Main chamber at full length against full stroke. More pushes back harder at the end; spacers "
        "raise it, more volume lowers it.",
        per=": 1", kinds=_FIT_AIR,
    ),
    Figure(
        "peak", "peak, slow", Part.GAS, Measure.PRESSURE, _peak,
        "Pressure at full stroke when pushed in slowly. Set pressure and spacers raise it.",
        kinds=_FIT_AIR,
    ),
    Figure(
        "fast_peak", "peak, hard hit", Part.GAS, Measure.PRESSURE, _fast_peak,
        "Pressure at full stroke in a hard hit: the air heats and pushes back harder than when slow. "
        "Spacers raise it.",
        kinds=_FIT_AIR,
    ),
    Figure(
        "fast_heat", "heat, hard hit", Part.GAS, Measure.TEMPERATURE,
        lambda s, _: s.air.fast_peak_temperature if s.air else math.nan,
        "How hot the air gets for a moment at full stroke in a hard hit. Longer strokes and spacers "
        "raise it; it cools at once.",
        kinds=_FIT_AIR,
    ),
    Figure(
        "limit", "label's limit", Part.GAS, Measure.PRESSURE, _limit,
        "Most the shock's label lets you pump in. Set pressure must stay under it; the label and the "
        "maker's manual decide.",
        kinds=_FIT_AIR,
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
        kinds=_FIT_AIR,
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


_RIDE_AIR = ("air",)
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
        kinds=_RIDE_AIR,
    ),
    Figure(
        "pull", "negative pull", Part.START, Measure.FORCE, lambda s, _: -s.curve.negative[..., 0],
        "How hard the negative side pulls the shock in at full length. More starts softer; more "
        "negative volume pulls further in.",
        kinds=_RIDE_AIR,
    ),
    Figure(
        "rest", "rests drawn in", Part.START, Measure.TRAVEL,
        lambda s, _: s.air.rest_stroke if s.air else math.nan,
        "How far the shock sits in with no load, where the negative side wins. An earlier port or less "
        "negative pressure lessens it.",
        kinds=_RIDE_AIR,
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
        kinds=_RIDE_AIR,
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


INPUTS: Mapping[str, tuple[str, Measure]] = {
    "rider_mass": ("rider mass", Measure.MASS),
    "scale_mass": ("scale reading", Measure.MASS),
    "total_mass": ("rider and bike", Measure.MASS),
    "rider_share": ("rider's share", Measure.FRACTION),
    "bike_mass": ("bike mass", Measure.MASS),
    "bike_share": ("bike's share", Measure.FRACTION),
    "unsprung_mass": ("unsprung mass", Measure.MASS),
    "slope": ("slope", Measure.ANGLE),
    "sag": ("sag wanted", Measure.FRACTION),
    "temperature": ("temperature", Measure.TEMPERATURE),
    "altitude": ("altitude", Measure.ALTITUDE),
    "wheel_travel": ("wheel travel", Measure.TRAVEL),
    "stroke": ("stroke", Measure.TRAVEL),
    "start": ("ratio at start", Measure.RATIO),
    "middle": ("ratio mid-travel", Measure.RATIO),
    "end": ("ratio at the end", Measure.RATIO),
    "head_angle": ("head angle", Measure.ANGLE),
    "rate": ("spring rate", Measure.SPRING_RATE),
    "preload": ("preload", Measure.TRAVEL),
    "pressure": ("set pressure", Measure.PRESSURE),
    "positive_volume": ("positive volume", Measure.VOLUME),
    "positive_spacers": ("positive spacers", Measure.COUNT),
    "positive_spacer_volume": ("positive spacer takes", Measure.VOLUME),
    "bore": ("bore", Measure.TRAVEL),
    "rod": ("damper rod", Measure.TRAVEL),
    "body": ("damper body or air shaft", Measure.TRAVEL),
    "negative_volume": ("negative volume", Measure.VOLUME),
    "negative_spacers": ("negative spacers", Measure.COUNT),
    "negative_spacer_volume": ("negative spacer takes", Measure.VOLUME),
    "port": ("port at stroke", Measure.TRAVEL),
    "negative_pressure": ("negative pressure", Measure.PRESSURE),
    "negative_rate": ("negative coil's rate", Measure.SPRING_RATE),
    "negative_length": ("negative coil's push", Measure.TRAVEL),
    "friction": ("seal drag", Measure.FORCE),
    "gas_pressure": ("gas pressure", Measure.PRESSURE),
    "gas_volume": ("gas volume", Measure.VOLUME),
    "bumper_length": ("bumper length", Measure.TRAVEL),
    "bumper_force": ("bumper force", Measure.FORCE),
    "lower_leg_volume": ("lower leg volume", Measure.VOLUME),
    "stanchion_diameter": ("stanchion diameter", Measure.TRAVEL),
}
"""By the name of an input what it is called and what it measures."""

FIGURE_KEYS: Mapping[str, str] = {
    "starting_shaft": "start_shaft",
    "starting_wheel": "start_wheel",
    "set_pressure": "set_pressure",
    "rate": "rate",
    "preload": "preload",
    "sag_wheel": "sag_wheel",
    "sag_fraction": "sag_travel",
    "sag_stroke": "sag_shock",
    "sag_stroke_fraction": "sag_stroke",
    "shaft_force": "sag_force",
    "support_25": "support_25",
    "support_50": "support_50",
    "support_75": "support_75",
    "bottom_ratio": "end_ratio",
    "bottom_ratio_without_bumper": "bare_ratio",
    "bottom_wheel_force": "end_force",
    "chord_deviation": "off_line",
    "softest_wheel_rate": "softest_rate",
    "softest_at_wheel": "softest_at",
    "end_ramp": "ramp",
    "end_ramp_without_bumper": "bare_ramp",
    "energy_total": "energy",
    "energy_from_sag": "energy_sag",
    "drop_height": "drop",
    "wheel_rate_at_sag": "wheel_rate",
    "rate_at_sag": "slow_fast_rate",
    "fast_rate_at_sag": "fast_rate",
    "natural_frequency": "bounce",
    "fast_natural_frequency": "bounce",
    "critical_damping": "damping",
    "fast_bottom_shaft": "fast_end",
    "rest_stroke": "rest",
    "equalised_pressure": "port_pressure",
    "compression_ratio": "compression",
    "peak_pressure": "peak",
    "fast_peak_pressure": "fast_peak",
    "fast_peak_temperature": "fast_heat",
    "ride_sag_fraction": "ride_sag",
    "ride_starting_shaft": "ride_start",
    "slow_support_25": "slow_support_25",
    "slow_support_50": "slow_support_50",
    "slow_support_75": "slow_support_75",
    "slow_bottom_ratio": "slow_end_ratio",
    "slow_bottom_wheel_force": "slow_end_force",
    "slow_chord_deviation": "slow_off_line",
    "slow_softest_wheel_rate": "slow_softest_rate",
    "slow_softest_at_wheel": "slow_softest_at",
    "slow_end_ramp": "slow_ramp",
    "slow_energy_total": "slow_energy",
    "slow_energy_from_sag": "slow_energy_sag",
    "slow_drop_height": "slow_drop",
    "slow_wheel_rate_at_sag": "slow_wheel_rate",
    "slow_natural_frequency": "slow_bounce",
    "slow_critical_damping": "slow_damping",
}
"""By the name of a figure that can be swept the key it has in the table of figures, in the order of keys."""


def input_text(name: str, fork: bool) -> str:
    """Return what an input is called, on a `fork` in its words."""
    return spoken(INPUTS[name][0], fork)


def figure_named(name: str, fork: bool = False) -> Figure:
    """Return the words of a figure that can be swept; raises `KeyError` for no such name."""
    pass

    key = FIGURE_KEYS[name]
    return next(figure for figure in every_figure(fork) if figure.key == key)


def figure_text(name: str, fork: bool = False) -> str:
    """Return what a figure is called and what a bare ratio is a ratio of."""
    figure = figure_named(name, fork)
    return f"{figure.label} ({figure.per})" if figure.per else figure.label


def as_read(name: str, swept: Swept) -> Values:
    """Return a figure (setups, n, …) in SI as a person reads it: pressures as on a gauge in the shop."""
    found = swept.figures[name]
    return found - swept.outside if figure_named(name).measure is Measure.PRESSURE else found


def why_not(swept: Swept) -> Iterator[str]:
    """Yield a sentence for every reason why cases cannot be."""
    from tui.job.fault_words import job_fault

    for reason in swept.impossible:
        count = f"{reason.cases} of {swept.outside.size}"
        yield f"{count} cannot be: {job_fault(reason.fault).what}."


_KEY_UNITS: Mapping[Measure, Mapping[str, ShopUnits]] = {
    Measure.TRAVEL: {"_mm": METRIC},
    Measure.FORCE: {"_n": METRIC},
    Measure.SPRING_RATE: {"_n_per_mm": METRIC, "_lbf_per_in": IMPERIAL},
    Measure.WHEEL_RATE: {"_n_per_mm": METRIC},
    Measure.PRESSURE: {"_psi": USUAL, "_bar": METRIC},
    Measure.TEMPERATURE: {"_c": METRIC},
    Measure.ENERGY: {"_j": METRIC},
    Measure.FREQUENCY: {"_hz": METRIC},
    Measure.DAMPING: {"_n_s_per_m": METRIC},
}
"""By measure the units that end a key of the answer, and who writes in them."""
_SETS: Mapping[str, str] = {"riding.": "", "figures.": "slow_", "sag.": "sag_"}
"""By the table of the answer what a figure out of it begins with here, where it is called anything else."""
_IN_SAG: Mapping[str, str] = {
    "sag_wheel_fraction": "sag_fraction",
    "sag_shaft_force": "shaft_force",
}


class Named(NamedTuple):
    """A figure by its own name, and how its key in the answer writes it; None where no unit is named."""

    figure: str
    writing: Writing | None = None


def figure_called(text: str, known: Iterable[str]) -> Named | None:
    """Return the figure among `known` that a text names, such as "natural_frequency_hz"; None for none.

    The table of the answer may stand before it: "riding.support_50".
    """
    names = frozenset(known)
    table = next((table for table in _SETS if text.startswith(table)), "")
    rest = text.removeprefix(table)
    for start in dict.fromkeys((_SETS.get(table, ""), "")):
        found = _with_unit(start + rest, names)
        if found is not None:
            return found
    return None


def _with_unit(text: str, names: frozenset[str]) -> Named | None:
    own = _IN_SAG.get(text, text)
    if own in names:
        return Named(own)
    for measure, units in _KEY_UNITS.items():
        for end, shop in units.items():
            name = text.removesuffix(end)
            name = _IN_SAG.get(name, name)
            if text.endswith(end) and name in names and measure_of(name) is measure:
                return Named(name, shop.writings[measure])
    return None


def measure_of(figure: str) -> Measure | None:
    """Return what a figure measures, None for one that is not in the table of figures."""
    return figure_named(figure).measure if figure in FIGURE_KEYS else None


SAME = "same"
"""Stands where two setups show the same figure."""


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row as text. A heading has only a label; `changes` is empty for the first setup."""

    key: str
    label: str
    unit: str = ""
    values: tuple[str, ...] = ()
    changes: tuple[str, ...] = ()

    @property
    def is_heading(self) -> bool:
        """Whether the row only names the part of the ride below it."""
        return not self.key


def figure_rows(answer: Answer, units: ShopUnits) -> tuple[TableRow, ...]:
    """Return the rows of the table, a heading above each part of the ride."""
    states = tuple(STATES[setup.state] for setup in answer.setups)
    rows = [TableRow(STATE_KEY, STATE_LABEL, "", states, ("",) * len(states))]
    part = None
    for figure in figures_for(answer.setups, answer.frame.fork):
        if figure.part is not part:
            part = figure.part
            rows.append(TableRow("", part.value))
        rows.append(_row(figure, answer, units))
    return tuple(rows)


def _row(figure: Figure, answer: Answer, units: ShopUnits) -> TableRow:
    numbers = [read_figure(figure, setup, answer) for setup in answer.setups]
    values = tuple(
        _marked(figure, setup, units.plain(number, figure.measure))
        for setup, number in zip(answer.setups, numbers, strict=True)
    )
    changes = ("", *(change(figure, units, numbers[0], other) for other in numbers[1:]))
    return TableRow(figure.key, figure.label, units.unit(figure.measure) or figure.per, values, changes)


def _marked(figure: Figure, setup: SetupAnswer, value: str) -> str:
    over = figure.key == "set_pressure" and any(found.code == "over_label" for found in setup.cautions)
    return f"{OVER}{value}" if over else value


def change(figure: Figure, units: ShopUnits, first: float, other: float) -> str:
    """Return the change from one setup's figure to another's, both as they are shown.

    A difference of the rounded numbers, so that it agrees with what a person subtracts; a quotient where
    the figure asks for one.
    """
    shown = units.plain(first, figure.measure), units.plain(other, figure.measure)
    if ABSENT in shown:
        return ABSENT
    if shown[0] == shown[1]:
        return SAME
    if figure.by_ratio:
        ratio = other / first if first else math.inf
        return f"x {ratio:.2f}" if math.isfinite(ratio) else ABSENT
    return f"{float(shown[1]) - float(shown[0]):+.{units.writings[figure.measure].digits}f}"
