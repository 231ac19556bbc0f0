"""The state of the linkage screen: the job with its linkage and history, cursor, edit, motion, faults.

Immutable and free of any screen, as the bench's own state is; every change of the job goes through
`with_sketch`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import field, replace
from decimal import Decimal
from enum import Enum
from functools import partial

from physics.frozen import dataclass
from tui.job.faults import JobFault, UnusableJob
from tui.job.job import History, Job
from tui.job.quantities import in_si, is_number, number, plain, split
from tui.job.tree import Raw, TreePath, clean
from tui.kit import edit as kit_edit
from tui.kit.edit import Edit
from tui.kit.finder import Finder, Item
from tui.linkage import sketch as change
from tui.linkage.sketch import EXAMPLES, USUAL_LENGTH, Example, Moved, Sketch, sketch_of, with_sketch
from tui.shop_units import USUAL, Measure, ShopUnits

STEPS = 100
"""Steps of the reading cursor from full extension to full stroke."""


class Part(Enum):
    """The tables of the screen, and the drawing."""

    POINTS = "points"
    BARS = "bars"
    KNOWN = "known length"
    LEVEL = "level"
    DRAWING = "drawing"


COLUMNS = {Part.POINTS: 4, Part.BARS: 2, Part.KNOWN: 3, Part.LEVEL: 2, Part.DRAWING: 1}
"""Columns of each part: name, x, y, what it is; from and to; from, to and length; from and to."""
NAME, X, Y, WHAT = range(4)
LENGTH = 2
Spot = tuple[Part, int, int]
"""A cell: its part, row and column."""


@dataclass(frozen=True, slots=True)
class LinkageState:
    """One state of the screen.

    `answer` is the last valid motion, `faults` say why there is none now; `cursor` is the position of the
    readout on the stroke, of `STEPS`. `start` is the job that the screen was opened on, `invented` the
    example used if it had no linkage, `placed` the coordinate of an eye last computed from the shock length,
    `resting` the cell that Escape returns to from the drawing. `zoom` gives the pane with the focus the whole
    screen; `menu` and `finder` replace the lines below when open; `elsewhere` are further items of the
    finder; `helps` shows the help instead of the drawing.
    """

    history: History
    start: Job
    sketch: Sketch
    invented: Sketch | None = None
    placed: Raw = ""
    part: Part = Part.POINTS
    row: int = 0
    column: int = X
    edit: Edit | None = None
    answer: Moved | None = None
    faults: tuple[JobFault, ...] = ()
    cursor: int = 0
    units: ShopUnits = field(default=USUAL)
    note: str = ""
    resting: Spot | None = None
    zoom: bool = False
    menu: str = ""
    finder: Finder | None = None
    elsewhere: tuple[Item, ...] = field(default=(), compare=False, repr=False)
    helps: bool = False

    @property
    def job(self) -> Job:
        """The job with the linkage as typed."""
        return self.history.job

    @property
    def shown_spot(self) -> Spot:
        """The selected cell; in the drawing, the one that Escape returns to."""
        if self.part is Part.DRAWING:
            return self.resting or (Part.POINTS, 0, X)
        return self.part, self.row, self.column

    @property
    def is_outdated(self) -> bool:
        """Whether the motion on the screen belongs to an older linkage."""
        return self.answer is not None and self.answer.job != self.job

    @property
    def takes_text(self) -> bool:
        """Whether the selected cell is typed into."""
        return _has_cell(self) and not is_choice_cell(self)

    @property
    def changed(self) -> bool:
        """Whether there are changes to adopt."""
        return self.job != self.start and self.sketch != self.invented

    @property
    def parts(self) -> tuple[Part, ...]:
        """The present parts, in Tab order."""
        known, level = self.sketch.known, self.sketch.level
        absent = {Part.KNOWN: known is None, Part.LEVEL: level is None}
        return tuple(part for part in Part if not absent.get(part))

    def rows(self, part: Part) -> int:
        """Return how many rows a part has."""
        return {Part.POINTS: len(self.sketch.points), Part.BARS: len(self.sketch.bars)}.get(part, 1)


def open_linkage(job: Job, units: ShopUnits = USUAL) -> LinkageState:
    """Return the screen on a job's linkage, or on an example to edit."""
    if (sketch := sketch_of(job)) is not None:
        return with_answer(LinkageState(History.starting_at(job), job, sketch, units=units))
    sketch = EXAMPLES[0].sketch(eye_to_eye(job))
    shown = with_sketch(job, sketch, invented=True)
    state = LinkageState(History.starting_at(shown), job, sketch, sketch, row=_first_row(sketch), units=units)
    return with_answer(state)


