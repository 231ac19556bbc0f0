"""Two wheels in one file: each answered as if it stood alone, and every edit written where it belongs."""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.random_cases import cases
from tests.tui.job.test_any_job import BASES, paths
from tests.tui.job.two_ends import BIKE, FRONT, REAR, single_front
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.faults import JobFault, Spelling, UnusableJob, dotted
from tui.job.files import toml_text
from tui.job.job import Job, parse
from tui.job.tree import Raw, Tree, TreePath
from tui.job.wheels import (
    WHEELS,
    faults_of,
    front_spelling,
    has_front,
    left_out,
    spoken,
    wheel_job,
    with_wheel_job,
)
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


@pytest.mark.slow
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


@pytest.mark.fast_cases(3)
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


# --- what the front takes over ---------------------------------------------------------------

STEEL: TreePath = ("front", "frame", "leverage")
NO_FORK = BIKE.with_value(STEEL, {"kind": "ends", "start": 0.9, "end": 0.9})


def front_load(bike: Job) -> dict[str, Raw]:
    return dict(wheel_job(bike, "front").tree["load"])


def test_a_front_has_what_both_share_and_its_own_tables_and_no_table_of_the_rear() -> None:
    front = wheel_job(BIKE, "front")
    assert set(front.tree) == (set(REAR.tree) - {"measured", "front"}) | {"load"}
    assert {key: front.tree[key] for key in ("frame", "target", "setup")} == {
        key: BIKE.tree["front"][key] for key in ("frame", "target", "setup")
    }
    assert wheel_job(REAR, "front").setups == ()
    assert not has_front(REAR.with_value(("front",), 3))
    assert "front" not in wheel_job(REAR.with_value(("front",), 3), "rear").tree
    measured = BIKE.with_value(("front", "measured"), {"sag": "30 mm"})
    assert wheel_job(measured, "front").get(("measured", "sag")) == "30 mm"
    assert wheel_job(measured, "rear").get(("measured",)) is None


@pytest.mark.parametrize(
    ("share", "rest"),
    [
        (0.62, 0.38),
        ("62 %", 0.38),
        (0, 1.0),
        (1, 0.0),
        (0.1, 0.9),
        ("0.7", 0.3),
        (1.7, 1.7),
        (-0.1, -0.1),
        ("120 %", "120 %"),
        ("most", "most"),
        ("60 kg", "60 kg"),
        (True, True),
        ((1,), (1,)),
    ],
)
def test_the_front_carries_what_a_share_of_the_rear_leaves_and_no_share_stays_as_it_is(
    share: Raw, rest: Raw
) -> None:
    for key in ("rider_share", "bike_share"):
        # Jobs are equal by content, in which true is 1: the title keeps them apart.
        bike = BIKE.without(("load", "posture")).with_value(("title",), repr(share))
        found = front_load(bike.with_value(("load", key), share))[key]
        assert found == rest
        assert type(found) is type(rest)


def test_a_posture_is_the_forks_own_and_a_share_where_the_front_is_no_fork() -> None:
    assert front_load(BIKE)["posture"] == "standing"
    assert "rider_share" not in front_load(BIKE)
    for posture, share in (("standing", 0.38), ("seated", 0.33)):
        load = front_load(NO_FORK.with_value(("load", "posture"), posture))
        assert (load.get("posture"), load["rider_share"]) == (None, share)
    for unknown in ("crouching", 3):
        load = front_load(NO_FORK.with_value(("load", "posture"), unknown))
        assert (load["posture"], load.get("rider_share")) == (unknown, None)
    own = front_load(BIKE.with_value(("front", "load", "rider_share"), 0.4))
    assert (own.get("posture"), own["rider_share"]) == (None, 0.4)


@pytest.mark.parametrize(
    ("bike", "doubted"),
    [
        (BIKE, None),
        (BIKE.with_invented(("load", "posture"), "seated"), ("posture",)),
        (NO_FORK, None),
        (NO_FORK.with_invented(("load", "posture"), "seated"), ("rider_share",)),
        (NO_FORK.with_invented(("load", "rider_mass"), "80 kg"), ("rider_mass",)),
        (NO_FORK.with_invented(("load", "posture"), "crouching"), ("posture",)),
        (BIKE.with_invented(("load", "unsprung_mass"), "4 kg"), None),
        (
            BIKE.with_invented(("load", "bike_share"), 0.5).with_invented(
                ("front", "load", "bike_share"), 0.4
            ),
            ("bike_share",),
        ),
        (
            BIKE.with_invented(("load", "bike_share"), 0.5).with_value(("front", "load", "bike_share"), 0.4),
            None,
        ),
        (
            BIKE.with_invented(("load", "bike_share"), 0.5).with_invented(
                ("front", "load", "unsprung_mass"), "2 kg"
            ),
            ("bike_share", "unsprung_mass"),
        ),
        (
            BIKE.with_invented(("load", "bike_share"), 0.5).with_value(
                ("front", "load", "unconfirmed"), "no"
            ),
            "no",
        ),
    ],
)
def test_what_the_front_takes_over_is_as_doubtful_as_it_is_at_the_rear(bike: Job, doubted: Raw) -> None:
    assert front_load(bike).get("unconfirmed") == doubted


