"""Settings a mechanic can change on a spring at constant sag.

An air spring has its spacers, the pressure of a negative chamber with its own valve and, if other chambers
are available, volumes and port, the spacers then fixed; its set pressure follows from the sag. A coil has its
rate, in stock steps; its preload follows from the sag.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field, replace
from functools import reduce
from typing import Literal

import numpy as np

from physics.air import negative_volume, positive_area, positive_volume
from physics.arrays import Marks, Scalar, Values, values
from physics.case import Ambient, Case, Coil, EqualisedNegative, SeparateNegative, Setup, Target
from physics.chamber import LEAST_VOLUME
from physics.faults import Limit
from physics.frozen import dataclass
from physics.inputs import SETUP_INPUTS
from physics.leverage import LeverageCurve
from physics.offered import beyond_limits, highest_pressure
from physics.shock import air_of, coil_of, pressure_of, with_pressure
from physics.solve import coil_force_due, rate_for, solved_pressure
from physics.spacing import MOST_SPACERS
from physics.stand import Stand

MOST_PRELOAD = 0.004
"""Largest preload [m] if turns and pitch are not known: common practice, no source."""
VOLUME_REACH, NEGATIVE_REACH, PORT_REACH = (0.7, 1.3), (0.3, 2.0), (0.02, 0.35)
"""Range of available chambers, relative to the typed volumes, of ports relative to the stroke; assumed."""
_INPUTS = {one.name: one for one in SETUP_INPUTS}
_HAIR = 1e-6
"""Fraction of a step within which a number counts as writable."""
_BESIDE = (0, 1, -1, 2)
"""Steps from the written number below a setting, in order of trial."""


@dataclass(frozen=True, slots=True)
class Knob:
    """One number of a setup, by its name in the job file, with its limits [SI]; `whole` marks a count."""

    name: str
    low: float
    high: float
    whole: bool = False

    def now(self, setup: Setup) -> float:
        """Return its present value, clipped to the limits; the middle if it is still to be solved."""
        here = _INPUTS[self.name].read(setup)
        middle = (self.low + self.high) / 2
        return float(np.clip(middle if here is None else float(values(here)), self.low, self.high))


@dataclass(frozen=True, slots=True)
class Grain:
    """Resolution of written settings: by name the step [SI], and the origin [SI] of the steps."""

    steps: Mapping[str, float]
    zeros: Mapping[str, float] = field(default_factory=dict)

    def nearest(self, name: str, numbers: Scalar) -> Values:
        """Return the written numbers nearest to some.

        >>> Grain({"pressure": 10.0}, {"pressure": 3.0}).nearest("pressure", 21.0).tolist()
        23.0
        """
        return self._number(name, np.round(self._steps(name, numbers)))

    def below(self, name: str, numbers: Scalar) -> Values:
        """Return the written numbers not above some.

        >>> Grain({"pressure": 10.0}, {"pressure": 3.0}).below("pressure", 21.0).tolist()
        13.0
        """
        return self._number(name, np.floor(self._steps(name, numbers) + _HAIR))

    def beside(self, name: str, number: float, low: float, high: float) -> Values:
        """Return written numbers around one within two limits, nearest first; itself if there is none."""
        tried = self.below(name, number) + np.array(_BESIDE) * self.steps[name]
        hair = _HAIR * self.steps[name]
        within = tried[(tried >= low - hair) & (tried <= high + hair)]
        order = np.argsort(np.abs(within - number), kind="stable")
        return values(within[order] if within.size else [number])

    def _steps(self, name: str, numbers: Scalar) -> Values:
        return values((values(numbers) - self.zeros.get(name, 0.0)) / self.steps[name])

    def _number(self, name: str, steps: Values) -> Values:
        return values(steps * self.steps[name] + self.zeros.get(name, 0.0))


@dataclass(frozen=True, slots=True)
class Bound:
    """The limits [SI] of a searched setting, and which of them it is at, if any."""

    name: str
    low: float
    high: float
    on: Literal["", "low", "high"]


@dataclass(frozen=True, slots=True)
class Hardware:
    """A setup and its knobs on a bike, every setting of which has `sag` under the rider."""

    setup: Setup
    bike: Stand
    sag: Target
    knobs: tuple[Knob, ...]

    def now(self) -> Values:
        """Return the present settings, (knobs, 1)."""
        return values([[knob.now(self.setup)] for knob in self.knobs]).reshape(len(self.knobs), 1)

    def possible(self, numbers: Values) -> Marks:
        """Return which settings (knobs, n) leave air in every chamber."""
        setup = self._turned(numbers)
        shape = numbers.shape[1:]
        if isinstance(setup.spring, Coil):
            return np.ones(shape, dtype=bool)
        room = positive_volume(setup.spring) - positive_area(setup.spring) * self.bike.lever.stroke
        left = room > LEAST_VOLUME
        if isinstance(setup.spring.negative, SeparateNegative | EqualisedNegative):
            left = left & (negative_volume(setup.spring.negative) > LEAST_VOLUME)
        return np.broadcast_to(left, shape)

    def at_sag(self, numbers: Values) -> Setup:
        """Return the settings (knobs, n) as one setup of n cases, with the pressure or preload for the sag.

        NaN there if none reaches it, or if the setting is beyond a limit.
        """
        setup = self._turned(numbers)
        if isinstance(setup.spring, Coil):
            return _preloaded(setup, *self._asked())
        return self._allowed(with_pressure(setup, solved_pressure(setup, *self._asked())))

    def allowed(self, numbers: Values) -> Marks:
        """Return which settings (knobs, n) reach the sag within every limit."""
        setup = self.at_sag(numbers)
        follows = setup.spring.preload if isinstance(setup.spring, Coil) else pressure_of(setup)
        return np.broadcast_to(np.isfinite(follows), numbers.shape[1:])

    def in_the_way(self, numbers: Values) -> Limit:
        """Return the limit that rules out the settings (knobs, n) nearest to being allowed."""
        kept = values(numbers[:, self.possible(numbers)])
        setup = self._turned(kept)
        if isinstance(setup.spring, Coil):
            return "elsewhere" if np.isfinite(kept).all() else "preload"
        if not kept.shape[1]:
            return "no_room"
        beyond = beyond_limits(with_pressure(setup, solved_pressure(setup, *self._asked())), self.bike)
        marks = {limit: np.broadcast_to(mark, kept.shape[1:]) for limit, mark in beyond.items()}
        broken = sum(mark.astype(int) for mark in marks.values())
        fewest = np.asarray(broken == np.min(broken))
        if np.min(broken) == 0:
            return "elsewhere"
        return max(marks, key=lambda limit: int((marks[limit] & fewest).sum()))

    def written(self, numbers: Values, grain: Grain) -> Setup:
        """Return the writable settings around one (knobs,) as one setup of n, nearest first.

        The pressure or rate that follows from the sag is written too. NaN for a setting beyond a limit.
        """
        if isinstance(self.setup.spring, Coil):
            return self._written_coils(numbers, grain)
        axes = [
            values([number]) if knob.whole else grain.beside(knob.name, float(number), knob.low, knob.high)
            for knob, number in zip(self.knobs, numbers, strict=True)
        ]
        settings = every(axes)
        settings = values(settings[:, self.possible(settings)])
        setup = self._turned(values(np.concatenate([settings, settings], axis=1)))
        exact = np.broadcast_to(solved_pressure(setup, *self._asked()), (2 * settings.shape[1],))
        near, below = grain.nearest("pressure", exact), grain.below("pressure", exact)
        pressure = np.where(np.arange(exact.size) < settings.shape[1], near, below)
        return self._allowed(with_pressure(setup, values(pressure)))

    def preloaded(self, rates: Values, grain: Grain | None = None) -> Setup:
        """Return coils of rates (n,) [N/m] with the preload for the sag, rounded if there is a grain."""
        setup = self.at_sag(values(rates[None, :]))
        coil = coil_of(setup)
        preload = coil.preload if grain is None else grain.nearest("preload", coil.preload)
        return replace(setup, spring=replace(coil, preload=preload))

    def picked(self, setup: Setup, index: int) -> Setup:
        """Return one of the n cases of a setup from this hardware."""
        names = ("rate", "preload") if isinstance(setup.spring, Coil) else ("pressure",)
        for name in (*(knob.name for knob in self.knobs), *names):
            number = values(np.nan if (here := _INPUTS[name].read(setup)) is None else here)
            setup = _INPUTS[name].put(setup, float(number if number.ndim == 0 else number[index]))
        return setup

    def bounds(self, setup: Setup, grain: Grain | None = None) -> tuple[Bound, ...]:
        """Return the limits within which settings were searched; a coil's rate follows its preload."""
        if isinstance(setup.spring, Coil):
            ends = [("preload", 0.0, most_preload(setup.spring))]
        else:
            ends = [(knob.name, knob.low, knob.high) for knob in self.knobs]
            lowest = float(values(self.bike.case.shop.pressure))
            ends.append(("pressure", lowest, highest_pressure(setup.spring, self.bike.case)))
        return tuple(_bound(*each, setup, grain) for each in ends)

    def _written_coils(self, numbers: Values, grain: Grain) -> Setup:
        stroke, force = coil_force_due(self.setup, *self._asked())
        coil = coil_of(self.at_sag(values(numbers[:, None])))
        preload = grain.beside("preload", float(values(coil.preload)[0]), 0.0, most_preload(coil))
        bare = replace(coil, preload=preload)
        rate = grain.nearest("rate", rate_for(bare, stroke, force))
        return replace(self.setup, spring=replace(bare, rate=rate))

    def _allowed(self, setup: Setup) -> Setup:
        beyond = beyond_limits(setup, self.bike)
        barred = reduce(np.logical_or, beyond.values())
        return with_pressure(setup, values(np.where(barred, np.nan, pressure_of(setup))))

    def _asked(self) -> tuple[LeverageCurve, Ambient, Target, Values]:
        return self.bike.lever, self.bike.case.shop, self.sag, self.bike.load.static_wheel_force

    def _turned(self, numbers: Values) -> Setup:
        return _with(self.setup, self.knobs, numbers)


