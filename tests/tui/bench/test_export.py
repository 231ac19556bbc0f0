"""What leaves the bench: charts and tables as files, texts on the clipboard, nothing from an old answer."""

from __future__ import annotations

import csv
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

import pytest

from tests.colour_science import contrast
from tests.confirmed import confirmed_demo
from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.screens import painted
from tui.bench import edit, export
from tui.bench.commands import save_sheet
from tui.bench.export import (
    ChartPrompt,
    TablePrompt,
    copy_view,
    export_view,
    figure_numbers,
    line_text,
    name_of,
    numbers_shown,
    picture_look,
    scene_shown,
    value_text,
    view_text,
)
from tui.bench.prompts import SheetPrompt
from tui.bench.state import BenchState, open_bench, show_view, with_answer
from tui.bench.steps import VIEWS
from tui.charts.export import PAPER
from tui.charts.views import ChartView
from tui.job.demo import demo_job
from tui.job.figures import figure_named, figure_rows, figures_for
from tui.job.job import History
from tui.kit.dialogs import Question
from tui.kit.look import UTF8, ChartLook
from tui.kit.work import Worked
from tui.shop_units import USUAL
from tui.themes import find_themes

SIZE = (80, 24)
XML = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def look() -> ChartLook:
    return find_themes().themes["dark"].chart(UTF8)


@pytest.fixture(scope="module")
def bench() -> BenchState:
    return with_answer(open_bench(History.starting_at(confirmed_demo())))


def shown(bench: BenchState, view: str, setup: int = 1) -> BenchState:
    state = show_view(replace(bench, setup=setup), view)
    assert state.view == view
    return state


async def asked_for(bench: Bench, view: str, path: str) -> None:
    """Show a view, ask for it to be exported, and type a path."""
    bench.screen.take(show_view(bench.state, view))
    export_view(bench.screen)
    await bench.pilot.pause()
    await bench.press("ctrl+u")
    await bench.write(path)
    await bench.press("enter")


async def written(bench: Bench) -> str:
    """Wait for the file, and return what is said of it."""
    await bench.pilot.app.workers.wait_for_complete()
    await bench.pilot.pause()
    return bench.state.note


@pytest.mark.slow
async def test_a_chart_is_drawn_in_the_colours_of_the_theme(own_home: Path) -> None:
    async with bench_app(confirmed_demo()).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        bench.screen.take(show_view(bench.state, "chart"))
        export_view(bench.screen)
        await pilot.pause()
        prompt = pilot.app.screen
        assert isinstance(prompt, ChartPrompt)
        title = name_of(f"{bench.state.bike.title[:30]} Shaft force", "")
        assert prompt.line.value == f"{own_home}/{title}.svg"
        await bench.press("enter")
        target = own_home / f"{title}.svg"
        assert await written(bench) == f"The chart is saved to {target}."
        theme = bench.screen.themes[pilot.app.theme]
        look, ground = picture_look(theme)
        colours = set(re.findall("#[0-9a-f]{6}", target.read_text("utf-8")))
        assert colours == {look.line(0).colour, look.line(1).colour, ground.paper, ground.ink, ground.grid}
        words = [element.text for element in ET.parse(target).getroot().iter(f"{XML}text")]
        assert {"coil", "air", "Shaft force (N)", "shock stroke (mm)"} <= set(words)


@pytest.mark.slow
async def test_a_file_that_is_there_is_asked_about(own_home: Path) -> None:
    target = own_home / "a.csv"
    target.write_text("old")
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await asked_for(bench, "chart", str(target))
        assert isinstance(pilot.app.screen, Question)
        await bench.press("escape")
        assert target.read_text() == "old"
        await asked_for(bench, "chart", str(target))
        await bench.press("r")
        assert await written(bench) == f"The chart is saved to {target}."
        head = target.read_text("utf-8-sig").splitlines()[0]
        assert (
            head == "shock stroke (mm),coil (unverified): Shaft force (N),air (unverified): Shaft force (N)"
        )


