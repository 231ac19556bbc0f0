"""Rendered plots as text: lines, labels, units, markers, and sizes where nothing fits."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from physics.answer import Answer
from physics.bench import answer
from tests.physics.test_bench import CASE
from tests.tui.looks import six
from tui.charts.drawing import BAND, HIGHLIGHT, LAST, Picture, layout, picture, readout_rows, rows
from tui.charts.plotting import ticks
from tui.charts.series import ChartData, Scene, chart_data
from tui.charts.views import ChartView
from tui.kit.cells import CellRow, text_of
from tui.kit.look import ASCII, CONSOLE, LINE_STYLES, NEGATIVE, POSITIVE, TOTAL, UTF8, ChartLook, Glyphs
from tui.kit.roles import Role
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
    styled = look._replace(line_style=style)  # type: ignore[arg-type]
    text = drawn(chart_data(two, ChartView.SHAFT), styled)
    bodies = {"braille": "⠒⠉⣀", "block": "▀▄▘", "dot": "•", "ascii": "'"}
    for name, body in bodies.items():
        assert any(letter in text for letter in body) == (name == style)


@pytest.mark.fast_cases(2)
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
    assert "No setup has a result to draw." in drawn(none, look)


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
    assert imperial.splitlines()[-1].rstrip().endswith(" 2.36 in")
    assert usual.startswith("12000┤")
    assert imperial.startswith("3000┤")


def test_static_load_and_sag_are_on_the_wheel_force(two: Answer, look: ChartLook) -> None:
    chart = chart_data(two, ChartView.WHEEL)
    shown = picture(Scene(chart, USUAL, look), 80, 20)
    assert shown.canvas is not None
    level = shown.canvas.row(float(two.load.static_wheel_force))
    assert level is not None
    row = "".join(text for text, _ in shown.rows[level])
    assert row.count("╌") > 25
    assert row.rstrip().rstrip("╌").endswith("static load 552 N ")
    assert row[shown.left + shown.canvas.column(45.0)] == "S"


def test_a_level_whose_end_is_crossed_has_its_name_further_to_the_left(two: Answer, look: ChartLook) -> None:
    chart = chart_data(two, ChartView.WHEEL)
    load = float(two.load.static_wheel_force)
    late = [replace(line, y=np.where(line.x > 0.9 * line.x[-1], load, line.y)) for line in chart.lines]
    shown = picture(Scene(replace(chart, lines=tuple(late)), USUAL, look), 80, 20)
    assert shown.canvas is not None
    row = row_of(shown, shown.canvas.row(load) or 0)
    assert "╌ static load 552 N ╌" in row
    narrow = picture(Scene(chart, USUAL, look), 42, 16)
    assert narrow.canvas is not None
    assert "╌ static load ╌" in row_of(narrow, narrow.canvas.row(load) or 0), "no room for the number"


def test_values_that_have_no_room_are_told_to_be_left_out(look: ChartLook) -> None:
    scene = Scene(chart_data(six(), ChartView.SHAFT), USUAL, look)
    for height, told in ((30, ""), (9, " …")):
        shares = layout(scene, 40, height)
        drawn = rows(scene, picture(scene, 40, shares.plot), shares, 0.3, stale=False)
        assert text_of(drawn).rstrip().endswith(told)
        assert len(drawn) == height


def row_of(shown: Picture, number: int) -> str:
    return "".join(text for text, _ in shown.rows[number])


@pytest.mark.parametrize("view", [view for view in ChartView if view is not ChartView.LEVERAGE])
def test_every_curve_is_named_at_its_end_in_its_colour(two: Answer, look: ChartLook, view: ChartView) -> None:
    chart = chart_data(two, view, selected=1)
    scene = Scene(chart, USUAL, look)
    shown = picture(scene, 80, 24)
    assert shown.canvas is not None
    right = shown.left + shown.canvas.columns
    for line in chart.lines:
        end = shown.canvas.row(scene.y(float(line.y[-1])))
        assert end is not None
        name = f" {look.marker(line.look)} {line.name}"
        [at] = [n for n in range(len(shown.rows)) if row_of(shown, n)[right:].rstrip() == name]
        assert abs(at - end) <= 1
        roles = {role for text, role in shown.rows[at][right:] if text != " "}
        assert roles == {Role.SETUP + line.look}


def test_names_stand_in_the_order_of_the_ends_and_none_over_another(six: Answer, look: ChartLook) -> None:
    for view in (ChartView.SHAFT, ChartView.DIFFERENCE, ChartView.WHEEL_RATE):
        chart = chart_data(six, view)
        for height in (8, 20):
            shown = picture(Scene(chart, USUAL, look), 90, height)
            assert shown.canvas is not None
            right = shown.left + shown.canvas.columns
            names = [row_of(shown, number)[right:].strip(" ●▲■◆▼★") for number in range(shown.canvas.rows)]
            ends = {line.name: float(line.y[-1]) for line in chart.lines}
            named = [name for name in names if name]
            assert sorted(named) == sorted(ends)
            assert [ends[name] for name in named] == sorted(ends.values(), reverse=True)


def test_names_take_no_room_from_a_narrow_plot_nor_stand_beside_a_single_curve(
    two: Answer, look: ChartLook
) -> None:
    long = replace(two, setups=tuple(replace(s, name=s.name + " as delivered") for s in two.setups))
    for width, fits in ((39, False), (60, True)):
        shown = picture(Scene(chart_data(long, ChartView.SHAFT), USUAL, look), width, 17)
        assert shown.canvas is not None
        assert (shown.left + shown.canvas.columns < width) == fits
        assert ("coil as del" in text_of(shown.rows)) == fits
    for narrow in (two, replace(two, setups=two.setups[:1])):
        shown = picture(Scene(chart_data(narrow, ChartView.SHAFT), USUAL, look), 39, 17)
        assert ("● coil" in text_of(shown.rows)) == (narrow is two)


@pytest.mark.parametrize("view", ChartView)
def test_sag_and_last_tenth_are_shaded_over_the_whole_height(
    two: Answer, look: ChartLook, view: ChartView
) -> None:
    chart = chart_data(two, view, selected=1)
    scene = Scene(chart, USUAL, look)
    shown = picture(scene, 80, 20)
    canvas, flags = shown.canvas, (LAST, BAND)
    assert canvas is not None
    assert chart.last is not None
    last = range(canvas.column(scene.x(chart.last)), canvas.columns)
    sags = [range(canvas.column(scene.x(b.low)), canvas.column(scene.x(b.high)) + 1) for b in chart.bands]
    assert len(last) > 5
    for row in shown.rows[: canvas.rows]:
        for column, (_, role) in enumerate(row[shown.left : shown.left + canvas.columns]):
            in_sag = any(column in sag for sag in sags)
            assert [bool(role & flag) for flag in flags] == [column in last and not in_sag, in_sag]
    axis = row_of(shown, canvas.rows)[shown.left :]
    assert {axis[column] for sag in sags for column in sag} <= {"═", "S"}
    assert axis.count("S") == 1


def test_the_axis_tells_whose_sag_a_band_is(six: Answer, look: ChartLook) -> None:
    shown = picture(Scene(chart_data(six, ChartView.WHEEL), USUAL, look), 120, 30)
    assert shown.canvas is not None
    axis = shown.rows[shown.canvas.rows]
    typed = shown.left + shown.canvas.column(1e3 * float(six.setups[5].sag.wheel))
    assert axis[typed] == ("★", Role.SETUP + 5)
    assert axis[shown.left + shown.canvas.column(45.0)] == ("S", Role.SAG)


@pytest.mark.parametrize("glyphs", [UTF8, ASCII, CONSOLE])
def test_without_tints_the_last_tenth_has_an_edge_that_hides_nothing_and_the_axis_bears_the_sag(
    two: Answer, glyphs: Glyphs
) -> None:
    chart = chart_data(two, ChartView.WHEEL)
    look = find_themes().themes["plain"].chart(glyphs)
    shown, without = (picture(Scene(one, USUAL, look), 100, 30) for one in (chart, replace(chart, last=None)))
    canvas = shown.canvas
    assert canvas is not None
    assert all(role < HIGHLIGHT for row in shown.rows for _, role in row)
    changed = {
        (column - shown.left, before, now)
        for row, other in zip(shown.rows, without.rows, strict=True)
        for column, ((now, _), (before, _)) in enumerate(zip(row, other, strict=True))
        if now != before
    }
    assert changed == {(canvas.column(135.0), " ", glyphs.edge)}
    edges = [row_of(shown, row).count(glyphs.edge) > 0 for row in range(canvas.rows)]
    assert sum(edges) > 0.9 * canvas.rows
    axis = row_of(shown, canvas.rows)
    assert f"{glyphs.spread}{glyphs.sag}{glyphs.spread}" in axis


def test_the_mark_of_a_sag_is_read_under_the_cursor(two: Answer, look: ChartLook) -> None:
    scene = Scene(chart_data(two, ChartView.WHEEL), USUAL, look)
    shares = layout(scene, 100, 30)
    drawn = picture(scene, 100, shares.plot)
    assert drawn.canvas is not None

    def axis_at(cursor: float) -> CellRow:
        return rows(scene, drawn, shares, cursor, stale=False)[shares.title + shares.plot - 2]

    assert "═S═" in text_of([axis_at(0.3)])
    assert [cell for cell in axis_at(0.3) if cell[1] & HIGHLIGHT] == [("S", Role.SAG + HIGHLIGHT)]
    assert ("↑", Role.CURSOR) in axis_at(0.6)
    assert not [cell for cell in axis_at(0.6) if cell[1] & HIGHLIGHT]


@pytest.mark.parametrize("view", ChartView)
@pytest.mark.parametrize(("width", "height"), [(41, 17), (60, 17), (139, 40)])
def test_what_is_shaded_and_the_axis_below_are_named(
    two: Answer, look: ChartLook, view: ChartView, width: int, height: int
) -> None:
    for theme in (look, find_themes().themes["plain"].chart(UTF8)):
        scene = Scene(chart_data(two, view, selected=1), USUAL, theme)
        shares = layout(scene, width, height)
        title = rows(scene, picture(scene, width, shares.plot), shares, 0.3, stale=False)[: shares.title]
        assert re.search(r"over ((shock )?stroke|(wheel )?travel)\b", text_of(title))
        for words, flag, tint in (
            ("═S═ sag", BAND, theme.band),
            ("last tenth" if theme.shade else "┊ last tenth", LAST, theme.shade),
        ):
            [at] = [(row, text_of([row]).index(words)) for row in title if words in text_of([row])]
            assert all(bool(role & flag) == bool(tint) for _, role in at[0][at[1] :][: len(words)])


@pytest.mark.slow
def test_both_axes_tell_their_whole_range(two: Answer, look: ChartLook) -> None:
    travel = replace(CASE, frame=replace(CASE.frame, wheel_travel=0.1475))
    for view in (ChartView.WHEEL, ChartView.LEVERAGE):
        for width, height in ((22, 12), (31, 17), (39, 17), (57, 20), (80, 20), (200, 60)):
            shown = picture(Scene(chart_data(answer(travel), view), USUAL, look), width, height)
            canvas = shown.canvas
            assert canvas is not None
            assert row_of(shown, canvas.rows + 1).split()[0] == "0"
            assert " 147.5 mm" in row_of(shown, canvas.rows + 1)
            ends = [float(row_of(shown, row)[: shown.left - 1]) for row in (0, canvas.rows - 1)]
            assert ends == pytest.approx([canvas.y.high, canvas.y.low], abs=1e-9)
            numbers = [row for row in range(canvas.rows) if row_of(shown, row)[: shown.left - 1].strip()]
            assert min(np.diff(numbers)) >= 2


def test_a_dashed_line_is_drawn_where_it_is_steep_too(two: Answer, look: ChartLook) -> None:
    chart = chart_data(replace(two, setups=two.setups[1:] * 9), ChartView.SHAFT)
    for line in (chart.lines[4], chart.lines[8]):
        shown = picture(Scene(replace(chart, lines=(line,)), USUAL, look), 30, 60)
        drawn = [
            any(role % HIGHLIGHT == Role.SETUP + line.look for _, role in row) for row in shown.rows[:-2]
        ]
        assert drawn.index(True) <= 4
        gaps = "".join("x" if there else " " for there in drawn[drawn.index(True) :]).split("x")
        assert max(map(len, gaps)) <= 2


def test_values_are_read_whole_in_a_narrow_panel(six: Answer, look: ChartLook) -> None:
    for view in (ChartView.WHEEL_RATE, ChartView.RATE):
        for slow in (False, True):
            rows = readout_rows(Scene(chart_data(six, view, slow=slow), USUAL, look), 0.4, 39)
            assert len(rows) == 6
            assert all(" N/mm" in text or " lbf/in" in text for text in text_of(rows).split("\n"))
            assert "N/…" not in text_of(rows)
            assert "lbf…" not in text_of(rows)
            units = text_of(rows).count("N/mm") + text_of(rows).count("lbf/in")
            assert units == (10 if slow else 6)


@pytest.mark.parametrize("high", [10.2, 10700.0, 205.0, 0.43, 5.01, 4790.0])
@pytest.mark.parametrize("most", [3, 5, 6, 8])
def test_an_axis_ends_in_whole_steps_and_little_of_it_is_empty(high: float, most: int) -> None:
    for low in (0.0, -0.3 * high, 0.6 * high):
        axis = ticks(low, high, most, tight=False)
        assert 2 <= len(axis.at) <= most
        assert np.diff(axis.at) == pytest.approx(axis.at[1] - axis.at[0])
        assert (axis.at[0], axis.at[-1]) == pytest.approx((axis.low, axis.high), abs=1e-12)
        assert axis.low <= low + 1e-9
        assert axis.high >= high * (1 - 1e-9)
        assert high - low >= (0.3 if most < 5 else 0.6) * (axis.high - axis.low)
        assert [float(text) for text in axis.texts] == pytest.approx(axis.at)


def test_the_unit_below_a_chart_takes_no_room_from_its_numbers(two: Answer, look: ChartLook) -> None:
    shown = picture(Scene(chart_data(two, ChartView.WHEEL), USUAL, look), 41, 14)
    assert row_of(shown, 13).split() == ["0", "50", "100", "150", "mm"]
    assert shown.canvas is not None
    end = shown.left + shown.canvas.columns
    assert row_of(shown, 13)[end - 4 : end + 2] == "150 mm"


def test_numbers_beside_a_chart_are_evenly_apart(six: Answer, look: ChartLook) -> None:
    for view in ChartView:
        for height in (7, 9, 12, 17, 30):
            shown = picture(Scene(chart_data(six, view, selected=1), USUAL, look), 60, height)
            texts = (row_of(shown, row)[: shown.left - 1].strip() for row in range(height - 2))
            numbers = [float(text) for text in texts if text]
            assert np.diff(numbers) == pytest.approx(numbers[1] - numbers[0]), (view, height)
