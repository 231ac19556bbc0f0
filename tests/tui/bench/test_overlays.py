"""Menu and finder: everything is found, gone to or done by them, and what cannot be done now says why."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.random_cases import cases
from tests.tui.bench.conftest import Bench, bench_app, started
from tui.bench import edit
from tui.bench.keymap import KEYMAP, BenchAction
from tui.bench.overlays import OVERLAYS, items
from tui.bench.state import BenchState, SavedJob, open_bench, select_field, show_step, show_view, with_answer
from tui.bench.steps import NAMES, VIEWS, Step, is_field
from tui.job.demo import demo_job
from tui.job.figures import every_figure
from tui.job.job import History
from tui.kit.cells import text_of
from tui.kit.finder import Finder, Item, found
from tui.kit.keymap import PROGRAM, key_text
from tui.kit.look import ASCII, UTF8
from tui.kit.roles import Role
from tui.linkage.screen import LinkageScreen
from tui.records.screen import RecordsScreen
from tui.store.remembered import JobPlace

START = with_answer(open_bench(History.starting_at(demo_job())))
BARE = with_answer(open_bench(History.starting_at(demo_job().without(("front",)).without(("setup",)))))
open_menu, open_finder, go_to = OVERLAYS.open_menu, OVERLAYS.open_finder, OVERLAYS.go_to
menu_lines, finder_lines, rows_wanted = OVERLAYS.menu_lines, OVERLAYS.finder_lines, OVERLAYS.rows_wanted
ACTS = [action for action in KEYMAP.actions if action.name]


def press(state: BenchState, *keys: str) -> tuple[BenchState, BenchAction | JobPlace | None]:
    """Press keys while menu or finder is open; return the last state and what the screen has to do."""
    action: BenchAction | JobPlace | None = None
    for key in keys:
        character = key if len(key) == 1 else " " if key == "space" else None
        state, action = OVERLAYS.pressed(state, key, character)
    return state, action


def find(state: BenchState, text: str) -> list[Item]:
    return found(items(state), text)


# --- the menu --------------------------------------------------------------------------------


@pytest.mark.parametrize("step", Step)
def test_the_menu_has_every_act_of_the_step_and_space_those_of_job_and_program(step: Step) -> None:
    state = open_menu(show_step(START, step))
    for shelf, other in ((step, "job and program"), (PROGRAM, NAMES[step].casefold())):
        text = text_of(menu_lines(state, 80, UTF8))
        shown = [f" {act.letter} {act.name}" in text for act in KEYMAP.shelf(shelf)]
        if not all(shown):
            assert all(f" {act.letter} {act.brief}" in text for act in KEYMAP.shelf(shelf))
        # Where there is room each has its whole name.
        wide = text_of(menu_lines(state, 120, UTF8))
        assert all(f" {act.letter} {act.name}" in wide for act in KEYMAP.shelf(shelf))
        assert f" Space {other}" in text
        assert " Esc back" in text
        state, nothing = press(state, "space")
        assert nothing is None
    assert state == open_menu(show_step(START, step))


@pytest.mark.parametrize("step", Step)
def test_a_letter_does_its_act_and_closes_the_menu(step: Step) -> None:
    state = show_step(START, step)
    for shelf, keys in ((step, ()), (PROGRAM, ("space",))):
        for act in KEYMAP.shelf(shelf):
            after, chosen = press(open_menu(state), *keys, act.letter)
            assert after.menu == ""
            reason = act.why(state) if act.why else ""
            assert chosen is (None if reason else act)
            assert bool(after.note) == bool(reason)


def test_what_cannot_be_done_now_is_dim_in_the_menu_and_says_why_when_it_is_chosen() -> None:
    state = open_menu(show_step(BARE, Step.SPRINGS))
    roles = {role for row in menu_lines(state, 80, UTF8) for role in piece_roles(row, "x remove setup")} | {
        role for row in menu_lines(state, 80, UTF8) for role in piece_roles(row, "d copy setup")
    }
    assert roles == {Role.QUIET}
    possible = {role for row in menu_lines(state, 80, UTF8) for role in piece_roles(row, "a add air")}
    assert possible == {Role.KEY, Role.BASE}
    after, chosen = press(state, "d")
    assert (after.menu, chosen) == ("", None)
    assert after.note == "Copy this setup: not now, the job has no setup."
    assert after.bike == BARE.bike


def piece_roles(row: list[tuple[str, int]], text: str) -> set[int]:
    line = "".join(cell for cell, _ in row)
    place = line.find(text)
    return set() if place < 0 else {role for cell, role in row[place : place + len(text)] if cell != " "}


@pytest.mark.parametrize("key", ["9", "b", "enter", "tab", "escape", "up"])
def test_any_other_key_closes_the_menu_and_says_so_but_for_esc(key: str) -> None:
    after, chosen = press(open_menu(START), key)
    assert chosen is None
    name = {"enter": "Enter", "tab": "Tab", "up": "Up"}.get(key, key)
    said = "" if key == "escape" else f"The menu has no {name} here. / finds."
    assert after == replace(START, note=said)


def test_finder_and_help_are_reached_from_the_menu() -> None:
    for key, id in (("/", "find"), ("?", "help")):
        after, chosen = press(open_menu(START), key)
        assert (after.menu, chosen) == ("", KEYMAP.named[id])


@pytest.mark.parametrize("width", [20, 40, 63, 80, 120, 200])
def test_the_menu_takes_as_many_lines_as_it_needs_and_no_name_is_cut(width: int) -> None:
    for step in Step:
        for state in (
            open_menu(show_step(START, step)),
            press(open_menu(show_step(START, step)), "space")[0],
        ):
            rows = menu_lines(state, width, UTF8)
            assert {len(row) for row in rows} == {width}
            assert len(rows) == rows_wanted(state, width, UTF8)
            text = text_of(rows)
            if width >= 30:
                shelf = PROGRAM if state.menu == PROGRAM else step
                for names in ([act.name, act.brief] for act in KEYMAP.shelf(shelf)):
                    assert any(name in text for name in names)
            assert len(rows) <= {63: 4, 80: 3, 120: 3, 200: 2}.get(width, 30)


# --- the finder ------------------------------------------------------------------------------


def test_every_act_view_step_setup_figure_and_field_is_found() -> None:
    there = {item.id for item in items(START)}
    assert {("act", action.id) for action in ACTS} <= there
    assert {("view", view) for views in VIEWS.values() for view in views} <= there
    assert {("step", int(step)) for step in Step} <= there
    assert {("setup", place) for place in range(2)} <= there
    assert {("figure", figure.name) for figure in every_figure(False)} <= there
    fields = {row.path for panel in START.panels for row in (*panel.rows, *panel.hidden) if is_field(row)}
    assert {("field", path) for path in fields} <= there
    assert len(there) == len(items(START)), "nothing is found twice"


def test_each_line_says_where_it_lives_and_the_key_to_it() -> None:
    assert find(START, "copy this")[0][:4] == (
        ("act", "copy"),
        "copy this setup",
        "Springs, Compare",
        "Space d",
    )
    assert find(START, "undo")[0][:4] == (("act", "undo"), "undo", "", "u")
    assert find(START, "tolerance")[0][:4] == (("view", "tolerance"), "tolerance", "Compare", "[ ]")
    assert find(START, "hand")[0][:4] == (("step", 5), "Hand over", "step", "Tab")
    assert find(START, "bore")[0][:3] == (("field", ("setup", 1, "bore")), "bore", "air")
    assert find(START, "shock stroke")[0][:3] == (("field", ("frame", "stroke")), "shock stroke", "Frame")
    assert find(START, "breakaway, wheel")[0].where == "figures"


@pytest.mark.parametrize("step", [Step.SPRINGS, Step.COMPARE, Step.RIDE])
@pytest.mark.parametrize("text", ["gas charge", "spring mass", "seal friction", "rod", "bumper"])
def test_of_fields_alike_that_of_the_selected_setup_comes_first(text: str, step: Step) -> None:
    for setup in range(3):
        state = replace(show_step(edit.add_air(START), step), setup=setup)
        there = [item for item in find(state, text) if item.id[0] == "field"]
        place = there[0].id[1]
        assert isinstance(place, tuple)
        assert place[:2] == ("setup", setup)
        assert {item.id[1][1] for item in there if isinstance(item.id[1], tuple)} == {0, 1, 2}, "then others"
        after, _ = go_to(state, there[0])
        assert (after.step, after.setup) == (Step.SPRINGS, setup)


@pytest.mark.fast_cases(60)
@pytest.mark.parametrize("item", items(START), ids=lambda item: f"{item.id[0]}-{item.name}")
def test_an_item_is_found_by_its_own_name(item: Item) -> None:
    there = find(START, item.name)
    assert item in there[:6]
    assert item.name
    assert key_text(KEYMAP.named[str(item.id[1])]) == item.key if item.id[0] == "act" else True


@pytest.mark.parametrize("step", Step)
def test_enter_goes_there(step: Step) -> None:
    start = show_step(START, step)
    for item in items(start):
        kind, target = item.id
        after, chosen = go_to(start, item)
        if kind == "act":
            assert isinstance(target, str)
            assert chosen is (None if item.reason else KEYMAP.named[target])
            assert after == (replace(start, note=after.note) if item.reason else start)
            assert bool(item.reason) == bool(after.note)
            continue
        assert chosen is None
        assert after.bike == start.bike
        match kind:
            case "view":
                assert (after.view, after.in_view) == (target, True)
            case "step":
                assert (after.step, after.in_view) == (target, False)
            case "setup":
                assert (after.step, after.setup, after.in_view) == (Step.SPRINGS, target, False)
            case "figure":
                assert (after.view, after.figure, after.in_view) == ("figures", target, True)
            case "field":
                assert (after.row.path, after.in_view) == (target, False)
            case "symptom":
                assert (after.view, after.complaint.symptom, after.in_view) == ("advice", target, True)


def test_what_cannot_be_done_now_is_there_dim_with_its_reason_behind_its_like() -> None:
    [redo] = find(START, "redo")
    assert redo.reason == "nothing was undone"
    after, chosen = press(replace(START, finder=Finder("redo")), "enter")
    assert (after.finder, chosen) == (None, None)
    assert after.note == "Redo: not now, nothing was undone."
    names = [(item.name, bool(item.reason)) for item in find(BARE, "this setup")]
    assert {("copy this setup", True), ("rename this setup", True)} <= set(names)
    undone = edit.undo(edit.nudge(START, 1))
    assert find(undone, "redo")[0].reason == ""
    rows = finder_lines(replace(START, finder=Finder("redo")), 80, 4, UTF8)
    assert "not now: nothing was undone" in text_of(rows)
    assert {role for cell, role in rows[1][3:] if cell != " "} == {Role.QUIET}


def test_a_name_comes_before_a_word_in_a_sentence_and_every_word_must_be_there() -> None:
    assert [item.name for item in find(START, "sag")][:4] == [
        "sag",
        "sag measured",
        "sag at wheel",
        "sag, % travel",
    ]
    ranks = [item.name.startswith("sag") for item in find(START, "sag")]
    assert ranks == sorted(ranks, reverse=True)
    assert find(START, "setup copy")[0].id == ("act", "copy")
    assert find(START, "COPY THIS")[0].id == ("act", "copy")
    assert "blows through, bottoms out" in [item.name for item in find(START, "bottoms out")]
    assert find(START, "no such thing") == []
    assert find(START, "") == sorted(items(START), key=lambda item: bool(item.reason))


def test_a_name_typed_whole_comes_first_then_views_then_the_fields_of_the_step() -> None:
    def first(state: BenchState, text: str) -> str:
        return found(items(state), text)[0].name

    assert first(START, "save") == "save"
    assert first(START, "quit") == "quit"
    assert [item.name for item in found(items(START), "both")][:2] == ["both ends", "both panes"]
    for step in (Step.RIDER, Step.RIDE):
        fields = [item.where for item in found(items(show_step(START, step)), "gau") if item.id[0] == "field"]
        assert fields[0] == NAMES[step]
        assert {NAMES[Step.RIDER], NAMES[Step.RIDE]} <= set(fields)


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("packs down", "packs down over bumps"),
        ("breakaway", "breakaway, shaft"),
        ("chord", "mid-stroke dip"),
        ("buckling", "wire"),
        ("O-ring", "pump"),
        ("titanium", "wire"),
        ("residual", "on the stand"),
        ("coil bind", "order"),
        ("hose", "pump hose volume"),
        ("bottom_ratio", "bottom-out ratio"),
        ("rider_mass", "rider mass"),
        ("seated", "posture"),
    ],
)
def test_words_of_the_help_find_what_explains_them_behind_names(typed: str, first: str) -> None:
    there = find(START, typed)
    assert there[0].name == first
    assert all(item.where for item in there)
    named = [typed.casefold() in item.name.casefold() for item in there]
    assert named == sorted(named, reverse=True)
    shown = text_of(finder_lines(replace(START, finder=Finder(typed)), 80, 4, UTF8)).splitlines()[1]
    assert typed.split()[-1].split("_")[0].casefold() in shown.casefold()  # the word is in sight


@pytest.mark.slow
def test_every_word_that_the_help_uses_is_found() -> None:
    said = {word for item in items(START) for word in f"{item.words} {item.help}".split()}
    assert len(said) > 900
    for word in sorted(said)[::9]:
        assert find(START, word), word


def test_a_view_with_nothing_to_show_is_dim_with_the_reason() -> None:
    reasons = {item.id[1]: item.reason for item in items(BARE) if item.id[0] == "view"}
    assert reasons["wire"] == "the job has no coil"
    assert reasons["pump"] == reasons["spacers"] == "the job has no air spring"
    assert reasons["balance"] == "the job has one wheel"
    assert reasons["match"] == "there is only one setup"
    assert reasons["tolerance"] == ""
    assert not any(item.reason for item in items(START) if item.id[0] == "view")


def test_a_job_of_the_records_is_found_by_its_customer_and_opened_once() -> None:
    place = JobPlace(store="shop", job="u1", title="Enduro")
    known = replace(START, saved=(SavedJob(place, "Ana Ruiz, 4711"),))
    [found_here] = find(known, "ruiz")
    assert found_here[:4] == (("job", place), "Enduro", "saved job", "Space Space r")
    assert press(replace(known, finder=Finder("4711")), "enter")[1] == place
    recent = replace(known, recent=(place._replace(at=5.0),))
    assert [item.where for item in find(recent, "enduro") if item.id[0] == "job"] == ["recent job"]


def test_typing_choosing_rubbing_out_and_going_back() -> None:
    state, _ = press(open_finder(START), "s", "a", "g")
    assert state.finder == Finder("sag", 0)
    down, _ = press(state, "down", "down")
    assert down.finder == Finder("sag", 2)
    assert press(down, "up")[0].finder == Finder("sag", 1)
    assert press(state, "up")[0].finder == Finder("sag", 0)
    assert press(down, "backspace")[0].finder == Finder("sa", 0)
    assert press(down, "ctrl+u")[0].finder == Finder()
    for leaving in (("escape",), ("backspace", "backspace", "backspace", "backspace")):
        assert press(state, *leaving)[0] == START
    last = press(state, *["pagedown"] * 40)[0].finder
    assert last == Finder("sag", len(find(START, "sag")) - 1)
    assert press(state, *["pagedown"] * 3, *["pageup"] * 9)[0].finder == Finder("sag", 0)
    there, chosen = press(down, "up", "up", "enter")
    assert (there.finder, chosen) == (None, None)
    assert there.row.path == find(START, "sag")[0].id[1] == ("target", "sag")
    nowhere = press(replace(START, finder=Finder("zzz")), "enter")
    assert nowhere == (replace(START, note='Nothing found for "zzz".'), None)


def test_a_letter_in_the_finder_is_only_looked_for() -> None:
    state = open_finder(select_field(START, ("setup", 0, "rate")))
    for key in "squz90+-/?[]<":
        state, action = press(state, key)
        assert action is None
    assert state.finder == Finder("squz90+-/?[]<")
    assert replace(state, finder=None) == select_field(START, ("setup", 0, "rate"))


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("name", ["[red]x[/]", "a\x1b[2Jb", "überlang" * 9])
def test_a_name_of_a_setup_is_shown_literally(name: str) -> None:
    job = demo_job().with_value(("setup", 0, "name"), name)
    state = replace(with_answer(open_bench(History.starting_at(job))), finder=Finder(name[:6].strip("\x1b")))
    for glyphs in (UTF8, ASCII):
        rows = finder_lines(replace(state, finder=Finder("")), 80, 400, glyphs)
        text = text_of(rows)
        assert "\x1b" not in text
        assert not glyphs.ascii or text.isascii()


@settings(max_examples=cases(100))
@given(st.text(max_size=12), st.integers(0, 400), st.integers(1, 200), st.integers(1, 60))
def test_the_finder_fills_its_lines_at_any_size_and_the_selected_one_is_in_sight(
    text: str, place: int, width: int, height: int
) -> None:
    finder = Finder().typed(text).moved(place, len(find(START, Finder().typed(text).text)))
    rows = finder_lines(replace(START, finder=finder), width, height, UTF8)
    assert [len(row) for row in rows] == [width] * height
    there = find(START, finder.text)
    if there and height > 1 and width > 40:
        marked = ["".join(cell for cell, _ in row) for row in rows[1:] if row[1][0] == UTF8.selected]
        assert len(marked) == 1
        assert marked[0].startswith(f" › {there[finder.place].name[:18]}")


# --- on the screen ---------------------------------------------------------------------------

SIZES = [(80, 24), (40, 14), (120, 40), (200, 60)]


def foot(bench: Bench) -> str:
    return "\n".join(bench.text(part) for part in ("meaning", "results", "keys"))


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_menu_and_finder_stand_at_the_foot_and_the_fields_stay_in_sight(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        before = bench.screen.query_one("#foot").region
        for step in Step:
            bench.screen.take(show_step(bench.state, step))
            await bench.press("space")
            for shelf in (step, PROGRAM):
                shown = " ".join(foot(bench).split())
                for act in KEYMAP.shelf(shelf):
                    assert f"{act.letter} {act.name}" in shown or f"{act.letter} {act.brief}" in shown
                region = bench.screen.query_one("#foot").region
                assert region.bottom == size[1]
                assert bench.screen.query_one("#grid").size.height >= 1
                assert sum(line.startswith("›") for line in bench.text("grid").splitlines()) >= 1
                await bench.press("space")
            await bench.press("escape")
            assert bench.screen.query_one("#foot").region == before
        await bench.press("/", *"redo")
        assert "/ redo" in foot(bench)
        assert "redo" in foot(bench).splitlines()[1]
        assert "not now: nothin" in foot(bench).splitlines()[1]
        await bench.press("escape")
        assert bench.screen.query_one("#foot").region == before


@pytest.mark.slow
async def test_the_finder_does_an_act_of_the_state_or_of_the_screen() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.press("/", *"add a coil", "enter")
        assert [setup["name"] for setup in bench.state.job.setups] == ["coil", "air", "coil 2"]
        await bench.press("ctrl+p", *"linkage", "enter")
        assert isinstance(pilot.app.screen, LinkageScreen)
        await bench.press("escape", "/", *"records", "enter")
        assert isinstance(pilot.app.screen, RecordsScreen)
        await pilot.app.workers.wait_for_complete()


@pytest.mark.slow
async def test_an_open_value_is_taken_before_the_finder_opens_and_asked_about_where_unlikely() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.press("9", "1", "ctrl+p")
        assert bench.state.finder is not None
        await bench.press(*"shock stroke", "enter")
        assert bench.state.row.path == ("frame", "stroke")
        assert bench.state.job.get(("load", "rider_mass")) in ("91 kg", "82 kg")


@pytest.mark.slow
async def test_menu_and_finder_are_shown_over_a_view_and_leave_it_the_focus() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        viewed = show_view(bench.state, "sweep")
        for keys in (("space", "escape"), ("/", "escape"), ("space", "space", "escape")):
            bench.screen.take(viewed)
            await bench.press(*keys)
            assert bench.state.in_view
            assert bench.state.view == "sweep"
        await bench.press("/", *"sag", "down", "up", "enter")
        assert not bench.state.in_view
        assert bench.state.row.path == ("target", "sag")


def test_a_recent_job_is_found_by_its_title_in_a_file_or_in_the_records() -> None:
    places = (
        JobPlace(file="/shop/kim.toml", title="Kim, stand 3", at=2.0),
        JobPlace(store="/shop/records.sqlite", job="4711", title="Ana, ticket 12", at=1.0),
    )
    state = open_finder(replace(START, recent=places))
    for place, letters in zip(places, ("kim", "ana"), strict=True):
        after, chosen = press(state, *letters, "enter")
        assert chosen == place
        assert after.finder is None
    (found_one,) = (item for item in items(state) if item.name == "Ana, ticket 12")
    assert (found_one.where, found_one.words) == ("recent job", "in the records")


@pytest.mark.slow
async def test_a_click_in_menu_or_finder_does_what_its_key_does() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        bench.screen.take(show_step(bench.state, Step.SPRINGS))
        await bench.press("space")

        async def click(text: str) -> None:
            lines = foot(bench).splitlines()
            row = next(place for place, line in enumerate(lines) if text in line)
            await pilot.click("#foot", offset=(lines[row].index(text) + 1, row))
            await pilot.pause()

        await click("Space job and program")
        assert bench.state.menu == PROGRAM
        await click("Space springs")
        await click("copy setup")
        assert [setup["name"] for setup in bench.state.job.setups] == ["coil", "air", "coil 2"]
        assert bench.state.menu == ""
        await bench.press("space")
        await click("Esc back")
        assert bench.state.menu == ""
        await bench.press("/", *"tolerance")
        await click("› tolerance")
        assert (bench.state.view, bench.state.finder) == ("tolerance", None)
        await bench.press("escape", "/", *"sag", "down", "down", "down", "down")
        shown = found(items(bench.state), "sag")[3].name
        await click(f"  {shown}")
        assert bench.state.finder is None
        assert bench.state.row.full_label == shown or bench.state.figure
