"""The comparison in words follows from the numbers, and says so with the number."""

import re

import pytest

from physics.advise import ALIKE
from tests.confirmed import confirmed_demo
from tests.tui.sheet.sheets import sheet
from tui.job.answer import answer_job
from tui.job.job import Job
from tui.job.wheels import wheel_job
from tui.kit.document import Labelled, Paragraph
from tui.kit.roles import Role
from tui.shop_units import USUAL
from tui.subjects import riding
from tui.subjects.ordering import not_to_fit
from tui.subjects.riding import verdict

REAR = wheel_job(confirmed_demo(), "rear")


def told(job: Job) -> dict[str, str]:
    wheel = sheet(job, workings=True).workings[0]
    riding = next(
        section for section in wheel.sections if section.title.startswith(("Ride,", "How it rides"))
    )
    return {part.label: part.text for part in riding.parts if isinstance(part, Labelled)}


def test_the_difference_adds_up_and_its_words_have_its_sign() -> None:
    said = told(REAR)
    first, second, apart = map(int, re.findall(r"(\d+) N", said["Small bumps"]))
    assert second - first == apart
    assert said["Small bumps"].endswith("more: harsher on small bumps.")
    turned = told(REAR.with_value(("setup",), REAR.setups[::-1]))
    assert turned["Small bumps"].endswith("less: smoother on small bumps.")
    assert "340 g less: lighter" in said["Weight"]
    assert "340 g more: heavier" in turned["Weight"]


def noticed(job: Job) -> list[str]:
    return [paragraph.text for paragraph in verdict(answer_job(job), USUAL)]


def test_the_verdict_comes_first_in_the_rider_s_words_and_turns_with_the_baseline() -> None:
    [said], [turned] = noticed(REAR), noticed(REAR.with_value(("setup",), REAR.setups[::-1]))
    assert said.startswith("air, against coil: harsher on small bumps, holds up better in corners,")
    assert turned.startswith("coil, against air: smoother on small bumps, sinks deeper in corners,")
    assert said.count(",") == turned.count(",")
    first = riding.document(answer_job(REAR), USUAL).blocks[0]
    assert isinstance(first, Paragraph)
    assert first.text == said


def test_the_verdict_says_of_a_setup_without_sag_that_it_has_none() -> None:
    stiff = REAR.with_value(("setup", 1, "pressure"), "400 psi").with_value(
        ("setup", 0, "rate"), "300 lbf/in"
    )
    stiff = stiff.with_value(("load", "rider_mass"), "35 kg")
    assert answer_job(stiff).answer.setups[1].state == "topped_out"
    over, said = noticed(stiff)
    assert over.startswith("air: 400 psi is above the max pressure of 320 psi: do not pump that high.")
    assert said.startswith("air: tops out under the rider")


BINDING = {"free_length": "90 mm", "solid_length": "70 mm"}


def test_a_coil_that_binds_is_not_praised_before_it_is_said_not_to_fit_it() -> None:
    job = REAR
    for key, text in BINDING.items():
        job = job.with_value(("setup", 0, key), text)
    turned = job.with_value(("setup",), job.setups[::-1])
    for one, index in ((job, 0), (turned, 1)):
        answered = answer_job(one)
        caution, said = verdict(answered, USUAL)
        why = not_to_fit(answered.answer, index, USUAL, one.setups[index])
        assert why.startswith("coil bind at ")
        assert caution.text == f"coil: do not fit: {why}."
        assert caution.role is Role.CAUTION
        # It never comes to the end of the stroke: nothing is said of what happens there.
        assert "ramps up" not in said.text
        assert "bottoms" not in said.text
        assert "on small bumps" in said.text
        figures = told(one)
        assert re.search(r"not reached with coil: coil bind", figures["Big hits"])
        assert re.search(r"bottom-out force at the wheel \d+ N with air[.;]", figures["Big hits"])
        assert "not reached with coil: coil bind" in figures["Ramp-up"]
        assert "not reached" not in figures["Feel"]
    assert verdict(answer_job(turned), USUAL)[1].text.startswith("coil, against air, by calculation only: ")


@pytest.mark.parametrize(("solid", "reached"), [("28 mm", 3), ("50 mm", 2), ("70 mm", 1), ("75 mm", 0)])
def test_nothing_is_told_of_travel_that_a_solid_coil_does_not_reach(solid: str, reached: int) -> None:
    """Of sag, the middle and the end of the travel."""
    job = REAR.with_value(("setup", 0, "free_length"), "90 mm").with_value(
        ("setup", 0, "solid_length"), solid
    )
    figures = told(job)
    parts = ("Feel", "Corners", "Big hits")
    assert ["not reached" in figures[part] for part in parts] == [False] * reached + [True] * (3 - reached)


def test_the_sheet_says_not_to_fit_a_coil_before_how_it_rides() -> None:
    job = REAR.with_value(("setup", 0, "rated_stroke"), "40 mm")
    sections = (section for group in sheet(job).groups for section in group.sections)
    first, *_ = next(section for section in sections if section.title == "How they ride").parts
    assert isinstance(first, Paragraph)
    assert re.match(r"coil: do not fit: rated for 40\.0 mm stroke, needs \d+\.\d mm\.", first.text)
    assert first.role is Role.CAUTION


def test_an_air_spring_above_max_pressure_is_said_not_to_be_pumped_first() -> None:
    job = REAR.with_value(("setup", 1, "max_pressure"), "150 psi")
    assert noticed(job)[0] == "air: 205 psi is above the max pressure of 150 psi: do not pump that high."
    assert noticed(job)[1].startswith("air, against coil, by calculation only: ")


def test_next_to_nothing_is_alike() -> None:
    twin = REAR.without_setup(1).with_setup(1, {**REAR.setups[0], "name": "coil 2"})
    twin = twin.with_value(("setup", 1, "mass"), f"{0.46 * (1 + ALIKE / 2):.4f} kg")
    said = told(twin)
    assert all(value.endswith(", same.") for label, value in said.items() if label != "Damping")
    assert said["Damping"].startswith("rebound unchanged with coil 2")
    assert noticed(twin) == ["coil 2, against coil: rides the same."]


def test_one_setup_alone_is_told_without_comparing() -> None:
    said = told(REAR.without_setup(1))
    assert re.fullmatch(r"breakaway at the wheel \d+ N\.", said["Small bumps"])
    assert noticed(REAR.without_setup(1)) == []
    assert "Damping" not in said


def test_what_has_no_number_is_not_told() -> None:
    assert "Weight" not in told(REAR.without_setup(1).without(("setup", 0, "mass")))
    only_second = told(REAR.without(("setup", 0, "mass")))
    assert only_second["Weight"] == "the spring weighs 120 g with air."
