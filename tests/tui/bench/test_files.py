"""Files and drafts at the bench: nothing typed is lost, and nothing is written over unasked."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.screens import painted
from tui.app import UNUSABLE, run
from tui.bench.files import load_job
from tui.bench.session import Session
from tui.job.demo import demo_job
from tui.job.drafts import Draft, abandoned_drafts
from tui.job.files import load, save
from tui.job.panels import RIDER_MASS
from tui.kit.dialogs import Page, Question
from tui.kit.prompts import OpenPrompt, SavePrompt

SIZE = (80, 24)


def dialog(pilot: Pilot[int]) -> object:
    return pilot.app.screen


async def answer_prompt(bench: Bench, path: Path) -> None:
    await bench.press("ctrl+u")
    await bench.write(str(path))
    await bench.press("enter")


@pytest.fixture
def job_file(tmp_path: Path) -> Path:
    path = tmp_path / "stand.toml"
    save(demo_job().with_value(RIDER_MASS, "70 kg"), path, None)
    return path


@pytest.mark.slow
async def test_saving_asks_for_a_name_once(tmp_path: Path) -> None:
    path = tmp_path / "new.toml"
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.write("91,5")
        await bench.press("enter", "space", "space", "f")
        assert isinstance(dialog(pilot), SavePrompt)
        await answer_prompt(bench, path)
        assert load(path).job.get(RIDER_MASS) == "91,5 kg"
        assert bench.says_saved
        assert "new.toml" in bench.text("title")
        await bench.press("up", "+", "ctrl+s")
        assert load(path).job.get(RIDER_MASS) == "92,5 kg"
        assert not isinstance(dialog(pilot), SavePrompt)


@pytest.mark.slow
async def test_save_as_keeps_the_old_file(job_file: Path, tmp_path: Path) -> None:
    async with bench_app(session=Session(load_job(job_file))).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("+", "space", "space", "f")
        await answer_prompt(bench, tmp_path / "copy.toml")
        assert load(tmp_path / "copy.toml").job.get(RIDER_MASS) == "83 kg"
        assert load(job_file).job.get(RIDER_MASS) == "70 kg"


@pytest.mark.slow
async def test_a_file_changed_by_somebody_else_is_not_written_over_unasked(job_file: Path) -> None:
    file = load_job(job_file)
    async with bench_app(file.job, Session(file)).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        job_file.write_text(job_file.read_text() + "# by somebody else\n")
        await bench.press("+", "ctrl+s")
        assert isinstance(dialog(pilot), Question)
        await bench.press("escape")
        assert "somebody else" in job_file.read_text()
        assert not bench.says_saved
        await bench.press("ctrl+s", "r")
        assert load(job_file).job.get(RIDER_MASS) == "71 kg"


@pytest.mark.slow
async def test_opening_asks_about_changes_first(job_file: Path) -> None:
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("+", "space", "space", "o")
        assert isinstance(dialog(pilot), Question)
        await bench.press("d")
        assert isinstance(dialog(pilot), OpenPrompt)
        await answer_prompt(bench, job_file)
        assert bench.state.job.get(RIDER_MASS) == "70 kg"
        assert not bench.state.history.past
        assert bench.screen.session.path == job_file


@pytest.mark.slow
async def test_a_file_that_is_no_job_leaves_the_bench_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "notes.toml"
    path.write_text("[[[")
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("space", "space", "o")
        await answer_prompt(bench, path)
        assert "notes.toml was not opened" in painted(pilot)
        assert "not TOML" in painted(pilot)
        await bench.press("escape")
        assert bench.state.bike == demo_job()


@pytest.mark.slow
async def test_all_that_keeps_a_file_from_being_opened_is_on_one_page(tmp_path: Path) -> None:
    path = tmp_path / "later.toml"
    path.write_text('format = 2\nlod = 3\n[frame]\nshock = "60 mm"\n')
    async with bench_app().run_test(size=(80, 30)) as pilot:
        bench = await started(pilot)
        await bench.press("space", "space", "o")
        await answer_prompt(bench, path)
        assert isinstance(dialog(pilot), Page)
        shown = painted(pilot)
        assert "later.toml was not opened" in shown
        for place in ("format", "lod", "frame.shock"):
            assert place in shown
        await bench.press("escape")
        assert dialog(pilot) is bench.screen
        assert bench.state.bike == demo_job()


@pytest.mark.slow
async def test_a_setup_is_renamed_and_taken_out_where_it_stands() -> None:
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("tab", "tab", "space", "r", "ctrl+u")
        await bench.write("soft one")
        await bench.press("enter")
        assert "soft one 393 lbf/in" in bench.text("results")
        assert "[● soft one]" in bench.text("fields-strip")
        await bench.show("chart")
        assert "soft one" in bench.text("chart")
        await bench.press("space", "x")
        assert "soft one is removed; u undoes it." in bench.text("note")
        assert "soft one" not in bench.text("results")
        await bench.press("u")
        assert "soft one 393 lbf/in" in bench.text("results")


@pytest.mark.parametrize("key", ["q", "ctrl+q"])
async def test_leaving_with_all_saved_asks_nothing(key: str) -> None:
    app = bench_app()
    async with app.run_test(size=SIZE) as pilot:
        await started(pilot)
        await pilot.press(key)
    assert app.return_code == 0


@pytest.mark.slow
async def test_leaving_asks_about_changes_and_escape_stays() -> None:
    app = bench_app()
    async with app.run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("+", "q")
        assert isinstance(dialog(pilot), Question)
        await bench.press("escape")
        assert app.is_running
        await bench.press("q")
        await pilot.press("d")
    assert app.return_code == 0
    assert not abandoned_drafts().drafts


@pytest.mark.slow
async def test_leaving_may_save_first(job_file: Path) -> None:
    async with bench_app(load_job(job_file).job, Session(load_job(job_file))).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("+", "q", "s")
    assert load(job_file).job.get(RIDER_MASS) == "71 kg"


async def test_every_committed_edit_is_in_the_draft() -> None:
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.write("93")
        assert not list(Path(os.environ["HOME"]).rglob("drafts/*.json"))
        await bench.press("enter")
        [kept] = Path(os.environ["HOME"]).rglob("drafts/*.json")
        assert '"93 kg"' in kept.read_text()
        await bench.press("u")
        assert not list(Path(os.environ["HOME"]).rglob("drafts/*.json"))


async def test_a_hang_up_keeps_what_is_being_typed() -> None:
    app = bench_app()
    async with app.run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.write("94")
        bench.screen.hang_up()
    [draft] = abandoned_drafts().drafts
    assert draft.job.get(RIDER_MASS) == "94 kg"


@pytest.fixture
def draft() -> None:
    """Leave a draft as a session does that dies."""
    session = Draft()
    assert session.keep(demo_job().with_value(RIDER_MASS, "95 kg"), None).folder
    session.leave_behind()


@pytest.mark.usefixtures("draft")
async def test_a_dead_sessions_draft_is_offered_and_taken_up() -> None:
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        assert isinstance(dialog(pilot), Question)
        await bench.press("o")
        assert bench.state.job.get(RIDER_MASS) == "95 kg"
        assert not bench.says_saved
        assert not abandoned_drafts().drafts
        bench.screen.hang_up()
    assert len(abandoned_drafts().drafts) == 1


@pytest.mark.slow
@pytest.mark.usefixtures("draft")
async def test_a_draft_can_be_left_for_later_or_thrown_away() -> None:
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("escape")
        assert bench.state.bike == demo_job()
    assert len(abandoned_drafts().drafts) == 1
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.press("d")
    assert not abandoned_drafts().drafts


@pytest.mark.slow
@pytest.mark.usefixtures("draft")
async def test_a_file_on_the_bench_is_not_disturbed_by_another_draft(job_file: Path) -> None:
    file = load_job(job_file)
    async with bench_app(file.job, Session(file)).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        assert dialog(pilot) is bench.screen
        assert "Another job has unsaved work too" in bench.text("note")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[[[", "not TOML"),
        ("format = 2\n", "format"),
        ("format = 1\nlod = 3\n", "lod: unknown key; the nearest known key is load"),
    ],
)
def test_what_is_no_job_file_is_refused(
    text: str, told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(text)
    assert run(path) == UNUSABLE
    shown = capsys.readouterr()
    assert not shown.out
    assert f"{path}: " in shown.err
    assert told in shown.err


def test_a_file_that_is_not_there_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(tmp_path / "none.toml") == UNUSABLE
    assert "none.toml" in capsys.readouterr().err


@pytest.mark.slow
async def test_a_file_with_faulty_values_opens_with_them_marked(tmp_path: Path) -> None:
    path = tmp_path / "faulty.toml"
    save(demo_job().with_value(RIDER_MASS, "85").with_value(("frame", "stroke"), "60 psi"), path, None)
    file = load_job(path)
    async with bench_app(file.job, Session(file)).run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        assert "2 invalid values: no result until fixed" in bench.text("results")
        assert "has no unit" in bench.text("grid")
        assert "No curves yet" in bench.text("chart")
        await bench.write("85")
        await bench.press("enter")
        # What is unverified in this step comes next, then the other step.
        assert bench.state.row.path == ("load", "posture")
        await bench.press("tab", "home", "down")
        assert bench.state.row.path == ("frame", "stroke")
        assert "is not a unit of length" in bench.text("grid")
        assert "1 invalid value: no result until fixed" in bench.text("results")
        await bench.write("60 mm")
        await bench.press("enter")
        assert "coil" in bench.text("results")
        assert "invalid" not in bench.text("results")
        assert "Leverage ratio" in bench.text("chart")
        await bench.press("shift+tab")
        assert "Shaft force" in bench.text("chart")
