"""Views in lines: shown, left, scrolled, kept up with the fields."""

import re
from contextlib import suppress

import pytest
from textual.pilot import Pilot
from textual.worker import WorkerCancelled

from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.looks import LOOK
from tui.bench.edit import nudge
from tui.bench.state import select_field, select_setup
from tui.bench.steps import VIEW_ROWS, VIEWS
from tui.bench.views.here import View
from tui.bench.views.pane import HELP, ViewPane, views
from tui.kit.cells import text_of
from tui.kit.roles import Role

SIZES = [(60, 20), (80, 24), (120, 40)]
OF_STEPS = {view for ids in VIEWS.values() for view in ids}
WIDGETS = {"chart", "leverage", "difference", "figures"}
"""Views that are no lines: charts and the table."""
OF_ANSWERS = sorted(
    id for id in views() if not views()[id].as_typed and id not in ("readings", "wants", "logged")
)
"""Views that every nudge of a value moves; the others have tests of their own."""
WITH_CHART = {("order", (120, 40)), ("verdict", (120, 40))}
"""Views whose words leave the chart the room below them, and the size at which they do."""


def test_every_view_of_a_step_is_drawn_named_and_said() -> None:
    # The leverage is a chart, and lines where the frame is refused.
    drawn = (OF_STEPS - WIDGETS) | {"leverage"}
    assert views().keys() - {HELP} == drawn, "`drawn` of its row in tui/bench/steps.py says what draws it"
    assert all(isinstance(views()[id], View) for id in views()), "`drawn` names a View of tui/bench/views"
    assert VIEW_ROWS.keys() == OF_STEPS
    assert all(row.id == id for id, row in VIEW_ROWS.items())


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize("id", OF_ANSWERS)
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.asyncio(loop_scope="module")
async def test_a_view_comes_and_goes_and_follows_the_fields(
    bench: Bench, id: str, size: tuple[int, int]
) -> None:
    pilot = bench.pilot
    await bench.show(id)
    pane = bench.screen.query_one(ViewPane)
    assert pane.display
    assert pane.has_focus
    step, before = bench.state.step, await worked_out(pilot, pane)
    chart = bench.screen.query_one("#chart")
    assert chart.display == ((id, size) in WITH_CHART)
    if chart.display:
        assert chart.region.y == pane.region.bottom
        assert len(before.splitlines()) <= pane.size.height, "all of the words above the chart"
    assert before.strip()
    assert VIEW_ROWS[id].name in bench.text("view-strip")
    bench.screen.take(nudge(select_field(bench.state, ("load", "rider_mass")), 10))
    await bench.show(id)
    assert bench.state.step is step
    assert await worked_out(pilot, pane) != before
    await bench.press("u")
    await bench.show(id)
    assert await worked_out(pilot, pane) == before
    await bench.press("escape")
    assert not bench.state.in_view
    assert bench.state.view == id
    assert bench.screen.grid.has_focus
    await bench.show("chart")
    assert not pane.display


async def worked_out(pilot: Pilot[int], pane: ViewPane) -> str:
    """Return the text of a view once nothing is worked out for it any more."""
    with suppress(WorkerCancelled):  # by what is asked for since
        await pilot.app.workers.wait_for_complete()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()
    return pane.text


@pytest.mark.slow
@pytest.mark.asyncio(loop_scope="module")
async def test_a_view_scrolls_where_it_is_longer_than_its_place() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.show("conditions")
        pane = bench.screen.query_one(ViewPane)
        assert pane.has_focus
        assert re.search(r" 18/\d+  ↓$", pane.text)
        top = pane.text
        await bench.press("down", "down")
        assert re.search(r" 20/\d+ ↑↓$", pane.text)
        await bench.press("end")
        count = int(re.search(r" (\d+)/(\d+) ↑ *$", pane.text)[2])  # type: ignore[index]
        assert f" {count}/{count} ↑" in pane.text
        assert any(line.startswith("4000") for line in pane.text.splitlines()[-2:])
        await bench.press("home")
        assert pane.text == top
        await bench.press("escape")
        assert bench.screen.grid.has_focus
        assert pane.display


@pytest.mark.slow
@pytest.mark.parametrize("width", range(100, 121, 4))
@pytest.mark.asyncio(loop_scope="module")
async def test_how_far_down_one_is_never_covers_the_last_line(bench: Bench, width: int) -> None:
    await bench.resize(width, 24)
    pane = bench.screen.query_one(ViewPane)
    for id in ("spacers", "conditions", "wire", "tolerance", "order", "balance"):
        await bench.show(id)
        await bench.press("end")
        whole = text_of(views()[id].draw(bench.state, pane.size.width, LOOK)).rstrip()
        assert whole.splitlines()[-1] in pane.text, id


@pytest.mark.asyncio(loop_scope="module")
async def test_conditions_of_an_air_setup_and_of_a_coil() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.show("conditions")
        pane = bench.screen.query_one(ViewPane)
        words = " ".join(pane.text.split())
        rows = {row.split()[0]: row.split() for row in pane.text.splitlines() if row[:3] in ("-15", "45 ")}
        (_, cold, firm, _), (_, warm, firmer, _) = rows["-15"], rows["45"]
        assert f"sag {cold} → {warm} %, breakaway at the shaft {firm} → {firmer} N: the damper's" in words
        assert "gauge" not in pane.text
        await bench.press("escape", "right")
        assert "gauge psi" in pane.text
        assert "BY TEMPERATURE" in pane.text
        await bench.do("units")
        assert "gauge bar" in pane.text


def _is_heading(row: list[tuple[str, int]]) -> bool:
    return {role for letter, role in row if letter != " "} == {Role.HEADING}


@pytest.mark.parametrize("view", ["balance", "sheet", pytest.param("pump", marks=pytest.mark.slow)])
@pytest.mark.asyncio(loop_scope="module")
async def test_a_heading_never_stands_alone_above_the_cut(bench: Bench, view: str) -> None:
    bench.screen.take(select_setup(bench.state, 1))
    await bench.show(view)
    pane = bench.screen.query_one(ViewPane)
    headings = 0
    for first in range(pane.count - pane.size.height):
        pane.first = first
        pane.redraw()
        rows = [row[: -len(" 999/999 ↑↓")] for row in pane.rows]
        said = [row for row in rows if text_of([row]).strip()]
        headings += sum(map(_is_heading, said))
        assert not _is_heading(said[-1]), text_of(said[-2:])
    assert headings


@pytest.mark.asyncio(loop_scope="module")
async def test_no_group_of_figures_and_no_group_of_fields_begins_at_the_cut(bench: Bench) -> None:
    await bench.show("figures")
    headings = 0
    for _ in range(40):
        await bench.press("down")
        *_, last = (line for line in bench.text("table").splitlines() if line.strip())
        headings += any(line.strip().isupper() for line in bench.text("table").splitlines())
        assert not last.strip().isupper(), last
    assert headings