def _first_row(sketch: Sketch) -> int:
    """Return the row of the first point to measure, which is not the origin."""
    return next((row for row, point in enumerate(sketch.points) if (point.x, point.y) != (0, 0)), 0)


def eye_to_eye(job: Job) -> float:
    """Return the length of the job's shock [mm], by default the usual one."""
    length = typed_length(job, ("frame", "eye_to_eye"))
    return USUAL_LENGTH if length is None or length <= 0 else 1e3 * length


def eye_distances(state: LinkageState) -> tuple[float, float | None]:
    """Return the eye to eye as drawn and as typed in the job [m], None where it is unknown."""
    if state.answer is None or state.is_outdated:
        return math.nan, None
    return state.answer.eye_to_eye, typed_length(state.job, ("frame", "eye_to_eye"))


def typed_length(job: Job, path: TreePath) -> float | None:
    """Return a length of a job [m], None without one."""
    typed = job.get(path)
    return in_si(typed, Measure.TRAVEL) if isinstance(typed, str) else None


def with_cursor(state: LinkageState, part: Part, row: int, column: int) -> LinkageState:
    """Return the state with the cursor at a cell, clamped."""
    part = part if part in state.parts else Part.POINTS
    row = min(max(row, 0), max(state.rows(part) - 1, 0))
    return replace(state, part=part, row=row, column=min(max(column, 0), COLUMNS[part] - 1))


def with_edited_sketch(state: LinkageState, sketch: Sketch, *, invented: bool = False) -> LinkageState:
    """Return the state after an edit of the linkage: in the history, with its motion."""
    return with_history(state, state.history.then(with_sketch(state.job, sketch, invented=invented)))


def with_history(state: LinkageState, history: History) -> LinkageState:
    """Return the state on another linkage of its history, with its motion, the cursor kept if possible."""
    sketch = sketch_of(history.job)
    assert sketch is not None  # every job of this history was made with a sketch
    changed = replace(state, history=history, sketch=sketch)
    return with_answer(with_cursor(changed, state.part, state.row, state.column))


def with_answer(state: LinkageState) -> LinkageState:
    """Return the state with the motion of its linkage; if that fails, the last valid motion is kept."""
    try:
        kept = None if state.is_outdated else state.answer
        good = kept or change.move_linkage(state.job)
    except UnusableJob as unusable:
        return replace(state, faults=unusable.faults)
    return replace(state, answer=good, faults=good.faults)


def spot_of(state: LinkageState) -> Spot:
    """Return the selected cell."""
    return state.part, state.row, state.column


def is_number_cell(state: LinkageState) -> bool:
    """Return whether the selected cell takes a number: a coordinate or the known length."""
    numbers = {(Part.POINTS, X), (Part.POINTS, Y), (Part.KNOWN, LENGTH)}
    return _has_cell(state) and (state.part, state.column) in numbers


def is_choice_cell(state: LinkageState) -> bool:
    """Return whether the selected cell is a choice: what a point is, the ends of a bar."""
    is_name = (state.part, state.column) == (Part.POINTS, NAME)
    return _has_cell(state) and not is_name and not is_number_cell(state)


def _has_cell(state: LinkageState) -> bool:
    return state.part is not Part.DRAWING and state.row < state.rows(state.part)


