"""A linkage as typed (points, bars, axle, shock), valid or not; and its motion, or why it has none.

In the job it is `[frame.leverage]` of the kind "linkage"; invalid numbers are kept as typed, as everywhere in
a job.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from itertools import count
from typing import TYPE_CHECKING

from physics.frozen import NamedTuple, dataclass
from tui.job.faults import JobFault, UnusableJob
from tui.job.job import Job, with_list
from tui.job.tree import Raw, Tree, TreePath

if TYPE_CHECKING:
    from physics.case import Frame, Linkage
    from physics.linkage import Motion

LEVERAGE: TreePath = ("frame", "leverage")
KIND = "linkage"
_POINTS = ("points_mm", "points_px")


class Point(NamedTuple):
    """A named position: mm with y up, or pixels of a picture with y down."""

    name: str
    x: Raw
    y: Raw
    fixed: bool = False


class Known(NamedTuple):
    """The known length that gives a picture its scale: two points, and their distance with its unit."""

    start: str
    end: str
    length: Raw


Bar = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Sketch:
    """A linkage; names of axle or eyes that are not chosen are empty. With `known` it is in pixels.

    `level` are two points that are level on the bike: a tilted picture is rotated until they are.
    """

    points: tuple[Point, ...]
    bars: tuple[Bar, ...]
    axle: str
    shock: Bar
    known: Known | None = None
    level: Bar | None = None

    @property
    def off_level(self) -> float:
        """Tilt of the picture [rad] according to its level points, NaN without them."""
        ends = [self.places[name] for name in self.level or () if name in self.places]
        if len(ends) < 2 or ends[0] == ends[1]:
            return math.nan
        (ax, ay), (bx, by) = ends
        return math.remainder(math.atan2(by - ay, bx - ax), math.pi)

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the points in order."""
        return tuple(point.name for point in self.points)

    @property
    def places(self) -> Mapping[str, tuple[float, float]]:
        """Positions of the points with valid numbers, y up, in mm or pixels."""
        up = 1 if self.known is None else -1
        return {p.name: (p.x, up * p.y) for p in self.points if _is_sound(p.x) and _is_sound(p.y)}


def _is_sound(raw: Raw) -> bool:
    return isinstance(raw, int | float) and not isinstance(raw, bool) and math.isfinite(raw)


def sketch_of(job: Job) -> Sketch | None:
    """Return the linkage of a job as far as it is readable, None for another kind of leverage."""
    table = job.get(LEVERAGE)
    if not isinstance(table, Tree) or table.get("kind") != KIND:
        return None
    pixels = "points_px" in table and "points_mm" not in table
    bars, fixed, known = (table.get(key) for key in ("bars", "fixed", "known"))
    fixed, places = fixed if isinstance(fixed, tuple) else (), _table(table.get(_POINTS[pixels]))
    return Sketch(
        tuple(Point(name, *_pair(raw), name in fixed) for name, raw in places.items()),
        tuple(map(_names, bars)) if isinstance(bars, tuple) else (),
        _name(table.get("axle")),
        _names(table.get("shock")),
        Known(*_ends(known), _table(known).get("length", "")) if pixels else None,
        _ends(table.get("level")) if "level" in table else None,
    )


def _table(raw: Raw) -> Mapping[str, Raw]:
    return raw if isinstance(raw, Tree) else {}


def _name(raw: Raw) -> str:
    return raw if isinstance(raw, str) else ""


def _pair(raw: Raw) -> tuple[Raw, Raw]:
    first, second = (*raw, "", "")[:2] if isinstance(raw, tuple) else (raw, "")
    return first, second


def _names(raw: Raw) -> Bar:
    first, second = _pair(raw) if isinstance(raw, tuple) else ("", "")
    return _name(first), _name(second)


def _ends(raw: Raw) -> Bar:
    return _name(_table(raw).get("from")), _name(_table(raw).get("to"))


