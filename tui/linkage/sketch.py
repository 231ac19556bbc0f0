"""A linkage as it is being typed: points, bars, axle and shock, sound or not yet.

It stands in the job as `[frame.leverage]` of the kind "linkage"; numbers that cannot be used are kept as
typed there, as everywhere in a job.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from itertools import count
from typing import NamedTuple

from tui.job.job import Job, with_list
from tui.job.tree import Raw, Tree, TreePath

LEVERAGE: TreePath = ("frame", "leverage")
KIND = "linkage"
_POINTS = ("points_mm", "points_px")
_NAMES = 2
"""Names in a bar, and eyes of a shock."""


class Point(NamedTuple):
    """A named place: mm with y up, or pixels of a picture with y down."""

    name: str
    x: Raw
    y: Raw
    fixed: bool = False


class Known(NamedTuple):
    """The length that gives a picture its scale: between which two points, and how long, with its unit."""

    start: str
    end: str
    length: Raw


Bar = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Sketch:
    """All of a linkage; empty names for an axle or an eye not chosen. With `known` it is in pixels.

    `level` are two points that lie level on the bike: a picture that was tilted is turned until they do.
    """

    points: tuple[Point, ...]
    bars: tuple[Bar, ...]
    axle: str
    shock: Bar
    known: Known | None = None
    level: Bar | None = None

    @property
    def off_level(self) -> float:
        """How far the picture is tilted [rad] by its two level points, NaN without them."""
        ends = [self.places.get(name) for name in self.level or ()]
        if len(ends) < _NAMES or ends[0] is None or ends[1] is None or ends[0] == ends[1]:
            return math.nan
        (ax, ay), (bx, by) = ends[0], ends[1]
        return math.remainder(math.atan2(by - ay, bx - ax), math.pi)

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the points in order."""
        return tuple(point.name for point in self.points)

    @property
    def places(self) -> Mapping[str, tuple[float, float]]:
        """Where the points are that have sound numbers, y up, in mm or pixels."""
        up = 1 if self.known is None else -1
        return {p.name: (p.x, up * p.y) for p in self.points if _is_sound(p.x) and _is_sound(p.y)}


def _is_sound(raw: Raw) -> bool:
    return isinstance(raw, int | float) and not isinstance(raw, bool) and math.isfinite(raw)


def sketch_of(job: Job) -> Sketch | None:
    """Return the linkage of a job as far as it can be told, None where its leverage is of another kind."""
    table = job.get(LEVERAGE)
    if not isinstance(table, Tree) or table.get("kind") != KIND:
        return None
    pixels = "points_px" in table and "points_mm" not in table
    named = _table(table.get("points_px" if pixels else "points_mm"))
    fixed = _names(table.get("fixed"))
    bars = table.get("bars")
    return Sketch(
        tuple(Point(name, *_pair(raw), name in fixed) for name, raw in named.items()),
        tuple(_two(bar) for bar in bars) if isinstance(bars, tuple) else (),
        _name(table.get("axle")),
        _two(table.get("shock")),
        _known(_table(table.get("known"))) if pixels else None,
        _ends(_table(table.get("level"))) if "level" in table else None,
    )


def with_sketch(job: Job, sketch: Sketch, *, invented: bool = False) -> Job:
    """Return the job with its leverage from a linkage; what another kind of leverage held is gone.

    Points that are `invented`, or that nobody had confirmed, stay unconfirmed: one of them typed says nothing
    of the others.
    """
    table: dict[str, Raw] = {"kind": KIND}
    points = _POINTS[sketch.known is not None]
    table[points] = {p.name: (p.x, p.y) for p in sketch.points}
    if sketch.known is not None:
        known = sketch.known
        table["known"] = {"from": known.start, "to": known.end, "length": known.length}
    if sketch.level is not None:
        table["level"] = dict(zip(("from", "to"), sketch.level, strict=True))
    table["fixed"] = tuple(point.name for point in sketch.points if point.fixed)
    table["bars"] = sketch.bars
    if sketch.axle:
        table["axle"] = sketch.axle
    table["shock"] = tuple(filter(None, sketch.shock))
    doubted = invented or has_unconfirmed_points(job)
    return job.with_value(LEVERAGE, with_list(table, (points,) if doubted else ()))


