"""A rider's symptoms → changes, each one answered: figures before and after, ranked.

Which figure belongs to a symptom is common practice, no source. A change helps if it moves the figure of a
symptom the wanted way by more than two figures may differ and still be the same (`ALIKE`), and harms from
`LEAST` the other way. It is offered if its gain, the sum over all symptoms, is worth it too. Its side
effect is the largest relative change of another of `WATCHED`; changes are ranked by gain over side
effect, `FLOOR` added so that a change without any does not rank infinitely high. Changes that harm another of
several symptoms come after those that do not.

The gain is the difference of a potential, so that no sequence of changes leads back to a setup: the
reversal of a change has the opposite gain.

Sag comes first, because every other figure depends on where the wheel settles: the change that reaches target
sag heads the list unless it makes the symptoms worse, and changes that move away from it are ranked below
all others. A target that nobody has set ranks nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Literal

import numpy as np

from physics.arrays import Values, values
from physics.balance import Change, balance
from physics.buyable import either_side
from physics.case import Case, Coil, Setup, Target
from physics.changes import (
    Mark,
    Trial,
    Turned,
    Writer,
    at_sag,
    exactly,
    fits,
    settings,
    to_target,
    trials,
    written_down,
)
from physics.faults import Refused
from physics.frozen import dataclass
from physics.offered import Bar, barred
from physics.solve import solved
from physics.stand import Stand, stand
from physics.sweep import SweptSetup, sweep

SAG_NEAR = 0.005
"""How far a sag may be off its target, as a fraction of travel or stroke, and count as on it: half a
millimetre on an O-ring and the rounding of a gauge are no more (common practice, no source)."""

_LEAST_FIGURE = 1e-3
"""Stands for a figure that is zero, in any unit: a logarithm is to be taken of it."""


@dataclass(frozen=True, slots=True)
class Feel:
    """Figures of one setup, SI, NaN if undefined: those of the riding curve, which the rider feels.

    Only sag and breakaway force are slow. `static` is the wheel force W_s [N] they belong to,
    `sag_as_aimed` the sag in the measure of the target. Definitions in `physics.figures`.
    """

    static: float
    sag_as_aimed: float
    sag_fraction: float
    starting_wheel: float
    support_50: float
    bottom_ratio: float
    end_ramp: float
    energy_from_sag: float
    natural_frequency: float
    critical_damping: float

    def share_to(self, then: Feel, mark: Mark) -> float:
        """Return the relative change of a figure, NaN if it was zero."""
        before, after = getattr(self, mark), getattr(then, mark)
        return float((after - before) / abs(before)) if before else math.nan

    def gain_to(self, then: Feel, mark: Mark) -> float:
        """Return the logarithm of the ratio of a figure after to before, zero if undefined.

        Unlike the relative change it is opposite for the opposite change, and adds up over several.
        """
        before, after = (max(float(getattr(feel, mark)), _LEAST_FIGURE) for feel in (self, then))
        return float(np.nan_to_num(math.log(after / before)))

    def aside_to(self, then: Feel, mark: Mark) -> float:
        """Return the magnitude of a side effect, relative; that of a breakaway force is relative to the load.

        A coil breaks away at a few newtons: doubling them is barely felt.
        """
        if mark == "starting_wheel":
            return abs(then.starting_wheel - self.starting_wheel) / self.static
        return abs(self.share_to(then, mark))


def rebound_change(before: float, after: float) -> float:
    """Return critical damping at the shaft [N s/m], after over before, NaN if zero before.

    Critical is 2√(k_w m)·L² at sag. A rebound damping c is the fraction c/c_crit of it; the fraction is kept
    if c changes as c_crit does, so 1.12 calls for 12 % more rebound damping, which is slower.

    >>> rebound_change(10_000.0, 11_200.0)
    1.12
    """
    return after / before if before else math.nan


def feel_of(swept: SweptSetup, static: Values, target: Target) -> Feel:
    """Return the figures of a setup of a single case under a static wheel force [N]."""
    sag, ride = swept.sag, swept.riding
    return Feel(
        static=float(static),
        sag_as_aimed=float(sag.wheel_fraction if target.of == "travel" else sag.stroke_fraction),
        sag_fraction=float(sag.wheel_fraction),
        starting_wheel=float(swept.figures.starting_wheel),
        support_50=float(ride.support_50),
        bottom_ratio=float(ride.bottom_ratio),
        end_ramp=float(ride.end_ramp),
        energy_from_sag=float(ride.energy_from_sag),
        natural_frequency=float(ride.natural_frequency),
        critical_damping=float(ride.critical_damping),
    )


def off_target(feel: Feel, target: Target) -> float:
    """Return how far a sag is off its target, in the measure of the target; NaN if it does not settle."""
    return abs(feel.sag_as_aimed - float(target.sag))


def is_off(feel: Feel, target: Target) -> bool:
    """Return whether a sag must be corrected; one that does not exist must be, too."""
    return not off_target(feel, target) <= SAG_NEAR


def leaves(before: Feel, after: Feel, target: Target) -> bool:
    """Return whether a change moves the sag further from its target."""
    return off_target(after, target) > off_target(before, target) + SAG_NEAR


def now_of(case: Case, index: int, bike: Stand) -> tuple[Setup, Feel, bool]:
    """Return a solved setup, its figures and whether it settles."""
    static = bike.load.static_wheel_force
    setup = solved(case.setups[index], bike.lever, case.shop, case.target, static)
    swept = sweep(replace(case, setups=(setup,), ride=None)).setups[0]
    return setup, feel_of(swept, static, case.target), bool(swept.state == "ok")


@dataclass(frozen=True, slots=True)
class Tried:
    """The figures of every valid change that settles within the limits.

    `barred` are the limits that the other changes exceed.
    """

    found: tuple[tuple[Trial, Feel], ...]
    barred: frozenset[Bar]


def tried(case: Case, asked: Iterable[Trial]) -> Tried:
    """Return the figures of every change that may be offered."""
    left = tuple(asked)
    while left:
        try:
            found = sweep(replace(case, setups=tuple(trial.setup for trial in left), ride=None))
        except Refused as refused:
            bad = {fault.field[1] for fault in refused.faults if fault.field[0] == "setup"}
            if not bad:
                raise
            left = tuple(trial for place, trial in enumerate(left) if place not in bad)
        else:
            static = found.load.static_wheel_force
            pairs = [(t, s) for t, s in zip(left, found.setups, strict=True) if s.state == "ok"]
            broken = [barred(swept) for _, swept in pairs]
            kept = (
                (trial, feel_of(swept, static, case.target))
                for (trial, swept), bars in zip(pairs, broken, strict=True)
                if not bars
            )
            return Tried(tuple(kept), frozenset[Bar]().union(*broken))
    return Tried((), frozenset())


_MARKS: Mapping[str, Mark] = {
    "sag_fraction": "sag_fraction",
    "frequency": "natural_frequency",
    "support": "support_50",
    "bottom_ratio": "bottom_ratio",
}
"""The figure behind each measure of balance."""


@dataclass(frozen=True, slots=True)
class OtherWheel:
    """One setup at the other wheel of the bike."""

    case: Case
    index: int

    def now(self) -> Feel | None:
        """Return its figures, None if it does not settle."""
        _, feel, settles = now_of(self.case, self.index, stand(self.case))
        return feel if settles else None


def towards(
    case: Case, index: int, other: OtherWheel, bike: Stand, setup: Setup, sag: float
) -> Iterator[Trial]:
    """Yield the changes that bring one wheel to the other, one for each measure in which they differ.

    `setup` is that of `index`, solved, and settles at `sag`, a fraction of its travel.
    """
    # A balance is the same whichever wheel is called the rear.
    for change in balance(case, index, other.case, other.index).rear.changes:
        trial = _of_change(change, setup, bike, sag)
        if trial is not None and fits(trial.setup, setup, bike):
            yield replace(trial, mark=_MARKS[change.measure])


def nearer(trial: Trial, now: Feel, then: Feel, other: Feel) -> tuple[Mark, float]:
    """Return how much the gap to the other wheel narrows, relative to its figure, and for which figure.

    That is the figure the change is meant for; for any other change the one whose gap changes most.
    """
    marks = [trial.mark] if trial.mark is not None else list(_MARKS.values())
    found = [(mark, _narrowed(now, then, other, mark)) for mark in marks]
    return max(found, key=lambda pair: abs(np.nan_to_num(pair[1])))


def _narrowed(now: Feel, then: Feel, other: Feel, mark: Mark) -> float:
    wanted = getattr(other, mark)
    gaps = [abs(getattr(feel, mark) - wanted) for feel in (now, then)]
    return float((gaps[0] - gaps[1]) / abs(wanted)) if wanted else math.nan


def _of_change(change: Change, setup: Setup, bike: Stand, sag: float) -> Trial | None:
    """Return a change of the balance as a trial; for coils the nearest rate in stock."""
    setting, spring = float(change.setting), setup.spring
    if not np.isfinite(setting):
        return None
    if isinstance(spring, Coil):
        rate = _nearest_rate(spring, setting)
        more = rate > float(spring.rate or 0.0)
        return Trial("rate", more, replace(setup, spring=replace(spring, rate=rate)))
    if np.isfinite(change.spacers):
        count = float(change.spacers)
        spaced = replace(setup, spring=replace(spring, positive_spacers=count))
        return Trial("positive_spacers", count > float(spring.positive_spacers), at_sag(spaced, bike, sag))
    pressure = float(spring.pressure or 0.0)
    return Trial("pressure", setting > pressure, replace(setup, spring=replace(spring, pressure=setting)))


def _nearest_rate(coil: Coil, rate: float) -> float:
    """Return the rate in stock nearest to a rate [N/m]."""
    rungs = either_side(coil, values(rate))
    return min((float(r) for r in rungs if r > 0), key=lambda found: abs(found - rate), default=rate)


Symptom = Literal[
    "wallows", "harsh_ramp_up", "blows_through", "unused_travel", "harsh_off_top", "packs_down", "too_high",
    "too_low", "unbalanced",
]  # fmt: skip
"""What the rider felt."""

ALIKE = 0.03
"""Relative difference within which two figures count as the same: common practice, no source."""
LEAST = 0.01
"""Relative change of a symptom's figure from which a worsening counts."""
_WORTH = math.log1p(ALIKE)
"""Gain from which a change is worth making."""
FLOOR = 0.02
MOST = 5
"""Longest list of changes, not counting the one that corrects the sag."""
WATCHED: tuple[Mark, ...] = (
    "starting_wheel", "sag_fraction", "support_50", "bottom_ratio", "natural_frequency",
)  # fmt: skip
"""Figures checked for side effects of a change."""


