"""The lines of the bench to the last word: title, results, meaning, cautions and keys, at every width."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from tests.confirmed import confirmed_demo
from tests.tui.job.two_ends import BIKE
from tests.tui.job.wired import wired
from tests.tui.looks import LOOK
from tui.bench import edit
from tui.bench.edit import confirm_value
from tui.bench.keymap import KEYMAP
from tui.bench.session import Session
from tui.bench.state import (
    BenchState,
    open_bench,
    select_field,
    select_setup,
    show_step,
    show_view,
    switch_rest,
    with_answer,
    with_cursor,
    with_job,
)
from tui.bench.steps import NAMES, VIEW_ROWS, Step
from tui.bench.views.help import lines as help_lines
from tui.bench.words import (
    fields_strip,
    figure_lines,
    foot_lines,
    keys_line,
    meaning_lines,
    option_lines,
    result_line,
    results_line,
    title_line,
    view_strip,
)
from tui.job.demo import demo_job
from tui.job.files import load, save
from tui.job.job import History, Job
from tui.job.panels import LEVERAGE, RIDER_MASS
from tui.job.tree import TreePath
from tui.kit.cells import CellRow
from tui.kit.edit import type_text
from tui.kit.look import ASCII, UTF8, ChartLook
from tui.kit.roles import Role
from tui.shop_units import METRIC


def on_bench(job: Job) -> BenchState:
    return with_answer(open_bench(History.starting_at(job)))


BENCH = on_bench(demo_job())
RATE: TreePath = ("setup", 0, "rate")
PRESSURE: TreePath = ("setup", 1, "pressure")


def typed(state: BenchState, path: TreePath, text: str) -> BenchState:
    return replace(edit.commit(type_text(select_field(state, path), text)), note="")


def told(rows: list[CellRow]) -> list[str]:
    return ["".join(text for text, _role in row).rstrip() for row in rows]


def results(state: BenchState, width: int = 120) -> str:
    (row,) = results_line(state, width, LOOK)
    assert len(row) == width
    return told([row])[0]


def title(state: BenchState, width: int = 80, session: Session | None = None) -> str:
    (row,) = title_line(state, session or Session(), width, UTF8)
    assert len(row) == width
    return told([row])[0]


# --- results ---------------------------------------------------------------------------------


def test_a_result_is_marked_until_every_value_that_it_depends_on_is_typed_or_confirmed() -> None:
    assert "~" not in results(on_bench(confirmed_demo()))
    doubted = confirmed_demo().with_invented(("setup", 1, "positive_volume"), "112 cm3")
    assert re.match(r" ● coil .* %  ~◆ air ", results(on_bench(doubted)))


@pytest.mark.parametrize(
    ("width", "said"),
    [
        (120, "~● coil 393 lbf/in, sag 29.0 %  ~◆ air 205 psi, sag 29.0 %"),
        (59, "~● coil 393 lbf/in, sag 29.0 %  ~◆ air 205 psi, sag 29.0 %"),
        (58, "~● coil 393 lbf/in, sag 29.0 %  ~◆ air 205 psi, sag 29.0 %"),
        (57, "~● 393 lbf/in, sag 29.0 %  ~◆ 205 psi, sag 29.0 %"),
        (49, "~● 393 lbf/in, sag 29.0 %  ~◆ 205 psi, sag 29.0 %"),
        (48, "~● 393 lbf/in, sag 29.0 %  ~◆ 205 psi, 29.0 %"),
        (45, "~● 393 lbf/in, sag 29.0 %  ~◆ 205 psi, 29.0 %"),
        (44, "~● coil 393 lbf/in  ~◆ air 205 psi"),
        (34, "~● coil 393 lbf/in  ~◆ air 205 psi"),
        (33, "~● 393 lbf/in  ~◆ 205 psi"),
        (25, "~● 393 lbf/in  ~◆ 205 psi"),
        (24, "~● 393 lbf/in  ~◆ 205 psi"[:23] + "…"),
    ],
)
def test_what_does_not_fit_of_the_results_goes_names_before_sags(width: int, said: str) -> None:
    assert results(BENCH, width) == said


def test_three_setups_keep_their_sags_at_80_columns() -> None:
    coils = edit.add_coil(BENCH)
    for state in (edit.add_air(BENCH), coils):
        said = results(state, 80)
        assert len(said) <= 80
        assert said.count("sag") == said.count("%") == 3, said
        assert said.count("psi") + said.count("lbf/in") == 3
    assert results(edit.add_air(coils), 80).count("lbf/in") == 2, "four have no room for them"
    # What the gauge reads at rest goes before the names.
    rests = typed(BENCH, ("setup", 1, "port"), "20 mm")
    whole = results(rests, 120)
    assert "at rest, sag" in whole
    assert results(rests, len(whole) - 1) == re.sub(r", reads \d+ psi at rest", "", whole)


def test_what_comes_of_the_riding_conditions_outlasts_the_sag_of_the_shop() -> None:
    there = typed(BENCH, ("ride", "temperature"), "35")
    whole = results(there, 120)
    assert whole.count("riding") == 2
    assert whole.count("sag") == 4
    assert whole.endswith("riding 216 psi sag 26.8 %"), "a share says of what"
    short = results(there, len(whole) - 1)
    assert short.count("riding") == short.count("sag") == 2
    assert "29.0 %" not in short
    assert len(short) == 80, "both setups of the demo fit the narrowest usual screen"
    bare = results(there, len(short) - 1)
    assert bare.count("riding") == 2
    assert "coil" not in bare
    assert "riding" not in results(there, len(bare) - 1)


@pytest.mark.parametrize(
    ("path", "text", "said"),
    [
        (PRESSURE, "330 psi", "air !330 psi, sag"),
        (("setup", 0, "rated_stroke"), "40 mm", "coil !393 lbf/in, sag"),
        (("setup", 1, "port"), "40 mm", "air -, no solution"),
        (("setup", 1, "port"), "20 mm", "at rest, sag"),
    ],
)
def test_a_setup_that_is_not_well_says_so_in_the_results(path: TreePath, text: str, said: str) -> None:
    assert said in results(typed(BENCH, path, text)).replace("–", "-")


def test_a_spring_that_holds_the_wheel_up_tops_out_and_one_in_stages_has_no_rate() -> None:
    stiff = on_bench(demo_job().with_value(RATE, "1500 lbf/in").with_value(("setup", 0, "preload_turns"), 10))
    assert "coil !1500 lbf/in, tops out " in results(stiff), "more preload turns than its maker allows"
    soft = demo_job().with_value(RATE, "60 lbf/in")
    for key in ("bumper_length", "bumper_force"):
        soft = soft.without(("setup", 0, key))
    assert "coil 60 lbf/in, bottomed out " in results(on_bench(soft))
    staged = edit.nudge(select_field(BENCH, ("setup", 0, "winding")), 1)
    assert " coil progressive, " in results(staged)
    over = result_line(typed(BENCH, PRESSURE, "330 psi"), 120, LOOK)
    roles = {role for text, role in over if text == "3"}
    assert roles == {Role.STRONG, Role.WARNING}
    assert result_line(replace(BENCH, bike_answer=None), 120, LOOK) == []
    assert (
        results(replace(BENCH, units=METRIC)) == "~● coil 68.9 N/mm, sag 29.0 %  ~◆ air 14.1 bar, sag 29.0 %"
    )


def test_what_cannot_be_used_is_counted_and_said_at_which_end() -> None:
    one = typed(BENCH, RIDER_MASS, "x")
    two = typed(one, ("target", "sag"), "y")
    before = "curves and figures are OLD."
    assert results(one) == f" ✗ 1 invalid value; {before}"
    assert results(two) == f" ✗ 2 invalid values; {before}"
    never = replace(one, bike_answer=None), replace(two, bike_answer=None)
    assert results(never[0]) == " ✗ 1 invalid value: no result until fixed."
    assert results(never[1]) == " ✗ 2 invalid values: no result until fixed."
    at_front = typed(edit.show_wheel(BENCH, "front"), ("target", "sag"), "y")
    rear = edit.show_wheel(at_front, "rear")
    assert results(rear) == f" ✗ 1 invalid value at the front wheel; {before}"
    at_rear = edit.show_wheel(typed(BENCH, ("target", "sag"), "y"), "front")
    assert results(at_rear) == f" ✗ 1 invalid value at the rear wheel; {before}"
    (row,) = results_line(one, 120, LOOK)
    assert {role for text, role in row if text.strip()} == {Role.FAULT}


def test_what_is_missing_is_named() -> None:
    job = demo_job().without(RIDER_MASS)
    assert results(on_bench(job)) == " ✗ To type: rider mass."
    assert results(on_bench(demo_job().without(("setup",)))) == " ✗ To type: a spring."
    more = on_bench(job.without(("frame", "wheel_travel")))
    assert results(more) == " ✗ To type: rider mass, wheel travel."
    cleared = edit.clear_value(select_field(BENCH, RIDER_MASS))
    assert results(cleared) == " ✗ To type: rider mass; curves and figures are OLD."
    at_front = edit.show_wheel(edit.clear_value(select_field(BENCH, ("frame", "wheel_travel"))), "front")
    assert results(at_front) == " ✗ To type at the rear wheel: wheel travel; curves and figures are OLD."


def test_a_list_of_pairs_says_how_many_it_lacks() -> None:
    def measured(*strokes: float) -> BenchState:
        pairs = {"kind": "measured", "travel_mm": (0.0, 50.0, 100.0)[: len(strokes)], "stroke_mm": strokes}
        return on_bench(demo_job().with_value(LEVERAGE, pairs))

    one, two = measured(0.0), measured(0.0, 20.0)
    more = "of travel and stroke needed: no result yet."
    lacking = [results(state) for state in (one, two)]
    assert all(line.endswith(more) for line in lacking)
    first, second = (int(line.split()[0]) for line in lacking)
    assert first == second + 1
    words = {1: "1 more pair of", 2: "2 more pairs of", 3: "3 more pairs of"}
    assert lacking == [f" {words[count]} {more.removeprefix('of ')}" for count in (first, second)]
    answered = replace(two, bike_answer=BENCH.bike_answer)
    assert results(answered).endswith("needed: curves and figures are OLD.")


# --- title -----------------------------------------------------------------------------------

STEPS = "[Rider] Frame  Springs  Compare  Ride  Hand over "


@pytest.mark.parametrize(
    ("width", "said"),
    [
        (120, f" Demo trail bike (invented figures) {STEPS} rear ~72 unverified not saved yet"),
        (110, f" Demo trail bike (invent… {STEPS} rear ~72 unverified not saved yet"),
        (109, f" Demo trail bike (invented figures)               {STEPS} rear ~72"),
        (80, f" Demo trail bike (i… {STEPS} rear ~72"),
        (60, f" {STEPS} rear ~72"),
        (59, f"{STEPS} rear ~72"),
        (58, " Demo trail bike (invented figures) [Rider] 1/6  rear ~72"),
        (40, " Demo trail bike… [Rider] 1/6  rear ~72"),
        (28, "      [Rider] 1/6  rear ~72"),
    ],
)
def test_the_title_gives_way_to_the_steps_and_to_what_is_unverified(width: int, said: str) -> None:
    assert title(BENCH, width) == said


@pytest.mark.parametrize("width", [22, 40, 80, 120])
def test_the_step_that_is_shown_stands_in_the_title_at_any_width(width: int) -> None:
    for step, name in NAMES.items():
        assert f"[{name}]" in title(show_step(BENCH, step), width)


def test_the_step_that_is_shown_has_the_role_of_what_is_here() -> None:
    (row,) = title_line(show_step(BENCH, Step.SPRINGS), Session(), 80, UTF8)
    assert "".join(text for text, role in row if role == Role.HERE) == "[Springs]"


def test_the_title_says_the_wheel_what_is_not_saved_and_how_many_values_are_unverified() -> None:
    assert title(edit.show_wheel(BENCH, "front"), 120).endswith(" front ~72 unverified not saved yet")
    alone = title(on_bench(BIKE.without(("front",))), 120)
    assert alone.endswith(f"{STEPS} not saved yet")
    assert title(typed(BENCH, RIDER_MASS, "70")).endswith(" rear ~71 *")
    assert title(typed(BENCH, RIDER_MASS, "70"), 120).endswith(" rear ~71 unverified not saved")
    sure = on_bench(BIKE)
    assert title(sure).endswith(" rear")
    single = sure.bike.with_invented(("load", "rider_mass"), "70 kg")
    assert title(on_bench(single), 120).endswith(" rear ~1 unverified not saved yet")
    assert title(on_bench(single.without(("title",)))).startswith(" untitled job ")


def test_the_title_says_where_a_job_is_kept_or_that_it_is_not(tmp_path: Path) -> None:
    save(demo_job(), tmp_path / "stand.toml", None)
    session = Session(load(tmp_path / "stand.toml"))
    assert title(BENCH, 120, session).endswith(" rear ~72 unverified stand.toml")
    session.entry = {"base": 3}
    assert title(BENCH, 120, session).endswith(" rear ~72 unverified stand.toml, records, revision 3")
    assert title(BENCH, 120, Session(entry={"base": 3})).endswith("~72 unverified records, revision 3")
    session.trouble = "the disk is full"
    for shown in (BENCH, typed(BENCH, RIDER_MASS, "70")):
        assert title(shown, 120, session) == " the disk is full, no draft: save to a file"
        assert title(shown, 40, session) == " the disk is full, no draft: save to a …"


# --- meaning and cautions --------------------------------------------------------------------


def test_a_field_is_named_its_doubt_said_and_its_meaning_wrapped() -> None:
    rows = told(meaning_lines(BENCH, 60, 5, UTF8))
    assert rows == [
        " rider mass: ~ unverified: Enter twice confirms it. Rider",
        " ready to ride: shoes, helmet, pack, water. Weigh them like",
        " that.",
        "",
        "",
    ]
    assert told(meaning_lines(BENCH, 60, 2, UTF8)) == [rows[0], f"{rows[1]}…"]
    assert told(meaning_lines(BENCH, 60, 3, UTF8)) == rows[:3]
    sure = edit.confirm_value(select_field(BENCH, ("load", "bike_mass")))
    assert told(meaning_lines(sure, 80, 3, UTF8))[0].startswith(f" {sure.row.label}: ")
    assert "unverified" not in " ".join(told(meaning_lines(sure, 80, 3, UTF8)))
    assert told(meaning_lines(BENCH, 60, 5, ASCII))[0].startswith(" rider mass: * unverified:")
    assert [len(row) for row in meaning_lines(BENCH, 9, 4, UTF8)] == [9] * 4


def test_cautions_stay_where_the_meaning_has_no_room_and_each_is_whole_or_not_there() -> None:
    state = select_field(typed(BENCH, RIDER_MASS, "8.7"), RIDER_MASS)
    told_lines = told(meaning_lines(state, 80, 3, UTF8))
    caution = " ! 8.7 kg for a rider: 20.0 to 160.0 kg is usual (rule of thumb). Check it."
    assert told_lines[0].startswith(" rider mass: Rider ready to ride")
    assert told_lines[2] == caution
    assert told(meaning_lines(state, 80, 1, UTF8)) == [caution]
    roles = {role for row in meaning_lines(state, 80, 1, UTF8) for text, role in row if text.strip()}
    assert roles == {Role.CAUTION}
    drawn_in = select_field(typed(BENCH, ("setup", 1, "port"), "20 mm"), PRESSURE)
    tall = told(meaning_lines(drawn_in, 80, 12, UTF8))
    first = next(n for n, line in enumerate(tall) if "above the max pressure" in line)
    rest = next(n for n, line in enumerate(tall) if "Unloaded it sits" in line)
    last = max(n for n, line in enumerate(tall) if line)
    whole = last - first + 1
    assert told(meaning_lines(drawn_in, 80, whole, UTF8)) == tall[first : last + 1]
    # With a line less the last caution goes as a whole, and the meaning has its place.
    shorter = told(meaning_lines(drawn_in, 80, whole - 1, UTF8))
    assert not any("Unloaded it sits" in line for line in shorter)
    *before, end = tall[first:rest]
    assert shorter[-(rest - first) :] == [*before, f"{end} … ?"], "the help has what is left out"
    cut = told(meaning_lines(drawn_in, 80, 2, UTF8))
    assert cut[-1].endswith(" … ?")
    shown = " ".join(" ".join(told(help_lines(drawn_in, 80, LOOK))).split())
    for line in filter(None, tall[first:]):
        assert line.strip() in shown


def test_a_figure_of_the_table_is_named_and_explained_in_the_words_of_its_end() -> None:
    for fork, word in ((False, "shock"), (True, "fork")):
        rows = told(figure_lines("sag_stroke", fork, 80, 2, UTF8))
        assert word in " ".join(rows)
        assert rows[0].count(":") >= 1
    assert "fork" not in " ".join(told(figure_lines("sag_stroke", False, 80, 2, UTF8)))


# --- keys ------------------------------------------------------------------------------------


def keys(state: BenchState, width: int = 80) -> str:
    (row,) = keys_line(state, width, UTF8)
    assert len(row) == width
    return told([row])[0]


def test_the_keys_of_the_field_come_first_and_take_the_same_room() -> None:
    rest = "/ find  Space menu  [ ] views  Tab step  ? help"
    assert keys(BENCH) == f" Enter edit     {rest}  + - nudge"
    assert keys(select_field(BENCH, RATE)) == f" s solve        {rest}  + - nudge"
    chosen = confirm_value(select_field(BENCH, ("load", "posture")))
    assert keys(chosen).startswith(" Enter choose   / find  Space menu")
    assert keys(edit.open_edit(BENCH)) == " Enter accept   Escape cancel"
    assert keys(BENCH, 35) == " Enter edit     / find  Space menu"
    more = "  + - nudge  u undo  q quit  z zoom  > < ten steps"
    assert keys(BENCH, 130) == f" Enter edit     {rest}{more}"


def test_the_line_of_a_choice_names_its_first_letters_and_the_open_list_its_own_keys() -> None:
    doubted = select_field(BENCH, ("load", "posture"))
    rest = "/ find  Space menu  [ ] views  Tab step  ? help"
    assert keys(doubted) == f" Enter choose   {rest}  type s or t"
    # Where there is room for them behind all else, nothing has to move.
    assert keys(doubted, 120) == f" Enter choose   {rest}  + - nudge  u undo  q quit  z zoom  type s or t"
    assert keys(edit.open_edit(doubted)) == " Enter accept  Escape cancel  Left Right option  type s or t"
    pumped = edit.open_edit(select_field(BENCH, ("setup", 1, "negative")))
    assert keys(pumped).endswith("  type e s c or n")


def list_of(state: BenchState, width: int, height: int) -> list[str]:
    """Return the lines of the open list of options."""
    return told(option_lines(state, width, height, UTF8))


def test_the_open_list_shows_every_option_and_marks_the_picked_one() -> None:
    wire = edit.open_edit(select_field(on_bench(wired()), ("setup", 0, "material")))
    lines = list_of(wire, 80, 2)
    assert lines[0].startswith(" wire material: ")
    for word in ("music wire", "oil-tempered", "chrome-vanadium", "chrome-silicon", "beta titanium"):
        assert sum(word in line for line in lines) == 1
    assert " ".join(lines).count("›") == 1
    narrow = [list_of(replace(wire, option=place), 40, 1)[0] for place in range(5)]
    assert all(line.count("›") == 1 for line in narrow), "what is picked is in sight however little room"
    assert [len(row) for row in option_lines(wire, 30, 4, UTF8)] == [30] * 4


def test_on_a_screen_of_few_lines_the_list_has_the_place_of_the_results() -> None:
    opened = edit.open_edit(select_field(BENCH, ("load", "posture")))
    assert told(foot_lines(opened, 60, 2, LOOK))[0].startswith(" posture: › standing")


def test_what_is_not_saved_can_be_saved_and_what_is_saved_need_not() -> None:
    changed = with_job(BENCH, BENCH.job.with_value(("load", "rider_mass"), "91 kg"))
    assert "Ctrl+S" not in keys(BENCH, 200)
    assert "  Ctrl+S save  ? help" in keys(changed)
    assert "  Ctrl+S save  ? help" in keys(show_view(changed, "tolerance"))


def test_where_setups_are_compared_values_are_nudged_in_place() -> None:
    compared = show_step(BENCH, Step.COMPARE)
    assert keys(compared).startswith(" s solve        + - nudge  / find  Space menu")
    changed = with_job(compared, compared.job.with_value(("load", "rider_mass"), "91 kg"))
    assert keys(changed) == " s solve        + - nudge  / find  Space menu  [ ] views  Tab step  Ctrl+S save"


LEFT_RIGHT = {"chart": "Left Right read  Up Down chart", "leverage": "Left Right read"}
LEFT_RIGHT |= {"figures": "Up Down figure  Left Right setup", "tolerance": ""}


@pytest.mark.parametrize("view", LEFT_RIGHT)
def test_in_a_view_its_own_keys_are_offered_and_those_of_a_field_are_not(view: str) -> None:
    state = show_view(BENCH, view)
    own = LEFT_RIGHT[view]
    start = f" {own}  Escape fields" if own else " Escape fields"
    assert keys(state, 120).startswith(f"{start}  / find  Space menu  [ ] views  Tab step  ? help")
    for key in ("edit", "nudge", "solve", "choose"):
        assert key not in keys(state, 200)
    assert keys(replace(state, in_view=False), 80).startswith((" Enter edit", " s solve"))


def test_in_the_help_one_is_told_the_way_back() -> None:
    assert keys(replace(BENCH, helps=True)).startswith(" Escape fields  / find  Space menu")


def test_what_was_said_leaves_the_keys_where_they_are() -> None:
    def foot(state: BenchState, height: int, width: int = 80) -> list[str]:
        return told(foot_lines(state, width, height, LOOK))

    said = replace(BENCH, note="Saved.")
    quiet = foot(BENCH, 4)
    # The sentence that the note cuts short ends in dots.
    assert foot(said, 4) == [f"{quiet[0]}…", " Saved.", *quiet[2:]]
    in_view = show_view(BENCH, "balance")
    assert foot(replace(in_view, note="Saved."), 4)[1:] == [" Saved.", *foot(in_view, 4)[2:]]
    # A long one has as many lines as there are; where there is none it takes that of the keys.
    assert foot(replace(BENCH, note="word " * 20), 4)[:2] == [
        " " + "word " * 14 + "word",
        " word word word word word",
    ]
    assert foot(said, 2) == [quiet[2], " Saved."]


# --- the strips above the panes --------------------------------------------------------------


def strip(rows: list[CellRow]) -> tuple[str, str]:
    """Return the line above a pane, and what of it stands out as having the focus."""
    (row,) = rows
    return told([row])[0], "".join(text for text, role in row if role == Role.HERE)


def fields(state: BenchState, width: int = 60, look: ChartLook = LOOK, *, framed: bool = False) -> str:
    text, here = strip(fields_strip(state, width, look, framed=framed))
    assert len(text) == width
    assert bool(here) == (not state.in_view and not state.helps)
    return text


def views(state: BenchState, width: int = 60, look: ChartLook = LOOK, *, framed: bool = False) -> str:
    text, here = strip(view_strip(state, width, look, framed=framed))
    assert len(text) == width
    assert bool(here) == (state.in_view or state.helps)
    return text


def test_one_pane_has_the_focus_and_its_strip_says_so_by_a_mark_and_by_its_role() -> None:
    for state in (BENCH, show_view(BENCH, "chart"), replace(BENCH, helps=True)):
        marked = [UTF8.selected in text for text in (fields(state), views(state))]
        assert marked == ([False, True] if state.in_view or state.helps else [True, False])


def test_the_fields_say_what_they_are_about_and_how_many_are_to_type() -> None:
    assert fields(BENCH) == "─› rider " + "─" * 38 + " ~9 to type ─"
    missing = BENCH.job.without(("load", "rider_mass")).without(("load", "bike_mass"))
    assert fields(with_job(BENCH, missing)).endswith(" ✗2 ~7 to type ─")
    sure = on_bench(BIKE)
    assert fields(sure) == "─› rider " + "─" * 51
    assert fields(BENCH, framed=True)[:9] + fields(BENCH, framed=True)[-1] == "╭› rider ╮"
    assert fields(BENCH, look=LOOK._replace(glyphs=ASCII), framed=True).isascii()


def test_the_count_of_what_is_to_type_has_what_is_folded_away_in_it_and_goes_down() -> None:
    def count(state: BenchState) -> int:
        return int(fields(state).split("~")[1].split()[0])

    springs = show_step(BENCH, Step.SPRINGS)
    panel = springs.panels[springs.panel]
    doubted = {row.path for row in (*panel.rows, *panel.hidden) if springs.job.is_unconfirmed(row.path)}
    assert any(row.path in doubted for row in panel.hidden)
    assert count(springs) == len(doubted)
    assert count(switch_rest(springs)) == len(doubted)
    confirmed = edit.confirm_value(select_field(springs, ("setup", 0, "preload_turns")))
    assert count(confirmed) == len(doubted) - 1


def test_the_setups_are_tabs_with_the_selected_one_in_brackets() -> None:
    springs = show_step(BENCH, Step.SPRINGS)
    assert "─›[● coil] ◆ air ─" in fields(springs)
    assert "─› ● coil [◆ air]─" in fields(select_setup(springs, 1))


def test_the_views_of_a_step_are_named_in_their_order_and_the_one_shown_stands_out() -> None:
    springs = show_step(BENCH, Step.SPRINGS)
    assert views(springs) == "── chart · figures · order · wire " + "─" * 26
    on_air = select_setup(springs, 1)
    assert views(on_air) == "── chart · figures · pump · order · spacers " + "─" * 16
    for state in (show_view(springs, view) for view in springs.view_ids):
        (row,) = view_strip(state, 120, LOOK, framed=False)
        here = "".join(text for text, role in row if role == Role.HERE)
        assert here.strip("─›╭╮ ") == VIEW_ROWS[state.view].name


@pytest.mark.parametrize("width", [36, 40, 41, 60, 78, 90])
@pytest.mark.parametrize("step", [Step.COMPARE, Step.RIDE])
def test_the_strip_says_which_of_how_many_views_it_is_and_names_its_neighbours(
    step: Step, width: int
) -> None:
    there = show_step(BENCH, step)
    ids = there.view_ids
    for place, view in enumerate(ids):
        shown = views(show_view(there, view), width)
        found = re.fullmatch(r"[─›]+ (?:(\d+)/(\d+) )?(\[ )?(.*?)( \])? ─*", shown)
        assert found is not None
        at, count, before, named, after = found.groups()
        names = named.split(" · ")
        first = [VIEW_ROWS[id].name for id in ids].index(names[0])
        last = first + len(names)
        # Whole names, the one shown among them.
        assert names == [VIEW_ROWS[id].name for id in ids[first:last]]
        assert first <= place < last
        if len(names) == len(ids):
            assert not at
            continue
        assert (int(at), int(count)) == (place + 1, len(ids))
        assert (bool(before), bool(after)) == (first > 0, last < len(ids))
        if width >= 41 and view != "match_volumes":  # whose name takes all of that
            assert len(names) > 1
    # Beside the fields of 80 columns all four of the ride are named.
    assert "advice · measured · events · log" in views(show_step(BENCH, Step.RIDE), 40)


def test_a_wide_strip_of_many_views_has_both_neighbours() -> None:
    compare = show_step(BENCH, Step.COMPARE)
    for width in (60, 78):
        for before, here, after in zip(
            compare.view_ids, compare.view_ids[1:], compare.view_ids[2:], strict=False
        ):
            shown = views(show_view(compare, here), width)
            assert all(VIEW_ROWS[id].name in shown for id in (before, here, after))


def test_the_help_takes_the_strip_of_the_view() -> None:
    assert views(replace(BENCH, helps=True)) == "─› help " + "─" * 52


@pytest.mark.parametrize("step", Step)
def test_no_key_is_named_that_would_be_typed_into_the_field_with_the_cursor(step: Step) -> None:
    here = replace(show_step(BENCH, step), unfolded=frozenset(Step))
    panel = here.panels[here.panel]
    for row in range(len(panel.rows)):
        there = with_cursor(here, here.panel, row)
        named = [key for action in KEYMAP.key_line(there) for key in action.keys[:1]]
        assert "tab" in named
        assert not [key for key in named if len(key) == 1 and KEYMAP.is_typed(there, key)], there.row.label
    customer = select_field(BENCH, ("record", "customer"))
    shown = keys(customer, 130)
    assert shown == " Enter edit     / find  Space menu  [ ] views  Tab step  ? help  Ctrl+Q quit"
    assert "q quit" in keys(BENCH, 130)