async def test_the_table_of_figures_is_that_of_the_answer(own_home: Path) -> None:
    async with bench_app(confirmed_demo()).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        bench.screen.take(replace(bench.state, panel=len(bench.state.panels) - 1))
        state = with_step(bench.state, "figures")
        bench.screen.take(state)
        export_view(bench.screen)
        await pilot.pause()
        assert isinstance(pilot.app.screen, TablePrompt)
        await bench.press("ctrl+u")
        await bench.write("f")
        await bench.press("enter")
        assert (await written(bench)).startswith("The table is saved to ")
        answer = bench.state.answer
        assert answer is not None
        with (own_home / "f.csv").open(encoding="utf-8-sig", newline="") as file:
            rows = list(csv.reader(file, strict=True))
        expected = figure_numbers(answer.answer, bench.state.units)
        assert len(rows) == len(expected) == len(figures_for(answer.answer.setups)) + 2
        for row, due in zip(rows[2:], expected[2:], strict=True):
            assert row[0] == due[0]
            assert [float(cell or "nan") for cell in row[1:]] == pytest.approx(
                due[1:], rel=0, abs=0, nan_ok=True
            )


def with_step(state: BenchState, view: str) -> BenchState:
    """Return the state in the first step that has a view."""
    for panel in range(len(state.panels)):
        found = show_view(replace(state, panel=panel), view)
        if found.view == view:
            return found
    raise AssertionError(view)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("a.gif", "It cannot end in .gif: use .svg, .png, .pdf or .csv."),
        ("none/a.svg", "That folder does not exist"),
        ("", "The file name is missing."),
    ],
)
async def test_a_path_that_cannot_be_used_says_why(own_home: Path, typed: str, said: str) -> None:
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await asked_for(bench, "chart", typed)
        assert isinstance(pilot.app.screen, ChartPrompt)
        assert said in " ".join(painted(pilot).split())


@pytest.mark.slow
async def test_a_disk_that_takes_nothing_says_why(own_home: Path) -> None:
    (own_home / "shut").mkdir()

    def full(_path: Path, _data: bytes, *, only_new: bool) -> None:
        assert only_new
        raise OSError(28, "No space left on device")

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("tui.job.files.replace_file", full)
        async with bench_app().run_test(size=SIZE) as pilot:
            bench = await started(pilot)
            await asked_for(bench, "chart", str(own_home / "a.png"))
            said = await written(bench)
    assert said == f"The chart is not saved to {own_home}/a.png: No space left on device."
    assert not (own_home / "a.png").exists()


async def test_nothing_leaves_an_old_answer() -> None:
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        await bench.write("0")
        await bench.press("enter")
        assert bench.state.is_outdated
        bench.screen.take(show_view(bench.state, "chart"))
        export_view(bench.screen)
        await pilot.pause()
        assert not isinstance(pilot.app.screen, ChartPrompt)
        assert bench.state.note == export.OLD


async def test_without_any_answer_there_is_nothing_to_take() -> None:
    job = demo_job().with_value(("load", "rider_mass"), "0 kg")
    async with bench_app(job).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        export_view(bench.screen)
        assert bench.state.note == export.NOTHING


async def test_what_is_copied_goes_to_the_terminal_and_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.delenv("TMUX", raising=False)
    monkeypatch.delenv("STY", raising=False)
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        sent: list[str] = []
        assert pilot.app._driver is not None
        monkeypatch.setattr(pilot.app._driver, "write", sent.append)
        export.copy_value(bench.screen)
        said = bench.state.note
        export.copy_line(bench.screen)
        line = bench.state.note
        copy_view(bench.screen)
        # What the framework copies by itself takes the same way.
        pilot.app.copy_to_clipboard("82")
    copied = [written for written in sent if written.startswith("\x1b]52;c;")]
    assert said == "Sent to the terminal's clipboard: 82 kg"
    assert copied[0] == "\x1b]52;c;ODIga2c=\x07"
    assert line == "Sent to the terminal's clipboard: rider mass: 82 kg"
    assert copied[3] == "\x1b]52;c;ODI=\x07"
    assert len(copied) == 4
    assert pilot.app.clipboard == "82"