def cell_text(sketch: Sketch, spot: Spot) -> str:
    """Return the text of a cell."""
    part, row, column = spot
    match part:
        case Part.POINTS:
            point = sketch.points[row]
            return (point.name, plain(point.x), plain(point.y), point_kind(sketch, row))[column]
        case Part.BARS:
            return sketch.bars[row][column]
        case Part.KNOWN if sketch.known is not None:
            return plain(sketch.known[column])
        case Part.LEVEL if sketch.level is not None:
            return sketch.level[column]
        case _:
            return ""


def point_kind(sketch: Sketch, row: int) -> str:
    """Return what a point is, in words."""
    point = sketch.points[row]
    roles = {"axle": point.name == sketch.axle, "eye": point.name in sketch.shock}
    kind = "fixed" if point.fixed else "" if any(roles.values()) else "pivot"
    return " ".join(filter(None, (kind, *(word for word, has in roles.items() if has))))


def sketch_with_typed(state: LinkageState, text: str) -> Sketch | str:
    """Return the sketch with text typed into the selected cell, or a sentence that says why it is invalid."""
    typed, sketch, row = clean(text).strip(), state.sketch, state.row
    parts = split(typed)
    if state.part is Part.KNOWN and sketch.known is not None:
        length = f"{parts[0]} mm" if parts is not None and not parts[1] else typed
        return replace(sketch, known=sketch.known._replace(length=length))
    if state.column == NAME:
        if not typed:
            return "A point needs a name."
        if typed in sketch.names[:row] + sketch.names[row + 1 :]:
            return f"{typed}: a point has that name already."
        return change.with_point_renamed(sketch, row, typed)
    if pair := _both_typed(state, typed):
        x, y = pair
        x_typed = sketch_with_typed(state, x)
        assert isinstance(x_typed, Sketch)  # only a name is refused
        return sketch_with_typed(replace(state, sketch=x_typed, column=Y), y)
    unit = unit_of(sketch)
    if parts is None or (parts[1] not in ("", unit) and unit == "px"):
        return _with_coordinate(state, typed)
    if parts[1] not in ("", unit):
        # The unit library knows pixels as a length on a screen, which is not meant here.
        metres = None if parts[1] == "px" else in_si(typed, Measure.TRAVEL)
        return _with_coordinate(state, typed if metres is None else round(1e3 * metres, 2) + 0.0)
    value = number(parts[0])
    is_whole = value == value.to_integral_value() and abs(value) < 1e9
    return _with_coordinate(state, int(value) if is_whole else float(value))


_BOTH = re.compile(r"([+-]?[\d.,]*\d)(?:,?\s+|\s*;\s*)([+-]?\d[\d.,]*)")


def _both_typed(state: LinkageState, typed: str) -> tuple[str, str] | None:
    """Return x and y typed together into the cell of x, None for anything else."""
    both = _BOTH.fullmatch(typed) if (state.part, state.column) == (Part.POINTS, X) else None
    return (both[1], both[2]) if both else None


def unit_of(sketch: Sketch) -> str:
    """Return the unit of the coordinates."""
    return "mm" if sketch.known is None else "px"


def _with_coordinate(state: LinkageState, value: Raw) -> Sketch:
    point = state.sketch.points[state.row]
    moved = point._replace(x=value) if state.column == X else point._replace(y=value)
    return change.with_point(state.sketch, state.row, moved)


def sketch_with_nudged(state: LinkageState, steps: int) -> Sketch | None:
    """Return the sketch with the selected number changed by mm or pixels, None without a number."""
    sketch = state.sketch
    if state.part is Part.KNOWN and sketch.known is not None:
        parts = split(sketch.known.length)
        if parts is None or number(parts[0]) + steps <= 0:
            return None
        length = f"{number(parts[0]) + steps:f} {parts[1]}".strip()
        return replace(sketch, known=sketch.known._replace(length=length))
    raw = sketch.points[state.row][state.column]
    if not is_number(raw) or not Decimal(repr(raw)).is_finite():
        return None
    value = Decimal(repr(raw)) + steps
    return _with_coordinate(state, int(value) if isinstance(raw, int) else float(value))


