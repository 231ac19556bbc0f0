"""Two wheels in one file: each answered as if it stood alone, and every edit written where it belongs."""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.random_cases import cases
from tests.tui.job.test_any_job import BASES, paths
from tests.tui.job.two_ends import BIKE, FRONT, REAR, single_front
from tui.job.answer import answer_job
from tui.job.faults import JobFault, UnusableJob, dotted
from tui.job.files import toml_text
from tui.job.job import Job, parse
from tui.job.tree import Raw, Tree, TreePath
from tui.job.wheels import WHEELS, faults_of, has_front, wheel_job, with_wheel_job
from tui.subjects.answers import answer_object

FORK_ALONE: dict[str, Raw] = {
    "rider_mass": "82 kg", "posture": "standing", "bike_mass": "15 kg", "bike_share": 0.48,
    "unsprung_mass": "2.1 kg",
}  # fmt: skip
WHEELBASE: dict[str, Raw] = {
    "wheelbase": "1.25 m", "mass_behind_front": "0.75 m", "mass_height": "1.1 m", "slope": "12 deg",
}  # fmt: skip
BY_CENTRE = BIKE.with_value(
    ("load",),
    {"rider_mass": "82 kg", "bike_mass": "15 kg", "geometry": WHEELBASE, "unsprung_mass": "4.3 kg"},
)


def front_object(bike: Job) -> dict[str, Raw]:
    front = answer_job(bike).front
    assert front is not None
    return answer_object(front)


def rear_object(bike: Job) -> dict[str, Raw]:
    found = answer_object(answer_job(bike))
    return {key: value for key, value in found.items() if key not in ("front", "balance")}


def faults(bike: Job) -> dict[str, str]:
    with pytest.raises(UnusableJob) as caught:
        answer_job(bike)
    return {dotted(fault.path): fault.what for fault in caught.value.faults}


# --- answers ---------------------------------------------------------------------------------


@pytest.mark.slow
@given(st.sampled_from(BASES), st.integers(60, 100))
@settings(max_examples=cases(12))
def test_the_rear_of_a_bike_is_the_job_of_a_single_wheel(base: Job, sag: int) -> None:
    single = wheel_job(base, "rear").with_value(("target", "sag"), f"{sag / 4} %")
    if single.get(("frame", "leverage", "kind")) == "fork":
        return
    if single.get(("load", "scale_mass")) is None:
        bike = single.with_value(("front",), FRONT)
    else:
        load = {"scale_mass": "38 kg", "unsprung_mass": "2 kg"}
        bike = single.with_value(("front",), FRONT).with_value(("front", "load"), load)
    assert rear_object(bike) == answer_object(answer_job(single))
    assert wheel_job(bike, "rear") == single


@pytest.mark.slow
@example(0.42889587771643567, 25, 64)  # its sag is a quarter of the travel but for the last digit
@example(0.48430700827839623, 35, 64)  # its sag is a place of the curve but for the last digit
@given(st.floats(0.0, 0.9), st.integers(15, 35), st.integers(60, 66))
@settings(max_examples=cases(12))
def test_the_front_of_a_bike_is_the_job_of_a_single_fork(share: float, sag: int, angle: int) -> None:
    bike = BIKE.with_value(("load", "bike_share"), share)
    bike = bike.with_value(("front", "target", "sag"), f"{sag} %")
    bike = bike.with_value(("front", "frame", "leverage", "head_angle"), f"{angle} deg")
    alone = answer_object(answer_job(single_front(bike, {**FORK_ALONE, "bike_share": round(1 - share, 15)})))
    assert _close(front_object(bike), alone)


def _close(one: object, other: object) -> bool:
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_close(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_close, one, other))
    return bool(one == pytest.approx(other, rel=1e-9, abs=1e-9)) if isinstance(one, float) else one == other


def test_shares_of_the_front_may_be_its_own() -> None:
    bike = BIKE.with_value(("front", "load", "rider_share"), 0.4)
    bike = bike.with_value(("front", "load", "bike_share"), "51 %")
    load = {**FORK_ALONE, "rider_share": 0.4, "bike_share": 0.51}
    del load["posture"]
    assert front_object(bike) == answer_object(answer_job(single_front(bike, load)))