def with_sketch(job: Job, sketch: Sketch, *, invented: bool = False) -> Job:
    """Return the job with a linkage as its leverage, replacing any other kind.

    Points that are `invented`, or were unconfirmed, stay so: typing one does not confirm the others.
    """
    known = sketch.known
    points = _POINTS[known is not None]
    table: dict[str, Raw] = {"kind": KIND, points: {p.name: (p.x, p.y) for p in sketch.points}}
    if known is not None:
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
    """Return whether a linkage has unconfirmed points."""
    return any(job.is_unconfirmed((*LEVERAGE, key)) for key in _POINTS)


_APART = 30
"""Distance of a new point from the selected one, mm or pixels."""


def with_point(sketch: Sketch, index: int, point: Point) -> Sketch:
    """Return the sketch with the point at `index` replaced."""
    return replace(sketch, points=(*sketch.points[:index], point, *sketch.points[index + 1 :]))


def with_new_point(sketch: Sketch, index: int | None) -> Sketch:
    """Return the sketch with one more moving point, next to the one at `index`."""
    beside = sketch.places.get(sketch.points[index].name) if index is not None else None
    x, y = beside or (0.0, 0.0)
    up = 1 if sketch.known is None else -1
    name = next(name for name in (f"point {n}" for n in count(1)) if name not in sketch.names)
    return replace(sketch, points=(*sketch.points, Point(name, _tidy(x + _APART), _tidy(up * (y + _APART)))))


def without_point(sketch: Sketch, index: int) -> Sketch:
    """Return the sketch without a point and without the bars that end at it."""
    name = sketch.points[index].name
    bars = tuple(bar for bar in sketch.bars if name not in bar)
    points = (*sketch.points[:index], *sketch.points[index + 1 :])
    return _names_replaced(replace(sketch, points=points, bars=bars), name, "")


def with_point_renamed(sketch: Sketch, index: int, name: str) -> Sketch:
    """Return the sketch with a point renamed everywhere."""
    point = sketch.points[index]
    return _names_replaced(with_point(sketch, index, point._replace(name=name)), point.name, name)


def with_fixed_switched(sketch: Sketch, index: int) -> Sketch:
    """Return the sketch with a moving point fixed to the frame, or a fixed one moving."""
    point = sketch.points[index]
    return with_point(sketch, index, point._replace(fixed=not point.fixed))


def _names_replaced(sketch: Sketch, before: str, name: str) -> Sketch:
    """Return the sketch with another name of a point in bars, axle, eyes, known length and level."""

    def swapped(bar: Bar) -> Bar:
        first, second = (name if end == before else end for end in bar)
        return first, second

    known, level = sketch.known, sketch.level
    # The level line needs both of its points.
    gone = level is not None and not name and before in level
    return replace(
        sketch,
        bars=tuple(map(swapped, sketch.bars)),
        axle=name if sketch.axle == before else sketch.axle,
        shock=swapped(sketch.shock),
        known=known and Known(*swapped((known.start, known.end)), known.length),
        level=None if level is None or gone else swapped(level),
    )


def with_end(bar: Bar, end: int, name: str) -> Bar:
    """Return a bar, or the line between two level points, with one end at another point."""
    return (name, bar[1]) if end == 0 else (bar[0], name)


def free_bar(sketch: Sketch, first: str) -> Bar | None:
    """Return a new bar from a point to the next one, None if it has bars to all others."""
    names = sketch.names
    start = names.index(first) + 1
    joined = {end for bar in sketch.bars if first in bar for end in bar} | {first}
    return next(((first, name) for name in (*names[start:], *names[:start]) if name not in joined), None)


def with_bars(sketch: Sketch, index: int, *bars: Bar) -> Sketch:
    """Return the sketch with the bar at `index` replaced by `bars`, removed if there are none."""
    return replace(sketch, bars=(*sketch.bars[:index], *bars, *sketch.bars[index + 1 :]))


