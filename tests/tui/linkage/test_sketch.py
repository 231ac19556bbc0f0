"""A linkage as typed: into the job and back, and what can be done to it."""

import math
from dataclasses import replace

import pytest

from tui.job.demo import demo_job
from tui.job.files import toml_text
from tui.job.job import Job, parse
from tui.job.tree import Tree
from tui.linkage import sketch as change
from tui.linkage.sketch import (
    EXAMPLES,
    LEVERAGE,
    Example,
    Known,
    Point,
    Sketch,
    has_unconfirmed_points,
    sketch_of,
    with_sketch,
)

SINGLE = EXAMPLES[0].sketch()


def leverage(job: Job, text: str) -> Job:
    """Return a job with the leverage of a piece of TOML."""
    return job.with_value(LEVERAGE, parse(text).tree)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.title)
def test_an_example_comes_back_out_of_the_job_and_its_file(example: Example) -> None:
    job = with_sketch(demo_job(), example.sketch())
    assert sketch_of(job) == example.sketch()
    assert sketch_of(parse(toml_text(job, None))) == example.sketch()
    assert job.get((*LEVERAGE, "start")) is None


def test_pixels_come_back_with_their_known_length() -> None:
    sketch = change.in_pixels(SINGLE)
    assert sketch.known == Known("eye", "frame", "230.0 mm")
    assert [point.y for point in sketch.points] == [-point.y + 0.0 for point in SINGLE.points]
    assert sketch.places == SINGLE.places
    job = with_sketch(demo_job(), sketch)
    assert job.get((*LEVERAGE, "points_mm")) is None
    assert sketch_of(job) == sketch


def test_other_leverage_is_no_linkage_and_a_broken_one_is_told_as_far_as_it_goes() -> None:
    assert sketch_of(demo_job()) is None
    text = """
    kind = "linkage"
    points_mm = { main = [0, "x"], axle = "away" }
    fixed = "main"
    bars = [["main", "axle"], 3]
    shock = ["main"]
    """
    broken = sketch_of(leverage(demo_job(), text))
    assert broken is not None
    assert broken.points == (Point("main", 0, "x"), Point("axle", "away", ""))
    assert broken.bars == (("main", "axle"), ("", ""))
    assert (broken.axle, broken.shock) == ("", ("main", ""))
    assert broken.places == {}


def test_a_new_name_is_new_everywhere() -> None:
    sketch = change.with_point_renamed(change.in_pixels(SINGLE), 3, "lower eye")
    assert sketch.names == ("main", "frame", "axle", "lower eye")
    assert sketch.bars == (("main", "axle"), ("axle", "lower eye"), ("lower eye", "main"))
    assert sketch.shock == ("lower eye", "frame")
    assert sketch.known == Known("lower eye", "frame", "230.0 mm")


def test_a_point_taken_out_takes_its_bars_and_offices_along() -> None:
    sketch = change.without_point(SINGLE, 2)
    assert sketch.names == ("main", "frame", "eye")
    assert sketch.bars == (("eye", "main"),)
    assert sketch.axle == ""
    again = sketch_of(with_sketch(demo_job(), change.without_point(SINGLE, 3)))
    assert again is not None
    assert again.shock == ("frame", "")
    assert change.with_eye(again, 0).shock == ("frame", "main")


def test_a_new_point_stands_beside_the_selected_one_under_a_name_of_its_own() -> None:
    once = change.with_new_point(SINGLE, 2)
    twice = change.with_new_point(once, None)
    assert once.points[-1] == Point("point 1", -400.1, 15.0)
    assert twice.points[-1] == Point("point 2", 30.0, 30.0)
    down = change.with_new_point(change.in_pixels(SINGLE), 2)
    assert down.places["point 1"] == once.places["point 1"]


def test_bars_lead_to_points_that_have_none_yet() -> None:
    assert change.free_bar(SINGLE, "main") == ("main", "frame")
    full = change.with_bars(SINGLE, 3, ("main", "frame"))
    assert change.free_bar(full, "main") is None
    assert change.with_end(full.bars[3], 0, "axle") == ("axle", "frame")
    assert change.with_bars(full, 3) == SINGLE


def test_axle_eyes_and_pivots_are_marked() -> None:
    assert change.with_axle(SINGLE, 3).axle == "eye"
    assert change.with_eye(SINGLE, 3) == SINGLE
    assert change.with_eye(SINGLE, 2).shock == ("frame", "axle")
    assert [point.fixed for point in change.with_fixed_switched(SINGLE, 0).points] == [
        False,
        True,
        False,
        False,
    ]