def sketch_with_next_option(state: LinkageState, steps: int) -> Sketch:
    """Return the sketch with the selected choice at its next option."""
    sketch, row, column = state.sketch, state.row, state.column
    if state.part is Part.POINTS:
        return change.with_fixed_switched(sketch, row)
    name = next_name(sketch, cell_text(sketch, spot_of(state)), steps)
    line = sketch.bars[row] if state.part is Part.BARS else sketch.level
    if state.part is not Part.KNOWN and line is not None and name == line[1 - column]:  # the other end
        name = next_name(sketch, name, steps)
    return _with_end(state, name)


def next_name(sketch: Sketch, name: str, steps: int) -> str:
    """Return the point name `steps` after another, wrapping around; the first for an unknown name."""
    names = sketch.names
    if name not in names:
        return names[0] if names else name
    return names[(names.index(name) + steps) % len(names)]


def faulty_rows(state: LinkageState) -> frozenset[tuple[Part, int]]:
    """Return the rows that the faults name."""
    sketch, found = state.sketch, set()
    for fault in state.faults:
        match fault.path:
            case ("frame", "leverage", "bars", int(index), *_):
                found.add((Part.BARS, index))
            case ("frame", "leverage", "points_mm" | "points_px", str(name), *_) if name in sketch.names:
                found.add((Part.POINTS, sketch.names.index(name)))
            case ("frame", "leverage", "known" | "level" as table, *_):
                found.add((Part.KNOWN if table == "known" else Part.LEVEL, 0))
    return frozenset(found & {(part, row) for part in state.parts for row in range(state.rows(part))})


def move_by_rows(state: LinkageState, steps: int) -> LinkageState:
    """Move the cursor up or down, across the tables."""
    state = commit(state)
    tables: list[Part] = [part for part in state.parts if part is not Part.DRAWING]
    places = [(part, row) for part in tables for row in range(state.rows(part))]
    if (state.part, state.row) not in places:
        return state
    index = min(max(places.index((state.part, state.row)) + steps, 0), len(places) - 1)
    return with_cursor(state, *places[index], state.column)


def move_by_columns(state: LinkageState, steps: int) -> LinkageState:
    """Move the cursor to the left or right in its row, stopping at the ends."""
    state = commit(state)
    return with_cursor(state, state.part, state.row, state.column + steps)


def move_by_parts(state: LinkageState, steps: int) -> LinkageState:
    """Go to the next part, wrapping around."""
    state = commit(state)
    parts = state.parts
    part = parts[(parts.index(state.part) + steps) % len(parts)]
    return show_drawing(state) if part is Part.DRAWING else with_cursor(state, part, 0, state.column)


def show_drawing(state: LinkageState) -> LinkageState:
    """Give the drawing the focus; Escape returns to the present cell."""
    state = commit(state)
    if state.part is Part.DRAWING:
        return replace(state, helps=False)
    return with_cursor(replace(state, helps=False, resting=spot_of(state)), Part.DRAWING, 0, 0)


def turn_view(state: LinkageState) -> LinkageState:
    """Go from the tables to the drawing, or back."""
    return leave_drawing(state) if state.part is Part.DRAWING else show_drawing(state)


def leave_drawing(state: LinkageState) -> LinkageState:
    """Go from the drawing back to the cell that had the focus."""
    return with_cursor(state, *(state.resting or (Part.POINTS, 0, X)))


def step_back(state: LinkageState) -> LinkageState:
    """Go one step back: from help, zoom or drawing; else return the same state."""
    if state.helps:
        return replace(state, helps=False)
    if state.zoom:
        return replace(state, zoom=False)
    return leave_drawing(state) if state.part is Part.DRAWING else state


