"""What a mechanic may count on, pressed on a screen: focus, lists, answers first, and what Enter offers."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.bench.views.test_pages import NUMBER
from tui.app import BenchApp
from tui.bench.session import Session
from tui.bench.state import FIGURES, open_bench, select_field, show_step
from tui.bench.steps import VIEW_ROWS, Step
from tui.bench.views.pane import views
from tui.job.demo import demo_job
from tui.job.files import save
from tui.job.job import History
from tui.store.remembered import read, state_file

pytestmark = pytest.mark.asyncio(loop_scope="module")

POSTURE = ("load", "posture")
SAG = ("measured", "sag")


async def at_field(bench: Bench, path: tuple[str | int, ...]) -> None:
    """Put the cursor on a field."""
    bench.screen.take(select_field(bench.state, path))
    await bench.pilot.pause()


# --- views and focus -------------------------------------------------------------------------


async def test_the_keys_of_the_views_turn_from_the_one_shown_wherever_the_focus_is(bench: Bench) -> None:
    bench.screen.take(show_step(bench.state, Step.COMPARE))
    await bench.press("]")
    assert (bench.state.view, bench.state.in_view) == ("figures", True)
    await bench.press("escape", "]")
    assert (bench.state.view, bench.state.in_view) == ("difference", True)
    await bench.press("]")
    assert bench.state.view == "chart"
    await bench.press("escape", "[")
    assert (bench.state.view, bench.state.in_view) == ("difference", True)
    await bench.press("[", "[", "[")
    assert bench.state.view == "balance", "the strip goes round"


@pytest.mark.slow
@pytest.mark.parametrize("keys", [("f6",), ("space", "v")])
async def test_the_shown_view_takes_the_focus_as_it_is_and_gives_it_back(
    bench: Bench, keys: tuple[str, ...]
) -> None:
    for there in Step:
        bench.screen.take(show_step(bench.state, there))
        await bench.pilot.pause()
        view, row = bench.state.view, bench.state.row
        await bench.press(*keys)
        assert (bench.state.view, bench.state.in_view) == (view, True)
        assert bench.text("view-strip").startswith("─›")
        await bench.press("down", *keys)
        assert (bench.state.view, bench.state.in_view, bench.state.row) == (view, False, row)
    await bench.press("?", *keys)
    assert (bench.state.helps, bench.state.in_view) == (False, False)


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize("view", ["advice", "readings", "wants", "tolerance", "pump", "verdict"])
async def test_a_view_in_lines_has_the_whole_width_while_it_has_the_focus(bench: Bench, view: str) -> None:
    await bench.show(view)
    assert bench.screen.query_one("#view").outer_size.width == 80
    assert not bench.screen.grid.display
    await bench.press("escape")
    assert bench.screen.grid.display
    assert bench.screen.query_one("#view").size.width == 41


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("view", ["chart", "leverage", "difference", "sweep"])
async def test_a_chart_that_has_the_focus_stays_beside_the_fields(bench: Bench, view: str) -> None:
    await bench.show(view)
    assert bench.screen.grid.display


async def test_home_and_end_belong_to_the_chart_that_has_the_focus(bench: Bench) -> None:
    row, sag = bench.state.row, bench.state.cursor
    for view in ("chart", "leverage", "difference"):
        await bench.show(view)
        await bench.press("end")
        assert (bench.state.cursor, bench.state.note) == (1.0, "")
        await bench.press("home")
        assert (bench.state.cursor, bench.state.note) == (sag, "")
    await bench.press("escape")
    bench.screen.take(show_step(bench.state, Step.RIDER))
    await bench.pilot.pause()
    assert bench.state.row == row


@pytest.mark.slow
async def test_space_is_the_menu_in_every_view(bench: Bench) -> None:
    for view in VIEW_ROWS:
        await bench.show(view)
        await bench.press("space")
        assert bench.state.menu, view
        await bench.press("escape")
        assert bench.state.view == view


async def test_complaints_are_ticked_with_plus_and_minus(bench: Bench) -> None:
    await bench.show("advice")
    await bench.press("down", "+")
    assert bench.state.job.get(("ridden", "symptom")) == "harsh-ramp-up"
    await bench.press("+")
    assert "harsh ramp-up: ticked already." in bench.text("note")
    await bench.press("-")
    assert bench.state.job.get(("ridden", "symptom")) is None


async def test_undoing_a_setup_that_was_tried_selects_the_one_it_was_tried_from(bench: Bench) -> None:
    await bench.show("advice")
    assert "● coil" in bench.text("view").splitlines()
    await bench.press("enter")
    assert (bench.state.setup, len(bench.state.job.setups)) == (2, 3)
    assert "This is not the setup on the bike (coil)." in bench.text("view").splitlines()
    await bench.press("u")
    assert (bench.state.setup, len(bench.state.job.setups)) == (0, 2)
    assert "● coil" in bench.text("view").splitlines()
    assert "not the setup on the bike" not in bench.text("view")
    await bench.do("copy")
    await bench.do("air")
    await bench.press("u")
    assert (bench.state.setup, len(bench.state.job.setups)) == (2, 3)
    await bench.press("u")
    assert (bench.state.setup, len(bench.state.job.setups)) == (0, 2)


async def test_a_name_is_not_offered_to_be_nudged(bench: Bench) -> None:
    await bench.resize(120, 24)
    await at_field(bench, ("record", "customer"))
    assert "nudge" not in bench.text("keys")
    assert "ten steps" not in bench.text("keys")
    await at_field(bench, ("load", "rider_mass"))
    assert "+ - nudge" in bench.text("keys")


# --- values and choices ----------------------------------------------------------------------


async def test_enter_opens_a_number_to_edit_and_a_digit_without_it_types_over(bench: Bench) -> None:
    await bench.press("enter", "backspace", "9")
    assert "› rider mass          89 kg" in bench.text("grid")
    await bench.press("enter")
    assert bench.state.job.get(("load", "rider_mass")) == "89 kg"
    await at_field(bench, ("load", "rider_mass"))
    await bench.press("7")
    assert "› rider mass          7 kg" in bench.text("grid"), "the unit stands behind what is typed"
    await bench.press("5", "enter")
    assert bench.state.job.get(("load", "rider_mass")) == "75 kg"


@pytest.mark.parametrize("size", [(80, 24), (60, 12)])
async def test_enter_on_a_choice_lists_its_options_and_esc_leaves_them(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        await at_field(bench, POSTURE)
        await bench.press("enter")
        foot = "\n".join(bench.text(part) for part in ("meaning", "results", "keys"))
        assert "posture: › standing   seated   typed below" in foot
        assert "Enter accept  Escape cancel  Left Right option" in foot
        assert bench.state.job == demo_job() or bench.state.bike == demo_job()
        await bench.press("s", "escape")
        assert (bench.state.option, bench.state.bike) == (None, demo_job())
        await bench.press("enter", "right", "enter")
        assert bench.state.job.get(POSTURE) == "seated"


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("key", ["tab", "/", "space", "ctrl+s", "?", "]", "f6"])
async def test_any_other_key_leaves_the_list_and_does_its_own(bench: Bench, key: str) -> None:
    await at_field(bench, POSTURE)
    await bench.press("enter", "right", key)
    assert (bench.state.option, bench.state.bike) == (None, demo_job())
    done = (
        bench.state.step,
        bench.state.menu,
        bench.state.finder,
        bench.state.helps,
        bench.state.in_view,
    )
    assert done != (Step.RIDER, "", None, False, False) or len(bench.pilot.app.screen_stack) == 2


async def test_a_click_on_an_option_takes_it(bench: Bench) -> None:
    await at_field(bench, POSTURE)
    await bench.press("enter")
    line = bench.text("meaning").splitlines()[0]
    await bench.pilot.click("#foot", offset=(line.index("seated") + 1, 0))
    await bench.pilot.pause()
    assert bench.state.job.get(POSTURE) == "seated"
    assert bench.state.option is None


@pytest.mark.slow
async def test_a_scale_reading_out_of_proportion_is_asked_about_even_when_it_replaces_the_masses(
    bench: Bench,
) -> None:
    await bench.resize(120, 40)
    await at_field(bench, ("measured", "scale"))
    await bench.press("9", "0", "enter")
    asked = "90 kg for one wheel of 97.0 kg in all? Enter again accepts it, Esc leaves it empty."
    assert asked in bench.text("note")
    await bench.press("escape")
    await at_field(bench, ("load", "by"))
    await bench.press("s")
    await at_field(bench, ("load", "scale_mass"))
    await bench.press("1", "1", "enter")
    assert "11 kg for one wheel of 97.0 kg in all? Enter again" in bench.text("note")
    await bench.press("enter")
    assert bench.state.job.get(("load", "scale_mass")) == "11 kg"
    await at_field(bench, ("load", "scale_mass"))
    await bench.press("5", "5", "enter")
    assert bench.text("note").count("?") == 0
    assert bench.state.job.get(("load", "scale_mass")) == "55 kg"


async def test_the_row_that_unfolds_the_rest_says_what_enter_does_and_offers_no_nudge(bench: Bench) -> None:
    await bench.press("end")
    assert bench.text("keys").startswith(" Enter show     / find")
    assert "nudge" not in bench.text("keys")
    await bench.press("enter")
    assert bench.text("keys").startswith(" Enter hide     / find")
    await bench.press("delete")
    assert "Enter shows the other fields." in bench.text("note")


@pytest.mark.slow
async def test_a_pair_that_is_typed_has_both_its_units_beside_it(bench: Bench) -> None:
    bench.screen.take(show_step(bench.state, Step.FRAME))
    await bench.press("space", "p")
    assert "› add a pair          20  _ mm stroke" in bench.text("grid")
    await bench.press("7")
    assert "› add a pair          20 7 mm stroke" in bench.text("grid")
    await bench.write(" mm")
    assert "› add a pair          20 7 mm\n" in bench.text("grid")
    assert "stroke" not in bench.text("grid").split("add a pair")[1]


# --- the answer first ------------------------------------------------------------------------


@pytest.mark.parametrize("view", sorted(VIEW_ROWS.keys() - views().keys() | {"leverage"}))
async def test_charts_and_table_show_the_value_at_the_present_input(bench: Bench, view: str) -> None:
    await bench.show(view)
    shown = bench.text("table").splitlines() if view == FIGURES else []
    assert NUMBER.search(bench.text("chart").splitlines()[-1]) or shown[1].split()[1:] == [
        "state",
        "OK",
        "OK",
    ]


async def test_a_caution_never_hides_the_sag_that_is_expected(bench: Bench) -> None:
    bench.screen.take(show_step(bench.state, Step.RIDE))
    await at_field(bench, SAG)
    assert bench.text("meaning").startswith(" sag measured: Expect 42.9 mm")
    await bench.press("6", "0", "enter")
    await at_field(bench, SAG)
    first, second = bench.text("meaning").splitlines()
    assert first.startswith(" sag measured: 60.0 mm, expected 42.9 mm (40.5 to 45.5 mm): too much sag.")
    assert second.strip()


async def test_a_frame_that_is_not_typed_yet_is_asked_for_by_the_names_of_its_fields() -> None:
    job = demo_job().without(("frame", "wheel_travel")).without(("frame", "leverage", "start"))
    async with bench_app(job.without(("front",))).run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        bench.screen.take(show_step(bench.state, Step.FRAME))
        await pilot.pause()
        assert bench.text("view").splitlines()[0].startswith("To type: wheel travel, ratio at start.")
        assert "Missing" not in bench.text("view")
        assert "✗2 ~4 to type" in bench.text("fields-strip")


# --- what Enter offers -----------------------------------------------------------------------


@pytest.mark.slow
async def test_enter_is_offered_on_measurements_once_they_give_a_result(bench: Bench) -> None:
    await at_field(bench, ("setup", 0, "rate"))
    await bench.press("4", "0", "0", "enter")
    await bench.show("readings")
    assert "Enter apply" not in bench.text("keys")
    await bench.press("space", "r")
    await bench.write("sag 45 mm")
    await bench.press("enter")
    await bench.pilot.app.workers.wait_for_complete()
    await bench.pilot.pause()
    assert "Enter apply" in bench.text("keys")


async def test_enter_is_offered_for_targets_once_some_are_typed(bench: Bench) -> None:
    await bench.show("wants")
    assert "Enter" not in bench.text("keys")
    await bench.show("match")
    assert "Enter try it" in bench.text("keys")


# --- said once -------------------------------------------------------------------------------


async def test_what_cannot_be_remembered_is_said_once(own_home: Path) -> None:
    path = own_home / "job.toml"
    save(demo_job(), path, None)
    target = state_file()
    target.unlink(missing_ok=True)
    target.mkdir(parents=True)
    session = Session()
    from tui.bench.files import load_job

    session.opened(load_job(path))
    app = BenchApp(open_bench(History.starting_at(demo_job())), session, read()[0])
    async with app.run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        assert "will not be remembered" in " ".join(bench.text("note").split())
        await bench.press("down")
        assert "remembered" not in bench.text("note")
        bench.screen.remember()
        await pilot.pause()
        assert "remembered" not in bench.text("note")
    assert app.bench is not None
    assert app.bench.parting_words == ""


async def test_what_cannot_be_remembered_at_the_end_is_left_to_the_shell(own_home: Path) -> None:
    app = BenchApp(open_bench(History.starting_at(demo_job())), Session(), read()[0])
    async with app.run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        target = state_file()
        target.unlink(missing_ok=True)
        target.mkdir(parents=True)
        await bench.press("z")
    assert app.bench is not None
    assert "will not be remembered" in app.bench.parting_words


@pytest.mark.slow
async def test_the_help_is_not_exported_as_the_chart_under_it(bench: Bench) -> None:
    await bench.press("?", "space", "space", "e")
    assert len(bench.pilot.app.screen_stack) == 1
    assert "not now, the help is shown: Esc puts it away." in " ".join(bench.text("note").split())
    await bench.do("export")
    assert "Not exported: the help is shown." in " ".join(bench.text("note").split())
    await bench.press("escape", "space", "space", "e")
    assert len(bench.pilot.app.screen_stack) == 2