def test_a_front_on_a_scale_or_beside_a_rear_on_one_takes_nothing_over() -> None:
    own = {"unsprung_mass": "2.1 kg"}
    assert front_load(BIKE.with_value(("load", "scale_mass"), "59 kg")) == own
    scaled = BIKE.with_value(("front", "load", "scale_mass"), "38 kg")
    assert front_load(scaled) == {**own, "scale_mass": "38 kg"}
    assert wheel_job(BIKE.with_value(("front", "load"), 3), "front").get(("load",)) == 3
    assert front_load(BIKE.without(("front", "load")))["rider_mass"] == "82 kg"
    assert front_load(BY_CENTRE)["geometry"] == Tree({**WHEELBASE, "wheel": "front"})
    assert front_load(BIKE.with_value(("load", "geometry"), 3))["geometry"] == 3


# --- edits written where they belong ---------------------------------------------------------


def test_a_rear_put_on_a_scale_leaves_the_front_what_it_carried_and_taken_off_shares_it_again() -> None:
    rear = wheel_job(BIKE, "rear")
    weighed = with_wheel_job(
        BIKE, "rear", rear.with_value(("load",), {"scale_mass": "59 kg", "unsprung_mass": "4.3 kg"})
    )
    assert front_load(weighed) == front_load(BIKE)
    assert weighed.get(("front", "load", "rider_mass")) == "82 kg"
    again = with_wheel_job(weighed, "rear", wheel_job(weighed, "rear").with_value(("target", "sag"), "31 %"))
    assert again == weighed.with_value(("target", "sag"), "31 %")
    assert with_wheel_job(weighed, "rear", rear) == BIKE
    # A share of the front that is not what the rear's leaves stays its own.
    other = weighed.with_value(("front", "load", "bike_share"), 0.4)
    assert with_wheel_job(other, "rear", rear) == BIKE.with_value(("front", "load", "bike_share"), 0.4)


def test_what_is_typed_at_the_front_is_written_without_what_only_the_front_says() -> None:
    front = wheel_job(BY_CENTRE, "front")
    higher = with_wheel_job(
        BY_CENTRE, "front", front.with_value(("load", "geometry", "mass_height"), "1.2 m")
    )
    assert higher == BY_CENTRE.with_value(("load", "geometry", "mass_height"), "1.2 m")
    assert higher.get(("load", "geometry", "wheel")) is None
    # Another table keeps a key of that name.
    named = wheel_job(BIKE, "front").with_value(("frame", "wheel"), "29 in")
    assert with_wheel_job(BIKE, "front", named) == BIKE.with_value(("front", "frame", "wheel"), "29 in")
    odd = with_wheel_job(BY_CENTRE, "front", front.with_value(("load", "geometry"), 3))
    assert odd == BY_CENTRE.with_value(("load", "geometry"), 3)
    gone = with_wheel_job(BIKE, "front", wheel_job(BIKE, "front").without(("load", "bike_mass")))
    assert gone == BIKE.without(("load", "bike_mass"))
    gone = with_wheel_job(BIKE, "front", wheel_job(BIKE, "front").without(("target",)))
    assert gone == BIKE.without(("front", "target"))


def test_a_rider_typed_at_a_front_beside_a_weighed_rear_is_its_own() -> None:
    weighed = BIKE.with_value(("load",), {"scale_mass": "59 kg", "unsprung_mass": "4.3 kg"})
    typed = with_wheel_job(
        weighed, "front", wheel_job(weighed, "front").with_value(("load", "rider_mass"), "70 kg")
    )
    assert typed == weighed.with_value(("front", "load", "rider_mass"), "70 kg")


