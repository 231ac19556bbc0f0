"""What each view takes from an answer, and what the cursor reads there."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from physics.answer import Answer
from physics.arrays import values
from physics.bench import answer
from physics.case import Coil
from physics.shock import with_pressure
from tests.physics.test_bench import CASE
from tui.charts.drawing import place, readout
from tui.charts.series import chart_data
from tui.charts.views import COARSE, END, START, ChartView, at_sag, moved
from tui.kit.look import NEGATIVE, POSITIVE, TOTAL
from tui.shop_units import IMPERIAL, METRIC


@pytest.mark.parametrize(
    ("view", "field"),
    [
        (ChartView.SHAFT, "shaft_force"),
        (ChartView.RATE, "rate"),
        (ChartView.WHEEL, "wheel_force"),
        (ChartView.WHEEL_RATE, "wheel_rate"),
    ],
)
def test_compared_views_have_a_line_per_setup(six: Answer, view: ChartView, field: str) -> None:
    chart = chart_data(six, view)
    assert [line.name for line in chart.lines] == [setup.name for setup in six.setups]
    assert [line.look for line in chart.lines] == list(range(6))
    for line, setup in zip(chart.lines, six.setups, strict=True):
        assert line.y is getattr(setup.curve, f"riding_{field}")
    slow = [line for line in chart_data(six, view, slow=True).lines if line.slow]
    airs = [setup for setup in six.setups if setup.kind == "air"]
    # A coil has one curve: nothing is laid over it.
    assert [line.name for line in slow] == [setup.name for setup in airs]
    for line, setup in zip(slow, airs, strict=True):
        past = setup.curve.stroke >= setup.sag.stroke
        first = int(np.argmax(past)) - 1
        assert np.isnan(line.y[:first]).all()
        assert np.array_equal(line.y[first:], getattr(setup.curve, field)[first:])
        assert np.isfinite(np.interp(setup.sag.stroke, setup.curve.stroke, line.y))


def test_chambers_add_up_to_the_total_of_the_selected_setup(two: Answer) -> None:
    chart = chart_data(two, ChartView.CHAMBERS, selected=1)
    total, positive, negative = chart.lines
    assert [line.name for line in chart.lines] == ["total", "positive", "negative"]
    assert len({line.look for line in chart.lines}) == 3
    assert [line.look for line in chart.lines] == [TOTAL, POSITIVE, NEGATIVE]
    np.testing.assert_allclose(total.y, positive.y + negative.y)
    assert (negative.y <= 0).all()


@pytest.mark.parametrize("number", range(8))
def test_the_chambers_of_any_setup_have_the_same_looks_of_their_own(two: Answer, number: int) -> None:
    many = replace(two, setups=(two.setups[1],) * 8)
    looks = [line.look for line in chart_data(many, ChartView.CHAMBERS, selected=number).lines]
    assert looks == [TOTAL, POSITIVE, NEGATIVE]
    setups = {line.look for line in chart_data(many, ChartView.SHAFT).lines}
    assert not setups & set(looks)


def test_no_number_of_setups_runs_into_the_looks_of_the_chambers(two: Answer) -> None:
    crowd = replace(two, setups=two.setups * 60)
    looks = [line.look for line in chart_data(crowd, ChartView.SHAFT).lines]
    assert len(looks) == 120
    assert max(looks) < TOTAL


def test_two_setups_of_one_name_keep_their_own_chambers(two: Answer) -> None:
    other = replace(two.setups[1], curve=replace(two.setups[1].curve))
    twins = replace(two, setups=(two.setups[1], other))
    for selected, setup in enumerate(twins.setups):
        _, positive, _ = chart_data(twins, ChartView.CHAMBERS, selected=selected).lines
        assert positive.x is setup.curve.stroke
        assert positive.y is setup.curve.riding_positive


def test_wheel_force_has_the_load_and_each_sag_point(six: Answer) -> None:
    chart = chart_data(six, ChartView.WHEEL)
    assert chart.level is not None
    assert chart.level.y == pytest.approx(float(six.load.static_wheel_force))
    assert [point.name for point in chart.points] == [setup.name for setup in six.setups]
    assert chart.points[0].x == pytest.approx(0.045, rel=1e-6)
    for point, line in zip(chart.points, chart.lines, strict=True):
        # Between two points of the curve its slope steps from slow to fast.
        assert float(np.interp(point.x, line.x, line.y)) == pytest.approx(point.y, rel=2e-3)


def test_the_views_are_numbered_in_the_order_of_the_key(two: Answer) -> None:
    assert [view.name for view in ChartView] == [
        "SHAFT", "WHEEL", "DIFFERENCE", "WHEEL_RATE", "RATE", "CHAMBERS", "LEVERAGE",
    ]  # fmt: skip
    assert [chart_data(two, view).number for view in ChartView] == [f"{n}/7" for n in range(1, 8)]


def test_the_difference_is_to_the_wheel_force_of_the_first_setup(six: Answer) -> None:
    chart = chart_data(six, ChartView.DIFFERENCE)
    first = six.setups[0].curve
    assert chart.title == "Wheel force, difference to coil"
    assert [line.name for line in chart.lines] == [setup.name for setup in six.setups]
    assert [line.look for line in chart.lines] == list(range(6))
    assert not chart.lines[0].y.any()
    for travel in (0.0, 0.03, 0.045, 0.1, 0.15):
        base = np.interp(travel, first.wheel_travel, first.riding_wheel_force)
        for line, setup in zip(chart.lines, six.setups, strict=True):
            there = np.interp(travel, setup.curve.wheel_travel, setup.curve.riding_wheel_force)
            assert np.interp(travel, line.x, line.y) == pytest.approx(there - base, abs=1e-6)
    # All of them carry the rider at the same sag: there is no difference there.
    settled = [line for line, setup in zip(chart.lines, six.setups, strict=True) if setup.name != "typed"]
    assert [float(np.interp(0.045, line.x, line.y)) for line in settled] == pytest.approx([0.0] * 5, abs=2.0)


def test_a_difference_is_read_with_its_sign(two: Answer) -> None:
    signs = set()
    for first, other in (two.setups, two.setups[::-1]):
        chart = chart_data(replace(two, setups=(first, other)), ChartView.DIFFERENCE)
        for cursor in (0.1, 0.5, 0.9, 1.0):
            base, held = (
                float(np.interp(0.15 * cursor, setup.curve.wheel_travel, setup.curve.riding_wheel_force))
                for setup in (first, other)
            )
            read = [reading.value for reading in readout(chart, METRIC, cursor).readings]
            assert read == ["0 N", f"{held - base:+.0f} N"]
            signs.add(read[1][0])
    assert signs == {"+", "-"}
    assert readout(chart_data(two, ChartView.WHEEL), METRIC, 1.0).readings[0].value[0].isdigit()


def test_the_slow_difference_is_of_slow_curves_past_the_sag(two: Answer) -> None:
    chart = chart_data(two, ChartView.DIFFERENCE, slow=True)
    assert [(line.name, line.slow) for line in chart.lines] == [
        ("coil", False), ("air", False), ("air", True),
    ]  # fmt: skip
    coil, air = (setup.curve for setup in two.setups)
    slow = chart.lines[2]
    at = values([0.06, 0.1, 0.15])
    expected = np.interp(at, air.wheel_travel, air.wheel_force) - np.interp(
        at, coil.wheel_travel, coil.wheel_force
    )
    assert np.interp(at, slow.x, slow.y) == pytest.approx(expected)
    before = slow.x < float(two.setups[1].sag.wheel) - 2e-3
    assert before.any()
    assert np.isnan(slow.y[before]).all()


def test_a_difference_without_a_second_setup_or_a_baseline_says_so(two: Answer) -> None:
    alone = chart_data(replace(two, setups=two.setups[:1]), ChartView.DIFFERENCE)
    assert (alone.lines, alone.note) == ((), "Add a second setup to see its difference to coil.")
    curve = two.setups[0].curve
    lost = {column.name: np.full_like(curve.stroke, np.nan) for column in fields(curve)}
    gone = replace(curve, **(lost | {"stroke": curve.stroke, "wheel_travel": curve.wheel_travel}))
    unsolved = replace(two, setups=(replace(two.setups[0], curve=gone), two.setups[1]))
    chart = chart_data(unsolved, ChartView.DIFFERENCE)
    assert (chart.lines, chart.note) == ((), "coil has no result to compare with.")


@pytest.mark.parametrize("view", ChartView)
def test_sag_is_a_band_of_each_setup_on_the_axis_of_the_view(two: Answer, view: ChartView) -> None:
    chart, travels = chart_data(two, view, selected=1), chart_data(two, ChartView.WHEEL)
    setups = two.setups[1:] if view is ChartView.CHAMBERS else two.setups
    assert len(chart.bands) == len(setups)
    for band, setup in zip(chart.bands, setups, strict=True):
        curve, sag = setup.curve, setup.sag
        found = values([band.low, band.at, band.high])
        if chart.x.label == travels.x.label:
            expected = values([sag.band_low, sag.wheel, sag.band_high])
        else:
            expected = np.interp([sag.band_low, sag.wheel, sag.band_high], curve.wheel_travel, curve.stroke)
        assert found == pytest.approx(expected)
        assert band.low <= band.at <= band.high
    looks = [band.look for band in chart.bands]
    assert looks == {ChartView.CHAMBERS: [None], ChartView.LEVERAGE: [None, None]}.get(view, [0, 1])


@pytest.mark.parametrize("view", ChartView)
def test_the_last_tenth_is_of_the_wheel_travel_on_either_axis(two: Answer, view: ChartView) -> None:
    chart, curve = chart_data(two, view), two.setups[0].curve
    is_travel = chart.x.label == "wheel travel"
    expected = 0.135 if is_travel else float(np.interp(0.135, curve.wheel_travel, curve.stroke))
    assert chart.last == pytest.approx(expected, rel=1e-6)


def test_what_does_not_settle_has_no_band() -> None:
    stiff = replace(CASE.setups[0], spring=Coil(200e3, 0.02, 4378.0))
    assert chart_data(answer(replace(CASE, setups=(stiff,))), ChartView.WHEEL).bands == ()


def test_an_air_spring_that_tops_out_is_drawn_slowly() -> None:
    stiff = with_pressure(CASE.setups[1], 115e5)
    shown = answer(replace(CASE, setups=(stiff,)))
    assert shown.setups[0].state == "topped_out"
    [line] = chart_data(shown, ChartView.WHEEL).lines
    assert line.y is shown.setups[0].curve.wheel_force
    chambers = chart_data(shown, ChartView.CHAMBERS)
    assert chambers.lines[1].y is shown.setups[0].curve.positive
    assert chart_data(shown, ChartView.WHEEL).movement == chambers.movement == "slow: no sag"


def test_a_chart_says_where_one_setup_of_several_is_drawn_slowly(two: Answer) -> None:
    assert chart_data(two, ChartView.WHEEL).movement == "as it rides"
    assert chart_data(two, ChartView.LEVERAGE).movement == ""
    stiff = with_pressure(CASE.setups[1], 115e5)
    stiff_coil = replace(CASE.setups[0], spring=Coil(200e3, 0.02, 4378.0))
    for coil in (CASE.setups[0], stiff_coil):
        # A coil rides as it is pressed slowly, with a sag point or without.
        mixed = answer(replace(CASE, setups=(coil, stiff)))
        assert chart_data(mixed, ChartView.RATE).movement == "as it rides; slow without sag"
        assert chart_data(mixed, ChartView.CHAMBERS, selected=1).movement == "slow: no sag"
    assert chart_data(answer(replace(CASE, setups=(stiff_coil,))), ChartView.SHAFT).movement == "as it rides"


def test_a_setup_that_tops_out_has_no_sag_point_and_no_slow_curve_past_it() -> None:
    stiff = replace(CASE.setups[0], spring=Coil(200e3, 0.02, 4378.0))
    shown = answer(replace(CASE, setups=(stiff,)))
    assert chart_data(shown, ChartView.WHEEL).points == ()
    assert at_sag(shown, 0) is None
    slow = readout(chart_data(shown, ChartView.SHAFT, slow=True), METRIC, 0.5).readings[0].slow
    assert slow is None


def test_without_setups_the_leverage_is_still_there(two: Answer) -> None:
    none = replace(two, setups=())
    assert chart_data(none, ChartView.SHAFT).lines == ()
    assert "add a coil or an air spring" in chart_data(none, ChartView.CHAMBERS).note
    chart = chart_data(none, ChartView.LEVERAGE)
    assert readout(chart, METRIC, START).readings[0].value == f"{float(two.frame.leverage_start):.2f}"


def test_the_cursor_stays_at_one_place_of_the_bike_in_every_view(two: Answer) -> None:
    shaft, wheel = chart_data(two, ChartView.SHAFT), chart_data(two, ChartView.WHEEL)
    assert place(wheel, 0.3) == pytest.approx(0.045)
    assert place(shaft, 0.3) == pytest.approx(float(two.setups[0].sag.stroke), rel=1e-4)
    assert place(shaft, START) == 0.0
    assert place(shaft, END) == pytest.approx(0.060)


def test_all_setups_are_read_with_their_units(two: Answer) -> None:
    read = readout(chart_data(two, ChartView.WHEEL), METRIC, 0.3)
    assert read.where == "45.0 mm"
    assert [(reading.name, reading.value) for reading in read.readings] == [
        ("coil", "552 N"),
        ("air", "552 N"),
    ]
    assert readout(chart_data(two, ChartView.RATE), IMPERIAL, 0.3).readings[0].value == "467 lbf/in"


def test_an_unsolved_setup_reads_as_absent(two: Answer) -> None:
    chart = chart_data(two, ChartView.SHAFT)
    gone = replace(chart.lines[0], y=np.full_like(chart.lines[0].y, np.nan))
    read = readout(replace(chart, lines=(gone, chart.lines[1])), METRIC, 0.5)
    assert read.readings[0].value == "-"
    assert read.readings[1].value.endswith(" N")


def test_the_cursor_moves_on_its_grid() -> None:
    assert moved(0.30, 1) == pytest.approx(0.31)
    assert moved(0.30, -1) == pytest.approx(0.29)
    assert moved(0.30, 1, COARSE) == pytest.approx(0.35)
    assert moved(0.3141, 1) == pytest.approx(0.32)
    assert moved(0.3141, -1) == pytest.approx(0.31)
    assert moved(0.995, 1) == END
    assert moved(START, -1) == START
    there = 0.0
    for _ in range(100):
        there = moved(there, 1)
    assert there == END


def test_the_cursor_jumps_to_the_sag_of_the_selected_setup(two: Answer) -> None:
    assert at_sag(two, 1) == pytest.approx(0.30)
    assert at_sag(two, 7) is None