def switch_zoom(state: LinkageState) -> LinkageState:
    """Give the pane with the focus the whole screen, or show both again."""
    return replace(commit(state), zoom=not state.zoom)


def switch_help(state: LinkageState) -> LinkageState:
    """Show the help instead of the drawing, or close it."""
    return replace(state, helps=not state.helps)


def open_edit(state: LinkageState) -> LinkageState:
    """Open the value for editing; a choice goes to its next option instead."""
    if not _has_cell(state):
        return state
    if is_choice_cell(state):
        return with_edited_sketch(state, sketch_with_next_option(state, 1))
    return replace(state, edit=Edit.opened_on(cell_text(state.sketch, spot_of(state))))


KINDS = {"f": "fixed", "p": "pivot", "a": "axle", "e": "eye"}
"""Kinds of points by the letter that selects them."""


def picked(state: LinkageState, letter: str) -> Sketch | None:
    """Return the sketch with the option of a letter in a choice cell, None without one.

    Kinds of points have fixed letters; points have their letters in the tables.
    """
    if not is_choice_cell(state):
        return None
    sketch, row, letter = state.sketch, state.row, letter.casefold()
    if state.part is Part.POINTS:
        if letter in ("f", "p"):
            fixed = letter == "f"
            return sketch if sketch.points[row].fixed is fixed else change.with_fixed_switched(sketch, row)
        step = {"a": change.with_axle, "e": change.with_eye}.get(letter)
        return None if step is None else step(sketch, row)
    place = ord(letter) - ord("a") if len(letter) == 1 else -1
    return _with_end(state, sketch.names[place]) if 0 <= place < min(len(sketch.names), 26) else None


def _with_end(state: LinkageState, name: str) -> Sketch:
    """Return the sketch with the selected end of a bar, the known length or the level line at a point."""
    sketch, row, column = state.sketch, state.row, state.column
    if state.part is Part.KNOWN:
        assert sketch.known is not None  # else there is no such part
        return replace(sketch, known=sketch.known._replace(**{"start" if column == 0 else "end": name}))
    line = sketch.bars[row] if state.part is Part.BARS else sketch.level
    assert line is not None
    line = change.with_end(line, column, name)
    return change.with_bars(sketch, row, line) if state.part is Part.BARS else replace(sketch, level=line)


def type_or_pick(state: LinkageState, text: str) -> LinkageState:
    """Type text over the cell or into the open value; on a choice a letter picks."""
    sketch = picked(state, text) if state.edit is None else None
    if sketch is None:
        return kit_edit.type_text(state, text)
    if state.part is not Part.POINTS and _is_pointless(state, sketch):
        return replace(state, note="Both ends cannot be at one point.")
    return with_edited_sketch(state, sketch)


def _is_pointless(state: LinkageState, sketch: Sketch) -> bool:
    """Return whether both ends of the selected bar or line are the same point."""
    known = sketch.known and (sketch.known.start, sketch.known.end)
    line = {Part.BARS: sketch.bars[state.row] if sketch.bars else None, Part.LEVEL: sketch.level}
    ends = known if state.part is Part.KNOWN else line[state.part]
    return ends is not None and ends[0] == ends[1]


def rename_point(state: LinkageState) -> LinkageState:
    """Open the name of the selected point."""
    if state.part is not Part.POINTS or not _has_cell(state):
        return replace(state, note="Only points have names: Tab goes to them.")
    return open_edit(replace(state, column=NAME))


def commit(state: LinkageState) -> LinkageState:
    """Put the typed text into the linkage, valid or not; an invalid name is refused."""
    if state.edit is None:
        return state
    edit, closed = state.edit, replace(state, edit=None)
    if edit.text == edit.before:
        return closed
    sketch = sketch_with_typed(closed, edit.text)
    if isinstance(sketch, str):
        return replace(closed, note=sketch)
    found = placed_by_length(closed)
    if found is not None and found[0] == state.row and _both_typed(closed, clean(edit.text).strip()):
        return with_edited_sketch(closed, sketch)  # nothing is left to follow from the length
    return _with_eye_placed(closed, sketch)


