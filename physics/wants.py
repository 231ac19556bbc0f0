"""Settings for wanted figures (at least, at most or exactly) at the target sag.

Figures are those of the riding curve, and with the prefix "slow_" those of the slow one. A want is missed by
its shortfall relative to the wanted number (to 1 if that is zero); the settings with the smallest √(Σ miss²)
win, and among those that miss nothing the nearest to the present ones. No setting beyond a limit of
`physics.offered` is considered.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np

from physics.answer import freeze
from physics.arrays import Marks, Values, values
from physics.case import Case, Setup
from physics.faults import Unmatched
from physics.frozen import dataclass
from physics.knobs import Bound, Grain, Hardware, hardware
from physics.match import OFF_SAG, WRITTEN_FINEST
from physics.search import FINEST, best, grid
from physics.stand import stand
from physics.sweep import figure_of, swept_setup

Relation = Literal["at least", "at most", "just"]
MET, MET_JUST = 1e-4, 0.005
"""A smaller miss counts as met: below the printed digits; for "just", below what anyone reads."""
_ABSENT = 1e3
"""The miss of a figure that a setting does not have: more than any it has."""
_CHANGE = 1e-6
"""Cost of a change from the present settings relative to a miss: decides only between equals."""


@dataclass(frozen=True, slots=True)
class Want:
    """A figure by name, and the value wanted [SI]."""

    figure: str
    relation: Relation
    number: float

    def missed(self, here: Values) -> Values:
        """Return the relative shortfall of figures (n,); infinite if undefined.

        >>> Want("support_50", "at least", 2.0).missed(values([1.5, 2.5])).tolist()
        [0.25, 0.0]
        """
        off = values((here - self.number) / (abs(self.number) or 1.0))
        short = {"at least": -off, "at most": off, "just": np.abs(off)}[self.relation]
        return values(np.where(np.isnan(short), np.inf, np.maximum(short, 0.0)))


@dataclass(frozen=True, slots=True)
class Judged:
    """A want, the figure [SI] achieved, and the nearest any allowed setting gets if it is the only want.

    Both are NaN if there is no such figure at this sag or on this spring.
    """

    want: Want
    found: float
    alone: float
    met: bool
    reachable: bool


@dataclass(frozen=True, slots=True)
class Wished:
    """The settings found, as a setup of a single case, and the result for every want.

    `binds` is the want that constrains the others most: without it they miss least, or if nothing is
    missed the one with the least margin; among wants whose figures exist, if any does. `miss` is
    √(Σ miss²), `bounds` are those of the search.
    """

    setup: Setup
    judged: tuple[Judged, ...]
    binds: int
    miss: float
    bounds: tuple[Bound, ...]


def wished(
    case: Case, using: int, wants: Sequence[Want], *, volumes: bool = False, grain: Grain | None = None
) -> Wished:
    """Return the settings of one setup of a single case that come closest to one or more wants.

    They have the target sag. With a `grain` they are writable ones, and all figures are
    theirs. Raises `Refused` as `answer` does, `Unmatched` if every setting is beyond a limit.
    """
    bike = stand(case)
    turned = hardware(case.setups[using], bike, case.target, volumes=volumes)
    trial = _Trial(turned, tuple(dict.fromkeys(want.figure for want in wants)), grain)
    setup, miss = trial.nearest(wants)
    read = trial.figures(setup)
    judged = tuple(_judged(want, read, trial) for want in wants)
    wish = Wished(setup, judged, _binding(trial, wants, judged), miss, turned.bounds(setup, grain))
    freeze(wish)
    return wish


Read = dict[str, Values]
"""Figures by name, (n,)."""


class _Trial:
    """Settings of some hardware evaluated for figures, cached: each set of settings is evaluated once."""

    def __init__(self, turned: Hardware, names: Sequence[str], grain: Grain | None) -> None:
        self._turned, self._names, self._grain = turned, names, grain
        self._known: dict[bytes, tuple[Read, Marks]] = {}
        self._nearest: dict[tuple[Want, ...], tuple[Setup, float]] = {}

    def nearest(self, wants: Sequence[Want]) -> tuple[Setup, float]:
        """Return the setup with the smallest miss, and its miss; raises `Unmatched` if there is none."""
        asked = tuple(wants)
        if asked not in self._nearest:
            self._nearest[asked] = self._searched(asked)
        return self._nearest[asked]

    def _searched(self, wants: Sequence[Want]) -> tuple[Setup, float]:
        turned, grain = self._turned, self._grain
        finest = FINEST if grain is None else WRITTEN_FINEST
        numbers, cost = best(turned.knobs, lambda some: self._cost(some, wants), turned.now(), finest)
        if not np.isfinite(cost):
            start = np.concatenate([grid(turned.knobs), turned.now()], axis=1)
            raise Unmatched(turned.in_the_way(values(start)))
        one = values(numbers[:, None])
        tried = turned.at_sag(one) if grain is None else turned.written(numbers, grain)
        read, settles = self._read(tried)
        missed = np.where(settles, _missed(read, wants), np.inf)
        place = int(np.argmin(missed))
        if not np.isfinite(missed[place]):
            raise Unmatched(turned.in_the_way(one))
        return turned.picked(tried, place), float(missed[place])

    def figures(self, setup: Setup) -> dict[str, float]:
        """Return the figures of a setup that was found."""
        return {name: float(number) for name, number in self._read(setup)[0].items()}

    def _cost(self, settings: Values, wants: Sequence[Want]) -> Values:
        """Return the miss of settings (knobs, n), plus a little for their distance from the present ones.

        Infinite if impossible, beyond a limit or not at the sag.
        """
        turned = self._turned
        change = np.zeros(settings.shape[1])
        for knob, numbers in zip(turned.knobs, settings, strict=True):
            change = change + np.abs(numbers - knob.now(turned.setup)) / (knob.high - knob.low or 1.0)
        kept, found = turned.possible(settings), np.full(settings.shape[1], np.inf)
        if kept.any():
            read, settles = self._read_once(values(settings[:, kept]))
            found[kept] = np.where(settles, _missed(read, wants), np.inf)
        return values(found + _CHANGE * change)

    def _read_once(self, settings: Values) -> tuple[Read, Marks]:
        key = settings.tobytes()
        if key not in self._known:
            self._known[key] = self._read_allowed(settings)
        return self._known[key]

    def _read_allowed(self, settings: Values) -> tuple[Read, Marks]:
        """Return the figures of settings (knobs, n), NaN for those beyond a limit: they are not evaluated."""
        allowed, count = self._turned.allowed(settings), settings.shape[1]
        settles = np.zeros(count, dtype=bool)
        read = {name: np.full(count, np.nan) for name in self._names}
        if allowed.any():
            found, settles[allowed] = self._read(self._turned.at_sag(values(settings[:, allowed])))
            for name, figure in found.items():
                read[name][allowed] = figure
        return {name: values(figure) for name, figure in read.items()}, settles

    def _read(self, setup: Setup) -> tuple[Read, Marks]:
        """Return the figures of settings and which of them settle at the target sag."""
        sag = self._turned.sag
        swept = swept_setup(setup, self._turned.bike)
        there = swept.sag.wheel_fraction if sag.of == "travel" else swept.sag.stroke_fraction
        settles = np.asarray((swept.state == "ok") & (np.abs(there - sag.sag) < OFF_SAG))
        read = {name: np.broadcast_to(figure_of(swept, name), settles.shape) for name in self._names}
        return read, settles


def _missed(read: Read, wants: Sequence[Want]) -> Values:
    """Return √(Σ miss²) of figures."""
    misses = [np.minimum(want.missed(read[want.figure]), _ABSENT) for want in wants]
    return values(np.sqrt(sum((miss**2 for miss in misses), values(0.0))))


def _judged(want: Want, found: dict[str, float], trial: _Trial) -> Judged:
    here = there = found[want.figure]
    if not _is_met(want, here):
        there = trial.figures(trial.nearest([want])[0])[want.figure]
    return Judged(want, here, there, _is_met(want, here), _is_met(want, there))


def _is_met(want: Want, here: float) -> bool:
    return float(want.missed(values(here))) < (MET_JUST if want.relation == "just" else MET)


def _binding(trial: _Trial, wants: Sequence[Want], judged: Sequence[Judged]) -> int:
    """Return the index of the want that constrains the others most; its figure exists."""
    there = [place for place, each in enumerate(judged) if np.isfinite(each.found)] or [0]
    if all(judged[place].met for place in there):
        off = [abs(judged[place].found - wants[place].number) for place in there]
        spare = [each / (abs(wants[place].number) or 1.0) for each, place in zip(off, there, strict=True)]
        return there[int(np.argmin(spare))]
    others = [[wants[other] for other in there if other != place] for place in there]
    return there[int(np.argmin([trial.nearest(rest)[1] if rest else 0.0 for rest in others]))]