def test_pixels_become_mm_by_the_places_that_were_worked_out() -> None:
    sketch = Sketch((Point("a", 10, 20), Point("b", 110, 20)), (), "b", ("a", "b"), Known("a", "b", "230 mm"))
    back = change.in_millimetres(sketch, {"a": (0.023, -0.046), "b": (0.253, -0.046)})
    assert back.points == (Point("a", 23.0, -46.0), Point("b", 253.0, -46.0))
    assert back.known is None


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.title)
def test_examples_are_scaled_to_the_shock(example: Example) -> None:
    sketch = example.sketch(190.0)
    (x, y), (u, v) = (sketch.places[name] for name in sketch.shock)
    assert ((x - u) ** 2 + (y - v) ** 2) ** 0.5 == pytest.approx(190.0, abs=0.15)


def test_level_starts_at_the_point_asked_for_else_at_the_axle_else_at_the_first() -> None:
    def level(sketch: Sketch, index: int | None) -> tuple[str, str] | None:
        return change.with_level_switched(sketch, index).level

    # The point most nearly level with the axle (-430, -15) is the main pivot (0, 0), two degrees off.
    assert level(SINGLE, None) == ("axle", "main")
    assert level(SINGLE, 0) == ("main", "axle")
    # The eye at (-93, 146) and the frame's at (131, 198): thirteen degrees.
    assert level(SINGLE, 3) == ("eye", "frame")
    assert level(change.without_point(SINGLE, 2), None) == ("main", "frame")
    assert level(change.with_level_switched(SINGLE, 0), 0) is None


# A linkage of round numbers: the axle at the end of an arm, the shock of 200 mm upright behind it.
PLAIN = Sketch(
    (
        Point("main", 0, 0, True),
        Point("frame", -100, 250, True),
        Point("axle", -400, -10.5),
        Point("eye", -100, 50),
    ),
    (("main", "axle"), ("axle", "eye"), ("eye", "main")),
    "axle",
    ("eye", "frame"),
)


def table(sketch: Sketch, *, invented: bool = False) -> Tree:
    found = with_sketch(demo_job(), sketch, invented=invented).get(LEVERAGE)
    assert isinstance(found, Tree)
    return found


def test_a_linkage_stands_in_the_job_with_what_it_has_and_no_more() -> None:
    bare = {
        "kind": "linkage",
        "points_mm": {"main": (0, 0), "frame": (-100, 250), "axle": (-400, -10.5), "eye": (-100, 50)},
        "fixed": ("main", "frame"),
        "bars": (("main", "axle"), ("axle", "eye"), ("eye", "main")),
        "axle": "axle",
        "shock": ("eye", "frame"),
    }
    assert table(PLAIN) == Tree(bare)
    assert table(PLAIN, invented=True) == Tree({**bare, "unconfirmed": ("points_mm",)})
    assert "axle" not in table(replace(PLAIN, axle=""))
    assert table(replace(PLAIN, shock=("", "frame")))["shock"] == ("frame",)
    assert table(replace(PLAIN, level=("main", "axle")))["level"] == Tree({"from": "main", "to": "axle"})
    pixels = table(replace(PLAIN, known=Known("eye", "frame", "200 mm")), invented=True)
    assert pixels["known"] == Tree({"from": "eye", "to": "frame", "length": "200 mm"})
    assert (pixels["unconfirmed"], "points_mm" in pixels) == (("points_px",), False)
    assert pixels["points_px"] == bare["points_mm"]


def test_points_stay_unverified_through_an_edit_and_verified_ones_verified() -> None:
    invented, typed = (with_sketch(demo_job(), PLAIN, invented=invented) for invented in (True, False))
    assert has_unconfirmed_points(invented)
    assert has_unconfirmed_points(with_sketch(invented, change.in_pixels(PLAIN)))
    assert not has_unconfirmed_points(typed)
    assert not has_unconfirmed_points(with_sketch(typed, change.in_pixels(PLAIN)))


