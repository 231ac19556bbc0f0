"""The panels as cells: what a mechanic reads without colour, at any size."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tui.kit.layout import columns_in, page_of, pages, scrolled

from tests.random_cases import cases
from tui.bench.cells import caution_at, faults_by_row
from tui.bench.edit import add_air, add_coil, commit, nudge, open_edit, switch_solved
from tui.bench.grid import Page, drawn, height_of, page
from tui.bench.state import BenchState, open_bench, select_field, with_answer, with_cursor
from tui.bench.words import result_line
from tui.job.demo import demo_job
from tui.job.job import History
from tui.job.tree import TreePath
from tui.kit.edit import restore, type_text
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


# --- to the last cell ------------------------------------------------------------------------


def at(path: TreePath, state: BenchState = START) -> BenchState:
    found = select_field(state, path)
    assert found.row.path == path
    return found


RATE: TreePath = ("setup", 0, "rate")


def roles_of(state: BenchState, text: str, width: int = 40) -> list[tuple[str, int]]:
    """Return the runs of the line with a text, each with its role, blanks at its ends left out."""
    shown = page(state, width, 60, {}, LOOK)
    line = next(line for line in shown.lines if text in "".join(cell for cell, _ in line))
    runs: list[tuple[str, int]] = []
    for cell, role in line:
        if runs and runs[-1][1] == role:
            runs[-1] = (runs[-1][0] + cell, role)
        else:
            runs.append((cell, role))
    return [(words.strip(), role) for words, role in runs if words.strip()]


def test_a_panel_of_the_demo_to_the_last_cell() -> None:
    assert lines(at(RATE), 44, 8) == [
        " rider  frame [● coil] ▲ air  record        ",
        "━━ ● coil ━━━━━━━━━━━━━━━━━━━━━━━━━━ 1/21 ↑↓",
        "› spring rate       = 393 lbf/in  solved    ",
        "  wound with          one rate              ",
        "  preload           ~ 1.50 turns            ",
        "  preload by          collar turns          ",
        "  thread pitch      ~ 1.25 mm               ",
        "  most turns        ~ 3.0 turns             ",
    ]
    assert lines(at(RATE), 44, 3, PLAIN) == [
        "== A coil ========================== 1/21 ^v",
        "> spring rate       = 393 lbf/in  solved    ",
        "  wound with          one rate              ",
    ]
    # What does not fit whole behind a value is left out.
    assert lines(at(RATE), 40, 5)[2] == "› spring rate       = 393 lbf/in  solved"
    assert lines(at(RATE), 39, 5)[2].rstrip() == "› spring rate       = 393 lbf/in"


@pytest.mark.parametrize(
    ("size", "shown"),
    [
        ((40, 1), ["━━ rider ━━━━━━━━━━━━━━━━━━━━━━━ 3/18 ↑↓"]),
        ((40, 2), ["━━ rider ━━━━━━━━━━━━━━━━━━━━━━━ 3/18 ↑↓", "› rider mass        ~ 82 kg             "]),
        (
            (12, 4),
            ["[rider] fra…", "━━ r 3/18 ↑↓", "  load from…", "› rider mas…"],
        ),
    ],
)
def test_the_smallest_pages_have_the_panel_and_the_selected_row(
    size: tuple[int, int], shown: list[str]
) -> None:
    found = lines(START, *size)
    assert [len(line) for line in found] == [size[0]] * size[1]
    assert found == shown
    assert any(line.startswith("›") for line in found) == (size[1] > 1)


def test_values_are_told_apart_by_their_roles() -> None:
    assert roles_of(START, "rider mass") == [
        ("› rider mass", Role.STRONG), ("~ 82 kg", Role.CURSOR),
    ]  # fmt: skip
    assert roles_of(START, "bike mass") == [("bike mass", Role.LABEL), ("~ 15 kg", Role.VALUE)]
    assert roles_of(START, "gauge") == [("gauge", Role.LABEL), ("2 psi  assumed", Role.QUIET)]
    assert roles_of(START, "sag wanted") == [("sag wanted", Role.HEAD)]
    rate = at(("setup", 0, "friction"))
    assert roles_of(rate, "spring rate") == [
        ("spring rate", Role.LABEL), ("= 393 lbf/in", Role.SOLVED), ("solved", Role.QUIET),
    ]  # fmt: skip
    assert roles_of(at(RATE), "spring rate") == [
        ("› spring rate", Role.STRONG), ("= 393 lbf/in  solved", Role.CURSOR_SOLVED),
    ]  # fmt: skip
    wrong = commit(type_text(at(("load", "bike_mass")), "x"))
    assert roles_of(at(("load", "rider_mass"), wrong), "bike mass") == [
        ("✗", Role.WRONG), ("bike mass", Role.LABEL), ("x", Role.WRONG),
    ]  # fmt: skip
    over = commit(type_text(at(("setup", 1, "pressure")), "330"))
    assert roles_of(at(("setup", 1, "bore"), over), "pressure  ")[0] == ("!", Role.WARNING)
    absent = at(("frame", "stroke"))
    assert roles_of(absent, "name") == [("name", Role.LABEL), ("-", Role.QUIET)]


def test_an_old_answer_is_called_old_and_a_solved_value_stays() -> None:
    stale = at(RATE, commit(type_text(START, "x")))
    assert "= 393 lbf/in  old" in line_with(stale, "spring rate")


def test_faults_stand_below_their_field_and_belong_to_it() -> None:
    wrong = commit(type_text(at(("load", "bike_mass")), "x"))
    shown = page(wrong, 60, 60, {}, LOOK)
    row = wrong.rows[0]
    place = next(y for y in range(60) if shown.at(0, y) == (0, row))
    # The fault takes two lines of this width.
    assert [shown.at(0, place + y) for y in range(4)] == [(0, row), (0, row), (0, row), (0, row + 1)]
    fault = "".join(text for text, _ in shown.lines[place + 1])
    assert fault.startswith('    "x"')
    assert {role for text, role in shown.lines[place + 1] if text.strip()} == {Role.WRONG}


def test_a_heading_comes_in_sight_with_its_first_row() -> None:
    sag = START.panels[0].index_of(("target", "sag"))
    assert sag is not None
    below = page(with_cursor(START, 0, 17), 40, 8, {}, LOOK)
    up = page(with_cursor(START, 0, sag), 40, 8, below.tops, LOOK)
    text = ["".join(cell for cell, _ in line) for line in up.lines]
    assert text[2].startswith("sag wanted")
    assert text[3].startswith("› sag ")


def test_titles_say_the_selected_setup_and_its_kind() -> None:
    wide = lines(with_cursor(START, 0, 2), 84, 60)
    assert any("── ● coil selected ─" in line for line in wide)
    assert not any("▲ air selected" in line for line in wide)
    on_air = lines(at(("setup", 1, "bore")), 84, 60)
    assert any("━━ ▲ air ━" in line and line.rstrip().endswith("air ━━") for line in on_air)
    assert not any("selected" in line for line in on_air)
    rider = with_cursor(at(("setup", 1, "bore")), 0, 2)
    assert any("── ▲ air selected ─" in line for line in lines(rider, 84, 60))


def test_the_strip_of_names_marks_the_panel_and_the_setup_and_follows_the_cursor() -> None:
    assert lines(START)[0].rstrip() == "[rider] frame (● coil) ▲ air  record"
    assert lines(at(("setup", 1, "bore")))[0].rstrip() == " rider  frame  ● coil [▲ air] record"
    on_record = lines(with_cursor(at(("setup", 1, "bore")), 4, 0), 24, 10)[0]
    assert on_record == "… ● coil (▲ air)[record]"
    exact = lines(with_cursor(START, 4, 0), 37, 10)[0]
    assert exact == " rider  frame (● coil) ▲ air [record]"
    assert lines(with_cursor(START, 4, 0), 36, 10)[0] == "…ider  frame (● coil) ▲ air [record]"


def test_what_is_typed_is_shown_with_caret_and_unit_in_roles_of_their_own() -> None:
    typing = type_text(START, "91")
    assert line_with(typing, "rider mass").rstrip() == "› rider mass          91 kg"
    shown = page(typing, 40, 19, {}, LOOK)
    [line] = [line for line in shown.lines if any(role == Role.CARET for _, role in line)]
    runs = {role: "".join(text for text, own in line if own == role) for role in (Role.EDIT, Role.CARET)}
    assert runs[Role.CARET] == " "
    assert runs[Role.EDIT].strip() == "91"
    assert [text for text, role in line if role == Role.QUIET] == list("kg")


def test_a_page_remembers_how_far_each_panel_was_scrolled() -> None:
    down = with_cursor(START, 0, 17)
    shown = page(down, 40, 8, {}, LOOK)
    assert "18/18" in "".join(text for text, _ in shown.lines[1])
    assert shown.tops[0] > 1
    up_one = page(with_cursor(START, 0, 16), 40, 8, shown.tops, LOOK)
    assert up_one.tops == shown.tops
    top = page(with_cursor(START, 0, 0), 40, 8, shown.tops, LOOK)
    assert top.tops[0] == 1
    assert page(START, 0, 8, {}, LOOK).lines == page(START, 8, 0, {}, LOOK).lines == []


def test_a_click_is_on_a_title_a_heading_a_row_or_on_nothing() -> None:
    shown = page(START, 82, 60, {}, LOOK)
    text = ["".join(cell for cell, _ in line) for line in shown.lines]
    heading = next(y for y, line in enumerate(text) if line.startswith("sag wanted"))
    assert shown.at(0, heading) == (0, None)
    assert shown.at(0, heading + 1) == (0, START.panels[0].index_of(("target", "sag")))
    assert shown.at(39, heading + 1) == shown.at(0, heading + 1)
    # Between two columns there is nothing.
    assert [shown.at(x, 0) for x in (39, 40, 41, 42)] == [(0, None), None, None, (3, None)]
    assert shown.at(0, 60) is None
    names = page(START, 40, 19, {}, LOOK)
    assert names.at(0, 0) is None
    assert names.at(0, 1) == (0, None)
