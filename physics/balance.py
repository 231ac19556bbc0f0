"""Both wheels of a bike compared, and the changes that make one agree with the other.

Agreement is one measure at a time: sag as a fraction of the wheel travel, and natural frequency, mid-stroke
support or bottom-out ratio of the riding curve. Which one matters, and whether the front should sag as much
as the rear at all, is for the rider: common practice, no source, sets a fork up with less sag than the rear.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Literal

import numpy as np

from physics.answer import mapped
from physics.arrays import NONE, Values, values
from physics.case import Case, Coil, Setup
from physics.changes import at_sag
from physics.figures import ahead, figures, riding
from physics.frozen import dataclass
from physics.knobs import Grain
from physics.offered import BARS, Bar, beyond_limits
from physics.sag import under_load
from physics.shock import air_of, coil_of, pressure_of, shock_of, with_pressure, with_rate
from physics.solve import solved
from physics.spacing import spacer_counts
from physics.stand import Stand, stand
from physics.walk import walk

Measure = Literal["sag_fraction", "frequency", "support", "bottom_ratio"]
BY_SETTING: tuple[Measure, ...] = ("sag_fraction", "frequency", "support")
"""Measures that depend on a rate or a pressure."""
AGREE = 0.02
"""Relative difference of two wheels that counts as agreement."""
USUAL_SAG: Mapping[Literal["front", "rear"], tuple[float, float]] = {
    "front": (0.15, 0.20),
    "rear": (0.25, 0.30),
}
"""Sag as a fraction of travel that is usual at each wheel: common practice, no source."""
LEVEL = (0.90, (USUAL_SAG["rear"][1] / USUAL_SAG["front"][0]) ** 0.5)
"""Natural frequency, front over rear, at which a bike counts as balanced: common practice, no source.

From alike within a tenth to what the usual sags alone make of straight springs at equal travel, √(g/sag).
"""
Leaning = Literal["balanced", "front_firmer", "front_softer", "unknown"]
"""How the front compares with the rear."""
SAGS = (0.02, 0.92)
"""Range of sag, as a fraction of travel, within which a setting is looked for."""
_SAGS = np.linspace(*SAGS, 46)
_FINE = np.linspace(-1 / 16, 17 / 16, 19)
"""Where a bracket is refined, as a fraction of its width.

