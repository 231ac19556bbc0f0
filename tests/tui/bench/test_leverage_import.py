"""Leverage from a table in a file on the bench: asked for, shown, taken as one edit. Frames are invented."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.tui.bench.conftest import bench_app, started
from tests.tui.screens import said
from tests.tui.tables.testers import csv_of_demo, demo_set
from tui.bench.commands import leverage_taken
from tui.bench.edit import undo
from tui.bench.state import BenchState, open_bench, with_answer
from tui.job.demo import demo_job
from tui.job.job import History
from tui.subjects.leverage import LeverageRead, leverage_in
from tui.tables.questions import Told
from tui.tables.table import table_of

SIZES = [(80, 24), (120, 40)]
FITS = "wheel travel [mm];leverage ratio\n0;2,8\n80;2,5\n160;2,2\n"
"""Over 160 mm of travel it uses about 64 mm of stroke, more than the shock of the demo has."""
WITH_STROKE = "wheel travel [mm];shock stroke [mm];ratio\n0;0;2,8\n75;28;2,6\n148;57;2,4\n"


AS_IT_WAS = open_bench(History.starting_at(demo_job())).job


def read(text: str) -> LeverageRead:
    return leverage_in(table_of(text, "curve.csv"), Told())


def bench() -> BenchState:
    return with_answer(open_bench(History.starting_at(demo_job())))


def test_taking_sets_what_the_table_says_and_undo_takes_all_of_it_back() -> None:
    before = bench()
    after = leverage_taken(before, read(WITH_STROKE))
    assert after.faults == ()
    assert after.job.get(("frame", "leverage", "kind")) == "table"
    assert after.job.get(("frame", "leverage", "ratio")) == (2.8, 2.6, 2.4)
    assert after.job.get(("frame", "leverage", "start")) is None
    assert after.job.get(("frame", "wheel_travel")) == before.job.get(("frame", "wheel_travel")) == "148 mm"
    assert after.job.get(("frame", "stroke")) == "57 mm"
    assert after.row.path == ("frame", "leverage", "kind")
    assert after.note == "Leverage from curve.csv applied; u undoes it."
    assert undo(after).bike == before.bike
    assert leverage_taken(after, read(WITH_STROKE)).note == "This leverage is in the job already."


def test_what_does_not_go_with_the_table_is_where_the_cursor_goes() -> None:
    after = leverage_taken(bench(), read(FITS))
    assert after.job.get(("frame", "wheel_travel")) == "160 mm"
    assert after.job.get(("frame", "stroke")) == "60 mm"
    assert after.row.path == ("frame", "stroke")
    assert [fault.path for fault in after.faults] == [("frame", "stroke")]


def test_pairs_are_taken_as_pairs_at_either_end() -> None:
    pairs = "travel;stroke\nmm;mm\n" + "".join(f"{w};{w / 2.5:.2f}\n" for w in range(0, 151, 25))
    front = leverage_taken(replace(bench(), wheel="front"), read(pairs))
    assert front.bike.get(("front", "frame", "leverage", "kind")) == "measured"
    assert front.bike.get(("frame", "leverage", "kind")) == "ends"
    assert front.bike.get(("front", "frame", "stroke")) == "60 mm"


@pytest.mark.parametrize("size", SIZES)
async def test_a_file_is_asked_for_shown_and_taken(size: tuple[int, int], own_home: Path) -> None:
    (own_home / "curve.csv").write_text(WITH_STROKE)
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        await bench.do("import")
        await bench.press("c", "tab", "enter")
        words = said(pilot)
        assert "Wheel travel [mm] in column 1, shock stroke [mm] in column 2, leverage ratio in" in words
        assert "3 rows to 148 mm of wheel travel, 57 mm of stroke, ratio 2.80 to 2.40 : 1." in words
        assert "Frame shock stroke: 60 mm → 57 mm." in words
        assert "Frame wheel travel" not in words
        await bench.press("t")
        assert bench.state.job.get(("frame", "leverage", "kind")) == "table"
        assert "Leverage from curve.csv applied; u undoes it." in bench.text("note")
        await bench.press("u")
        assert bench.state.job == AS_IT_WAS


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_what_the_file_does_not_say_is_asked_for(size: tuple[int, int], own_home: Path) -> None:
    (own_home / "bare.txt").write_text("0 2.8\n30 2.5\n60 2.2\n")
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        await bench.do("import")
        await bench.write("bare.txt")
        await bench.press("enter")
        words = said(pilot)
        assert "Which of 2 columns are wheel travel, shock stroke or leverage ratio is unclear." in words
        assert "Columns are 1, 2. Answer like travel 1, ratio 2" in words
        await bench.write("stroke 1")
        await bench.press("enter")
        words = said(pilot)
        assert '"stroke 1" cannot be read; give the numbers of the columns as in "travel 1, ratio 2"' in words
        assert "(there are travel, stroke, ratio)" in words
        await bench.write(", ratio 2")
        await bench.press("enter")
        assert "Unit of the shock stroke, such as mm" in said(pilot)
        await bench.write("psi")
        await bench.press("enter")
        assert '"psi" is not a unit of shock stroke; use one of mm, cm, m, in' in said(pilot)
        await bench.press("ctrl+u")
        await bench.write("mm")
        await bench.press("enter")
        words = said(pilot)
        assert (
            "Wheel travel follows from the ratios over the stroke, with 18 rows added between them." in words
        )
        assert "Frame wheel travel: 148 mm → 150 mm." in words
        await bench.press("escape")
        assert bench.state.job == AS_IT_WAS
        assert len(pilot.app.screen_stack) == 1


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("none.csv", "No such file; Tab shows what there is."),
        ("", "This is a folder; add a file name."),
        (
            "bad.csv",
            "line 4: wheel travel 5 mm is not above the 9 mm of the previous row; use increasing rows",
        ),
        ("many.csv", "and 10 more lines"),
        ("book.csv", "a spreadsheet file; use a table saved as CSV"),
    ],
)
async def test_what_is_wrong_is_told_below_the_line(name: str, told: str, own_home: Path) -> None:
    (own_home / "bad.csv").write_text("wheel mm;ratio\n0;2\n9;2\n5;2\n")
    (own_home / "many.csv").write_text("wheel mm;ratio\n" + "9;2\n" * 50)
    (own_home / "book.csv").write_bytes(b"PK\x03\x04")
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.do("import")
        await bench.write(name)
        await bench.press("enter")
        assert told in said(pilot)
        assert "Escape" in said(pilot)
        await bench.press("escape")
        assert bench.state.job == AS_IT_WAS


@pytest.mark.slow
async def test_units_of_readings_are_asked_for_as_well(own_home: Path) -> None:
    (own_home / "loop.csv").write_text("\n".join(csv_of_demo(0).splitlines()[1:]))
    async with bench_app(demo_set()).run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.do("readings")
        await bench.write("loop.csv")
        await bench.press("enter")
        assert "Units of stroke and force, such as mm, N" in said(pilot)
        await bench.write("mm N")
        await bench.press("enter")
        assert len(pilot.app.screen_stack) == 1
        assert bench.state.readings is not None