def with_axle(sketch: Sketch, index: int) -> Sketch:
    """Return the sketch with the axle at a point."""
    return replace(sketch, axle=sketch.points[index].name)


def with_eye(sketch: Sketch, index: int) -> Sketch:
    """Return the sketch with an eye of the shock at a point: the two points chosen last are the eyes."""
    name, (first, second) = sketch.points[index].name, sketch.shock
    if name in sketch.shock:
        return sketch
    return replace(sketch, shock=(first, name) if first and not second else (second or first, name))


def free_coordinate(sketch: Sketch) -> tuple[int, int] | None:
    """Return the row of the eye chosen last, and the column of the coordinate best given by the shock length.

    That is the coordinate along the shock; across it, a small error of the length causes a large error of
    position. None in pixels, and if an eye has no position.
    """
    places, names = sketch.places, sketch.names
    rows = sorted(names.index(name) for name in sketch.shock if name in places)
    if len(rows) < 2 or sketch.known is not None:
        return None
    (ax, ay), (bx, by) = (places[names[row]] for row in rows)
    return rows[1], 1 if abs(bx - ax) >= abs(by - ay) else 2


def with_eye_placed(sketch: Sketch, example: Sketch, eye_to_eye: float) -> Sketch:
    """Return the sketch with one coordinate of an eye from the length of the shock [mm].

    Which eye it is, and on which side of the other eye, is as in the example, mirrored if the axle is in
    front of that eye instead of behind it. If no position is at that distance from the other eye, nothing
    changes.
    """
    found, names = free_coordinate(example), sketch.names
    if found is None or found[0] >= len(names) or names[found[0]] not in sketch.shock:
        return sketch
    row, column = found
    far = next(name for name in sketch.shock if name != names[row])
    places, drawn = sketch.places, example.places
    if not {names[row], far, sketch.axle} <= set(places):
        return sketch
    along, across = column - 1, 2 - column
    far_drawn = next(name for name in example.shock if name != example.names[row])
    rest = eye_to_eye**2 - (places[names[row]][across] - places[far][across]) ** 2
    if rest <= 0:
        return sketch
    side = drawn[example.names[row]][along] - drawn[far_drawn][along]
    if along == 0:
        side *= (places[sketch.axle][0] - places[far][0]) * (drawn[example.axle][0] - drawn[far_drawn][0])
    value = _tidy(places[far][along] + math.copysign(math.sqrt(rest), side))
    point = sketch.points[row]
    return with_point(sketch, row, point._replace(x=value) if column == 1 else point._replace(y=value))


def in_pixels(sketch: Sketch) -> Sketch:
    """Return the same linkage in pixels, y down, initially one pixel per mm.

    The known length is that of the shock.
    """
    length = math.dist(*(sketch.places.get(name, (0.0, 0.0)) for name in sketch.shock))
    # A point without valid numbers stays as typed.
    ys = {name: _tidy(-y) for name, (_x, y) in sketch.places.items()}
    points = tuple(p._replace(y=ys.get(p.name, p.y)) for p in sketch.points)
    return replace(sketch, points=points, known=Known(*sketch.shock, f"{_tidy(length)} mm"))


def in_millimetres(sketch: Sketch, places: Mapping[str, tuple[float, float]]) -> Sketch:
    """Return the same linkage in mm; `places` are the positions of its points [m], y up, levelled."""
    typed = {name: (_tidy(1e3 * x), _tidy(1e3 * y)) for name, (x, y) in places.items()}
    points = tuple(Point(p.name, *typed[p.name], p.fixed) for p in sketch.points)
    return replace(sketch, points=points, known=None, level=None)


