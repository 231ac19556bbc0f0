"""The view of how far off sag may be: drawn, in words, live, at every size."""

from dataclasses import replace

import pytest

from tests.tui.bench.conftest import Bench, bench_app, started
from tests.tui.looks import LOOK, PLAIN_LOOK
from tui.bench.edit import move_by_rows
from tui.bench.state import BenchState, open_bench, select_field, with_answer
from tui.bench.views.tolerance import lines
from tui.job.demo import demo_job
from tui.job.job import History, Job
from tui.job.tree import Raw
from tui.job.wheels import wheel_job
from tui.kit.cells import text_of
from tui.shop_units import IMPERIAL

DEMO = wheel_job(demo_job(), "rear")
WIDTHS = (20, 40, 78)


def on_bench(job: Job) -> BenchState:
    return with_answer(open_bench(History.starting_at(job)))


def text(job: Job = DEMO, width: int = 78) -> str:
    return text_of(lines(on_bench(job), width, LOOK))


def drawn(job: Job = DEMO, width: int = 78) -> list[str]:
    """Return the lines of the sag drawing."""
    rows = text(job, width).splitlines()
    start = next(i for i, row in enumerate(rows) if row.startswith("SAG"))
    return rows[start + 1 : rows.index("", start)]


def test_every_setup_has_a_line_a_median_and_the_target_below() -> None:
    coil, air, numbers, wanted = drawn()
    assert coil.startswith("● coil")
    assert air.startswith("◆ air")
    assert coil.count("●") == 2
    assert len(coil.strip()) > len(air.strip()), "5 % of rate scatter more than 2 psi"
    assert numbers.split() == ["27.4", "30.7"]
    # All are set for the target, so that the medians stand over it.
    places = [coil.rindex("●"), air.rindex("◆"), wanted.index("↑")]
    assert max(places) - min(places) <= 1
    assert "target 29.0 %" in wanted


def test_it_is_told_in_words() -> None:
    said = " ".join(text().split())
    assert "Sag 27.4 to 30.7 % of travel, median 29.0 %; at the wheel 40.5 to 45.5 mm." in said
    coil, air = said.split("◆ air")[0], said.split("◆ air")[1].split("SAG,")[0]
    assert (
        "Sag from each error alone, % of travel: spring rate ±1.3 %, rider share ±0.9 %, seal friction "
        "±0.3 %, scale ±0.2 %." in coil
    )
    # What a coil does not have cannot be off.
    assert "gauge" not in coil
    assert "gauge ±0.3 %" in air


def test_what_each_error_is_stands_on_the_page() -> None:
    errors = text().split("TOOL ERRORS\n")[1].split("\n\n")[0].splitlines()
    assert errors[:6] == [
        "scale ±0.5 kg for each weighing",
        "rider share ±2.0 % of the rider's mass",
        "gauge ±2 psi, one gauge for both chambers",
        "spring rate ±5.0 %",
        "air volumes ±1.0 cm3, each chamber independently",
        "seal friction ±14 N, ±32 N: the wheel stops anywhere within it",
    ]
    assert "Each is uniform within its ±" in errors[6]
    scale = DEMO.with_value(("load",), {"scale_mass": "58 kg", "unsprung_mass": "4 kg"})
    assert "rider share" not in text(scale).split("TOOL ERRORS\n")[1]


@pytest.mark.slow
def test_measured_pairs_are_one_of_the_errors() -> None:
    pairs: Raw = {
        "kind": "measured",
        "travel_mm": [0.0, 40.0, 80.0, 120.0, 148.0],
        "stroke_mm": [0.0, 15.2, 31.0, 48.2, 60.0],
    }
    said = " ".join(text(DEMO.with_value(("frame", "leverage"), pairs)).split())
    assert "measured pairs by their scatter about the curve (Student's t)" in said
    assert "measured pairs ±" in said


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("look", [LOOK, PLAIN_LOOK])
def test_no_line_is_wider_than_its_place(width: int, look: object) -> None:
    for job in (DEMO, stiff(), soft()):
        rows = lines(on_bench(job), width, LOOK if look is LOOK else PLAIN_LOOK)
        assert all(len(row) <= max(width, 30) for row in rows)


def test_plain_terminals_get_plain_characters() -> None:
    assert text_of(lines(on_bench(DEMO), 60, PLAIN_LOOK)).isascii()


def stiff() -> Job:
    """Return a coil that about half of all riders and rates top out."""
    job = DEMO.with_value(("setup", 0, "rate"), "50 N/mm").without(("setup", 0, "thread_pitch"))
    job = job.without(("setup", 0, "preload_turns")).without(("setup", 0, "max_preload_turns"))
    return job.with_value(("setup", 0, "preload"), "27.6 mm")


def soft() -> Job:
    job = DEMO.with_value(("setup", 0, "rate"), "15.8 N/mm").without(("setup", 0, "bumper_length"))
    return job.without(("setup", 0, "bumper_force"))


@pytest.mark.slow
def test_a_line_beyond_the_travel_runs_into_an_arrow() -> None:
    coil = drawn(stiff())[0]
    assert coil.removeprefix("● coil").strip().startswith("←")
    said = " ".join(text(stiff()).split())
    assert "% top out under the rider" in said
    assert "Sag full extension to" in said
    assert drawn(soft())[0].endswith("→")
    assert "of travel to bottom-out" in " ".join(text(soft()).split())


def test_a_setup_without_an_answer_says_so() -> None:
    heavy = DEMO.with_value(("load", "rider_mass"), "450 kg").with_value(("setup", 1, "bore"), "20 mm")
    assert "No setting reaches the target" in text(heavy.with_value(("setup", 1, "body"), "15 mm"))


def test_other_units() -> None:
    state = on_bench(DEMO)
    assert "at the wheel 1.59 to 1.79 in" in " ".join(
        text_of(lines(replace(state, units=IMPERIAL), 78, LOOK)).split()
    )


async def to_error(bench: Bench, key: str) -> None:
    """Go to one of the errors of the tools, as the finder does; the rest of its step unfolds."""
    bench.screen.take(select_field(bench.state, ("tolerance", key)))
    await bench.press("escape")
    assert bench.state.row.path == ("tolerance", key)


@pytest.mark.slow
@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_a_better_tool_narrows_the_band(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        await bench.show("tolerance")
        before = bench.text("view")
        await to_error(bench, "rate")
        assert bench.state.row.label == "spring rate"
        await bench.press("1", "enter")
        assert bench.state.job.get(("tolerance", "rate")) == "1 %"
        await bench.show("tolerance")
        assert bench.text("view") != before
        await bench.press("u")
        assert bench.state.job.get(("tolerance", "rate")) is None
        assert bench.state.note.startswith("Undone: "), "what was undone is said"
        assert bench.state.in_view, "the view with the focus stays"
        assert bench.text("view") == before


async def test_a_nudge_starts_from_the_usual_value() -> None:
    async with bench_app().run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        await to_error(bench, "rate")
        await bench.press("+")
        assert bench.state.job.get(("tolerance", "rate")) == "6 %"
        await bench.press("up", "-")
        assert bench.state.job.get(("tolerance", "gauge")) == "1.5 psi"
        assert move_by_rows(bench.state, -1).row.path == ("tolerance", "share")
        assert move_by_rows(bench.state, -2).row.path == ("tolerance", "scale")