@dataclass(frozen=True, slots=True)
class Meaning:
    """The figure of a symptom, whether more of it helps, and the figures that move with it anyway.

    `kin` figures are no side effect. `rebound` is the damping change that helps by itself; the model has no
    damper clicks, so it is a direction, never a number.
    """

    figure: Mark
    more: bool
    kin: tuple[Mark, ...] = ()
    rebound: Literal["less", "more", ""] = ""


MEANINGS: Mapping[Symptom, Meaning] = {
    "wallows": Meaning("support_50", True, ("natural_frequency",)),
    "harsh_ramp_up": Meaning("end_ramp", False, ("bottom_ratio",)),
    "blows_through": Meaning("energy_from_sag", True, ("bottom_ratio", "support_50")),
    "unused_travel": Meaning("energy_from_sag", False, ("bottom_ratio", "support_50")),
    "harsh_off_top": Meaning("starting_wheel", False),
    # A stiffer spring rebounds faster at the same damping: it is a smaller fraction of critical.
    "packs_down": Meaning("critical_damping", True, ("natural_frequency",), rebound="less"),
    "too_high": Meaning("sag_fraction", True),
    "too_low": Meaning("sag_fraction", False),
}
"""Every symptom of one wheel; `unbalanced` concerns both."""


@dataclass(frozen=True, slots=True)
class Effect:
    """The effect of a change on one symptom: its figure, and the relative change in the wanted direction.

    Negative if it moves the other way. For `unbalanced` it is how much the gap to the other wheel narrows,
    relative to the other wheel's figure. NaN if the figure does not exist.

    `gain` is what the effects of a change are added up by, zero if undefined: the logarithm of the ratio of
    the figure in the wanted direction; for `unbalanced` the narrowing of the gaps in all measures of balance.
    """

    symptom: Symptom
    figure: Mark
    share: float
    gain: float

    @property
    def helps(self) -> bool:
        """Whether the change is worth making for this symptom."""
        return self.share >= ALIKE

    @property
    def harms(self) -> bool:
        """Whether it makes the symptom worse."""
        return self.share <= -LEAST


