"""The quantities that columns of a table may hold, and the heads by which they are recognized."""

from __future__ import annotations

import re
from collections.abc import Mapping

from physics.frozen import dataclass
from physics.units import Dimension, UnitFault, parse


@dataclass(frozen=True, slots=True)
class Role:
    """A quantity in a column: its `name`, the `word` for it in an answer, and its upper limit `most` [SI]."""

    name: str
    word: str
    dimension: Dimension
    most: float


@dataclass(frozen=True, slots=True)
class Subject:
    """A kind of table.

    `rules` map column heads to roles, the first match counts; None is another quantity. `sets` are the
    columns that make a table, the fullest first. `bare` are the columns of a two-column table without
    heads, `example` is a complete line of heads.
    """

    rules: tuple[tuple[Role | None, tuple[str, ...]], ...]
    sets: tuple[tuple[Role, ...], ...]
    bare: tuple[Role, ...]
    example: str

    @property
    def roles(self) -> tuple[Role, ...]:
        """Every quantity the table may have."""
        return tuple(dict.fromkeys(role for roles in self.sets for role in roles))


TRAVEL = Role("wheel travel", "travel", Dimension.LENGTH, 0.6)
STROKE = Role("shock stroke", "stroke", Dimension.LENGTH, 0.6)
RATIO = Role("leverage ratio", "ratio", Dimension.FRACTION, 10.0)
SHAFT = Role("stroke", "stroke", Dimension.LENGTH, 0.6)
FORCE = Role("force", "force", Dimension.FORCE, 1e5)
SPEED = Role("shaft speed", "speed", Dimension.SPEED, 20.0)

_MOVES = (
    "velocity", "speed", "acceleration", "rate", "energy", "work", "angle", "temperature", "pressure",
    "power",
)  # fmt: skip
_ELSE = ("time", "date", "duration", *_MOVES)
_NOT_LEVERAGE = (*_ELSE, "force", "load", "length", "chain", "squat", "growth", "path", "horizontal", "mass")
LOOP = Subject(
    rules=(
        (None, _ELSE),
        (FORCE, ("force", "load")),
        (SHAFT, ("stroke", "travel", "displacement", "position", "compression", "deflection")),
    ),
    sets=((SHAFT, FORCE),),
    bare=(SHAFT, FORCE),
    example="stroke [mm], force [N]",
)
"""Readings of a spring tester."""
DAMPER = Subject(
    rules=(
        (SPEED, ("velocity", "speed")),
        (FORCE, ("force", "load")),
        (None, (*_ELSE, "stroke", "travel", "position", "displacement")),
    ),
    sets=((SPEED, FORCE),),
    bare=(SPEED, FORCE),
    example="speed [m/s], force [N]",
)
"""Readings of a damper tester."""
LEVERAGE = Subject(
    rules=(
        (RATIO, ("ratio", "lever")),
        (None, _NOT_LEVERAGE),
        (TRAVEL, ("wheel", "axle")),
        (STROKE, ("shock", "stroke", "compression", "damper", "shaft")),
        (TRAVEL, ("travel", "vertical", "displacement")),
    ),
    sets=((TRAVEL, STROKE, RATIO), (TRAVEL, RATIO), (TRAVEL, STROKE), (STROKE, RATIO)),
    bare=(),
    example="wheel travel [mm], leverage ratio",
)
"""Leverage curve of a frame."""

TIME = Role("time", "time", Dimension.TIME, 1e11)
LOGGED_SHOCK = Role("shock stroke", "shock", Dimension.LENGTH, 0.6)
LOGGED_FORK = Role("fork travel", "fork", Dimension.LENGTH, 0.6)
LOGGED_WHEEL = Role("rear wheel travel", "wheel", Dimension.LENGTH, 0.6)
LOGGED = Subject(
    rules=(
        (
            None,
            (
                *_MOVES,
                "date",
                "force",
                "load",
                "gps",
                "latitude",
                "longitude",
                "altitude",
                "heading",
                "brake",
            ),
        ),
        (TIME, ("time", "timestamp", "elapsed", "duration", "clock")),
        (LOGGED_FORK, ("fork", "front")),
        (LOGGED_WHEEL, ("wheel", "axle")),
        (LOGGED_SHOCK, ("shock", "stroke", "damper", "shaft")),
    ),
    sets=(
        (TIME, LOGGED_SHOCK, LOGGED_FORK),
        (TIME, LOGGED_WHEEL, LOGGED_FORK),
        (TIME, LOGGED_SHOCK),
        (TIME, LOGGED_FORK),
        (TIME, LOGGED_WHEEL),
    ),
    bare=(),
    example="time [s], shock stroke [mm]",
)
"""What a logger on the bike records."""


