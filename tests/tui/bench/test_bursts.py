"""Keys that arrive in one go, as over a slow line: each is for the screen that the one before it opened."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Input

from tests.tui.bench.conftest import bench_app, started
from tests.tui.screens import painted
from tui.bench.state import BenchState
from tui.job.demo import demo_job
from tui.kit.dialogs import Page, Paragraph
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


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("key", ["down", "end", "pagedown", "space", "up"])
async def test_a_key_right_behind_that_of_a_page_moves_in_it(key: str) -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        page = Page("Many lines", [Paragraph(f"line {number}") for number in range(60)], bench.screen.glyphs)
        bench.screen.put_in_front(page)
        await burst(pilot, *[key] * 3)
        assert pilot.app.screen is page
        assert (page.window.scroll_offset.y > 0) == (key != "up")


LEADING = [
    ["space", "space", "n"], ["space", "space", "r"], ["tab"], ["shift+tab"], ["]"], ["["], ["?"], ["z"],
    ["/", *"travel", "enter"], ["escape"], ["enter"], ["down"], ["up"], ["+"], [">"], ["u"], ["5"], ["6"],
    ["space", "d"], ["space", "x"], ["q"], ["space", "l"], ["s"], ["delete"], ["end"],
]  # fmt: skip


def what_a_person_sees(state: BenchState) -> tuple[object, ...]:
    typed = state.edit.text if state.edit else None
    place = (state.step, state.panel, state.rows, state.setup, state.view, state.in_view, state.zoom)
    return (state.bike, *place, typed, state.menu, state.finder)


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("seed", [13, 7, *range(14, 24)])
async def test_keys_in_one_packet_do_what_they_do_one_by_one(
    seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    chance = random.Random(seed)
    keys = [key for _ in range(chance.randrange(3, 20)) for key in chance.choice(LEADING)]
    ends = []
    for at_once in (True, False):
        # The second must not be offered what the first one leaves.
        monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / f"state{at_once}"))
        async with bench_app().run_test(size=(100, 30)) as pilot:
            bench = await started(pilot)
            if at_once:
                await burst(pilot, *keys)
            for key in () if at_once else keys:
                await burst(pilot, key)
            await pilot.app.workers.wait_for_complete()
            await pilot.pause()
            stack = [type(screen).__name__ for screen in pilot.app.screen_stack]
            ends.append((stack, what_a_person_sees(bench.state)))
    assert ends[0] == ends[1], f"seed {seed}: {keys}"
