"""The same ground on another spring: the ground fitted to a logged ride, simulated on every setup.

`physics.ground_fit` finds the ground, `physics.stretches` simulates the rides on it, and
`physics.ground_used` gives the travel used. Where the wheel was in the air, the log has no information about
the ground. Compare setups on one ground, never between short runs.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import field as defaulted
from dataclasses import fields, replace

import numpy as np

from physics.answer import Answer
from physics.arrays import Marks, Values, values
from physics.case import Case
from physics.frozen import dataclass
from physics.ground import Course
from physics.ground_fit import STRETCHES_A_FIT, Fit, Found, Told, fits_of
from physics.ground_used import CHANGES, GivenBack, Used, band_of, changed_lane, given_back_of, used_of
from physics.log import Log, Progress
from physics.logged_travel import LEAD, Logged, logged
from physics.motion import Lane
from physics.ride import lanes_of
from physics.stretches import Asked, Held, Stretches, joined, masses_of, ridden_over, stretched

BAND_STRETCHES = 12
"""Number of stretches, spread over the log, on which the band is computed."""


@dataclass(frozen=True, slots=True)
class SameGround:
    """A logged ride simulated on every setup of a case.

    `ridden` is the index of the logged setup, `logged` the travel used in the log over the same `time` [s],
    `mass` [kg] the identified sprung mass. `setups` has the travel used by each setup, None for one that does
    not settle; all are None if the result is withheld. `starts` (stretches,) [s] and `step` [s] are the time
    base of the ground's `height` (stretches, points) [m], of `log` (stretches, points) [m] and `travel`
    (setups, stretches, points) [m], NaN where a setup does not settle.
    """

    ridden: int
    time: float
    logged: Used
    given_back: GivenBack
    setups: tuple[Used | None, ...]
    mass: float
    starts: Values
    step: float
    height: Values
    log: Values
    travel: Values


def same_ground(
    case: Case, found: Answer, log: Log, ridden: int, *, progress: Progress | None = None
) -> SameGround:
    """Return a logged ride simulated on every setup of a case; `ridden` is the index of the logged setup.

    `found` is the bench's answer to the case. Raises `Unusable` if no piece of the log is long enough, and
    `ValueError` if the ridden setup does not settle.
    """
    level = np.zeros(2)
    lanes = lanes_of(case, found, Course(1e-3, level, level))
    return ridden_again([LoggedRide(tuple(lanes), ridden, log)], progress=progress)[0]


@dataclass(frozen=True, slots=True)
class LoggedRide:
    """A log, the lanes of the setups to simulate (None: does not settle), and the index of the logged one."""

    lanes: tuple[Lane | None, ...]
    ridden: int
    log: Log


def ridden_again(rides: Sequence[LoggedRide], *, progress: Progress | None = None) -> list[SameGround]:
    """Return `same_ground` for logs of one sampling rate together, such as those of both wheels.

    Raises `Unusable` if no piece of a log is long enough, and `ValueError` if a ridden setup does not settle.
    """
    own = [lane for ride in rides if (lane := ride.lanes[ride.ridden]) is not None]
    if len(own) < len(rides):
        raise ValueError("the setup that was ridden does not settle")
    read = logged([(lane, ride.log) for lane, ride in zip(own, rides, strict=True)])
    works = [_Work(ride, one, fits_of(one)) for ride, one in zip(rides, read, strict=True)]
    step, groups = read[0].step, max(len(work.fits) for work in works)
    for first in range(0, groups, _GROUP):
        tell = _within(progress or _unheard, first / groups, min(first + _GROUP, groups) / groups)
        fitting, batches = _within(tell, 0.0, 0.65), []
        for n, work in enumerate(works):
            if first < len(work.fits):
                batches.append(_batch(work, first, _within(fitting, n / len(works), (n + 1) / len(works))))
        _ride(batches, step, _within(tell, 0.65, 1.0))
    found = [_answer(work) for work in works]
    (progress or _unheard)(1.0)
    return found


def _unheard(share: float) -> None:
    """Ignore progress."""


def _within(tell: Progress, low: float, high: float) -> Progress:
    """Return a progress callback for a part of the work, from `low` to `high` of the whole."""
    return lambda share: tell(low + (high - low) * share)


_GROUP = 30
"""Fits per batch of rides: ten minutes of log."""


@dataclasses.dataclass(slots=True)
class _Work:
    """State of the work on one log: the fits to do, and the results so far.

    `told` is the setup as identified from the log. `travels` has the travel of each setup that settles, batch
    by batch; `samples` that of the changed lanes of the band.
    """

    ride: LoggedRide
    read: Logged
    fits: list[Fit]
    told: Told | None = None
    held: dict[int, Held] = defaulted(default_factory=dict)
    grounds: list[Stretches] = defaulted(default_factory=list)
    travels: list[list[Values]] = defaulted(default_factory=list)
    samples: list[Values] = defaulted(default_factory=list)

    def lanes(self) -> dict[int, Lane]:
        """Return the lanes of the setups that settle, with the identified values.

        Rider and damper are the same for all setups; seal friction is identified for the ridden one only.
        """
        found = {n: lane for n, lane in enumerate(self.ride.lanes) if lane is not None}
        if self.told is None:
            return found
        return {
            n: (self.told if n == self.ride.ridden else replace(self.told, friction=float(lane.friction))).on(
                lane
            )
            for n, lane in found.items()
        }

    def in_band(self) -> set[int]:
        """Return the indices of the fits, spread over the log, on which the band is computed."""
        places = np.linspace(0, len(self.fits) - 1, BAND_STRETCHES // STRETCHES_A_FIT)
        return set(places.round().astype(int).tolist())


@dataclass(frozen=True, slots=True)
class _Batch:
    """Some stretches of a log with their ground; `marks` (stretches,) are those used for the band.

    `changed` has the ground of the marked stretches, fitted again for each change of the band.
    """

    work: _Work
    ground: Stretches
    marks: Marks
    changed: list[Stretches]


_TELLING = 6
"""Number of fits, spread over the first batch, that identify mass, damper and friction."""


def _told(found: Sequence[Found], fits: Sequence[Fit]) -> Told:
    """Return the weighted median of the fits: a hard hit in a short part may be an outlier."""
    weights = [fit.stretches for fit in fits]
    mass, damper, friction = (
        weighted_median([getattr(one.told, part.name) for one in found], weights) for part in fields(Told)
    )
    return Told(mass, damper, friction)


def weighted_median(ratios: Sequence[float], weights: Sequence[int]) -> float:
    """Return the weighted median of ratios.

    >>> weighted_median([1.0, 1.2, 0.9], [4, 1, 2])
    1.0
    """
    order = np.argsort(ratios)
    total = np.cumsum(np.array(weights)[order])
    return float(np.array(ratios)[order][np.searchsorted(total, total[-1] / 2)])


def _batch(work: _Work, first: int, tell: Progress) -> _Batch:
    """Return the ground of the next stretches of a log, from fit `first` on."""
    fits, on = work.fits[first : first + _GROUP], work.in_band()
    telling = dict[int, Found]()
    if work.told is None:
        places = np.unique(np.linspace(0, len(fits) - 1, _TELLING).round().astype(int)).tolist()
        for n in places:
            tell(n / len(fits) / 2)
            telling[n] = fits[n].telling()
        work.told = _told([*telling.values()], [fits[n] for n in places])
    found = list[Found]()
    for n, fit in enumerate(fits):
        tell(1 - (1 - n / len(fits)) / 2)
        near = telling.get(n)
        found.append(near if near is not None and near.told == work.told else fit.found(work.told, near))
    ground = joined([stretched(fit, one.heights[2]) for fit, one in zip(fits, found, strict=True)])
    marks = np.concatenate([np.full(fit.stretches, first + n in on) for n, fit in enumerate(fits)])
    band = [(fit, one) for n, (fit, one) in enumerate(zip(fits, found, strict=True)) if first + n in on]
    return _Batch(work, ground, marks, _changed(band, work.told))


def _changed(band: Sequence[tuple[Fit, Found]], told: Told) -> list[Stretches]:
    """Return the ground of the fits of the band, found anew with each change; nothing without a fit."""
    changed, before = list[Stretches](), list[Found]()
    for n, (damping, mass) in enumerate(CHANGES if band else ()):
        other = replace(told, mass=told.mass * mass, damper=told.damper * damping)
        # The second of a pair of changes moves the heights about as far the other way.
        near = (
            [
                Found(values(2 * one.heights - last.heights), told)
                for (_, one), last in zip(band, before, strict=True)
            ]
            if n % 2
            else [one for _, one in band]
        )
        before = [fit.found(other, start) for (fit, _), start in zip(band, near, strict=True)]
        parts = zip(band, before, strict=True)
        changed.append(joined([stretched(fit, one.heights[2]) for (fit, _), one in parts]))
    return changed


def _ride(batches: Sequence[_Batch], step: float, tell: Progress) -> None:
    """Simulate every setup over the stretches of each batch in parallel, and store the travel."""
    others = [
        (lane, batch.ground, batch.work.held.setdefault(n, Held()))
        for batch in batches
        for n, lane in batch.work.lanes().items()
        if n != batch.work.ride.ridden
    ]
    masses = iter(masses_of(others, step, _within(tell, 0.0, 0.4)))
    asked, counts = list[Asked](), list[int]()
    for batch in batches:
        usual = [
            Asked(lane, batch.ground, batch.ground.mass if n == batch.work.ride.ridden else next(masses))
            for n, lane in batch.work.lanes().items()
        ]
        changed = [
            Asked(changed_lane(one.lane, *change), ground, one.mass[batch.marks])
            for change, ground in zip(CHANGES, batch.changed, strict=False)
            for one in usual
        ]
        asked += [*usual, *changed]
        counts += [len(usual), len(changed)]
    travel = iter(ridden_over(asked, step, _within(tell, 0.4, 1.0)))
    for batch, usual_count, changed_count in zip(batches, counts[::2], counts[1::2], strict=True):
        mine = [next(travel) for _ in range(usual_count)]
        batch.work.grounds.append(batch.ground)
        batch.work.travels.append(mine)
        if changed_count:
            sample = [one[batch.marks] for one in mine] + [next(travel) for _ in range(changed_count)]
            batch.work.samples.append(values(sample).reshape(-1, usual_count, *sample[0].shape))


def _answer(work: _Work) -> SameGround:
    """Return the result for one log."""
    ride, step, lanes, ground = work.ride, work.read.step, work.lanes(), joined(work.grounds)
    lead = round(LEAD / step)
    travel = np.full((len(ride.lanes), len(ground.start), ground.height.shape[1] - lead), np.nan)
    travel[list(lanes)] = [np.concatenate(parts) for parts in zip(*work.travels, strict=True)]
    log, full = values(ground.log[:, lead:]), work.read.lane.travel
    back = given_back_of(log, values(travel[ride.ridden]), full, work.told or Told(1.0, 1.0, 0.0))
    used: dict[int, Used] = {}
    if back.whole:
        sample = np.concatenate(work.samples, axis=2)
        for place, (n, lane) in enumerate(lanes.items()):
            band = band_of(values(sample[:, place]), values(travel[n]), back, lane.travel)
            used[n] = used_of(values(travel[n]), band, lane.travel)
    return SameGround(
        ridden=ride.ridden,
        time=log.size * step,
        logged=used_of(log, np.zeros((2, 5)), full),
        given_back=back,
        setups=tuple(used.get(n) for n in range(len(ride.lanes))),
        mass=lanes[ride.ridden].mass,
        starts=ground.start,
        step=step,
        height=values(ground.height[:, lead:]),
        log=log,
        travel=values(travel),
    )