@dataclass(frozen=True, slots=True, eq=False)
class Advice:
    """One change and its effects.

    `setup` has the change and every setting as written. `effects` are those on every symptom
    asked about, in order. `side` is the largest relative change of a watched figure that belongs to
    none of them, `side_figure` that figure, None if all belong. `to_target` marks the change that corrects
    the sag, `leaves_target` one that moves it further from its target.
    """

    turned: Turned
    more: bool
    setup: Setup
    before: Feel
    after: Feel
    effects: tuple[Effect, ...]
    side: float
    side_figure: Mark | None
    to_target: bool = False
    leaves_target: bool = False

    @property
    def gain(self) -> float:
        """The sum of its effects on all symptoms, opposite for the opposite change."""
        return sum(effect.gain for effect in self.effects)

    @property
    def is_worth_it(self) -> bool:
        """Whether it helps a symptom, and all of them together."""
        return self.gain >= _WORTH and any(effect.helps for effect in self.effects)

    @property
    def best(self) -> Effect:
        """The effect that helps most."""
        return max(self.effects, key=lambda effect: np.nan_to_num(effect.share))

    @property
    def figure(self) -> Mark:
        """The figure it helps most."""
        return self.best.figure

    @property
    def effect(self) -> float:
        """The relative change of that figure in the wanted direction."""
        return self.best.share

    @property
    def rebound(self) -> float:
        """The critical damping at the shaft, after over before.

        To keep the damping ratio, rebound damping changes by that factor.
        """
        return rebound_change(self.before.critical_damping, self.after.critical_damping)


