"""A new job: nothing of the demo in it, nothing typical unmarked, and what is missing in the hands' order."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics.typical import FORK_SIZES, SHOCK_SIZES, ForkSize, ShockSize, Size, shock_size, typical_coil
from tests.tui.job.test_unconfirmed import ASKED, values
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob, dotted
from tui.job.fields import SETUP
from tui.job.files import toml_text
from tui.job.job import Job, parse
from tui.job.quantities import in_si
from tui.job.reading import look
from tui.job.tree import Raw, TreePath
from tui.job.wheels import has_front, left_out, wheel_job, with_wheel_job
from tui.shop_units import Measure
from tui.subjects.new_job import (
    Missing,
    NewEnd,
    missing,
    new_job,
    new_setup,
    size_of,
    size_text,
    typed_size,
    with_front,
)
from tui.subjects.unverified import unverified

SHOCK, FORK = shock_size(0.230, 0.060), ForkSize(0.160)
REAR, FRONT = NewEnd(("coil", "air"), SHOCK), NewEnd(("air",), FORK)
RIDER: TreePath = ("load", "rider_mass")
OF_FRAME: dict[TreePath, Raw] = {
    ("frame", "leverage", "start"): 2.75,
    ("frame", "leverage", "end"): 2.3,
}


def typed(job: Job, size: Size = SHOCK) -> Job:
    """Return a new job with what a person has to type for it."""
    job = job.with_value(RIDER, "82 kg")
    if isinstance(size, ForkSize):
        return job
    for path, raw in OF_FRAME.items():
        job = job.with_value(path, raw)
    return job.with_value(("frame", "wheel_travel"), f"{2500 * size.stroke:.1f} mm")


def to_type(job: Job) -> list[str]:
    return [dotted(one.path) for one in missing(job) if not one.there]


def hardware(job: Job) -> set[str]:
    return {dotted(path) for path in job.unconfirmed}


@pytest.mark.fast_cases(8)
@pytest.mark.parametrize("size", SHOCK_SIZES, ids=size_text)
def test_a_shock_of_every_size_answers_once_the_rest_is_typed(size: ShockSize) -> None:
    job = typed(new_job(rear=NewEnd(("coil", "air"), size)), size)
    answer = answer_job(job).answer
    assert [setup.state for setup in answer.setups] == ["ok", "ok"]
    assert {caution.code for setup in answer.setups for caution in setup.cautions} == {
        "pressurised", "preloaded_coil", "gas_not_typed", "bumper_not_typed",
    }  # fmt: skip
    assert answer.setups[1].air is not None
    assert 2.0 <= float(answer.setups[1].air.compression_ratio) <= 5.0


@pytest.mark.fast_cases(3)
@pytest.mark.parametrize("size", FORK_SIZES, ids=size_text)
def test_a_fork_of_every_travel_answers_alone_and_beside_a_rear(size: ForkSize) -> None:
    alone = answer_job(typed(new_job(front=NewEnd(("air", "coil"), size)), size)).answer
    both = answer_job(typed(new_job(rear=REAR, front=NewEnd(("air",), size)))).front
    assert both is not None
    for setup in (*alone.setups, *both.answer.setups):
        assert setup.state == "ok"
        assert {caution.code for caution in setup.cautions} <= {
            "pressurised", "preloaded_coil", "legs_not_typed",
        }  # fmt: skip
    assert float(alone.load.static_wheel_force) == pytest.approx(float(both.answer.load.static_wheel_force))


@pytest.mark.parametrize("rear", [None, REAR, NewEnd(("coil",)), NewEnd(("air",), SHOCK)])
@pytest.mark.parametrize("front", [None, FRONT, NewEnd(("air", "coil"))])
def test_nobody_has_confirmed_any_value_of_a_new_job(rear: NewEnd | None, front: NewEnd | None) -> None:
    if rear is None and front is None:
        with pytest.raises(ValueError, match="a rear, a front"):
            new_job()
        return
    job = new_job(rear=rear, front=front)
    solved = {f"{end}setup.{index}.{key}" for end in ("", "front.") for index in (0, 1)
              for key in ("rate", "pressure")}  # fmt: skip
    assert hardware(job) == values(job.tree) - solved
    assert {fault.what for fault in look(job)[1]} == {"missing"}
    assert parse(toml_text(job, None)) == job


def test_whom_it_is_for_is_typed_and_may_wait() -> None:
    job = new_job(" Mara Lind\n", "17", rear=REAR)
    assert job.get(("record",)) == {"customer": "Mara Lind", "ticket": "17"}
    assert job.title == "Mara Lind"
    assert not job.is_unconfirmed(("title",))
    assert new_job(ticket="17", rear=REAR).title == "ticket 17"
    nobody = new_job(rear=REAR)
    assert "record" not in nobody.tree
    assert "title" not in nobody.tree


def test_nothing_of_the_demo_is_in_a_new_job() -> None:
    job, demo = new_job("Mara Lind", rear=REAR, front=FRONT), demo_job()
    shared = {
        dotted(path)
        for path in job.unconfirmed
        if path[-1]
        in ("bore", "positive_volume", "negative_volume", "port", "rider_mass", "sag", "wheel_travel")
        and job.get(path) == demo.get(path)
    }
    assert shared == {"front.setup.0.bore"}  # 38 mm of stanchion less its walls, in the demo as well
    assert [setup["name"] for setup in wheel_job(job, "front").setups] == ["fork air"]
    assert "Demo" not in toml_text(job, None)


def test_what_is_typed_of_a_size_is_confirmed_and_what_follows_from_it_is_not() -> None:
    job = new_job(rear=REAR._replace(typed=True), front=FRONT._replace(typed=True))
    for path in (("frame", "stroke"), ("frame", "eye_to_eye"), ("front", "frame", "stroke")):
        assert job.get(path) is not None
        assert not job.is_unconfirmed(path)
    assert {"setup.1.bore", "setup.0.free_length", "front.setup.0.port"} <= hardware(job)


def test_all_that_is_typical_is_on_the_list_of_the_sheet() -> None:
    job = typed(new_job("Mara Lind", rear=REAR))
    said = {dotted(value.path) for value in unverified(job)}
    assert said == hardware(job)
    assert {"load.bike_mass", "target.sag", "frame.stroke", "setup.1.positive_volume"} <= said
    assert said <= values(job.tree) - ASKED


def test_an_end_that_nobody_has_looked_at_goes_on_no_sheet() -> None:
    job = typed(new_job("Mara Lind", rear=REAR, front=FRONT))
    assert left_out(job) == "front"
    assert left_out(job.confirmed(("front", "frame", "stroke"))) is None


def test_missing_leads_the_hands_from_the_rider_to_the_springs() -> None:
    job = new_job("Mara Lind", rear=REAR)
    assert to_type(job) == [
        "load.rider_mass", "frame.wheel_travel", "frame.leverage.start", "frame.leverage.end",
    ]  # fmt: skip
    order = list(dict.fromkeys(one.path[0] for one in missing(job)))
    assert order == ["load", "target", "frame", "setup"]
    assert missing(job)[0] == Missing("rear", RIDER, there=False)
    assert [one.path for one in missing(job) if one.there and one.path[0] == "frame"] == [
        ("frame", "stroke"),
        ("frame", "eye_to_eye"),
    ]


@pytest.mark.slow
def test_typing_and_confirming_one_after_the_other_leaves_nothing_missing() -> None:
    job = typed(new_job("Mara Lind", rear=REAR, front=FRONT))
    seen: list[Missing] = []
    while left := missing(job):
        assert left[0].there
        alone = wheel_job(job, left[0].wheel)
        seen.append(left[0])
        job = with_wheel_job(job, left[0].wheel, alone.confirmed(left[0].path))
        assert len(missing(job)) == len(left) - 1
    assert job.unconfirmed == ()
    assert [one.wheel for one in seen] == sorted((one.wheel for one in seen), reverse=True)
    assert answer_job(job).front is not None


def test_a_size_that_is_not_known_yet_leaves_the_hardware_to_be_typed() -> None:
    job = new_job(rear=NewEnd(("coil", "air")))
    assert to_type(job) == [
        "load.rider_mass", "frame.wheel_travel", "frame.stroke", "frame.leverage.start", "frame.leverage.end",
        "setup.1.positive_volume", "setup.1.bore", "setup.1.negative_volume", "setup.1.port",
    ]  # fmt: skip


def test_a_setup_is_added_and_a_front_put_beside_a_rear_without_the_demo() -> None:
    job = typed(new_job("Mara Lind", rear=NewEnd(("coil",), SHOCK)))
    more = job.with_setup(None, new_setup(job, "air"))
    assert more == typed(new_job("Mara Lind", rear=REAR))
    both = with_front(more, FRONT)
    assert both == typed(new_job("Mara Lind", rear=REAR, front=FRONT))
    front = wheel_job(both, "front")
    assert new_setup(front, "coil")["name"] == "fork coil"
    assert new_setup(front, "coil")["ladder_step"] == "5 lbf/in"
    assert "ladder_step" not in new_setup(job, "coil")
    weighed = with_front(parse('[load]\nscale_mass = "60 kg"\n'), FRONT)
    assert has_front(weighed)
    assert weighed.get(("front", "load", "scale_mass")) is None


def test_a_fork_at_the_rear_and_an_end_without_a_spring_are_refused() -> None:
    with pytest.raises(ValueError, match="160 mm is not a size of a shock"):
        new_job(rear=NewEnd(("air",), FORK))
    with pytest.raises(ValueError, match="230 x 60 mm is not a size of a fork"):
        new_job(front=NewEnd(("air",), SHOCK))
    with pytest.raises(ValueError, match="the rear needs a spring"):
        new_job(rear=NewEnd(()))


def test_the_same_spring_twice_has_two_names() -> None:
    job = new_job(rear=NewEnd(("air", "air"), SHOCK))
    assert [setup["name"] for setup in job.setups] == ["air", "air 2"]


@pytest.mark.parametrize(
    ("text", "wheel", "size"),
    [
        ("230 x 60 mm", "rear", shock_size(0.230, 0.060)),
        ("230x60", "rear", shock_size(0.230, 0.060)),
        ("205*57,5", "rear", shock_size(0.205, 0.0575)),
        ("8.5 × 2.5 in", "rear", shock_size(0.2159, 0.0635)),
        ("8 1/2 x 2 1/2 in", "rear", shock_size(0.2159, 0.0635)),
        ("230/60", "rear", shock_size(0.230, 0.060)),
        ("6 1/2 in", "front", ForkSize(0.1651)),
        ("160", "front", ForkSize(0.160)),
        ("16 cm", "front", ForkSize(0.160)),
        ("60 x 230", "rear", None),
        ("230", "rear", None),
        ("230 x 60", "front", None),
        ("230 x 60 psi", "rear", None),
        ("230 x", "rear", None),
        ("0", "front", None),
        ("", "rear", None),
    ],
)  # fmt: skip
def test_a_size_is_read_as_it_is_printed(text: str, wheel: str, size: Size | None) -> None:
    assert typed_size(text, "front" if wheel == "front" else "rear") == size


@given(st.sampled_from([*SHOCK_SIZES, *FORK_SIZES]))
def test_the_text_of_a_size_leads_back_to_it(size: Size) -> None:
    fork = isinstance(size, ForkSize)
    text = size_text(size).removesuffix(" trunnion")
    assert typed_size(text, "front" if fork else "rear") == size
    end = NewEnd(("air",), size)
    job = new_job(front=end) if fork else new_job(rear=end)
    assert size_of(job) == size


def test_a_frame_that_says_no_size_has_none() -> None:
    assert size_of(parse("[frame]\n")) is None
    assert size_of(parse('[frame]\nstroke = "long"\n')) is None
    assert size_of(parse('[frame]\nstroke = "65 mm"\n')) == shock_size(0.230, 0.065)
    assert size_of(parse('[frame]\nstroke = "65 mm"\neye_to_eye = "20 mm"\n')) == shock_size(0.230, 0.065)


def test_a_value_at_fault_is_missing_too_and_known_faults_are_used() -> None:
    job = typed(new_job(rear=REAR)).with_value(("setup", 1, "bore"), "41 psi")
    assert to_type(job) == ["setup.1.bore"]
    with pytest.raises(UnusableJob) as caught:
        answer_job(job)
    assert missing(job, caught.value.faults) == missing(job)
    pairs = job.with_value(
        ("frame", "leverage"), {"kind": "table", "travel_mm": (0, "a"), "ratio": (2.8, 2.3)}
    )
    assert to_type(pairs) == ["frame.leverage.travel_mm.1", "setup.1.bore"]


def test_the_step_of_rates_that_a_shock_leaves_out_is_the_usual_one() -> None:
    usual = in_si(SETUP["coil"]["ladder_step"].usual, Measure.SPRING_RATE)
    assert typical_coil(SHOCK).ladder_step == pytest.approx(usual)
