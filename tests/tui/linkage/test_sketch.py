"""A linkage as typed: into the job and back, and what can be done to it."""

import pytest

from tui.job.demo import demo_job
from tui.job.files import toml_text
from tui.job.job import Job, parse
from tui.linkage import sketch as change
from tui.linkage.sketch import EXAMPLES, LEVERAGE, Example, Known, Point, Sketch, sketch_of, with_sketch

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
