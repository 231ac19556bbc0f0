"""The advice for an answered job, and a change out of it typed into a copy of its setup."""

from __future__ import annotations

from functools import lru_cache

from physics.advise import Advice, Advised, Felt, advise
from physics.advise_changes import Turned
from physics.advise_ends import advise_fight
from physics.case import Air
from tui.jobs.advice_words import typed_value
from tui.jobs.answering import JobAnswer
from tui.jobs.tree import Raw, Table
from tui.jobs.unconfirmed import listed, with_list
from tui.shop_units import ShopUnits

OF_ONE_SPRING = (
    "mass", "free_length", "solid_length", "rated_stroke", "wire_diameter", "outer_diameter", "mean_diameter",
    "active_coils", "total_coils", "ends", "material", "grade",
)  # fmt: skip
"""What is measured on one coil and says nothing of another."""


@lru_cache(maxsize=16)
def advised(
    mine: JobAnswer, index: int, felt: Felt, theirs: JobAnswer | None = None, their_index: int = 0
) -> Advised | None:
    """Return what to change at one end; ends that fight need the other's answer, without which it is None."""
    if felt != "ends_fight":
        return advise(mine.case, index, felt)
    if theirs is None:
        return None
    return advise_fight(mine.case, index, theirs.case, their_index)


def with_change(setup: Table, advice: Advice, units: ShopUnits, outside: float) -> Table:
    """Return a setup as typed with a change in it, in the shop's units; `outside` is ambient [Pa].

    What is changed is taken as typed, the rest as far confirmed as it was.
    """
    found: dict[str, Raw] = dict(setup)
    is_air = isinstance(advice.setup.spring, Air)
    setting: Turned = "pressure" if is_air else "rate"
    if is_air or "stages" not in setup:
        found[setting] = typed_value(setting, advice.setup, units, outside)
    if advice.turned == "rate":
        for key in OF_ONE_SPRING:
            found.pop(key, None)
    elif advice.turned == "preload" and "preload_turns" in setup:
        found["preload_turns"] = _turns(advice)
    elif advice.turned != setting:
        key = "bumper_force" if advice.turned == "bumper" else advice.turned
        text = typed_value(advice.turned, advice.setup, units, outside)
        found[key] = int(text) if advice.turned.endswith("spacers") else text
    return with_list(found, (key for key in listed(setup) if found.get(key) == setup[key]))


def _turns(advice: Advice) -> float:
    coil = advice.setup.spring
    assert not isinstance(coil, Air)
    assert coil.thread_pitch
    return round(float(coil.preload) / coil.thread_pitch, 2)
