"""The panels as cells: what a mechanic reads without colour, at any size."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.random_cases import cases
from tui.bench.cells import caution_at, faults_by_row
from tui.bench.edit import add_air, add_coil, commit, nudge, open_edit, switch_solved
from tui.bench.grid import Page, drawn, height_of, page
from tui.bench.state import BenchState, open_bench, select_field, with_answer, with_cursor
from tui.bench.words import result_line
from tui.job.demo import demo_job
from tui.job.job import History
from tui.kit.edit import restore, type_text
from tui.kit.layout import columns_in, page_of, pages, scrolled
from tui.kit.look import ASCII, UTF8, ChartLook
from tui.kit.roles import Role
from tui.themes import find_themes

LOOK: ChartLook = find_themes().themes["dark"].chart(UTF8)
PLAIN: ChartLook = find_themes().themes["dark"].chart(ASCII)
START = with_answer(open_bench(History.starting_at(demo_job())))
SIX = add_coil(add_air(add_air(add_coil(START))))


def lines(state: BenchState, width: int = 40, height: int = 19, look: ChartLook = LOOK) -> list[str]:
    return ["".join(text for text, _ in line) for line in page(state, width, height, {}, look).lines]


def line_with(state: BenchState, text: str) -> str:
    return next(line for line in lines(state) if text in line)


def roles_in(shown: Page, y: int) -> set[int]:
    return {role for _, role in shown.lines[y]}


def test_the_selected_field_bears_a_mark_and_its_value_is_reversed() -> None:
    marked = [line for line in lines(START) if line.startswith("›")]
    assert len(marked) == 1
    assert "rider mass" in marked[0]
    shown = page(START, 40, 19, {}, LOOK)
    cursor = [y for y in range(19) if Role.CURSOR in roles_in(shown, y)]
    assert [lines(START)[y] for y in cursor] == marked


def test_every_number_stands_with_its_unit() -> None:
    text = "\n".join(lines(START, 126, 60))
    for wanted in ("82 kg", "148 mm", "29 %", "2.78 : 1", "1.50 turns", "112 cm3", "1 fitted", "20 degC"):
        assert wanted in text


def test_a_solved_value_differs_from_a_typed_one_in_shape() -> None:
    state = select_field(START, ("setup", 0, "rate"))
    solved = line_with(state, "spring rate")
    assert "= " in solved
    assert "solved" in solved
    typed_one = line_with(switch_solved(state), "spring rate")
    assert "=" not in typed_one
    assert "solved" not in typed_one


def test_a_fault_stands_in_words_at_its_field_and_the_old_answer_is_called_old() -> None:
    state = commit(type_text(type_text(type_text(START, "9"), "x"), "y"))
    text = lines(state, 126, 60)
    place = next(y for y, line in enumerate(text) if "rider mass" in line)
    assert "9 xy" in text[place]
    assert '"xy"' in text[place + 1]
    assert "old" in next(line for line in text if "spring rate" in line)
    moved = with_cursor(state, 0, state.rows[0] + 1)
    assert line_with(moved, "rider mass").startswith(UTF8.fault)


def test_a_pressure_above_the_label_is_marked_and_told_at_the_field() -> None:
    pressure = select_field(START, ("setup", 1, "pressure"))
    over = commit(type_text(pressure, "350"))
    told = caution_at(over, over.row)
    said = "350 psi is above the label's limit of 320 psi: do not pump it that high."
    assert told == f"{said} Unverified: label's limit 320 psi."
    typed_limit = commit(type_text(select_field(over, ("setup", 1, "max_pressure")), "320"))
    assert caution_at(typed_limit, pressure.row) == said
    assert not caution_at(pressure, pressure.row)
    limit = select_field(over, ("setup", 1, "max_pressure"))
    assert line_with(limit, "350 psi").startswith("! pressure")
    assert "!350 psi, sag" in "".join(text for text, _ in result_line(over, 80, LOOK))
    # An answer of before says nothing about what is typed now.
    stale = commit(type_text(select_field(over, ("setup", 1, "bore")), "x"))
    assert not caution_at(stale, pressure.row)


def test_the_result_of_all_setups_stays_in_sight() -> None:
    state = add_air(add_air(SIX))
    assert len(state.job.setups) == 8
    for shown, width in ((SIX, 80), (SIX, 120), (state, 120)):
        row = "".join(text for text, _ in result_line(shown, width, LOOK))
        assert len(row) <= width
        assert row.count("psi") + row.count("lbf/in") == len(shown.job.setups)


def test_the_names_of_the_panels_are_cut_with_a_mark() -> None:
    last = with_cursor(SIX, len(SIX.panels) - 1, 0)
    assert lines(last)[0].startswith("…")
    assert lines(last)[0].endswith("]")
    assert not lines(START)[0].startswith("…")


def test_a_long_fault_is_told_to_its_end() -> None:
    short = commit(type_text(select_field(START, ("frame", "wheel_travel")), "2,5 in"))
    told = " ".join(line.strip() for line in lines(short))
    assert "the stroke is 60.0 mm, but the leverage turns the wheel travel into 25.8 mm of stroke" in told
    assert "check wheel travel, stroke and ratios" in told


def test_a_bare_number_shows_the_unit_it_will_take() -> None:
    assert "91 kg" in line_with(type_text(type_text(START, "9"), "1"), "rider mass")
    share = select_field(START, ("load", "bike_share"))
    assert "48 %" in line_with(type_text(type_text(share, "4"), "8"), "bike's share")


def test_what_is_typed_shows_its_caret_and_never_leaves_the_field() -> None:
    state = START
    for letter in "12345678901234567890123456789":
        state = type_text(state, letter)
    shown = page(state, 40, 19, {}, LOOK)
    [y] = [y for y in range(19) if Role.CARET in roles_in(shown, y)]
    assert len(shown.lines[y]) == 40
    assert "".join(text for text, _ in shown.lines[y]).rstrip().endswith("6789")


def test_the_same_in_the_shops_units_stands_beside_a_value_in_another() -> None:
    state = commit(open_edit(START))
    for letter in "187 lb":
        state = type_text(state, letter)
    assert "84.8 kg" in line_with(commit(state), "rider mass")


@pytest.mark.parametrize("name", ["[red]x[/]", "[@click=app.quit]x[/]", "a\x1b[2Jb", "überlang" * 9])
def test_names_are_shown_literally(name: str) -> None:
    job = demo_job().with_value(("setup", 0, "name"), name).with_value(("title",), name)
    text = "\n".join(
        lines(select_field(with_answer(open_bench(History.starting_at(job))), ("setup", 0, "rate")), 126, 60)
    )
    assert name.replace("\x1b", "")[:9] in text
    assert "\x1b" not in text


def test_plain_terminals_get_ascii_only() -> None:
    job = demo_job().with_value(("setup", 0, "name"), "Öhlig – “soft”")
    for state in (with_answer(open_bench(History.starting_at(job))), SIX):
        assert "".join(lines(state, 126, 60, PLAIN)).isascii()


def test_one_panel_at_80x24_and_all_of_them_on_a_large_screen() -> None:
    small = "\n".join(lines(START, 40, 19))
    assert "[rider]" in small
    assert "shock stroke" not in small
    large = "\n".join(lines(START, 126, 55))
    for panel in ("rider", "frame", "● coil", "▲ air"):
        assert f" {panel} " in large
    assert "[rider]" not in large


def test_the_height_of_a_panel_is_that_of_its_drawing() -> None:
    wrong = commit(type_text(type_text(START, "9"), "x"))
    for state in (START, SIX, wrong):
        faults = faults_by_row(state)
        for index in range(len(state.panels)):
            for width in (20, 40, 60):
                assert height_of(state, index, faults, width, LOOK) == len(
                    drawn(state, index, faults, width, LOOK)
                )


def test_a_click_finds_its_field() -> None:
    shown = page(START, 126, 55, {}, LOOK)
    y = next(y for y, line in enumerate(lines(START, 126, 55)) if "wheel travel  " in line and "148" in line)
    assert shown.at(5, y) == (1, 0)
    assert shown.at(5, 0) == (0, None)
    assert shown.at(999, 0) is None


def test_scrolling_moves_no_further_than_it_must() -> None:
    assert scrolled(1, 5, 6, 10, 30) == 1
    assert scrolled(1, 12, 14, 10, 30) == 5
    assert scrolled(9, 3, 3, 10, 30) == 3
    assert scrolled(25, 25, 25, 10, 30) == 20


@given(st.lists(st.integers(1, 40), min_size=1, max_size=9), st.integers(1, 200), st.integers(1, 60))
def test_every_panel_has_a_page_and_none_overlap(heights: list[int], width: int, height: int) -> None:
    found = pages(heights, width, height)
    assert sorted(block.panel for one in found for block in one) == list(range(len(heights)))
    for one in found:
        cells = [(x, y) for b in one for x in (b.x, b.x + b.width - 1) for y in range(b.y, b.y + b.height)]
        assert all(x < width and y < height for x, y in cells)
        if columns_in(width) > 1 or width > 1:
            assert len(set(cells)) == len(cells) or width == 1
    assert any(block.panel == 0 for block in page_of(0, found))


@settings(max_examples=cases(150))
@given(st.integers(0, 200), st.integers(0, 60), st.integers(0, 7), st.integers(0, 40), st.booleans())
def test_at_any_size_the_page_is_full_and_the_cursor_in_sight(
    width: int, height: int, panel: int, row: int, typing: bool
) -> None:
    state = with_cursor(SIX, panel, row)
    state = open_edit(state) if typing else state
    shown = page(state, width, height, {}, LOOK)
    if not width or not height:
        assert not shown.lines
        return
    assert [len(line) for line in shown.lines] == [width] * height
    if width >= 30 and height >= 4:
        assert sum("".join(text for text, _ in line).count("›") for line in shown.lines) == 1


def test_moving_the_cursor_changes_two_lines() -> None:
    before = page(START, 126, 55, {}, LOOK).lines
    after = page(with_cursor(START, 0, START.rows[0] + 1), 126, 55, {}, LOOK).lines
    assert sum(one != other for one, other in zip(before, after, strict=True)) == 2


def test_a_nudge_changes_its_value_and_what_is_solved() -> None:
    before = page(START, 84, 80, {}, LOOK).lines
    after = page(restore(nudge(START, 1)), 84, 80, {}, LOOK).lines
    assert sum(one != other for one, other in zip(before, after, strict=True)) == 3