def test_a_front_that_is_no_fork_gets_what_the_rear_leaves() -> None:
    bike = BIKE.with_value(("front", "frame", "leverage"), {"kind": "ends", "start": 0.9, "end": 0.9})
    bike = bike.with_value(("front", "frame", "wheel_travel"), "144 mm")
    resting = answer_job(bike), answer_job(BIKE)
    assert resting[0].front is not None
    assert resting[1].front is not None
    load = resting[0].front.answer.load
    assert load.ground_reaction == pytest.approx(float(resting[1].front.answer.load.ground_reaction))


@pytest.mark.parametrize(
    "bike", [BIKE, BIKE.without(("load", "posture")).with_value(("load", "rider_share"), "61 %")]
)
def test_both_wheels_carry_the_whole_weight(bike: Job) -> None:
    found = answer_job(bike)
    assert found.front is not None
    resting = float(found.answer.load.ground_reaction + found.front.answer.load.ground_reaction)
    assert resting == pytest.approx(9.80665 * 97)


def test_on_a_slope_both_wheels_carry_the_part_across_the_ground() -> None:
    found = answer_job(BY_CENTRE)
    assert found.front is not None
    resting = float(found.answer.load.ground_reaction + found.front.answer.load.ground_reaction)
    assert resting == pytest.approx(9.80665 * 97 * 0.9781476, rel=1e-7)  # cos 12°
    level = answer_job(BY_CENTRE.with_value(("load", "geometry", "slope"), "0 deg")).front
    assert level is not None
    assert found.front.answer.load.ground_reaction > level.answer.load.ground_reaction


def test_scales_under_both_wheels() -> None:
    bike = BIKE.with_value(("load",), {"scale_mass": "59 kg", "unsprung_mass": "4.3 kg"})
    told = faults(bike)
    assert {"front.load.rider_mass", "front.load.bike_mass", "front.load.bike_share"} <= told.keys()
    weighed = bike.with_value(("front", "load", "scale_mass"), "38 kg")
    assert front_object(weighed)["load"]["ground_reaction_n"] == pytest.approx(9.80665 * 38)
    own = bike.with_value(("front", "load"), FORK_ALONE)
    assert front_object(own) == answer_object(answer_job(single_front(own, FORK_ALONE)))


def test_the_wheel_travel_of_a_fork_follows_from_stroke_and_head_angle() -> None:
    found = answer_job(BIKE).front
    assert found is not None
    assert found.answer.frame.wheel_travel == pytest.approx(0.160 * 0.90258528)  # sin 64.5°
    typed = answer_job(BIKE.with_value(("front", "frame", "wheel_travel"), "150 mm")).front
    assert typed is not None
    assert [caution.code for caution in typed.answer.cautions] == ["closure"]
    assert faults(BIKE.with_value(("front", "frame", "wheel_travel"), "160 mm")).keys() == {
        "front.frame.stroke"
    }


def test_an_end_that_stands_as_before_is_not_worked_out_again() -> None:
    before = answer_job(BIKE)
    rear = answer_job(BIKE.with_value(("setup", 0, "friction"), "20 N"), before=before)
    assert before.front is not None
    assert rear.front is before.front
    front = answer_job(BIKE.with_value(("front", "target", "sag"), "20 %"), before=before)
    assert front.answer is before.answer
    assert front.front is not before.front
    both = answer_job(BIKE.with_value(("load", "rider_mass"), "70 kg"), before=before)
    assert both.answer is not before.answer
    assert both.front is not before.front


# --- faults ----------------------------------------------------------------------------------


def test_faults_of_both_ends_are_told_at_once_at_their_paths() -> None:
    bad: list[tuple[TreePath, Raw]] = [
        (("load", "bike_share"), 1.7),
        (("load", "rider_mass"), "heavy"),
        (("frame", "stroke"), "6 kg"),
        (("front", "load", "unsprung_mass"), "2"),
        (("front", "frame", "stroke"), "160 psi"),
        (("front", "setup", 0, "pressure"), "70 mm"),
        (("front", "target", "sag"), "120 %"),
        (("front", "hue"), 3),
    ]
    bike = BIKE
    for path, raw in bad:
        bike = bike.with_value(path, raw)
    assert sorted(faults(bike)) == sorted(dotted(path) for path, _ in bad)


