"""The comparison in words follows from the numbers, and says so with the number."""

import re

from tests.confirmed import confirmed_demo
from tests.tui.sheet.sheets import sheet
from tui.job.job import Job
from tui.job.wheels import wheel_job
from tui.kit.document import Labelled
from tui.subjects.riding import ALIKE

REAR = wheel_job(confirmed_demo(), "rear")


def told(job: Job) -> dict[str, str]:
    wheel = sheet(job).groups[1]
    riding = next(section for section in wheel.sections if section.title.startswith("How"))
    return {part.label: part.text for part in riding.parts if isinstance(part, Labelled)}


def test_the_difference_adds_up_and_its_words_have_its_sign() -> None:
    said = told(REAR)
    first, second, apart = map(int, re.findall(r"(\d+) N", said["Start"]))
    assert second - first == apart
    assert said["Start"].endswith("more: more of a small bump reaches the rider.")
    turned = told(REAR.with_value(("setup",), REAR.setups[::-1]))
    assert turned["Start"].endswith("less: less of a small bump reaches the rider.")
    assert "340 g less: less to carry" in said["Weight"]
    assert "340 g more: more to carry" in turned["Weight"]


def test_next_to_nothing_is_alike() -> None:
    twin = REAR.without_setup(1).duplicate_setup(0)
    twin = twin.with_value(("setup", 1, "mass"), f"{0.46 * (1 + ALIKE / 2):.4f} kg")
    said = told(twin)
    assert all(value.endswith(", alike.") for label, value in said.items() if label != "Damping")
    assert said["Damping"].startswith("rebound as it is with coil 2")


def test_one_setup_alone_is_told_without_comparing() -> None:
    said = told(REAR.without_setup(1))
    assert re.fullmatch(r"the wheel starts to move at \d+ N\.", said["Start"])
    assert "Damping" not in said


def test_what_has_no_number_is_not_told() -> None:
    assert "Weight" not in told(REAR.without_setup(1).without(("setup", 0, "mass")))
    only_second = told(REAR.without(("setup", 0, "mass")))
    assert only_second["Weight"] == "the spring weighs 120 g with air."
