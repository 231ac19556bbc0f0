"""The linkage screen as a person meets it: opened, typed on, adopted, left, in every size."""

import json
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from textual import events

from tests.tui.bench.conftest import Bench, bench_app, own_home, started
from tests.tui.screens import painted
from tui.job.demo import demo_job
from tui.job.drafts import draft_places
from tui.job.job import Job
from tui.job.tree import Tree
from tui.job.wheels import has_front, wheel_job
from tui.kit.cells import text_of
from tui.kit.dialogs import Question
from tui.kit.finder import found
from tui.kit.keymap import PROGRAM, key_text
from tui.kit.scrolling import ScrolledText
from tui.kit.widget import Lines
from tui.linkage.keymap import KEYMAP, LINKAGE
from tui.linkage.overlays import items
from tui.linkage.panes import CurvePane, Pane, TablePane
from tui.linkage.screen import LinkageScreen
from tui.linkage.sketch import EXAMPLES, LEVERAGE, sketch_of, with_sketch
from tui.linkage.state import Part, X, nudge, with_cursor

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

    async def act(self, *ids: str) -> None:
        """Do acts of the screen by their ids, as menu and finder do."""
        for id in ids:
            self.front.do(KEYMAP.named[id])
            await self.pilot.pause()

    @property
    def on_bench(self) -> bool:
        return self.pilot.app.screen is self.screen

    def part(self, name: str) -> str:
        part = self.front.query_one(f"#{'foot' if name in ('meaning', 'keys') else name}")
        assert isinstance(part, Lines | CurvePane | ScrolledText)
        if name in ("meaning", "keys"):
            lines = [text_of([row]) for row in part.rows]
            return lines[-1] if name == "keys" else "\n".join(lines[:-1])
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
    """Adopt, and answer the questions about the shock and the wheel travel if they are asked."""
    await bench.press("ctrl+s")
    if "Is the shock drawn right?" in bench.seen:
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
@pytest.mark.slow
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
        assert "travel 150.3 mm, 2.63 to 2.36" in bench.part("reading")
        shown = " Ctrl+S use it  Enter edit  Escape back  / find  Space menu  Tab table  ? help"
        assert bench.part("keys").startswith(shown)
        assert bench.part("legend").split()[-8:] == ["▲", "fixed", "●", "pivot", "◎", "axle", "◆", "eye"]
        assert "mm" in bench.part("curve")


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_it_cycles_and_is_read_step_by_step(size: tuple[int, int]) -> None:
    async with linkage(size) as bench:
        before = bench.part("drawing"), bench.part("curve")
        await bench.press("space", "c")
        assert "stroke 6.0 mm" in bench.part("reading")
        assert bench.part("drawing") != before[0]
        assert bench.part("curve") != before[1]
        await bench.press("]", "pagedown", "right", "left", "left")
        assert "stroke 11.4 mm" in bench.part("reading")
        await bench.act(*["compress"] * 9)
        assert "stroke 60.0 mm" in bench.part("reading")
        await bench.act("compress")
        await bench.press("escape")
        assert "stroke 0.0 mm" in bench.part("reading")
        assert (bench.part("drawing"), bench.part("curve")) == before


