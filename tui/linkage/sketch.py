"""A linkage as it is being typed: points, bars, axle and shock, sound or not yet.

It stands in the job as `[frame.leverage]` of the kind "linkage"; numbers that cannot be used are kept as
typed there, as everywhere in a job.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from tui.jobs.job import Job
from tui.jobs.tree import Path, Raw, Table
from tui.jobs.unconfirmed import with_list

LEVERAGE: Path = ("frame", "leverage")
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
    if not isinstance(table, Table) or table.get("kind") != KIND:
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
    return raw if isinstance(raw, Table) else {}


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
