"""What columns of a table may hold, and the words above them that say so."""

from __future__ import annotations

from dataclasses import dataclass

from physics.units import Dimension


@dataclass(frozen=True, slots=True)
class Role:
    """A quantity in a column: its `name`, the `word` for it in an answer, the `most` it may be [SI]."""

    name: str
    word: str
    dimension: Dimension
    most: float


@dataclass(frozen=True, slots=True)
class Subject:
    """A kind of table.

    `rules` say which words above a column mean what, the first that fits; None is something else. `sets` are
    the columns that make a table, the fullest first. `bare` are the columns of a table of two without words,
    `example` is a line above columns that says all.
    """

    rules: tuple[tuple[Role | None, tuple[str, ...]], ...]
    sets: tuple[tuple[Role, ...], ...]
    bare: tuple[Role, ...]
    example: str

    @property
    def roles(self) -> tuple[Role, ...]:
        """Every quantity it may have."""
        return tuple(dict.fromkeys(role for roles in self.sets for role in roles))


TRAVEL = Role("wheel travel", "travel", Dimension.LENGTH, 0.6)
STROKE = Role("shock stroke", "stroke", Dimension.LENGTH, 0.6)
RATIO = Role("leverage ratio", "ratio", Dimension.FRACTION, 10.0)
SHAFT = Role("stroke", "stroke", Dimension.LENGTH, 0.6)
FORCE = Role("force", "force", Dimension.FORCE, 1e5)

_ELSE = (
    "time", "date", "duration", "velocity", "speed", "acceleration", "rate", "energy", "work", "angle",
    "temperature", "pressure", "power",
)  # fmt: skip
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
"""How a frame moves its shock."""