def test_a_theme_whose_colours_are_unknown_is_drawn_as_on_paper() -> None:
    themes = find_themes().themes
    for name, theme in themes.items():
        look, ground = picture_look(theme)
        assert (ground == PAPER) == theme.ansi, name
        for line in (*look.lines, *look.chambers):
            assert contrast(line.colour, ground.paper) >= 3, name
        assert contrast(ground.ink, ground.paper) >= 4.5, name


def test_a_field_is_copied_with_its_unit(bench: BenchState) -> None:
    state = replace(bench, in_view=False)
    assert value_text(state) == "82 kg"
    assert line_text(state) == "rider mass: 82 kg"


def test_a_figure_is_copied_of_the_selected_setup_or_of_all(bench: BenchState) -> None:
    state = replace(with_step(bench, "figures"), in_view=True, setup=1, figure="set_pressure")
    assert state.answer is not None
    psi = USUAL.plain(
        float(numbers(state, "set pressure (psi)")[1]) * 6894.757293168, figure_named("set_pressure").measure
    )
    assert value_text(state) == f"{psi} psi"
    assert line_text(state) == f"set pressure: coil - psi, air {psi} psi"
    copied = view_text(state, find_themes().themes["dark"].look).split("\n")
    rows = figure_rows(state.answer.answer, state.units)
    assert len(copied) == len(rows) + 1
    assert copied[0] == "\t\tcoil\tair"
    assert f"set pressure\tpsi\t-\t{psi}" in copied
    assert not [line for line in copied if "'-" in line]


def test_a_setup_without_an_answer_yet_has_no_figure_to_copy(bench: BenchState) -> None:
    added = edit.add_setup(bench, {"kind": "coil", "rate": "450 previous"}, "New")
    state = replace(with_step(added, "figures"), in_view=True, setup=2, figure="set_pressure")
    assert state.answer is not None
    assert len(state.job.setups) == 3
    assert len(state.answer.answer.setups) == 2, "that of before"
    assert value_text(state) == ""
    assert line_text(state).startswith("set pressure: coil - psi, air ")


def numbers(state: BenchState, label: str) -> list[float]:
    found = numbers_shown(state, find_themes().themes["dark"].look)
    return next([float(cell) for cell in row[1:]] for row in found if row[0] == label)


@pytest.mark.parametrize("view", ["chart", "leverage"])
def test_of_a_chart_what_is_read_is_copied(bench: BenchState, look: ChartLook, view: str) -> None:
    state = replace(with_step(bench, view), setup=1, cursor=1.0, in_view=True)
    assert state.answer is not None
    answer = state.answer.answer
    if view == "leverage":
        ratio = USUAL.plain(float(answer.frame.ratio[-1]), figure_named("support_50").measure)
        assert value_text(state) == ratio
        assert line_text(state) == f"Leverage ratio at {_end(answer.frame.wheel_travel)} mm: frame {ratio}"
    else:
        coil, air = (f"{float(setup.curve.riding_shaft_force[-1]):.0f} N" for setup in answer.setups)
        assert value_text(state) == air
        assert line_text(state) == f"Shaft force at {_end(answer.frame.stroke)} mm: coil {coil}, air {air}"
    assert view_text(state, look) == line_text(state)
    assert scene_shown(state, look) is not None


def _end(length: object) -> str:
    return f"{1e3 * float(str(length)):.1f}"


def test_a_sweep_leaves_as_a_chart_and_with_every_case(bench: BenchState, look: ChartLook) -> None:
    state = with_step(bench, "sweep")
    scene, rows = scene_shown(state, look), numbers_shown(state, look)
    assert scene is not None
    assert [line.name for line in scene.chart.lines] == ["coil", "air"]
    head, *cases = rows
    assert head == ["rider mass (kg)", "coil: breakaway, shaft (N)", "air: breakaway, shaft (N)"]
    assert len(cases) == scene.chart.lines[0].x.size
    assert [row[0] for row in cases] == scene.chart.lines[0].x.tolist()
    assert [row[1] for row in cases] == scene.chart.lines[0].y.tolist()


