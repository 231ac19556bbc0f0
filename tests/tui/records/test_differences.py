"""What differs between two jobs, told in the words of the bench."""

from __future__ import annotations

import pytest

from tui.job.demo import demo_job
from tui.job.job import Job
from tui.job.tree import Raw, TreePath
from tui.linkage.sketch import EXAMPLES, with_sketch
from tui.shop_units import METRIC, USUAL
from tui.subjects.differences import between, differences, side_of, solved_typed

DEMO = demo_job()


def changed(*values: tuple[TreePath, Raw]) -> Job:
    job = DEMO
    for path, raw in values:
        job = job.with_value(path, raw)
    return job


def test_the_same_job_has_no_differences() -> None:
    assert differences(DEMO, DEMO) == []


def test_a_heavier_rider_changes_what_was_solved_too() -> None:
    told = differences(DEMO, changed((("load", "rider_mass"), "85 kg")))
    assert told[0] == "rider mass 82 → 85 kg"
    assert [line.split(" → ")[0].rsplit(" ", 1)[0] for line in told[1:]] == [
        "coil spring rate",
        "air pressure",
        "front fork pressure",
    ]
    assert all(line.endswith(("lbf/in", "psi")) for line in told[1:])


@pytest.mark.fast_cases(4)
@pytest.mark.parametrize(
    ("path", "raw", "line"),
    [
        (("title",), "Ann's", "job title Demo trail bike (invented figures) → Ann's"),
        (("record", "customer"), "Ann", "customer nothing → Ann"),
        (("measured", "sag"), "44 mm", "sag measured nothing → 44 mm"),
        (("measured", "rebound_clicks"), 7, "rebound nothing → 7 clicks"),
        (("ridden", "symptom"), "wallows", "complaint none → wallows"),
        (("setup", 1, "negative_spacers"), 1, "air negative spring spacers 0 → 1 fitted"),
        (("setup", 0, "preload_turns"), 2.0, "coil preload 1.50 → 2.00 turns"),
        (("front", "measured", "sag"), "30 mm", "front sag measured nothing → 30 mm"),
        (("front", "setup", 0, "friction"), "25 N", "front fork seal friction 22 → 25 N"),
        (("front", "load", "unsprung_mass"), "2.3 kg", "front unsprung mass 2.1 → 2.3 kg"),
        (("setup", 0, "colour"), "red", "coil: a value shown only in its file"),
    ],
)
def test_one_value_is_one_line(path: TreePath, raw: Raw, line: str) -> None:
    assert line in differences(DEMO, changed((path, raw)))


def test_what_both_wheels_share_is_told_once() -> None:
    told = differences(DEMO, changed((("load", "bike_mass"), "16 kg"), (("ambient", "altitude"), "900 m")))
    assert sum("bike mass" in line for line in told) == 1
    assert sum("shop altitude 350 → 900 m" in line for line in told) == 1


def test_a_typed_value_in_the_place_of_a_solved_one_says_so() -> None:
    (told,) = differences(DEMO, changed((("setup", 1, "pressure"), "225 psi")))
    before = solved_typed(DEMO, USUAL).get(("setup", 1, "pressure"))
    assert told == f"air pressure {before} solved → 225 psi"


@pytest.mark.slow
def test_setups_are_followed_through_their_names() -> None:
    renamed = changed((("setup", 0, "name"), "steel"))
    assert differences(DEMO, renamed) == ["coil renamed to steel"]
    assert differences(DEMO, DEMO.without_setup(0)) == ["coil removed"]
    assert differences(DEMO, DEMO.with_setup(2, {**DEMO.setups[1], "name": "air 2"})) == ["air 2 added"]
    turned = DEMO.with_value(("setup",), DEMO.setups[::-1])
    assert differences(DEMO, turned) == ["order of the setups changed"]


def test_a_wheel_that_comes_or_goes_is_told() -> None:
    rear = DEMO.without(("front",))
    assert differences(DEMO, rear) == ["front wheel removed"]
    assert differences(rear, DEMO) == ["front wheel added"]


def test_pivot_points_are_told_as_such() -> None:
    first = with_sketch(DEMO, EXAMPLES[0].sketch())
    moved = first.with_value(("frame", "leverage", "points_mm", "axle"), (431.0, 5.0))
    told = differences(first, moved)
    assert "pivot points of the frame changed" in told


def test_a_table_of_the_frame_is_told_by_its_pairs() -> None:
    table = {"kind": "table", "travel_mm": (0.0, 75.0, 150.0), "ratio": (2.8, 2.5, 2.3)}
    first = changed((("frame", "leverage"), table))
    second = first.with_value(("frame", "leverage", "ratio"), (2.8, 2.4, 2.2))
    assert "leverage: 2 pairs changed" in differences(first, second)


def test_tables_can_be_left_out_and_units_chosen() -> None:
    after = changed((("measured", "sag"), "44 mm"), (("load", "rider_mass"), "90 kg"))
    told = between(side_of(DEMO, METRIC), side_of(after, METRIC), without=("measured",))
    assert not any("sag" in line for line in told)
    assert any(line.startswith("air pressure") and line.endswith(" bar") for line in told)


def test_what_cannot_be_answered_is_still_compared() -> None:
    broken = changed((("load", "rider_mass"), "heavy"), (("setup", 0, "friction"), "16 N"))
    told = differences(DEMO, broken)
    assert "rider mass 82 kg → heavy" in told
    assert "coil seal friction 14 → 16 N" in told
    assert len(told) == 2


@pytest.mark.slow
def test_a_value_confirmed_is_told_and_its_list_is_not() -> None:
    confirmed = DEMO.confirmed(("load", "rider_mass")).confirmed(("setup", 1, "bore"))
    assert differences(DEMO, confirmed) == ["rider mass confirmed", "air bore confirmed"]
    assert differences(confirmed, DEMO) == ["rider mass unverified", "air bore unverified"]
    assert differences(DEMO, DEMO.confirmed(("title",))) == ["job title confirmed"]
    typed = DEMO.with_value(("title",), "Stand 3").with_value(("frame", "stroke"), "61 mm")
    assert [line for line in differences(DEMO, typed) if "title" in line or "stroke" in line] == [
        "job title Demo trail bike (invented figures) → Stand 3",
        "shock stroke 60 → 61 mm",
    ]
    assert not any("unconfirmed" in line or "changed" in line for line in differences(DEMO, typed))