def has_unconfirmed_points(job: Job) -> bool:
    """Return whether a linkage has points that nobody has typed or confirmed."""
    return any(job.is_unconfirmed((*LEVERAGE, key)) for key in _POINTS)


def _table(raw: Raw) -> Mapping[str, Raw]:
    return raw if isinstance(raw, Tree) else {}


def _name(raw: Raw) -> str:
    return raw if isinstance(raw, str) else ""


def _names(raw: Raw) -> tuple[str, ...]:
    return tuple(map(_name, raw)) if isinstance(raw, tuple) else ()


def _two(raw: Raw) -> Bar:
    first, second = (*_names(raw), "", "")[:_NAMES]
    return first, second


def _pair(raw: Raw) -> tuple[Raw, Raw]:
    x, y = (*raw, "", "")[:_NAMES] if isinstance(raw, tuple) else (raw, "")
    return x, y


def _ends(table: Mapping[str, Raw]) -> Bar:
    return _name(table.get("from")), _name(table.get("to"))


def _known(table: Mapping[str, Raw]) -> Known:
    return Known(*_ends(table), table.get("length", ""))


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


USUAL_LENGTH = 230.0
"""Eye to eye [mm] the examples are drawn for; they are scaled to the shock of the job where it is known."""

Places = dict[str, tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Example:
    """A linkage and what it is in words; in mm from the main pivot, the rear wheel on the left."""

    title: str
    meaning: str
    fixed: Places
    moving: Places
    bars: tuple[Bar, ...]

    def sketch(self, eye_to_eye: float = USUAL_LENGTH) -> Sketch:
        """Return the linkage scaled to a shock of so many mm."""
        places = self.fixed | self.moving
        scale = eye_to_eye / math.dist(places["eye"], places["frame"])
        points = (
            Point(name, round(x * scale, 1), round(y * scale, 1), name in self.fixed)
            for name, (x, y) in places.items()
        )
        return Sketch(tuple(points), self.bars, "axle", ("eye", "frame"))


def _body(*names: str) -> tuple[Bar, ...]:
    """Return the three bars that make one rigid body of three points."""
    first, second, third = names
    return (first, second), (second, third), (third, first)


EXAMPLES = (
    Example(
        "single pivot",
        "The axle and one eye of the shock on one swingarm.",
        {"main": (0, 0), "frame": (131, 198)},
        {"axle": (-430, -15), "eye": (-93, 146)},
        _body("main", "axle", "eye"),
    ),
    Example(
        "four-bar, axle on the rear link",
        "A pivot between the main pivot and the axle: the axle rides on the upright link behind it.",
        {"main": (0, 0), "rocker": (-1, 171), "frame": (198, 177)},
        {"rear": (-395, -21), "axle": (-430, 5), "upper": (-110, 216), "eye": (-22, 245)},
        (("main", "rear"), *_body("rear", "axle", "upper"), *_body("rocker", "upper", "eye")),
    ),
    Example(
        "four-bar, axle on the front link",
        "The axle on the arm of the main pivot, the pivot to the upper link above it.",
        {"main": (0, 0), "rocker": (-2, 185), "frame": (196, 188)},
        {"axle": (-430, -10), "stay": (-414, 41), "upper": (-124, 243), "eye": (-22, 261)},
        (*_body("main", "axle", "stay"), ("stay", "upper"), *_body("rocker", "upper", "eye")),
    ),
    Example(
        "rocker-driven shock",
        "A swingarm that drives the shock through a rod and a rocker.",
        {"main": (0, 0), "rocker": (-4, 179), "frame": (221, 196)},
        {"axle": (-430, -10), "rod": (-148, 59), "top": (-85, 227), "eye": (3, 270)},
        (*_body("main", "axle", "rod"), ("rod", "top"), *_body("rocker", "top", "eye")),
    ),
    Example(
        "two short links",
        "A rigid rear triangle on two short links, the shock on the upper one.",
        {"low": (36, 3), "high": (-6, 164), "frame": (192, 198)},
        {"lower": (-34, -62), "upper": (-99, 164), "axle": (-430, 0), "eye": (-35, 235)},
        (*_body("axle", "lower", "upper"), ("low", "lower"), *_body("high", "upper", "eye")),
    ),
)
"""In the order they are offered; the first is what the screen opens on where a job has no linkage."""