def test_a_value_that_becomes_doubtful_or_sure_at_the_front_does_so_where_it_stands() -> None:
    front = wheel_job(BIKE, "front")
    for path, place in (
        (("load", "rider_mass"), ("load", "rider_mass")),
        (("load", "unsprung_mass"), ("front", "load", "unsprung_mass")),
    ):
        doubted = with_wheel_job(BIKE, "front", front.with_invented(path, front.get(path)))
        assert doubted.unconfirmed == (place,)
        assert with_wheel_job(doubted, "front", front) == BIKE
    both = BIKE.with_invented(("load", "bike_share"), 0.5).with_invented(("front", "load", "bike_share"), 0.4)
    sure = with_wheel_job(both, "front", wheel_job(both, "front").confirmed(("load", "bike_share")))
    assert sure.unconfirmed == (("load", "bike_share"),)
    # A share taken over, which nobody wrote down at the front, is not written there to be doubted.
    shared = with_wheel_job(
        BIKE, "front", front.with_invented(("load", "bike_share"), front.get(("load", "bike_share")))
    )
    assert shared == BIKE


def test_the_front_of_a_file_knows_where_its_tables_stand() -> None:
    slips: dict[TreePath, TreePath] = {
        ("front",): ("fron",),
        ("front", "frame"): ("fron", "framee"),
        ("load",): ("lod",),
        ("setup", 0, "stages"): ("setup", 0, "stage"),
    }
    front = front_spelling(Spelling(BIKE.tree, slips))
    assert front.tree == wheel_job(BIKE, "front").tree
    # A slip in the name of the whole front is none of a table in it.
    assert () not in front.slips
    for path, place in (
        ((), ()),
        (("title",), ("title",)),
        (("frame", "stroke"), ("fron", "framee", "stroke")),
        (("setup", 0, "bore"), ("fron", "setup", 0, "bore")),
        (("load", "rider_mass"), ("lod", "rider_mass")),
        (("load", "bike_share"), ("lod", "bike_share")),
        (("load", "unsprung_mass"), ("fron", "load", "unsprung_mass")),
        (("ambient", "altitude"), ("ambient", "altitude")),
    ):
        assert front.in_file(path) == place
    own = front_spelling(Spelling(BIKE.with_value(("front", "load", "bike_share"), 0.4).tree, {}))
    assert own.in_file(("load", "bike_share")) == ("front", "load", "bike_share")
    weighed = front_spelling(Spelling(BIKE.with_value(("load", "scale_mass"), "59 kg").tree, {}))
    assert weighed.in_file(("load", "rider_mass")) == ("front", "load", "rider_mass")


# --- an end that is still an example ---------------------------------------------------------

DEMO = demo_job()
TYPED = DEMO.with_value(("title",), "Trail bike of a customer")


@pytest.mark.parametrize(
    ("job", "end"),
    [
        (DEMO, None),
        (REAR, None),
        (TYPED, "front"),
        (DEMO.with_value(("load", "rider_mass"), "70 kg"), "front"),
        (DEMO.with_value(("load", "scale_mass"), "60 kg"), "front"),
        (DEMO.with_value(("load", "bike_mass"), "14 kg"), None),
        (DEMO.with_value(("record", "customer"), "Ann"), "front"),
        (DEMO.with_value(("record", "ticket"), "17"), "front"),
        (DEMO.with_value(("record", "bike"), "red one"), "front"),
        (DEMO.with_value(("record", "notes"), "new tyres"), None),
        (DEMO.with_value(("record", "customer"), ""), None),
        (TYPED.with_value(("front", "target", "sag"), "20 %"), "rear"),
        (TYPED.with_value(("front", "setup", 0, "bore"), "34 mm"), "rear"),
        (TYPED.with_value(("front", "setup", 0, "name"), "long fork"), "front"),
        (TYPED.with_value(("front", "frame", "leverage", "head_angle"), "65 deg"), "rear"),
        (TYPED.with_value(("front", "target", "sag"), "20 %").with_value(("target", "sag"), "28 %"), None),
        (TYPED.with_value(("front", "target", "sag"), "20 %").with_value(("measured", "sag"), "40 mm"), None),
        (
            TYPED.with_value(("front", "target", "sag"), "20 %").with_value(("setup", 1, "bore"), "40 mm"),
            None,
        ),
        (TYPED.with_value(("front",), {}), "rear"),
        (TYPED.with_value(("front",), {"setup": ()}), "rear"),
        (TYPED.without(("front",)), None),
    ],
)
def test_an_end_is_left_out_while_all_of_it_is_invented_and_the_job_is_somebodys(
    job: Job, end: str | None
) -> None:
    assert left_out(job) == end


def test_words_of_a_fork_keep_capitals_and_whole_words() -> None:
    assert spoken("Shock stroke and SHAFT, strokes and unshocked", True) == (
        "Fork travel and Fork, strokes and unshocked"
    )
    assert spoken("Rated stroke", True) == "Rated stroke"
    assert spoken("Sag, % stroke", True) == "Sag % fork travel"