def test_the_physics_refuses_the_front_at_its_own_paths() -> None:
    bike = BIKE.with_value(("front", "load", "unsprung_mass"), "60 kg")
    assert faults(bike).keys() == {"front.load.unsprung_mass"}
    bike = bike.with_value(("front", "setup", 0, "port"), "300 mm").with_value(("setup", 1, "port"), "200 mm")
    expected = {"front.load.unsprung_mass", "front.setup.0.port", "setup.1.port"}
    assert faults(bike).keys() == expected
    assert faults(bike.with_value(("title",), 3)).keys() == expected | {"title"}


def test_a_slip_below_the_front_is_read_as_what_it_means() -> None:
    front = dict(FRONT)
    front["framee"] = front.pop("frame")
    bike = REAR.with_value(("fron",), front)
    bike = bike.with_value(("fron", "setup", 1, "friction"), "12 kg")
    assert faults(bike).keys() == {"fron", "fron.framee", "fron.setup.1.friction"}
    frame = dict(front["framee"])
    fork = {**frame.pop("leverage"), "head_angle": "12 kg"}
    front["framee"] = {**frame, "levrage": fork}
    told = faults(REAR.with_value(("fron",), front))
    assert told.keys() == {"fron", "fron.framee", "fron.framee.levrage", "fron.framee.levrage.head_angle"}


@pytest.mark.parametrize(
    ("path", "raw", "told"),
    [
        (("front",), 3, "front"),
        (("front", "load", "rider_mass"), "80 kg", "front.load.rider_mass"),
        (("front", "load", "geometry"), WHEELBASE, "front.load.geometry"),
        (("frame", "leverage"), {"kind": "fork", "head_angle": "64 deg"}, "frame.leverage.kind"),
        (("front", "ambient"), {"altitude": "3 m"}, "front.ambient"),
        (("front", "setup"), (), "front.setup"),
    ],
)
def test_what_contradicts_two_ends_is_refused(path: TreePath, raw: Raw, told: str) -> None:
    assert told in faults(BIKE.with_value(path, raw))


def test_the_rear_named_as_front_is_refused() -> None:
    told = faults(BY_CENTRE.with_value(("load", "geometry", "wheel"), "front"))
    assert told.keys() == {"load.geometry.wheel"}


def test_faults_are_split_by_end() -> None:
    bike = BIKE.with_value(("front", "target", "sag"), "3").with_value(("load", "rider_mass"), "x")
    bike = bike.with_value(("setup", 0, "preload_turns"), -1)
    with pytest.raises(UnusableJob) as caught:
        answer_job(bike)
    rear, front = (faults_of(bike, end, caught.value.faults) for end in ("rear", "front"))
    assert {dotted(f.path) for f in rear} == {"load.rider_mass", "setup.0.preload_turns"}
    assert {dotted(f.path) for f in front} == {"load.rider_mass", "target.sag"}


def test_a_table_that_is_none_is_a_fault_of_the_end_that_has_it() -> None:
    for path, ends in (
        ((), ["rear", "front"]),
        (("record",), ["rear", "front"]),
        (("load",), ["rear"]),
        (("load", "posture"), ["rear", "front"]),
        (("load", "bike_share"), ["rear"]),
        (("setup", 0), ["rear"]),
        (("front", "load"), ["front"]),
    ):
        fault = JobFault(path, "no table", "write one")
        found = {end: faults_of(BIKE, end, (fault,)) for end in WHEELS}
        assert [end for end in WHEELS if found[end]] == ends, path
        at = path[1:] if path[:1] == ("front",) else path
        assert all(told in ((), (JobFault(at, "no table", "write one"),)) for told in found.values())


# --- edits -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "raw", "place"),
    [
        (("target", "sag"), "20 %", ("front", "target", "sag")),
        (("setup", 0, "bore"), "33 mm", ("front", "setup", 0, "bore")),
        (("frame", "leverage", "head_angle"), "65 deg", ("front", "frame", "leverage", "head_angle")),
        (("load", "unsprung_mass"), "2 kg", ("front", "load", "unsprung_mass")),
        (("load", "bike_share"), 0.5, ("front", "load", "bike_share")),
        (("load", "rider_mass"), "70 kg", ("load", "rider_mass")),
        (("load", "posture"), "seated", ("load", "posture")),
        (("ambient", "altitude"), "900 m", ("ambient", "altitude")),
        (("title",), "another", ("title",)),
    ],
)
def test_an_edit_of_the_front_is_written_where_it_belongs(path: TreePath, raw: Raw, place: TreePath) -> None:
    after = with_wheel_job(BIKE, "front", wheel_job(BIKE, "front").with_value(path, raw))
    assert after == BIKE.with_value(place, raw)
    assert wheel_job(after, "front").get(path) == raw