def with_level_switched(sketch: Sketch, index: int | None) -> Sketch:
    """Return the sketch with two level points, the one at `index` first, or without them.

    The other one is the point closest to level with it.
    """
    if sketch.level is not None:
        return replace(sketch, level=None)
    names = sketch.names
    first = sketch.axle if index is None and sketch.axle in names else names[index or 0]
    pairs = [replace(sketch, level=(first, name)) for name in names if name != first]
    return min(pairs, key=lambda pair: math.inf if math.isnan(pair.off_level) else abs(pair.off_level))


def _tidy(value: float) -> float:
    return round(value, 1) + 0.0


USUAL_LENGTH = 230.0
"""Eye to eye [mm] of the examples; they are scaled to the shock of the job if that is known."""

Places = dict[str, tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Example:
    """An example linkage with its description; in mm from the main pivot, the rear wheel on the left."""

    title: str
    meaning: str
    fixed: Places
    moving: Places
    bars: tuple[Bar, ...]

    def sketch(self, eye_to_eye: float = USUAL_LENGTH) -> Sketch:
        """Return the linkage scaled to a shock length [mm]."""
        places = self.fixed | self.moving
        scale = eye_to_eye / math.dist(places["eye"], places["frame"])
        scaled = {name: (round(x * scale, 1), round(y * scale, 1)) for name, (x, y) in places.items()}
        points = tuple(Point(name, *place, name in self.fixed) for name, place in scaled.items())
        return Sketch(points, self.bars, "axle", ("eye", "frame"))


def _body(first: str, second: str, third: str) -> tuple[Bar, ...]:
    """Return the three bars that make one rigid body of three points."""
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
        "A pivot between main pivot and axle: the axle is on the rear link.",
        {"main": (0, 0), "rocker": (-1, 171), "frame": (198, 177)},
        {"rear": (-395, -21), "axle": (-430, 5), "upper": (-110, 216), "eye": (-22, 245)},
        (("main", "rear"), *_body("rear", "axle", "upper"), *_body("rocker", "upper", "eye")),
    ),
    Example(
        "four-bar, axle on the front link",
        "The axle on the main pivot's arm, the pivot to the upper link above it.",
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
"""In display order; the first is the initial one for a job without a linkage."""


_CONCERNS = (("frame", "leverage"), ("frame", "stroke"), ("frame", "eye_to_eye"))
"""The parts of a job that a linkage depends on."""


@dataclass(frozen=True, slots=True, eq=False)
class Moved:
    """A linkage in SI with its motion over the stroke, and its job.

    `eye_to_eye` is the length of the shock as drawn [m], `faults` are those of the job that do not prevent
    the motion.
    """

    job: Job
    linkage: Linkage
    motion: Motion
    eye_to_eye: float
    faults: tuple[JobFault, ...] = ()


def move_linkage(job: Job) -> Moved:
    """Compute the motion of a job's linkage over the stroke of its shock.

    Raises `UnusableJob` with every fault that prevents the motion; other faults of the job do not matter.
    """
    from physics.faults import Refused
    from physics.linkage import eye_faults, move
    from physics.linkage import eye_to_eye as drawn_length
    from tui.job.fault_words import job_fault

    frame, linkage = drawn_frame(job)
    try:
        motion = move(linkage, float(frame.stroke))
    except Refused as refused:
        raise UnusableJob(tuple(map(job_fault, refused.faults))) from refused
    faults = tuple(map(job_fault, eye_faults(linkage, frame.eye_to_eye)))
    return Moved(job, linkage, motion, drawn_length(linkage), faults)


def drawn_frame(job: Job) -> tuple[Frame, Linkage]:
    """Return the frame of a job and its linkage.

    Raises `UnusableJob` if the linkage is invalid.
    """
    from physics.case import Linkage
    from tui.job.case import frame_of
    from tui.job.reading import look

    reading, faults = look(job)
    if mine := tuple(fault for fault in faults if fault.path[:2] in _CONCERNS):
        raise UnusableJob(mine)
    frame = frame_of(reading)
    assert isinstance(frame.leverage, Linkage)  # any other kind has a fault at its path
    return frame, frame.leverage
