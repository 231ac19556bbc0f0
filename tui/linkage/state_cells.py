"""What a cell of the tables holds, and what becomes of what is typed into it."""

from __future__ import annotations

from decimal import Decimal

from tui.bench.fields_text import is_number, number, plain, split
from tui.jobs.clean import clean
from tui.jobs.faults import JobFault
from tui.jobs.tree import Raw
from tui.linkage import sketch_edit as change
from tui.linkage.sketch import LEVERAGE, Sketch
from tui.linkage.state import LENGTH, NAME, LinkageState, Part, X, Y

Spot = tuple[Part, int, int]
"""A cell: its part, row and column."""


def spot_of(state: LinkageState) -> Spot:
    """Return the selected cell."""
    return state.part, state.row, state.column


def is_number_cell(state: LinkageState) -> bool:
    """Return whether the selected cell takes a number: a coordinate or the known length."""
    part, row, column = spot_of(state)
    return row < state.rows(part) and _is_number(part, column)


def _is_number(part: Part, column: int) -> bool:
    return (part is Part.POINTS and column in (X, Y)) or (part is Part.KNOWN and column == LENGTH)


def is_choice_cell(state: LinkageState) -> bool:
    """Return whether the selected cell has ways to go through: what a point is, the ends of a bar."""
    part, row, column = spot_of(state)
    return row < state.rows(part) and not is_number_cell(state) and (part, column) != (Part.POINTS, NAME)


def shown(sketch: Sketch, spot: Spot) -> str:
    """Return what a cell holds, empty for nothing."""
    part, row, column = spot
    match part:
        case Part.POINTS:
            point = sketch.points[row]
            return (point.name, plain(point.x), plain(point.y), what_it_is(sketch, row))[column]
        case Part.BARS:
            return sketch.bars[row][column]
        case Part.KNOWN if sketch.known is not None:
            return plain(sketch.known[column])
        case Part.LEVEL if sketch.level is not None:
            return sketch.level[column]
        case _:
            return ""


def what_it_is(sketch: Sketch, row: int) -> str:
    """Return what a point is, in words."""
    point = sketch.points[row]
    roles = [
        word for word, on in (("axle", point.name == sketch.axle), ("eye", point.name in sketch.shock)) if on
    ]
    kind = "fixed" if point.fixed else "" if roles else "pivot"
    return " ".join(filter(None, (kind, *roles)))


def with_typed(state: LinkageState, text: str) -> Sketch | str:
    """Return the sketch with text typed into the selected cell, or a sentence why it cannot be taken."""
    typed, (part, row, column) = clean(text).strip(), spot_of(state)
    sketch = state.sketch
    if part is Part.KNOWN and sketch.known is not None:
        return change.known_changed(sketch, sketch.known._replace(length=_with_unit(typed)))
    if column == NAME:
        return _renamed(sketch, row, typed)
    return change.point_changed(sketch, row, **{"x" if column == X else "y": _coordinate(typed)})


def _renamed(sketch: Sketch, row: int, name: str) -> Sketch | str:
    if not name:
        return "A point needs a name."
    if name in sketch.names[:row] + sketch.names[row + 1 :]:
        return f"{name}: there is a point of that name already."
    return change.renamed(sketch, row, name)


def _coordinate(typed: str) -> Raw:
    """Return a number as typed, perhaps with its unit behind; anything else as it stands."""
    parts = split(typed)
    if parts is None or parts[1] not in ("", "mm", "px"):
        return typed
    value = number(parts[0])
    return int(value) if value == value.to_integral_value() and abs(value) < 1e9 else float(value)


def _with_unit(typed: str) -> str:
    parts = split(typed)
    return f"{parts[0]} mm" if parts is not None and not parts[1] else typed


def nudged(state: LinkageState, steps: int) -> Sketch | None:
    """Return the sketch with the selected number moved by mm or pixels, None where there is none to move."""
    part, row, column = spot_of(state)
    sketch = state.sketch
    if part is Part.KNOWN and sketch.known is not None:
        parts = split(sketch.known.length)
        moved = None if parts is None else number(parts[0]) + steps
        if parts is None or moved is None or moved <= 0:
            return None
        return change.known_changed(sketch, sketch.known._replace(length=f"{moved:f} {parts[1]}".strip()))
    raw = sketch.points[row][column]
    if not is_number(raw) or not Decimal(repr(raw)).is_finite():
        return None
    moved_to = Decimal(repr(raw)) + steps
    value = int(moved_to) if isinstance(raw, int) else float(moved_to)
    return change.point_changed(sketch, row, **{"x" if column == X else "y": value})


def turned(state: LinkageState, steps: int) -> Sketch:
    """Return the sketch with the selected choice gone on to its next way."""
    part, row, column = spot_of(state)
    sketch = state.sketch
    if part is Part.POINTS:
        return change.fixed_switched(sketch, row)
    name = next_name(sketch, shown(sketch, (part, row, column)), steps)
    if part is Part.BARS:
        name = _not_at(sketch, name, sketch.bars[row][1 - column], steps)
        return change.bar_ended(sketch, row, column, name)
    if part is Part.LEVEL and sketch.level is not None:
        return change.level_ended(sketch, column, _not_at(sketch, name, sketch.level[1 - column], steps))
    assert sketch.known is not None  # the only part left
    known = sketch.known._replace(**{"start" if column == 0 else "end": name})
    return change.known_changed(sketch, known)


def _not_at(sketch: Sketch, name: str, other: str, steps: int) -> str:
    """Return a point, or the next one where that is the other end already."""
    return next_name(sketch, name, steps) if name == other else name


def next_name(sketch: Sketch, name: str, steps: int) -> str:
    """Return the point after a point, `steps` on in the round; the first for a name that is none."""
    names = sketch.names
    if not names:
        return name
    return names[(names.index(name) + steps) % len(names)] if name in names else names[0]


def faulty_rows(state: LinkageState) -> frozenset[tuple[Part, int]]:
    """Return the rows that the faults name."""
    return frozenset(row for fault in state.faults for row in _rows_named(state.sketch, fault))


def _rows_named(sketch: Sketch, fault: JobFault) -> list[tuple[Part, int]]:
    if fault.path[: len(LEVERAGE)] != LEVERAGE:
        return []
    match fault.path[len(LEVERAGE) :]:
        case ("bars", int(index), *_) if index < len(sketch.bars):
            return [(Part.BARS, index)]
        case ("points_mm" | "points_px", str(name), *_) if name in sketch.names:
            return [(Part.POINTS, sketch.names.index(name))]
        case ("known", *_) if sketch.known is not None:
            return [(Part.KNOWN, 0)]
        case ("level", *_) if sketch.level is not None:
            return [(Part.LEVEL, 0)]
        case _:
            return []
