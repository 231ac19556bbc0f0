"""Measured on the stand: from one pair to the next, each judged while it is typed."""

import numpy as np
import pytest

from tests.tui.bench.conftest import bench_app, started
from tests.tui.looks import LOOK, PLAIN_LOOK
from tui.bench.cells import faults_by_row
from tui.bench.keymap import KEYMAP
from tui.bench.state import BenchState, open_bench, show_view, with_answer, with_job
from tui.bench.views.pairs import lines, measuring
from tui.bench.views.pane import ViewPane
from tui.bench.words import results_line
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.job import History, Job
from tui.job.tree import TreePath
from tui.kit.cells import text_of
from tui.subjects.answers import answer_object
from tui.subjects.report import report

DEMO = demo_job()
KIND: TreePath = ("frame", "leverage", "kind")
TRAVEL: TreePath = ("frame", "leverage", "travel_mm")
STROKE: TreePath = ("frame", "leverage", "stroke_mm")
STROKES = ("7.3", "14.8", "22.6", "30.6", "39.0", "47.7", "60")


def start(job: Job = DEMO) -> BenchState:
    return with_answer(open_bench(History.starting_at(job)))


def keys(state: BenchState, *names: str) -> BenchState:
    for name in names:
        state = KEYMAP.pressed(state, name, name if len(name) == 1 else None)
    return state


def write(state: BenchState, text: str) -> BenchState:
    return keys(state, *text)


def measured(*strokes: str) -> BenchState:
    """Return the bench after these strokes have been typed, each as the next pair."""
    state = start()
    for stroke in strokes:
        state = keys(write(measuring(state), stroke), "enter")
    return state


def text(state: BenchState, width: int = 78) -> str:
    return text_of(lines(state, width, LOOK))


def said(state: BenchState) -> str:
    return " ".join(text(state).split())


def test_the_view_only_shows_what_it_takes() -> None:
    state = show_view(start(), "pairs")
    assert state.view == "pairs"
    assert state.bike == DEMO
    assert said(state).startswith("Leverage 2.78 to 2.22 : 1, not measured on the stand. ! Let all air out")
    assert "Clamp the bike so it cannot drop" in said(state)


def test_it_starts_with_full_extension_and_undo_takes_it_back() -> None:
    state = measuring(start())
    assert state.view == "pairs"
    assert state.job.get(KIND) == "measured"
    assert (state.job.get(TRAVEL), state.job.get(STROKE)) == ((0.0,), (0.0,))
    assert state.edit is not None
    assert state.edit.text == "20 "
    assert "u undoes it" in state.note
    assert said(state).startswith("Next pair: axle up 20 mm from full extension. ! Let all air out")
    back = keys(state, "escape", "u")
    assert back.bike == DEMO


def test_pair_after_pair_to_the_end_of_the_travel() -> None:
    state = measured(*STROKES)
    assert state.job.get(TRAVEL) == (0.0, 20.0, 40.0, 60.0, 80.0, 100.0, 120.0, 148.0)
    assert state.job.get(STROKE) == (0.0, *map(float, STROKES))
    assert state.faults == ()
    assert state.answer is not None
    assert float(state.answer.answer.frame.leverage_start) == pytest.approx(2.78, abs=0.05)
    done = measuring(state)
    assert done.edit is None
    assert "Full travel is measured" in done.note
    assert "Full travel is measured" in said(done)


def test_until_there_are_enough_the_last_answer_stays() -> None:
    state = measured(*STROKES[:2])
    assert state.faults
    assert state.is_outdated
    assert "3 of at least 4 pairs" in said(state)
    assert measured(*STROKES[:3]).faults == ()


def results(state: BenchState) -> str:
    return text_of(results_line(state, 100, LOOK)).strip()


def test_a_list_that_is_being_entered_says_what_it_lacks_and_marks_nothing() -> None:
    for count, needed in enumerate(("3 more pairs", "2 more pairs", "1 more pair")):
        state = measured(*STROKES[:count]) if count else measuring(start())
        assert results(state).startswith(f"{needed} of travel and stroke needed: curves and figures")
        assert faults_by_row(state) == {}
    assert results(measured(*STROKES[:3])).startswith(f"~{LOOK.marker(0)} coil")
    alone = with_answer(open_bench(History.starting_at(measured(STROKES[0]).job)))
    assert results(alone) == "2 more pairs of travel and stroke needed: no result yet."


def test_what_else_is_wrong_beside_a_short_list_stays_a_fault() -> None:
    state = measured(STROKES[0])
    broken = with_job(state, state.job.with_value(("load", "rider_mass"), "82"))
    assert "2 invalid values" in results(broken)
    assert len(faults_by_row(broken)) == 2
    crooked = with_job(state, state.job.with_value(STROKE, (0.0, "seven")))
    assert "1 invalid value" in results(crooked)


