"""Cells, the canvas they lie on, and the numbers beside it."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from rich.style import Style

from tui.charts.plotting import DOTS, Canvas, Plot, Ticks, ticks
from tui.kit.cells import CellRow, cells, changes, fitted, strip

PLAIN = Style(color="red")
finite = st.floats(-1e6, 1e6).filter(lambda number: number == 0 or abs(number) > 1e-6)


def test_wide_and_unprintable_letters_take_the_cells_they_stand_in() -> None:
    assert [text for text, _ in cells("a界b", 0)] == ["a", "界", "", "b"]
    assert cells("e\u0301\x1b\u202e", 3) == [("e\u0301", 3)]
    assert "".join(text for text, _ in fitted(cells("a界b", 0), 3, "~")) == "a ~"
    assert len(fitted(cells("ab", 0), 5, "~")) == 5


def test_only_changed_cells_are_sent() -> None:
    old, new = cells("static 552 N" + " " * 20 + "air", 0), cells("static 561 N" + " " * 20 + "oil", 0)
    regions = changes([old, old], [old, new])
    assert regions is not None
    assert [(r.x, r.y, r.width, r.height) for r in regions] == [(8, 1, 2, 1), (32, 1, 3, 1)]
    assert changes([old], [old]) == []
    assert changes([old], [old, new]) is None


def test_a_wide_letter_is_sent_whole() -> None:
    regions = changes([cells("a界c", 0)], [cells("abcc", 0)])
    assert regions is not None
    assert [(r.x, r.width) for r in regions] == [(1, 2)]


def test_runs_of_changed_cells_are_joined_where_a_jump_costs_more() -> None:
    old, new = cells("abcdefghijklmnopqrst", 0), cells("aBcDefghijklmnopqrsT", 0)
    regions = changes([old], [new])
    assert regions is not None
    assert [(r.x, r.width) for r in regions] == [(1, 3), (19, 1)]


def test_blanks_do_not_change_the_style() -> None:
    styles = {0: Style.null(), 1: PLAIN, 2: Style(color="green"), 3: Style(reverse=True)}
    row: CellRow = cells("  ", 0) + cells("ab", 1) + cells("  ", 0) + cells("c", 2) + cells(" ", 3)
    runs = [(segment.text, segment.style) for segment in strip(row, styles.__getitem__)]
    assert runs == [("  ab  ", PLAIN), ("c", styles[2]), (" ", styles[3])]


@given(low=finite, span=st.floats(1e-3, 1e6), most=st.integers(2, 12), tight=st.booleans())
def test_round_numbers_lie_on_the_axis_and_are_told_apart(
    low: float, span: float, most: int, tight: bool
) -> None:
    made = ticks(low, low + span, most, tight=tight)
    assert made.low <= low + 1e-6 * span
    assert made.high >= low + span - 1e-6 * span
    assert len(made.at) <= most + 1
    assert len(set(made.texts)) == len(made.texts)
    slack = 1e-6 * (made.high - made.low)
    assert all(made.low - slack <= at <= made.high + slack for at in made.at)
    if not tight:
        assert len(made.at) >= 2


def test_an_axis_of_one_number_is_widened() -> None:
    assert ticks(5.0, 5.0, 5, tight=False).low < 5.0 < ticks(5.0, 5.0, 5, tight=False).high
    assert ticks(0.0, 0.0, 5, tight=False).low < 0.0 < ticks(0.0, 0.0, 5, tight=False).high


def test_a_loose_axis_stands_still_while_a_value_is_nudged() -> None:
    ends = {(t.low, t.high) for t in (ticks(0.0, 6720.0 + nudge, 8, tight=False) for nudge in range(25))}
    assert len(ends) == 1


@given(x=st.floats(0, 1), y=st.floats(0, 1), style=st.sampled_from(sorted(DOTS)))
def test_a_marker_stands_in_the_cell_the_line_runs_through(x: float, y: float, style: str) -> None:
    axis = Ticks(0.0, 1.0, (0.0, 1.0), ("0", "1"))
    canvas = Canvas(37, 11, *DOTS[style], axis, axis)  # type: ignore[index]
    at = np.asarray([x]), np.asarray([y])
    line = Plot(canvas, 2, style, "")  # type: ignore[arg-type]
    line.dots(*at, role=20)
    marker = Plot(canvas, 2, style, "")  # type: ignore[arg-type]
    marker.dots(*canvas.centred(*at), role=20, marker="@")
    there = [
        [(r, c) for r, row in enumerate(plot.rows()) for c, (_, role) in enumerate(row) if role == 20]
        for plot in (line, marker)
    ]
    assert there[0] == there[1] == [(canvas.row(y), canvas.column(x) + 2)]
