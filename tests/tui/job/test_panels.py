"""The panels of a job: which there are, which rows, and where a row holds what nobody has confirmed."""

from __future__ import annotations

import pytest

from tests.tui.job.two_ends import BIKE
from tui.job.demo import demo_job
from tui.job.fields import Choice, Field
from tui.job.job import Job
from tui.job.panels import LEVERAGE, NEW_AIR, NEW_COIL, RIDER_MASS, panels, unconfirmed_at
from tui.job.tree import Raw, TreePath
from tui.job.wheels import wheel_job

DEMO = wheel_job(demo_job(), "rear")
FORK = wheel_job(demo_job(), "front")
TRAVELS: TreePath = (*LEVERAGE, "travel_mm")


FIRST_SETUP = 2
"""The place of the first panel that shows a setup."""


def row(job: Job, path: TreePath) -> Field:
    return next(row for panel in panels(job) for row in panel.rows if row.path == path)


def paths(job: Job, panel: int) -> list[TreePath]:
    return [row.path for row in panels(job)[panel].rows]


def words(job: Job, path: TreePath) -> list[str]:
    kind = row(job, path).kind
    assert isinstance(kind, Choice)
    return [option.word for option in kind.options]


def test_a_job_has_rider_and_frame_then_its_setups_and_the_record_last() -> None:
    shown = [(panel.title, panel.setup, panel.kind) for panel in panels(DEMO)]
    assert shown == [
        ("rider", None, ""), ("frame", None, ""), ("coil", 0, "coil"), ("air", 1, "air"),
        ("record", None, ""),
    ]  # fmt: skip
    assert [panel.title for panel in panels(FORK)] == ["rider", "fork", "fork", "record"]
    assert panels(DEMO)[FIRST_SETUP].setup == 0
    odd = DEMO.with_value(("setup",), ({"kind": "elastomer"}, {"name": 3, "kind": "air"}))
    assert [(panel.title, panel.kind) for panel in panels(odd)[FIRST_SETUP:-1]] == [
        ("no name", "coil"), ("3", "air"),
    ]  # fmt: skip
    assert {path[1] for path in paths(odd, FIRST_SETUP + 1)} == {1}


def test_pairs_have_a_row_each_and_an_empty_one_behind() -> None:
    table = DEMO.with_value(LEVERAGE, {"kind": "table", "travel_mm": (0.0, 148.0), "ratio": (2.8, 2.4, 2.2)})
    rows = [one for one in panels(table)[1].rows if one.path[:-1] == TRAVELS]
    assert [one.path[-1] for one in rows] == [0, 1, 2, 3]
    assert [one.label for one in rows] == ["pair 1", "pair 2", "pair 3", "add a pair"]
    bare = DEMO.with_value(LEVERAGE, {"kind": "table", "travel_mm": "x"})
    assert [one.label for one in panels(bare)[1].rows if one.path[:-1] == TRAVELS] == ["add a pair"]


def test_the_setup_on_the_bike_is_chosen_by_names_and_not_asked_without_any() -> None:
    on_bike: TreePath = ("measured", "setup")
    assert words(DEMO, on_bike) == ["coil", "air"]
    twice = DEMO.with_value(("setup", 1, "name"), "coil")
    assert words(twice, on_bike) == ["coil"]
    nameless = DEMO.without(("setup", 0, "name")).without(("setup", 1, "name"))
    assert on_bike not in paths(nameless, 4)


def test_where_a_sag_was_read_is_as_the_target_counts_it_and_several_symptoms_are_one_way_more() -> None:
    of = row(DEMO, ("measured", "of")).kind
    at_stroke = row(DEMO.with_value(("target", "of"), "stroke"), ("measured", "of")).kind
    assert isinstance(of, Choice)
    assert isinstance(at_stroke, Choice)
    assert (of.absent, at_stroke.absent) == (0, 1)
    symptom: TreePath = ("ridden", "symptom")
    usual = words(DEMO, symptom)
    assert words(DEMO.with_value(symptom, "wallows"), symptom) == usual
    both = DEMO.with_value(symptom, ("wallows", "too-low"))
    assert words(both, symptom) == [*usual, "wallows, too low"]
    assert words(DEMO.with_value(symptom, ("wallows", 3)), symptom) == usual


@pytest.mark.parametrize(
    ("job", "path", "there"),
    [
        (DEMO, RIDER_MASS, (RIDER_MASS,)),
        (DEMO.confirmed(RIDER_MASS), RIDER_MASS, ()),
        (DEMO, ("setup", 0, "rate"), ()),
        (DEMO, (*LEVERAGE, "kind"), ()),
        (BIKE, RIDER_MASS, ()),
    ],
)
def test_a_row_says_where_it_holds_what_nobody_has_confirmed(
    job: Job, path: TreePath, there: tuple[TreePath, ...]
) -> None:
    assert unconfirmed_at(job, row(job, path)) == there


def test_a_pair_is_unconfirmed_by_its_columns_and_a_drawn_leverage_by_its_points() -> None:
    ratios: TreePath = (*LEVERAGE, "ratio")
    table = DEMO.with_value(LEVERAGE, {"kind": "table", "travel_mm": (0.0, 148.0), "ratio": (2.8,)})
    assert unconfirmed_at(table, row(table, (*TRAVELS, 0))) == ()
    doubted = table.with_invented(TRAVELS, (0.0, 148.0)).with_invented(ratios, (2.8,))
    assert unconfirmed_at(doubted, row(doubted, (*TRAVELS, 0))) == (TRAVELS, ratios)
    assert unconfirmed_at(doubted, row(doubted, (*TRAVELS, 1))) == (TRAVELS,)
    assert unconfirmed_at(doubted, row(doubted, (*TRAVELS, 2))) == ()
    points: TreePath = (*LEVERAGE, "points_mm")
    drawn = DEMO.with_value(LEVERAGE, {"kind": "linkage"}).with_invented(points, {"main": (0, 0)})
    assert unconfirmed_at(drawn, row(drawn, (*LEVERAGE, "kind"))) == (points,)


@pytest.mark.parametrize(("fresh", "solved"), [(NEW_COIL, "rate"), (NEW_AIR, "pressure")])
def test_a_new_setup_is_invented_but_for_its_name_kind_and_what_is_solved(
    fresh: dict[str, Raw], solved: str
) -> None:
    assert fresh[solved] == "solve"
    assert set(fresh["unconfirmed"]) == set(fresh) - {"name", "kind", "unconfirmed", solved}
