"""One selection and one focus: whatever is done, it is done to the setup and in the pane that show it."""

from __future__ import annotations

from threading import Event

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.random_cases import cases
from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.bench.views.test_logged import worked_out
from tests.tui.job.two_ends import BIKE
from tui.bench import edit as setups
from tui.bench.keymap import KEYMAP
from tui.bench.overlays import OVERLAYS, items
from tui.bench.state import BenchState, open_bench, select_setup, show_step, with_answer
from tui.bench.steps import Step, setup_of_row
from tui.bench.views.pane import ViewPane, is_stopped, is_worked_on, view_keys
from tui.job.demo import demo_job
from tui.job.job import History, Job
from tui.kit.keymap import Action, quiet
from tui.kit.roles import Role
from tui.kit.widget import LookLines
from tui.kit.work import Task

KEYS = sorted({key for action in KEYMAP.actions if action.step is not None for key in action.keys})
ACTS = sorted(action.id for action in KEYMAP.actions if action.step is not None and not action.typing)
OFTEN = ("coil", "air", "copy", "remove", "undo", "redo", "end", "rename", "next", "back", "view_on", "right")
IN_VIEW = ("enter", "left", "right", "up", "down")
"""Keys that a view with keys of its own may take."""


def start(job: Job) -> BenchState:
    return with_answer(open_bench(History.starting_at(job)))


STARTS = [start(demo_job()), start(BIKE)]


def shown(state: BenchState) -> int | None:
    """Return the setup that the fields show, None in a step without any."""
    if state.step is Step.SPRINGS:
        return state.panels[state.panel].setup
    return setup_of_row(state.row) if state.step is Step.COMPARE else None


def step(state: BenchState, kind: str, what: str | int) -> BenchState:
    """Do something as the screen does: a key, an act of the menu or the finder, a move in the table."""
    match kind, what:
        case "table", int(index):
            return select_setup(state, index)
        case "found", int(place):
            there = items(state)
            after, _ = OVERLAYS.go_to(quiet(state), there[place % len(there)])
            return after
        case "menu", str(letter):
            closed, action = OVERLAYS.menu_pressed(OVERLAYS.open_menu(state), letter, letter)
            return action.step(closed) if isinstance(action, Action) and action.step else closed
        case "act", str(id):
            do = KEYMAP.named[id].step
            assert do is not None
            return do(quiet(state))
        case _:
            key = str(what)
            own = view_keys(state).get(key) if state.in_view else None
            if own is not None:
                return own(quiet(state))
            return KEYMAP.pressed(state, key, key if len(key) == 1 else " " if key == "space" else None)


DONE = st.one_of(
    st.tuples(st.just("act"), st.sampled_from(OFTEN)),
    st.tuples(st.just("act"), st.sampled_from(ACTS)),
    st.tuples(st.just("key"), st.sampled_from(KEYS)),
    st.tuples(st.just("key"), st.sampled_from(IN_VIEW)),
    st.tuples(st.just("menu"), st.sampled_from("abcdefgklmprwxy")),
    st.tuples(st.just("found"), st.integers(0, 400)),
    st.tuples(st.just("table"), st.integers(0, 2)),
)


@given(st.sampled_from(STARTS), st.lists(DONE, max_size=14))
@settings(max_examples=cases(40))
def test_whatever_is_done_the_setup_acted_on_is_the_one_shown(
    state: BenchState, done: list[tuple[str, str | int]]
) -> None:
    for kind, what in done:
        before = state
        state = step(state, kind, what)
        count = len(state.job.setups)
        assert 0 <= state.setup < count
        assert shown(state) in (None, state.setup)
        assert (shown(state) is None) == (state.step not in (Step.SPRINGS, Step.COMPARE))
        assert state.view in state.view_ids
        if count < len(before.job.setups) and state.wheel == before.wheel and what == "remove":
            gone = [setup for setup in before.job.setups if setup not in state.job.setups]
            assert gone in ([], [before.job.setups[before.setup]])
            assert shown(before) == before.setup
        if count > len(before.job.setups) and what in ("coil", "air", "copy"):
            assert shown(state) == state.setup == count - 1


def test_only_the_setup_of_the_tab_shown_is_removed() -> None:
    bench = STARTS[0]
    for there in Step:
        if there in (Step.SPRINGS, Step.COMPARE):
            continue
        kept = setups.remove_setup(show_step(select_setup(bench, 1), there))
        assert kept.job == bench.job
        assert shown(kept) == 1
        assert kept.note == "This is the setup to be removed: do it again to remove it."
        assert [setup["name"] for setup in setups.remove_setup(kept).job.setups] == ["coil"]


@pytest.mark.fast_cases(6)
@pytest.mark.parametrize("id", ["coil", "air", "copy"])
@pytest.mark.parametrize("there", Step)
def test_what_is_added_is_selected_and_shown_from_wherever_it_is_added(id: str, there: Step) -> None:
    after = step(show_step(STARTS[0], there), "act", id)
    assert (len(after.job.setups), after.setup, shown(after)) == (3, 2, 2)
    assert after.step is (Step.COMPARE if there is Step.COMPARE else Step.SPRINGS)
    assert shown(step(after, "act", "undo")) in (0, 1)


