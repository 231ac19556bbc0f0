"""Both ends on the screen: one act goes to the other, a view shows them side by side, live from either."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from tests.tui.bench.conftest import bench_app, started
from tests.tui.job.two_ends import BIKE, REAR
from tui.bench.edit import show_other_wheel
from tui.bench.state import BenchState, open_bench, show_view, with_answer
from tui.bench.views.documents import balance_lines
from tui.bench.views.pane import ViewPane
from tui.bench.views.takes import move_take, take_selected, takes_here
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.job import History, Job
from tui.job.tree import Raw, TreePath
from tui.job.wheels import WHEELS
from tui.kit.look import UTF8, ChartLook
from tui.shop_units import USUAL
from tui.subjects.balance import match_takes
from tui.themes import find_themes

SIZES = [(80, 24), (120, 40)]
LOOK: ChartLook = find_themes().themes["dark"].chart(UTF8)


def view(job: Job, width: int = 78) -> list[str]:
    state = show_view(with_answer(open_bench(History.starting_at(job))), "balance")
    return text(state, width)


def text(state: BenchState, width: int = 78) -> list[str]:
    return ["".join(character for character, _ in line) for line in balance_lines(state, width, LOOK)]


def row(shown: list[str], label: str) -> list[str]:
    return next(line for line in shown if line.startswith(label)).removeprefix(label).split()


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_one_act_goes_to_the_other_end_and_back(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        before = bench.text("grid"), bench.text("results"), bench.text("chart")
        assert " rear " in bench.text("title")
        await bench.do("end")
        assert " front " in bench.text("title")
        assert "from rear wheel" in bench.text("grid").splitlines()[0]
        await bench.press("tab")
        assert bench.text("fields-strip").split()[1] == "fork"
        await bench.press("shift+tab")
        assert "psi" in bench.text("results")
        assert "coil" not in bench.text("results")
        assert bench.text("chart") != before[2]
        await bench.press("plus")
        await bench.do("end")
        assert "83 kg" in bench.text("grid")
        await bench.press("u")
        assert (bench.text("grid"), bench.text("results"), bench.text("chart")) == before


async def test_the_first_time_it_adds_an_invented_front_and_says_so() -> None:
    async with bench_app(REAR).run_test(size=(120, 40)) as pilot:
        bench = await started(pilot)
        assert "rear" not in bench.text("title")
        await bench.do("end")
        assert "front" in bench.text("title")
        assert "Typical fork added, off the sheet until its values are typed" in bench.text("note")
        await bench.press("u")
        assert bench.state.bike == REAR
        assert "front" not in bench.text("title")


@pytest.mark.slow
async def test_a_fault_at_the_other_end_is_told_with_the_way_there() -> None:
    async with bench_app().run_test(size=(80, 24)) as pilot:
        bench = await started(pilot)
        await bench.do("end")
        await bench.write("9 lumps")
        await bench.press("enter", "u", "end", "home", "down", "down", "down", "down", "down", "down")
        await bench.write("900")
        await bench.press("enter")
        assert "1 invalid value; " in bench.text("results")
        await bench.do("end")
        assert "1 invalid value at the front wheel" in bench.text("results")


@pytest.mark.parametrize("size", SIZES)
async def test_the_balance_follows_both_ends(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        await bench.show("balance")
        pane = bench.screen.query_one(ViewPane)
        first = pane.text
        assert "Rear coil, front fork." in first
        assert "●" not in first.replace("chart", ""), "the first setup of either wheel has that mark"
        assert "To match the rear, set the front to:" in first
        assert all(line.rstrip().rstrip("…") == line.rstrip() for line in first.splitlines())
        await bench.press("escape", "right")
        assert "Rear air, front fork." in pane.text
        await bench.do("end")
        assert "Rear air, front fork." in pane.text
        at_rest = pane.text
        await bench.press("greater_than_sign")
        assert pane.text != at_rest


def test_whether_the_bike_is_balanced_comes_first_then_the_usual_sag_and_what_matching_costs() -> None:
    shown = " ".join(" ".join(view(BIKE)).split())
    assert shown.startswith(
        "Stiffness balanced, sag outside the usual range: front natural frequency +26 % (usual -10 to "
        "+41 %), mid-stroke support +28 % against the rear. Sag front 22.0 %, rear 29.0 % (front more than "
        "usual). Rule of thumb: front 15 to 20 %, rear 25 to 30 %. "
    )
    costs = shown.index("Matching takes an end off its own target sag; each line says how far.")
    assert costs < shown.index("517 lbf/in: sag 22.0 %, off its target of 29 % of travel")
    usual = view(BIKE.with_value(("front", "target", "sag"), "19 %"))
    assert usual[0].startswith("Balanced: front natural frequency +")
    soft = " ".join(view(BIKE.with_value(("front", "target", "sag"), "45 %")))
    assert soft.startswith("Not balanced, front softer than rear: front natural frequency -")
    firm = BIKE.with_value(("front", "target", "sag"), "12 %").with_value(("target", "sag"), "38 %")
    assert view(firm)[0].startswith("Not balanced, front firmer than rear: front natural frequency +")


def test_the_differences_are_those_of_the_numbers_shown_and_ratios_say_of_what() -> None:
    for sag in (17, 18, 19, 20, 21, 22):
        shown = view(BIKE.with_value(("front", "target", "sag"), f"{sag} %"))
        for label in ("sag %", "sag mm", "nat. freq. Hz", "50 % x static", "bottom-out x static"):
            rear, front, apart, _ = map(float, row(shown, label))
            assert apart == pytest.approx(front - rear, abs=1e-9), (sag, label)
    units = ["lbf/in", "%", "Hz", "x", "static", "x", "static"]
    place = [line.split() for line in shown].index(units)
    assert shown[place - 1].split() == ["set", "sag", "freq.", "bottom", "50", "%"]


def test_what_keeps_the_target_is_offered_before_what_does_not() -> None:
    """Spacers come with the pressure that keeps the sag."""
    bike = BIKE.with_value(("front", "setup", 0, "port"), "2 mm")
    answered = answer_job(bike.with_value(("front", "setup", 0, "positive_spacer_volume"), "5 cm3"))
    assert answered.front is not None
    for at_rear in range(len(answered.answer.setups)):
        takes = match_takes(answered, at_rear, 0, USUAL)
        for wheel in WHEELS:
            off = ["off its target" in take.text for take in takes if take.wheel == wheel]
            assert off == sorted(off)
            assert ["on target" in take.text for take in takes if take.wheel == wheel] == [not o for o in off]
    # The coil at the rear has none.
    assert takes[0].text == "59 psi, 8 spacers: bottom-out ratio; sag 22.0 %, on target"


def test_a_wheel_on_its_target_is_left_there_unless_another_line_is_chosen() -> None:
    shown = show_view(with_answer(open_bench(History.starting_at(demo_job()))), "balance")
    first, *others = takes_here(shown)
    assert first.text == "Leave both as they are: sag front 21.0 %, rear 29.0 %, on target"
    assert all("off its target of" in take.text for take in others)
    entered = take_selected(shown)
    assert entered.bike == shown.bike
    assert entered.note == "Both wheels left as they are."
    moved = take_selected(move_take(shown, 1))
    assert moved.bike != shown.bike
    # A wheel that is off its target already says so too.
    off = with_answer(
        open_bench(History.starting_at(demo_job().with_value(("front", "setup", 0, "pressure"), "45 psi")))
    )
    told = takes_here(show_view(off, "balance"))[0].text
    assert re.fullmatch(
        r"Leave both as they are: sag front [\d.]+ % \(off its target of 21 % of travel\), rear 29.0 % "
        r"\(on target\)",
        told,
    ), told
    # Where one line keeps the target, it comes first, whichever wheel it is at.
    spaced = BIKE.with_value(("front", "setup", 0, "port"), "2 mm")
    spaced = spaced.with_value(("front", "setup", 0, "positive_spacer_volume"), "5 cm3")
    keeps = takes_here(
        replace(show_view(with_answer(open_bench(History.starting_at(spaced))), "balance"), setup=1)
    )
    assert keeps[0].text.endswith("on target")
    assert keeps[0].values


@pytest.mark.parametrize(("sag", "mass"), [(14, "75 kg"), (22, "60 kg")])
def test_a_sag_of_the_other_wheel_that_was_tried_itself_is_matched(sag: int, mass: str) -> None:
    """Rounding puts it on either side of what was tried."""
    bike = BIKE.with_value(("front", "target", "sag"), f"{sag} %").with_value(("load", "rider_mass"), mass)
    bike = bike.with_value(("target", "sag"), "28 %")
    state = show_view(with_answer(open_bench(History.starting_at(bike))), "balance")
    for setup in (0, 1):
        shown = text(replace(state, setup=setup))
        at_rear = shown[shown.index("AT THE REAR, TO MATCH IN") :]
        assert float(row(at_rear, "sag")[1]) == pytest.approx(sag, abs=0.3)


def test_a_measure_in_which_no_setting_matches_says_so_and_has_no_dashes() -> None:
    bike = demo_job().with_value(("front", "target", "sag"), "18 %").with_value(("target", "sag"), "30 %")
    shown = view(bike.with_value(("load", "rider_mass"), "60 kg"))
    at_front = shown[shown.index("AT THE FRONT, TO MATCH IN") : shown.index("AT THE REAR, TO MATCH IN")]
    none = "No front pressure with 2 to 92 % sag matches the rear in natural frequency."
    assert none in " ".join(at_front)
    assert not any(line.startswith("nat. freq.") for line in at_front)
    assert not any(line.rstrip().endswith(" -") for line in at_front)


def test_figures_of_both_ends_their_difference_and_ratio() -> None:
    shown = view(BIKE)
    assert row(shown, "sag %") == ["29.0", "22.0", "-7.0", "0.76"]
    rear, front, apart, ratio = map(float, row(shown, "nat. freq. Hz"))
    assert front - rear == pytest.approx(apart, abs=0.011)
    assert front / rear == pytest.approx(ratio, abs=0.011)


def test_the_advice_does_what_it_says() -> None:
    """The pressure named for the rear's sag is typed in, and the two ends agree."""
    # A port this near full extension leaves the fork at rest there: its settings are not marked.
    bike = BIKE.with_value(("front", "setup", 0, "port"), "2 mm")
    shown = view(bike)
    at_front = shown[shown.index("AT THE FRONT, TO MATCH IN") :]
    pressure = row(at_front, "sag")[0]
    typed = view(bike.with_value(("front", "setup", 0, "pressure"), f"{pressure} psi"))
    rear, front, *_ = map(float, row(typed, "sag %"))
    assert front == pytest.approx(rear, abs=0.3)