def hardware(setup: Setup, bike: Stand, sag: Target, *, volumes: bool = False) -> Hardware:
    """Return the knobs of a setup; with `volumes` chambers and port instead of spacers."""
    if isinstance(setup.spring, Coil):
        plain = replace(setup.spring, rate=None, stage_start=None, stage_rate=None, wire=None)
        bare = replace(setup, spring=plain, mass=None)
        return Hardware(bare, bike, sag, _coil_knobs(bare, bike, sag))
    knobs = _volume_knobs(setup, bike) if volumes else _spacer_knobs(setup, bike)
    return Hardware(setup, bike, sag, (*knobs, *_valve_knobs(setup, bike.case)))


def every(axes: Sequence[Values]) -> Values:
    """Return every combination (axes, n), the last axis fastest; one empty combination without axes.

    >>> every([values([1, 2]), values([3, 4])]).tolist()
    [[1.0, 1.0, 2.0, 2.0], [3.0, 4.0, 3.0, 4.0]]
    """
    if not axes:
        return np.empty((0, 1))
    return values(np.stack([part.reshape(-1) for part in np.meshgrid(*axes, indexing="ij")]))


def most_preload(coil: Coil) -> float:
    """Return the largest preload [m] offered: the maker's turns, else the common limit."""
    if coil.max_preload_turns is None or coil.thread_pitch is None:
        return MOST_PRELOAD
    return coil.max_preload_turns * coil.thread_pitch


