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
from tui.kit.look import UTF8
from tui.linkage import state as acts
from tui.linkage import state as edit
from tui.linkage.keymap import KEYMAP
from tui.linkage.panes import tables
from tui.linkage.sketch import EXAMPLES, LEVERAGE, Example, Known, Point, Sketch, sketch_of
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

REAR = wheel_job(demo_job(), "rear")
START = open_linkage(REAR)
NAMES = {"+": "plus", "-": "minus", ">": "greater_than_sign", "<": "less_than_sign", "_": "underscore"}


def press(state: LinkageState, *keys: str) -> LinkageState:
    for key in keys:
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
    answer = acts.take_example(START, example).answer
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
    assert press(state, "tab", "tab").part is Part.POINTS
    assert press(replace(state, wide=False), "tab", "tab").part is Part.DRAWING


def test_digits_type_over_and_enter_takes_them() -> None:
    state = at(START, Part.POINTS, 2, X)
    open_edit = press(state, "-", "4", "2", "5", ",", "5")
    assert open_edit.edit is not None
    assert open_edit.edit.text == "-425,5"
    taken = press(open_edit, "enter")
    assert cell(taken) == "-425.5"
    assert not taken.is_outdated
    assert taken.answer is not START.answer
    assert cell(press(open_edit, "escape")) == "-430.1"
    assert cell(press(open_edit, "down", "up")) == "-425.5"


def test_enter_opens_a_value_with_the_caret_behind_it() -> None:
    state = press(at(START, Part.POINTS, 2, Y), "enter", "backspace", "backspace", "home", "delete", "enter")
    assert cell(state) == "15"
    unchanged = press(at(START, Part.POINTS, 2, Y), "enter", "enter")
    assert unchanged.history is START.history


def test_nudges_move_by_one_and_ten() -> None:
    state = at(START, Part.POINTS, 2, Y)
    assert cell(press(state, "+")) == "-14.0"
    assert cell(press(state, "_")) == "-16.0"
    assert cell(press(state, ">")) == "-5.0"
    assert cell(press(state, "<")) == "-25.0"
    assert press(at(START, Part.POINTS, 2, NAME), "+").note.startswith("No number")


def test_names_are_typed_and_two_points_never_share_one() -> None:
    state = press(at(START, Part.POINTS, 2, X), "r", "ctrl+u", *"rear axle", "enter")
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
    state = press(at(START, Part.BARS, 1, 0), "x")
    assert len(state.sketch.bars) == 2
    assert state.is_outdated
    assert "too few bars" in words(state)
    back = press(state, "u")
    assert not back.is_outdated
    assert press(back, "ctrl+r").sketch == state.sketch


def test_a_point_and_bars_are_built_key_by_key() -> None:
    state = press(at(START, Part.POINTS, 3, X), "p")
    assert spot_of(state) == (Part.POINTS, 4, NAME)
    assert "point 1" in words(state)
    state = press(state, "b")
    assert state.sketch.bars[-1] == ("point 1", "main")
    assert spot_of(state) == (Part.BARS, 3, 1)
    state = press(state, "enter")
    assert state.sketch.bars[-1] == ("point 1", "frame")
    state = press(state, "+", "+")
    assert state.sketch.bars[-1] == ("point 1", "eye")
    state = press(at(state, Part.POINTS, 4, X), "b")
    state = press(state, "+", "+")
    assert state.sketch.bars[-1] == ("point 1", "axle")
    assert press(state, "-").sketch.bars[-1] == ("point 1", "frame")
    assert not state.faults
    assert press(at(state, Part.POINTS, 4, X), "x").sketch.bars == START.sketch.bars