@pytest.mark.parametrize(
    ("path", "raw", "says"),
    [
        (("front", "setup", 0, "max_pressure"), "40 psi", "above max pressure"),
        (("front", "setup", 0, "pressure"), "70 psi", "Never above max pressure"),
        (("setup", 0, "rate"), "450 lbf/in", "Back off the collar before changing the spring"),
    ],
)
def test_a_caution_stands_where_the_hand_is_about_to_set_it(path: TreePath, raw: Raw, says: str) -> None:
    assert says in " ".join(view(BIKE.with_value(path, raw)))


def test_spacers_that_do_not_reach_agreement_are_told_as_the_nearest() -> None:
    packed = BIKE.with_value(("front", "setup", 0, "positive_spacers"), 4)
    shown = view(packed)
    at_front = shown[shown.index("AT THE FRONT, TO MATCH IN") :]
    wanted, end = (
        float(row(shown, "bottom-out x static")[0]),
        float(row(at_front, "bottom-out, 0 spacers")[3]),
    )
    assert end - wanted > 0.02 * wanted
    place = next(at for at, line in enumerate(at_front) if line.startswith("bottom-out, 0 spacers"))
    assert at_front[place - 1] == "Nearest only: no spacer count matches the other end at this sag."


def test_a_setting_with_which_the_fork_rests_drawn_in_is_marked() -> None:
    shown = view(BIKE)
    at_front = shown[shown.index("AT THE FRONT, TO MATCH IN") : shown.index("AT THE REAR, TO MATCH IN")]
    assert row(at_front, "sag")[0].startswith("!")
    assert "Settings marked ! are above a rest position of 1 mm" in " ".join(at_front)


def test_a_coil_in_stages_has_no_rate_to_set() -> None:
    stages = {"compression_mm": (0, 20), "rate_n_per_mm": (70, 90)}
    job = BIKE.without(("setup", 0, "rate")).with_value(("setup", 0, "stages"), stages)
    assert "no single rate" in " ".join(view(job))


def test_one_wheel_says_what_is_missing() -> None:
    assert "one wheel" in " ".join(view(REAR))
    assert "fix the marked fields" in " ".join(view(REAR.with_value(("load", "rider_mass"), "x")))


def test_the_selected_setup_of_each_end_is_looked_at() -> None:
    state = show_other_wheel(show_view(with_answer(open_bench(History.starting_at(BIKE))), "balance"))
    assert "Rear coil, front fork air." in text(state)
    assert "Rear coil, front fork coil." in text(replace(state, setup=1))
