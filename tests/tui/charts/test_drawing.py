"""Rendered plots as text: lines, labels, units, markers, and sizes where nothing fits."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from physics.answer import Answer
from tui.charts.drawing import picture
from tui.charts.series import ChartData, Scene, chart_data
from tui.charts.views import ChartView
from tui.kit.cells import text_of
from tui.kit.look import LINE_STYLES, NEGATIVE, POSITIVE, TOTAL, UTF8, ChartLook
from tui.shop_units import IMPERIAL, USUAL
from tui.themes import find_themes


def drawn(chart: ChartData, look: ChartLook, width: int = 80, height: int = 20) -> str:
    rows = picture(Scene(chart, USUAL, look), width, height).rows
    assert [len(row) for row in rows] == [width] * height
    return text_of(rows)


def with_values(chart: ChartData, number: float) -> ChartData:
    lines = tuple(replace(line, y=np.full_like(line.y, number)) for line in chart.lines)
    return replace(chart, lines=lines)


@pytest.mark.parametrize("view", list(ChartView))
def test_every_view_draws_its_lines_with_their_markers(two: Answer, look: ChartLook, view: ChartView) -> None:
    chart = chart_data(two, view, selected=1)
    text = drawn(chart, look)
    for line in chart.lines:
        assert text.count(look.marker(line.look)) >= 2
    assert "mm" in text.splitlines()[-1]


def test_six_setups_have_six_markers_without_any_colour(six: Answer, look: ChartLook) -> None:
    text = drawn(chart_data(six, ChartView.SHAFT, slow=True), look)
    markers = [look.marker(number, slow=slow) for number in range(6) for slow in (False, True)]
    assert len(set(markers)) == 12
    # A coil rides as it moves slowly: its hollow marker has nothing to mark.
    hollow = {
        look.marker(number, slow=True) for number, setup in enumerate(six.setups) if setup.kind == "coil"
    }
    assert hollow
    for marker in markers:
        assert (marker in text) == (marker not in hollow)


def test_coinciding_lines_show_both_markers(two: Answer, look: ChartLook) -> None:
    coil = two.setups[0]
    text = drawn(chart_data(replace(two, setups=(coil, coil)), ChartView.SHAFT), look)
    assert text.count("●") >= 4
    assert text.count("▲") >= 4


def test_lines_of_one_colour_are_dashed_each_in_its_own_way(two: Answer, look: ChartLook) -> None:
    def body(setups: int) -> int:
        """Return the cells of the last of so many lines that coincide, its markers and the others' too."""
        chart = chart_data(replace(two, setups=two.setups[:1] * setups), ChartView.SHAFT)
        alone = replace(chart, lines=chart.lines[-1:])
        return sum("\u2800" < letter <= "\u28ff" for letter in drawn(alone, look, 120, 30))

    assert [look.before(number) for number in range(9)] == [0, 0, 0, 0, 1, 1, 1, 1, 2]
    whole, again, third = body(1), body(5), body(9)
    assert body(4) == pytest.approx(whole, abs=4)
    assert third < again < whole


def test_chambers_without_colour_are_dashed_apart() -> None:
    plain = find_themes().themes["plain"].chart(UTF8)
    assert [plain.before(chamber) for chamber in (TOTAL, POSITIVE, NEGATIVE)] == [0, 1, 2]


@pytest.mark.parametrize("view", list(ChartView))
def test_plain_ascii_has_nothing_else_in_it(six: Answer, ascii_look: ChartLook, view: ChartView) -> None:
    text = drawn(chart_data(six, view, selected=1, slow=True), ascii_look)
    assert text.isascii()
    assert "A" in text or view is ChartView.CHAMBERS


@pytest.mark.parametrize("style", LINE_STYLES)
def test_each_line_style_draws(two: Answer, look: ChartLook, style: str) -> None:
    styled = replace(look, line_style=style)  # type: ignore[arg-type]
    text = drawn(chart_data(two, ChartView.SHAFT), styled)
    bodies = {"braille": "⠒⠉⣀", "block": "▀▄▘", "dot": "•", "ascii": "'"}
    for name, body in bodies.items():
        assert any(letter in text for letter in body) == (name == style)


@pytest.mark.fast_cases(6)
@pytest.mark.parametrize("width", [10, 14, 20, 60, 120, 200])
@pytest.mark.parametrize("height", [4, 6, 24, 60])
def test_any_size_is_filled_exactly(six: Answer, look: ChartLook, width: int, height: int) -> None:
    for view in ChartView:
        drawn(chart_data(six, view, selected=1, slow=True), look, width, height)


@pytest.mark.parametrize(("width", "height"), [(9, 20), (80, 3), (1, 1), (5, 2)])
def test_too_small_says_so(two: Answer, look: ChartLook, width: int, height: int) -> None:
    text = drawn(chart_data(two, ChartView.SHAFT), look, width, height)
    assert set(text.replace("\n", "").replace(" ", "")) <= set("Toosmallforachart.")
    assert "T" in text or height == 1


def test_unsolved_setups_leave_the_others_and_alone_leave_a_sentence(two: Answer, look: ChartLook) -> None:
    chart = chart_data(two, ChartView.SHAFT)
    none = with_values(chart, math.nan)
    half = replace(chart, lines=(none.lines[0], chart.lines[1]))
    assert "●" not in drawn(half, look)
    assert "▲" in drawn(half, look)
    assert "No setup has an answer to draw." in drawn(none, look)


@pytest.mark.parametrize("number", [0.0, 1234.5, -20.0, math.inf])
def test_constant_and_infinite_values_are_survived(two: Answer, look: ChartLook, number: float) -> None:
    text = drawn(with_values(chart_data(two, ChartView.SHAFT), number), look)
    assert ("●" in text) == math.isfinite(number)


def test_a_coil_has_no_chambers_and_says_so(two: Answer, look: ChartLook) -> None:
    text = drawn(chart_data(two, ChartView.CHAMBERS, selected=0), look)
    assert "coil is a coil and has no chambers. Select an air setup." in text


def test_axes_are_in_the_shops_units(two: Answer, look: ChartLook) -> None:
    chart = chart_data(two, ChartView.SHAFT)
    usual = text_of(picture(Scene(chart, USUAL, look), 80, 20).rows)
    imperial = text_of(picture(Scene(chart, IMPERIAL, look), 80, 20).rows)
    assert usual.splitlines()[-1].rstrip().endswith("60 mm")
    assert imperial.splitlines()[-1].rstrip().endswith("in")
    assert "12000" in usual
    assert "2500" in imperial


def test_static_load_and_sag_are_on_the_wheel_force(two: Answer, look: ChartLook) -> None:
    chart = chart_data(two, ChartView.WHEEL)
    shown = picture(Scene(chart, USUAL, look), 80, 20)
    assert shown.canvas is not None
    level = shown.canvas.row(float(two.load.static_wheel_force))
    assert level is not None
    row = "".join(text for text, _ in shown.rows[level])
    assert row.count("╌") > 25
    assert row.rstrip("╌").endswith("static load 552 N ")
    assert row[shown.left + shown.canvas.column(45.0)] == "S"
