"""Pages that answer first, and what is taken from them with Enter."""

import re
from dataclasses import replace

import pytest

from tests.tui.bench.conftest import bench_app, started
from tests.tui.bench.test_look import worked_out
from tests.tui.job.two_ends import BIKE
from tests.tui.looks import LOOK
from tui.bench.edit import undo
from tui.bench.state import BenchState, open_bench, show_view, shown_chart, with_answer
from tui.bench.views.documents import balance_lines, conditions_lines
from tui.bench.views.pages import order_lines, pump_lines, verdict_lines
from tui.bench.views.pane import HELP, views
from tui.bench.views.takes import take_selected, takes_here
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.fields import field_at
from tui.job.job import History, Job
from tui.job.wheels import wheel_job
from tui.kit.cells import CellRow, text_of
from tui.kit.document import UNITS
from tui.kit.roles import Role
from tui.shop_units import USUAL
from tui.subjects import riding

REAR = wheel_job(demo_job(), "rear")


COLD = REAR.with_value(("ride", "temperature"), "0 degC")


NUMBER = re.compile(rf"\d (?:{'|'.join(map(re.escape, UNITS))}|: 1|x static)(?![\w/])")
VERDICTS = {
    "verdict": "air, against coil: harsher on small bumps, holds up better in corners",
    "advice": "No complaint is ticked.",
    "logged": "No log read yet: Space, then l, reads one.",
    "sheet": "! 72 values are unverified: nobody has typed or confirmed them.",
}
"""What the first line of a view says where the answer is no number."""


def bench(job: Job, view: str, setup: int = 0) -> BenchState:
    state = with_answer(open_bench(History.starting_at(job)))
    return show_view(replace(state, setup=setup), view)


def lines(rows: list[CellRow]) -> list[str]:
    """Return what stands on a page, blank lines and the names of setups left out."""
    said = text_of(rows).splitlines()
    return [line for line in said if line.strip() and line[0] not in "●▲◆"]


@pytest.mark.parametrize("view", sorted(views().keys() - {HELP, "leverage"}))
def test_the_first_line_of_every_view_is_the_answer(view: str) -> None:
    """A number with its unit or a verdict, and neither a title nor how to use the view."""
    for width in (38, 78):
        rows = [row for row in views()[view].draw(worked_out(view), width, LOOK) if text_of([row]).strip()]
        assert Role.HEADING not in {role for _, role in rows[0]}
        first = " ".join(text_of(rows[:4]).split())
        if view in VERDICTS:
            assert first.startswith(VERDICTS[view]) or width == 38
        else:
            # In a narrow pane the first sentence takes more than a line.
            assert NUMBER.search(text_of(rows[: 1 if width == 78 else 3])), first


def test_the_pump_page_begins_with_the_pressure_and_both_ways_to_it() -> None:
    job = REAR.with_value(("setup", 1, "max_pressure"), "320 psi")
    first, second = lines(pump_lines(bench(job, "pump", 1), 60, LOOK))[:2]
    assert first == "205 psi. Pump in 4 rounds, or in one go to 268 psi."
    assert second.startswith(f"{LOOK.glyphs.caution} ")
    doubted = lines(pump_lines(bench(REAR, "pump", 1), 60, LOOK))[:2]
    assert doubted == ["205 psi. Pump in 4 rounds, or in one go to 268 psi where the", "label allows it."]


UNGASSED = REAR.without(("setup", 1, "gas_pressure")).without(("setup", 1, "gas_volume"))


def test_a_solved_pressure_that_lacks_the_damper_gas_says_so_before_the_steps() -> None:
    solved, typed = (
        " ".join(text_of(pump_lines(bench(job, "pump", 1), 78, LOOK)).split())
        for job in (UNGASSED, UNGASSED.with_value(("setup", 1, "pressure"), "205 psi"))
    )
    assert [text.count("No damper gas entered.") for text in (solved, typed)] == [1, 1]
    assert solved.index("No damper gas entered.") < solved.index("IN ROUNDS")
    assert typed.index("No damper gas entered.") > typed.index("AFTERWARDS")