@pytest.mark.parametrize("size", SIZES)
async def test_a_coordinate_is_typed_and_nudged_and_all_follows(size: tuple[int, int]) -> None:
    async with linkage(size) as bench:
        await bench.press("down", "right")
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
        await bench.press("up", "plus", "greater_than_sign")
        assert "51" in bench.part("tables")
        await bench.press("u", "u", "u")
        assert (bench.part("reading"), bench.part("drawing")) == before


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_what_cannot_move_says_why_and_the_last_drawing_is_marked_stale(size: tuple[int, int]) -> None:
    async with linkage(size) as bench:
        await bench.press("tab", "delete")
        why = " ".join(bench.part("why").split())
        assert "too few bars, by 1" in why
        assert "OLD" in bench.part("legend")
        assert "OLD travel 150.3 mm" in bench.part("reading")
        await bench.press("u")
        assert bench.part("why") == ""
        assert "OLD: " not in bench.seen
        await bench.press("shift+tab", "down", "down")
        await bench.write("1o")
        await bench.press("enter")
        assert "✗ C axle" in bench.part("tables") or "› C axle" in bench.part("tables")
        assert "1o" in " ".join(bench.part("why").split())


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_points_and_bars_are_built_marked_and_named(size: tuple[int, int]) -> None:
    async with linkage(size) as bench:
        await bench.press("down", "down", "down", "space", "p", "space", "r", "ctrl+u")
        await bench.write("stay")
        await bench.press("enter")
        assert "E stay" in bench.part("tables")
        await bench.press("space", "b")
        assert ("stay", "main") in bench.front.state.sketch.bars
        await bench.press("enter", "tab", "tab", "down", "down")
        await bench.press("home", "space", "f")
        assert not bench.front.state.sketch.points[0].fixed
        await bench.press("down", "space", "s")
        await bench.press("down", "space", "w")
        assert bench.front.state.sketch.axle == "axle"
        await bench.press("space", "x")
        assert "axle" not in bench.front.state.sketch.names


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_examples_are_offered_by_number_and_undo_brings_back_what_was(size: tuple[int, int]) -> None:
    async with linkage(size) as bench:
        for number, example in enumerate(EXAMPLES):
            await bench.press("space", "e")
            question = bench.pilot.app.screen
            assert isinstance(question, Question)
            assert example.title in bench.seen
            await bench.press(str(number + 1))
            assert bench.front.state.sketch == example.sketch()
            assert "Invented example: " in bench.part("meaning")
            assert not bench.front.state.faults
        await bench.press("space", "e", "escape", *["u"] * (len(EXAMPLES) - 1))
        assert bench.front.state.sketch == EXAMPLES[0].sketch()
        await bench.press("ctrl+r", "space", "e", "enter")
        assert bench.front.state.sketch == EXAMPLES[0].sketch()
        assert bench.front.state.history.past


TRAVEL = ("frame", "wheel_travel")


def typed_travel(travel: str) -> Job:
    """Return a job whose wheel travel somebody has typed."""
    return REAR.with_value(TRAVEL, travel)


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_adopting_is_one_edit_with_a_wheel_travel_that_nobody_had_typed(
    size: tuple[int, int],
) -> None:
    async with linkage(size) as bench:
        await bench.press("ctrl+s")
        assert bench.on_bench
        assert sketch_of(bench.state.job) == EXAMPLES[0].sketch()
        assert bench.state.job.get(TRAVEL) == "150.3 mm"
        assert bench.state.job.is_unconfirmed(TRAVEL), "its points are an example"
        assert "wheel travel of 150.3 mm are in the job; u undoes both" in bench.text("note")
        assert not bench.state.faults
        assert bench.state.answer is not None
        assert bench.state.answer.job == bench.state.job
        assert float(bench.state.answer.answer.frame.leverage_start) == pytest.approx(2.634, abs=2e-3)
        assert bench.state.row.path == (*LEVERAGE, "kind")
        await bench.press("u")
        assert bench.state.job == REAR


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_another_wheel_travel_than_the_typed_one_is_asked_about(size: tuple[int, int]) -> None:
    async with linkage(size, typed_travel("160 mm")) as bench:
        await bench.press("ctrl+s")
        assert "take 150.3 mm" in bench.seen
        await bench.press("escape")
        assert "POINTS" in bench.seen
        await adopt(bench)
        assert bench.on_bench
        assert bench.state.job.get(TRAVEL) == "150.3 mm"


@pytest.mark.slow
async def test_the_typed_wheel_travel_is_kept_where_pivots_can_be_measured_no_better() -> None:
    async with linkage((80, 24), typed_travel("148 mm")) as bench:
        await bench.press("ctrl+s")
        assert bench.on_bench
        assert bench.state.job.get(TRAVEL) == "148 mm"
        assert "scaled to the typed travel of 148 mm; u undoes it." in bench.text("note")
        assert sketch_of(bench.state.job) == EXAMPLES[0].sketch()
        assert not bench.state.faults


@pytest.mark.slow
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
    async with linkage((80, 24), typed_travel("146 mm")) as bench:
        await adopt(bench, "k")
        assert bench.state.job.get(TRAVEL) == "146 mm"
        assert not bench.state.faults


@pytest.mark.slow
async def test_a_linkage_that_gives_the_typed_travel_is_adopted_unasked() -> None:
    job = FOUR_BAR.with_value(("frame", "wheel_travel"), "149.3 mm")
    async with linkage((80, 24), job) as bench:
        await bench.press("]", "enter")
        assert bench.on_bench
        assert bench.state.job == job


