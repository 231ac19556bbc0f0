"""A number in a field is what it says: unlikely ones are asked about, fractions refused, shares converted."""

from __future__ import annotations

import math

import pytest

from tests.tui.bench.conftest import bench_app, started
from tui.bench.cells import caution_at
from tui.bench.edit import show_other_wheel
from tui.bench.keymap import KEYMAP
from tui.bench.state import BenchState, open_bench, select_field, with_answer
from tui.job.demo import demo_job
from tui.job.job import History
from tui.job.panels import RIDER_MASS
from tui.job.tree import TreePath
from tui.shop_units import IMPERIAL

BENCH = with_answer(open_bench(History.starting_at(demo_job())))
SAG: TreePath = ("target", "sag")
PORT: TreePath = ("setup", 1, "port")
READ: TreePath = ("measured", "sag")


def press(state: BenchState, *keys: str) -> BenchState:
    for key in keys:
        state = KEYMAP.pressed(state, key, key if len(key) == 1 else " " if key == "space" else None)
    return state


def test_an_unlikely_value_is_asked_about_and_taken_when_entered_again() -> None:
    asked = press(BENCH, *"8.7", "enter")
    assert asked.job == BENCH.job
    assert asked.note == "8.7 kg for a rider? Enter again accepts it, Esc leaves 82 kg."
    assert len(asked.note) < 80
    taken = press(asked, "enter")
    assert (taken.job.get(RIDER_MASS), taken.edit) == ("8.7 kg", None)
    assert taken.row.path == ("load", "posture"), "it was unverified: on to the next such"
    row = select_field(taken, RIDER_MASS).row
    assert "8.7 kg for a rider: 20.0 to 160.0 kg is usual" in caution_at(taken, row)
    left = press(asked, "escape")
    assert (left.job, left.edit) == (BENCH.job, None)


def test_another_unlikely_value_is_asked_about_anew_and_a_usual_one_is_not() -> None:
    asked = press(BENCH, *"8.7", "enter", "backspace")
    again = press(asked, "8", "enter")
    assert (again.job, again.note[:6]) == (BENCH.job, "8.8 kg")
    usual = press(asked, "backspace", "7", "enter")
    assert usual.job.get(RIDER_MASS) == "87 kg"


@pytest.mark.parametrize("key", ["down", "up", "tab", "pagedown", "f1", "ctrl+r"])
def test_a_moving_key_asks_too_and_never_takes_it(key: str) -> None:
    asked = press(BENCH, *"8.7", *[key] * 3)
    assert asked.job == BENCH.job
    if key != "f1":
        assert asked.row.path == RIDER_MASS
        assert "Enter again accepts it" in asked.note
    assert press(asked, "enter").job.get(RIDER_MASS) == ("8.7 kg" if key != "f1" else "82 kg")


@pytest.mark.parametrize(
    ("path", "text", "note"),
    [
        (SAG, "95", "95 % for a sag? Enter again accepts it, Esc leaves 29 %."),
        (("setup", 1, "bore"), "150", "150 mm for a bore? Enter again accepts it, Esc leaves "),
        (("setup", 1, "pressure"), "3", "3 psi for a set pressure? "),
        (("measured", "tyre"), "3", "3 psi for a tyre? Enter again accepts it, Esc leaves it empty."),
        (("load", "bike_share"), "9", "9 % for the bike share on one wheel? "),
        (("setup", 0, "preload_turns"), "45", "45 turns for preload? "),
    ],
)
def test_absurd_values_are_asked_about_in_the_unit_shown(path: TreePath, text: str, note: str) -> None:
    asked = press(select_field(BENCH, path), *text, "enter")
    assert asked.note.startswith(note)
    assert asked.job == BENCH.job
    assert press(asked, "enter").job != BENCH.job


def test_what_cannot_be_used_is_told_at_its_field_and_not_asked_about() -> None:
    wrong = press(select_field(BENCH, SAG), *"120", "enter")
    assert (wrong.job.get(SAG), wrong.note) == ("120 %", "")
    assert [fault.path for fault in wrong.faults] == [SAG]


def test_the_question_shows_the_shops_unit_beside_another() -> None:
    from dataclasses import replace

    asked = press(replace(BENCH, units=IMPERIAL), *"8.7", "enter")
    assert asked.note.startswith("8.7 kg (19.2 lb) for a rider? ")


@pytest.mark.parametrize(
    ("path", "note"),
    [
        (SAG, '"0.3" may be a share of the whole: write 30 % or 44.4 mm.'),
        (READ, '"0.3" may be a share of the whole: write 30 % or 44.4 mm.'),
        (PORT, '"0.3" may be a share of the whole: write 30 % or 18 mm.'),
        (("load", "bike_share"), '"0.3" may be a share of the whole: write 30 %.'),
    ],
)
def test_a_fraction_is_never_read_unseen(path: TreePath, note: str) -> None:
    asked = press(select_field(BENCH, path), *"0.3", "enter", "enter", "down", "enter")
    assert asked.job == BENCH.job
    assert asked.note == note
    assert press(asked, "ctrl+u", *"30", "enter").job != BENCH.job


def test_shares_and_lengths_are_kept_as_the_file_has_them() -> None:
    assert press(select_field(BENCH, SAG), *"37 mm", "enter").job.get(SAG) == "25 %"
    assert press(select_field(BENCH, PORT), *"15%", "enter").job.get(PORT) == "9 mm"
    assert press(select_field(BENCH, READ), *"30 %", "enter").job.get(READ) == "44.4 mm"
    by_shock = BENCH.job.with_value(("measured", "of"), "stroke")
    state = select_field(with_answer(open_bench(History.starting_at(by_shock))), READ)
    assert press(state, *"30 %", "enter").job.get(READ) == "18 mm"
    front = show_other_wheel(BENCH)
    fork = press(select_field(front, SAG), *"30 mm", "enter").job.get(SAG)
    assert fork == f"{100 * 30 / (160 * math.sin(math.radians(64.5))):.2f} %"


def test_a_nudge_into_what_is_unlikely_says_so_once() -> None:
    at_edge = select_field(press(BENCH, *"21", "enter"), RIDER_MASS)
    assert at_edge.job.get(RIDER_MASS) == "21 kg"
    below = press(at_edge, "<")
    assert below.job.get(RIDER_MASS) == "11 kg"
    assert below.note == "11 kg for a rider? u undoes it."
    assert press(below, "-").note == ""


@pytest.mark.slow
async def test_the_question_stands_on_the_status_line_and_saving_waits_for_it() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.press(*"8.7")
        assert "8.7 kg" in bench.text("grid")
        await bench.press("ctrl+s")
        assert pilot.app.screen is bench.screen
        asked = "8.7 kg for a rider? Enter again accepts it, Esc leaves 82 kg."
        assert asked in bench.text("note")
        await bench.press("P")
        assert "8.7P" in bench.text("grid")
        await bench.press("backspace", "escape")
        assert bench.state.job.get(RIDER_MASS) == "82 kg"
        await bench.press(*"8.7", "enter")
        assert asked in bench.text("note")
        await bench.press("enter")
        assert bench.state.job.get(RIDER_MASS) == "8.7 kg"
        await bench.press("up")
        assert "8.7 kg for a rider: 20.0 to 160.0 kg is usual (rule of thumb)" in " ".join(
            bench.text("meaning").split()
        )


async def test_an_empty_field_shows_the_unit_it_takes() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        bench.screen.take(select_field(bench.state, READ))
        await bench.press("enter")
        line = next(line for line in bench.text("grid").splitlines() if "sag measured" in line)
        assert line.split("│")[0].split()[-1] == "mm"
