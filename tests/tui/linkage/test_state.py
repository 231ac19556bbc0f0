"""Keys of the linkage screen on its pure state: moving, typing, building, undoing, reading."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.random_cases import cases
from tui.job.demo import demo_job
from tui.job.faults import JobFault
from tui.job.job import Job
from tui.job.wheels import wheel_job
from tui.kit.cells import text_of
from tui.kit.edit import Edit, empty_edit, move_caret, rub_out, rub_out_ahead, type_text
from tui.kit.keymap import quiet
from tui.kit.look import UTF8
from tui.linkage import state as acts
from tui.linkage import state as edit
from tui.linkage.keymap import KEYMAP
from tui.linkage.panes import tables
from tui.linkage.sketch import (
    EXAMPLES,
    LEVERAGE,
    Example,
    Known,
    Point,
    Sketch,
    free_coordinate,
    sketch_of,
    with_eye_placed,
    with_point,
    with_sketch,
)
from tui.linkage.state import (
    NAME,
    STEPS,
    WHAT,
    LinkageState,
    Part,
    X,
    Y,
    cell_text,
    faulty_rows,
    open_linkage,
    spot_of,
    with_cursor,
    with_edited_sketch,
)
from tui.linkage.words import meaning_of, title_line, why_lines
from tui.shop_units import METRIC, USUAL

REAR = wheel_job(demo_job(), "rear")
START = open_linkage(REAR)
NAMES = {
    "+": "plus", "-": "minus", ">": "greater_than_sign", "<": "less_than_sign", "_": "underscore",
    " ": "space",
}  # fmt: skip


def with_bars(*bars: tuple[str, str]) -> LinkageState:
    """Return the start with these bars in place of its own."""
    return with_edited_sketch(START, replace(START.sketch, bars=bars))


def with_points(count: int) -> LinkageState:
    """Return the start with its first points alone, and no bars."""
    return with_edited_sketch(START, replace(START.sketch, points=START.sketch.points[:count], bars=()))


def press(state: LinkageState, *keys: str) -> LinkageState:
    """Press keys, and do acts by their ids, each with a colon before it."""
    for key in keys:
        if key.startswith(":"):
            step = KEYMAP.named[key[1:]].step
            assert step is not None
            state = step(quiet(state))
            continue
        character = key if len(key) == 1 else None
        state = KEYMAP.pressed(state, NAMES.get(key, key), character)
    return state


def at(state: LinkageState, part: Part, row: int, column: int) -> LinkageState:
    return with_cursor(state, part, row, column)


def cell(state: LinkageState) -> str:
    return cell_text(state.sketch, spot_of(state))


def words(state: LinkageState) -> str:
    return " ".join(f"{fault.what}; {fault.accepted}" for fault in state.faults)


def test_a_job_without_a_linkage_opens_on_an_invented_one() -> None:
    assert START.sketch == START.invented == EXAMPLES[0].sketch()
    assert not START.changed
    assert not START.faults
    assert START.answer is not None
    assert START.answer.motion.stroke[-1] == pytest.approx(0.06)


def test_the_example_fits_the_shock_of_the_job() -> None:
    short = open_linkage(
        REAR.with_value(("frame", "eye_to_eye"), "19 cm").with_value(("frame", "stroke"), "45 mm")
    )
    places = short.sketch.places
    (x, y), (u, v) = places["eye"], places["frame"]
    assert ((x - u) ** 2 + (y - v) ** 2) ** 0.5 == pytest.approx(190.0, abs=0.15)
    assert not short.faults


def test_a_job_with_a_linkage_opens_on_it() -> None:
    job = press(START, "+").job
    again = open_linkage(job)
    assert again.invented is None
    assert again.job == job
    assert not again.changed


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.title)
def test_every_example_moves(example: Example) -> None:
    state = acts.take_example(START, example)
    assert not state.faults
    assert state.answer is not None
    ratio = state.answer.motion.ratio
    assert 2.0 < ratio[-1] < ratio[0] < 3.2
    assert not state.changed
    assert press(state, "u").sketch == START.sketch


@pytest.mark.parametrize(
    ("example", "start", "end", "travel"),
    [
        (EXAMPLES[0], 2.6346, 2.3622, 0.15032),
        (EXAMPLES[1], 2.8262, 2.2831, 0.14931),
        (EXAMPLES[2], 2.8415, 2.2978, 0.15065),
        (EXAMPLES[3], 2.8298, 2.2396, 0.15031),
        (EXAMPLES[4], 2.9479, 2.3173, 0.14954),
    ],
    ids=lambda value: value.title if isinstance(value, Example) else "",
)
def test_what_every_example_gives_on_a_shock_of_230_by_60_mm(
    example: Example, start: float, end: float, travel: float
) -> None:
    # Invented data, worked out by the product itself: these figures only show where a coordinate changed.
    answer = acts.take_example(open_linkage(REAR), example).answer
    assert answer is not None
    assert answer.motion.ratio[[0, -1]] == pytest.approx([start, end], abs=1e-4)
    assert answer.motion.wheel[-1] == pytest.approx(travel, abs=1e-5)


@pytest.mark.parametrize(
    ("typed", "length"),
    [("190 mm", 190.0), ("8.5 in", 215.9), ("0 mm", 230.0), ("-3 mm", 230.0), ("long", 230.0), (210, 230.0)],
)
def test_the_shock_has_its_usual_length_where_none_can_be_read(typed: object, length: float) -> None:
    job = REAR.with_value(("frame", "eye_to_eye"), typed)
    assert acts.eye_to_eye(job) == pytest.approx(length)
    assert acts.eye_to_eye(job.without(("frame", "eye_to_eye"))) == 230.0


def test_arrows_go_over_cells_and_on_into_the_next_table() -> None:
    state = at(START, Part.POINTS, 3, X)
    assert spot_of(press(state, "down")) == (Part.BARS, 0, 1)
    assert spot_of(press(state, "down", "up")) == (Part.POINTS, 3, X)
    assert spot_of(press(state, "left", "left", "left")) == (Part.POINTS, 3, NAME)
    assert spot_of(press(state, "home", "right", "right", "right")) == (Part.POINTS, 0, WHAT)
    assert spot_of(press(state, "end")) == (Part.BARS, 2, 1)
    assert press(state, "tab").part is Part.BARS
    assert press(state, "tab", "tab").part is Part.DRAWING
    assert spot_of(press(state, "tab", "tab", "tab")) == (Part.POINTS, 0, NAME)


def test_digits_type_over_and_enter_takes_them() -> None:
    state = at(START, Part.POINTS, 2, X)
    open_edit = press(state, "-", "4", "2", "5", ",", "5")
    assert open_edit.edit is not None
    assert open_edit.edit.text == "-425,5"
    taken = press(open_edit, "enter")
    assert cell(press(taken, "left")) == "-425.5"
    assert not taken.is_outdated
    assert taken.answer is not START.answer
    assert cell(press(open_edit, "escape")) == "-430.1"
    assert cell(press(open_edit, "down", "up")) == "-425.5"


def test_enter_opens_a_value_with_the_caret_behind_it() -> None:
    state = press(at(START, Part.POINTS, 2, Y), "enter", "backspace", "backspace", "home", "delete", "enter")
    assert cell(press(at(state, Part.POINTS, 2, Y))) == "15"
    unchanged = press(at(START, Part.POINTS, 2, Y), "enter", "enter")
    assert unchanged.history is START.history


def test_a_coordinate_taken_leads_to_the_next_one_down_to_the_last() -> None:
    state = START
    for number, spot in ((2, Y), (3, Y)):
        state = press(at(state, Part.POINTS, number, X), "7", "enter")
        assert spot_of(state) == (Part.POINTS, number, spot)
    assert spot_of(press(at(START, Part.POINTS, 1, Y), "7", "enter")) == (Part.POINTS, 2, X)
    assert spot_of(press(at(START, Part.POINTS, 1, Y), "enter", "enter")) == (Part.POINTS, 2, X)
    assert spot_of(press(at(START, Part.POINTS, 3, Y), "7", "enter")) == (Part.POINTS, 3, Y)
    assert spot_of(press(at(START, Part.POINTS, 1, NAME), ":rename_point", "x", "enter")) == (
        Part.POINTS,
        1,
        NAME,
    )
    # One that cannot be used has to be typed again.
    assert spot_of(press(at(START, Part.POINTS, 1, X), "4", "o", "enter")) == (Part.POINTS, 1, X)


def test_nudges_move_by_one_and_ten() -> None:
    state = at(START, Part.POINTS, 2, Y)
    assert cell(press(state, "+")) == "-14.0"
    assert cell(press(state, "_")) == "-16.0"
    assert cell(press(state, ">")) == "-5.0"
    assert cell(press(state, "<")) == "-25.0"
    assert press(at(START, Part.POINTS, 2, NAME), "+").note.startswith("No number")


def test_names_are_typed_and_two_points_never_share_one() -> None:
    state = press(at(START, Part.POINTS, 2, X), ":rename_point", "ctrl+u", *"rear axle", "enter")
    assert state.sketch.axle == "rear axle"
    assert ("rear axle", "eye") in state.sketch.bars
    assert not state.faults
    again = press(at(state, Part.POINTS, 3, NAME), "enter", "ctrl+u", *"main", "enter")
    assert again.sketch == state.sketch
    assert "already" in again.note
    assert "needs a name" in press(at(state, Part.POINTS, 3, NAME), "enter", "ctrl+u", "enter").note


def test_what_is_no_number_stays_as_typed_and_is_told() -> None:
    state = at(START, Part.POINTS, 2, X)
    wrong = press(state, "4", "o", "enter")
    assert cell(wrong) == "4o"
    assert (Part.POINTS, 2) in faulty_rows(wrong)
    assert wrong.is_outdated
    assert wrong.answer is START.answer
    assert "4o" in words(wrong)
    assert not press(wrong, "u").faults


def test_a_bar_missing_is_told_by_the_points_that_hang_loose() -> None:
    state = press(at(START, Part.BARS, 1, 0), ":remove_point")
    assert len(state.sketch.bars) == 2
    assert state.is_outdated
    assert "too few bars" in words(state)
    back = press(state, "u")
    assert not back.is_outdated
    assert press(back, "ctrl+r").sketch == state.sketch


def test_a_point_and_bars_are_built_key_by_key() -> None:
    state = press(at(START, Part.POINTS, 3, X), ":add_point")
    assert spot_of(state) == (Part.POINTS, 4, NAME)
    assert "point 1" in words(state)
    state = press(state, ":add_bar")
    assert state.sketch.bars[-1] == ("point 1", "main")
    assert spot_of(state) == (Part.BARS, 3, 1)
    state = press(state, "enter")
    assert state.sketch.bars[-1] == ("point 1", "frame")
    state = press(state, "+", "+")
    assert state.sketch.bars[-1] == ("point 1", "eye")
    state = press(at(state, Part.POINTS, 4, X), ":add_bar")
    state = press(state, "+", "+")
    assert state.sketch.bars[-1] == ("point 1", "axle")
    assert press(state, "-").sketch.bars[-1] == ("point 1", "frame")
    assert not state.faults
    assert press(at(state, Part.POINTS, 4, X), ":remove_point").sketch.bars == START.sketch.bars


def test_f_w_and_s_say_what_a_point_is() -> None:
    state = press(at(START, Part.POINTS, 0, X), ":fix_point")
    assert cell(at(state, Part.POINTS, 0, WHAT)) == "pivot"
    assert state.is_outdated
    state = press(at(START, Part.POINTS, 3, X), ":axle_here")
    assert cell(at(state, Part.POINTS, 3, WHAT)) == "axle eye"
    assert press(at(START, Part.POINTS, 2, X), ":eye_here").sketch.shock == ("frame", "axle")
    assert cell(press(at(START, Part.POINTS, 2, WHAT), "enter")) == "fixed axle"
    assert press(at(START, Part.BARS, 0, 0), ":fix_point").note.startswith("Select a point")


def test_pixels_and_back_leave_the_linkage_as_it_moves() -> None:
    pixels = press(START, ":points_unit")
    assert pixels.sketch.known == Known("eye", "frame", "230.0 mm")
    assert pixels.answer is not None
    assert START.answer is not None
    assert pixels.answer.motion.wheel[-1] == pytest.approx(START.answer.motion.wheel[-1], rel=2e-3)
    back = press(pixels, ":points_unit")
    assert back.sketch.known is None
    for name, place in START.sketch.places.items():
        assert back.sketch.places[name] == pytest.approx(place, abs=0.11)


def test_the_known_length_scales_what_is_typed_in_pixels() -> None:
    pixels = at(press(START, ":points_unit"), Part.KNOWN, 0, 2)
    halved = press(pixels, "1", "1", "5", "enter")
    assert halved.sketch.known is not None
    assert halved.sketch.known.length == "115 mm"
    assert "115.0 mm" in words(halved)  # half the shock that the job has
    assert halved.answer is not None
    assert not halved.is_outdated
    wrong = press(pixels, *"long", "enter")
    assert wrong.sketch.known == pixels.sketch.known  # no letter starts a number
    wrong = press(pixels, "enter", "ctrl+u", *"long", "enter")
    assert (Part.KNOWN, 0) in faulty_rows(wrong)
    assert press(wrong, ":points_unit").note.startswith("No scale yet")


def test_eyes_further_apart_than_the_shock_is_long_are_told_while_it_moves() -> None:
    state = press(at(START, Part.POINTS, 1, X), ">", ">")
    assert "eye" in words(state)
    assert not state.is_outdated


def test_the_cursor_cycles_through_the_stroke() -> None:
    state = START
    seen = []
    for _ in range(11):
        state = press(state, ":compress")
        seen.append(state.cursor)
    assert seen == [10, 20, 30, 40, 50, 60, 70, 80, 90, 100, 0]
    there = press(START, "]")
    assert press(there, "right", "right").cursor == 2
    assert press(there, "pagedown", "left").cursor == 9
    assert press(there, "pageup").cursor == 0
    assert press(there, "end").cursor == press(there, "end", "right").cursor == STEPS
    assert press(there, "end", "home").cursor == 0
    assert press(replace(START, cursor=13), ":compress").cursor == 20


def test_other_faults_of_the_job_do_not_stop_the_linkage() -> None:
    state = open_linkage(REAR.with_value(("target", "sag"), "lots"))
    assert not state.faults
    assert open_linkage(REAR.with_value(("frame", "stroke"), "long")).faults
    assert "missing" in words(open_linkage(REAR.without(("frame", "stroke"))))


def test_keys_are_unique_and_every_one_can_be_pressed_anywhere() -> None:
    for typing in (False, True):
        for page in KEYMAP.pages:
            keys = [
                key
                for action in KEYMAP.actions
                if action.typing is typing and page in (action.pages or KEYMAP.pages)
                for key in action.keys
            ]
            assert len(keys) == len(set(keys))
    assert KEYMAP.key_line(START)[0].id == "adopt"
    assert [action.id for action in KEYMAP.key_line(press(START, "5"))][:3] == ["commit", "adopt", "restore"]


PRESSES = st.lists(
    st.sampled_from(
        [
            *(key for action in KEYMAP.actions for key in action.keys),
            *(f":{action.id}" for action in KEYMAP.actions if action.step and not action.typing),
            *"0123456789.,-abcefxyz",
        ]
    ),
    max_size=25,
)


@settings(max_examples=cases(60))
@given(PRESSES, st.sampled_from(EXAMPLES))
def test_any_keys_leave_a_state_that_is_whole_and_undo_leads_home(keys: list[str], example: Example) -> None:
    start = open_linkage(acts.take_example(START, example).job)
    state = press(start, *keys)
    assert state.part in state.parts
    assert state.row < max(state.rows(state.part), 1)
    assert 0 <= state.cursor <= STEPS
    assert sketch_of(state.job) == state.sketch
    assert open_linkage(state.job).faults == state.faults
    assert state.faults or not state.is_outdated
    state = edit.commit(state)
    while state.history.past:
        state = edit.undo(state)
    assert state.job == start.job
    assert isinstance(state.job, Job)
    assert state.job.get((*LEVERAGE, "kind")) == "linkage"


def drawn(state: LinkageState) -> str:
    return "\n".join("".join(text for text, _ in line) for line in tables(state, 60, UTF8).lines)


def with_front_axle(state: LinkageState) -> LinkageState:
    """Return the state with a front axle level with the rear one, which no bar holds."""
    axle = state.sketch.points[state.sketch.names.index(state.sketch.axle)]
    assert isinstance(axle.x, int | float)
    added = Point("front axle", axle.x + 1200, axle.y)
    sketch = replace(state.sketch, points=(*state.sketch.points, added), level=(axle.name, "front axle"))
    return with_edited_sketch(state, sketch)


def askew(sketch: Sketch, degrees: float) -> Sketch:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    turned = []
    for point in sketch.points:
        x, y = float(str(point.x)), float(str(point.y))
        turned.append(point._replace(x=c * x - s * y, y=s * x + c * y))
    return replace(sketch, points=tuple(turned))


def test_two_points_that_lie_level_turn_a_tilted_photo() -> None:
    level = with_front_axle(press(START, ":points_unit"))
    assert not level.faults
    assert level.answer is not None
    assert level.sketch.off_level == pytest.approx(0.0)
    seen = with_edited_sketch(level, askew(level.sketch, 9.0))
    assert not seen.faults
    assert seen.answer is not None
    assert seen.answer.motion.ratio == pytest.approx(level.answer.motion.ratio, rel=1e-7)
    assert "9.0 deg" in drawn(seen)
    # Millimetres are level as they come.
    flat = press(seen, ":points_unit")
    assert flat.sketch.level is None
    assert flat.sketch.known is None
    places = flat.sketch.places
    assert places["front axle"][1] == pytest.approx(places[flat.sketch.axle][1], abs=0.11)
    assert press(seen, ":level_points").sketch.level is None
    assert press(seen, ":level_points", "u").sketch.level == seen.sketch.level


def test_level_points_are_chosen_renamed_and_gone_with_their_point() -> None:
    state = press(START, ":level_points")
    assert state.part is Part.LEVEL
    assert "are level" in state.note
    assert state.sketch.level is not None
    assert "LEVEL" in drawn(state)
    first, second = state.sketch.level
    index = state.sketch.names.index(second)
    renamed = press(at(state, Part.POINTS, index, NAME), "enter", "ctrl+u", *"hub", "enter")
    assert renamed.sketch.level == (first, "hub")
    assert press(at(state, Part.POINTS, index, X), ":remove_point").sketch.level is None
    turned = press(at(state, Part.LEVEL, 0, 1), "enter")
    assert turned.sketch.level is not None
    assert turned.sketch.level[0] == first
    assert turned.sketch.level[1] not in (first, second)
    places = START.sketch.places
    pairs = [(a, b) for a in places for b in places if a != b]
    steep = max(pairs, key=lambda pair: abs(replace(START.sketch, level=pair).off_level))
    wrong = with_edited_sketch(state, replace(state.sketch, level=steep))
    assert (Part.LEVEL, 0) in faulty_rows(wrong)
    assert "degrees off level" in words(wrong)
    lonely = with_points(1)
    assert "Level needs two points" in press(lonely, ":level_points").note


def test_two_points_are_enough_to_be_level() -> None:
    two = with_points(2)
    level = press(at(two, Part.POINTS, 1, X), ":level_points")
    assert level.sketch.level == ("frame", "main")
    assert spot_of(level) == (Part.LEVEL, 0, 1)


def test_tab_leads_to_the_first_row_of_each_part_in_the_column_there_is() -> None:
    narrow = at(press(START, ":points_unit", ":level_points"), Part.POINTS, 3, WHAT)
    seen = [narrow]
    for _ in range(5):
        seen.append(press(seen[-1], "tab"))
    assert [spot_of(state) for state in seen[1:]] == [
        (Part.BARS, 0, 1),
        (Part.KNOWN, 0, 1),
        (Part.LEVEL, 0, 1),
        (Part.DRAWING, 0, 0),
        (Part.POINTS, 0, NAME),
    ]
    assert spot_of(press(seen[4], "escape")) == (Part.DRAWING, 0, 0)  # which the screen acts on
    assert spot_of(acts.step_back(seen[4])) == (Part.LEVEL, 0, 1)
    assert spot_of(press(seen[-1], "shift+tab")) == (Part.DRAWING, 0, 0)


def test_two_points_are_enough_for_a_bar_and_the_cursor_goes_to_its_other_end() -> None:
    two = with_points(2)
    barred = press(at(two, Part.POINTS, 0, X), ":add_bar")
    assert barred.sketch.bars == (("main", "frame"),)
    assert spot_of(barred) == (Part.BARS, 0, 1)


def test_the_known_length_is_nudged_and_stays_above_nothing() -> None:
    pixels = at(press(START, ":points_unit"), Part.KNOWN, 0, 2)
    assert cell(press(pixels, "+")) == "231.0 mm"
    assert cell(press(pixels, "-")) == "230.0 mm"  # opens the cell for typing
    assert cell(press(pixels, "_")) == "229.0 mm"
    short = press(pixels, "2", "enter")
    assert cell(press(short, "_")) == "1 mm"
    assert cell(press(short, "_", "_")) == "1 mm"


def test_a_row_that_is_not_there_is_the_nearest_one() -> None:
    assert spot_of(with_cursor(START, Part.BARS, 99, 99)) == (Part.BARS, 2, 1)
    assert spot_of(with_cursor(START, Part.POINTS, -1, -1)) == (Part.POINTS, 0, NAME)


def test_a_row_past_the_last_bar_holds_nothing_to_choose_or_to_type_into() -> None:
    barless = with_bars()
    there = with_cursor(barless, Part.BARS, 0, 0)
    assert there.part is Part.BARS
    assert not acts.is_choice_cell(there)
    assert type_text(there, "5").edit is None


def test_a_fault_of_a_bar_is_marked_at_that_bar_and_one_of_no_bar_nowhere() -> None:
    def marked(*rest: str | int) -> frozenset[tuple[Part, int]]:
        return faulty_rows(replace(START, faults=(JobFault((*LEVERAGE, *rest), "wrong", "another"),)))

    last = len(START.sketch.bars) - 1
    assert marked("bars", 0) == {(Part.BARS, 0)}
    assert marked("bars", last, 1) == {(Part.BARS, last)}
    assert marked("bars", last + 1) == frozenset()
    assert marked("points_mm", "axle") == {(Part.POINTS, START.sketch.names.index("axle"))}
    assert marked("points_mm", "nobody") == frozenset()


def told(state: LinkageState) -> tuple[str, bool]:
    """Return what a state says, and whether its linkage is that of the start."""
    return state.note, state.sketch == START.sketch


POINTLESS = with_edited_sketch(START, Sketch((), (), "", ("", "")))
ONE = with_edited_sketch(START, Sketch((Point("main", 0, 0),), (), "", ("", "")))


def test_the_screen_opens_on_the_x_of_the_first_point_that_is_not_the_origin_at_full_extension() -> None:
    opened = open_linkage(REAR)
    assert opened.sketch == opened.invented == EXAMPLES[0].sketch()
    assert spot_of(opened) == (Part.POINTS, 1, X)
    assert (opened.row, opened.column, opened.cursor, opened.note) == (1, 1, 0, "")
    assert (opened.sketch.points[0].x, opened.sketch.points[0].y) == (0, 0)
    assert opened.edit is None
    assert opened.units is USUAL
    assert open_linkage(REAR, METRIC).units is METRIC
    assert (opened.is_outdated, opened.changed, opened.history.past) == (False, False, ())
    assert opened.start == REAR
    assert opened.job != REAR
    assert opened.job.is_unconfirmed((*LEVERAGE, "points_mm"))


def test_there_is_something_to_adopt_once_the_linkage_is_another_than_the_bench_and_the_example_have() -> (
    None
):
    nudged = press(at(START, Part.POINTS, 0, X), "+")
    assert nudged.changed
    assert not press(nudged, "_").changed
    own = open_linkage(nudged.job)
    assert not own.changed
    assert press(at(own, Part.POINTS, 0, X), "+").changed


def test_parts_are_those_that_there_are_and_each_has_its_rows_and_columns() -> None:
    everything = press(at(START, Part.POINTS, 0, X), ":points_unit", ":level_points")
    assert everything.parts == tuple(Part)
    assert press(START, ":points_unit").parts == (Part.POINTS, Part.BARS, Part.KNOWN, Part.DRAWING)
    assert press(START, ":level_points").parts == (Part.POINTS, Part.BARS, Part.LEVEL, Part.DRAWING)
    assert START.parts == (Part.POINTS, Part.BARS, Part.DRAWING)
    assert {part: everything.rows(part) for part in Part} == {
        Part.POINTS: 4, Part.BARS: 3, Part.KNOWN: 1, Part.LEVEL: 1, Part.DRAWING: 1,
    }  # fmt: skip
    corners = {part: spot_of(with_cursor(everything, part, 99, 99)) for part in Part}
    assert corners == {
        Part.POINTS: (Part.POINTS, 3, 3),
        Part.BARS: (Part.BARS, 2, 1),
        Part.KNOWN: (Part.KNOWN, 0, 2),
        Part.LEVEL: (Part.LEVEL, 0, 1),
        Part.DRAWING: (Part.DRAWING, 0, 0),
    }
    # The cursor of a part that is gone goes to the points.
    assert spot_of(with_cursor(START, Part.LEVEL, 0, 1)) == (Part.POINTS, 0, X)
    assert spot_of(with_cursor(POINTLESS, Part.POINTS, 5, 2)) == (Part.POINTS, 0, Y)


def test_a_cell_takes_a_number_or_a_choice_or_a_name() -> None:
    everything = press(at(START, Part.POINTS, 0, X), ":points_unit", ":level_points")
    kinds = {
        (part, column): (acts.is_number_cell(there), acts.is_choice_cell(there))
        for part in Part
        for column in range(acts.COLUMNS[part])
        for there in [with_cursor(everything, part, 0, column)]
    }
    number, choice, neither = (True, False), (False, True), (False, False)
    assert kinds == {
        (Part.POINTS, 0): neither, (Part.POINTS, 1): number, (Part.POINTS, 2): number,
        (Part.POINTS, 3): choice, (Part.BARS, 0): choice, (Part.BARS, 1): choice,
        (Part.KNOWN, 0): choice, (Part.KNOWN, 1): choice, (Part.KNOWN, 2): number,
        (Part.LEVEL, 0): choice, (Part.LEVEL, 1): choice, (Part.DRAWING, 0): neither,
    }  # fmt: skip
    for part, column in ((Part.POINTS, X), (Part.POINTS, WHAT), (Part.POINTS, NAME)):
        empty = replace(POINTLESS, part=part, column=column)
        assert (acts.is_number_cell(empty), acts.is_choice_cell(empty)) == neither
        assert acts.open_edit(empty) is empty
        assert acts.nudge(empty, 1) is empty
        assert type_text(empty, "5").edit is None


def test_what_every_cell_shows() -> None:
    everything = press(at(START, Part.POINTS, 0, X), ":points_unit", ":level_points")
    assert [cell_text(everything.sketch, (Part.POINTS, 1, column)) for column in range(4)] == [
        "frame", "131.0", "-198.0", "fixed eye",
    ]  # fmt: skip
    assert [cell_text(everything.sketch, (Part.BARS, 1, column)) for column in range(2)] == ["axle", "eye"]
    assert [cell_text(everything.sketch, (Part.KNOWN, 0, column)) for column in range(3)] == [
        "eye", "frame", "230.0 mm",
    ]  # fmt: skip
    assert [cell_text(everything.sketch, (Part.LEVEL, 0, column)) for column in range(2)] == ["main", "axle"]
    for part in (Part.KNOWN, Part.LEVEL, Part.DRAWING):
        assert cell_text(START.sketch, (part, 0, 0)) == ""


def test_what_a_point_is_in_words() -> None:
    sketch = START.sketch
    assert [acts.point_kind(sketch, row) for row in range(4)] == ["fixed", "fixed eye", "axle", "eye"]
    plain = replace(sketch, axle="", shock=("", ""))
    assert [acts.point_kind(plain, row) for row in range(4)] == ["fixed", "fixed", "pivot", "pivot"]
    both = replace(sketch, axle="main", shock=("main", "frame"))
    assert acts.point_kind(both, 0) == "fixed axle eye"


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("-425.5", -425.5),
        ("425,5", 425.5),
        ("40", 40),
        ("40.0", 40),
        ("40 mm", 40),
        ("40 px", "40 px"),
        ("40 in", 1016.0),
        ("4,5 cm", 45.0),
        ("1/2 in", 12.7),
        ("1 1/2", 1.5),
        ("1.5/2 in", "1.5/2 in"),
        ("left", "left"),
        (" 7\x07 ", 7),
        ("999999999", 999999999),
        ("-999999999", -999999999),
        ("1000000000", 1e9),
        ("0.5", 0.5),
    ],
)
def test_a_coordinate_is_a_whole_or_a_broken_number_or_what_was_typed(typed: str, value: object) -> None:
    for column in (X, Y):
        taken = acts.sketch_with_typed(at(START, Part.POINTS, 2, column), typed)
        assert isinstance(taken, Sketch)
        before = START.sketch.points[2]
        after = before._replace(x=value) if column == X else before._replace(y=value)
        assert taken == replace(
            START.sketch, points=(*START.sketch.points[:2], after, START.sketch.points[3])
        )
        assert type(taken.points[2][column]) is type(value)


@pytest.mark.parametrize(
    ("typed", "length"),
    [("115", "115 mm"), ("115 mm", "115 mm"), ("4.5 in", "4.5 in"), ("long", "long"), ("", "")],
)
def test_a_known_length_is_in_mm_unless_its_unit_is_typed(typed: str, length: str) -> None:
    pixels = at(press(START, ":points_unit"), Part.KNOWN, 0, 2)
    taken = acts.sketch_with_typed(pixels, typed)
    assert isinstance(taken, Sketch)
    assert taken == replace(pixels.sketch, known=Known("eye", "frame", length))


def test_a_name_is_refused_where_it_is_empty_or_of_another_point_and_stays_its_own() -> None:
    for row, others in ((0, ("frame", "eye")), (1, ("main", "axle")), (3, ("main", "axle"))):
        there = at(START, Part.POINTS, row, NAME)
        assert acts.sketch_with_typed(there, "  ") == "A point needs a name."
        for name in others:
            said = f"{name}: a point has that name already."
            assert acts.sketch_with_typed(there, name) == said
        assert acts.sketch_with_typed(there, START.sketch.names[row]) == START.sketch
    refused = press(at(START, Part.POINTS, 0, NAME), "enter", "ctrl+u", "enter")
    assert told(refused) == ("A point needs a name.", True)
    assert refused.edit is None


@pytest.mark.parametrize(
    ("length", "steps", "after"),
    [
        ("230.0 mm", 1, "231.0 mm"), ("2 mm", -1, "1 mm"), ("1 mm", -1, None), ("1.5 mm", -1, "0.5 mm"),
        ("1 mm", -2, None), ("9 in", 10, "19 in"), ("7", 1, "8"), ("long", 1, None), ("", -1, None),
    ],
)  # fmt: skip
def test_a_known_length_moves_by_its_unit_and_stays_above_nothing(
    length: str, steps: int, after: str | None
) -> None:
    pixels = press(START, ":points_unit").sketch
    state = with_edited_sketch(START, replace(pixels, known=Known("eye", "frame", length)))
    moved = acts.sketch_with_nudged(at(state, Part.KNOWN, 0, 2), steps)
    assert (moved and moved.known) == (None if after is None else Known("eye", "frame", after))


@pytest.mark.parametrize(
    ("raw", "steps", "after"),
    [
        (3, 1, 4),
        (3, -10, -7),
        (2.5, 1, 3.5),
        (0.1, 1, 1.1),
        ("x", 1, None),
        (True, 1, None),
        (math.inf, 1, None),
    ],
)
def test_a_coordinate_moves_by_whole_steps_and_stays_whole_or_broken(
    raw: object, steps: int, after: float | None
) -> None:
    point = Point("main", raw, raw)
    state = with_edited_sketch(START, replace(START.sketch, points=(point, *START.sketch.points[1:])))
    for column in (X, Y):
        moved = acts.sketch_with_nudged(at(state, Part.POINTS, 0, column), steps)
        if after is None:
            assert moved is None
            continue
        assert moved is not None
        assert (moved.points[0][column], moved.points[0][3 - column]) == (after, raw)
        assert type(moved.points[0][column]) is type(raw)


def test_where_there_is_no_number_to_move_it_is_told() -> None:
    note = "No number to step here: Enter opens it."
    assert acts.nudge(at(START, Part.POINTS, 2, NAME), 1) == replace(
        at(START, Part.POINTS, 2, NAME), note=note
    )
    unread = press(at(START, Part.POINTS, 2, X), *"4", "o", "enter")
    assert acts.nudge(unread, 1) == replace(unread, note=note)


def test_choices_go_one_on_or_back_whatever_the_number_of_steps_and_never_to_the_other_end() -> None:
    names = START.sketch.names
    assert names == ("main", "frame", "axle", "eye")
    ends = {
        (column, steps): acts.nudge(at(START, Part.BARS, 0, column), steps).sketch.bars[0]
        for column in (0, 1)
        for steps in (-10, -1, 1, 10)
    }
    assert START.sketch.bars[0] == ("main", "axle")
    assert ends == {
        (0, -10): ("eye", "axle"), (0, -1): ("eye", "axle"), (0, 1): ("frame", "axle"),
        (0, 10): ("frame", "axle"), (1, -10): ("main", "frame"), (1, -1): ("main", "frame"),
        (1, 1): ("main", "eye"), (1, 10): ("main", "eye"),
    }  # fmt: skip
    # Past the point at the other end.
    assert acts.nudge(at(START, Part.BARS, 1, 0), 1).sketch.bars[1] == ("main", "eye")
    assert acts.nudge(at(START, Part.BARS, 1, 1), -1).sketch.bars[1] == ("axle", "frame")
    others = acts.nudge(at(START, Part.BARS, 1, 1), 1).sketch.bars
    assert others == (START.sketch.bars[0], ("axle", "main"), START.sketch.bars[2])


def test_the_known_length_and_the_level_line_go_through_the_points() -> None:
    pixels = press(START, ":points_unit")
    for column, steps, known in (
        (0, 1, ("main", "frame")),
        (0, -1, ("axle", "frame")),
        (1, 1, ("eye", "axle")),
    ):
        after = acts.nudge(at(pixels, Part.KNOWN, 0, column), steps).sketch.known
        assert after == Known(*known, "230.0 mm")
    level = press(at(START, Part.POINTS, 0, X), ":level_points")
    assert level.sketch.level == ("main", "axle")
    for column, steps, line in ((0, 1, ("frame", "axle")), (1, 1, ("main", "eye")), (0, -1, ("eye", "axle"))):
        assert acts.nudge(at(level, Part.LEVEL, 0, column), steps).sketch.level == line
    assert acts.nudge(at(START, Part.POINTS, 2, WHAT), -1).sketch.points[2].fixed
    assert not acts.nudge(at(START, Part.POINTS, 0, WHAT), 1).sketch.points[0].fixed


def test_the_next_name_goes_round_and_a_name_that_is_none_starts_at_the_first() -> None:
    sketch = START.sketch
    assert [acts.next_name(sketch, "eye", steps) for steps in (1, 2, -1, 4)] == [
        "main",
        "frame",
        "axle",
        "eye",
    ]
    assert [acts.next_name(sketch, "nobody", steps) for steps in (1, -1)] == ["main", "main"]
    assert acts.next_name(POINTLESS.sketch, "nobody", 1) == "nobody"


def test_faults_are_marked_at_the_row_of_each_part_that_there_is() -> None:
    def marked(state: LinkageState, *path: str | int) -> frozenset[tuple[Part, int]]:
        return faulty_rows(replace(state, faults=(JobFault(path, "wrong", "another"),)))

    everything = press(at(START, Part.POINTS, 0, X), ":points_unit", ":level_points")
    assert marked(everything, *LEVERAGE, "known", "length") == {(Part.KNOWN, 0)}
    assert marked(everything, *LEVERAGE, "level") == {(Part.LEVEL, 0)}
    assert marked(everything, *LEVERAGE, "points_px", "eye", 1) == {(Part.POINTS, 3)}
    for gone in ("known", "level", "fixed"):
        assert marked(START, *LEVERAGE, gone) == frozenset()
    for elsewhere in (("frame", "stroke"), ("frame",), ("setup", 0, "bars"), ("bars", 0)):
        assert marked(everything, *elsewhere) == frozenset()


def test_rows_are_gone_over_one_after_another_and_stop_at_the_ends() -> None:
    everything = press(at(START, Part.POINTS, 0, X), ":points_unit", ":level_points")
    places = [(Part.POINTS, n) for n in range(4)] + [(Part.BARS, n) for n in range(3)]
    places += [(Part.KNOWN, 0), (Part.LEVEL, 0)]
    state = at(everything, Part.POINTS, 0, 1)
    for place in places:
        assert (state.part, state.row) == place
        before, state = state, acts.move_by_rows(state, 1)
    assert (state.part, state.row) == places[-1]
    assert spot_of(acts.move_by_rows(before, -2)) == (Part.BARS, 2, 1)
    assert spot_of(acts.move_by_rows(state, -99)) == (Part.POINTS, 0, 1)
    assert spot_of(acts.move_by_rows(at(everything, Part.POINTS, 2, 1), 3)) == (Part.BARS, 1, 1)
    drawing = at(START, Part.DRAWING, 0, 0)
    assert acts.move_by_rows(drawing, 1) is drawing
    assert spot_of(acts.move_by_rows(at(with_bars(), Part.POINTS, 3, 1), 1)) == (Part.POINTS, 3, 1)


def test_columns_stop_at_the_ends_and_parts_go_round() -> None:
    there = at(START, Part.POINTS, 2, X)
    assert [acts.move_by_columns(there, n).column for n in (-2, -1, 1, 2, 9)] == [0, 0, 2, 3, 3]
    assert acts.move_by_columns(there, 1).row == 2
    assert spot_of(acts.move_by_parts(there, 1)) == (Part.BARS, 0, 1)
    assert spot_of(acts.move_by_parts(there, -1)) == (Part.DRAWING, 0, 0)
    assert spot_of(acts.move_by_parts(there, -2)) == (Part.BARS, 0, 1)
    assert spot_of(acts.move_by_parts(there, 3)) == (Part.POINTS, 0, X)
    typing = type_text(there, "7")
    for moved in (
        acts.move_by_rows(typing, 1), acts.move_by_columns(typing, 1), acts.move_by_parts(typing, 1),
    ):  # fmt: skip
        assert (moved.sketch.points[2].x, moved.edit) == (7, None)


def test_a_name_is_opened_for_typing_from_any_cell_of_its_point_alone() -> None:
    opened = acts.rename_point(at(START, Part.POINTS, 2, Y))
    assert (opened.column, opened.edit) == (NAME, Edit("axle", 4, "axle"))
    for state in (at(START, Part.BARS, 0, 0), POINTLESS):
        assert acts.rename_point(state) == replace(state, note="Only points have names: Tab goes to them.")


def test_typing_keys_work_on_the_open_value_and_open_a_closed_one_empty() -> None:
    there = at(START, Part.POINTS, 2, X)
    opened = acts.open_edit(there)
    assert opened.edit == Edit("-430.1", 6, "-430.1")
    assert move_caret(opened, -2).edit == Edit("-430.1", 4, "-430.1")
    assert rub_out(opened).edit == Edit("-430.", 5, "-430.1")
    assert rub_out_ahead(move_caret(opened, -1)).edit == Edit("-430.", 5, "-430.1")
    assert empty_edit(opened).edit == Edit("", 0, "-430.1")
    for step in (rub_out, rub_out_ahead, empty_edit):
        assert step(there).edit == Edit("", 0)
    assert acts.commit(there) is there
    assert acts.commit(opened) == there
    assert acts.open_edit(at(START, Part.BARS, 0, 1)).sketch.bars[0] == ("main", "eye")


def test_a_point_is_put_in_beside_the_selected_one_and_its_name_selected() -> None:
    added = acts.add_point(at(START, Part.POINTS, 1, X))
    assert added.sketch.points[-1] == Point("point 1", 161.0, 228.0)
    assert spot_of(added) == (Part.POINTS, 4, NAME)
    from_bars = acts.add_point(at(START, Part.BARS, 1, 0))
    assert from_bars.sketch.points[-1] == Point("point 1", 30.0, 30.0)
    first = acts.add_point(POINTLESS)
    assert (first.sketch.names, spot_of(first)) == (("point 1",), (Part.POINTS, 0, NAME))


def test_a_bar_starts_at_the_selected_point_else_at_the_first_and_says_where_there_is_none_to_add() -> None:
    assert acts.add_bar(at(START, Part.POINTS, 1, X)).sketch.bars[-1] == ("frame", "axle")
    from_bars = acts.add_bar(at(START, Part.BARS, 1, 0))
    assert from_bars.sketch.bars == (*START.sketch.bars, ("main", "frame"))
    assert spot_of(from_bars) == (Part.BARS, 3, 1)
    for few in (POINTLESS, ONE):
        assert acts.add_bar(few) == replace(few, note="A bar needs two points: Space, then p, adds one.")
    full = at(from_bars, Part.POINTS, 0, X)
    assert acts.add_bar(full) == replace(full, note="main has a bar to every other point already.")


def test_only_a_selected_point_or_bar_is_taken_out() -> None:
    assert acts.remove_selected(at(START, Part.POINTS, 0, X)).sketch.names == ("frame", "axle", "eye")
    assert acts.remove_selected(at(START, Part.BARS, 1, 0)).sketch.bars == (
        ("main", "axle"), ("eye", "main"),
    )  # fmt: skip
    note = "Only points and bars can be removed."
    everything = press(at(START, Part.POINTS, 0, X), ":points_unit", ":level_points")
    for state in (
        POINTLESS, at(with_bars(), Part.BARS, 0, 0), at(everything, Part.KNOWN, 0, 0),
        at(everything, Part.LEVEL, 0, 0), at(everything, Part.DRAWING, 0, 0),
    ):  # fmt: skip
        assert acts.remove_selected(state) == replace(state, note=note)


def test_an_example_starts_again_at_its_first_point_to_measure_and_at_full_extension() -> None:
    there = replace(at(START, Part.BARS, 2, 0), cursor=40)
    taken = acts.take_example(there, EXAMPLES[1])
    assert taken.note == "Invented example: four-bar, axle on the rear link."
    assert (spot_of(taken), taken.cursor) == ((Part.POINTS, 1, 0), 0)
    assert taken.sketch == taken.invented == EXAMPLES[1].sketch()
    assert taken.job.is_unconfirmed((*LEVERAGE, "points_mm"))
    short = open_linkage(REAR.with_value(("frame", "eye_to_eye"), "190 mm"))
    assert acts.take_example(short, EXAMPLES[1]).sketch == EXAMPLES[1].sketch(190.0)


def test_what_needs_a_point_says_so_without_one() -> None:
    note = "Select a point for that: Tab goes to the points."
    steps = (acts.switch_fixed, acts.put_axle_here, acts.put_eye_here)
    for state in (POINTLESS, at(START, Part.BARS, 0, 0)):
        for step in steps:
            assert step(state) == replace(state, note=note)
    there = at(START, Part.POINTS, 3, X)
    fixed, axle, eye = (step(there).sketch for step in steps)
    assert (fixed.points[3].fixed, axle.axle, eye.shock) == (True, "eye", ("eye", "frame"))
    typing = type_text(at(START, Part.POINTS, 2, X), "7")
    assert acts.put_axle_here(typing).sketch.points[2].x == 7


def test_pixels_and_millimetres_are_told_and_a_scale_that_is_not_known() -> None:
    pixels = acts.switch_units(START)
    told_pixels = "Pixels now, y down. Type the points as read off the photo, and the length you know."
    assert pixels.note == told_pixels
    assert pixels.sketch.points[1] == Point("frame", 131.0, -198.0, True)
    back = acts.switch_units(pixels)
    assert (back.note, back.sketch.known) == ("Millimetres now, y up.", None)
    wrong = press(at(pixels, Part.KNOWN, 0, 2), "enter", "ctrl+u", *"long", "enter")
    refused = "No scale yet: fix the marked values first."
    assert acts.switch_units(wrong) == replace(wrong, note=refused)


def test_the_level_line_is_told_where_it_comes_and_goes() -> None:
    level = acts.switch_level(at(START, Part.POINTS, 3, X))
    assert level.note == "Two points that are level: Enter goes to the next one."
    assert (level.sketch.level, spot_of(level)) == (("eye", "frame"), (Part.LEVEL, 0, 1))
    gone = acts.switch_level(level)
    assert (gone.note, gone.sketch.level) == ("Level points removed: the photo is used as typed.", None)
    from_bars = acts.switch_level(at(START, Part.BARS, 1, 0))
    assert from_bars.sketch.level == ("axle", "main")
    for few in (POINTLESS, ONE):
        assert acts.switch_level(few) == replace(few, note="Level needs two points: Space, then p, adds one.")


def test_the_stroke_is_read_by_hundredths_and_tenths() -> None:
    assert [acts.move_cursor(replace(START, cursor=50), n).cursor for n in (-60, -50, -1, 1, 50, 60)] == [
        0, 0, 49, 51, 100, 100,
    ]  # fmt: skip
    seen = {n: acts.cycle_cursor(replace(START, cursor=n)).cursor for n in (0, 9, 10, 99, 100)}
    assert seen == {0: 10, 9: 10, 10: 20, 99: 100, 100: 0}


def test_a_motion_is_kept_while_there_is_none_and_is_not_worked_out_again() -> None:
    assert acts.with_answer(START).answer is START.answer
    broken = with_bars(*START.sketch.bars[:2])
    assert broken.faults
    assert (broken.answer, broken.is_outdated) == (START.answer, True)
    undone = acts.undo(broken)
    assert (undone.answer, undone.faults, undone.is_outdated) == (START.answer, (), False)
    assert acts.redo(undone).faults == broken.faults
    # The faults of a linkage that moves all the same come with its motion.
    stretched = press(at(START, Part.POINTS, 1, X), ">", ">")
    assert stretched.answer is not None
    assert acts.with_answer(replace(stretched, faults=())).faults == stretched.answer.faults != ()


def test_letters_pick_what_a_point_is_and_which_point_an_end_is_at() -> None:
    there = at(START, Part.POINTS, 3, WHAT)
    assert press(there, "f").sketch.points[3].fixed
    assert not press(there, "f", "P").sketch.points[3].fixed
    assert press(there, "f", "f").sketch == press(there, "f").sketch
    assert press(there, "a").sketch.axle == "eye"
    assert press(at(START, Part.POINTS, 2, WHAT), "e").sketch.shock == ("frame", "axle")
    assert press(there, "k").note == "k does nothing here. / finds."
    bar = at(START, Part.BARS, 0, 1)
    assert (START.sketch.names, START.sketch.bars[0]) == (("main", "frame", "axle", "eye"), ("main", "axle"))
    assert press(bar, "b").sketch.bars[0] == ("main", "frame")
    assert press(bar, "D").sketch.bars[0] == ("main", "eye")
    refused = press(bar, "a")
    assert told(refused) == ("Both ends cannot be at one point.", True)
    assert press(bar, "e").note == "e does nothing here. / finds."
    pixels = press(at(START, Part.POINTS, 0, X), ":points_unit", ":level_points")
    assert press(at(pixels, Part.KNOWN, 0, 0), "a").sketch.known == Known("main", "frame", "230.0 mm")
    assert press(at(pixels, Part.LEVEL, 0, 1), "d").sketch.level == ("main", "eye")


def test_letters_on_a_name_that_stands_are_keys_and_enter_edits_it() -> None:
    name = at(press(at(START, Part.POINTS, 0, X), "+"), Part.POINTS, 0, NAME)
    kept = press(name, "h")
    assert kept.note == "name: Enter edits the text, Backspace clears it."
    assert kept.edit is None
    assert press(name, "u").sketch == START.sketch
    assert press(name, "enter", "2", "enter").sketch.names[0] == "main2"
    assert press(name, "backspace", *"hub", "enter").sketch.names[0] == "hub"


def test_no_letter_is_a_key_but_for_undo_zoom_and_leaving_and_none_is_told_apart_by_shift() -> None:
    keys = {key: action.id for action in KEYMAP.actions for key in action.keys if not action.typing}
    assert {key: id for key, id in keys.items() if len(key) == 1 and key.isalpha()} == {
        "u": "undo", "z": "zoom", "q": "leave",
    }  # fmt: skip
    for letter in "abcdefghijklmnoprtvwxyHL":
        assert press(START, letter) == replace(START, note=f"{letter} does nothing here. / finds.")
    assert press(START, "space") == START  # the menu, which the screen opens


def test_each_pane_has_its_own_arrows_and_says_whose_another_key_is() -> None:
    drawing = press(at(START, Part.BARS, 1, 0), "]")
    assert (drawing.part, drawing.shown_spot) == (Part.DRAWING, (Part.BARS, 1, 0))
    assert press(drawing, "right").cursor == 1
    assert press(drawing, "down") == replace(drawing, note="Down is for the tables: Esc goes back to them.")
    assert press(drawing, "5").note == "5 does nothing here. / finds."
    assert spot_of(press(drawing, "[")) == (Part.BARS, 1, 0)
    helped = replace(drawing, helps=True)
    assert press(helped, "right").cursor == 0
    back = acts.step_back(acts.step_back(replace(helped, zoom=True)))
    assert (back.helps, back.zoom, back.part) == (False, False, Part.DRAWING)
    assert spot_of(acts.step_back(back)) == (Part.BARS, 1, 0)
    assert acts.step_back(START) is START
    assert press(type_text(at(START, Part.POINTS, 2, X), "7"), ":zoom").sketch.points[2].x == 7


def place_of(state: LinkageState, row: int) -> tuple[object, object]:
    point = state.sketch.points[row]
    return point.x, point.y


def distance(state: LinkageState) -> float:
    first, second = (state.sketch.places[name] for name in state.sketch.shock)
    return math.dist(first, second)


def test_the_last_coordinate_follows_from_the_eye_to_eye_of_the_shock() -> None:
    state = press(START, *"130", "enter", *"200", "enter", *"-430", "enter", *"-15", "enter")
    assert spot_of(state) == (Part.POINTS, 3, Y)
    assert "x follows from the shock's eye to eye" in meaning_of(state)
    found = press(state, *"145", "enter")
    # The eye is behind the one on the frame, as in the example: 130 - sqrt(230**2 - 55**2).
    assert place_of(found, 3) == (-93.3, 145)
    assert distance(found) == pytest.approx(230.0, abs=0.05)
    assert found.note == "eye x -93.3 mm from the eye to eye of 230 mm; or type it."
    assert not found.faults
    # One edit: undo takes both numbers back. Another y, or another place of the frame, finds another x.
    assert place_of(press(found, "u"), 3) == place_of(START, 3)
    again = press(found, *"150", "enter")
    assert distance(again) == pytest.approx(230.0, abs=0.05)
    assert place_of(again, 3) != place_of(found, 3)
    frame = press(at(again, Part.POINTS, 1, X), *"140", "enter")
    assert distance(frame) == pytest.approx(230.0, abs=0.05)


def test_an_eye_in_front_of_the_other_is_found_on_that_side() -> None:
    state = press(START, *"-130", "enter", *"200", "enter", *"430", "enter", *"-15", "enter", *"145", "enter")
    assert place_of(state, 3) == (93.3, 145)


def test_a_coordinate_that_was_typed_is_left_alone() -> None:
    state = press(at(START, Part.POINTS, 3, X), *"-90", "enter", *"145", "enter")
    assert place_of(state, 3) == (-90, 145)
    assert state.placed == ""
    own = open_linkage(with_sketch(REAR, START.sketch))
    assert place_of(press(at(own, Part.POINTS, 3, Y), *"150", "enter"), 3) == (START.sketch.points[3].x, 150)
    unknown = open_linkage(REAR.taken_out(("frame", "eye_to_eye")))
    assert place_of(press(at(unknown, Part.POINTS, 3, Y), *"150", "enter"), 3)[1] == 150
    assert place_of(press(at(unknown, Part.POINTS, 3, Y), *"150", "enter"), 3)[0] == START.sketch.points[3].x


def test_an_eye_that_the_shock_does_not_reach_is_left_where_it_was() -> None:
    far = press(at(START, Part.POINTS, 3, Y), *"700", "enter")
    assert place_of(far, 3) == (START.sketch.points[3].x, 700)
    assert far.faults


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_example_has_its_eye_back_where_it_was_from_the_length_alone(example: Example) -> None:
    sketch = example.sketch()
    place = free_coordinate(sketch)
    assert place is not None
    row, column = place
    point = sketch.points[row]
    was = sketch.places[point.name][column - X]
    moved = point._replace(x=was + 20) if column == X else point._replace(y=was + 20)
    back = with_eye_placed(with_point(sketch, row, moved), sketch, 230.0)
    assert back.places[point.name][column - X] == pytest.approx(was, abs=0.15)


@pytest.mark.parametrize("typed", ["110 170", "110, 170", "110; 170", "110   170.0"])
def test_x_takes_both_coordinates_and_enter_goes_to_the_next_point(typed: str) -> None:
    state = at(START, Part.POINTS, 2, X)
    taken = press(state, *typed, "enter")
    assert place_of(taken, 2) == (110, 170)
    assert not any(path[0] is Part.POINTS for path in faulty_rows(taken))
    assert spot_of(taken)[:2] == (Part.POINTS, 3)
    # Both of the point whose x follows from the length: nothing is computed over them.
    both = press(at(START, Part.POINTS, 3, X), *"-90 145", "enter")
    assert place_of(both, 3) == (-90, 145)


def test_a_decimal_comma_is_one_number_and_a_message_does_not_refuse_units() -> None:
    taken = press(at(START, Part.POINTS, 2, X), *"110,5", "enter")
    assert place_of(taken, 2)[0] == 110.5
    wrong = press(at(START, Part.POINTS, 2, X), *"4o", "enter")
    told_there = text_of(why_lines(wrong, 200, UTF8))
    assert "use a number from -5000 to 5000" in told_there
    assert "no unit" not in told_there


def test_the_title_names_the_points_that_are_still_invented() -> None:
    def title(state: LinkageState) -> str:
        return text_of(title_line(state, "", 100, UTF8))

    assert "invented example, not in the job" in title(START)
    first = press(START, *"130 200", "enter")
    assert "C D still invented, not in the job" in title(first)
    second = press(first, *"-430 -15", "enter", *"-93 145", "enter")
    assert "still invented" not in title(second)
    assert "not in the job" in title(second)


def test_the_length_of_the_shock_drawn_stands_there_and_is_compared_with_that_of_the_job() -> None:
    assert "eye to eye" in " ".join(text_of(tables(START, 60, UTF8).lines).split())
    assert not why_lines(START, 200, UTF8)
    off = press(at(START, Part.POINTS, 3, X), "+", "+", "+", "+", "+")
    drawn_mm = distance(off)
    assert not off.faults
    assert f"{drawn_mm:.1f} mm" in text_of(tables(off, 60, UTF8).lines)
    told_there = text_of(why_lines(off, 200, UTF8))
    assert f"Eye to eye {drawn_mm:.1f} mm drawn, 230.0 mm in the job" in told_there
