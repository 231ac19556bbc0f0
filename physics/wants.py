"""Settings by what is wanted of them: figures at least, at most or just so, at the target sag.

Each want is missed by its shortfall as a share of the number asked for (of 1 where that is zero); the
settings with the least √(Σ miss²) win, and of settings that miss nothing those nearest to how it stands.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import fields as parts_of
from typing import Literal

import numpy as np

from physics.answer import Figures
from physics.arrays import Marks, Values, values
from physics.case import Case, Setup
from physics.figures import figures
from physics.knobs import Hardware, hardware
from physics.sag import under_load
from physics.search import best
from physics.shock import shock_of
from physics.stand import stand
from physics.trees import freeze
from physics.unmatched import Unmatched
from physics.walk import walk

Relation = Literal["at least", "at most", "just"]
FIGURES = tuple(part.name for part in parts_of(Figures))
"""What can be wanted: every figure of `physics.answer.Figures`."""
MET = 0.005
"""A miss below this share counts as met: nobody reads a figure more finely."""
_CHANGE = 1e-6
"""What a change from how it stands costs against a miss: it only decides between equals."""


@dataclass(frozen=True, slots=True)
class Want:
    """A figure by name and the number [SI] it should have."""

    figure: str
    relation: Relation
    number: float

    def missed(self, here: Values) -> Values:
        """Return by how much figures (n,) fall short, as a share; infinite where there is none."""
        off = values((here - self.number) / (abs(self.number) or 1.0))
        short = {"at least": -off, "at most": off, "just": np.abs(off)}[self.relation]
        return values(np.where(np.isnan(short), np.inf, np.maximum(short, 0.0)))


@dataclass(frozen=True, slots=True)
class Judged:
    """A want, the figure [SI] that it got, and the nearest any setting gets if it is the only want."""

    want: Want
    found: float
    alone: float
    met: bool
    reachable: bool


@dataclass(frozen=True, slots=True)
class Wished:
    """The settings found, as a setup of a single case, and what became of every want.

    `binds` is the want that holds the others back most: without it they miss least, or where nothing is
    missed the one with the least to spare. `miss` is √(Σ miss²).
    """

    setup: Setup
    judged: tuple[Judged, ...]
    binds: int
    miss: float


def wished(case: Case, using: int, wants: Sequence[Want], *, cans: bool = False) -> Wished:
    """Return the settings of one setup of a single case that come closest to some wants, one at the least.

    They sit at the target sag. Raises `Refused` as `answer` does, `Unmatched` where none does.
    """
    bike = stand(case)
    turned = hardware(case.setups[using], bike, case.target, cans=cans)
    numbers, miss = _nearest(turned, wants)
    if not np.isfinite(miss):
        raise Unmatched("out_of_reach")
    found = _figures(turned, numbers)
    alone = [_figures(turned, _nearest(turned, [want])[0]) for want in wants]
    judged = tuple(_judged(want, found, other) for want, other in zip(wants, alone, strict=True))
    wish = Wished(turned.at_sag(numbers), judged, _binding(turned, wants, judged), miss)
    freeze(wish)
    return wish


def _nearest(turned: Hardware, wants: Sequence[Want]) -> tuple[Values, float]:
    """Return the numbers (knobs,) that miss least, and by how much."""
    numbers, _ = best(turned.knobs, lambda settings: _cost(settings, turned, wants))
    return numbers, float(_missed(turned, values(numbers[:, None]), wants)[0])


def _cost(settings: Values, turned: Hardware, wants: Sequence[Want]) -> Values:
    """Return what settings (knobs, n) miss, and a little for how far they are from how it stands."""
    change = np.zeros(settings.shape[1])
    for knob, numbers in zip(turned.knobs, settings, strict=True):
        change = change + np.abs(numbers - knob.now(turned.setup)) / (knob.high - knob.low or 1.0)
    return values(_missed(turned, settings, wants) + _CHANGE * change)


def _missed(turned: Hardware, settings: Values, wants: Sequence[Want]) -> Values:
    """Return √(Σ miss²) of settings (knobs, n), infinite for what cannot be or does not sit at the sag."""
    kept, found = turned.possible(settings), np.full(settings.shape[1], np.inf)
    if kept.any():
        read, settles = _read(turned, values(settings[:, kept]))
        square = sum(want.missed(getattr(read, want.figure)) ** 2 for want in wants)
        found[kept] = np.where(settles, np.sqrt(square), np.inf)
    return values(found)


def _read(turned: Hardware, numbers: Values) -> tuple[Figures, Marks]:
    """Return the figures of settings (knobs, ...) and which of them settle at the sag asked for."""
    bike = turned.bike
    static = bike.load.static_wheel_force
    walked = walk(shock_of(turned.at_sag(numbers), bike.lever, bike.case.shop))
    stood = under_load(walked, static)
    # Some settings leave next to no room at the end, where a fast stroke is beyond what air can be.
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        read = figures(walked, static, stood.sag)
    sag = stood.sag.wheel_fraction if turned.sag.of == "travel" else stood.sag.stroke_fraction
    settles = np.asarray((stood.state == "ok") & (np.abs(sag - turned.sag.sag) < MET * turned.sag.sag))
    return read, settles


def _figures(turned: Hardware, numbers: Values) -> Figures:
    return _read(turned, numbers)[0]


def _judged(want: Want, found: Figures, alone: Figures) -> Judged:
    here, there = (float(getattr(read, want.figure)) for read in (found, alone))
    return Judged(want, here, there, _is_met(want, here), _is_met(want, there))


def _is_met(want: Want, here: float) -> bool:
    return float(want.missed(values(here))) < MET


def _binding(turned: Hardware, wants: Sequence[Want], judged: Sequence[Judged]) -> int:
    """Return which want is in the way of the others."""
    if all(each.met for each in judged):
        spare = [abs(each.found - each.want.number) / (abs(each.want.number) or 1.0) for each in judged]
        return int(np.argmin(spare))
    others = [[*wants[:place], *wants[place + 1 :]] for place in range(len(wants))]
    return int(np.argmin([_nearest(turned, rest)[1] if rest else 0.0 for rest in others]))
