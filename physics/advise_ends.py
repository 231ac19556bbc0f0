"""Front and rear unbalanced: what to change at one end so that it goes with the other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from physics.advise_changes import Trial, at_sag, fits
from physics.advise_feel import Feel, Mark, now_of
from physics.arrays import values
from physics.balance import Change, balance
from physics.buyable import either_side
from physics.case import Case, Coil, Setup
from physics.stand import Stand, stand

_MARKS: Mapping[str, Mark] = {
    "sag_fraction": "sag_fraction",
    "frequency": "natural_frequency",
    "support": "support_50",
    "bottom_ratio": "bottom_ratio",
}
"""What a measure of agreement is called here."""


@dataclass(frozen=True, slots=True)
class OtherEnd:
    """One setup at the other end of the bike."""

    case: Case
    index: int

    def now(self) -> Feel | None:
        """Return its figures, None where it does not settle."""
        _, feel, settles = now_of(self.case, self.index, stand(self.case))
        return feel if settles else None


def towards(
    case: Case, index: int, other: OtherEnd, bike: Stand, setup: Setup, sag: float
) -> Iterator[Trial]:
    """Yield what brings one end to the other, one change for each measure in which they are apart.

    `setup` is that of `index` with its settings in place and settles at `sag`, a fraction of its travel.
    """
    # What a balance says of an end does not hang on which of the two it is.
    for change in balance(case, index, other.case, other.index).rear.changes:
        trial = _of_change(change, setup, bike, sag)
        if trial is not None and fits(trial.setup, setup, bike):
            yield replace(trial, mark=_MARKS[change.measure])


def nearer(trial: Trial, now: Feel, then: Feel, other: Feel) -> tuple[Mark, float]:
    """Return by how much the gap to the other end narrows, over the other end's figure, and in which figure.

    That is the figure which the change is meant for; of any other change the one whose gap it alters most.
    """
    marks = [trial.mark] if trial.mark is not None else list(_MARKS.values())
    found = [(mark, _narrowed(now, then, other, mark)) for mark in marks]
    return max(found, key=lambda pair: abs(np.nan_to_num(pair[1])))


def _narrowed(now: Feel, then: Feel, other: Feel, mark: Mark) -> float:
    wanted = getattr(other, mark)
    gaps = [abs(getattr(feel, mark) - wanted) for feel in (now, then)]
    return float((gaps[0] - gaps[1]) / abs(wanted)) if wanted else math.nan


def _of_change(change: Change, setup: Setup, bike: Stand, sag: float) -> Trial | None:
    """Return a change of the balance as a trial; of coils the rate one can buy that comes nearest."""
    setting, spring = float(change.setting), setup.spring
    if not np.isfinite(setting):
        return None
    if isinstance(spring, Coil):
        rate = _rung(spring, setting)
        more = rate > float(spring.rate or 0.0)
        return Trial("rate", more, replace(setup, spring=replace(spring, rate=rate)))
    if np.isfinite(change.spacers):
        count = float(change.spacers)
        spaced = replace(setup, spring=replace(spring, positive_spacers=count))
        return Trial("positive_spacers", count > float(spring.positive_spacers), at_sag(spaced, bike, sag))
    pressure = float(spring.pressure or 0.0)
    return Trial("pressure", setting > pressure, replace(setup, spring=replace(spring, pressure=setting)))


def _rung(coil: Coil, rate: float) -> float:
    """Return the rate one can buy that is nearest to a rate [N/m]."""
    rungs = either_side(coil, values(rate))
    return min((float(r) for r in rungs if r > 0), key=lambda found: abs(found - rate), default=rate)