@dataclass(frozen=True, slots=True)
class Advised:
    """A solved setup as it is, and the changes for its symptoms, best first.

    `settles` is false if the wheel does not settle under the rider, or the other wheel it is compared
    with does not: then only changes towards target sag are listed. `off` is
    the sag less its target in the measure of the target, NaN without a sag, `sag_is_off` whether that must be
    corrected first. `barred` are the limits that ruled out changes. `correction` is the change that brings
    the sag to its target, among the `changes` or not: it is not if it makes the symptoms worse, or if nobody
    has set the target (`firm` is false) and it does not help them. `slight` are the changes that help a
    symptom by too little, or harm another by as much, best first.
    """

    setup: Setup
    now: Feel
    settles: bool
    target: Target
    changes: tuple[Advice, ...]
    barred: frozenset[Bar]
    firm: bool = True
    correction: Advice | None = None
    slight: tuple[Advice, ...] = ()

    @property
    def off(self) -> float:
        """The sag less its target."""
        return self.now.sag_as_aimed - float(self.target.sag)

    @property
    def sag_is_off(self) -> bool:
        """Whether the sag must be corrected first."""
        return is_off(self.now, self.target)


def advise(
    case: Case,
    index: int,
    symptoms: tuple[Symptom, ...],
    other: OtherWheel | None = None,
    write: Writer = exactly,
    *,
    firm: bool = True,
) -> Advised:
    """Return the changes on one setup of a single case for the symptoms of its wheel.

    `other` is the wheel that `unbalanced` compares it with. `write` turns a change into the values that are
    written down: figures are those of these values. `firm` is whether somebody has set the target. Raises
    `Refused` as `bench.answer` does, `ValueError` for no symptom, or for `unbalanced` without another wheel.
    """
    if not symptoms or ("unbalanced" in symptoms and other is None):
        raise ValueError("no symptom, or no other end")
    bike, target = stand(case), case.target
    setup, now, settles = now_of(case, index, bike)
    against = other.now() if other is not None and "unbalanced" in symptoms else None
    comparable = settles and (against is not None or "unbalanced" not in symptoms)
    asked = _Asked(now, target, symptoms, against)
    correction: Advice | None = None
    barred = frozenset[Bar]()
    if is_off(now, target):
        aimed = tried(case, written_down(to_target(setup, bike), setup, write))
        barred |= aimed.barred
        for pair in _nearest(aimed.found, now, target):
            correction = replace(asked.advice(*pair), to_target=True)
    # A correction loses less than any other change gains: they cannot alternate.
    leads = correction is not None and (not comparable or (firm and correction.gain > -LEAST))
    first = (correction,) if correction is not None and leads else ()
    if not comparable:
        return Advised(setup, now, False, target, first, barred, firm, correction)
    pool: list[Trial] = []
    if symptoms != ("unbalanced",):
        pool += trials(setup, bike, now.sag_fraction)
    if other is not None and against is not None:
        pool += towards(case, index, other, bike, setup, now.sag_fraction)
    found = tried(case, written_down(pool, setup, write))
    # A step the same way as the sag correction only falls short of it or overshoots it.
    ways = {(advice.turned, advice.more) for advice in first}
    judged = [asked.advice(*pair) for pair in found.found if (pair[0].turned, pair[0].more) not in ways]
    if correction is not None and not firm:
        judged.insert(0, correction)
    ranked = _each_once(sorted(judged, key=asked.worse if firm else asked.worse_by_gain))
    changes = (*first, *[advice for advice in ranked if advice.is_worth_it][:MOST])
    slight = tuple(advice for advice in ranked if not advice.is_worth_it and _is_slight(advice))
    return Advised(setup, now, True, target, changes, barred | found.barred, firm, correction, slight)


