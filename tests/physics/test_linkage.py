"""Linkages against closed forms, against differences of their own positions, and against each other.

What is no linkage is refused at its place, by name, and all at once.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from physics.arrays import Values, values
from physics.case import Frame, LeverageEnds, Linkage
from physics.faults import FAULTS, Fault, Refused
from physics.leverage import leverage_curve
from physics.linkage import Motion, linkage_answer, move
from tests.physics.linkages import (
    EVERY,
    FRONT_LINK,
    IN_LINE,
    PARALLELOGRAM,
    REAR_LINK,
    SINGLE,
    linkage,
    mirrored,
    shifted,
)
from tests.physics.linkages_broken import BROKEN, Broken, bar_more, point_more

STROKE = 0.055


def at(motion: Motion, one: Linkage, name: str) -> Values:
    return motion.places[:, one.names.index(name)]


@pytest.mark.parametrize("name", EVERY)
def test_every_bar_keeps_its_length_and_the_shock_has_the_one_asked_for(name: str) -> None:
    one = EVERY[name]
    motion = move(one, STROKE)
    assert motion.places.shape == (201, len(one.names), 2)
    assert motion.places[0] == pytest.approx(np.array(one.places), abs=1e-15)
    for bar in one.bars:
        length = np.linalg.norm(at(motion, one, bar[0]) - at(motion, one, bar[1]), axis=-1)
        assert length == pytest.approx(length[0], abs=1e-12)
    shock = np.linalg.norm(at(motion, one, one.shock[0]) - at(motion, one, one.shock[1]), axis=-1)
    assert shock == pytest.approx(shock[0] - motion.stroke, abs=1e-12)
    assert motion.stroke[[0, -1]] == pytest.approx([0.0, STROKE])
    for pivot in one.fixed:
        assert np.ptp(at(motion, one, pivot), axis=0) == pytest.approx([0.0, 0.0], abs=0)
    assert motion.wheel == pytest.approx(
        at(motion, one, "axle")[:, 1] - one.places[one.names.index("axle")][1]
    )


def agrees_with_its_own_positions(one: Linkage, stroke: float) -> None:
    """Compare L and dL/dw with central differences, whose error is of the order of the step squared."""
    motion = move(one, stroke)
    inner = slice(1, -1)
    step = motion.stroke[2] - motion.stroke[0]
    ratio = (motion.wheel[2:] - motion.wheel[:-2]) / step
    bent = np.max(np.abs(np.diff(motion.ratio, n=2)), initial=0.0)
    assert np.max(np.abs(ratio - motion.ratio[inner])) <= bent + 1e-9
    slope = (motion.ratio[2:] - motion.ratio[:-2]) / (motion.wheel[2:] - motion.wheel[:-2])
    change = np.max(np.abs(np.diff(motion.slope)), initial=0.0)
    assert np.max(np.abs(slope - motion.slope[inner])) <= change + 1e-6


@pytest.mark.parametrize("name", EVERY)
def test_ratio_and_slope_agree_with_differences_of_its_own_positions(name: str) -> None:
    agrees_with_its_own_positions(EVERY[name], STROKE)
    # A hundredth of the step leaves a ten-thousandth of the error.
    near = move(EVERY[name], 2e-4)
    assert (near.wheel[2] - near.wheel[0]) / 2e-6 == pytest.approx(near.ratio[1], rel=1e-7)
    assert (near.ratio[-1] - near.ratio[0]) / near.wheel[-1] == pytest.approx(near.slope[100], rel=1e-4)


_OFF = st.tuples(st.floats(-40, 40), st.floats(-40, 40))


@pytest.mark.slow
@given(_OFF, _OFF, _OFF, _OFF, st.sampled_from(["axle on the rear link", "axle on the front link"]))
def test_random_four_bars_that_move_agree_with_differences(
    top: tuple[float, float],
    rocker: tuple[float, float],
    eye: tuple[float, float],
    front: tuple[float, float],
    name: str,
) -> None:
    one = shifted(EVERY[name], top=top, rocker=rocker, eye=eye, front=front)
    moves(one)
    agrees_with_its_own_positions(one, STROKE)


@pytest.mark.slow
@given(_OFF, _OFF, _OFF)
def test_random_single_pivots_that_move_agree_with_differences_and_the_law_of_cosines(
    axle: tuple[float, float], eye: tuple[float, float], front: tuple[float, float]
) -> None:
    one = shifted(SINGLE, axle=axle, eye=eye, front=front)
    moves(one)
    agrees_with_its_own_positions(one, STROKE)
    wheel, ratio = by_cosines(one, move(one, STROKE).stroke)
    assert move(one, STROKE).wheel == pytest.approx(wheel, abs=1e-11)
    assert move(one, STROKE).ratio == pytest.approx(ratio, rel=1e-7)


def moves(one: Linkage) -> None:
    """Leave the example out where it does not move, or comes within a hair of where it locks."""
    try:
        ratio = move(one, STROKE).ratio
    except Refused:
        assume(False)
    assume(ratio.max() < 20.0 * ratio.min())


def by_cosines(one: Linkage, stroke: Values) -> tuple[Values, Values]:
    """Return rise of the axle and leverage of a single pivot in closed form.

    The eye turns about the pivot on a radius r, the fixed eye is f away from it, the shock s = s₀ − x long, φ
    the angle at the pivot between the two eyes: s² = r² + f² − 2 r f cos φ. The swingarm turns by the change
    of φ towards the fixed eye. The axle on a radius R at angle α stands at R sin α, so dw = R cos α dα, and
    from 2 s ds = 2 r f sin φ dφ with ds = −dx: dφ/dx = −s/(r f sin φ).
    """
    pivot, axle, eye, front = (
        np.array(one.places[one.names.index(name)]) for name in ("main", "axle", "eye", "front")
    )
    r, f = math.dist(pivot, eye), math.dist(pivot, front)
    s = math.dist(eye, front) - stroke
    phi = np.arccos((r**2 + f**2 - s**2) / (2 * r * f))
    e, g = eye - pivot, front - pivot
    towards = math.copysign(1.0, e[0] * g[1] - e[1] * g[0])  # +1 where the eye turns anticlockwise
    arm = axle - pivot
    alpha = math.atan2(arm[1], arm[0]) + towards * (phi[0] - phi)
    reach = math.hypot(*arm)
    wheel = reach * (np.sin(alpha) - np.sin(alpha[0]))
    ratio = reach * np.cos(alpha) * towards * s / (r * f * np.sin(phi))
    return np.asarray(wheel), np.asarray(ratio)


@pytest.mark.parametrize("one", [SINGLE, IN_LINE], ids=["single pivot", "eye in line"])
def test_a_single_pivot_is_the_law_of_cosines(one: Linkage) -> None:
    motion = move(one, STROKE)
    wheel, ratio = by_cosines(one, motion.stroke)
    assert motion.wheel == pytest.approx(wheel, abs=1e-12)
    assert motion.ratio == pytest.approx(ratio, rel=1e-9)


def test_a_parallelogram_carries_its_axle_without_turning_it() -> None:
    motion = move(PARALLELOGRAM, STROKE)
    ends = at(motion, PARALLELOGRAM, "c") - at(motion, PARALLELOGRAM, "d")
    assert ends == pytest.approx(np.broadcast_to(ends[0], ends.shape), abs=1e-12)
    # The axle draws the circle of the crank's end, moved along.
    crank, axle = at(motion, PARALLELOGRAM, "c"), at(motion, PARALLELOGRAM, "axle")
    assert axle - axle[0] == pytest.approx(crank - crank[0], abs=1e-12)
    # A third crank that is as parallel changes nothing; it is one bar more than needed and keeps its length.
    third = linkage(
        {"a": (0, 0), "b": (0, 120), "c": (150, -20), "d": (150, 100), "axle": (430, 20), "front": (110, 190)}
        | {"m": (0, 60), "n": (150, 40)},
        "a b m front",
        "a-c b-d c-d c-axle d-axle c-n d-n m-n",
        "c-front",
    )
    assert move(third, STROKE).wheel == pytest.approx(motion.wheel, abs=1e-12)


@pytest.mark.parametrize("name", EVERY)
def test_a_bike_seen_from_its_other_side_has_the_same_curve(name: str) -> None:
    one, other = move(EVERY[name], STROKE), move(mirrored(EVERY[name]), STROKE)
    assert other.wheel == pytest.approx(one.wheel, abs=1e-12)
    assert other.ratio == pytest.approx(one.ratio, rel=1e-9)
    assert other.slope == pytest.approx(one.slope, rel=1e-6, abs=1e-6)


def test_the_order_of_points_and_bars_and_one_bar_more_in_a_body_change_nothing() -> None:
    one = REAR_LINK
    names = tuple(reversed(one.names))
    bars = (("drop", "stay"), ("stay", "axle"), ("top", "stay"), *((b, a) for a, b in reversed(one.bars)))
    places = (*(one.places[one.names.index(name)] for name in names), (0.4, 0.1))
    other = Linkage((*names, "stay"), places, one.fixed, bars, "axle", ("front", "eye"))
    assert move(other, STROKE).wheel == pytest.approx(move(one, STROKE).wheel, abs=1e-12)
    assert move(other, STROKE).ratio == pytest.approx(move(one, STROKE).ratio, rel=1e-9)


def test_few_steps_and_many_end_at_the_same_place() -> None:
    for one in EVERY.values():
        few, many = move(one, STROKE, 20), move(one, STROKE, 400)
        assert few.places[-1] == pytest.approx(many.places[-1], abs=1e-12)
        assert few.ratio == pytest.approx(many.ratio[::20], rel=1e-9)


def test_a_motion_cannot_be_written_to() -> None:
    motion = move(SINGLE, STROKE)
    assert not any(part.flags.writeable for part in (motion.places, motion.wheel, motion.ratio))


def test_the_curve_of_a_frame_is_that_of_its_linkage() -> None:
    motion = move(REAR_LINK, STROKE)
    full = float(motion.wheel[-1])
    curve = leverage_curve(Frame(full, STROKE, REAR_LINK))
    assert curve.closure_error == pytest.approx(0.0, abs=1e-8)
    there = curve.at(motion.wheel)
    assert there.stroke == pytest.approx(motion.stroke, abs=1e-8)
    assert there.ratio == pytest.approx(motion.ratio, rel=1e-6)
    assert there.slope == pytest.approx(motion.slope, rel=1e-4, abs=1e-3)


def test_another_wheel_travel_takes_the_linkage_as_a_whole_and_closes_as_any_curve_does() -> None:
    motion = move(REAR_LINK, STROKE)
    full = float(motion.wheel[-1])
    curve = leverage_curve(Frame(0.98 * full, STROKE, REAR_LINK))
    assert curve.closure_error == pytest.approx(-0.02, abs=1e-6)
    # Closed, the curve has the travel that was typed and the stroke of the shock.
    there = curve.at(0.98 * motion.wheel)
    assert there.stroke == pytest.approx(motion.stroke, abs=1e-8)
    assert there.ratio == pytest.approx(0.98 * motion.ratio, rel=1e-6)
    with pytest.raises(Refused) as refusal:
        leverage_curve(Frame(1.06 * full, STROKE, REAR_LINK))
    assert [fault.code for fault in refusal.value.faults] == ["does_not_close"]


def test_an_axis_of_strokes_on_one_linkage() -> None:
    full = float(move(REAR_LINK, STROKE).wheel[-1])
    strokes = np.array([0.99 * STROKE, STROKE])
    both = leverage_curve(Frame(full, strokes, REAR_LINK))
    for index, stroke in enumerate(strokes):
        alone = leverage_curve(Frame(full, float(stroke), REAR_LINK))
        assert both.nodes.ratio[index] == pytest.approx(alone.nodes.ratio.reshape(-1), rel=1e-5)


def test_a_linkage_of_constant_leverage_is_its_ends() -> None:
    # A slider far away: over a short stroke on long arms the ratio is that of the arms.
    one = linkage(
        {"main": (0, 0), "axle": (9000, 0), "eye": (3000, 0), "front": (3000, 5000)},
        "main front",
        "main-axle main-eye axle-eye",
        "eye-front",
    )
    straight = leverage_curve(Frame(0.15, 0.05, LeverageEnds(3.0, 3.0)))
    assert leverage_curve(Frame(0.15, 0.05, one)).nodes.ratio == pytest.approx(straight.nodes.ratio, rel=1e-3)


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


def test_the_answer_of_a_linkage_is_every_fifth_step_of_its_motion_the_axle_from_where_it_starts() -> None:
    motion = move(REAR_LINK, STROKE)
    axle = at(motion, REAR_LINK, "axle")[::5]
    answer = linkage_answer(Frame(motion.wheel[-1], values(STROKE), REAR_LINK))
    assert answer is not None
    assert answer.wheel_travel == motion.wheel[-1] == pytest.approx(axle[-1, 1] - axle[0, 1])
    assert answer.stroke[[0, 1, -1]] == pytest.approx([0.0, STROKE / 40, STROKE])
    assert answer.ratio == pytest.approx(motion.ratio[::5], abs=0)
    assert answer.axle == pytest.approx(axle - axle[0], abs=0)