def test_points_in_mm_count_where_a_job_has_both_and_the_known_length_with_pixels_alone() -> None:
    both = """
    kind = "linkage"
    points_mm = { a = [1, 2] }
    points_px = { b = [3, 4] }
    known = { from = "a", to = "b", length = "9 mm" }
    """
    read = sketch_of(leverage(demo_job(), both))
    assert read == Sketch((Point("a", 1, 2),), (), "", ("", ""))
    pixels = sketch_of(leverage(demo_job(), both.replace("points_mm = { a = [1, 2] }", "fixed = ['b']")))
    assert pixels == Sketch((Point("b", 3, 4, True),), (), "", ("", ""), Known("a", "b", "9 mm"))
    none = sketch_of(leverage(demo_job(), 'kind = "linkage"\npoints_px = 3\nlevel = { from = "a" }'))
    assert none == Sketch((), (), "", ("", ""), Known("", "", ""), ("a", ""))
    nothing = sketch_of(
        leverage(demo_job(), 'kind = "linkage"\npoints_mm = { a = [1, 2, 3] }\nbars = [["a"]]')
    )
    assert nothing == Sketch((Point("a", 1, 2),), (("a", ""),), "", ("", ""))


def test_places_are_those_with_two_sound_numbers_and_pixels_count_downwards() -> None:
    odd = (("x", "1", 2), ("y", 1, True), ("inf", float("inf"), 0), ("good", 1.5, -2))
    sketch = replace(PLAIN, points=tuple(Point(*point) for point in odd))
    assert sketch.places == {"good": (1.5, -2)}
    assert replace(sketch, known=Known("", "", "")).places == {"good": (1.5, 2)}
    assert not Point("a", 0, 0).fixed


def test_a_level_line_is_off_by_its_slope_either_way_round_and_by_nothing_without_two_places() -> None:
    assert math.isnan(PLAIN.off_level)
    for level in (("main", "nobody"), ("main", "main")):
        assert math.isnan(replace(PLAIN, level=level).off_level)
    for level in (("main", "axle"), ("axle", "main")):
        assert replace(PLAIN, level=level).off_level == pytest.approx(math.atan2(10.5, 400))
    assert replace(PLAIN, level=("frame", "axle")).off_level == pytest.approx(math.atan2(260.5, 300))
    pixels = replace(PLAIN, known=Known("", "", ""), level=("main", "axle"))
    assert pixels.off_level == pytest.approx(-math.atan2(10.5, 400))
    places = (Point("a", 3, 7), Point("b", 3, 9))
    assert replace(PLAIN, points=places, level=("a", "b")).off_level == pytest.approx(math.pi / 2)
    same = (Point("a", 3, 7), Point("b", 3, 7))
    assert math.isnan(replace(PLAIN, points=same, level=("a", "b")).off_level)


def test_a_new_point_is_thirty_to_the_right_and_above_and_named_by_the_first_free_number() -> None:
    assert change.with_new_point(PLAIN, 0).points[-1] == Point("point 1", 30.0, 30.0)
    assert change.with_new_point(PLAIN, 1).points[-1] == Point("point 1", -70.0, 280.0)
    assert change.with_new_point(change.in_pixels(PLAIN), 1).points[-1] == Point("point 1", -70.0, -280.0)
    assert change.with_new_point(change.in_pixels(PLAIN), None).points[-1] == Point("point 1", 30.0, -30.0)
    unread = change.with_point(PLAIN, 1, Point("frame", "x", 3))
    assert change.with_new_point(unread, 1).points[-1] == Point("point 1", 30.0, 30.0)
    taken = change.with_point(PLAIN, 3, Point("point 1", 0, 0))
    assert change.with_new_point(change.with_new_point(taken, None), None).names[-2:] == (
        "point 2",
        "point 3",
    )
    assert change.with_new_point(PLAIN, 0).points[:-1] == PLAIN.points


def test_a_point_leaves_from_wherever_it_is_named() -> None:
    pixels = replace(PLAIN, known=Known("eye", "frame", "200 mm"), level=("axle", "main"))
    gone = change.without_point(pixels, 2)
    assert gone == replace(
        pixels, points=(*PLAIN.points[:2], PLAIN.points[3]), bars=(("eye", "main"),), axle="", level=None
    )
    eyeless = change.without_point(pixels, 3)
    assert (eyeless.shock, eyeless.known, eyeless.level) == (
        ("", "frame"), Known("", "frame", "200 mm"), ("axle", "main"),
    )  # fmt: skip
    renamed = change.with_point_renamed(pixels, 2, "hub")
    assert (renamed.axle, renamed.level, renamed.points[2]) == (
        "hub",
        ("hub", "main"),
        Point("hub", -400, -10.5),
    )
    assert change.with_point_renamed(PLAIN, 2, "hub").level is None
    assert change.with_fixed_switched(PLAIN, 3).points[3].fixed
    assert change.with_fixed_switched(PLAIN, 1).points[1] == Point("frame", -100, 250)


