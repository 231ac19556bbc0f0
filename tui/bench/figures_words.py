"""The figures of a setup as a mechanic meets them: a name, a unit, a place in the ride and a meaning."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from functools import cache
from typing import TYPE_CHECKING

from tui.jobs.fork_words import spoken
from tui.shop_units import Measure

if TYPE_CHECKING:
    from physics.answer import Answer, SetupAnswer
    from physics.arrays import Values

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
    from tui.bench.figures_words_fit import FIT, GAS, OUT_THERE, WEIGHT
    from tui.bench.figures_words_ride import END, MIDDLE, SLOW, START, TIMING

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