@pytest.mark.slow
async def test_a_sweep_is_written_in_either_form(own_home: Path) -> None:
    async with bench_app(confirmed_demo()).run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        for name in ("s.png", "s.csv"):
            await asked_for(bench, "sweep", name)
            assert await written(bench) == f"The chart is saved to {own_home}/{name}."
    assert (own_home / "s.png").read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"
    with (own_home / "s.csv").open(encoding="utf-8-sig", newline="") as file:
        head, *cases = csv.reader(file, strict=True)
    assert head[0] == "rider mass (kg)"
    assert len(cases) > 50


@pytest.mark.slow
def test_a_map_leaves_once_it_is_worked_out(bench: BenchState, look: ChartLook) -> None:
    from tui.bench.views.sweep import task

    state = with_step(bench, "map")
    assert numbers_shown(state, look) == []
    wanted = task(state)
    assert wanted is not None
    found = replace(state, worked=Worked(wanted.key, wanted.work(lambda _share: None)))
    head, *cases = numbers_shown(found, look)
    assert head == [
        "rider mass (kg)",
        "preload (mm)",
        "coil: breakaway, shaft (N)",
        "coil: set pressure (psi)",
    ]
    assert len(cases) == len({row[0] for row in cases}) * len({row[1] for row in cases}) > 1000


def test_a_page_leaves_with_the_tables_it_has(bench: BenchState, look: ChartLook) -> None:
    state = replace(with_step(bench, "conditions"), setup=1)
    rows = numbers_shown(state, look)
    assert rows[0][:2] == ["Shop altitude, by temperature (degC)", "gauge (psi)"]
    assert all(isinstance(cell, float) for row in rows[1:8] for cell in row)
    assert scene_shown(state, look) is None
    assert numbers_shown(with_step(bench, "sheet"), look) == []
    text = view_text(state, look).split("\n")
    assert max(map(len, text)) <= 80
    assert any("SHOP ALTITUDE" in line for line in text)


@pytest.mark.slow
@pytest.mark.parametrize("view", sorted({view for views in VIEWS.values() for view in views}))
def test_every_view_can_be_asked_for(bench: BenchState, look: ChartLook, view: str) -> None:
    places = [(panel, setup) for panel in range(len(bench.panels)) for setup in range(2)]
    shown_at = (show_view(replace(bench, panel=panel, setup=setup), view) for panel, setup in places)
    states = [state for state in shown_at if state.view == view]
    assert states
    for state in states:
        assert view_text(state, look)
        for row in numbers_shown(state, look):
            assert all(isinstance(cell, str | float) for cell in row)


def test_a_chart_of_one_view_is_that_of_the_screen(bench: BenchState, look: ChartLook) -> None:
    state = replace(with_step(bench, "chart"), chart=ChartView.WHEEL, slow=True)
    scene = scene_shown(state, look)
    assert scene is not None
    assert scene.chart.title == "Wheel force"
    assert [line.slow for line in scene.chart.lines] == [False, False, True]


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize(
    ("ending", "begins"), [(".html", "<!DOCTYPE html>"), (".md", "#"), (".txt", "Setup sheet")]
)
async def test_the_sheet_is_written_in_the_form_of_its_ending(
    own_home: Path, ending: str, begins: str
) -> None:
    async with bench_app().run_test(size=SIZE) as pilot:
        bench = await started(pilot)
        save_sheet(bench.screen)
        await pilot.pause()
        prompt = pilot.app.screen
        assert isinstance(prompt, SheetPrompt)
        assert prompt.line.value == f"{own_home}/demo-trail-bike-invented-figures.html"
        await bench.press("ctrl+u")
        await bench.write(f"s{ending}")
        await bench.press("enter")
        assert await written(bench) == f"The setup sheet is saved to {own_home}/s{ending}."
    assert (own_home / f"s{ending}").read_text("utf-8").startswith(begins)