def test_a_bar_goes_to_the_next_point_that_has_none_with_it_round_the_end() -> None:
    loose = replace(PLAIN, bars=(("main", "axle"),))
    found = {name: change.free_bar(loose, name) for name in PLAIN.names}
    assert found == {
        "main": ("main", "frame"),
        "frame": ("frame", "axle"),
        "axle": ("axle", "eye"),
        "eye": ("eye", "main"),
    }
    assert change.free_bar(replace(PLAIN, bars=(("main", "frame"), ("axle", "main"))), "main") == (
        "main",
        "eye",
    )
    pair = ("a", "b")
    assert [change.with_end(pair, end, "c") for end in (0, 1)] == [("c", "b"), ("a", "c")]
    assert change.with_bars(PLAIN, 1, pair).bars == (PLAIN.bars[0], pair, PLAIN.bars[2])
    assert change.with_bars(PLAIN, 1).bars == (PLAIN.bars[0], PLAIN.bars[2])
    assert change.with_bars(PLAIN, 3, pair).bars == (*PLAIN.bars, pair)


@pytest.mark.parametrize(
    ("shock", "index", "after"),
    [
        (("eye", "frame"), 0, ("frame", "main")),
        (("eye", ""), 0, ("eye", "main")),
        (("", "frame"), 0, ("frame", "main")),
        (("", ""), 0, ("", "main")),
        (("eye", "frame"), 1, ("eye", "frame")),
        (("eye", ""), 3, ("eye", "")),
    ],
)
def test_the_last_two_points_named_are_the_eyes(
    shock: tuple[str, str], index: int, after: tuple[str, str]
) -> None:
    assert change.with_eye(replace(PLAIN, shock=shock), index).shock == after


def test_pixels_have_the_length_between_the_eyes_and_keep_what_is_no_number() -> None:
    unread = change.with_point(PLAIN, 2, Point("axle", "far", 3))
    pixels = change.in_pixels(unread)
    assert pixels.known == Known("eye", "frame", "200.0 mm")
    assert [(p.x, p.y) for p in pixels.points] == [(0, 0.0), (-100, -250), ("far", 3), (-100, -50)]
    # A zero is written without a sign.
    assert str(pixels.points[0].y) == "0.0"
    eyeless = change.in_pixels(replace(PLAIN, shock=("", "frame")))
    # An eye that is not chosen counts as at the origin: the length is to be typed over.
    assert eyeless.known == Known("", "frame", f"{math.hypot(100, 250):.1f} mm")
    back = change.in_millimetres(pixels, dict.fromkeys(PLAIN.names, (0.12346, -0.0)))
    assert back.points == tuple(Point(p.name, 123.5, 0.0, p.fixed) for p in PLAIN.points)
    assert (str(back.points[0].y), back.known, back.level) == ("0.0", None, None)


def test_an_example_is_drawn_for_a_shock_of_230_mm() -> None:
    first = EXAMPLES[0]
    drawn = first.sketch()
    scale = 230.0 / math.hypot(131 + 93, 198 - 146)
    assert drawn == first.sketch(230.0)
    assert drawn.points[1] == Point("frame", round(131 * scale, 1), round(198 * scale, 1), True)
    assert drawn.points[2] == Point("axle", round(-430 * scale, 1), round(-15 * scale, 1))
    assert (drawn.axle, drawn.shock, drawn.known, drawn.level) == ("axle", ("eye", "frame"), None, None)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.title)
def test_an_example_is_two_pivots_and_three_bars_to_a_body(example: Example) -> None:
    sketch = example.sketch()
    assert [point.name for point in sketch.points if point.fixed] == list(example.fixed)
    assert len(set(map(frozenset, sketch.bars))) == len(sketch.bars)
    # A moving point has two coordinates, and every bar fixes one: one is left for the stroke.
    assert len(sketch.bars) == 2 * len(example.moving) - 1
    assert {end for bar in sketch.bars for end in bar} == set(sketch.names) - {"frame"}


def test_a_level_line_starts_at_the_point_that_is_selected_else_at_the_axle() -> None:
    unread = replace(
        PLAIN, points=(*PLAIN.points, Point("far", "x", 0), Point("hub", 800, -10.5)), axle="nobody"
    )
    found = [change.with_level_switched(unread, index).level for index in (None, 0, 2, 5, 4)]
    assert found == [("main", "hub"), ("main", "hub"), ("axle", "hub"), ("hub", "axle"), ("far", "main")]
    assert change.with_level_switched(replace(unread, axle="axle"), None).level == ("axle", "hub")
    assert change.with_level_switched(replace(unread, axle="axle"), 1).level == ("frame", "hub")
