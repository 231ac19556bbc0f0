"""The advice for an answered job, and a change out of it typed into a copy of its setup."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from physics.advise import Advice, Advised, OtherWheel, Symptom, advise
from physics.bench import answer
from physics.case import Air, Setup
from physics.changes import ByMeasuredSag, Trial, Turned, Writer, by_measured_sag
from physics.faults import Caution, Unfit
from tui.jobs.advice_words import typed_value
from tui.jobs.answering import JobAnswer
from tui.jobs.findings import Findings
from tui.jobs.measured import MeasuredRow, measured_rows
from tui.jobs.measured_words import gauge_is_off
from tui.jobs.on_bike import setup_on_bike
from tui.jobs.setup_of import setup_of
from tui.jobs.setup_sections import read_setups
from tui.jobs.slips import Spelling
from tui.jobs.tree import Raw, Table
from tui.jobs.unconfirmed import listed, with_list
from tui.shop_units import ALL, ShopUnits

OF_ONE_SPRING = (
    "mass", "free_length", "solid_length", "rated_stroke", "wire_diameter", "outer_diameter", "mean_diameter",
    "active_coils", "total_coils", "ends", "material", "grade",
)  # fmt: skip
"""What is measured on one coil and says nothing of another."""


def advised(
    mine: JobAnswer,
    index: int,
    symptoms: tuple[Symptom, ...],
    units: ShopUnits,
    theirs: JobAnswer | None = None,
    their_index: int = 0,
) -> Advised | None:
    """Return what to change at one end, every promise that of the values written in the shop's units.

    `unbalanced` needs the other end's answer: without it the rest is looked at, and None where nothing is.
    """
    asked = tuple(one for one in symptoms if one != "unbalanced" or theirs is not None)
    return _advised(mine, index, asked, units.name, theirs, their_index) if asked else None


@lru_cache(maxsize=16)
def _advised(
    mine: JobAnswer,
    index: int,
    symptoms: tuple[Symptom, ...],
    units: str,
    theirs: JobAnswer | None,
    their_index: int,
) -> Advised:
    other = None if theirs is None else OtherWheel(theirs.case, their_index)
    return advise(mine.case, index, symptoms, other, _writer(mine, index, units_named(units)))


def units_named(name: str) -> ShopUnits:
    """Return a habit of units by its name."""
    return next(units for units in ALL if units.name == name)


def _writer(mine: JobAnswer, index: int, units: ShopUnits) -> Writer:
    """Return what types a change into the setup of a job and reads it back, as anybody who opens it will."""
    typed, before = mine.job.setups[index], mine.answer.setups[index].setup
    outside, leverage = float(mine.answer.shop.pressure), str(mine.job.get(("frame", "leverage", "kind")))

    def write(trial: Trial) -> Setup | None:
        found = Findings(Spelling(Table({}), {}))
        sections = read_setups((with_change(typed, before, trial, units, outside),), leverage, found)
        return None if found.faults else setup_of(sections[0], outside)

    return write


@lru_cache(maxsize=16)
def cautions_of(mine: JobAnswer, advice: Advice) -> tuple[Caution, ...]:
    """Return every caution that the setup would get with a change in it, those about the frame first."""
    found = answer(replace(mine.case, setups=(advice.setup,), ride=None))
    return (*found.cautions, *found.setups[0].cautions)


@dataclass(frozen=True, slots=True)
class SagMeasured:
    """A measured sag outside of its band: the row that says so, and what it tells, None for nothing.

    `gauge_off` is whether the pressure was off as well, which then comes before the sag.
    """

    row: MeasuredRow
    gauge_off: bool
    told: ByMeasuredSag | None


@lru_cache(maxsize=8)
def sag_measured(mine: JobAnswer, index: int) -> SagMeasured | None:
    """Return what a measured sag says of a setup where it lies outside of its band, else None."""
    if index != setup_on_bike(mine.job):
        return None
    rows = measured_rows(mine)
    row = next((one for one in rows if one.key == "sag" and one.verdict in ("below", "above")), None)
    if row is None:
        return None
    if gauge_is_off(rows):
        return SagMeasured(row, True, None)
    try:
        told = by_measured_sag(mine.case, mine.answer.setups[index].setup, row.measured, row.of)
    except Unfit:
        told = None
    return SagMeasured(row, False, told)


def with_change(
    setup: Table, before: Setup, change: Advice | Trial, units: ShopUnits, outside: float
) -> Table:
    """Return a setup as typed with a change in it, in the shop's units; `outside` is ambient [Pa].

    `before` is the same setup with its settings in place. What is changed is taken as typed, the rest as far
    confirmed as it was.
    """
    found: dict[str, Raw] = dict(setup)
    turned, after = change.turned, change.setup
    is_air = isinstance(after.spring, Air)
    setting: Turned = "pressure" if is_air else "rate"
    if is_air or "stages" not in setup:
        found[setting] = typed_value(setting, after, units, outside)
    if turned == "rate":
        for key in OF_ONE_SPRING:
            found.pop(key, None)
    if turned == "preload" or (turned == "rate" and _is_wound(before, after)):
        found |= _preload(setup, after, units, outside)
    elif turned not in (setting, "rate"):
        key = "bumper_force" if turned == "bumper" else turned
        text = typed_value(turned, after, units, outside)
        found[key] = int(text) if turned.endswith("spacers") else text
    return with_list(found, (key for key in listed(setup) if found.get(key) == setup[key]))


def _is_wound(before: Setup, after: Setup) -> bool:
    """Return whether a change of the spring comes with another preload."""
    was, then = before.spring, after.spring
    assert not isinstance(was, Air)
    assert not isinstance(then, Air)
    return abs(float(then.preload) - float(was.preload)) > _HAIR


_HAIR = 1e-9


def _preload(setup: Table, after: Setup, units: ShopUnits, outside: float) -> dict[str, Raw]:
    coil = after.spring
    assert not isinstance(coil, Air)
    if "preload_turns" in setup and coil.thread_pitch:
        return {"preload_turns": round(float(coil.preload) / coil.thread_pitch, 2)}
    return {"preload": typed_value("preload", after, units, outside)}
