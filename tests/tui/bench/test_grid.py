"""The fields of a step as cells: what a mechanic reads without colour, at any size."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.random_cases import cases
from tui.bench.cells import caution_at
from tui.bench.edit import add_air, add_coil, commit, nudge, open_edit, switch_solved
from tui.bench.grid import Page, drawn, page
from tui.bench.state import (
    BenchState,
    open_bench,
    select_field,
    select_setup,
    show_setup,
    show_step,
    with_answer,
    with_cursor,
)
from tui.bench.steps import MORE, Step, setup_of_row
from tui.bench.words import result_line
from tui.job.demo import demo_job
from tui.job.job import History
from tui.job.tree import TreePath
from tui.kit.cells import scrolled
from tui.kit.edit import restore, type_text
from tui.kit.look import ASCII, UTF8, ChartLook
from tui.kit.roles import Role
from tui.themes import find_themes

LOOK: ChartLook = find_themes().themes["dark"].chart(UTF8)
PLAIN: ChartLook = find_themes().themes["dark"].chart(ASCII)
START = with_answer(open_bench(History.starting_at(demo_job())))
SIX = add_coil(add_air(add_air(add_coil(START))))


def lines(state: BenchState, width: int = 40, height: int = 19, look: ChartLook = LOOK) -> list[str]:
    return ["".join(text for text, _ in line) for line in page(state, width, height, 0, look).lines]


def line_with(state: BenchState, text: str) -> str:
    return next(line for line in lines(state) if text in line)


def roles_in(shown: Page, y: int) -> set[int]:
    return {role for _, role in shown.lines[y]}


def test_the_selected_field_bears_a_mark_and_its_value_is_reversed() -> None:
    marked = [line for line in lines(START) if line.startswith("›")]
    assert len(marked) == 1
    assert "rider mass" in marked[0]
    shown = page(START, 40, 19, 0, LOOK)
    cursor = [y for y in range(19) if Role.CURSOR in roles_in(shown, y)]
    assert [lines(START)[y] for y in cursor] == marked


def test_every_number_stands_with_its_unit() -> None:
    unfolded = replace(START, unfolded=frozenset(Step))
    text = "\n".join(
        line for panel in range(len(START.panels)) for line in lines(with_cursor(unfolded, panel, 0), 63, 60)
    )
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
    assert "old" in line_with(show_setup(state, 0), "spring rate")
    moved = with_cursor(state, 0, state.rows[0] + 1)
    assert line_with(moved, "rider mass").startswith(UTF8.fault)


def test_a_pressure_above_the_label_is_marked_and_told_at_the_field() -> None:
    pressure = select_field(START, ("setup", 1, "pressure"))
    over = commit(type_text(pressure, "350"))
    told = caution_at(over, over.row)
    said = "350 psi is above the max pressure of 320 psi: do not pump that high."
    assert told == f"{said} Unverified: max pressure 320 psi."
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


def test_a_fault_in_a_field_that_is_folded_away_is_named_at_the_row_that_unfolds_it() -> None:
    wrong = commit(type_text(select_field(START, ("setup", 1, "bore")), "x"))
    folded = with_cursor(replace(wrong, unfolded=frozenset()), 3, 0)
    text = lines(folded, 60, 24)
    place = next(y for y, line in enumerate(text) if "15 more" in line)
    assert text[place + 1].strip().startswith('bore: "x"')
    unfolded = lines(wrong, 60, 40)
    place = next(y for y, line in enumerate(unfolded) if "bore  " in line)
    assert unfolded[place + 1].strip().startswith('"x"')
    assert not any("bore: " in line for line in unfolded)


def test_a_long_fault_is_told_to_its_end() -> None:
    short = commit(type_text(select_field(START, ("frame", "wheel_travel")), "2,5 in"))
    told = " ".join(line.strip() for line in lines(short))
    assert "stroke is 60.0 mm, but wheel travel and leverage give 25.8 mm" in told
    assert "57.0 % off; check the stroke; it fits with wheel travel 147.8 mm" in told


def test_a_bare_number_shows_the_unit_it_will_take() -> None:
    assert "91 kg" in line_with(type_text(type_text(START, "9"), "1"), "rider mass")
    share = select_field(START, ("load", "bike_share"))
    assert "48 %" in line_with(type_text(type_text(share, "4"), "8"), "bike share")


def test_what_is_typed_shows_its_caret_and_never_leaves_the_field() -> None:
    state = START
    for letter in "12345678901234567890123456789":
        state = type_text(state, letter)
    shown = page(state, 40, 19, 0, LOOK)
    [y] = [y for y in range(19) if Role.CARET in roles_in(shown, y)]
    assert len(shown.lines[y]) == 40
    assert "".join(text for text, _ in shown.lines[y]).rstrip().endswith("6789")


def test_the_same_in_the_shops_units_stands_beside_a_value_in_another() -> None:
    state = commit(open_edit(START))
    for letter in "187 lb":
        state = type_text(state, letter)
    assert "84.8 kg" in line_with(commit(state), "rider mass")


def test_it_takes_the_cells_that_a_short_name_leaves_free() -> None:
    state = commit(open_edit(select_field(START, ("frame", "wheel_travel"))))
    for letter in "6 1/4 in":
        state = type_text(state, letter)
    line = next(line for line in lines(commit(state), 38) if "wheel travel" in line)
    assert line.split("travel")[1].split() == ["6.25", "in", "158.8", "mm"]
    assert len(line) <= 38


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


@pytest.mark.parametrize("size", [(40, 19), (126, 55)])
def test_the_fields_of_one_step_are_shown_at_any_size(size: tuple[int, int]) -> None:
    for step in Step:
        state = show_step(START, step)
        own = {row.label for row in state.panels[state.panel].rows}
        shown = lines(state, *size)
        assert [line for line in shown if "spring rate" in line] == [
            line for line in shown if "spring rate" in line and "spring rate" in own
        ]
        for label in own:
            assert any(label in line for line in shown)


def test_the_rest_of_the_fields_is_folded_behind_a_row_that_counts_them_and_unfolds_below_it() -> None:
    for panel in range(len(START.panels)):
        state = with_cursor(START, panel, 0)
        hidden = state.panels[panel].hidden
        more = state.panels[panel].index_of(MORE)
        assert (more is None) == (not hidden)
        if more is None:
            continue
        at_more = with_cursor(state, panel, more)
        assert line_with(at_more, "more").rstrip() == f"› {len(hidden)} more …"
        unfolded = open_edit(at_more)
        assert unfolded.edit is None
        assert unfolded.row.path == MORE
        text = lines(unfolded, 40, 60)
        place = next(y for y, line in enumerate(text) if line.startswith(f"› hide these {len(hidden)} …"))
        assert all(any(row.label[:18] in line for line in text[place:]) for row in hidden)
        again = open_edit(unfolded)
        assert (again.unfolded, again.panels) == (frozenset(), START.panels)


def test_a_step_shows_six_to_ten_fields_before_it_is_unfolded() -> None:
    for step in (Step.RIDER, Step.FRAME, Step.SPRINGS, Step.RIDE):
        for index in (0, 1):
            state = select_setup(show_step(START, step), index)
            assert 6 <= sum(row.path != MORE for row in state.panels[state.panel].rows) <= 10


def test_setups_are_compared_in_two_or_three_lines_each_the_selected_one_marked() -> None:
    compared = show_step(SIX, Step.COMPARE)
    for index in range(len(SIX.job.setups)):
        state = select_setup(compared, index)
        text = lines(state, 44, 60)
        names = [str(setup.get("name")) for setup in SIX.job.setups]
        heads = [line for line in text if line.rstrip(" ]").endswith(tuple(f" {name}" for name in names))]
        assert len(heads) == len(names)
        # The mark of the selected line is that of the field alone.
        assert [line.startswith(" [") for line in heads] == [place == index for place in range(len(names))]
        assert sum("›" in line for line in text) == 1
        rows = state.panels[state.panel].rows
        assert {sum(setup_of_row(row) == place for row in rows) for place in range(len(names))} <= {1, 2}
        assert next(row.label for row in rows if setup_of_row(row) == index) in ("spring rate", "pressure")


@pytest.mark.parametrize("width", [20, 40, 60])
def test_every_row_has_its_lines_in_their_order(width: int) -> None:
    wrong = commit(type_text(type_text(START, "9"), "x"))
    for state in (START, SIX, wrong):
        for panel, there in enumerate(state.panels):
            found = drawn(with_cursor(state, panel, 0), width, LOOK)
            assert len(found.lines) == len(found.rows)
            assert {len(line) for line in found.lines} == {width}
            owners = [owner for owner in found.rows if owner is not None]
            assert owners == sorted(owners)
            assert set(owners) == set(range(len(there.rows)))
            for row in range(len(there.rows)):
                first, last = found.span(row, 60)
                assert {found.rows[y] for y in range(first, last + 1)} <= {row, None}


@pytest.mark.parametrize("width", [34, 38])
def test_a_word_too_long_for_its_column_starts_further_left(width: int) -> None:
    source = lines(START, width, 30)[0]
    assert source.split() == ["load", "source", "rider", "and", "bike"]
    mass = lines(START, width, 30)[1]
    assert mass.index("~") == 20
    assert lines(START, 29, 30)[0] == "  load source  rider and bike"
    assert lines(START, 28, 30)[0] == "  load source         rider…"


def test_a_click_finds_its_field() -> None:
    frame = show_step(START, Step.FRAME)
    shown = page(frame, 63, 30, 0, LOOK)
    y = next(y for y, line in enumerate(lines(frame, 63, 30)) if "wheel travel  " in line and "148" in line)
    assert shown.at(y) == 0
    assert shown.at(y + 1) == 1
    assert [shown.at(-1), shown.at(999)] == [None, None]


def test_scrolling_moves_no_further_than_it_must() -> None:
    assert scrolled(1, 5, 6, 10, 30) == 1
    assert scrolled(1, 12, 14, 10, 30) == 5
    assert scrolled(9, 3, 3, 10, 30) == 3
    assert scrolled(25, 25, 25, 10, 30) == 20


def test_on_a_single_line_the_row_of_the_cursor_stands_and_not_its_heading() -> None:
    state = with_cursor(SIX, 1, 2)
    assert state.panels[1].rows[2].head
    assert lines(state, 40, 1)[0].startswith("› ")
    assert lines(state, 40, 2)[1].startswith("› ")


@settings(max_examples=cases(150))
@given(st.integers(0, 200), st.integers(0, 60), st.integers(0, 12), st.integers(0, 40), st.booleans())
def test_at_any_size_the_page_is_full_and_the_cursor_in_sight(
    width: int, height: int, panel: int, row: int, typing: bool
) -> None:
    state = with_cursor(SIX, panel, row)
    state = open_edit(state) if typing else state
    shown = page(state, width, height, 0, LOOK)
    if not width or not height:
        assert not shown.lines
        return
    assert [len(line) for line in shown.lines] == [width] * height
    marked = sum("".join(text for text, _ in line).count("›") for line in shown.lines)
    if width >= 3:
        # Where setups are compared the selected one bears a mark as well.
        assert marked in ((1, 2) if state.step is Step.COMPARE else (1,))


def test_moving_the_cursor_changes_two_lines() -> None:
    before = page(START, 126, 55, 0, LOOK).lines
    after = page(with_cursor(START, 0, START.rows[0] + 1), 126, 55, 0, LOOK).lines
    assert sum(one != other for one, other in zip(before, after, strict=True)) == 2


def test_a_nudge_changes_its_value_and_what_is_solved() -> None:
    before = page(START, 84, 80, 0, LOOK).lines
    after = page(restore(nudge(START, 1)), 84, 80, 0, LOOK).lines
    assert sum(one != other for one, other in zip(before, after, strict=True)) == 1
    compared = show_step(START, Step.COMPARE)
    before, after = (
        page(state, 84, 80, 0, LOOK).lines for state in (compared, show_step(nudge(START, 1), 3))
    )
    assert sum(one != other for one, other in zip(before, after, strict=True)) == 2


# --- to the last cell ------------------------------------------------------------------------


def at(path: TreePath, state: BenchState = START) -> BenchState:
    found = select_field(state, path)
    assert found.row.path == path
    return found


RATE: TreePath = ("setup", 0, "rate")


def roles_of(state: BenchState, text: str, width: int = 40) -> list[tuple[str, int]]:
    """Return the runs of the line with a text, each with its role, blanks at its ends left out."""
    shown = page(state, width, 60, 0, LOOK)
    line = next(line for line in shown.lines if text in "".join(cell for cell, _ in line))
    runs: list[tuple[str, int]] = []
    for cell, role in line:
        if runs and runs[-1][1] == role:
            runs[-1] = (runs[-1][0] + cell, role)
        else:
            runs.append((cell, role))
    return [(words.strip(), role) for words, role in runs if words.strip()]


def test_the_fields_of_the_demo_to_the_last_cell() -> None:
    assert lines(at(RATE), 44, 8) == [
        "› spring rate       = 393 lbf/in  solved    ",
        "  coil type           linear                ",
        "  preload           ~ 1.50 turns            ",
        "  preload given as    turns                 ",
        "  thread pitch      ~ 1.25 mm               ",
        "friction and weight                         ",
        "  seal friction     ~ 14 N                  ",
        "                                           ↓",
    ]
    assert lines(at(RATE), 44, 3, PLAIN) == [
        "> spring rate       = 393 lbf/in  solved    ",
        "  coil type           linear                ",
        "  preload           * 1.50 turns           v",
    ]
    assert lines(show_step(START, Step.COMPARE), 44, 7) == [
        " [● coil]                                   ",
        "› spring rate       = 393 lbf/in  solved    ",
        "  preload           ~ 1.50 turns            ",
        "  ▲ air                                     ",
        "  pressure          = 205 psi  solved       ",
        "  spacers           ~ 1 fitted              ",
        "                                            ",
    ]
    # What does not fit whole behind a value is left out.
    assert lines(at(RATE), 40, 12)[0] == "› spring rate       = 393 lbf/in  solved"
    assert lines(at(RATE), 39, 12)[0].rstrip() == "› spring rate       = 393 lbf/in"


@pytest.mark.parametrize(
    ("size", "shown"),
    [
        ((40, 1), ["› rider mass        ~ 82 kg            ↓"]),
        ((40, 2), ["  load source         rider and bike    ", "› rider mass        ~ 82 kg            ↓"]),
        ((12, 4), ["  load sour…", "› rider mas…", "  posture  …", "  bike mass↓"]),
    ],
)
def test_the_smallest_pages_have_the_selected_row(size: tuple[int, int], shown: list[str]) -> None:
    found = lines(START, *size)
    assert [len(line) for line in found] == [size[0]] * size[1]
    assert found == shown
    assert any(line.startswith("›") for line in found)


def test_values_are_told_apart_by_their_roles() -> None:
    assert roles_of(START, "rider mass") == [
        ("› rider mass", Role.STRONG), ("~ 82 kg", Role.CURSOR),
    ]  # fmt: skip
    assert roles_of(START, "bike mass") == [("bike mass", Role.LABEL), ("~ 15 kg", Role.VALUE)]
    unfolded = replace(START, unfolded=frozenset(Step))
    assert roles_of(unfolded, "gauge") == [("gauge", Role.LABEL), ("2 psi  assumed", Role.QUIET)]
    assert roles_of(START, "target sag") == [("target sag", Role.HEAD)]
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
    absent = at(("frame", "stroke"), unfolded)
    assert roles_of(absent, "name") == [("name", Role.LABEL), ("-", Role.QUIET)]


def test_an_old_answer_is_called_old_and_a_solved_value_stays() -> None:
    stale = at(RATE, commit(type_text(START, "x")))
    assert "= 393 lbf/in  old" in line_with(stale, "spring rate")


def test_faults_stand_below_their_field_and_belong_to_it() -> None:
    wrong = commit(type_text(at(("load", "bike_mass")), "x"))
    shown = page(wrong, 60, 60, 0, LOOK)
    row = wrong.rows[0]
    place = next(y for y in range(60) if shown.at(y) == row)
    # The fault takes two lines of this width.
    assert [shown.at(place + y) for y in range(4)] == [row, row, row, row + 1]
    fault = "".join(text for text, _ in shown.lines[place + 1])
    assert fault.startswith('    "x"')
    assert {role for text, role in shown.lines[place + 1] if text.strip()} == {Role.WRONG}


def test_a_heading_comes_in_sight_with_its_first_row() -> None:
    unfolded = replace(START, unfolded=frozenset({Step.RIDER}))
    sag = unfolded.panels[0].index_of(("target", "sag"))
    assert sag is not None
    below = page(with_cursor(unfolded, 0, len(unfolded.panels[0].rows) - 1), 40, 8, 0, LOOK)
    assert below.top > 9
    up = page(with_cursor(unfolded, 0, sag), 40, 8, below.top, LOOK)
    text = ["".join(cell for cell, _ in line) for line in up.lines]
    assert text[0].startswith("target sag")
    assert text[1].startswith("› sag ")


def test_what_is_typed_is_shown_with_caret_and_unit_in_roles_of_their_own() -> None:
    typing = type_text(START, "91")
    assert line_with(typing, "rider mass").rstrip() == "› rider mass          91 kg"
    shown = page(typing, 40, 19, 0, LOOK)
    [line] = [line for line in shown.lines if any(role == Role.CARET for _, role in line)]
    runs = {role: "".join(text for text, own in line if own == role) for role in (Role.EDIT, Role.CARET)}
    assert runs[Role.CARET] == " "
    assert runs[Role.EDIT].strip() == "91"
    assert [text for text, role in line if role == Role.QUIET] == list("kg")


def test_a_page_is_scrolled_no_further_than_it_must_and_says_what_there_is_more() -> None:
    unfolded = replace(START, unfolded=frozenset({Step.RIDER}))
    last = len(unfolded.panels[0].rows) - 1
    down = page(with_cursor(unfolded, 0, last), 40, 8, 0, LOOK)
    assert down.top > 0
    assert ["".join(text for text, _ in down.lines[y])[-1] for y in (0, -1)] == ["↑", " "]
    up_one = page(with_cursor(unfolded, 0, last - 1), 40, 8, down.top, LOOK)
    assert up_one.top == down.top
    top = page(with_cursor(unfolded, 0, 0), 40, 8, down.top, LOOK)
    assert top.top == 0
    assert ["".join(text for text, _ in top.lines[y])[-1] for y in (0, -1)] == [" ", "↓"]
    assert page(START, 0, 8, 0, LOOK).lines == page(START, 8, 0, 0, LOOK).lines == []


def test_a_click_is_on_a_heading_a_row_or_on_nothing() -> None:
    shown = page(START, 63, 30, 0, LOOK)
    text = ["".join(cell for cell, _ in line) for line in shown.lines]
    heading = next(y for y, line in enumerate(text) if line.startswith("target sag"))
    assert shown.at(heading) is None
    assert shown.at(heading + 1) == START.panels[0].index_of(("target", "sag"))
    assert shown.at(29) is None
    assert shown.at(30) is None
    scrolled_down = page(with_cursor(START, 0, 8), 40, 4, 0, LOOK)
    assert scrolled_down.at(3) == 8


@pytest.mark.parametrize("width", [36, 38, 44])
def test_a_value_that_is_assumed_says_so_beside_the_view_of_80_columns_too(width: int) -> None:
    ride = show_step(replace(START, unfolded=frozenset(Step)), Step.RIDE)
    said = [" ".join(line.split()) for line in lines(ride, width, 40)]
    for value in (
        "rebound damping 50 %",
        "tyre stiffness 120 N/mm",
        "tyre damping 100 N s/m",
        "wheel radius 350 mm",
    ):
        assert f"{value} assumed" in said
