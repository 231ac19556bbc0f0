"""The linkage screen as a person meets it: opened, typed on, adopted, left, in every size."""

import json
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import pytest
from textual import events

from tests.tui.bench.conftest import Bench, bench_app, own_home, started
from tests.tui.screens import painted
from tui.job.demo import demo_job
from tui.job.drafts import draft_places
from tui.job.job import Job
from tui.job.tree import Tree
from tui.job.wheels import has_front, wheel_job
from tui.kit.dialogs import Page, Question
from tui.kit.widget import Lines
from tui.linkage.panes import CurvePane, Pane, TablePane
from tui.linkage.screen import LinkageScreen
from tui.linkage.sketch import EXAMPLES, LEVERAGE, sketch_of, with_sketch
from tui.linkage.state import Part

__all__ = ["own_home"]

SIZES = [(80, 24), (120, 40)]
ALL_SIZES = [(40, 12), (60, 20), *SIZES, (200, 60)]
REAR = wheel_job(demo_job(), "rear")
FOUR_BAR = with_sketch(REAR, EXAMPLES[1].sketch())


class Opened(Bench):
    """A bench with the linkage screen in front of it."""

    @property
    def front(self) -> LinkageScreen:
        screen = self.pilot.app.screen
        assert isinstance(screen, LinkageScreen)
        return screen

    @property
    def on_bench(self) -> bool:
        return self.pilot.app.screen is self.screen

    def part(self, name: str) -> str:
        part = self.front.query_one(f"#{name}")
        assert isinstance(part, Lines | CurvePane)
        return part.text

    @property
    def seen(self) -> str:
        return painted(self.pilot)


@asynccontextmanager
async def linkage(size: tuple[int, int], job: Job = REAR) -> AsyncIterator[Opened]:
    async with bench_app(job).run_test(size=size) as pilot:
        await started(pilot)
        bench = Opened(pilot)
        await bench.do("linkage")
        yield bench


async def adopt(bench: Opened, reply: str = "t") -> None:
    """Adopt, and answer the question about the wheel travel if it is asked."""
    await bench.press("a")
    if isinstance(bench.pilot.app.screen, Question):
        await bench.press(reply)


@pytest.mark.parametrize("size", ALL_SIZES)
async def test_it_opens_on_an_invented_example_that_says_so(size: tuple[int, int]) -> None:
    async with linkage(size) as bench:
        assert "invented example, not in the job" in bench.part("title")
        assert "main" in bench.part("tables")
        assert bench.front.query_one(TablePane).has_focus
        await bench.press("escape")
        assert bench.on_bench
        assert bench.state.job == REAR


@pytest.mark.parametrize("size", SIZES)
async def test_a_job_with_a_linkage_opens_on_it(size: tuple[int, int]) -> None:
    async with linkage(size, FOUR_BAR) as bench:
        assert "example" not in bench.part("title")
        assert "in the job" in bench.part("title")
        assert bench.front.state.sketch == EXAMPLES[1].sketch()


@pytest.mark.parametrize("size", SIZES)
async def test_tables_drawing_curve_and_reading_stand_beside_each_other(size: tuple[int, int]) -> None:
    async with linkage(size) as bench:
        seen = bench.seen
        for words in (
            "POINTS",
            "x mm",
            "fixed eye",
            "BARS",
            "430.4 mm",
            "leverage ratio",
            "▲ fixed",
            "◎ axle",
        ):
            assert words in seen
        assert "stroke 0.0 mm" in bench.part("reading")
        assert "leverage 2.63 : 1" in bench.part("reading")
        assert "? keys" in bench.part("keys")
        assert "mm" in bench.part("curve")


@pytest.mark.parametrize("size", SIZES)
async def test_it_cycles_and_is_read_step_by_step(size: tuple[int, int]) -> None:
    async with linkage(size) as bench:
        before = bench.part("drawing"), bench.part("curve")
        await bench.press("c")
        assert "stroke 6.0 mm" in bench.part("reading")
        assert bench.part("drawing") != before[0]
        assert bench.part("curve") != before[1]
        await bench.press("L", "l", "h", "h")
        assert "stroke 11.4 mm" in bench.part("reading")
        await bench.press(*["c"] * 10)
        assert "stroke 0.0 mm" in bench.part("reading")
        assert (bench.part("drawing"), bench.part("curve")) == before


