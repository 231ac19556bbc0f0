"""The lines of the bench to the last word: title, results, meaning, cautions and keys, at every width."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.tui.job.two_ends import BIKE
from tests.tui.looks import LOOK
from tui.bench import edit
from tui.bench.session import Session
from tui.bench.state import BenchState, open_bench, select_field, with_answer
from tui.bench.words import figure_lines, keys_line, meaning_lines, result_line, results_line, title_line
from tui.job.demo import demo_job
from tui.job.files import load, save
from tui.job.job import History, Job
from tui.job.panels import LEVERAGE, RIDER_MASS
from tui.job.tree import TreePath
from tui.kit.cells import CellRow
from tui.kit.edit import type_text
from tui.kit.look import ASCII, UTF8
from tui.kit.roles import Role
from tui.shop_units import IMPERIAL, METRIC


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


@pytest.mark.parametrize(
    ("width", "said"),
    [
        (120, " ● coil 393 lbf/in, sag 29.0 %   ◆ air 205 psi, sag 29.0 %"),
        (59, " ● coil 393 lbf/in, sag 29.0 %   ◆ air 205 psi, sag 29.0 %"),
        (58, " ● coil 393 lbf/in, sag 29.0 %   ◆ air 205 psi, sag 29.0 %"),
        (57, " ● coil 393 lbf/in   ◆ air 205 psi"),
        (34, " ● coil 393 lbf/in   ◆ air 205 psi"),
        (33, " ● 393 lbf/in   ◆ 205 psi"),
        (25, " ● 393 lbf/in   ◆ 205 psi"),
        (24, " ● 393 lbf/in   ◆ 205 psi"[:23] + "…"),
    ],
)
def test_what_does_not_fit_of_the_results_goes_sags_before_names(width: int, said: str) -> None:
    assert results(BENCH, width) == said


@pytest.mark.parametrize(
    ("path", "text", "said"),
    [
        (PRESSURE, "330 psi", "air !330 psi, sag"),
        (("setup", 1, "port"), "40 mm", "air -, not found"),
        (("setup", 1, "port"), "20 mm", "at rest, sag"),
    ],
)
def test_a_setup_that_is_not_well_says_so_in_the_results(path: TreePath, text: str, said: str) -> None:
    assert said in results(typed(BENCH, path, text)).replace("–", "-")


def test_a_spring_that_holds_the_wheel_up_tops_out_and_one_in_stages_has_no_rate() -> None:
    stiff = on_bench(demo_job().with_value(RATE, "1500 lbf/in").with_value(("setup", 0, "preload_turns"), 10))
    assert "coil 1500 lbf/in, tops out " in results(stiff)
    soft = demo_job().with_value(RATE, "60 lbf/in")
    for key in ("bumper_length", "bumper_force"):
        soft = soft.without(("setup", 0, key))
    assert "coil 60 lbf/in, on the stop " in results(on_bench(soft))
    staged = edit.nudge(select_field(BENCH, ("setup", 0, "winding")), 1)
    assert " coil in stages, " in results(staged)
    over = result_line(typed(BENCH, PRESSURE, "330 psi"), 120, LOOK)
    roles = {role for text, role in over if text == "3"}
    assert roles == {Role.STRONG, Role.WARNING}
    assert result_line(replace(BENCH, bike_answer=None), 120, LOOK) == []
    assert (
        results(replace(BENCH, units=METRIC)) == " ● coil 68.9 N/mm, sag 29.0 %   ◆ air 14.1 bar, sag 29.0 %"
    )


def test_what_cannot_be_used_is_counted_and_said_at_which_end() -> None:
    one = typed(BENCH, RIDER_MASS, "x")
    two = typed(one, ("target", "sag"), "y")
    before = "curves and figures are those of before."
    assert results(one) == f" ✗ 1 value cannot be used: {before}"
    assert results(two) == f" ✗ 2 values cannot be used: {before}"
    never = replace(one, bike_answer=None), replace(two, bike_answer=None)
    assert results(never[0]) == " ✗ 1 value cannot be used: no answer until it is put right."
    assert results(never[1]) == " ✗ 2 values cannot be used: no answer until they are put right."
    at_front = typed(edit.show_wheel(BENCH, "front"), ("target", "sag"), "y")
    assert results(edit.show_wheel(at_front, "rear")) == (
        f" ✗ 1 value cannot be used at the front, where e leads: {before}"
    )
    at_rear = edit.show_wheel(typed(BENCH, ("target", "sag"), "y"), "front")
    assert results(at_rear) == f" ✗ 1 value cannot be used at the rear, where e leads: {before}"
    (row,) = results_line(one, 120, LOOK)
    assert {role for text, role in row if text.strip()} == {Role.FAULT}


def test_a_list_of_pairs_says_how_many_it_lacks() -> None:
    def measured(*strokes: float) -> BenchState:
        pairs = {"kind": "measured", "travel_mm": (0.0, 50.0, 100.0)[: len(strokes)], "stroke_mm": strokes}
        return on_bench(demo_job().with_value(LEVERAGE, pairs))

    one, two = measured(0.0), measured(0.0, 20.0)
    more = "of travel and stroke needed: no answer until then."
    lacking = [results(state) for state in (one, two)]
    assert all(line.endswith(more) for line in lacking)
    first, second = (int(line.split()[0]) for line in lacking)
    assert first == second + 1
    words = {1: "1 more pair of", 2: "2 more pairs of", 3: "3 more pairs of"}
    assert lacking == [f" {words[count]} {more.removeprefix('of ')}" for count in (first, second)]
    answered = replace(two, bike_answer=BENCH.bike_answer)
    assert results(answered).endswith("needed: curves and figures are those of before.")


# --- title -----------------------------------------------------------------------------------

WHOLE = " Demo trail bike (invented figures)  rear  not kept yet"


@pytest.mark.parametrize(
    ("width", "said"),
    [
        (120, f"{WHOLE:<86}72 values unverified  usual units"),
        (100, f"{WHOLE:<66}72 values unverified  usual units"),
        (99, f"{WHOLE:<71}~72 unverified  usual units"),
        (80, " Demo trail bike (invented fi…  rear  not kept yet  ~72 unverified  usual units"),
        (60, " Demo trail bike (i…  rear  not…~72 unverified  usual units"),
        (28, " Demo trail bike (i…  rear …"),
    ],
)  # fmt: skip
def test_the_title_gives_way_to_where_the_job_lives_and_what_is_unverified(width: int, said: str) -> None:
    assert title(BENCH, width) == said


def test_the_title_says_the_wheel_what_is_not_saved_and_the_units() -> None:
    assert "  front  not kept yet" in title(edit.show_wheel(BENCH, "front"), 120)
    alone = title(on_bench(BIKE.without(("front",))), 120)
    assert alone.startswith(" Demo trail bike (invented figures)  not kept yet  ")
    assert "not saved  ~71 unverified  usual units" in title(typed(BENCH, RIDER_MASS, "70"))
    assert title(replace(BENCH, units=IMPERIAL)).endswith("imperial units")
    sure = on_bench(BIKE)
    assert "unverified" not in title(sure)
    single = sure.bike.with_invented(("load", "rider_mass"), "70 kg")
    assert "  1 value unverified  usual units" in title(on_bench(single), 120)
    assert title(on_bench(single.without(("title",)))).startswith(" job without a title  rear  ")


def test_the_title_says_where_a_job_is_kept_or_that_it_is_not(tmp_path: Path) -> None:
    save(demo_job(), tmp_path / "stand.toml", None)
    session = Session(load(tmp_path / "stand.toml"))
    assert "  rear  stand.toml  " in title(BENCH, 120, session)
    session.entry = {"base": 3}
    assert "  rear  stand.toml, records, revision 3  " in title(BENCH, 120, session)
    assert "  rear  records, revision 3  " in title(BENCH, 120, Session(entry={"base": 3}))
    session.trouble = "the disk is full"
    assert title(BENCH, 120, session).endswith(" the disk is full, no draft: W saves elsewhere")
    assert title(BENCH, 40, session) == " the disk is full, no draft: W saves el…"


# --- meaning and cautions --------------------------------------------------------------------


def test_a_field_is_named_its_doubt_said_and_its_meaning_wrapped() -> None:
    rows = told(meaning_lines(BENCH, 60, 5, UTF8))
    assert rows == [
        " rider mass: ~ unverified: type over it, or Space confirms",
        " it as it stands. The rider ready to ride, with shoes,",
        " helmet, pack and water: have them step on a scale like",
        " that.",
        "",
    ]
    assert told(meaning_lines(BENCH, 60, 2, UTF8)) == rows[:2]
    sure = edit.confirm_value(select_field(BENCH, ("load", "bike_mass")))
    assert told(meaning_lines(sure, 80, 3, UTF8))[0].startswith(f" {sure.row.label}: ")
    assert "unverified" not in " ".join(told(meaning_lines(sure, 80, 3, UTF8)))
    assert told(meaning_lines(BENCH, 60, 5, ASCII))[0].startswith(" rider mass: * unverified:")
    assert [len(row) for row in meaning_lines(BENCH, 9, 4, UTF8)] == [9] * 4


def test_cautions_stay_where_the_meaning_has_no_room_and_each_is_whole_or_not_there() -> None:
    state = select_field(typed(BENCH, RIDER_MASS, "8.7"), RIDER_MASS)
    told_lines = told(meaning_lines(state, 80, 3, UTF8))
    caution = " 8.7 kg for a rider: 20.0 to 160.0 kg is usual (rule of thumb). Check it."
    assert told_lines[0].startswith(" rider mass: The rider ready to ride")
    assert told_lines[2] == caution
    assert told(meaning_lines(state, 80, 1, UTF8)) == [caution]
    roles = {role for row in meaning_lines(state, 80, 1, UTF8) for text, role in row if text.strip()}
    assert roles == {Role.WARNING}
    drawn_in = select_field(typed(BENCH, ("setup", 1, "port"), "20 mm"), PRESSURE)
    tall = told(meaning_lines(drawn_in, 80, 12, UTF8))
    first = next(n for n, line in enumerate(tall) if "above the label's limit" in line)
    rest = next(n for n, line in enumerate(tall) if "Unloaded it rests" in line)
    last = max(n for n, line in enumerate(tall) if line)
    whole = last - first + 1
    assert told(meaning_lines(drawn_in, 80, whole, UTF8)) == tall[first : last + 1]
    # With a line less the last caution goes as a whole, and the meaning has its place.
    shorter = told(meaning_lines(drawn_in, 80, whole - 1, UTF8))
    assert not any("Unloaded it rests" in line for line in shorter)
    assert shorter[-(rest - first) :] == tall[first:rest]


def test_a_figure_of_the_table_is_named_and_explained_in_the_words_of_its_end() -> None:
    for fork, word in ((False, "shock"), (True, "fork")):
        rows = told(figure_lines("sag_stroke", fork, 80, 2, UTF8))
        assert word in " ".join(rows)
        assert rows[0].count(":") >= 1
    assert "fork" not in " ".join(told(figure_lines("sag_stroke", False, 80, 2, UTF8)))


# --- keys ------------------------------------------------------------------------------------


def keys(state: BenchState, width: int = 80, *, in_table: bool = False) -> str:
    (row,) = keys_line(state, width, UTF8, in_table=in_table)
    assert len(row) == width
    return told([row])[0]


def test_the_keys_of_the_field_come_first_and_take_the_same_room() -> None:
    rest = "+ - > < nudge  ? keys  Ctrl+S save  q quit  u undo  O records"
    assert keys(BENCH) == f" Enter edit      {rest}"
    assert keys(select_field(BENCH, RATE)) == f" s solved/typed  {rest}"
    assert keys(select_field(BENCH, ("load", "posture"))) == f" Enter next way  {rest}"
    assert keys(edit.open_edit(BENCH)) == " Enter take it  Escape as it was"
    assert keys(BENCH, 34) == " Enter edit      + - > < nudge"


def test_in_the_table_the_keys_of_a_field_are_not_offered_and_in_a_view_its_own_are() -> None:
    table = keys(BENCH, 120, in_table=True)
    assert table.startswith(" t panels  ? keys  Ctrl+S save  q quit  O records  v chart")
    for key in ("edit", "nudge", "undo", "Tab", "t table"):
        assert key not in table
    viewed = keys(replace(BENCH, view="balance"), 120)
    assert viewed.startswith(" Enter edit      t scroll  Escape back  + - > < nudge  ? keys")
    assert "t table" not in viewed
    assert "t table" in keys(BENCH, 160)


def test_what_was_said_stands_in_place_of_the_keys() -> None:
    assert keys(replace(BENCH, note="Saved.")) == " Saved."
    assert keys(replace(BENCH, note="Saved."), in_table=True) == " Saved."
    assert keys(replace(BENCH, note="x" * 90)) == " " + "x" * 78 + "…"
