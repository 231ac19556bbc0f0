"""Views in the place of chart and table: shown, left, scrolled, kept up with the panels."""

import pytest
from textual.pilot import Pilot

from tests.tui.bench.conftest import bench_app, started
from tui.bench.keymap import VIEWS
from tui.bench.views.pane import ViewPane, views

SIZES = [(60, 20), (80, 24), (120, 40)]
KEYS = {action.id: action.keys[0] for action in VIEWS.actions if action.id in views()}
OF_ANSWERS = [id for id in KEYS if not views()[id].as_typed and id not in ("readings", "wants")]
"""Views that every nudge of a value moves; the others have tests of their own."""


def test_every_view_has_its_key() -> None:
    # The key of a match leads to its second view when it is pressed again.
    assert KEYS.keys() | {"match_volumes"} == views().keys()


@pytest.mark.fast_cases(6)
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("id", OF_ANSWERS)
async def test_a_view_comes_and_goes_and_follows_the_panels(id: str, size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        await bench.press(KEYS[id])
        pane = bench.screen.query_one(ViewPane)
        assert pane.display
        assert not bench.screen.query_one("#chart").display
        before = await worked_out(pilot, pane)
        assert views()[id].title in before
        if pane.has_focus:
            # A view with keys of its own has the cursor at once.
            await bench.press("t")
        await bench.press("greater_than_sign")
        assert await worked_out(pilot, pane) != before
        await bench.press("u")
        assert await worked_out(pilot, pane) == before
        await bench.press("escape")
        assert not pane.display
        assert bench.state.view == ""


async def worked_out(pilot: Pilot[int], pane: ViewPane) -> str:
    """Return the text of a view once nothing is worked out for it any more."""
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()
    return pane.text


async def test_a_view_scrolls_where_it_is_longer_than_its_place() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.press("i", "t")
        pane = bench.screen.query_one(ViewPane)
        assert pane.has_focus
        # Too narrow for the word "lines": the count is never cut.
        assert "  1 to 17 of" in pane.text.splitlines()[0]
        top = pane.text
        await bench.press("down", "down")
        assert "  3 to 19 of" in pane.text.splitlines()[0]
        await bench.press("end")
        assert pane.text.splitlines()[-1].startswith("4000")
        await bench.press("home")
        assert pane.text == top
        await bench.press("escape")
        assert bench.screen.grid.has_focus
        assert pane.display


async def test_conditions_of_an_air_setup_and_of_a_coil() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.press("i")
        pane = bench.screen.query_one(ViewPane)
        assert "A coil does not mind the weather" in pane.text
        assert "gauge" not in pane.text
        await bench.press("right", "right", "right")
        assert "gauge psi" in pane.text
        assert "COLDER AND WARMER" in pane.text
        await bench.press("m")
        assert "gauge bar" in pane.text