It reaches beyond both ends: rounding may move a crossing at an end to either side of it.
"""


@dataclass(frozen=True, slots=True)
class Stance:
    """How a wheel stands under its rider, shape (cases...), NaN if it does not settle.

    `sag` [m] at the wheel and as a fraction of its travel, and of the riding curve natural
    `frequency` [Hz], `support` as F_w(W/2)/W_s, `bottom_ratio` F_w(W)/W_s.
    """

    sag: Values
    sag_fraction: Values
    frequency: Values
    support: Values
    bottom_ratio: Values


@dataclass(frozen=True, slots=True)
class Change:
    """The change at a wheel that makes one measure equal to the other wheel's, and its other effects.

    `setting` is a rate [N/m] or a set pressure [Pa absolute], NaN if there is none; `spacers` the nearest
    count of positive volume spacers, NaN if unchanged; `over` are the limits of `physics.offered` that it
    exceeds: such a change is for comparison only. `agrees` is whether the measure then agrees with the other
    wheel to within `AGREE` before the setting is rounded; if not, the change is only the nearest.
    """

    measure: Measure
    setting: Values
    spacers: Values
    then: Stance
    over: frozenset[Bar]
    agrees: bool

    @property
    def over_label(self) -> bool:
        """Whether the pressure is above the max pressure on the label."""
        return "label" in self.over


@dataclass(frozen=True, slots=True)
class WheelBalance:
    """One wheel as it is and the changes towards the other; a measure that agrees has none."""

    now: Stance
    changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class Balance:
    """Both wheels; `ratio` is front over rear in each measure."""

    rear: WheelBalance
    front: WheelBalance
    ratio: Stance

    @property
    def leaning(self) -> Leaning:
        """Whether the bike is balanced: the ratio of the natural frequencies within `LEVEL`."""
        ratio = float(self.ratio.frequency)
        if not np.isfinite(ratio):
            return "unknown"
        return "front_softer" if ratio < LEVEL[0] else "front_firmer" if ratio > LEVEL[1] else "balanced"


def balance(
    rear: Case, rear_setup: int, front: Case, front_setup: int, grain: Grain | None = None
) -> Balance:
    """Return how one setup of the rear and one of the front agree.

    With a `grain` every change is rounded to what is written, and `then` is of that setting. For single
    cases; raises `Refused` as `answer` does.

    >>> from physics.case import Ambient, Fork, Frame, LeverageEnds, ScaleReading, Target
    >>> shop, coils = Ambient(293.15, 101_325.0), (Setup("coil", Coil(None, 0.0, 4378.0)),)
    >>> frame, fork = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Frame(0.150, 0.150, Fork(np.pi / 2))
    >>> rear = Case(ScaleReading(60.0, 4.0), frame, Target(0.30, "travel"), shop, coils)
    >>> front = Case(ScaleReading(30.0, 2.0), fork, Target(0.20, "travel"), shop, coils)
    >>> found = balance(rear, 0, front, 0)
    >>> round(float(found.ratio.sag_fraction), 6)
    0.666667
    >>> found.leaning, round(float(found.ratio.frequency), 3)  # √(g/sag) of straight coils: √1.5
    ('balanced', 1.225)
    >>> change = found.front.changes[0]
    >>> change.measure, round(float(change.setting), 1)  # 28 kg · g / (0.30 · 150 mm)
    ('sag_fraction', 6101.9)
    """
    wheels = (_Wheel.of(rear, rear_setup, grain), _Wheel.of(front, front_setup, grain))
    at_rear, at_front = (wheel.now() for wheel in wheels)
    return Balance(
        rear=WheelBalance(at_rear, _changes(wheels[0], at_rear, at_front)),
        front=WheelBalance(at_front, _changes(wheels[1], at_front, at_rear)),
        ratio=_ratio(at_front, at_rear),
    )


@dataclass(frozen=True, slots=True)
class _Wheel:
    setup: Setup
    bike: Stand
    grain: Grain | None

    @classmethod
    def of(cls, case: Case, index: int, grain: Grain | None) -> _Wheel:
        bike = stand(case)
        static = bike.load.static_wheel_force
        return cls(solved(case.setups[index], bike.lever, case.shop, case.target, static), bike, grain)

    def now(self) -> Stance:
        return self.stance(self.setup)

    def stance(self, setup: Setup) -> Stance:
        """Return how a solved setup stands, over its axis of cases."""
        static = self.bike.load.static_wheel_force
        walked = walk(shock_of(setup, self.bike.lever, self.bike.case.shop))
        sag = under_load(walked, static).sag
        beyond = ahead(walked.shock, sag)
        found = riding(walked, static, sag, figures(walked, static, sag, beyond), beyond)
        settled = np.isfinite(sag.wheel)
        there = Stance(
            sag.wheel, sag.wheel_fraction, found.natural_frequency, found.support_50, found.bottom_ratio
        )
        return mapped(there, lambda figure: values(np.where(settled, figure, np.nan)))

    def written(self, ready: Setup) -> Setup:
        """Return solved setups with their rate or pressure as it is written."""
        if self.grain is None:
            return ready
        if isinstance(ready.spring, Coil):
            return with_rate(ready, self.grain.nearest("rate", _setting(ready)))
        return with_pressure(ready, self.grain.nearest("pressure", pressure_of(ready)))

    def over(self, ready: Setup) -> tuple[frozenset[Bar], ...]:
        """Return the limits that each of n solved setups (n,) exceeds."""
        if isinstance(ready.spring, Coil):
            return ()
        found = beyond_limits(ready, self.bike)
        marks = {bar: np.atleast_1d(found[bar]) for bar in BARS if bar in found}
        count = max(mark.size for mark in marks.values())
        return tuple(
            frozenset(bar for bar, mark in marks.items() if np.broadcast_to(mark, count)[row])
            for row in range(count)
        )


def _setting(setup: Setup) -> Values:
    if isinstance(setup.spring, Coil):
        rate = coil_of(setup).rate
        return NONE if rate is None else values(rate)
    return pressure_of(setup)


def _ratio(front: Stance, rear: Stance) -> Stance:
    with np.errstate(divide="ignore", invalid="ignore"):
        ratios = (values(getattr(front, name) / getattr(rear, name)) for name in Stance.__slots__)
        return Stance(*ratios)


def _changes(wheel: _Wheel, now: Stance, wanted: Stance) -> tuple[Change, ...]:
    """Return the change for every measure in which a wheel differs from `wanted`."""
    if isinstance(wheel.setup.spring, Coil) and wheel.setup.spring.stage_rate is not None:
        return ()
    found = [*_by_setting(wheel, now, wanted), *_by_spacers(wheel, now, wanted)]
    return tuple(change for change in found if not _agrees(now, wanted, change.measure))


def _agrees(now: Stance, wanted: Stance, measure: Measure) -> bool:
    mine, theirs = getattr(now, measure), getattr(wanted, measure)
    return not np.isfinite(theirs) or bool(abs(mine - theirs) <= AGREE * abs(theirs))


def _by_setting(wheel: _Wheel, now: Stance, wanted: Stance) -> list[Change]:
    """Return the setting that brings each measure to the wanted one, of several the nearest in sag."""
    here = now.sag_fraction if np.isfinite(now.sag_fraction) else values(0.25)
    coarse = wheel.stance(at_sag(wheel.setup, wheel.bike, _SAGS))
    spans = np.stack([_span(_SAGS, coarse, wanted, measure, here) for measure in BY_SETTING])
    # Refine the bracket of every measure at once; interpolate linearly within it.
    fine = spans[:, :1] + (spans[:, 1:] - spans[:, :1]) * _FINE
    close = wheel.stance(at_sag(wheel.setup, wheel.bike, fine))
    sags = np.array([_crossing(row, fine[row], close, wanted, m) for row, m in enumerate(BY_SETTING)])
    ready = at_sag(wheel.setup, wheel.bike, sags)
    return _as_written(wheel, BY_SETTING, ready, NONE, wheel.stance(ready), wanted)


def _span(sags: Values, found: Stance, wanted: Stance, measure: Measure, here: Values) -> Values:
    """Return the two sags between which a measure passes the wanted value, NaN if it never does."""
    off = values(getattr(found, measure) - getattr(wanted, measure))
    passes = np.flatnonzero(off[:-1] * off[1:] <= 0)
    if not passes.size:
        return np.full(2, np.nan)
    nearest = passes[np.argmin(np.abs(sags[passes] - here))]
    return sags[nearest : nearest + 2]


def _crossing(row: int, sags: Values, found: Stance, wanted: Stance, measure: Measure) -> float:
    off = values(getattr(found, measure)[row] - getattr(wanted, measure))
    passes = np.flatnonzero(off[:-1] * off[1:] <= 0)
    if not passes.size:
        return np.nan
    at = passes[0]
    step = off[at + 1] - off[at]
    share = -off[at] / step if step else 0.0
    return float(sags[at] + share * (sags[at + 1] - sags[at]))


def _by_spacers(wheel: _Wheel, now: Stance, wanted: Stance) -> list[Change]:
    """Return the spacer count nearest to the wanted bottom-out ratio at the same sag."""
    if isinstance(wheel.setup.spring, Coil) or not np.isfinite(now.sag_fraction):
        return []
    spring = air_of(wheel.setup)
    counts = spacer_counts(spring, wheel.bike.lever.stroke)
    if not counts.size:
        return []
    spaced = replace(wheel.setup, spring=replace(spring, positive_spacers=counts))
    ready = at_sag(spaced, wheel.bike, values(np.broadcast_to(now.sag_fraction, counts.shape)))
    then = wheel.stance(ready)
    off = np.abs(then.bottom_ratio - wanted.bottom_ratio)
    if np.all(np.isnan(off)):
        return []
    best = int(np.nanargmin(off))
    if counts[best] == spring.positive_spacers:
        return []
    one = replace(wheel.setup, spring=replace(spring, positive_spacers=counts[[best]]))
    ready = with_pressure(one, pressure_of(ready)[[best]])
    exact = mapped(then, lambda figure: values(figure[[best]]))
    return _as_written(wheel, ("bottom_ratio",), ready, values(counts[best]), exact, wanted)


def _as_written(
    wheel: _Wheel,
    measures: tuple[Measure, ...],
    ready: Setup,
    spacers: Values,
    exact: Stance,
    wanted: Stance,
) -> list[Change]:
    """Return a change for each of n measures from n setups (n,), which stand as `exact` before rounding."""
    written = wheel.written(ready)
    then = exact if written is ready else wheel.stance(written)
    setting, over = np.broadcast_to(_setting(written), len(measures)), wheel.over(written)
    return [
        Change(
            measure=measure,
            setting=values(setting[row]),
            spacers=spacers,
            then=_row(then, row),
            over=over[row] if over else frozenset(),
            agrees=_agrees(_row(exact, row), wanted, measure),
        )
        for row, measure in enumerate(measures)
    ]


def _row(stances: Stance, row: int) -> Stance:
    """Return one of several stances (n,)."""
    return mapped(stances, lambda figure: values(figure[row]))