def test_above_max_pressure_the_pump_page_begins_with_that() -> None:
    job = REAR.with_value(("setup", 1, "max_pressure"), "150 psi")
    first, *others = lines(pump_lines(bench(job, "pump", 1), 100, LOOK))
    assert first.startswith(f"{LOOK.glyphs.caution} 205 psi is above")
    assert not any("Pump to" in line or "in one go" in line for line in others)


def test_the_order_page_begins_with_what_can_be_taken() -> None:
    said = " ".join(lines(order_lines(bench(REAR, "order"), 60, LOOK))[:3])
    assert "400 lbf/in, preload 1.3 turns: sag 28.9 %, nearest to the exact 393 lbf/in" in " ".join(
        said.split()
    )
    assert "375 lbf/in, preload 2.2 turns: sag 29.0 %" in said


def in_length(preload: str) -> Job:
    return REAR.without(("setup", 0, "preload_turns")).with_value(("setup", 0, "preload"), preload)


@pytest.mark.parametrize("job", [REAR, in_length("0 mm"), in_length("2 mm")], ids=["turns", "none", "2 mm"])
@pytest.mark.parametrize("of", ["travel", "stroke"])
def test_the_sag_that_is_announced_is_the_one_it_gives(job: Job, of: str) -> None:
    """A preload is written in tenths, and the sag is the one with that, before it is taken and after."""
    state = bench(job.with_value(("target", "of"), of), "order")
    for place, take in enumerate(takes_here(state)):
        if not take.values:
            continue
        then = take_selected(replace(state, taken=place))
        assert then.answer is not None
        sag = then.answer.answer.setups[0].sag
        share = float(sag.wheel_fraction if of == "travel" else sag.stroke_fraction)
        announced = re.search(r": sag (\d+\.\d %)", take.text)
        assert announced is not None
        assert announced[1] == f"{share * 100:.1f} %"
        before, after = (" ".join(text_of(order_lines(one, 78, LOOK)).split()) for one in (state, then))
        rate = str(then.job.get(("setup", 0, "rate")))
        assert re.search(rf"{rate}\. Preload [^:]+: sag {announced[1]} of {of}\.", before)
        assert f"With the preload as it is now: sag {announced[1]} of {of}." in after


def test_a_coil_without_preload_now_does_not_contradict_the_preload_of_the_rates() -> None:
    said = " ".join(text_of(order_lines(bench(in_length("0 mm"), "order"), 78, LOOK)).split())
    assert re.search(r"lbf/in, preload \d\.\d mm: sag", said)
    assert "! No preload as it is set now: the coil must not rattle" in said
    assert "No preload:" not in said
    taken = take_selected(bench(in_length("0 mm"), "order"))
    assert "No preload" not in text_of(order_lines(taken, 78, LOOK))


def test_what_a_missing_damper_charge_does_stands_below_what_is_ordered() -> None:
    for setup, words in ((0, "these rates are about"), (1, "these pressures are about")):
        job = REAR
        for key in ("gas_pressure", "gas_volume"):
            job = job.without(("setup", setup, key))
        offered = len(takes_here(bench(job, "order", setup)))
        shown = lines(order_lines(bench(job, "order", setup), 38, LOOK))
        said = " ".join(" ".join(shown[: 2 * offered + 6]).split())
        assert f"Damper gas is not entered. With a usual charge (rule of thumb) {words}" in said
        assert sum("amper gas" in line for line in shown) == 1, "said once"


def test_the_verdict_page_begins_with_it() -> None:
    said = " ".join(lines(verdict_lines(bench(REAR, "verdict"), 60, LOOK)))
    assert said.startswith("air, against coil: harsher on small bumps, holds up better in corners")


