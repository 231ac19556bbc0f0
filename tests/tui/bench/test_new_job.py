"""A new job on the bench: from the first missing value to the curves, by typing what is missing."""

from __future__ import annotations

import pytest

from physics.typical import ForkSize, shock_size
from tui.bench.edit import show_wheel, take_value
from tui.bench.state import BenchState, open_bench, select_field, with_answer
from tui.job.job import History
from tui.job.tree import TreePath
from tui.kit.edit import type_text
from tui.subjects.new_job import NewEnd, missing, new_job

HANDS: dict[TreePath, str] = {
    ("load", "rider_mass"): "82",
    ("frame", "wheel_travel"): "148",
    ("frame", "leverage", "start"): "2.75",
    ("frame", "leverage", "end"): "2.2",
}
REAR, FRONT = NewEnd(("coil", "air"), shock_size(0.230, 0.060)), NewEnd(("air",), ForkSize(0.160))


def to_type(state: BenchState) -> list[TreePath]:
    return [one.path for one in missing(state.bike, state.bike_faults) if not one.there]


@pytest.mark.parametrize("front", [None, FRONT])
def test_typing_what_is_missing_brings_the_curves(front: NewEnd | None) -> None:
    job = new_job("Mara Lind", rear=REAR, front=front)
    state = with_answer(open_bench(History(job, None)))
    assert state.history.has_unsaved_changes
    typed: list[TreePath] = []
    while left := to_type(state):
        assert state.bike_answer is None
        typed.append(left[0])
        state = take_value(type_text(select_field(state, left[0]), HANDS[left[0]]))
        assert to_type(state) == left[1:]
    assert typed == list(HANDS)
    assert state.answer is not None
    assert [setup.state for setup in state.answer.answer.setups] == ["ok", "ok"]
    assert not state.bike_faults
    if front is not None:
        fork = show_wheel(state, "front").answer
        assert fork is not None
        assert [setup.name for setup in fork.answer.setups] == ["fork air"]


def test_a_fork_alone_takes_the_rider_only() -> None:
    state = with_answer(open_bench(History(new_job(front=FRONT), None)))
    assert to_type(state) == [("load", "rider_mass")]
    state = take_value(type_text(select_field(state, ("load", "rider_mass")), "64"))
    assert state.answer is not None
    assert state.answer.answer.setups[0].state == "ok"
