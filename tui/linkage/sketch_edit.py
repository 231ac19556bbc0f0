"""What can be done to a linkage as typed; each change gives a new one."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import count

from tui.jobs.tree import Raw
from tui.linkage.sketch import Bar, Known, Point, Sketch

AtPoint = Callable[[Sketch, int], Sketch]
"""A change at the point of an index."""

_APART = 30
"""How far beside the selected point a new one is put, mm or pixels."""


# --- points ----------------------------------------------------------------------------------


def point_changed(sketch: Sketch, index: int, *, x: Raw = None, y: Raw = None) -> Sketch:
    """Return the sketch with a point at another place; a coordinate left out stays."""
    point = sketch.points[index]
    return _with_point(
        sketch, index, point._replace(x=point.x if x is None else x, y=point.y if y is None else y)
    )


def point_added(sketch: Sketch, index: int | None) -> Sketch:
    """Return the sketch with one moving point more behind the others, beside the one at `index`."""
    beside = sketch.places.get(sketch.points[index].name) if index is not None else None
    x, y = beside or (0.0, 0.0)
    up = 1 if sketch.known is None else -1
    point = Point(free_name(sketch), _tidy(x + _APART), _tidy(up * (y + _APART)))
    return replace(sketch, points=(*sketch.points, point))


def point_removed(sketch: Sketch, index: int) -> Sketch:
    """Return the sketch without a point and without the bars that end at it."""
    name = sketch.points[index].name
    kept = replace(
        sketch,
        points=(*sketch.points[:index], *sketch.points[index + 1 :]),
        bars=tuple(bar for bar in sketch.bars if name not in bar),
    )
    return _names_replaced(kept, name, "")


def renamed(sketch: Sketch, index: int, name: str) -> Sketch:
    """Return the sketch with a point under another name, wherever it is named."""
    before = sketch.points[index].name
    moved = _with_point(sketch, index, sketch.points[index]._replace(name=name))
    bars = tuple(_swapped(bar, before, name) for bar in moved.bars)
    return _names_replaced(replace(moved, bars=bars), before, name)


def fixed_switched(sketch: Sketch, index: int) -> Sketch:
    """Return the sketch with a moving point fixed to the frame, or a fixed one let go."""
    return _with_point(sketch, index, sketch.points[index]._replace(fixed=not sketch.points[index].fixed))


def free_name(sketch: Sketch) -> str:
    """Return a name that no point has yet."""
    return next(name for name in (f"point {n}" for n in count(1)) if name not in sketch.names)


def _with_point(sketch: Sketch, index: int, point: Point) -> Sketch:
    return replace(sketch, points=(*sketch.points[:index], point, *sketch.points[index + 1 :]))


def _names_replaced(sketch: Sketch, before: str, name: str) -> Sketch:
    known = sketch.known
    if known is not None:
        start, end = _swapped((known.start, known.end), before, name)
        known = Known(start, end, known.length)
    level = sketch.level
    if level is not None:
        # Without one of its points nothing is level.
        level = _swapped(level, before, name) if name or before not in level else None
    axle = name if sketch.axle == before else sketch.axle
    return replace(sketch, axle=axle, shock=_swapped(sketch.shock, before, name), known=known, level=level)


def _swapped(bar: Bar, before: str, name: str) -> Bar:
    first, second = (name if end == before else end for end in bar)
    return first, second


# --- bars, axle, eyes ------------------------------------------------------------------------


def bar_added(sketch: Sketch, bar: Bar) -> Sketch:
    """Return the sketch with one bar more."""
    return replace(sketch, bars=(*sketch.bars, bar))


def free_bar(sketch: Sketch, first: str) -> Bar | None:
    """Return a bar from a point to the next one it has none to, None where it has one to every other."""
    names = sketch.names
    start = names.index(first) + 1
    joined = {end for bar in sketch.bars if first in bar for end in bar} | {first}
    return next(((first, name) for name in (*names[start:], *names[:start]) if name not in joined), None)


def bar_removed(sketch: Sketch, index: int) -> Sketch:
    """Return the sketch without a bar."""
    return replace(sketch, bars=(*sketch.bars[:index], *sketch.bars[index + 1 :]))


def bar_ended(sketch: Sketch, index: int, end: int, name: str) -> Sketch:
    """Return the sketch with one end of a bar at another point."""
    first, second = sketch.bars[index]
    bar = (name, second) if end == 0 else (first, name)
    return replace(sketch, bars=(*sketch.bars[:index], bar, *sketch.bars[index + 1 :]))


def axle_at(sketch: Sketch, index: int) -> Sketch:
    """Return the sketch with the axle at a point."""
    return replace(sketch, axle=sketch.points[index].name)


def eye_at(sketch: Sketch, index: int) -> Sketch:
    """Return the sketch with an eye of the shock at a point: the last two points named are the eyes."""
    name = sketch.points[index].name
    first, second = sketch.shock
    if name in sketch.shock:
        return sketch
    return replace(sketch, shock=(first, name) if first and not second else (second or first, name))


# --- mm or pixels ----------------------------------------------------------------------------


def known_changed(sketch: Sketch, known: Known) -> Sketch:
    """Return the sketch with another known length."""
    return replace(sketch, known=known)


def in_pixels(sketch: Sketch) -> Sketch:
    """Return the same linkage in pixels, y down, one pixel a mm until others are typed.

    The known length is that of the shock, the one that stands in its papers.
    """
    length = math.dist(*(sketch.places.get(name, (0.0, 0.0)) for name in sketch.shock))
    known = Known(*sketch.shock, f"{_tidy(length)} mm")
    return replace(sketch, points=_turned_over(sketch), known=known)


def in_millimetres(sketch: Sketch, places: Mapping[str, tuple[float, float]]) -> Sketch:
    """Return the same linkage in mm; `places` are those of its points [m], y up."""
    points = tuple(
        point._replace(x=_tidy(1e3 * places[point.name][0]), y=_tidy(1e3 * places[point.name][1]))
        for point in sketch.points
    )
    # Those places are level already.
    return replace(sketch, points=points, known=None, level=None)


# --- level -----------------------------------------------------------------------------------


def level_switched(sketch: Sketch, index: int | None) -> Sketch:
    """Return the sketch with two points that lie level, the one at `index` first, or without them again.

    The other end is the point that lies most nearly level with it.
    """
    if sketch.level is not None:
        return replace(sketch, level=None)
    names = sketch.names
    first = sketch.axle if index is None and sketch.axle in names else names[index or 0]
    pairs = [replace(sketch, level=(first, name)) for name in names if name != first]
    return min(pairs, key=lambda pair: math.inf if math.isnan(pair.off_level) else abs(pair.off_level))


def level_ended(sketch: Sketch, end: int, name: str) -> Sketch:
    """Return the sketch with one end of its level line at another point."""
    first, second = sketch.level or ("", "")
    return replace(sketch, level=(name, second) if end == 0 else (first, name))


def _turned_over(sketch: Sketch) -> tuple[Point, ...]:
    """Return the points with y the other way up; one without sound numbers stays as typed."""
    return tuple(p._replace(y=_tidy(-p.y)) if p.name in sketch.places else p for p in sketch.points)


def _tidy(value: float) -> float:
    return round(value, 1) + 0.0