def _with(setup: Setup, knobs: Sequence[Knob], numbers: Iterable[Values]) -> Setup:
    for knob, number in zip(knobs, numbers, strict=True):
        setup = _INPUTS[knob.name].put(setup, number)
    return setup


def _bound(name: str, low: float, high: float, setup: Setup, grain: Grain | None) -> Bound:
    """Return a bound; a written number within half a step of a limit is at it."""
    number = float(values(_INPUTS[name].read(setup) or 0.0))
    near = (high - low) * _HAIR
    if grain is not None and name in grain.steps:
        near = max(near, grain.steps[name] * (0.5 + _HAIR))
    on: Literal["", "low", "high"] = ""
    if number <= low + near:
        on = "low"
    elif number >= high - near:
        on = "high"
    return Bound(name, low, high, on)


def _preloaded(setup: Setup, lever: LeverageCurve, shop: Ambient, sag: Target, static: Values) -> Setup:
    """Return coils of known rates with the preload c = F/k − x for the sag."""
    stroke, force = coil_force_due(setup, lever, shop, sag, static)
    coil = coil_of(setup)
    rate = values(np.nan if coil.rate is None else coil.rate)
    preload = values(force / rate - stroke)
    # At its stiff limit a coil has zero preload, which rounding must not make negative.
    return replace(setup, spring=replace(coil, preload=np.maximum(preload, 0.0)))


