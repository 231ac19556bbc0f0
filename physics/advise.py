"""What the rider felt → what to change, each change answered: figures before and after, ranked.

Which complaint speaks of which figure is common practice, no source. A change helps where the figure of the
complaint moves the wanted way by at least `LEAST`. Its side effect is the largest share by which another of
`WATCHED` moves; changes are ranked by effect over side effect, `FLOOR` added so that one without any is
not endlessly good.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from physics.advise_changes import Trial, Turned, trials
from physics.advise_feel import Feel, Mark, now_of, rebound_change, tried
from physics.case import Case, Setup
from physics.stand import stand

Felt = Literal[
    "wallows", "harsh_at_end", "blows_through", "spare_travel", "harsh_off_top", "packs_down", "too_high",
    "too_low", "ends_fight",
]  # fmt: skip
"""What the rider felt."""

LEAST = 0.01
"""Share by which the figure of a complaint must move for a change to be worth a trip to the stand."""
FLOOR = 0.02
MOST = 5
"""Changes in a list at most."""
WATCHED: tuple[Mark, ...] = (
    "starting_wheel", "sag_fraction", "support_50", "bottom_ratio", "natural_frequency",
)  # fmt: skip
"""Figures that are looked at for what a change does besides."""


@dataclass(frozen=True, slots=True)
class Complaint:
    """What a complaint speaks of: its figure, whether more of it helps, and what moves with that anyway.

    `kin` figures are no side effect. `rebound` is the damping that helps by itself; the model has no damper
    clicks, so that is a direction and never a number.
    """

    figure: Mark
    more: bool
    kin: tuple[Mark, ...] = ()
    rebound: Literal["less", "more", ""] = ""


COMPLAINTS: Mapping[Felt, Complaint] = {
    "wallows": Complaint("support_50", True, ("natural_frequency",)),
    "harsh_at_end": Complaint("end_ramp", False, ("bottom_ratio",)),
    "blows_through": Complaint("energy_from_sag", True, ("bottom_ratio", "support_50")),
    "spare_travel": Complaint("energy_from_sag", False, ("bottom_ratio", "support_50")),
    "harsh_off_top": Complaint("starting_wheel", False),
    # A spring that pushes back harder empties the same rebound damping faster: it is less of critical.
    "packs_down": Complaint("critical_damping", True, ("natural_frequency",), rebound="less"),
    "too_high": Complaint("sag_fraction", True),
    "too_low": Complaint("sag_fraction", False),
}
"""Every complaint of one wheel; `ends_fight` is one of two."""


@dataclass(frozen=True, slots=True)
class Advice:
    """One change and what it does.

    `setup` has the change and every setting in place. `figure` is what the complaint speaks of, `effect` the
    share by which it moves the wanted way (for ends that fight: by which the gap to the other end narrows,
    over the other end's), `side` the largest share by which another watched figure moves, that is
    `side_figure`. `rebound` is the critical damping at the shaft after over before: to stay as damped as it
    was, rebound damping changes by that.
    """

    turned: Turned
    more: bool
    setup: Setup
    figure: Mark
    before: Feel
    after: Feel
    effect: float
    side: float
    side_figure: Mark

    @property
    def rebound(self) -> float:
        """Return the critical damping after over before."""
        return rebound_change(self.before.critical_damping, self.after.critical_damping)


@dataclass(frozen=True, slots=True)
class Advised:
    """How a setup stands now, its settings in place, and the changes for a complaint, the best first.

    `settles` is false where the wheel does not settle under the rider: then nothing can be compared.
    """

    setup: Setup
    now: Feel
    settles: bool
    changes: tuple[Advice, ...]


def advise(case: Case, index: int, felt: Felt) -> Advised:
    """Return what to change on one setup of a single case for a complaint of its wheel.

    Raises `Refused` as `bench.answer` does, `KeyError` for `ends_fight`, which needs both ends.
    """
    complaint, bike = COMPLAINTS[felt], stand(case)
    setup, now, settles = now_of(case, index, bike)
    if not settles:
        return Advised(setup, now, False, ())
    found = tried(case, trials(setup, bike, now.sag_fraction))
    changes = (_judged(trial, now, then, complaint) for trial, then in found)
    return Advised(setup, now, True, ranked(changes))


def _judged(trial: Trial, now: Feel, then: Feel, complaint: Complaint) -> Advice | None:
    """Return a change with its effect, None where it does not help."""
    moved = now.share_to(then, complaint.figure)
    effect = moved if complaint.more else -moved
    return advice_of(trial, now, then, complaint.figure, effect, complaint.kin)


def advice_of(
    trial: Trial, now: Feel, then: Feel, mark: Mark, effect: float, kin: tuple[Mark, ...] = ()
) -> Advice | None:
    """Return a change with its effect and its side effect, None where it does not help."""
    if not effect >= LEAST:
        return None
    others = [other for other in WATCHED if other != mark and other not in kin]
    sides = np.nan_to_num([now.aside_to(then, other) for other in others])
    worst = int(np.argmax(sides))
    return Advice(
        trial.turned, trial.more, trial.setup, mark, now, then, effect, float(sides[worst]), others[worst]
    )


def ranked(found: Iterable[Advice | None]) -> tuple[Advice, ...]:
    """Return the changes that help, the most effect for its side effect first, `MOST` of them."""
    helpful = (advice for advice in found if advice is not None)
    return tuple(sorted(helpful, key=lambda a: a.effect / (a.side + FLOOR), reverse=True)[:MOST])