_UNITS: Mapping[Dimension, Mapping[str, str]] = {
    Dimension.LENGTH: {unit: unit for unit in ("mm", "cm", "m", "in", "inch")}
    | {"inches": "inch"}
    | dict.fromkeys(("millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    # A scale reads kilograms or pounds of weight.
    Dimension.FORCE: {unit: unit for unit in ("N", "kN", "daN", "lbf", "kgf", "kp")}
    | {"lb": "lbf", "lbs": "lbf", "kg": "kgf", "newton": "N", "newtons": "N"},
    Dimension.TIME: {unit: unit for unit in ("s", "ms", "us", "min")}
    | {"µs": "us", "μs": "us"}
    | dict.fromkeys(("sec", "secs", "second", "seconds"), "s")
    | dict.fromkeys(("msec", "millis", "millisecond", "milliseconds"), "ms")
    | dict.fromkeys(("usec", "micros", "microsecond", "microseconds"), "us"),
    Dimension.SPEED: {unit: unit for unit in ("m/s", "mm/s", "in/s", "cm/s")},
    Dimension.FRACTION: dict.fromkeys(("-", "1", ": 1", ":1"), ""),
}
"""Units in column heads by their spelling."""
_EXAMPLES = {
    Dimension.LENGTH: "mm, cm, m, in",
    Dimension.FORCE: "N, kN, daN, lbf, kgf, lb, kg",
    Dimension.TIME: "s, ms, us",
    Dimension.SPEED: "m/s, mm/s, in/s",
}
_LOWER = {
    dimension: {text.lower(): unit for text, unit in units.items() if len(text) > 1}
    for dimension, units in _UNITS.items()
}
BRACKETS = re.compile(r"[\[({<]([^\])}>]*)[\])}>]")
"""Bracketed text in a column head, usually the unit."""
_WORD = re.compile(r"[^\W\d_]+")
_QUOTIENT = re.compile(r"([^\W\d_]+)/[^\W\d_]+")
_WHOLE_WORDS = 5
"""Length below which a word must match as a whole: "rate" also occurs within other words."""


def role_by_words(head: str, subject: Subject) -> tuple[bool, Role | None]:
    """Return whether a column head names a quantity, and the role of the subject it is."""
    parted = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", head)
    words = [word.lower() for word in _WORD.findall(parted)]
    for role, names in subject.rules:
        if any(_means(word, name) for word in words for name in names):
            fits = role is not None and not _contradicts(head, role.dimension)
            return True, role if fits else None
    return False, None


def _means(word: str, name: str) -> bool:
    return word == name if len(name) < _WHOLE_WORDS else word.startswith(name) or word.endswith(name)


def _contradicts(head: str, dimension: Dimension) -> bool:
    """Return whether the bracketed unit is of another dimension, such as a share."""
    inside = [part.strip() for part in BRACKETS.findall(head)]
    if "%" in inside:
        return True
    others = [_known(part, other) for part in inside for other in _UNITS if other is not dimension]
    return any(unit is not None for unit in others) and not any(_known(part, dimension) for part in inside)


def unit_in(head: str, dimension: Dimension) -> str | None:
    """Return the unit of a dimension in a column head, None if there is none."""
    inside = [part.strip() for part in BRACKETS.findall(head)]
    known = next((unit for part in inside if (unit := _known(part, dimension)) is not None), None)
    if known is not None:
        return known
    if dimension is Dimension.FRACTION:
        return None
    for quotient in _QUOTIENT.finditer(head):
        if (unit := _known(quotient[0], dimension)) is not None:
            return unit
    words = _WORD.findall(_QUOTIENT.sub(_without_rates, head))
    for place, word in enumerate(reversed(words)):
        unit = _known(word, dimension)
        # "in" is also a word, unless it comes last.
        if unit is not None and (unit != "in" or place == 0):
            return unit
    return next((part for part in inside if _factor(part, dimension) is not None), None)


def _without_rates(quotient: re.Match[str]) -> str:
    """Return "name/unit" unchanged, but remove a unit over a unit such as mm/s."""
    is_rate = any(_known(quotient[1], dimension) is not None for dimension in _UNITS)
    return "" if is_rate else quotient[0]


def factor_of(unit: str, role: Role) -> float | None:
    """Return SI per unit of a role, None if the unit is of another dimension or unknown."""
    known = _known(unit.strip(), role.dimension)
    return _factor(unit.strip() if known is None else known, role.dimension)


def unit_examples(role: Role) -> str:
    """Return examples of units for a role."""
    return _EXAMPLES.get(role.dimension, "")


def _known(text: str, dimension: Dimension) -> str | None:
    return _UNITS[dimension].get(text) if text in _UNITS[dimension] else _LOWER[dimension].get(text.lower())


def _factor(unit: str, dimension: Dimension) -> float | None:
    try:
        return parse(f"1 {unit}", dimension)[0]
    except UnitFault:
        return None