def test_f_w_and_s_say_what_a_point_is() -> None:
    state = press(at(START, Part.POINTS, 0, X), "f")
    assert cell(at(state, Part.POINTS, 0, WHAT)) == "pivot"
    assert state.is_outdated
    state = press(at(START, Part.POINTS, 3, X), "w")
    assert cell(at(state, Part.POINTS, 3, WHAT)) == "axle eye"
    assert press(at(START, Part.POINTS, 2, X), "s").sketch.shock == ("frame", "axle")
    assert cell(press(at(START, Part.POINTS, 2, WHAT), "enter")) == "fixed axle"
    assert press(at(START, Part.BARS, 0, 0), "f").note.startswith("Select a point")


def test_pixels_and_back_leave_the_linkage_as_it_moves() -> None:
    pixels = press(START, "m")
    assert pixels.sketch.known == Known("eye", "frame", "230.0 mm")
    assert pixels.answer is not None
    assert START.answer is not None
    assert pixels.answer.motion.wheel[-1] == pytest.approx(START.answer.motion.wheel[-1], rel=2e-3)
    back = press(pixels, "m")
    assert back.sketch.known is None
    for name, place in START.sketch.places.items():
        assert back.sketch.places[name] == pytest.approx(place, abs=0.11)


def test_the_known_length_scales_what_is_typed_in_pixels() -> None:
    pixels = at(press(START, "m"), Part.KNOWN, 0, 2)
    halved = press(pixels, "1", "1", "5", "enter")
    assert halved.sketch.known is not None
    assert halved.sketch.known.length == "115 mm"
    assert "115.0 mm" in words(halved)  # half the shock that the job has
    assert halved.answer is not None
    assert not halved.is_outdated
    wrong = press(pixels, *"long", "enter")
    assert wrong.sketch.known == pixels.sketch.known  # letters are commands until Enter opens the cell
    wrong = press(pixels, "enter", "ctrl+u", *"long", "enter")
    assert (Part.KNOWN, 0) in faulty_rows(wrong)
    assert press(wrong, "m").note.startswith("The scale is not known")


def test_eyes_further_apart_than_the_shock_is_long_are_told_while_it_moves() -> None:
    state = press(at(START, Part.POINTS, 1, X), ">", ">")
    assert "eye" in words(state)
    assert not state.is_outdated


def test_the_cursor_cycles_through_the_stroke() -> None:
    state = START
    seen = []
    for _ in range(11):
        state = press(state, "c")
        seen.append(state.cursor)
    assert seen == [10, 20, 30, 40, 50, 60, 70, 80, 90, 100, 0]
    assert press(START, "l", "l").cursor == 2
    assert press(START, "L", "h").cursor == 9
    assert press(START, "H").cursor == 0
    assert press(replace(START, cursor=STEPS), "l").cursor == STEPS
    assert press(replace(START, cursor=13), "c").cursor == 20


def test_other_faults_of_the_job_do_not_stop_the_linkage() -> None:
    state = open_linkage(REAR.with_value(("target", "sag"), "lots"))
    assert not state.faults
    assert open_linkage(REAR.with_value(("frame", "stroke"), "long")).faults
    assert "missing" in words(open_linkage(REAR.without(("frame", "stroke"))))


def test_keys_are_unique_and_every_one_can_be_pressed_anywhere() -> None:
    for typing in (False, True):
        keys = [key for action in KEYMAP.actions if action.typing is typing for key in action.keys]
        assert len(keys) == len(set(keys))
    assert KEYMAP.key_line(START)[0].id == "adopt"
    assert [action.id for action in KEYMAP.key_line(press(START, "5"))][:2] == ["commit", "restore"]


PRESSES = st.lists(
    st.sampled_from([*(key for action in KEYMAP.actions for key in action.keys), *"0123456789.,-xyz"]),
    max_size=25,
)


