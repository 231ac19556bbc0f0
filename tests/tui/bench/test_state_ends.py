"""The bench at either end of a bike: one history, edits where they belong, undo across ends."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.tui.job.two_ends import BIKE, REAR
from tests.tui.looks import LOOK
from tui.bench import edit
from tui.bench import edit as move
from tui.bench import edit as setups
from tui.bench.cells import Look, cell_of, faults_by_row
from tui.bench.state import BenchState, Complaint, open_bench, select_field, show_setup, with_answer
from tui.bench.views.advice import lines as advice_lines
from tui.bench.views.documents import balance_lines
from tui.job.choices import SYMPTOMS
from tui.job.job import History, Job
from tui.job.panels import RIDER_MASS
from tui.job.tree import TreePath
from tui.kit.cells import text_of
from tui.kit.edit import type_text

SAG: TreePath = ("target", "sag")
TRAVEL: TreePath = ("frame", "wheel_travel")


def bench(job: Job = BIKE) -> BenchState:
    return with_answer(open_bench(History.starting_at(job)))


def type_in(state: BenchState, path: TreePath, text: str) -> BenchState:
    state = select_field(state, path)
    for letter in text:
        state = type_text(state, letter)
    return edit.commit(state)


def test_the_rear_comes_first_and_the_other_end_has_its_own_panels() -> None:
    rear = bench()
    front = move.show_other_wheel(rear)
    assert (rear.wheel, front.wheel) == ("rear", "front")
    last = ["setups", "ride", "hand over"]
    assert [panel.title for panel in rear.panels] == ["rider", "frame", "coil", "air", *last]
    assert [panel.title for panel in front.panels] == ["rider", "fork", "fork air", "fork coil", *last]
    assert front.row.path == RIDER_MASS
    assert front.answer is not None
    assert [setup.name for setup in front.answer.answer.setups] == ["fork air", "fork coil"]
    assert front.cursor == pytest.approx(0.22)
    assert move.show_other_wheel(front).panels == rear.panels
    assert not front.history.past


def test_an_edit_at_the_front_leaves_the_rear_and_undo_goes_where_it_was() -> None:
    rear = bench()
    front = type_in(move.show_other_wheel(rear), SAG, "25")
    assert front.bike == BIKE.with_value(("front", "target", "sag"), "25 %")
    assert front.bike_answer is not None
    assert rear.bike_answer is not None
    assert front.bike_answer.answer is rear.bike_answer.answer
    back = move.show_other_wheel(front)
    assert back.job == rear.job
    undone = edit.undo(back)
    assert (undone.bike, undone.wheel, undone.row.path) == (BIKE, "front", SAG)
    redone = edit.redo(move.show_other_wheel(undone))
    assert (redone.bike, redone.wheel) == (front.bike, "front")


def test_the_rider_is_the_same_at_both_ends() -> None:
    front = type_in(move.show_other_wheel(bench()), RIDER_MASS, "91")
    assert front.bike.get(RIDER_MASS) == "91 kg"
    assert move.show_other_wheel(front).job.get(RIDER_MASS) == "91 kg"
    assert edit.undo(front).wheel == "front"


def test_each_end_remembers_its_setup() -> None:
    rear = show_setup(bench(), 1)
    front = move.show_other_wheel(rear)
    assert (rear.setup, front.setup) == (1, 0)
    front = show_setup(front, 1)
    rear = move.show_other_wheel(front)
    assert (rear.setup, rear.other_setup) == (1, 1)
    assert rear.panels[rear.panel].setup == 1
    assert move.show_other_wheel(rear).setup == 1


def test_the_first_visit_adds_an_invented_front_and_undo_takes_it_away() -> None:
    front = move.show_other_wheel(bench(REAR))
    assert front.wheel == "front"
    assert "Typical fork" in front.note
    assert not front.faults
    assert front.answer is not None
    undone = edit.undo(front)
    assert (undone.bike, undone.wheel, undone.bike_faults) == (REAR, "rear", ())
    assert edit.redo(undone).wheel == "front"


def test_a_rear_on_a_scale_gets_a_front_on_a_scale() -> None:
    weighed = REAR.with_value(("load",), {"scale_mass": "59 kg", "unsprung_mass": "4.3 kg"})
    front = move.show_other_wheel(bench(weighed))
    assert not front.bike_faults
    assert front.job.get(("load", "scale_mass")) == "38 kg"


@pytest.mark.slow
def test_a_fork_alone_gets_no_second_front() -> None:
    state = bench(Job(move.show_other_wheel(bench()).job.tree))
    there = move.show_other_wheel(state)
    assert there.bike == state.bike
    told = "This job is a fork only: open the job of the rear and add the front there."
    assert there.note == told
    assert "typical fork" not in views(state)
    assert views(state).count(told) == 2
    assert views(bench(REAR)).count("typical fork") == 2


def views(state: BenchState) -> str:
    """Return the views that want both ends: the balance, and every symptom."""
    felt = (replace(state, complaint=Complaint(n)) for n in range(len(SYMPTOMS)))
    rows = [*balance_lines(state, 78, LOOK), *(row for one in felt for row in advice_lines(one, 78, LOOK))]
    return " ".join(text_of(rows).split())


def test_weighing_one_end_leaves_the_load_of_the_other() -> None:
    rear = bench()
    kind: TreePath = ("load", "by")
    weighed = edit.nudge(select_field(rear, kind), 1)
    assert not weighed.bike_faults
    assert weighed.bike_answer is not None
    assert rear.bike_answer is not None
    assert weighed.bike_answer.front is not None
    assert rear.bike_answer.front is not None
    resting = weighed.bike_answer.front.answer.load.ground_reaction
    assert resting == pytest.approx(float(rear.bike_answer.front.answer.load.ground_reaction))
    assert edit.nudge(weighed, -1).bike == BIKE
    front = edit.nudge(select_field(move.show_other_wheel(rear), kind), 1)
    assert not front.bike_faults
    assert move.show_other_wheel(front).job == rear.job
    assert edit.nudge(front, -1).bike == BIKE


def test_a_posture_and_a_share_of_its_own_at_the_front() -> None:
    front = select_field(move.show_other_wheel(bench()), ("load", "posture"))
    seated = edit.nudge(front, 1)
    assert move.show_other_wheel(seated).job.get(("load", "posture")) == "seated"
    own = edit.nudge(seated, 1)
    assert own.bike.get(("front", "load", "rider_share")) is not None
    assert own.bike.get(("load", "posture")) == "seated"
    assert not own.bike_faults


def test_faults_stand_at_their_end() -> None:
    front = type_in(move.show_other_wheel(bench()), SAG, "300")
    assert [fault.path for fault in front.faults] == [SAG]
    assert (0, front.rows[0]) in faults_by_row(front)
    rear = move.show_other_wheel(front)
    assert not rear.faults
    assert rear.bike_faults
    assert not rear.is_outdated
    assert type_in(rear, SAG, "27").is_outdated


def test_the_wheel_travel_of_a_fork_is_worked_out_until_it_is_typed() -> None:
    front = select_field(move.show_other_wheel(bench()), TRAVEL)
    cell = cell_of(front, front.row)
    assert (cell.text, cell.look) == ("144.4 mm", Look.SOLVED)
    typed = type_in(front, TRAVEL, "145")
    assert typed.bike.get(("front", *TRAVEL)) == "145 mm"
    assert edit.clear_value(typed).bike == BIKE


def test_setups_are_added_to_the_end_on_the_bench() -> None:
    front = setups.add_air(move.show_other_wheel(bench()))
    assert [setup["name"] for setup in front.job.setups] == ["fork air", "fork coil", "fork air 2"]
    assert not front.bike_faults
    assert len(move.show_other_wheel(front).job.setups) == 2
    assert len(setups.remove_setup(front).job.setups) == 2


def test_the_rear_of_two_is_never_turned_into_a_fork() -> None:
    kind: TreePath = ("frame", "leverage", "kind")
    state = select_field(bench(), kind)
    for _ in range(6):
        state = edit.nudge(state, 1)
        assert state.job.get(kind) != "fork"
        assert not state.bike_faults