def test_the_next_pair_takes_the_one_that_is_open() -> None:
    state = write(measuring(measured(STROKES[0])), STROKES[1])
    following = measuring(state)
    assert following.job.get(STROKE) == (0.0, 7.3, 14.8)
    assert following.edit is not None
    assert following.edit.text == "60 "
    again = measuring(following)
    assert again.edit == following.edit
    assert "stroke" in again.note


def test_a_pair_is_judged_while_it_is_typed() -> None:
    state = measuring(measured(*STROKES[:5]))
    assert "! " not in text(state).split("PAIRS")[1]
    slipped = write(state, "41.7")
    assert slipped.job == state.job, "nothing is taken before Enter"
    assert "does not fit the others" not in said(state)
    row = next(line for line in text(slipped).splitlines() if " 120.0 " in line)
    assert float(row.replace("!", " ").split()[3]) != 0.0
    assert any(" 120.0 " in line for line in text(slipped).splitlines())
    assert not any(" 120.0 " in line for line in text(state).splitlines())


@pytest.mark.slow
def test_the_odd_pair_is_pointed_at_with_what_the_others_say() -> None:
    slip = (*STROKES[:2], "24.1", *STROKES[3:])
    state = measured(*slip)
    assert "Pair 4 at 60.0 mm wheel travel does not fit the others" in said(state)
    assert "they give 22.6 mm stroke, not 24.1 mm" in said(state)
    assert [line[:3] for line in text(state).splitlines() if line.startswith("!")][1:] == ["! 4", "! P"]
    answer = answer_job(state.job).answer
    (caution,) = [caution for caution in answer.cautions if caution.code == "odd_pair"]
    assert caution.values["pair"] == 4.0
    assert caution.values["by_others"] == pytest.approx(22.6e-3, abs=0.2e-3)
    assert "does not fit" not in said(measured(*STROKES))


def test_a_bad_last_pair_does_not_unmark_the_wrong_one_before_it() -> None:
    slip = (*STROKES[:3], "32.1", *STROKES[4:6])
    before = measured(*slip)
    assert marked(before) == ["5"]
    both = measured(*slip, "57.5")
    assert marked(both) == ["5", "8"]
    assert "Full travel is measured, 8 pairs. Measure pairs 5 and 8 again, the marked ones." in said(both)
    assert "Without pairs 5 and 8 the others fit: one wrong pair hides the other." in said(both)
    assert marked(measured(*STROKES)) == []


def test_scatter_beyond_reading_error_that_no_two_pairs_explain_is_told() -> None:
    wild = measured("7.3", "16.8", "20.6", "32.6", "37.0", "49.7", "58")
    assert marked(wild) == []
    assert (
        "(standard deviation), more than reading error (0.30 mm, rule of thumb): measure them again. Bars"
        in said(wild)
    )
    assert "more than reading error" not in said(measured(*STROKES))


def marked(state: BenchState) -> list[str]:
    """Return the numbers of the pairs that are marked in the table."""
    rows = (line.split() for line in text(state).splitlines() if line.startswith("!"))
    return [row[1] for row in rows if row[1].isdigit()]


@pytest.mark.slow
def test_without_a_screen_the_pairs_are_judged_too() -> None:
    slip = measured(*STROKES[:2], "24.1", *STROKES[3:])
    found = answer_object(answer_job(slip.job))["frame"]["pairs"]
    assert found["odd"] == 3
    assert found["by_others_mm"][3] == pytest.approx(22.6, abs=0.2)
    assert len(found["residual_mm"]) == len(found["ratio"]) == 8
    assert np.argmax(np.abs(found["residual_mm"])) == 3
    told = report(answer_job(slip.job))
    assert "Caution: Pair 4 at 60.0 mm wheel travel does not fit the others: they give 22.6 mm stroke" in told
    assert "stroke, not 24.1 mm. Spring out, measure again." in told
    assert answer_object(answer_job(measured(*STROKES).job))["frame"]["pairs"]["odd"] is None
    assert answer_object(answer_job(DEMO))["frame"]["pairs"] is None


def test_the_ratio_listed_is_that_of_the_answer() -> None:
    state = measured(*STROKES)
    listed = [line.split() for line in text(state).splitlines() if line.startswith("  ") and "." in line]
    assert len(listed) == 8
    answer = answer_job(state.job.with_value(("frame", "stroke"), "60 mm")).answer.frame
    scale = 1 + float(answer.closure_error)
    for row in listed:
        drawn = np.interp(float(row[1]) / 1000, answer.travel, answer.ratio)
        assert float(row[4]) == pytest.approx(float(drawn) / scale, abs=0.006)
    bars = [len(row[5]) for row in listed]
    assert bars == sorted(bars, reverse=True)


def test_pairs_from_before_come_back() -> None:
    state = measured(*STROKES)
    away = state.job.with_value(("frame", "leverage"), {"kind": "ends", "start": 2.8, "end": 2.3})
    again = measuring(with_job(state, away))
    assert again.job.get(TRAVEL) == state.job.get(TRAVEL)


