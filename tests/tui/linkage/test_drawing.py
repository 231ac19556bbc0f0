"""The mechanism drawn: every style, marks of every kind, the motion, and what is older."""

from dataclasses import replace

import numpy as np
import pytest

from physics.arrays import values
from tests.tui.linkage.moved_by_hand import moved_in_mm
from tui.kit.cells import CellRow, text_of
from tui.kit.look import ASCII, LINE_STYLES, UTF8, LineStyle
from tui.kit.roles import Role
from tui.linkage import sketch as change
from tui.linkage.drawing import (
    WHOLE,
    Paper,
    View,
    dot_cells,
    draw,
    figure_moved,
    figure_typed,
    line_dots,
    slants,
)
from tui.linkage.sketch import EXAMPLES, Example

SINGLE = EXAMPLES[0].sketch()
SIZES = [(16, 5), (38, 12), (72, 24), (120, 40)]


def moving(share: float, example: Example = EXAMPLES[0]) -> View:
    moved = moved_in_mm(example.sketch())
    return View(figure_moved(moved, share), values(moved.motion.places.reshape(-1, 2)))


def roles(rows: list[CellRow]) -> set[int]:
    return {role for row in rows for _text, role in row}


def places_of(rows: list[CellRow], letter: str) -> list[tuple[int, int]]:
    return [(x, y) for y, row in enumerate(rows) for x, (text, _role) in enumerate(row) if text == letter]


@pytest.mark.fast_cases(20)
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("style", LINE_STYLES)
@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.title)
def test_every_example_fits_its_paper_all_the_way(
    example: Example, style: LineStyle, size: tuple[int, int]
) -> None:
    glyphs = ASCII if style == "ascii" else UTF8
    for share in (0.0, 0.37, 1.0):
        rows = draw(moving(share, example), *size, style, glyphs)
        assert [len(row) for row in rows] == [size[0]] * size[1]
        assert {Role.BAR, Role.MARK, Role.VALUE} <= roles(rows)
        assert text_of(rows).isascii() == glyphs.ascii


def test_marks_tell_the_kinds_of_points_apart_by_shape() -> None:
    rows = draw(moving(0.0, EXAMPLES[1]), 72, 24, "braille", UTF8)
    text = text_of(rows)
    assert {mark: text.count(mark) for mark in "▲●◎◆"} == {"▲": 3, "●": 2, "◎": 1, "◆": 1}
    assert {letter for letter in text if letter.isalpha()} == set("ABCDEFG")
    plain = text_of(draw(moving(0.0, EXAMPLES[1]), 72, 24, "ascii", ASCII))
    assert {mark: plain.count(mark) for mark in "#o@*"} == {"#": 3, "o": 2, "@": 1, "*": 1}


def test_the_shock_is_drawn_in_a_way_of_its_own() -> None:
    assert "=" in text_of(draw(moving(0.0), 72, 24, "ascii", ASCII))
    bars = line_dots(
        Paper.around(values([[0, 0], [1, 1]]), 40, 20, "braille", 0), values([[0, 0]]), values([[1, 1]])
    )
    paper = Paper.around(values([[0, 0], [1, 1]]), 40, 20, "braille", 0)
    dashed = line_dots(paper, values([[0, 0]]), values([[1, 1]]), (2, 2))
    assert len(dashed) == pytest.approx(len(bars) / 2, abs=2)


def test_the_picture_stands_still_while_the_points_move() -> None:
    extended, bottomed = (draw(moving(share), 60, 20, "braille", UTF8) for share in (0.0, 1.0))
    assert places_of(extended, "▲") == places_of(bottomed, "▲")
    (before,), (after,) = places_of(extended, "◎"), places_of(bottomed, "◎")
    assert after[1] < before[1]


def test_the_selected_point_and_bar_stand_out() -> None:
    view = moving(0.0)
    assert Role.HERE not in roles(draw(view, 60, 20, "braille", UTF8))
    chosen = draw(replace(view, point="axle"), 60, 20, "braille", UTF8)
    assert {text for row in chosen for text, role in row if role == Role.HERE} == {"◎", "C"}
    assert Role.HERE in roles(draw(replace(view, bar=("axle", "eye")), 60, 20, "braille", UTF8))
    assert Role.HERE not in roles(draw(replace(view, bar=("axle", "nowhere")), 60, 20, "braille", UTF8))


def test_what_is_older_is_dotted_under_what_is_typed() -> None:
    typed, older = figure_typed(change.with_new_point(SINGLE, 3)), figure_typed(SINGLE)
    view = View(typed, values(np.concatenate([typed.places, older.places])), older)
    rows = draw(view, 60, 20, "braille", UTF8)
    assert "E" in text_of(rows)
    far = figure_typed(change.with_point(SINGLE, 2, SINGLE.points[2]._replace(y=200)))
    rows = draw(View(far, values(np.concatenate([far.places, older.places])), older), 60, 20, "ascii", ASCII)
    assert Role.STALE in roles(rows)
    assert {text for row in rows for text, role in row if role == Role.STALE} == {"."}


def test_what_has_no_sound_numbers_is_left_out() -> None:
    figure = figure_typed(change.with_point(SINGLE, 2, SINGLE.points[2]._replace(x="away")))
    assert figure.names == ("main", "frame", "eye")
    assert figure.letters == (0, 1, 3)
    assert figure.bars == (("eye", "main"),)
    nothing = figure_typed(replace(SINGLE, points=()))
    assert text_of(draw(View(nothing, nothing.places), 40, 10, "braille", UTF8)).strip() == ""


def test_one_point_alone_and_points_on_one_spot_are_drawn() -> None:
    for points in (SINGLE.points[:1], tuple(p._replace(x=5, y=5) for p in SINGLE.points)):
        figure = figure_typed(replace(SINGLE, points=points))
        rows = draw(View(figure, figure.places), 40, 10, "braille", UTF8)
        assert "▲" in text_of(rows) or "◆" in text_of(rows)


def test_a_place_too_small_stays_empty() -> None:
    assert text_of(draw(moving(0.5), 10, 3, "braille", UTF8)).strip() == ""


def test_a_cell_is_twice_as_high_as_wide() -> None:
    square = values([[0.0, 0.0], [1.0, 1.0]])
    for style in LINE_STYLES:
        paper = Paper.around(square, 40, 20, style, 0)
        (x0, y0), (x1, y1) = paper.cell((0.0, 0.0)), paper.cell((1.0, 1.0))
        assert abs((x1 - x0) - 2 * (y0 - y1)) <= 2
        assert paper.holds((x0, y0))
        assert paper.holds((x1, y1))


def test_plain_lines_lean_as_the_bars_do() -> None:
    paper = Paper.around(values([[0.0, 0.0], [40.0, 20.0]]), 41, 21, "ascii", 0)
    start = values([[20.0, 10.0]] * 4)
    ends = values([[40.0, 10.0], [20.0, 20.0], [30.0, 20.0], [30.0, 0.0]])
    assert slants(paper, start, ends) == ["-", "|", "/", "\\"]


def test_braille_dots_are_where_the_points_are() -> None:
    paper = Paper(2, 1, "braille", 0.0, 0.0, 1.0)
    corners = values([[0.0, 0.0], [3.0, -3.0]])
    dots = line_dots(paper, corners, corners, WHOLE)
    assert dot_cells(paper, dots, 1, ("x", "x")) == {(0, 0): ("⠁", 1), (1, 0): ("⢀", 1)}
    outside = values([[9.0, 0.0]])
    assert len(line_dots(paper, outside, outside)) == 0
