"""The keys of a job file and what each one takes; the only place that lists them.

Every range is wide enough for whatever rolls into a shop and narrow enough that a slip of the unit, or
thousands taken for decimals, is caught where it was typed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from physics.limits import HIGHEST_PRESSURE
from physics.units import Dimension, accepted, in_unit, named, quoted
from physics.wire_stock import COIL_ENDS, GRADES, MATERIALS
from tui.job.choices import WORDS
from tui.job.tree import Raw, Tree

if TYPE_CHECKING:
    from physics.case import Extra

_MM = 1e-3
_CM3 = 1e-6
_DEGREE = 0.017453292519943295
_N_PER_MM = 1e3
_LBF_PER_IN = 0.45359237 * 9.80665 / 0.0254


@dataclass(frozen=True, slots=True)
class Quantity:
    """A string with a unit, from `low` to `high` [SI]; `low` itself is allowed only with `closed`.

    A fraction may be a bare number as well. With `solve` it may be "solve", with `none` it may be "none".
    """

    dimension: Dimension
    high: float
    low: float = 0.0
    closed: bool = False
    required: bool = False
    solve: bool = False
    none: bool = False


@dataclass(frozen=True, slots=True)
class Number:
    """A bare number from `low` to `high`; `low` itself only with `closed`; `whole` for counts."""

    high: float
    low: float = 0.0
    closed: bool = False
    required: bool = False
    whole: bool = False


@dataclass(frozen=True, slots=True)
class Word:
    """Text; one of `choices` where there are any."""

    choices: tuple[str, ...] = ()
    required: bool = False


@dataclass(frozen=True, slots=True)
class Picked:
    """One of `choices`, or an array of several of them, each once."""

    choices: tuple[str, ...]
    required: bool = False


@dataclass(frozen=True, slots=True)
class Column:
    """An array of `least` to `most` bare numbers from `low` to `high`; `scale` turns them into SI."""

    high: float
    low: float = 0.0
    scale: float = 1.0
    least: int = 2
    most: int = 1000
    required: bool = True


@dataclass(frozen=True, slots=True)
class Points:
    """A table of `least` to `most` places by name, each two bare numbers from `low` to `high`."""

    high: float
    low: float
    least: int = 3
    most: int = 40
    required: bool = False


@dataclass(frozen=True, slots=True)
class Names:
    """An array of `least` to `most` names of points, or of pairs of them with `pairs`."""

    most: int
    least: int = 1
    pairs: bool = False
    required: bool = True


@dataclass(frozen=True, slots=True)
class Group:
    """A table of its own below a key."""

    fields: dict[str, Field]


Field = Quantity | Number | Word | Picked | Column | Points | Names | Group
Fields = dict[str, Field]


def _length(
    high: float, low: float = 0.0, *, closed: bool = False, required: bool = False, none: bool = False
) -> Quantity:
    return Quantity(Dimension.LENGTH, high, low, closed, required, none=none)


def _rate(*, solve: bool = False) -> Quantity:
    return Quantity(Dimension.SPRING_RATE, 1e4 * _N_PER_MM, 0.1 * _N_PER_MM, closed=True, solve=solve)


def _volume(*, required: bool = False, none: bool = False) -> Quantity:
    return Quantity(Dimension.VOLUME, 10_000 * _CM3, 0.1 * _CM3, closed=True, required=required, none=none)


def _force(high: float) -> Quantity:
    return Quantity(Dimension.FORCE, high, closed=True)


def _pressure(*, required: bool = False, solve: bool = False, none: bool = False) -> Quantity:
    return Quantity(
        Dimension.PRESSURE, HIGHEST_PRESSURE, closed=True, required=required, solve=solve, none=none
    )


_TEXT = Word()
_MASS = Quantity(Dimension.MASS, 500.0)
_SHARE = Quantity(Dimension.FRACTION, 1.0, closed=True)
_RATIO = Number(10.0, 0.1, closed=True)
_RATIO_DUE = Number(10.0, 0.1, closed=True, required=True)
_COUNT = Number(100, closed=True, whole=True)
_TRAVEL = _length(600 * _MM, _MM, closed=True)
_TRAVEL_DUE = _length(600 * _MM, _MM, closed=True, required=True)
_DIAMETER_OR_NONE = _length(200 * _MM, closed=True)
_COIL_DIAMETER = _length(200 * _MM, 5 * _MM, closed=True)
_COILS = Number(50.0, 1.0, closed=True)
_SPACER_VOLUME = Quantity(Dimension.VOLUME, 1000 * _CM3, closed=True)

LOAD: Fields = {
    "rider_mass": _MASS,
    "rider_share": _SHARE,
    "posture": Word(("standing", "seated")),
    "bike_mass": _MASS,
    "bike_share": _SHARE,
    "scale_mass": _MASS,
    "unsprung_mass": Quantity(Dimension.MASS, 100.0, closed=True, required=True),
    "geometry": Group(
        {
            "wheelbase": _length(3.0, 0.3, closed=True, required=True),
            "mass_behind_front": _length(3.0, closed=True, required=True),
            "mass_height": _length(3.0, closed=True, required=True),
            "slope": Quantity(Dimension.ANGLE, 60 * _DEGREE, -60 * _DEGREE, closed=True),
            "wheel": Word(("front", "rear")),
        }
    ),
}
FRAME: Fields = {
    "name": _TEXT,
    "wheel_travel": _TRAVEL_DUE,
    "stroke": _TRAVEL_DUE,
    "eye_to_eye": _length(1.5, 10 * _MM, closed=True),
}
FORK: Fields = FRAME | {"wheel_travel": _TRAVEL}
"""The frame of a fork, whose wheel travel follows from its stroke and head angle."""
_TRAVEL_COLUMN = Column(600.0, scale=_MM)
_NAME_DUE = Word(required=True)
LEVERAGE: dict[str, Fields] = {
    "ends": {"start": _RATIO_DUE, "end": _RATIO_DUE, "middle": _RATIO},
    "table": {"travel_mm": _TRAVEL_COLUMN, "ratio": Column(10.0, 0.1)},
    "measured": {"travel_mm": _TRAVEL_COLUMN, "stroke_mm": _TRAVEL_COLUMN},
    "linkage": {
        "points_mm": Points(5000.0, -5000.0),
        "points_px": Points(100_000.0, -100_000.0),
        "known": Group(
            {"from": _NAME_DUE, "to": _NAME_DUE, "length": _length(3.0, 10 * _MM, closed=True, required=True)}
        ),
        "level": Group({"from": _NAME_DUE, "to": _NAME_DUE}),
        "fixed": Names(40),
        "bars": Names(100, pairs=True),
        "axle": _NAME_DUE,
        "shock": Names(2, 2),
    },
    "fork": {"head_angle": Quantity(Dimension.ANGLE, 89 * _DEGREE, 20 * _DEGREE, closed=True, required=True)},
}
TARGET: Fields = {
    "sag": Quantity(Dimension.FRACTION, 0.99, required=True),
    "of": Word(("travel", "stroke")),
}
AMBIENT: Fields = {
    "temperature": Quantity(Dimension.TEMPERATURE, 333.15, 233.15, closed=True),
    "altitude": Quantity(Dimension.LENGTH, 11_000.0, -1000.0, closed=True),
}
TOLERANCE: Fields = {
    "scale": Quantity(Dimension.MASS, 50.0, closed=True),
    "gauge": Quantity(Dimension.PRESSURE, 20e5, closed=True),
    "rate": Quantity(Dimension.FRACTION, 0.5, closed=True),
    "volume": Quantity(Dimension.VOLUME, 100 * _CM3, closed=True),
    "share": Quantity(Dimension.FRACTION, 0.2, closed=True),
}
_EVERY_SETUP: Fields = {
    "name": Word(required=True),
    "shock": _TEXT,
    "friction": _force(5000.0),
    "mass": Quantity(Dimension.MASS, 20.0),
    "rod": _DIAMETER_OR_NONE,
    "gas_pressure": _pressure(none=True),
    "gas_volume": _volume(),
    "bumper_length": _length(600 * _MM, 0.1 * _MM, closed=True, none=True),
    "bumper_force": _force(100_000.0),
    "lower_leg_volume": _volume(none=True),
    "stanchion_diameter": _length(200 * _MM, 5 * _MM, closed=True),
}
SETUP: dict[str, Fields] = {
    "coil": _EVERY_SETUP
    | {
        "rate": _rate(solve=True),
        "stages": Group(
            {
                "compression_mm": Column(600.0, scale=_MM, least=1),
                "rate_n_per_mm": Column(1e4, 0.1, _N_PER_MM, least=1),
            }
        ),
        "preload": _length(200 * _MM, closed=True),
        "preload_turns": Number(100.0, closed=True),
        "thread_pitch": _length(20 * _MM, 0.1 * _MM, closed=True),
        "max_preload_turns": Number(100.0),
        "free_length": _length(1.0, _MM, closed=True),
        "solid_length": _length(1.0, _MM, closed=True),
        "rated_stroke": _TRAVEL,
        "wire_diameter": _length(30 * _MM, 0.5 * _MM, closed=True),
        "inner_diameter": _COIL_DIAMETER,
        "outer_diameter": _COIL_DIAMETER,
        "mean_diameter": _COIL_DIAMETER,
        "active_coils": _COILS,
        "total_coils": _COILS,
        "ends": Word(tuple(COIL_ENDS)),
        "material": Word(tuple(MATERIALS)),
        "grade": Number(max(GRADES), min(GRADES), closed=True, whole=True),
        "ladder_step": _rate(),
        "ladder_lbf_per_in": Column(50_000.0, 1.0, _LBF_PER_IN, least=1, required=False),
    },
    "air": _EVERY_SETUP
    | {
        "pressure": _pressure(required=True, solve=True),
        "bore": _length(200 * _MM, _MM, closed=True, required=True),
        "body": _DIAMETER_OR_NONE,
        "positive_volume": _volume(required=True),
        "positive_spacers": _COUNT,
        "positive_spacer_volume": _SPACER_VOLUME,
        "negative": Word(("equalised", "separate", "mechanical", "none"), required=True),
        "negative_volume": _volume(),
        "negative_spacers": _COUNT,
        "negative_spacer_volume": _SPACER_VOLUME,
        "port": _length(600 * _MM, closed=True),
        "negative_pressure": _pressure(),
        "negative_rate": _rate(),
        "negative_length": _length(600 * _MM, 0.1 * _MM, closed=True),
        "max_pressure": Quantity(Dimension.PRESSURE, HIGHEST_PRESSURE),
        "hose_volume": _SPACER_VOLUME,
    },
}
EXTRAS: dict[Extra, tuple[str, str]] = {
    "gas": ("gas_pressure", "gas_volume"),
    "bumper": ("bumper_length", "bumper_force"),
    "lower_legs": ("lower_leg_volume", "stanchion_diameter"),
}
"""What a shock or fork has besides its spring: two keys, both or neither, or "none" at the first."""
NEGATIVE_NEEDS: dict[str, tuple[str, ...]] = {
    "equalised": ("negative_volume", "port"),
    "separate": ("negative_volume", "negative_pressure"),
    "mechanical": ("negative_rate", "negative_length"),
    "none": (),
}
_CLICKS = Number(200, closed=True, whole=True)
RECORD: Fields = {"customer": _TEXT, "ticket": _TEXT, "bike": _TEXT}
MEASURED: Fields = {
    "setup": _TEXT,
    "sag": _length(600 * _MM, closed=True),
    "of": Word(("travel", "stroke")),
    "gauge": _pressure(),
    "rebound_clicks": _CLICKS,
    "compression_clicks": _CLICKS,
    "tyre": Quantity(Dimension.PRESSURE, 10e5, closed=True),
    "scale": _MASS,
}
"""What was read off the bike; `setup` is the name of the one that was on it."""
RIDDEN: Fields = {"symptom": Picked(WORDS), "words": _TEXT}
TOP = (
    "format", "title", "unconfirmed", "record", "load", "frame", "target", "ambient", "ride", "tolerance",
    "setup", "measured", "ridden", "front",
)  # fmt: skip


_LONGEST_NUMBER = 10**15


def takes(field: Field) -> str:
    """Say what a field takes."""
    match field:
        case Quantity(solve=True):
            return f'{accepted(field.dimension)}, or "solve"'
        case Quantity(none=True):
            return f'{accepted(field.dimension)}, or "none"'
        case Quantity():
            return accepted(field.dimension)
        case Number():
            whole = "whole " if field.whole else ""
            return f"a bare {whole}number {_span(field, _plain(field.low), _plain(field.high))} is accepted"
        case Word(choices=choices) if choices:
            return f"one of {', '.join(choices)} is accepted"
        case Picked(choices=choices):
            return f"use one of {', '.join(choices)}, or a list of several"
        case Column():
            return f"a list of {field.least} to {field.most} bare numbers is accepted"
        case Points():
            count = f"{field.least} to {field.most}"
            return f"a table of {count} points is accepted, each as in axle = [430, 5]"
        case Names(pairs=True):
            return f'an array of up to {field.most} pairs of points is accepted, such as ["main", "axle"]'
        case Names():
            count = str(field.most) if field.least == field.most else f"{field.least} to {field.most}"
            return f"an array of {count} names of points is accepted"
        case _:
            return "text that is not empty is accepted"


def takes_each(column: Column | Points) -> str:
    """Say what each number of a column or a place may be."""
    return f"a bare number from {_plain(column.low)} to {_plain(column.high)} is accepted"


def takes_range(field: Quantity, unit: str) -> str:
    """Say the range a field takes, in the unit somebody typed."""
    # A bare 30 is a slip for 30 % more often than anything else.
    percent = ', such as "30 %" or 0.30,' if field.dimension is Dimension.FRACTION and not unit else ""
    low, high = (
        f"{_plain(in_unit(si, unit, field.dimension))} {unit}".rstrip() for si in (field.low, field.high)
    )
    return f"{named(field.dimension)} {_span(field, low, high)}{percent} is accepted"


def shown(raw: Raw) -> str:
    """Name a raw value as it was typed; only what it is where that would be long."""
    match raw:
        case Tree():
            return "a table"
        case tuple():
            return "an array"
        case str():
            return quoted(raw)
        case bool():
            return str(raw).lower()
        case int() if abs(raw) > _LONGEST_NUMBER:
            return "this long number"
        case _:
            return str(raw)


def _span(field: Number | Quantity, low: str, high: str) -> str:
    return f"from {low} to {high}" if field.closed else f"above {low} and up to {high}"


def _plain(number: float) -> str:
    return f"{float(f'{number:.4g}'):.10f}".rstrip("0").rstrip(".")
