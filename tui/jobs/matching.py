"""One setup of an answered job in the place of another, and what was found typed into a copy of it."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from physics.answer import SetupAnswer
from physics.bench import answer
from physics.case import Case, Coil, Setup
from physics.inputs_setup import SETUP_INPUTS
from physics.match import Match, matched
from physics.unmatched import Reason, Unmatched
from tui.jobs.advised import OF_ONE_SPRING
from tui.jobs.answering import JobAnswer
from tui.jobs.tree import Raw, Table
from tui.jobs.unconfirmed import listed, with_list
from tui.shop_units import Measure, ShopUnits, gauge

TURNED: dict[str, Measure] = {
    "rate": Measure.SPRING_RATE,
    "preload": Measure.TRAVEL,
    "pressure": Measure.PRESSURE,
    "negative_pressure": Measure.PRESSURE,
    "positive_spacers": Measure.COUNT,
    "negative_spacers": Measure.COUNT,
    "positive_volume": Measure.VOLUME,
    "negative_volume": Measure.VOLUME,
    "port": Measure.TRAVEL,
}
"""What a match may turn, by key of the job file, and how it is written."""
_PRESSURES = ("pressure", "negative_pressure")
_HARDWARE = ("positive_volume", "negative_volume", "port")
_INPUTS = {one.name: one for one in SETUP_INPUTS}
_COIL_DROPS = (*OF_ONE_SPRING, "stages")


@lru_cache(maxsize=8)
def matched_job(answered: JobAnswer, goal: int, using: int, *, cans: bool = False) -> Match | Reason:
    """Return the settings of one setup that come closest to another, or why there are none."""
    try:
        return matched(answered.case, goal, using, cans=cans)
    except Unmatched as unmatched:
        return unmatched.reason


def answered_setup(case: Case, setup: Setup) -> SetupAnswer:
    """Return all the figures of a setup on the bike of a case."""
    return answer(replace(case, setups=(setup,))).setups[0]


def other_kind(answered: JobAnswer, goal: int) -> int | None:
    """Return the first setup of the other kind than the goal, else the first other one, None without one."""
    kinds = [setup.kind for setup in answered.answer.setups]
    others = [place for place in range(len(kinds)) if place != goal]
    apart = [place for place in others if kinds[place] != kinds[goal]]
    return next(iter(apart + others), None)


def settings_of(setup: Setup, outside: float) -> dict[str, float]:
    """Return what may be turned on a setup, by key [SI], pressures as a gauge shows them."""
    found = {name: _INPUTS[name].read(setup) for name in TURNED}
    known = {name: float(number) for name, number in found.items() if number is not None}
    return {name: gauge(number, outside) if name in _PRESSURES else number for name, number in known.items()}


def with_settings(typed: Table, found: Setup, units: ShopUnits, outside: float) -> Table:
    """Return a setup as typed with other settings in it, in the shop's units; `outside` is ambient [Pa].

    What was measured on the one coil that was in it says nothing of another, and goes. What is set is taken
    as typed; a chamber or a port of another size is one that nobody has measured yet.
    """
    raw = dict(typed)
    settings = settings_of(found, outside)
    if isinstance(found.spring, Coil):
        raw = {key: value for key, value in raw.items() if key not in _COIL_DROPS}
        pitch = found.spring.thread_pitch
        if "preload_turns" in raw and pitch:
            raw["preload_turns"] = round(settings.pop("preload") / pitch, 3)
    for key, number in settings.items():
        if key in typed or key in ("rate", "preload"):
            raw[key] = _written(key, number, units)
    changed = {key for key in raw if raw[key] != typed.get(key)}
    unmeasured = {key for key in _HARDWARE if key in changed}
    return with_list(raw, (set(listed(typed)) - changed) | unmeasured)


def _written(key: str, number: float, units: ShopUnits) -> Raw:
    """Return a setting as text, more finely than it is shown: what is tried must be what was found."""
    measure = TURNED[key]
    if measure is Measure.COUNT:
        return round(number)
    digits = units.writings[measure].digits + 2
    return f"{round(units.scale(number, measure), digits):g} {units.unit(measure)}"