def _coil_knobs(setup: Setup, bike: Stand, sag: Target) -> tuple[Knob, ...]:
    """Return the rates from the softest, with the largest preload, to the stiffest, with none."""
    coil, case = coil_of(setup), bike.case
    static = bike.load.static_wheel_force
    stroke, force = coil_force_due(setup, bike.lever, case.shop, sag, static)
    if not float(force) > 0 or not float(stroke) > 0:
        return (Knob("rate", np.nan, np.nan),)
    return (Knob("rate", float(force / (stroke + most_preload(coil))), float(force / stroke)),)


def _spacer_knobs(setup: Setup, bike: Stand) -> tuple[Knob, ...]:
    """Return the spacer counts that leave air in the chamber, up to the largest considered."""
    spring = air_of(setup)
    knobs, second = [], spring.negative
    room = float(values(spring.positive_volume - positive_area(spring) * bike.lever.stroke))
    knobs += _count("positive_spacers", spring.positive_spacers, spring.positive_spacer_volume, room)
    if isinstance(second, SeparateNegative | EqualisedNegative):
        knobs += _count("negative_spacers", second.spacers, second.spacer_volume, second.volume)
    return tuple(knobs)


def _count(name: str, now: Scalar, each: Scalar, room: Scalar) -> list[Knob]:
    takes = float(values(each))
    if not takes > 0:
        return []
    fit = max(np.ceil((float(values(room)) - LEAST_VOLUME) / takes) - 1, 0.0)
    most = max(MOST_SPACERS, round(float(values(now))))
    return [Knob(name, 0.0, float(min(fit, most)), whole=True)]


def _valve_knobs(setup: Setup, case: Case) -> tuple[Knob, ...]:
    spring = air_of(setup)
    if not isinstance(spring.negative, SeparateNegative):
        return ()
    return (Knob("negative_pressure", float(case.shop.pressure), highest_pressure(spring, case)),)


def _volume_knobs(setup: Setup, bike: Stand) -> tuple[Knob, ...]:
    spring = air_of(setup)
    knobs = [_around("positive_volume", spring.positive_volume, VOLUME_REACH)]
    if isinstance(spring.negative, SeparateNegative | EqualisedNegative):
        knobs.append(_around("negative_volume", spring.negative.volume, NEGATIVE_REACH))
    if isinstance(spring.negative, EqualisedNegative):
        port = float(values(spring.negative.port))
        reach = _around("port", bike.lever.stroke, PORT_REACH)
        # The present port is available, wherever it is.
        knobs.append(replace(reach, low=min(reach.low, port), high=max(reach.high, port)))
    return tuple(knobs)


def _around(name: str, here: Scalar, reach: tuple[float, float]) -> Knob:
    low, high = reach
    return Knob(name, float(values(here)) * low, float(values(here)) * high)
