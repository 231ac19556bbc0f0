"""The keys of a job file and what each one takes; the only place that lists them."""

from __future__ import annotations

from dataclasses import dataclass

from physics.units import Dimension

_MM = 1e-3


@dataclass(frozen=True, slots=True)
class Quantity:
    """A string with a unit. `low` [SI] is the least value, itself allowed only with `closed`."""

    dimension: Dimension
    required: bool = False
    low: float = 0.0
    closed: bool = False
    high: float = float("inf")
    solve: bool = False


@dataclass(frozen=True, slots=True)
class Number:
    """A bare number between `low` and `high`, the ends allowed only with `closed`; `whole` for counts."""

    required: bool = False
    low: float = 0.0
    high: float = float("inf")
    closed: bool = False
    whole: bool = False


@dataclass(frozen=True, slots=True)
class Word:
    """Text; one of `choices` where there are any."""

    choices: tuple[str, ...] = ()
    required: bool = False


@dataclass(frozen=True, slots=True)
class Column:
    """An array of at least `least` bare numbers not below zero; `scale` turns them into SI."""

    scale: float = 1.0
    least: int = 2
    required: bool = True


@dataclass(frozen=True, slots=True)
class Group:
    """A table of its own below a key."""

    fields: dict[str, Field]


Field = Quantity | Number | Word | Column | Group
Fields = dict[str, Field]

_LENGTH = Quantity(Dimension.LENGTH)
_LENGTH_DUE = Quantity(Dimension.LENGTH, required=True)
_LENGTH_OR_ZERO = Quantity(Dimension.LENGTH, closed=True)
_MASS = Quantity(Dimension.MASS)
_SHARE = Number(high=1.0, closed=True)
_VOLUME = Quantity(Dimension.VOLUME)
_VOLUME_OR_ZERO = Quantity(Dimension.VOLUME, closed=True)
_COUNT = Number(closed=True, whole=True)
_PRESSURE = Quantity(Dimension.PRESSURE)

LOAD: Fields = {
    "rider_mass": _MASS,
    "rider_share": _SHARE,
    "posture": Word(("standing", "seated")),
    "bike_mass": _MASS,
    "bike_share": _SHARE,
    "scale_mass": _MASS,
    "unsprung_mass": Quantity(Dimension.MASS, required=True, closed=True),
}
FRAME: Fields = {"wheel_travel": _LENGTH_DUE, "stroke": _LENGTH_DUE, "eye_to_eye": _LENGTH}
LEVERAGE: dict[str, Fields] = {
    "ends": {"start": Number(required=True), "end": Number(required=True), "middle": Number()},
    "table": {"travel_mm": Column(_MM), "ratio": Column()},
    "measured": {"travel_mm": Column(_MM), "stroke_mm": Column(_MM)},
    "fork": {"head_angle": Quantity(Dimension.ANGLE, required=True, high=1.5707963267948966)},
}
TARGET: Fields = {
    "sag": Quantity(Dimension.FRACTION, required=True, high=1.0),
    "of": Word(("travel", "stroke")),
}
AMBIENT: Fields = {
    "temperature": Quantity(Dimension.TEMPERATURE),
    "altitude": Quantity(Dimension.LENGTH, low=-1000.0, high=11000.0, closed=True),
}
_EVERY_SETUP: Fields = {
    "name": Word(required=True),
    "kind": Word(("coil", "air"), required=True),
    "friction": Quantity(Dimension.FORCE, closed=True),
    "mass": _MASS,
    "rod": _LENGTH_OR_ZERO,
    "gas_pressure": _PRESSURE,
    "gas_volume": _VOLUME,
    "bumper_length": _LENGTH,
    "bumper_force": Quantity(Dimension.FORCE),
}
SETUP: dict[str, Fields] = {
    "coil": _EVERY_SETUP
    | {
        "rate": Quantity(Dimension.SPRING_RATE, solve=True),
        "stages": Group({"compression_mm": Column(_MM, 1), "rate_n_per_mm": Column(1000.0, 1)}),
        "preload": _LENGTH_OR_ZERO,
        "preload_turns": Number(closed=True),
        "thread_pitch": _LENGTH,
        "max_preload_turns": Number(),
        "free_length": _LENGTH,
        "solid_length": _LENGTH,
        "rated_stroke": _LENGTH,
        "ladder_step": Quantity(Dimension.SPRING_RATE),
    },
    "air": _EVERY_SETUP
    | {
        "pressure": Quantity(Dimension.PRESSURE, required=True, solve=True),
        "bore": _LENGTH_DUE,
        "body": _LENGTH_OR_ZERO,
        "positive_volume": Quantity(Dimension.VOLUME, required=True),
        "positive_spacers": _COUNT,
        "positive_spacer_volume": _VOLUME_OR_ZERO,
        "negative": Word(("equalised", "separate", "mechanical", "none"), required=True),
        "negative_volume": _VOLUME,
        "negative_spacers": _COUNT,
        "negative_spacer_volume": _VOLUME_OR_ZERO,
        "port": _LENGTH_OR_ZERO,
        "negative_pressure": Quantity(Dimension.PRESSURE, closed=True),
        "negative_rate": Quantity(Dimension.SPRING_RATE),
        "negative_length": _LENGTH,
        "max_pressure": _PRESSURE,
        "hose_volume": _VOLUME_OR_ZERO,
    },
}
NEGATIVE_NEEDS: dict[str, tuple[str, ...]] = {
    "equalised": ("negative_volume", "port"),
    "separate": ("negative_volume", "negative_pressure"),
    "mechanical": ("negative_rate", "negative_length"),
    "none": (),
}
TOP = ("format", "title", "load", "frame", "target", "ambient", "setup")