@pytest.mark.slow
async def test_what_does_not_move_is_adopted_only_when_that_is_said() -> None:
    async with linkage((80, 24)) as bench:
        await bench.press("tab", "delete", "ctrl+s")
        assert "cannot be used yet" in bench.seen
        await bench.press("escape")
        assert "POINTS" in bench.seen
        await bench.press("ctrl+s", "a")
        assert bench.on_bench
        assert bench.state.faults
        assert bench.state.is_outdated
        await bench.do("linkage")
        assert "too few bars" in " ".join(bench.part("why").split())


@pytest.mark.parametrize(
    ("typed", "moved", "said"),
    [
        (None, 5, ""),
        (
            None,
            400,
            "623.5 mm for an eye-to-eye length: 100.0 to 400.0 mm is usual (rule of thumb). Check the",
        ),
        ("230 mm", 10, "230.0 mm in the job: check the points of the shock"),
    ],
)
async def test_a_shock_drawn_with_a_doubtful_length_is_asked_about(
    typed: str | None, moved: int, said: str
) -> None:
    job = FOUR_BAR.without(("frame", "eye_to_eye"))
    job = job if typed is None else job.with_value(("frame", "eye_to_eye"), typed)
    sketch = EXAMPLES[1].sketch()
    eye = next(row for row, point in enumerate(sketch.points) if point.name == sketch.shock[1])
    async with linkage((80, 24), job) as bench:
        bench.front.take(with_cursor(bench.front.state, Part.POINTS, eye, X))
        bench.front.take(nudge(bench.front.state, moved))
        await bench.pilot.pause()
        assert not bench.front.state.faults
        await bench.press("ctrl+s")
        asked = " ".join(bench.seen.replace("│", " ").split())
        assert ("Is the shock drawn right?" in asked) == bool(said)
        assert said in asked
        if said:
            await bench.press("escape")
            assert not bench.on_bench
            assert said in " ".join(bench.part("why").split())
            await bench.press("ctrl+s", "a")
        if isinstance(bench.pilot.app.screen, Question):
            await bench.press("t")
        assert bench.on_bench


@pytest.mark.slow
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


@pytest.mark.slow
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
        await bench.press("space", "m", "tab", "tab")
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
        await bench.press("pagedown")
        assert "stroke 6.0 mm" in bench.part("reading")
        await bench.press("escape")
        assert tables.size.width == 50


@pytest.mark.slow
@pytest.mark.parametrize("size", ALL_SIZES)
async def test_every_size_shows_it_and_resizing_keeps_the_state(size: tuple[int, int]) -> None:
    async with linkage((80, 24), FOUR_BAR) as bench:
        await bench.press("plus", "space", "c")
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
        await bench.press("space")
        assert bench.seen.isascii()
        await bench.press("c")
        assert bench.seen.isascii()
        assert "# fixed" in bench.seen
        assert "=" in bench.part("drawing")
        await bench.press("tab", "delete")
        assert bench.seen.isascii()
        assert "OLD: " in bench.seen
        for key in ("/", "question_mark", "ctrl+s"):
            await bench.press(key)
            assert bench.seen.isascii()
            await bench.press("escape")


@pytest.mark.slow
async def test_names_from_people_are_shown_as_they_are() -> None:
    async with linkage((120, 40)) as bench:
        await bench.press("up", "space", "r", "ctrl+u")
        await bench.write("[b]x")
        await bench.press("enter")
        assert "A [b]x" in bench.part("tables")
        assert "[b]x" in bench.seen
        assert "A [b]x" in bench.part("tables").split("BARS")[1]


@pytest.mark.parametrize("size", SIZES)
async def test_help_stands_in_the_place_of_the_drawing_and_names_every_act(size: tuple[int, int]) -> None:
    async with linkage(size) as bench:
        await bench.press("question_mark")
        assert "B FRAME, X IN MM" in bench.part("help")
        assert "x along the bike" in " ".join(bench.part("help").split())
        assert bench.front.query_one(ScrolledText).has_focus
        seen = set()
        for _ in range(12):
            seen |= {line.strip() for line in bench.part("help").splitlines()}
            await bench.press("pagedown")
        text = " ".join(seen)
        for action in KEYMAP.actions:
            if action.name:
                assert key_text(action) in text, action.id
        for action in (KEYMAP.named[id] for id in ("compress", "adopt", "up", "eye_here")):
            assert any(" ".join(action.meaning.split()[:3]) in line for line in seen), action.id
        await bench.press("5")
        assert "5 is for the tables" in bench.part("meaning") or "5 does nothing" in bench.part("meaning")
        await bench.press("escape")
        assert bench.front.state.sketch == EXAMPLES[0].sketch()
        assert bench.front.query_one(TablePane).has_focus
        assert "◎" in bench.part("drawing")