@pytest.mark.parametrize("raw", ["", "x", "0 mm", "-3 mm", "150"])
def test_a_travel_that_is_not_known_asks_for_both_numbers(raw: str) -> None:
    state = measuring(start(DEMO.with_value(("frame", "wheel_travel"), raw)))
    assert state.edit is None
    assert state.row.label == "add a pair"
    assert text(state)


def test_whatever_stands_in_the_columns_is_shown_or_left_out() -> None:
    for column in ("x", (), ("a", 20.0), (1e300, 2.0, 3.0), (0.0, 0.0, 0.0, 0.0), (-1.0, 2.0, float("nan"))):
        job = DEMO.with_value(
            ("frame", "leverage"), {"kind": "measured", "travel_mm": column, "stroke_mm": column}
        )
        assert text(show_view(start(job), "pairs"))
        measuring(start(job))


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("width", [20, 40, 78])
def test_it_fits_and_is_plain_where_it_must_be(width: int) -> None:
    rows = lines(measured(*STROKES), width, PLAIN_LOOK)
    assert text_of(rows).isascii()
    assert max(map(len, rows)) <= max(width, 36)


@pytest.mark.slow
@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_on_the_screen_the_pairs_stay_in_sight(size: tuple[int, int]) -> None:
    async with bench_app().run_test(size=size) as pilot:
        bench = await started(pilot)
        await bench.show("pairs")
        pane = bench.screen.query_one(ViewPane)
        assert "on the stand" in bench.text("view-strip")
        assert "Clamp" in pane.text
        await bench.do("pair")
        for stroke in STROKES[:6]:
            assert bench.state.edit is not None, "Enter takes a pair and opens the next one"
            await bench.write(stroke)
            await bench.press("enter")
        assert bench.state.edit is not None
        assert bench.state.edit.text == "148 "
        await bench.press("enter")
        assert bench.state.edit is not None, "a stroke is asked for"
        await bench.press("escape", "up", "enter")
        assert "120.0" in pane.text
        assert "47.7" in pane.text
        await bench.press("enter")
        assert bench.state.edit is None, "one that stands there is only taken"
        assert "OLD" not in pane.text
        assert not bench.state.in_view, "the fields have the focus"
        assert pane.display


def test_a_pair_unlike_the_frame_is_asked_about_and_taken_when_it_is_entered_again() -> None:
    first = write(measuring(start()), "20")
    for asked in (keys(first, "enter"), measuring(first)):
        assert asked.edit is not None
        assert asked.job.get(TRAVEL) == (0.0,)
        assert asked.note.startswith(
            "20 mm of travel over 20 mm of stroke is a ratio of 1.00; the frame has 2.47"
        )
        assert asked.note.endswith("Enter again takes it.")
    assert measuring(measuring(first)).job.get(STROKE) == (0.0, 20)
    assert keys(keys(first, "enter"), "enter").job.get(STROKE) == (0.0, 20)
    # Typed right it is taken at once; so is every pair of a frame that is like itself.
    assert measuring(keys(measuring(first), "backspace", "backspace", "8")).job.get(STROKE) == (0.0, 8)
    assert measured(*STROKES).note == ""


def test_what_is_wrong_with_the_ratios_stands_first_on_the_stand() -> None:
    off = DEMO.with_value(("frame", "leverage", "middle"), 2.44)
    shown = said(show_view(start(off), "pairs"))
    assert shown.startswith("Wheel travel, stroke and leverage disagree by 0.7 %: the ratios are scaled")
    assert "Each of these alone makes the frame fit; Enter uses it." in shown


def test_a_pair_that_the_frame_cannot_reach_is_called_impossible() -> None:
    told = "148 mm of travel and 64.9 mm of stroke is impossible: the frame has 148 mm of travel and 60 mm of"
    asked = keys(write(measuring(measured(*STROKES[:6])), "64.9"), "enter")
    assert asked.note.startswith(told)
    taken = keys(asked, "enter")
    shown = said(show_view(taken, "pairs"))
    assert "Pair 8 is impossible: measure it again, or correct the frame." in shown
    assert "Full travel is measured" not in shown
    assert "Full travel is measured" not in measuring(taken).note
    assert "! 8" in text(taken)
    # A travel or stroke shorter than what was measured makes no frame fit; a longer stroke may.
    assert "wheel travel 148 mm →" not in shown
    assert "stroke 60.0 mm → " in shown or "stroke 60 mm → " in shown
    short = with_job(taken, taken.job.with_value(("frame", "wheel_travel"), "137.6 mm"))
    assert "Pair 8 is impossible" in said(short)
    codes = [caution.code for caution in answer_job(short.job).answer.cautions]
    assert "pair_beyond" in codes


def test_a_list_that_is_half_measured_is_no_fault_and_the_open_pair_needs_no_key() -> None:
    half = measured("8.9", "17.8", "26.8")
    assert results(half).startswith("Still to measure: 60.0 mm to 148.0 mm of travel; ")
    assert faults_by_row(half) == {}
    assert "Space, then p, opens the pair" in said(half)
    opened = said(measuring(half))
    assert "Type the stroke, Enter." in opened
    assert "Space, then p" not in opened
