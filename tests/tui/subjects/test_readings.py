"""Readings asked about a job, told in words, and taken into it."""

import pytest

from physics.carried import Carried
from physics.cycled import Cycled
from physics.faults import UNFIT, Unfit, Why
from physics.fit import Fit
from tests.tui.job.two_ends import BIKE
from tests.tui.tables.testers import demo_set, loop_of_demo
from tui.job.answer import answer_job
from tui.job.wheels import wheel_job
from tui.shop_units import ALL, IMPERIAL, METRIC, USUAL, ShopUnits
from tui.subjects.readings import (
    MEASURES,
    NAMES,
    UNFIT_WORDS,
    TypedUnits,
    carried_words,
    finding,
    taken_into,
    typed_readings,
    why_text,
)
from tui.tables.source import CyclingRead, SagRead

COIL, AIR = 0, 1
_NUMBERS = {"reading": 3.0, "readings": 3.0, "needed": 6.0, "way": -1.0}


def test_every_reason_has_words_without_gaps() -> None:
    assert set(UNFIT_WORDS) == set(UNFIT)
    for code, keys in UNFIT.items():
        why = Why(code, ("port", "friction"), {key: _NUMBERS.get(key, 0.02) for key in keys})
        for units in ALL:
            text = why_text(why, units)
            assert text[0].isupper() or text[0].isdigit()
            assert text.endswith(".")
            assert "{" not in text
    assert set(NAMES) == set(MEASURES)


@pytest.mark.parametrize("units", [USUAL, METRIC, IMPERIAL])
@pytest.mark.parametrize("index", [COIL, AIR])
def test_what_is_found_is_taken_and_answers_as_found(index: int, units: ShopUnits) -> None:
    job = demo_set()
    found = finding(answer_job(job), index, loop_of_demo(index))
    assert isinstance(found, Fit)
    taken = taken_into(job, index, found, units)
    assert taken is not None
    again = answer_job(taken).case.setups[index]
    for one in found.estimates:
        text = taken.get(("setup", index, one.name))
        assert text is not None
        assert text.split()[1] == units.unit(MEASURES[one.name])
    assert float(again.friction) == pytest.approx(found["friction"].value, abs=0.3)
    assert type(again.spring) is type(found.setup.spring)


def test_a_coil_in_turns_of_preload_has_millimetres_then() -> None:
    turned = demo_set().without(("setup", COIL, "preload"))
    turned = turned.with_value(("setup", COIL, "preload_turns"), 1.0)
    turned = turned.with_value(("setup", COIL, "thread_pitch"), "1 mm")
    taken = taken_into(turned, COIL, finding(answer_job(turned), COIL, loop_of_demo(COIL)), USUAL)
    assert taken is not None
    assert taken.get(("setup", COIL, "preload_turns")) is None
    assert answer_job(taken).answer.setups[COIL].state == "ok"


def test_cycling_gives_the_negative_volume() -> None:
    job = demo_set()
    read = typed_readings("before 200 psi after 165 psi", TypedUnits("mm", "N", "psi"))
    assert isinstance(read, CyclingRead)
    found = finding(answer_job(job), AIR, read)
    assert isinstance(found, Cycled)
    assert found.error > 0
    taken = taken_into(job, AIR, found, METRIC)
    assert taken is not None
    assert taken.get(("setup", AIR, "negative_volume")) == f"{found.volume * 1e6:.2f} cm3"


@pytest.mark.parametrize("end", ["rear", "front"])
def test_a_sag_gives_the_riders_share_at_either_end(end: str) -> None:
    job = wheel_job(BIKE, "front" if end == "front" else "rear")
    index = next(i for i, setup in enumerate(job.setups) if setup["kind"] == "air")
    job = job.with_value(("setup", index, "pressure"), "180 psi" if end == "rear" else "70 psi")
    answered = answer_job(job)
    target = answered.answer.target.of
    sag = answered.answer.setups[index].sag
    share = float(sag.wheel_fraction if target == "travel" else sag.stroke_fraction)
    found = finding(answered, index, SagRead(share, is_share=True))
    assert isinstance(found, Carried)
    assert found.load == pytest.approx(found.entered, rel=1e-6)
    more = finding(answered, index, SagRead(share * 1.02, is_share=True))
    taken = taken_into(job, index, more, USUAL)
    assert taken is not None
    assert isinstance(more, Carried)
    assert float(answer_job(taken).answer.load.static_wheel_force) == pytest.approx(more.load, rel=1e-3)


def test_a_rider_who_cannot_be_is_not_taken() -> None:
    job = demo_set()
    found = finding(answer_job(job), AIR, SagRead(0.9, is_share=True))
    assert isinstance(found, Carried)
    assert found.share > 1
    assert taken_into(job, AIR, found, USUAL) is None


def test_a_pressure_that_is_solved_tells_nothing() -> None:
    solved = demo_set().with_value(("setup", AIR, "pressure"), "solve")
    with pytest.raises(Unfit) as caught:
        finding(answer_job(solved), AIR, loop_of_demo(AIR))
    assert "Type the pressure at which these readings were taken" in why_text(caught.value.why, USUAL)


def test_a_sag_on_a_solved_pressure_goes_with_the_gauge_reading_of_the_setup_on_the_bike() -> None:
    typed = demo_set()
    solved = typed.with_value(("setup", AIR, "pressure"), "solve")
    name = solved.get(("setup", AIR, "name"))
    assert name is not None
    on_record = solved.with_value(("measured", "gauge"), "190 psi")
    read, on_bike = SagRead(0.27, is_share=True), on_record.with_value(("measured", "setup"), name)
    found = finding(answer_job(on_bike), AIR, read)
    known = finding(answer_job(typed.with_value(("setup", AIR, "pressure"), "190 psi")), AIR, read)
    assert isinstance(found, Carried)
    assert isinstance(known, Carried)
    assert found.load == pytest.approx(known.load, rel=1e-9)
    said = "190 psi, the gauge reading of the record, is used as the pressure at full extension."
    assert next(carried_words(found, USUAL)).startswith(said)
    assert not any("record" in text for text in carried_words(known, USUAL))
    # The gauge of the setup on the bike, here the coil, says nothing of another.
    with pytest.raises(Unfit) as caught:
        finding(answer_job(on_record), AIR, read)
    assert caught.value.why.code == "no_pressure"