def test_the_conditions_page_begins_with_what_to_pump_here_and_the_ride() -> None:
    shown = lines(conditions_lines(bench(COLD, "conditions", 1), 78, LOOK))
    found = re.match(
        r"Pump (\d+) psi here for 29\.0 % sag there \(0 degC, 350 m\)", shown[0].removeprefix("› ")
    )
    assert found is not None
    ride = answer_job(COLD.with_value(("setup", 1, "pressure"), f"{found[1]} psi")).answer.setups[1].ride
    assert ride is not None
    assert float(ride.sag_wheel_fraction) == pytest.approx(0.29, abs=0.001)
    assert shown[2].startswith("! Never pump above the max pressure on the shock's label.")
    heads = [line for line in shown if line.isupper()]
    assert heads[0] == "RIDING CONDITIONS"
    at = shown.index(heads[0])
    assert [line.split()[0] for line in shown[at + 2 : at + 4]] == ["shop", "ride,"]
    without = text_of(conditions_lines(bench(REAR, "conditions", 1), 78, LOOK))
    assert re.match(
        r". air: Filled here and ridden at -15 degC to 45 degC: sag 3\d\.\d → 2\d\.\d %, breakaway at the",
        " ".join(without.split()),
    )
    asks = (
        "No riding conditions typed. Type riding temp. or riding altitude on Rider (/ and riding finds them)"
    )
    assert asks in " ".join(without.split())
    for key in ("temperature", "altitude"):
        field = field_at(("ride", key))
        assert field is not None
        assert field.label in asks


def test_both_ends_begin_with_the_verdict_then_with_what_to_set_to_match() -> None:
    state = with_answer(open_bench(History.starting_at(BIKE)))
    shown = text_of(balance_lines(show_view(state, "balance"), 78, LOOK)).splitlines()
    assert re.match(
        r"Stiffness balanced, sag outside the usual range: front natural frequency [+-]\d+ %", shown[0]
    )
    # Of the front every pressure that would match is beyond the rest position allowed.
    at = shown.index("To match the front, set the rear to:")
    assert at < 8
    assert shown[at - 1] == "› Leave both as they are: sag front 22.0 %, rear 29.0 %, on target"
    assert re.match(r"  \d+ lbf/in: sag", shown[at + 1])
    assert "No front setting within limits matches the rear." in shown[at + 2 : at + 5]
    assert shown.index("FRONT AND REAR") > 3


def test_what_closes_a_frame_is_taken_and_undone() -> None:
    refused = bench(REAR.with_value(("frame", "stroke"), "55 mm"), "leverage")
    assert shown_chart(refused) is None
    takes = takes_here(refused)
    assert len(takes) == 3
    after = with_answer(take_selected(refused))
    assert after.job == takes[0].into(refused.job)
    assert not after.faults
    assert shown_chart(after) is not None
    assert undo(after).job == refused.job


async def test_a_refused_frame_shows_what_fits_in_place_of_the_leverage_chart() -> None:
    async with bench_app(REAR).run_test(size=(80, 24)) as pilot:
        shown = await started(pilot)
        await shown.show("leverage")
        assert "Leverage ratio" in shown.text("chart")
        shown.screen.take(with_answer(bench(REAR.with_value(("frame", "stroke"), "55 mm"), "leverage")))
        await pilot.pause()
        said = " ".join(shown.text("view").split())
        assert "but wheel travel and leverage give" in said
        assert "ratio at end 2.22 → 3.81" in said
        await shown.press("down", "enter")
        assert shown.state.job.get(("frame", "leverage", "middle")) == 2.81
        assert "Leverage ratio" in shown.text("chart")


def test_the_verdict_says_where_setups_do_not_stand_at_one_sag() -> None:
    job = demo_job().with_value(("setup", 0, "rate"), "300 lbf/in")
    answered = answer_job(job).at("rear")
    assert answered is not None
    first, second = riding.verdict(answered, USUAL)[:2]
    assert first.text.startswith("air, against coil: ")
    assert re.match(
        r"Not at the same sag: coil 3\d\.\d %, air 29\.0 %\. Set them to one sag first\.", second.text
    )
    solved = answer_job(demo_job()).at("rear")
    assert solved is not None
    assert not any("same sag" in said.text for said in riding.verdict(solved, USUAL))