@settings(max_examples=cases(60))
@given(PRESSES, st.sampled_from(EXAMPLES), st.booleans())
def test_any_keys_leave_a_state_that_is_whole_and_undo_leads_home(
    keys: list[str], example: Example, wide: bool
) -> None:
    start = open_linkage(acts.take_example(START, example).job)
    state = press(replace(start, wide=wide), *keys)
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
    level = with_front_axle(press(START, "m"))
    assert not level.faults
    assert level.answer is not None
    assert level.sketch.off_level == pytest.approx(0.0)
    seen = with_edited_sketch(level, askew(level.sketch, 9.0))
    assert not seen.faults
    assert seen.answer is not None
    assert seen.answer.motion.ratio == pytest.approx(level.answer.motion.ratio, rel=1e-7)
    assert "9.0 deg" in drawn(seen)
    # Millimetres are level as they come.
    flat = press(seen, "m")
    assert flat.sketch.level is None
    assert flat.sketch.known is None
    places = flat.sketch.places
    assert places["front axle"][1] == pytest.approx(places[flat.sketch.axle][1], abs=0.11)
    assert press(seen, "v").sketch.level is None
    assert press(seen, "v", "u").sketch.level == seen.sketch.level


def test_level_points_are_chosen_renamed_and_gone_with_their_point() -> None:
    state = press(START, "v")
    assert state.part is Part.LEVEL
    assert "lie level" in state.note
    assert state.sketch.level is not None
    assert "LEVEL" in drawn(state)
    first, second = state.sketch.level
    index = state.sketch.names.index(second)
    renamed = press(at(state, Part.POINTS, index, NAME), "enter", "ctrl+u", *"hub", "enter")
    assert renamed.sketch.level == (first, "hub")
    assert press(at(state, Part.POINTS, index, X), "x").sketch.level is None
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
    lonely = with_edited_sketch(START, replace(START.sketch, points=START.sketch.points[:1], bars=()))
    assert "Level needs two points" in press(lonely, "v").note


def test_two_points_are_enough_to_be_level() -> None:
    two = with_edited_sketch(START, replace(START.sketch, points=START.sketch.points[:2], bars=()))
    level = press(at(two, Part.POINTS, 1, X), "v")
    assert level.sketch.level == ("frame", "main")
    assert spot_of(level) == (Part.LEVEL, 0, 1)


def test_tab_leads_to_the_first_row_of_each_part_in_the_column_there_is() -> None:
    narrow = at(replace(press(START, "m", "v"), wide=False), Part.POINTS, 3, WHAT)
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
    assert spot_of(press(seen[-1], "shift+tab")) == (Part.DRAWING, 0, 0)


def test_two_points_are_enough_for_a_bar_and_the_cursor_goes_to_its_other_end() -> None:
    two = with_edited_sketch(START, replace(START.sketch, points=START.sketch.points[:2], bars=()))
    barred = press(at(two, Part.POINTS, 0, X), "b")
    assert barred.sketch.bars == (("main", "frame"),)
    assert spot_of(barred) == (Part.BARS, 0, 1)


def test_the_known_length_is_nudged_and_stays_above_nothing() -> None:
    pixels = at(press(START, "m"), Part.KNOWN, 0, 2)
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
    barless = with_edited_sketch(START, replace(START.sketch, bars=()))
    there = with_cursor(barless, Part.BARS, 0, 0)
    assert there.part is Part.BARS
    assert not acts.is_choice_cell(there)
    assert acts.type_text(there, "5").edit is None


def test_a_fault_of_a_bar_is_marked_at_that_bar_and_one_of_no_bar_nowhere() -> None:
    def marked(*rest: str | int) -> frozenset[tuple[Part, int]]:
        return faulty_rows(replace(START, faults=(JobFault((*LEVERAGE, *rest), "wrong", "another"),)))

    last = len(START.sketch.bars) - 1
    assert marked("bars", 0) == {(Part.BARS, 0)}
    assert marked("bars", last, 1) == {(Part.BARS, last)}
    assert marked("bars", last + 1) == frozenset()
    assert marked("points_mm", "axle") == {(Part.POINTS, START.sketch.names.index("axle"))}
    assert marked("points_mm", "nobody") == frozenset()