def invented_rows(state: LinkageState) -> tuple[int, ...]:
    """Return the points that are still where the invented example has them; the origin may be anywhere."""
    if state.invented is None or state.sketch.known is not None:
        return ()
    rows = zip(state.sketch.points, state.invented.points, strict=False)
    return tuple(
        row for row, (point, drawn) in enumerate(rows) if (point.x, point.y) == (drawn.x, drawn.y) != (0, 0)
    )


def placed_by_length(state: LinkageState) -> tuple[int, int] | None:
    """Return row and column of the coordinate that follows from the shock length, None without one.

    It follows as long as nobody has typed it, that is while it is from the example or from the last
    computation.
    """
    example, points = state.invented, state.sketch.points
    place = None if example is None else change.free_coordinate(example)
    length = typed_length(state.start, ("frame", "eye_to_eye"))
    if example is None or place is None or length is None or length <= 0 or place[0] >= len(points):
        return None
    row, column = place
    is_free = points[row][column] in (example.points[row][column], state.placed)
    return place if is_free and state.sketch.known is None else None


def _with_eye_placed(state: LinkageState, sketch: Sketch) -> LinkageState:
    """Return the state after an edit of the linkage, with the dependent coordinate updated."""
    place = placed_by_length(state)
    if state.part is not Part.POINTS or state.column not in (X, Y) or place is None or state.invented is None:
        return with_edited_sketch(state, sketch)
    (row, column), length = place, eye_to_eye(state.start)
    is_its_other = state.row == row and state.column != column
    if not is_its_other and (state.placed == "" or (state.row, state.column) == place):
        return with_edited_sketch(state, sketch)
    placed = change.with_eye_placed(sketch, state.invented, length)
    if placed == sketch:
        return with_edited_sketch(state, sketch)
    point, axis = placed.points[row], "xy"[column - X]
    note = f"{point.name} {axis} {plain(point[column])} mm from the eye to eye of {length:g} mm; or type it."
    return replace(with_edited_sketch(state, placed), placed=point[column], note=note)


def take_value(state: LinkageState) -> LinkageState:
    """Commit the typed text and, after a valid coordinate, go to the next one."""
    after = commit(state)
    if state.edit is None or state.part is not Part.POINTS or (after.part, after.row) in faulty_rows(after):
        return after
    if after.column == X and not _both_typed(state, clean(state.edit.text).strip()):
        return with_cursor(after, after.part, after.row, Y)
    if after.column in (X, Y) and after.row < after.rows(after.part) - 1:
        following = (after.row + 1, X)
        return with_cursor(after, after.part, after.row + 1, Y if following == placed_by_length(after) else X)
    return after


def nudge(state: LinkageState, steps: int) -> LinkageState:
    """Change a number by mm or pixels, or a choice to its next option."""
    if not _has_cell(state):
        return state
    if is_choice_cell(state):
        return with_edited_sketch(state, sketch_with_next_option(state, 1 if steps > 0 else -1))
    sketch = sketch_with_nudged(state, steps) if is_number_cell(state) else None
    if sketch is None:
        return replace(state, note="No number to step here: Enter opens it.")
    return with_edited_sketch(state, sketch)


undo, redo = (partial(step, with_history=with_history) for step in (kit_edit.undo, kit_edit.redo))
"""Undo the last edit, discarding text being typed first; and redo it."""


def add_point(state: LinkageState) -> LinkageState:
    """Add a moving point beside the selected one, and select it."""
    state = commit(state)
    beside = state.row if state.part is Part.POINTS and state.sketch.points else None
    changed = with_edited_sketch(state, change.with_new_point(state.sketch, beside))
    return with_cursor(changed, Part.POINTS, len(changed.sketch.points) - 1, NAME)


