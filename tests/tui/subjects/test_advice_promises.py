"""What is promised of a change is what the job answers with the written keys in it, digit for digit."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from physics.advise import Advice, Symptom
from physics.answer import SetupAnswer
from physics.limits import HIGHEST_PRESSURE
from physics.offered import MOST_REST
from tests.confirmed import confirmed_demo
from tests.random_cases import cases
from tests.tui.job.test_any_job import BASES
from tests.tui.job.two_ends import BIKE
from tui.job.answer import JobAnswer, answer_job
from tui.job.choices import SYMPTOMS
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob
from tui.job.job import Job
from tui.job.wheels import WHEELS, Wheel, wheel_job
from tui.shop_units import ALL, USUAL, ShopUnits
from tui.subjects.advice import advised, cautions_of, with_change

EVERY: tuple[Symptom, ...] = tuple(SYMPTOMS)


def promised(advice: Advice) -> dict[str, float]:
    after = advice.after
    return {name: getattr(after, name) for name in type(after).__slots__ if name not in ("static",)}


def found_in(setup: SetupAnswer, of: str) -> dict[str, float]:
    ride = setup.riding
    return {
        "sag_as_aimed": float(setup.sag.wheel_fraction if of == "travel" else setup.sag.stroke_fraction),
        "sag_fraction": float(setup.sag.wheel_fraction),
        "starting_wheel": float(setup.figures.starting_wheel),
        "support_50": float(ride.support_50),
        "bottom_ratio": float(ride.bottom_ratio),
        "end_ramp": float(ride.end_ramp),
        "energy_from_sag": float(ride.energy_from_sag),
        "natural_frequency": float(ride.natural_frequency),
        "critical_damping": float(ride.critical_damping),
    }


def written(mine: JobAnswer, index: int, advice: Advice, units: ShopUnits) -> Job:
    job = mine.job
    setup = mine.answer.setups[index].setup
    table = with_change(job.setups[index], setup, advice, units, float(mine.answer.shop.pressure))
    setups = [*job.setups[:index], table, *job.setups[index + 1 :]]
    return job.with_value(("setup",), tuple(setups))


def check(bike: JobAnswer, wheel: Wheel, index: int, symptoms: tuple[Symptom, ...], units: ShopUnits) -> int:
    """Hold every change against the job with it written in; return how many there were."""
    mine = bike.at(wheel)
    assert mine is not None
    theirs = bike.at("front" if wheel == "rear" else "rear") if bike.front is not None else None
    found = advised(mine, index, symptoms, units, theirs, 0)
    if found is None:
        return 0
    for advice in found.changes:
        answered = answer_job(written(mine, index, advice, units)).answer
        setup = answered.setups[index]
        # Nothing is solved any more, so that every digit is that of the same arithmetic.
        of = mine.case.target.of
        assert found_in(setup, of) == pytest.approx(promised(advice), rel=1e-9, abs=1e-12, nan_ok=True)
        assert (*answered.cautions, *setup.cautions) == cautions_of(mine, advice)
        assert not {"over_label", "negative_over_label"} & {caution.code for caution in setup.cautions}
        if setup.air is not None:
            assert max(setup.air.peak_pressure, setup.air.highest_extended) <= HIGHEST_PRESSURE
            assert setup.air.rest_stroke <= MOST_REST
        if advice.to_target:
            assert found.sag_is_off
    return len(found.changes)


@pytest.mark.slow
@pytest.mark.slow
@pytest.mark.parametrize("units", ALL, ids=lambda units: units.name)
@pytest.mark.parametrize("job", [demo_job(), BIKE], ids=["demo", "bike"])
def test_every_change_of_every_symptom_of_both_ends_keeps_its_word(job: Job, units: ShopUnits) -> None:
    bike, count = answer_job(job), 0
    for end, symptom in product(WHEELS, EVERY):
        there = bike.at(end)
        assert there is not None
        for index in range(len(there.answer.setups)):
            count += check(bike, end, index, (symptom,), units)
    assert count > 30


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    """Return a job with sizes, load, target and settings of its own, some typed off the target."""
    job = draw(st.sampled_from([*BASES, BIKE]))
    if job.get(("load", "rider_mass")) is not None:
        job = job.with_value(("load", "rider_mass"), f"{draw(st.floats(45, 120)):.1f} kg")
    job = job.with_value(("target", "sag"), f"{draw(st.floats(18, 38)):.1f} %")
    if draw(st.booleans()):
        job = job.with_value(("target", "of"), "stroke")
    for index, setup in enumerate(wheel_job(job, "rear").setups):
        if setup["kind"] == "air":
            job = job.with_value(("setup", index, "positive_spacers"), draw(st.integers(0, 4)))
            if draw(st.booleans()):
                pressure = f"{draw(st.floats(90, 330)):.0f} psi"
                job = job.with_value(("setup", index, "pressure"), pressure)
        elif draw(st.booleans()):
            rate = f"{draw(st.floats(300, 650)):.0f} lbf/in"
            job = job.with_value(("setup", index, "rate"), rate)
    return job


@pytest.mark.slow
@given(
    jobs(),
    st.lists(st.sampled_from(EVERY), min_size=1, max_size=3, unique=True),
    st.sampled_from(ALL),
    st.data(),
)
@settings(max_examples=cases(80))
def test_it_holds_over_any_job_and_any_symptoms(
    job: Job, symptoms: list[Symptom], units: ShopUnits, data: st.DataObject
) -> None:
    try:
        bike = answer_job(job)
    except UnusableJob:
        return
    end: Wheel = data.draw(st.sampled_from(WHEELS if bike.front is not None else WHEELS[:1]))
    there = bike.at(end)
    assert there is not None
    index = data.draw(st.sampled_from(range(len(there.answer.setups))))
    check(bike, end, index, tuple(symptoms), units)


@pytest.mark.slow
def test_a_pressure_off_target_is_brought_back_before_anything_else_unless_that_harms() -> None:
    typed = confirmed_demo().with_value(("setup", 1, "pressure"), "190 psi")
    bike = answer_job(typed)
    mine = bike.at("rear")
    assert mine is not None
    harmed = set[Symptom]()
    for symptom in EVERY[:-1]:
        found = advised(mine, 1, (symptom,), USUAL)
        assert found is not None
        correction = found.correction
        assert correction is not None
        assert correction.turned == "pressure"
        assert correction.after.sag_as_aimed == pytest.approx(0.29, abs=0.002)
        if correction.effects[0].harms:
            harmed.add(symptom)
            assert correction not in found.changes
        else:
            assert found.changes[0] is correction
        assert not any(advice.to_target for advice in found.changes[1:])
        assert check(bike, "rear", 1, (symptom,), USUAL) == len(found.changes)
    assert harmed == {"unused_travel", "harsh_off_top", "too_high"}


def test_a_sag_on_target_is_left_alone() -> None:
    bike = answer_job(demo_job())
    mine = bike.at("rear")
    assert mine is not None
    found = advised(mine, 1, ("wallows",), USUAL)
    assert found is not None
    assert not found.sag_is_off
    assert [advice.leaves_target for advice in found.changes if advice.turned == "pressure"] == [True]


def test_figures_before_are_those_of_the_job() -> None:
    bike = answer_job(replace(demo_job()))
    for end in WHEELS:
        mine = bike.at(end)
        assert mine is not None
        for index, setup in enumerate(mine.answer.setups):
            found = advised(mine, index, ("wallows",), USUAL)
            assert found is not None
            now = {name: getattr(found.now, name) for name in found_in(setup, "travel")}
            assert now == pytest.approx(found_in(setup, mine.case.target.of), rel=1e-9, abs=1e-12)