@pytest.mark.slow
async def test_the_selected_setup_is_the_tab_shown_the_row_compared_and_the_column_of_the_table() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.press("tab", "tab")
        assert "[● coil] ▲ air" in bench.text("fields-strip")
        assert "spring rate" in bench.text("grid")
        await bench.press("right")
        assert "● coil [▲ air]" in bench.text("fields-strip")
        assert "pressure" in bench.text("grid")
        assert "spring rate" not in bench.text("grid")
        await bench.show("figures")
        await bench.press("left")
        assert "[● coil] ▲ air" in bench.text("fields-strip")
        await bench.press("right")
        assert "● coil [▲ air]" in bench.text("fields-strip")
        await bench.press("escape", "tab")
        assert bench.state.step is Step.COMPARE
        marked = [line for line in bench.text("grid").splitlines() if line.startswith("›")]
        assert [line.split()[1:3] for line in marked] == [["pressure", "="]]
        assert " [▲ air]" in bench.text("grid")
        assert "[● coil]" not in bench.text("grid")
        await bench.press("up")
        assert bench.state.setup == 0
        await bench.press("shift+tab")
        assert "[● coil] ▲ air" in bench.text("fields-strip")


@pytest.mark.slow
async def test_what_is_tried_like_another_is_removed_and_the_customers_own_stays() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.show("match")
        await bench.press("enter")
        assert [setup["name"] for setup in bench.state.job.setups] == ["coil", "air", "air as coil"]
        assert shown(bench.state) == bench.state.setup == 2
        await bench.press("space", "x")
        assert [setup["name"] for setup in bench.state.job.setups] == ["coil", "air"]
        assert "air as coil is removed; u undoes it." in bench.text("note")


FOCUS = ("fields-strip", "view-strip")


def focused(bench: Bench) -> list[str]:
    """Return the panes whose title says that they have the focus."""
    found = []
    for name in FOCUS:
        rows = bench.screen.query_one(f"#{name}", LookLines).rows
        here = any(role == Role.HERE for row in rows for _, role in row)
        assert here == ("›" in bench.text(name).split(" ")[0])
        if here:
            found.append(name)
    return found


@pytest.mark.slow
@pytest.mark.parametrize("size", [(120, 40), (80, 24)])
async def test_one_pane_has_the_focus_and_shows_it_and_esc_goes_back(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        for there in Step:
            bench.screen.take(show_step(bench.state, there))
            await pilot.pause()
            assert focused(bench) == ["fields-strip"]
            for _ in bench.state.view_ids:
                await bench.press("]")
                assert focused(bench) == ["view-strip"]
                row, view = bench.state.row, bench.state.view
                await bench.press("up", "down", "pagedown", "end", "home")
                assert bench.state.row == row, "arrows belong to the view alone"
                await worked_out(bench)
                await bench.press("escape")
                assert focused(bench) == ["fields-strip"]
                assert bench.state.view == view


@pytest.mark.slow
async def test_esc_stops_what_is_calculated_before_it_goes_back(monkeypatch: pytest.MonkeyPatch) -> None:
    may_end, run = Event(), ViewPane._run

    def run_late(pane: ViewPane, task: Task) -> None:
        may_end.wait()
        run(pane, task)

    monkeypatch.setattr(ViewPane, "_run", run_late)
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        try:
            bench.screen.take(show_step(bench.state, Step.COMPARE))
            await bench.show("map")
            assert is_worked_on(bench.state)
            assert "stop" in bench.text("keys")
            await bench.press("escape")
            assert is_stopped(bench.state)
            assert focused(bench) == ["view-strip"]
            assert "Stopped. Enter continues, Esc goes back." in bench.text("note")
            await bench.press("escape")
            assert focused(bench) == ["fields-strip"]
            await bench.press("f6", "enter")
            assert is_worked_on(bench.state)
        finally:
            may_end.set()
        await worked_out(bench)
        await bench.press("escape")
        assert focused(bench) == ["fields-strip"], "nothing is left to stop"


@pytest.mark.slow
async def test_the_help_has_the_focus_while_it_is_shown_and_goes_with_esc() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.press("?")
        assert focused(bench) == ["view-strip"]
        row = bench.state.row
        await bench.press("down", "pagedown", "end")
        assert bench.state.row == row
        await bench.press("escape")
        assert focused(bench) == ["fields-strip"]
        await bench.press("]", "?", "escape")
        assert focused(bench) == ["view-strip"]
        await bench.press("escape")
        assert focused(bench) == ["fields-strip"]


async def test_esc_leaves_an_open_value_before_all_else() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.press("z", "9", "1", "escape")
        assert (bench.state.edit, bench.state.zoom, bench.state.bike) == (None, True, demo_job())
        await bench.press("escape")
        assert not bench.state.zoom
