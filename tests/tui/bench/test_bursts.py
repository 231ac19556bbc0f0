"""Keys that arrive in one go, as over a slow line: each is for the screen that the one before it opened."""

from __future__ import annotations

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Input

from tests.tui.bench.conftest import bench_app, started
from tests.tui.screens import painted
from tui.job.demo import demo_job
from tui.linkage.screen import LinkageScreen
from tui.records.screen import RecordsScreen

CHARACTERS = {"space": " ", "tab": "\t", "enter": "\r"}


async def burst(pilot: Pilot[int], *keys: str) -> None:
    """Press keys without waiting for any of them to be done."""
    for key in keys:
        pilot.app.post_message(events.Key(key, CHARACTERS.get(key, key)))
    for _ in range(5):
        await pilot.pause()


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_what_is_typed_right_behind_the_key_of_the_records_is_searched_for(
    size: tuple[int, int],
) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        await burst(pilot, "space", "space", "r", *"idac")
        assert isinstance(pilot.app.screen, RecordsScreen)
        assert "Find: idac" in painted(pilot)
        assert bench.state.bike == demo_job()
        await pilot.app.workers.wait_for_complete()


async def test_what_is_typed_right_behind_a_prompt_is_typed_into_it() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await burst(pilot, "space", "space", "n", *"cda")
        assert pilot.app.screen.query_one(Input).value == "cda"
        assert bench.state.bike == demo_job()


async def test_a_key_behind_that_of_the_linkage_is_for_the_linkage() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await burst(pilot, "tab", "space", "l", "d")
        assert isinstance(pilot.app.screen, LinkageScreen)
        assert bench.state.bike == demo_job()


async def test_what_is_typed_right_behind_the_key_of_the_finder_is_looked_for() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await burst(pilot, "/", *"stroke", "enter", *"61", "enter")
        assert bench.state.finder is None
        assert bench.state.job.get(("frame", "stroke")) == "61 mm"
