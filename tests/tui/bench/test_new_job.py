"""A new job on the bench: from the first missing value to the curves, by typing what is missing."""

from __future__ import annotations

import pytest
from textual.widgets import Static

from physics.typical import ForkSize, shock_size
from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.screens import painted, said
from tui.bench.edit import show_wheel, take_value
from tui.bench.state import BenchState, open_bench, select_field, with_answer
from tui.job.demo import demo_job
from tui.job.drafts import abandoned_drafts
from tui.job.job import History
from tui.job.panels import RIDER_MASS
from tui.job.tree import TreePath
from tui.kit.dialogs import Question
from tui.kit.edit import type_text
from tui.kit.prompts import Prompt
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


# --- on the screen ---------------------------------------------------------------------------

SIZES = [(80, 24), (40, 14), (120, 40)]


async def begin(bench: Bench, *keys: str) -> None:
    """Begin a new job by the menu and answer its questions."""
    await bench.press("space", "space", "j")
    for key in keys:
        await (bench.write(key) if len(key) > 1 and key not in ("enter", "escape") else bench.press(key))


@pytest.mark.parametrize("size", SIZES)
async def test_a_new_job_is_begun_by_four_short_questions_and_typed_with_enter(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        await begin(bench)
        assert "name or ticket number, one of the two" in " ".join(painted(pilot).replace("│", " ").split())
        await bench.write("Mara Lind")
        await bench.press("enter")
        assert "which wheel" in painted(pilot)
        await bench.press("b")
        assert "which springs" in painted(pilot)
        await bench.press("b")
        unit = pilot.app.screen.query_one(".unit", Static)
        await bench.write("9 x 2 1/2 in")
        assert str(unit.render()) == ""
        await bench.press("ctrl+u")
        assert str(unit.render()) == "mm"
        await bench.write("230 x 60")
        assert str(unit.render()) == "mm"
        await bench.press("enter")
        assert "Fork: travel" in " ".join(painted(pilot).split())
        await bench.write("160")
        await bench.press("enter")
        assert pilot.app.screen is bench.screen
        assert bench.state.bike.get(("record", "customer")) == "Mara Lind"
        assert bench.state.bike.get(("frame", "stroke")) == "60 mm"
        assert [setup["kind"] for setup in bench.state.job.setups] == ["coil", "air"]
        assert bench.state.row.path == RIDER_MASS
        assert "typical" in bench.text("note").casefold()
        assert "To type: rider mass" in bench.text("results")
        assert not bench.state.history.past, "the demo is no step of its history"
        seen: list[TreePath] = []
        while bench.state.answer is None:
            path = bench.state.row.path
            assert path not in seen
            seen.append(path)
            if path in HANDS:
                await bench.write(HANDS[path])
            await bench.press(*["enter"] * (1 if path in HANDS or bench.state.edit else 2))
        assert [path for path in seen if path in HANDS] == list(HANDS)
        unverified = [path for path in seen if path not in HANDS]
        assert ("load", "bike_mass") in unverified, "a typical value is confirmed before the next step"
        assert not [path for path in unverified if bench.state.bike.is_unconfirmed(path)]
        assert "coil" in bench.text("results")
        await bench.show("chart")
        assert "Shaft force" in bench.text("chart")


@pytest.mark.slow
async def test_the_first_complete_setup_brings_the_curves() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await begin(bench, "enter", "f", "a", "160", "enter")
        assert bench.state.bike.get(("record", "customer")) is None
        assert "No curves yet" in bench.text("chart")
        await bench.write("64")
        await bench.press("enter")
        assert "Fork force" in bench.text("chart")
        assert len(abandoned_drafts().drafts) == 0, "the draft is that of this session"
        bench.screen.hang_up()
    [draft] = abandoned_drafts().drafts
    assert draft.job.get(RIDER_MASS) == "64 kg"


@pytest.mark.slow
@pytest.mark.parametrize(
    ("whose", "key"),
    [("0417", "ticket"), ("#204", "ticket"), ("7-B", "ticket"), ("T-118", "ticket"), ("Ida 7", "customer")],
)
async def test_a_number_is_that_of_a_ticket_and_a_name_that_of_a_customer(whose: str, key: str) -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await begin(bench, whose, "enter", "f", "a", "enter")
        record = bench.state.bike.get(("record",))
        assert record == {key: whose}


@pytest.mark.slow
async def test_what_is_no_size_is_refused_and_none_leaves_it_to_be_typed() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await begin(bench, "enter", "r", "c", "large", "enter")
        assert "large is not a size: use eye to eye x stroke" in said(pilot)
        await bench.press("ctrl+u", "enter")
        assert pilot.app.screen is bench.screen
        assert bench.state.job.get(("frame", "stroke")) is None
        assert "To type: " in bench.text("results")
        assert "shock stroke" in bench.text("results")


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("keys", [(), ("Ann", "enter"), ("enter", "r"), ("enter", "r", "c")])
async def test_going_back_from_every_question_leaves_the_bench_as_it_is(keys: tuple[str, ...]) -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await begin(bench, *keys)
        questions = 1 + sum(key != "Ann" for key in keys)
        for _ in range(questions):
            assert pilot.app.screen is not bench.screen
            assert bench.state.bike == demo_job()
            await bench.press("escape")
        assert pilot.app.screen is bench.screen
        assert bench.state.bike == demo_job()
        assert bench.says_saved


async def test_escape_goes_back_one_question_and_what_was_replied_is_there_again() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await begin(bench, "Mara Lind", "enter", "b", "a", "230 x 6")
        await bench.press("escape")
        assert "which springs" in painted(pilot)
        assert "› A or Enter" in painted(pilot)
        await bench.press("escape")
        assert "› B or Enter" in painted(pilot)
        await bench.press("escape")
        assert isinstance(pilot.app.screen, Prompt)
        assert pilot.app.screen.line.value == "Mara Lind"
        await bench.press("enter", "enter", "enter")
        assert isinstance(pilot.app.screen, Prompt)
        assert pilot.app.screen.line.value == "230 x 6", "half a size is kept too"
        await bench.write("0")
        await bench.press("enter")
        await bench.write("160")
        await bench.press("escape")
        assert pilot.app.screen.line.value == "230 x 60"
        await bench.press("enter", "enter")
        assert len(pilot.app.screen_stack) == 1
        job = bench.state.bike
        assert (job.title, job.get(("frame", "stroke"))) == ("Mara Lind", "60 mm")
        assert job.get(("front", "frame", "stroke")) == "160 mm"
        assert [setup["kind"] for setup in job.setups] == ["air"]


async def test_a_size_with_the_stroke_first_is_told_which_way_round_it_goes() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await begin(bench, "enter", "r", "c", "57.5x230", "enter")
        assert "Eye to eye first: 230 x 57.5." in said(pilot)
        await bench.press("ctrl+u")
        await bench.write("2.5 x 8.5 in")
        await bench.press("enter")
        assert "Eye to eye first: 8.5 x 2.5 in." in said(pilot)
        await bench.press("ctrl+u")
        await bench.write("230 57.5")
        await bench.press("enter")
        assert bench.state.bike.get(("frame", "eye_to_eye")) == "230 mm"


@pytest.mark.slow
async def test_what_is_not_saved_is_asked_about_before_a_new_job() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.press("+")
        await begin(bench)
        assert isinstance(pilot.app.screen, Question)
        await bench.press("escape")
        assert bench.state.job.get(RIDER_MASS) == "83 kg"
        await begin(bench, "d", "enter", "f", "a", "enter")
        assert bench.state.job.get(RIDER_MASS) is None