@pytest.mark.slow
@pytest.mark.parametrize("size", [*SIZES, (40, 12)])
async def test_menu_and_finder_stand_in_the_place_of_the_lines_below(size: tuple[int, int]) -> None:
    async with linkage(size) as bench:
        before = bench.front.query_one("#foot").region
        for shelf in (LINKAGE, PROGRAM):
            await bench.press("space")
            shown = " ".join(f"{bench.part('meaning')} {bench.part('keys')}".split())
            actions = KEYMAP.shelf(shelf)
            whole = [f"{action.letter} {action.name}" in shown for action in actions]
            # Where whole names take more lines than the menu has, all are short.
            assert all(whole) or all(f"{action.letter} {action.brief}" in shown for action in actions)
        await bench.press("escape")
        assert bench.front.query_one("#foot").region == before
        await bench.press("/", *"eye", "enter")
        assert bench.front.state.sketch.names[bench.front.state.row] == "eye"
        assert bench.front.state.part is Part.POINTS
        await bench.press("/", *"drawing", "enter")
        assert bench.part("legend").startswith("›")
        await bench.press("/", *"redo", "enter")
        assert bench.front.state.note == "Redo: not now, nothing was undone."
        await bench.press("space", "p")
        assert bench.front.state.sketch.names[-1] == "point 1"
        await bench.press("k")
        assert "name: Enter edits the text" in bench.seen
        await bench.press("enter", "k")
        assert bench.front.state.edit is not None  # an open name takes letters
        await bench.press("escape", "right", "k")
        assert "k does nothing here. / finds." in bench.seen


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_one_pane_is_zoomed_and_escape_goes_one_step_back_each_time(size: tuple[int, int]) -> None:
    async with linkage(size) as bench:
        drawing, tables = bench.front.query_one("#drawing", Pane), bench.front.query_one(TablePane)
        inside = size[0] - (4 if size == (120, 40) else 0)  # what a frame leaves
        await bench.press("z")
        assert (drawing.size.width, tables.size.width) == (0, inside)
        await bench.press("]")
        assert (drawing.size.width, tables.size.width) == (inside, 0)
        await bench.press("question_mark", "escape")
        assert drawing.size.width == inside
        await bench.press("escape")
        assert 0 < drawing.size.width < inside
        assert bench.part("legend").startswith("›")
        assert "› POINTS" not in bench.part("tables")
        await bench.press("escape")
        assert "› POINTS" in bench.part("tables")
        assert not bench.part("legend").startswith("›")
        await bench.press("escape")
        assert bench.on_bench


@pytest.mark.slow
async def test_value_line_tables_and_curve_are_copied() -> None:
    async with linkage((80, 24)) as bench:
        await bench.press("right")
        copied = []
        for id in ("copy_value", "copy_line", "copy_view"):
            await bench.act(id)
            copied.append(bench.pilot.app.clipboard)
        x, y = (bench.front.state.sketch.points[1][column] for column in (1, 2))
        assert copied[:2] == [f"{y} mm", f"frame: x {x}, y {y} mm, fixed eye"]
        assert copied[2].splitlines()[0] == "point\tx (mm)\ty (mm)\twhat"
        assert "Sent to the terminal's clipboard" in bench.part("meaning")
        await bench.press("]", "pagedown")
        await bench.act("copy_line")
        assert "stroke 6.0 mm" in bench.pilot.app.clipboard
        await bench.act("copy_view")
        assert bench.pilot.app.clipboard.startswith("wheel travel (mm)\tlinkage: leverage ratio")


