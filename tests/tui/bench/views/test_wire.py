"""The coil as wire: measured, not measured, in stages, in titanium, and beside an air spring."""

import pytest

from physics.wire_stock import COIL_ENDS, MATERIALS
from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.job.wired import wired
from tests.tui.looks import LOOK
from tui.bench.state import open_bench, select_field, with_answer
from tui.bench.views.documents import wire_lines
from tui.bench.views.pane import ViewPane
from tui.job.demo import demo_job
from tui.job.fields import SETUP, Choice
from tui.job.job import History, Job
from tui.job.panels import panels
from tui.kit.cells import text_of

SIZES = [(80, 24), (120, 40)]


def everything(bench: Bench) -> str:
    """Return the whole view, however little of it the pane shows."""
    return "\n".join("".join(text for text, _ in row) for row in bench.screen.query_one(ViewPane)._lines)


async def view_of(job: Job, size: tuple[int, int] = (120, 40)) -> str:
    async with bench_app(job).run_test(size=size) as pilot:
        bench = await started(pilot)
        await bench.show("wire")
        return everything(bench)


@pytest.mark.parametrize("size", SIZES)
async def test_a_measured_coil_is_held_against_what_it_may_do(size: tuple[int, int]) -> None:
    text = await view_of(wired(solid_length=None, mass=None), size)
    words = " ".join(text.split())
    assert "Chrome-silicon, 8.4 mm wire, mean diameter 44.4 mm; 7.50 of 9.50 coils active" in words
    assert "rate lbf/in 430 wanted 393" in words
    assert "stress MPa 1135 wound 784 pre-set 1020" in words
    assert "clearance mm 10.3 min 13.4" in words
    assert "weight g 580" in words
    assert "typed spring weight" not in words
    assert "● coil: 430 lbf/in ± 8.0 %. 1135 MPa at full stroke, limit 1020 MPa pre-set." in words
    assert "back off the collar before taking it out" in words
    # On a narrow screen the view has the whole width while it has the focus.
    assert max(len(line) for line in text.splitlines()) <= size[0] - (39 if size[0] >= 100 else 0)


async def test_a_typed_weight_and_that_of_the_wire_are_told_apart() -> None:
    words = " ".join((await view_of(wired())).split())
    assert "weight g 580 typed 460" in words


@pytest.mark.parametrize("size", SIZES)
async def test_the_wire_to_order_stands_in_steel_and_titanium(size: tuple[int, int]) -> None:
    words = " ".join((await view_of(demo_job(), size)).split())
    assert "set the field 'wire' to measured" in words
    assert words.startswith(
        "› 8.9 mm beta titanium wire, 311 g: !1033 MPa at solid, limit 910 MPa ! 8.5 mm chrome-silicon wire, "
        "661 g: too long, free 166.9 mm less 1.9 mm preload; the shock takes 160.0 mm (rule of thumb) "
        "! Compressed solid, chrome-silicon and beta titanium are "
        "above the limit of a pre-set coil and may take a set: ask the maker. ● coil: For 393 lbf/in: "
    ), "what exceeds a limit is said where it is offered"
    assert "inside 36.0 mm, assumed (not measured)" in words
    assert "steel titanium wire diameter mm 8.5 8.9" in words
    assert "stress MPa 1006 892 at solid MPa !1255 !1033 limit, pre-set MPa 1018 910" in words
    assert "Every other view shows the typed spring weight, 460 g; the weights here are calculated" in words
    assert words.count("G 79.5 GPa (EN 13906-1); 77.2 GPa (handbook), also in use") == 1
    assert "limited by stress stress" in words
    assert "material values unverified" in words


@pytest.mark.slow
async def test_the_view_follows_a_nudge_of_the_wire() -> None:
    async with bench_app(wired()).run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.show("wire")
        before = everything(bench)
        await bench.press("escape")
        bench.screen.take(select_field(bench.state, ("setup", 0, "wire_diameter")))
        while bench.state.row.path[-1] != "wire_diameter":
            await bench.press("down")
        await bench.press("plus")
        assert bench.state.job.get(("setup", 0, "wire_diameter")) == "8.5 mm"
        assert "8.5 mm wire" in everything(bench)
        assert everything(bench) != before


async def test_with_an_air_spring_selected_it_is_of_the_coil_there_is() -> None:
    async with bench_app(wired()).run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.press("tab", "tab", "right")
        assert (bench.state.setup, "wire" in bench.state.view_ids) == (1, False)
        await bench.show("wire")
        assert (bench.state.setup, bench.state.view) == (0, "wire")
        assert "8.4 mm wire" in everything(bench)


async def test_without_a_coil_it_says_so_and_how_to_add_one() -> None:
    job = demo_job().without_setup(0)
    async with bench_app(job).run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await bench.show("wire")
        assert bench.state.view != "wire"
        assert "coil" in bench.text("note")
    state = with_answer(open_bench(History.starting_at(job)))
    assert "No coil at this wheel" in text_of(wire_lines(state, 78, LOOK))


@pytest.mark.slow
async def test_what_cannot_be_is_said() -> None:
    stages = {"compression_mm": (0, 30), "rate_n_per_mm": (80, 95)}
    staged = wired(rate=None, stages=stages)
    said = " ".join((await view_of(staged)).split())
    assert "A progressive coil is not one helix: no single wire can be calculated." in said
    stiff = " ".join((await view_of(wired(rate="300 N/mm"))).split())
    assert "No chrome-silicon wire: wire strong enough is too thick for this diameter." in stiff
    titanium = " ".join((await view_of(wired(material="titanium", wire_diameter="15 mm"))).split())
    assert "Wire above the strength table's range: stress limits are a guess." in titanium
    assert "Beta titanium, 15.0 mm wire" in titanium


def test_the_words_of_the_panel_are_those_of_the_file() -> None:
    rows = {row.path[-1]: row for row in panels(wired())[2].rows}
    for key, known in (("material", MATERIALS), ("ends", COIL_ENDS)):
        choice, field = rows[key].kind, SETUP["coil"][key].kind
        assert isinstance(choice, Choice)
        assert isinstance(field, Choice)
        assert choice.words == field.words == tuple(known)


def test_the_panel_asks_for_the_wire_in_one_row_until_there_is_one() -> None:
    (asked,) = [row for row in panels(demo_job())[2].rows if "wire" in str(row.path[-1])]
    assert isinstance(asked.kind, Choice)
    measured = asked.kind.select(demo_job(), asked.path, 1)
    assert {row.path[-1] for row in panels(measured)[2].rows} >= {"wire_diameter", "total_coils", "grade"}
    assert asked.kind.select(measured, asked.path, 0) == demo_job()