@pytest.mark.parametrize("size", SIZES)
async def test_a_coordinate_is_typed_and_nudged_and_all_follows(size: tuple[int, int]) -> None:
    async with linkage(size) as bench:
        await bench.press("down", "down", "right")
        before = bench.part("reading"), bench.part("drawing")
        await bench.write("40")
        assert "40" in bench.part("tables")
        await bench.press("escape")
        assert "-15.0" in bench.part("tables")
        await bench.write("40")
        await bench.press("enter")
        assert "40" in bench.part("tables")
        assert "not in the job" in bench.part("title")
        assert bench.part("reading") != before[0]
        assert bench.part("drawing") != before[1]
        await bench.press("up", "right", "plus", "greater_than_sign")
        assert "51" in bench.part("tables")
        await bench.press("u", "u", "u")
        assert (bench.part("reading"), bench.part("drawing")) == before


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_what_cannot_move_says_why_and_the_last_drawing_is_marked_stale(size: tuple[int, int]) -> None:
    async with linkage(size) as bench:
        await bench.press("tab", "x")
        why = " ".join(bench.part("why").split())
        assert "too few bars, by 1" in why
        assert "OLD" in bench.part("legend")
        assert "OLD stroke" in bench.part("reading")
        await bench.press("u")
        assert bench.part("why") == ""
        assert "OLD: " not in bench.seen
        await bench.press("tab", "down", "down")
        await bench.write("1o")
        await bench.press("enter")
        assert "✗ C axle" in bench.part("tables") or "› C axle" in bench.part("tables")
        assert "1o" in " ".join(bench.part("why").split())


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_points_and_bars_are_built_marked_and_named(size: tuple[int, int]) -> None:
    async with linkage(size) as bench:
        await bench.press("down", "down", "down", "p", "r", "ctrl+u")
        await bench.write("stay")
        await bench.press("enter")
        assert "E stay" in bench.part("tables")
        await bench.press("b")
        assert ("stay", "main") in bench.front.state.sketch.bars
        await bench.press("enter", "tab", "tab", "down", "down")
        await bench.press("home", "f")
        assert not bench.front.state.sketch.points[0].fixed
        await bench.press("down", "s")
        await bench.press("down", "w")
        assert bench.front.state.sketch.axle == "axle"
        await bench.press("x")
        assert "axle" not in bench.front.state.sketch.names


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_examples_are_offered_by_number_and_undo_brings_back_what_was(size: tuple[int, int]) -> None:
    async with linkage(size) as bench:
        for number, example in enumerate(EXAMPLES):
            await bench.press("e")
            question = bench.pilot.app.screen
            assert isinstance(question, Question)
            assert example.title in bench.seen
            await bench.press(str(number + 1))
            assert bench.front.state.sketch == example.sketch()
            assert "Invented example: " in bench.part("keys")
            assert not bench.front.state.faults
        await bench.press("e", "escape", *["u"] * (len(EXAMPLES) - 1))
        assert bench.front.state.sketch == EXAMPLES[0].sketch()
        await bench.press("ctrl+r", "e", "enter")
        assert bench.front.state.sketch == EXAMPLES[0].sketch()
        assert bench.front.state.history.past


@pytest.mark.parametrize("size", SIZES)
async def test_adopting_is_one_edit_of_the_job_with_the_wheel_travel_if_wanted(size: tuple[int, int]) -> None:
    async with linkage(size) as bench:
        await bench.press("a")
        assert "take 150.3 mm" in bench.seen
        await bench.press("escape")
        assert "POINTS" in bench.seen
        await adopt(bench)
        assert bench.on_bench
        assert sketch_of(bench.state.job) == EXAMPLES[0].sketch()
        assert bench.state.job.get(("frame", "wheel_travel")) == "150.3 mm"
        assert not bench.state.faults
        assert bench.state.answer is not None
        assert bench.state.answer.job == bench.state.job
        assert float(bench.state.answer.answer.frame.leverage_start) == pytest.approx(2.634, abs=2e-3)
        assert bench.state.row.path == (*LEVERAGE, "kind")
        await bench.press("u")
        assert bench.state.job == REAR


async def test_adopting_leaves_the_other_end_of_the_bike_alone() -> None:
    bike = demo_job()
    assert has_front(bike)
    async with linkage((80, 24), bike) as bench:
        await adopt(bench)
        assert sketch_of(bench.state.history.job) == EXAMPLES[0].sketch()
        assert bench.state.history.job.get(("front",)) == bike.get(("front",))
        assert not bench.state.bike_faults


@pytest.mark.slow
async def test_the_typed_wheel_travel_can_be_kept() -> None:
    async with linkage((80, 24)) as bench:
        await adopt(bench, "k")
        assert bench.state.job.get(("frame", "wheel_travel")) == "148 mm"
        assert not bench.state.faults


async def test_a_linkage_that_gives_the_typed_travel_is_adopted_unasked() -> None:
    job = FOUR_BAR.with_value(("frame", "wheel_travel"), "149.3 mm")
    async with linkage((80, 24), job) as bench:
        await bench.press("a")
        assert bench.on_bench
        assert bench.state.job == job


@pytest.mark.slow
async def test_what_does_not_move_is_adopted_only_when_that_is_said() -> None:
    async with linkage((80, 24)) as bench:
        await bench.press("tab", "x", "a")
        assert "cannot be used yet" in bench.seen
        await bench.press("escape")
        assert "POINTS" in bench.seen
        await bench.press("a", "a")
        assert bench.on_bench
        assert bench.state.faults
        assert bench.state.is_outdated
        await bench.do("linkage")
        assert "too few bars" in " ".join(bench.part("why").split())


