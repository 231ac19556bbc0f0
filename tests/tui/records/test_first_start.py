"""What somebody is told at a start: the very first time, and of settings at fault."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.tui.bench.conftest import bench_app, started
from tests.tui.records.conftest import records
from tests.tui.screens import painted
from tui.app import BenchApp
from tui.bench.session import Session
from tui.bench.state import open_bench
from tui.job.demo import demo_job
from tui.job.job import History
from tui.records.commands import WORDS
from tui.store.records import Records
from tui.store.store import Store

assert len(WORDS) < 80


async def note_at_start(session: Session) -> str:
    async with bench_app(session=session).run_test(size=(80, 24)) as pilot:
        return (await started(pilot)).text("note").splitlines()[-1].strip()


async def test_the_first_start_says_where_the_records_are(tmp_path: Path) -> None:
    new = tmp_path / "data" / "records.sqlite"
    assert await note_at_start(Session(records=Records(str(new)))) == WORDS
    assert not new.exists()  # looking for it makes nothing


@pytest.mark.slow
async def test_nobody_else_is_told(store: Store, place: Path) -> None:
    assert "Weigh them like that." in await note_at_start(Session(records=Records(str(place))))
    assert "Weigh them like that." in await note_at_start(
        Session(records=Records("postgresql://nobody@127.0.0.1:1/none"))
    )


@pytest.mark.slow
async def test_what_is_too_long_for_its_line_at_the_start_can_be_read_to_its_end() -> None:
    told = (
        "settings.toml: shop.colour: unknown key; the nearest known key is name. settings.toml: last of all"
    )
    app = BenchApp(replace(open_bench(History.starting_at(demo_job())), note=told), Session())
    async with app.run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        assert "last of all" in painted(pilot)
        await bench.press("escape")
        assert app.screen is bench.screen


@pytest.mark.slow
@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_demo_shop_is_offered_while_nothing_is_in_the_records(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    async with records(tmp_path / "new" / "records.sqlite", size) as bench:
        assert "The records are empty." in bench.part("list")
        assert "Space, then i adds an invented demo shop" in bench.part("list")
        await bench.do("space", "i")
        assert "invented jobs added" in bench.part("detail")
        count = len(bench.front.state.lines)
        assert count >= 10
        assert "invented" in bench.part("detail")
        await bench.do(":demo")
        assert len(bench.front.state.lines) == count
        assert "Add the demo shop: not now, the records are not empty." in bench.part("detail")


@pytest.mark.slow
async def test_a_search_that_finds_nothing_is_no_empty_shop(shop: Store, place: Path) -> None:
    async with records(place) as bench:
        await bench.find("zzz")
        await bench.do(":demo")
        assert "not now, the records are not empty" in bench.part("detail")
        assert len(shop.find().entries) == 3


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize(
    ("keys", "opened"),
    [
        (("enter",), "New job: which wheel?"),
        (("A", "n", "a", "enter"), "New job: which wheel?"),
        (("down", "enter"), "The invented demo is on the bench."),
        (("down", "down", "enter"), "Open a job"),
        (("up", "enter"), "The records are empty."),
        (("tab", "tab", "tab", "tab", "enter"), "New job: which wheel?"),
        (("escape",), "The invented demo is on the bench."),
    ],
)
async def test_the_first_start_asks_what_to_open(tmp_path: Path, keys: tuple[str, ...], opened: str) -> None:
    app = bench_app(session=Session(records=Records(str(tmp_path / "new" / "records.sqlite"))))
    async with app.run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        seen = painted(pilot)
        for offered in ("What to open?", "new job", "demo job", "a job file", "the records"):
            assert offered in seen
        await bench.press(*keys)
        await app.workers.wait_for_complete()
        await bench.pilot.pause()
        assert opened in painted(pilot)
        assert "What to open?" not in painted(pilot)
        assert ("New job" in painted(pilot)) == opened.startswith("New job")