@given(st.sampled_from([BIKE, BY_CENTRE]), st.data(), st.sampled_from(["7 mm", 3, "?", 0.25, "seated"]))
@settings(max_examples=cases(80))
def test_any_edit_of_either_end_is_found_again_there(bike: Job, data: st.DataObject, raw: Raw) -> None:
    end = data.draw(st.sampled_from(WHEELS))
    alone = wheel_job(bike, end)
    places = [place for place in paths(alone.tree) if place and place[-1] != "wheel"]
    path = data.draw(st.sampled_from([p for p in places if not isinstance(alone.get(p), Tree | tuple)]))
    edited = alone.with_value(path, raw)
    after = with_wheel_job(bike, end, edited)
    assert wheel_job(after, end).get(path) == raw
    other = wheel_job(after, "front" if end == "rear" else "rear")
    before = wheel_job(bike, "front" if end == "rear" else "rear")
    assert all(other.tree[key] == before.tree[key] for key in ("frame", "target", "setup"))
    assert wheel_job(with_wheel_job(after, end, alone), end) == alone


def test_an_edit_of_the_rear_keeps_the_front() -> None:
    after = with_wheel_job(BIKE, "rear", wheel_job(BIKE, "rear").with_value(("target", "sag"), "31 %"))
    assert after == BIKE.with_value(("target", "sag"), "31 %")


def test_a_scale_at_the_front_leaves_the_rear_as_it_is() -> None:
    alone = wheel_job(BIKE, "front").with_value(("load",), {"scale_mass": "38 kg", "unsprung_mass": "2.1 kg"})
    weighed = with_wheel_job(BIKE, "front", alone)
    assert weighed == BIKE.with_value(("front", "load", "scale_mass"), "38 kg")
    back = with_wheel_job(weighed, "front", alone.without(("load", "scale_mass")))
    assert back == BIKE


def test_a_share_typed_at_the_front_leaves_the_posture_of_the_rear() -> None:
    alone = wheel_job(BIKE, "front").without(("load", "posture")).with_value(("load", "rider_share"), 0.4)
    typed = with_wheel_job(BIKE, "front", alone)
    assert typed == BIKE.with_value(("front", "load", "rider_share"), 0.4)
    standing = (
        wheel_job(typed, "front").without(("load", "rider_share")).with_value(("load", "posture"), "seated")
    )
    assert with_wheel_job(typed, "front", standing) == BIKE.with_value(("load", "posture"), "seated")


def test_a_job_without_a_front_is_its_own_rear() -> None:
    assert wheel_job(REAR, "rear") is REAR
    assert not has_front(REAR)
    assert has_front(BIKE)
    assert with_wheel_job(REAR, "rear", BIKE) == BIKE


@pytest.mark.parametrize("bike", [BIKE, BY_CENTRE])
def test_both_ends_are_saved_and_read_again(bike: Job) -> None:
    text = toml_text(bike, None)
    assert parse(text) == bike
    commented = "# stand 3\n" + text
    changed = bike.with_value(("front", "setup", 0, "bore"), "33 mm")
    again = toml_text(changed, commented)
    assert again.startswith("# stand 3")
    assert parse(again) == changed
    assert isinstance(parse(again).tree["front"], Tree)


def test_a_posture_typed_at_the_front_takes_the_place_of_a_share() -> None:
    posture: TreePath = ("load", "posture")
    share: TreePath = ("load", "rider_share")
    by_share = BIKE.without(posture).with_value(share, 0.6)
    front = wheel_job(by_share, "front")
    seated = with_wheel_job(by_share, "front", front.without(share).with_value(posture, "seated"))
    assert (seated.get(posture), seated.get(share)) == ("seated", None)
