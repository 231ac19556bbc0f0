"""Front and rear fight: what to change at one end so that it goes with the other, each change answered."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from physics.advise import Advice, Advised, advice_of, ranked
from physics.advise_changes import Trial, at_sag, fits
from physics.advise_feel import Feel, Mark, now_of, tried
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


def advise_fight(mine: Case, index: int, theirs: Case, their_index: int) -> Advised:
    """Return what to change at one end so that it goes with the other: one change for each measure apart.

    Raises `Refused` as `bench.answer` does.
    """
    bike = stand(mine)
    setup, now, settles = now_of(mine, index, bike)
    _, other, other_settles = now_of(theirs, their_index, stand(theirs))
    if not (settles and other_settles):
        return Advised(setup, now, False, ())
    # What a balance says of an end does not hang on which of the two it is.
    changes = balance(mine, index, theirs, their_index).rear.changes
    marks: dict[int, Mark] = {}
    kept: list[Trial] = []
    for change in changes:
        trial = _of_change(change, setup, bike, now.sag_fraction)
        if trial is not None and fits(trial.setup, setup, bike):
            marks[id(trial)] = _MARKS[change.measure]
            kept.append(trial)
    found = (_nearer(trial, now, then, other, marks[id(trial)]) for trial, then in tried(mine, kept))
    return Advised(setup, now, True, _each_once(ranked(found)))


def _each_once(changes: tuple[Advice, ...]) -> tuple[Advice, ...]:
    """Return the changes without those that say the same again for another measure."""
    found: dict[tuple[object, ...], Advice] = {}
    for change in changes:
        spring = change.setup.spring
        setting = spring.rate if isinstance(spring, Coil) else spring.pressure
        found.setdefault((change.turned, None if setting is None else float(setting)), change)
    return tuple(found.values())


def _nearer(trial: Trial, now: Feel, then: Feel, other: Feel, mark: Mark) -> Advice | None:
    wanted = getattr(other, mark)
    gaps = [abs(getattr(feel, mark) - wanted) for feel in (now, then)]
    effect = (gaps[0] - gaps[1]) / abs(wanted) if wanted else math.nan
    return advice_of(trial, now, then, mark, effect)


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