async def test_leaving_with_changes_asks() -> None:
    async with linkage((80, 24)) as bench:
        await bench.press("plus", "escape")
        assert "not in the job" in bench.seen
        await bench.press("escape")
        assert bench.front.state.changed
        await bench.press("escape", "d")
        assert bench.on_bench
        assert bench.state.job == REAR
        await bench.do("linkage")
        await bench.press("plus", "q", "a")
        await adopt(bench) if not isinstance(bench.pilot.app.screen, Question) else await bench.press("t")
        assert bench.on_bench
        assert sketch_of(bench.state.job) is not None


async def test_a_key_that_bounces_leaves_once() -> None:
    async with linkage((80, 24)) as bench:
        for _ in range(3):
            bench.pilot.app.post_message(events.Key("escape", None))
        await bench.pilot.pause()
        assert bench.on_bench
        await bench.press("plus")
        assert bench.state.history.past


async def test_a_line_that_drops_keeps_what_was_typed_but_not_adopted() -> None:
    async with linkage((80, 24)) as bench:
        await bench.press("plus")
        bench.screen.hang_up()
        (draft,) = draft_places()[0].folder.glob("*.json")
        kept = Job(Tree(json.loads(draft.read_text())["job"]))
        assert sketch_of(kept) == bench.front.state.sketch
        await bench.press("escape", "d")
        assert bench.screen.at_work is None


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_pixels_have_a_known_length(size: tuple[int, int]) -> None:
    async with linkage(size) as bench:
        await bench.press("m", "tab", "tab")
        assert "x px" in bench.part("tables")
        assert "KNOWN LENGTH" in bench.part("tables")
        assert bench.front.state.part is Part.KNOWN
        await bench.press("right", "right")
        await bench.write("225")
        await bench.press("enter")
        assert "225 mm" in bench.part("tables")
        await adopt(bench)
        assert bench.state.job.get((*LEVERAGE, "known", "length")) == "225 mm"
        assert not bench.state.faults


async def test_a_narrow_screen_shows_the_drawing_by_tab() -> None:
    async with linkage((50, 20)) as bench:
        drawing, tables = bench.front.query_one("#drawing", Pane), bench.front.query_one(TablePane)
        assert (drawing.size.width, tables.size.width) == (0, 50)
        await bench.press("tab", "tab")
        assert bench.front.state.part is Part.DRAWING
        assert (drawing.size.width, tables.size.width) == (50, 0)
        assert "◎" in drawing.text
        await bench.press("c")
        assert "stroke 6.0 mm" in bench.part("reading")
        await bench.press("tab")
        assert tables.size.width == 50


@pytest.mark.parametrize("size", ALL_SIZES)
async def test_every_size_shows_it_and_resizing_keeps_the_state(size: tuple[int, int]) -> None:
    async with linkage((80, 24), FOUR_BAR) as bench:
        await bench.press("plus", "c")
        sketch = bench.front.state.sketch
        await bench.resize(*size)
        assert bench.front.state.sketch == sketch
        assert "NaN" not in bench.seen
        await bench.resize(1, 1)
        await bench.resize(80, 24)
        assert bench.front.state.sketch == sketch
        assert "stroke 6.0 mm" in bench.seen


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_plain_characters_are_enough(size: tuple[int, int], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SPRINGWRIGHT_ASCII", "1")
    async with linkage(size) as bench:
        await bench.press("c")
        assert bench.seen.isascii()
        assert "# fixed" in bench.seen
        assert "=" in bench.part("drawing")
        await bench.press("tab", "x")
        assert bench.seen.isascii()
        assert "OLD: " in bench.seen
        for key in ("e", "question_mark", "a"):
            await bench.press(key)
            assert bench.seen.isascii()
            await bench.press("escape")


@pytest.mark.slow
async def test_names_from_people_are_shown_as_they_are() -> None:
    async with linkage((120, 40)) as bench:
        await bench.press("r", "ctrl+u")
        await bench.write("[b]x")
        await bench.press("enter")
        assert "A [b]x" in bench.part("tables")
        assert "[b]x" in bench.seen
        assert "A [b]x" in bench.part("tables").split("BARS")[1]


@pytest.mark.slow
async def test_help_names_every_key() -> None:
    async with linkage((120, 40)) as bench:
        await bench.press("question_mark")
        page = bench.pilot.app.screen
        assert isinstance(page, Page)
        words = " ".join(paragraph.text for paragraph in page.paragraphs)
        assert "Compress by 1/10" in words
        await bench.press("escape")
        assert bench.front.state.sketch == EXAMPLES[0].sketch()


async def test_the_mouse_selects_cells_and_opens_them() -> None:
    async with linkage((80, 24)) as bench:
        await bench.pilot.click(TablePane, offset=(20, 3))
        await bench.pilot.pause()
        state = bench.front.state
        assert (state.part, state.row, state.column) == (Part.POINTS, 2, 1)
        await bench.pilot.click(TablePane, offset=(20, 3))
        await bench.pilot.pause()
        assert bench.front.state.edit is not None


async def test_pasted_text_is_typed() -> None:
    from textual import events

    async with linkage((80, 24)) as bench:
        bench.front.post_message(events.Paste("-12.5\nmore"))
        await bench.pilot.pause()
        await bench.press("enter")
        assert bench.front.state.sketch.points[0].x == -12.5
