"""The steps of a job: every field and every view has its place, and nothing is lost or stands twice."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.tui.job.two_ends import BIKE
from tests.tui.job.wired import wired
from tui.bench import steps
from tui.bench.edit import copy_setup
from tui.bench.state import CHART, FIGURES, BenchState, open_bench, show_setup, show_step, with_answer
from tui.bench.steps import (
    MORE,
    NAMES,
    OF_KIND,
    VIEW_ROWS,
    VIEWS,
    Step,
    is_field,
    panel_of,
    setup_of_row,
    step_panels,
    step_with,
    views_of,
)
from tui.bench.views.pane import views
from tui.job.demo import demo_job
from tui.job.fields import every_field
from tui.job.job import History, Job
from tui.job.panels import panels
from tui.job.wheels import WHEELS, Wheel, wheel_job

JOBS = [demo_job(), BIKE, wired(), demo_job().without(("front",)), demo_job().without(("setup",))]
VIEW_IDS = sorted({view for there in VIEWS.values() for view in there})


@pytest.mark.parametrize("job", JOBS, ids=lambda job: job.title[:12])
@pytest.mark.parametrize("wheel", WHEELS)
def test_every_field_of_a_job_stands_in_one_step_and_once(job: Job, wheel: Wheel) -> None:
    if wheel == "front" and job.get(("front",)) is None:
        return
    everything = {row.path for panel in panels(wheel_job(job, wheel), wheel) for row in panel.rows}
    found = [
        row.path
        for panel in step_panels(job, wheel)
        if panel.step is not Step.COMPARE
        for row in (*panel.rows, *panel.hidden)
        if is_field(row)
    ]
    assert Counter(found) == Counter(everything)


@pytest.mark.parametrize("job", JOBS, ids=lambda job: job.title[:12])
def test_what_is_folded_away_stands_below_the_row_that_unfolds_it(job: Job) -> None:
    folded, unfolded = step_panels(job, "rear"), step_panels(job, "rear", frozenset(Step))
    assert len(folded) == len(unfolded)
    for one, other in zip(folded, unfolded, strict=True):
        assert other.hidden == ()
        more = one.index_of(MORE)
        if more is None:
            assert one == other
            continue
        assert one.rows[:more] == other.rows[:more]
        assert other.rows[more + 1 :] == one.hidden != ()
        assert one.rows[more].label == f"{len(one.hidden)} more"
        assert other.rows[more].label == f"hide these {len(one.hidden)}"


def test_the_fields_that_are_folded_away_are_fields_that_there_are() -> None:
    rows = [row for job in JOBS for panel in panels(wheel_job(job, "rear")) for row in panel.rows]
    paths = [field.path for field in (*every_field(), *rows)]
    every = {".".join(part for part in path if isinstance(part, str)) for path in paths}
    assert set().union(*steps._REST.values()) <= every


@given(st.sampled_from(Step), st.integers(-2, 12), st.integers(0, 9))
def test_the_panel_of_a_step_is_of_that_step_whatever_is_selected(step: Step, setup: int, count: int) -> None:
    job = demo_job().without(("front",)).without(("setup",))
    for _ in range(count):
        job = job.with_setup(None, {**demo_job().setups[0], "name": f"coil {len(job.setups)}"})
    there = step_panels(job, "rear")
    panel = there[panel_of(step, setup, count)]
    assert panel.step is step
    if step is Step.SPRINGS and count:
        assert panel.setup == min(max(setup, 0), count - 1)


def test_a_row_is_found_by_its_path_and_by_no_other() -> None:
    rider = step_panels(demo_job(), "rear")[0]
    assert [rider.index_of(row.path) for row in rider.rows] == list(range(len(rider.rows)))
    assert rider.index_of(("frame", "stroke")) is None


def test_setups_are_compared_by_what_is_nudged_in_place() -> None:
    [compared] = [panel for panel in step_panels(BIKE, "rear") if panel.step is Step.COMPARE]
    keys = [(setup_of_row(row), row.path[-1]) for row in compared.rows]
    assert keys == [(0, "rate"), (0, "preload_turns"), (1, "pressure"), (1, "positive_spacers")]
    assert [row.head for row in compared.rows] == ["coil", "", "air", ""]


# --- views -----------------------------------------------------------------------------------


@pytest.mark.parametrize("view", VIEW_IDS)
def test_a_view_has_a_name_a_sentence_and_something_that_draws_it(view: str) -> None:
    assert 0 < len(VIEW_ROWS[view].name) <= 24
    assert VIEW_ROWS[view].sentence.endswith(".")
    assert view in views() or view in (CHART, FIGURES, "leverage", "difference")


def test_names_of_views_are_unique_and_none_is_of_a_view_that_is_gone() -> None:
    assert max(Counter(VIEW_ROWS[view].name for view in VIEW_IDS).values()) == 1
    assert set(VIEW_ROWS) == set(VIEW_IDS)
    assert set(OF_KIND) <= set(VIEWS[Step.SPRINGS])
    assert set(NAMES) == set(VIEWS) == set(Step)
    assert all(VIEWS[step] for step in Step)


def test_keys_that_a_view_takes_are_offered_in_its_footer() -> None:
    named = {"up": "Up", "down": "Down", "left": "Left", "right": "Right", "enter": "Enter"}
    for view in VIEW_IDS:
        # The leverage is a chart, read by Left and Right, where its frame is not refused.
        there = views().get(view) if view != "leverage" else None
        offered = {key for keys, _ in VIEW_ROWS[view].keys for key in keys.split()}
        taken = {named[key] for key in (there.keys if there else ()) if key in named}
        assert taken <= offered


@pytest.mark.parametrize("kind", ["coil", "air"])
def test_views_of_the_other_kind_of_setup_are_not_among_those_of_the_springs(kind: str) -> None:
    for step in Step:
        there = views_of(step, kind)
        gone = set(VIEWS[step]) - set(there)
        assert gone == (
            {view for view, of in OF_KIND.items() if of != kind} if step is Step.SPRINGS else set()
        )
        assert list(there) == [view for view in VIEWS[step] if view in there]


@given(st.sampled_from(VIEW_IDS), st.sampled_from(Step))
def test_a_view_is_looked_for_in_the_step_where_one_is_first(view: str, here: Step) -> None:
    found = step_with(view, here)
    assert view in VIEWS[found]
    assert (found is here) == (view in VIEWS[here])


def test_a_step_is_where_it_was_left_after_setups_come_and_go() -> None:
    state: BenchState = with_answer(open_bench(History.starting_at(demo_job())))
    for step in Step:
        there = copy_setup(show_step(state, step))
        assert there.step is (Step.COMPARE if step is Step.COMPARE else Step.SPRINGS)
        assert show_step(there, step).step is step
        assert show_setup(there, 1).row.path[:2] == ("setup", 1)