def _nearest(found: Iterable[tuple[Trial, Feel]], now: Feel, target: Target) -> list[tuple[Trial, Feel]]:
    """Return the smallest change that reaches the target, else the nearest one."""
    nearer_it = [pair for pair in found if not off_target(pair[1], target) >= off_target(now, target)]
    reach = [pair for pair in nearer_it if off_target(pair[1], target) <= SAG_NEAR]
    return reach[:1] or sorted(nearer_it, key=lambda pair: off_target(pair[1], target))[:1]


@dataclass(frozen=True, slots=True)
class _Asked:
    """A setup as it is, its symptoms, and the other wheel if needed."""

    now: Feel
    target: Target
    symptoms: tuple[Symptom, ...]
    other: Feel | None

    def advice(self, trial: Trial, then: Feel) -> Advice:
        """Return a change with its effects and side effect."""
        effects = tuple(self._effect(symptom, trial, then) for symptom in self.symptoms)
        own = {effect.figure for effect in effects}.union(
            *(MEANINGS[symptom].kin for symptom in self.symptoms if symptom in MEANINGS)
        )
        others = [mark for mark in WATCHED if mark not in own]
        sides = np.nan_to_num([self.now.aside_to(then, mark) for mark in others])
        worst = int(np.argmax(sides)) if others else 0
        return Advice(
            turned=trial.turned,
            more=trial.more,
            setup=trial.setup,
            before=self.now,
            after=then,
            effects=effects,
            side=float(sides[worst]) if others else 0.0,
            side_figure=others[worst] if others else None,
            leaves_target=leaves(self.now, then, self.target),
        )

    @classmethod
    def worse(cls, advice: Advice) -> tuple[bool, bool, float]:
        """Return the sort key of a change, best first."""
        return advice.leaves_target, *cls.worse_by_gain(advice)

    @staticmethod
    def worse_by_gain(advice: Advice) -> tuple[bool, float]:
        """Return the sort key of a change where the target does not count, best first."""
        return any(effect.harms for effect in advice.effects), -advice.gain / (advice.side + FLOOR)

    def _effect(self, symptom: Symptom, trial: Trial, then: Feel) -> Effect:
        if symptom == "unbalanced":
            if self.other is None:
                return Effect(symptom, "sag_fraction", math.nan, 0.0)
            gaps = [_narrowed(self.now, then, self.other, mark) for mark in _MARKS.values()]
            return Effect(symptom, *nearer(trial, self.now, then, self.other), float(np.nansum(gaps)))
        meaning = MEANINGS[symptom]
        way = 1.0 if meaning.more else -1.0
        moved, gain = self.now.share_to(then, meaning.figure), self.now.gain_to(then, meaning.figure)
        return Effect(symptom, meaning.figure, way * moved, way * gain)


def _is_slight(advice: Advice) -> bool:
    """Return whether a change that is not worth it helps a symptom at all."""
    return any(effect.share >= LEAST for effect in advice.effects)


def _each_once(changes: Iterable[Advice]) -> tuple[Advice, ...]:
    """Return the changes without duplicates for another figure."""
    found: dict[tuple[float, ...], Advice] = {}
    for change in changes:
        found.setdefault(settings(change.setup), change)
    return tuple(found.values())
