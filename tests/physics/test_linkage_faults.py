"""What is no linkage is refused at its place, by name, and all at once."""

import math
from dataclasses import replace

import numpy as np
import pytest

from physics.case import Frame, Linkage
from physics.faults import FAULTS, Fault, Refused
from physics.leverage import leverage_curve
from physics.linkage import move
from tests.physics.linkages import EVERY, FRONT_LINK, SINGLE, linkage
from tests.physics.linkages_broken import BROKEN, Broken, bar_more, point_more

PLACES = {"longer_than_shock": ("frame", "stroke"), "eyes_differ": ("frame", "eye_to_eye")}


def faults_of(one: Linkage, stroke: float = 0.055, eyes: float | None = None) -> tuple[Fault, ...]:
    with pytest.raises(Refused) as refusal:
        leverage_curve(Frame(0.15, stroke, one, eyes))
    return refusal.value.faults


@pytest.mark.parametrize("broken", BROKEN, ids=[f"{b.code} {'.'.join(map(str, b.place))}" for b in BROKEN])
def test_each_fault_has_its_place_its_names_and_its_values(broken: Broken) -> None:
    (fault,) = faults_of(broken.linkage, broken.stroke, broken.eye_to_eye)
    place = PLACES.get(broken.code, ("frame", "leverage", *broken.place))
    assert (fault.code, fault.field, fault.names) == (broken.code, place, broken.names)
    assert set(fault.values) == set(FAULTS[broken.code])
    assert all(math.isfinite(number) for number in fault.values.values())


def test_all_that_can_be_said_of_names_and_bars_is_said_at_once() -> None:
    one = bar_more(bar_more(bar_more(SINGLE, "axel", "eye"), "main", "front"), "eye", "axle")
    one = replace(point_more(one, "spare", 0.3, 0.3), axle="axle?", fixed=("main", "front", "back"))
    found = {fault.code for fault in faults_of(one, eyes=0.3)}
    assert found == {"point_unknown", "bar_between_fixed", "bar_twice", "point_without_bars", "eyes_differ"}
    assert len([fault for fault in faults_of(one) if fault.code == "point_unknown"]) == 3


def test_a_stroke_and_a_freedom_that_are_wrong_are_told_together() -> None:
    codes = [fault.code for fault in faults_of(replace(SINGLE, bars=SINGLE.bars[:2]), stroke=0.3, eyes=0.1)]
    assert codes == ["loose", "longer_than_shock", "eyes_differ"]


def test_a_stroke_that_is_not_known_hides_no_fault_of_the_drawing_and_makes_none() -> None:
    assert np.isnan(leverage_curve(Frame(0.15, math.nan, SINGLE)).closure_error)
    (fault,) = faults_of(replace(SINGLE, bars=SINGLE.bars[:2]), stroke=math.nan)
    assert fault.code == "loose"


def test_how_many_bars_are_missing_or_too_many() -> None:
    (fault,) = faults_of(replace(FRONT_LINK, bars=FRONT_LINK.bars[:3]))
    assert fault.code == "point_without_bars"
    (fault,) = faults_of(replace(FRONT_LINK, bars=(*FRONT_LINK.bars[:4], ("rocker", "eye"))))
    assert fault.values == {"surplus": 2.0}
    two_too_many = bar_more(bar_more(FRONT_LINK, "eye", "front"), "axle", "front")
    (fault,) = faults_of(two_too_many)
    assert fault.code == "braced"
    assert fault.values == {"surplus": 2.0}
    assert set(fault.names) <= set(two_too_many.bars)
    # Taking out what is named lets it move.
    left = tuple(bar for bar in two_too_many.bars if bar not in fault.names)
    assert move(replace(two_too_many, bars=left), 0.055).wheel[-1] > 0.1


@pytest.mark.parametrize("name", EVERY)
def test_without_any_of_its_bars_a_linkage_is_refused(name: str) -> None:
    one = EVERY[name]
    for index in range(len(one.bars)):
        short = replace(one, bars=one.bars[:index] + one.bars[index + 1 :])
        assert {fault.code for fault in faults_of(short)} <= {"loose", "point_without_bars"}


def test_it_locks_where_the_shock_meets_its_arm() -> None:
    # The eye's circle comes closest to the fixed eye on the line through the pivot: f − r of shock is left.
    pivot, _, eye, front = SINGLE.places
    shortest = math.dist(pivot, front) - math.dist(pivot, eye)
    left = math.dist(eye, front) - shortest
    (fault,) = faults_of(SINGLE, stroke=left + 0.005)
    assert fault.code == "locks"
    assert left - 0.001 < fault.values["at_stroke"] <= left
    assert move(SINGLE, left - 1e-4).ratio[-1] > move(SINGLE, left - 1e-3).ratio[-1]


def test_a_bar_that_fits_as_drawn_and_stretches_on_the_way_locks_it() -> None:
    # A third crank as parallel as the other two and half as long: the first hair of the way is open to it.
    third = linkage(
        {"a": (0, 0), "b": (0, 120), "c": (150, -20), "d": (150, 100), "axle": (430, 20), "front": (110, 190)}
        | {"m": (0, 60), "n": (75, 50)},
        "a b m front",
        "a-c b-d c-d c-axle d-axle c-n d-n m-n",
        "c-front",
    )
    (fault,) = faults_of(third)
    assert (fault.code, fault.names) == ("locks", (("m", "n"),))
    assert fault.values["at_stroke"] < 0.002


def test_a_second_pivot_at_the_same_place_changes_nothing() -> None:
    same = replace(point_more(SINGLE, "far", 0.0, 0.0), fixed=("main", "front", "far"))
    twice = move(bar_more(same, "far", "axle"), 0.055)
    assert twice.wheel == pytest.approx(move(SINGLE, 0.055).wheel, abs=1e-12)
