"""One selection: the setup that a key acts on is the one whose tab is shown."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.random_cases import cases
from tests.tui.bench.conftest import bench_app, started
from tests.tui.job.two_ends import BIKE
from tui.bench import edit as setups
from tui.bench.keymap import KEYMAP
from tui.bench.state import BenchState, open_bench, select_setup, with_answer, with_cursor
from tui.bench.views.pane import view_keys
from tui.job.demo import demo_job
from tui.job.job import History, Job
from tui.kit.keymap import quiet

KEYS = sorted({key for action in KEYMAP.actions if action.step is not None for key in action.keys})
IN_VIEW = ("enter", "left", "right", "up", "down", "u")
"""Keys that a view with keys of its own may take."""
OFTEN = ("c", "a", "d", "x", "u", "ctrl+r", "e", "tab", "shift+tab", "C", "A", "T", "y", "r", "enter")


def start(job: Job) -> BenchState:
    return with_answer(open_bench(History.starting_at(job)))


STARTS = [start(demo_job()), start(BIKE)]


def shown(state: BenchState) -> int | None:
    """Return the setup whose tab is shown, None on another tab."""
    return state.panels[state.panel].setup


def step(state: BenchState, key: str, *, in_view: bool) -> BenchState:
    """Press a key as the screen does, in the view or in the panels."""
    own = view_keys(state).get(key) if in_view and state.view else None
    if own is not None:
        return own(quiet(state))
    if key.startswith("table "):
        return select_setup(state, int(key[6:]))
    return KEYMAP.pressed(state, key, key if len(key) == 1 else " " if key == "space" else None)


@given(
    st.sampled_from(STARTS),
    st.lists(
        st.tuples(
            st.one_of(
                st.sampled_from(OFTEN),
                st.sampled_from(KEYS),
                st.sampled_from(IN_VIEW),
                st.sampled_from(["table 0", "table 1", "table 2"]),
            ),
            st.booleans(),
        ),
        max_size=14,
    ),
)
@settings(max_examples=cases(40))
def test_after_any_keys_the_setup_acted_on_is_the_tab_shown(
    state: BenchState, keys: list[tuple[str, bool]]
) -> None:
    for key, in_view in keys:
        before = state
        state = step(state, key, in_view=in_view)
        count = len(state.job.setups)
        assert 0 <= state.setup < count
        assert shown(state) in (None, state.setup)
        if key == "x" and before.edit is None and before.job != state.job:
            gone = [setup for setup in before.job.setups if setup not in state.job.setups]
            assert gone == [before.job.setups[shown(before) or 0]]
            assert shown(before) is not None
        if count > len(before.job.setups) and state.wheel == before.wheel and key in ("c", "a", "d", "enter"):
            assert shown(state) == state.setup == count - 1


def test_only_the_setup_of_the_tab_shown_is_removed() -> None:
    bench = STARTS[0]
    for panel in (0, 1, len(bench.panels) - 1):
        kept = setups.remove_setup(with_cursor(bench, panel, 0))
        assert kept.job == bench.job
        assert kept.note == "This removes a setup: go to the one to remove first."
    assert [setup["name"] for setup in setups.remove_setup(with_cursor(bench, 3, 0)).job.setups] == ["coil"]


@pytest.mark.parametrize(("key", "kind"), [("T", "air"), ("y", "coil")])
def test_a_view_of_one_kind_takes_the_tab_along_and_leaves_other_tabs(key: str, kind: str) -> None:
    bench = STARTS[0]
    other = next(i for i, setup in enumerate(bench.job.setups) if setup["kind"] != kind)
    moved = KEYMAP.pressed(select_setup(bench, other), key, key)
    assert shown(moved) == moved.setup == 1 - other
    from_rider = KEYMAP.pressed(replace(bench, setup=other), key, key)
    assert (from_rider.panel, from_rider.setup) == (bench.panel, 1 - other)


@pytest.mark.slow
async def test_what_is_tried_like_another_is_removed_and_the_customers_own_stays() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.press("C", "enter")
        assert [setup["name"] for setup in bench.state.job.setups] == ["coil", "air", "air as coil"]
        assert shown(bench.state) == 2
        assert "[■ air as coil" in bench.text("grid").splitlines()[0]
        await bench.press("x")
        assert [setup["name"] for setup in bench.state.job.setups] == ["coil", "air"]
        assert "air as coil is removed; u undoes it." in bench.text("keys")


@pytest.mark.slow
async def test_moving_in_the_table_takes_the_tab_along() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.press("t", "right")
        assert (bench.state.setup, shown(bench.state)) == (1, 1)
        await bench.press("left")
        assert (bench.state.setup, shown(bench.state)) == (0, 0)


async def test_the_selected_setup_is_marked_where_another_tab_is_shown() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        assert "[rider] frame (● coil) ▲ air  record" in bench.text("grid").splitlines()[0]
        await bench.press("right", "right", "right")
        assert " rider  frame  ● coil [▲ air] record" in bench.text("grid").splitlines()[0]
        await bench.press("x", "left")
        assert " rider [frame](● coil) record" in bench.text("grid").splitlines()[0]
        await bench.resize(160, 50)
        assert "● coil selected ━" not in bench.text("grid")
        assert "● coil selected ─" in bench.text("grid")