def add_bar(state: LinkageState) -> LinkageState:
    """Add a bar from the selected point to the next one, and go to its other end."""
    state = commit(state)
    names = state.sketch.names
    if len(names) < 2:
        return replace(state, note="A bar needs two points: Space, then p, adds one.")
    first = names[state.row] if state.part is Part.POINTS else names[0]
    bar = change.free_bar(state.sketch, first)
    if bar is None:
        return replace(state, note=f"{first} has a bar to every other point already.")
    changed = with_edited_sketch(state, change.with_bars(state.sketch, len(state.sketch.bars), bar))
    return with_cursor(changed, Part.BARS, len(changed.sketch.bars) - 1, 1)


def remove_selected(state: LinkageState) -> LinkageState:
    """Remove the selected point with its bars, or the selected bar."""
    state = commit(state)
    if state.part is Part.POINTS and state.sketch.points:
        return with_edited_sketch(state, change.without_point(state.sketch, state.row))
    if state.part is Part.BARS and state.sketch.bars:
        return with_edited_sketch(state, change.with_bars(state.sketch, state.row))
    return replace(state, note="Only points and bars can be removed.")


def take_example(state: LinkageState, example: Example) -> LinkageState:
    """Start again from an example; undo reverts it."""
    sketch = example.sketch(eye_to_eye(state.start))
    told = f"Invented example: {example.title}."
    fresh = with_edited_sketch(commit(state), sketch, invented=True)
    there = replace(fresh, invented=sketch, placed="", cursor=0, note=told)
    return with_cursor(there, Part.POINTS, _first_row(sketch), state.column)


def _at_point(step: Callable[[Sketch, int], Sketch]) -> Callable[[LinkageState], LinkageState]:
    """Return a step that changes the selected point."""

    def stepped(state: LinkageState) -> LinkageState:
        state = commit(state)
        if state.part is not Part.POINTS or not state.sketch.points:
            return replace(state, note="Select a point for that: Tab goes to the points.")
        return with_edited_sketch(state, step(state.sketch, state.row))

    return stepped


switch_fixed, put_axle_here, put_eye_here = map(
    _at_point, (change.with_fixed_switched, change.with_axle, change.with_eye)
)


def switch_units(state: LinkageState) -> LinkageState:
    """Switch from mm to pixels of a side photo, or back to mm by its known length."""
    state = commit(state)
    if state.sketch.known is None:
        told = "Pixels now, y down. Type the points as read off the photo, and the length you know."
        return replace(with_edited_sketch(state, change.in_pixels(state.sketch)), note=told)
    try:
        _frame, linkage = change.drawn_frame(state.job)
    except UnusableJob:
        return replace(state, note="No scale yet: fix the marked values first.")
    places = dict(zip(linkage.names, linkage.places, strict=True))
    millimetres = change.in_millimetres(state.sketch, places)
    return replace(with_edited_sketch(state, millimetres), note="Millimetres now, y up.")


def switch_level(state: LinkageState) -> LinkageState:
    """Add two level points, which levels a tilted picture, or remove them."""
    state = commit(state)
    if len(state.sketch.names) < 2:
        return replace(state, note="Level needs two points: Space, then p, adds one.")
    beside = state.row if state.part is Part.POINTS else None
    changed = with_edited_sketch(state, change.with_level_switched(state.sketch, beside))
    if changed.sketch.level is None:
        return replace(changed, note="Level points removed: the photo is used as typed.")
    told = "Two points that are level: Enter goes to the next one."
    return replace(with_cursor(changed, Part.LEVEL, 0, 1), note=told)


def move_cursor(state: LinkageState, steps: int) -> LinkageState:
    """Move the readout along the stroke, stopping at its ends."""
    return replace(state, cursor=min(max(state.cursor + steps, 0), STEPS))


def cycle_cursor(state: LinkageState) -> LinkageState:
    """Move the readout to the next tenth of the stroke; from full stroke back to full extension."""
    tenth = STEPS // 10
    return replace(state, cursor=0 if state.cursor >= STEPS else (state.cursor // tenth + 1) * tenth)
