"""What the rider felt → what to change, each change answered: figures before and after, ranked.

Which symptom speaks of which figure is common practice, no source. A change helps where the figure of a
symptom moves the wanted way by at least `LEAST`, and harms where it moves the other way as far. Its side
effect is the largest share by which another of `WATCHED` moves; changes are ranked by effect over side
effect, `FLOOR` added so that one without any is not endlessly good. Those that harm another of several
symptoms come after those that do not.

Sag comes first of all, as every other figure is read from where the wheel settles: what puts it right heads
the list, and what takes it further from its target stands below all that keeps it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from physics.advise_changes import Trial, Turned, Writer, exactly, settings, trials, written_down
from physics.advise_ends import OtherEnd, nearer, towards
from physics.advise_feel import Feel, Mark, now_of, rebound_change, tried
from physics.advise_limits import Bar
from physics.advise_sag import SAG_NEAR, is_off, leaves, off_target, to_target
from physics.case import Case, Setup, Target
from physics.stand import stand

Symptom = Literal[
    "wallows", "harsh_ramp_up", "blows_through", "unused_travel", "harsh_off_top", "packs_down", "too_high",
    "too_low", "unbalanced",
]  # fmt: skip
"""What the rider felt."""

LEAST = 0.01
"""Share by which the figure of a symptom must move for a change to be worth a trip to the stand."""
FLOOR = 0.02
MOST = 5
"""Changes in a list at most, the one that puts the sag right not counted."""
WATCHED: tuple[Mark, ...] = (
    "starting_wheel", "sag_fraction", "support_50", "bottom_ratio", "natural_frequency",
)  # fmt: skip
"""Figures that are looked at for what a change does besides."""


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a symptom speaks of: its figure, whether more of it helps, and what moves with that anyway.

    `kin` figures are no side effect. `rebound` is the damping that helps by itself; the model has no damper
    clicks, so that is a direction and never a number.
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
    # A spring that pushes back harder empties the same rebound damping faster: it is less of critical.
    "packs_down": Meaning("critical_damping", True, ("natural_frequency",), rebound="less"),
    "too_high": Meaning("sag_fraction", True),
    "too_low": Meaning("sag_fraction", False),
}
"""Every symptom of one wheel; `unbalanced` is one of two."""


@dataclass(frozen=True, slots=True)
class Effect:
    """What a change does to one symptom: its figure, and the share by which that moves the wanted way.

    Below zero it moves the other way. For `unbalanced` it is the share of the other end's figure by which
    the gap to it narrows. NaN where the figure does not exist.
    """

    symptom: Symptom
    figure: Mark
    share: float

    @property
    def helps(self) -> bool:
        """Whether it is worth a trip to the stand."""
        return self.share >= LEAST

    @property
    def harms(self) -> bool:
        """Whether it makes the symptom worse."""
        return self.share <= -LEAST


@dataclass(frozen=True, slots=True, eq=False)
class Advice:
    """One change and what it does.

    `setup` has the change and every setting as they are written down. `effects` are those on every symptom
    asked about, in their order. `side` is the largest share by which a watched figure moves that belongs to
    none of them, `side_figure` which one that is, None where all belong. `first` marks the one that puts the
    sag right, `leaves_target` one that takes it further from its target.
    """

    turned: Turned
    more: bool
    setup: Setup
    before: Feel
    after: Feel
    effects: tuple[Effect, ...]
    side: float
    side_figure: Mark | None
    first: bool = False
    leaves_target: bool = False

    @property
    def best(self) -> Effect:
        """The effect that helps most."""
        return max(self.effects, key=lambda effect: np.nan_to_num(effect.share))

    @property
    def figure(self) -> Mark:
        """The figure that it helps most."""
        return self.best.figure

    @property
    def effect(self) -> float:
        """The share by which that figure moves the wanted way."""
        return self.best.share

    @property
    def rebound(self) -> float:
        """The critical damping at the shaft after over before.

        To stay as damped as it was, rebound damping changes by that.
        """
        return rebound_change(self.before.critical_damping, self.after.critical_damping)


@dataclass(frozen=True, slots=True)
class Advised:
    """How a setup stands now, its settings in place, and the changes for what was felt, the best first.

    `settles` is false where the wheel does not settle under the rider, or the other end does not that it is
    held against: then nothing can be compared, and only what brings it to its target sag is there. `off` is
    the sag less its target as the target counts it, NaN without a sag, `sag_is_off` whether that comes
    first. `barred` are the limits that changes were left out for.
    """

    setup: Setup
    now: Feel
    settles: bool
    target: Target
    changes: tuple[Advice, ...]
    barred: frozenset[Bar]

    @property
    def off(self) -> float:
        """The sag less its target."""
        return self.now.sag_as_aimed - float(self.target.sag)

    @property
    def sag_is_off(self) -> bool:
        """Whether the sag has to be put right first."""
        return is_off(self.now, self.target)


def advise(
    case: Case,
    index: int,
    symptoms: tuple[Symptom, ...],
    other: OtherEnd | None = None,
    write: Writer = exactly,
) -> Advised:
    """Return what to change on one setup of a single case for what was felt of its wheel.

    `other` is the end that `unbalanced` holds it against. `write` puts a change into the values that are
    written down: what is promised is read off those. Raises `Refused` as `bench.answer` does, `ValueError`
    for no symptom, or for `unbalanced` without another end.
    """
    if not symptoms or ("unbalanced" in symptoms and other is None):
        raise ValueError("no symptom, or no other end")
    bike, target = stand(case), case.target
    setup, now, settles = now_of(case, index, bike)
    against = other.now() if other is not None and "unbalanced" in symptoms else None
    comparable = settles and (against is not None or "unbalanced" not in symptoms)
    asked = _Asked(now, target, symptoms, against)
    first: list[Advice] = []
    barred = frozenset[Bar]()
    if is_off(now, target):
        aimed = tried(case, written_down(to_target(setup, bike), setup, write))
        barred |= aimed.barred
        first = [replace(asked.advice(*pair), first=True) for pair in _nearest(aimed.found, now, target)]
    if not comparable:
        return Advised(setup, now, False, target, tuple(first), barred)
    pool: list[Trial] = []
    if symptoms != ("unbalanced",):
        pool += trials(setup, bike, now.sag_fraction)
    if other is not None and against is not None:
        pool += towards(case, index, other, bike, setup, now.sag_fraction)
    found = tried(case, written_down(pool, setup, write))
    # A step the same way as the one that puts the sag right only stops short of it, or goes past it.
    ways = {(advice.turned, advice.more) for advice in first}
    judged = [asked.advice(*pair) for pair in found.found if (pair[0].turned, pair[0].more) not in ways]
    changes = (*first, *_each_once(sorted(filter(_helps, judged), key=asked.worse))[:MOST])
    return Advised(setup, now, True, target, changes, barred | found.barred)


def _nearest(found: Iterable[tuple[Trial, Feel]], now: Feel, target: Target) -> list[tuple[Trial, Feel]]:
    """Return the change that alters least of those that reach the target, else the nearest one."""
    nearer_it = [pair for pair in found if not off_target(pair[1], target) >= off_target(now, target)]
    reach = [pair for pair in nearer_it if off_target(pair[1], target) <= SAG_NEAR]
    return reach[:1] or sorted(nearer_it, key=lambda pair: off_target(pair[1], target))[:1]


@dataclass(frozen=True, slots=True)
class _Asked:
    """How a setup stands, what was felt, and the other end where that counts."""

    now: Feel
    target: Target
    symptoms: tuple[Symptom, ...]
    other: Feel | None

    def advice(self, trial: Trial, then: Feel) -> Advice:
        """Return a change with its effects and its side effect."""
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

    @staticmethod
    def worse(advice: Advice) -> tuple[bool, bool, float]:
        """Return how far down a change stands in the list."""
        total = float(np.nansum([effect.share for effect in advice.effects]))
        harms = any(effect.harms for effect in advice.effects)
        return advice.leaves_target, harms, -total / (advice.side + FLOOR)

    def _effect(self, symptom: Symptom, trial: Trial, then: Feel) -> Effect:
        if symptom == "unbalanced":
            if self.other is None:
                return Effect(symptom, "sag_fraction", math.nan)
            return Effect(symptom, *nearer(trial, self.now, then, self.other))
        meaning = MEANINGS[symptom]
        moved = self.now.share_to(then, meaning.figure)
        return Effect(symptom, meaning.figure, moved if meaning.more else -moved)


def _helps(advice: Advice) -> bool:
    return any(effect.helps for effect in advice.effects)


def _each_once(changes: Iterable[Advice]) -> tuple[Advice, ...]:
    """Return the changes without those that say the same again for another figure."""
    found: dict[tuple[float, ...], Advice] = {}
    for change in changes:
        found.setdefault(settings(change.setup), change)
    return tuple(found.values())
