"""One setup of an answered job in the place of another: settings found as they are written, and their answer.

What is offered is rounded to what the shop writes before anything is said of it: it is typed into a copy of
the setup, read again as a job file is and answered, and every figure and caution is that answer's.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Generic, TypeVar

from physics.answer import SetupAnswer
from physics.case import Coil, Setup
from physics.faults import Caution, Reason, Unmatched
from physics.inputs import SETUP_INPUTS
from physics.knobs import Grain
from physics.match import Match, matched
from physics.shock import coil_of
from physics.wants import Wished
from tui.jobs.advised import OF_ONE_SPRING
from tui.jobs.answering import JobAnswer, answer_job
from tui.jobs.job import Job
from tui.jobs.tree import Raw, Table
from tui.jobs.unconfirmed import listed, with_list
from tui.shop_units import ALL, Measure, ShopUnits, gauge

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
PRESSURES = ("pressure", "negative_pressure")
_HARDWARE = ("positive_volume", "negative_volume", "port")
_INPUTS = {one.name: one for one in SETUP_INPUTS}
_COIL_DROPS = (*OF_ONE_SPRING, "stages")
_OF_THE_WHEEL = ("format", "title", "load", "frame", "target", "ambient", "ride", "tolerance")
_TENTH_OF_A_TURN = 0.1

Found = TypeVar("Found", Match, Wished)


@dataclass(frozen=True, slots=True, eq=False)
class Offer(Generic[Found]):
    """Settings that were found, the setup as typed with them in it, and the wheel with that setup alone."""

    found: Found
    table: Table
    tried: JobAnswer

    @property
    def setup(self) -> SetupAnswer:
        """The answer of what is offered."""
        return self.tried.answer.setups[0]

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What must be known of it, the frame's cautions first."""
        return (*self.tried.answer.cautions, *self.setup.cautions)


def matched_job(
    answered: JobAnswer, target: int, using: int, units: ShopUnits, *, volumes: bool = False
) -> Offer[Match] | Reason:
    """Return the settings of one setup that come closest to another, or which limit bars them all."""
    return _matched(answered, target, using, units.name, volumes)


@lru_cache(maxsize=8)
def _matched(
    answered: JobAnswer, target: int, using: int, habit: str, volumes: bool
) -> Offer[Match] | Reason:
    units = next(units for units in ALL if units.name == habit)
    grain = grain_of(answered, using, units)
    try:
        found = matched(answered.case, target, using, volumes=volumes, grain=grain)
    except Unmatched as unmatched:
        return unmatched.reason
    return offered(answered, using, found, units)


def grain_of(answered: JobAnswer, using: int, units: ShopUnits) -> Grain:
    """Return how finely the settings of a setup are written: to the digits that are shown."""
    outside = float(answered.answer.shop.pressure)
    writings = {name: units.writings[measure] for name, measure in TURNED.items()}
    steps = {name: writing.factor * 10.0**-writing.digits for name, writing in writings.items()}
    pitch = _pitch(answered.job.setups[using], answered.case.setups[using])
    if pitch:
        steps["preload"] = _TENTH_OF_A_TURN * pitch
    return Grain(steps, dict.fromkeys(PRESSURES, outside))


def offered(answered: JobAnswer, using: int, found: Found, units: ShopUnits) -> Offer[Found]:
    """Return settings that were found for a setup of a wheel as an offer."""
    typed = answered.job.setups[using]
    table = _with_settings(typed, found, units, float(answered.answer.shop.pressure))
    wheel = {key: raw for key, raw in answered.job.tree.items() if key in _OF_THE_WHEEL}
    return Offer(found, table, answer_job(Job(Table({**wheel, "setup": (table,)}))))


def other_kind(answered: JobAnswer, target: int) -> int | None:
    """Return the first setup of another kind than the target setup, else the first other one, if any."""
    kinds = [setup.kind for setup in answered.answer.setups]
    others = [place for place in range(len(kinds)) if place != target]
    apart = [place for place in others if kinds[place] != kinds[target]]
    return next(iter(apart + others), None)


def settings_of(setup: Setup, outside: float) -> dict[str, float]:
    """Return what may be turned on a setup, by key [SI], pressures as a gauge shows them."""
    found = {name: _INPUTS[name].read(setup) for name in TURNED}
    known = {name: float(number) for name, number in found.items() if number is not None}
    return {name: gauge(number, outside) if name in PRESSURES else number for name, number in known.items()}


def turned(found: Match | Wished) -> tuple[str, ...]:
    """Return the settings that were searched, in the order in which they are told."""
    names = {bound.name for bound in found.bounds}
    if isinstance(found.setup.spring, Coil):
        names |= {"rate"}
    return tuple(name for name in TURNED if name in names)


def _with_settings(typed: Table, found: Match | Wished, units: ShopUnits, outside: float) -> Table:
    """Return a setup as typed with what was searched put in, in the shop's units; `outside` is ambient [Pa].

    What was measured on the one coil that was in it says nothing of another, and goes. What is set is taken
    as typed; a chamber or a port of another size is one that nobody has measured yet.
    """
    raw = dict(typed)
    settings = settings_of(found.setup, outside)
    names = turned(found)
    if isinstance(found.setup.spring, Coil):
        raw = {key: value for key, value in raw.items() if key not in _COIL_DROPS}
        if pitch := _pitch(typed, found.setup):
            raw["preload_turns"] = round(settings["preload"] / pitch, 1)
            names = tuple(name for name in names if name != "preload")
    for name in names:
        if not (name.endswith("spacers") and raw.get(name, 0) == round(settings[name])):
            raw[name] = _written(name, settings[name], units)
    changed = {key for key in raw if raw[key] != typed.get(key)}
    unmeasured = {key for key in _HARDWARE if key in changed}
    return with_list(raw, (set(listed(typed)) - changed) | unmeasured)


def _pitch(typed: Table, setup: Setup) -> float | None:
    """Return the thread pitch [m] of a coil whose preload is typed in turns."""
    if "preload_turns" not in typed or not isinstance(setup.spring, Coil):
        return None
    return coil_of(setup).thread_pitch


def _written(key: str, number: float, units: ShopUnits) -> Raw:
    """Return a setting as text, as it is shown."""
    measure = TURNED[key]
    return round(number) if measure is Measure.COUNT else units.show(number, measure)