@pytest.mark.slow
async def test_tables_and_curve_are_exported(tmp_path: Path) -> None:
    async with linkage((80, 24)) as bench:
        for focus, ending, first in (
            ("[", ".csv", b"point,x (mm),y (mm),what"),
            ("]", ".csv", b"wheel travel (mm),linkage: leverage ratio"),
            ("]", ".svg", b"<?xml"),
        ):
            if (bench.front.query_one("#legend", Lines).text.startswith("›")) != (focus == "]"):
                await bench.press(focus)
            path = tmp_path / f"made{ending}"
            path.unlink(missing_ok=True)
            await bench.act("export")
            await bench.press("ctrl+u", *str(path), "enter")
            await bench.pilot.app.workers.wait_for_complete()
            await bench.pilot.pause()
            assert first in path.read_bytes()[:200]
            assert "is saved to" in bench.part("meaning")
        await bench.press("escape", "tab", "delete", "]")
        await bench.act("export")
        assert "Not exported: the curve is OLD" in bench.part("meaning")


@pytest.mark.slow
async def test_a_click_on_the_footer_or_the_drawing_does_what_its_key_does() -> None:
    async with linkage((80, 24)) as bench:
        await bench.pilot.click("#drawing", offset=(5, 5))
        await bench.pilot.pause()
        assert bench.front.state.part is Part.DRAWING
        await bench.pilot.click("#foot", offset=(bench.part("keys").index("menu"), 3))
        await bench.pilot.pause()
        assert bench.front.state.menu
        await bench.pilot.click(TablePane, offset=(20, 3))
        await bench.pilot.pause()
        assert bench.front.state.menu == ""
        assert "› POINTS" in bench.part("tables")


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_the_mouse_selects_cells_and_opens_them(size: tuple[int, int]) -> None:
    async with linkage(size) as bench:
        tables = bench.front.query_one(TablePane)
        framed = tables.content_region.offset - tables.region.offset
        assert framed == ((2, 1) if size == (120, 40) else (0, 0))
        at = (framed.x + 20, framed.y + 3)
        await bench.pilot.click(TablePane, offset=at)
        await bench.pilot.pause()
        state = bench.front.state
        assert (state.part, state.row, state.column) == (Part.POINTS, 2, 1)
        await bench.pilot.click(TablePane, offset=at)
        await bench.pilot.pause()
        assert bench.front.state.edit is not None


@pytest.mark.slow
async def test_pasted_text_is_typed() -> None:
    from textual import events

    async with linkage((80, 24)) as bench:
        bench.front.post_message(events.Paste("-12.5\nmore"))
        await bench.pilot.pause()
        await bench.press("enter")
        assert bench.front.state.sketch.points[1].x == -12.5


@pytest.mark.slow
async def test_the_look_of_the_program_is_turned_from_here_too() -> None:
    async with linkage((80, 24)) as bench:
        before = bench.part("drawing"), bench.front.look
        await bench.press("f8")
        assert bench.part("meaning").splitlines()[-1] == " Lines drawn in block."
        assert bench.front.look.line_style == bench.screen.look.line_style == "block"
        assert bench.part("drawing") != before[0]
        theme = bench.pilot.app.theme
        await bench.press("f10")
        assert bench.pilot.app.theme != theme
        assert bench.front.look == bench.screen.look
        assert f"Colours: {bench.pilot.app.theme}." in bench.part("meaning")
        assert bench.screen.state.note == ""
        await bench.press("escape")
        assert bench.on_bench


@pytest.mark.slow
async def test_the_finder_leads_to_what_the_bench_has_and_asks_first_about_changes() -> None:
    async with linkage((80, 24)) as bench:
        await bench.press("/", *"toler")
        assert "tolerance" in bench.part("meaning")
        assert "on the bench" in bench.part("meaning")
        await bench.press("enter")
        assert bench.on_bench
        assert (bench.state.view, bench.state.job) == ("tolerance", REAR)
        await bench.do("linkage")
        await bench.press("plus", "/", *"save to", "enter")
        assert "not in the job" in bench.seen
        await bench.press("escape")
        assert bench.front.state.changed
        # Whoever stays here and leaves later goes to the bench as it is.
        await bench.press("escape", "d")
        assert bench.on_bench
        await bench.do("linkage")
        await bench.press("plus", "/", *"verdict", "enter", "a")
        assert bench.on_bench
        assert bench.state.view == "verdict"
        assert sketch_of(bench.state.job) is not None


async def test_the_finder_of_the_linkage_finds_its_own_first_and_one_undo() -> None:
    async with linkage((80, 24)) as bench:
        await bench.press("/", *"undo")
        undone = found(items(bench.front.state), "undo")
        assert [item.where for item in undone if item.name == "undo"] == [""]
        await bench.press("ctrl+u", *"e")
        assert "on the bench" not in bench.part("meaning")
