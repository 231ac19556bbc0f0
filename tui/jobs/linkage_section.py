"""The points of a linkage as typed, in mm or in the pixels of a picture, and the linkage they make."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from typing import TYPE_CHECKING

from tui.jobs.fields import Section, Value
from tui.jobs.findings import Findings
from tui.jobs.point_fields import Listed
from tui.jobs.tree import Path, Raw

if TYPE_CHECKING:
    from physics.case import Linkage

_PATH: Path = ("frame", "leverage")
_MM = 1e-3
_MOST_TILT = math.radians(45)
"""Further off level no picture is held by hand: the points are the wrong ones."""


def read_drawing(table: Mapping[str, Raw], values: dict[str, Value], found: Findings) -> dict[str, Value]:
    """Return the values of a linkage with its "points" in m, y up, where they can be told.

    A picture has its y down; its scale comes from the one length that is known. With two points that lie
    level it is turned until they do, by "turned" [rad], anticlockwise positive.
    """
    return _levelled(table, _as_drawn(table, values, found), found)


def _as_drawn(table: Mapping[str, Raw], values: dict[str, Value], found: Findings) -> dict[str, Value]:
    if "points_mm" in table and "points_px" in table:
        found.fault((*_PATH, "points_px"), "given beside points_mm", "one of the two is accepted")
    elif "points_px" in table:
        scale = _scale(table, values, found)
        return values | _drawn(values.get("points_px"), scale, -scale)
    elif "points_mm" not in table:
        found.fault((*_PATH, "points_mm"), "missing", "points in points_mm or in points_px are needed")
    if "known" in table and "points_px" not in table:
        found.fault(
            (*_PATH, "known"), "given without points_px", "a known length beside points_px is accepted"
        )
    return values | _drawn(values.get("points_mm"), _MM, _MM)


def linkage_of(section: Section) -> Linkage | None:
    """Return the linkage of a section, None where a part of it is missing or could not be read."""
    from physics.case import Linkage

    points, axle = section.get("points"), section.get("axle")
    fixed, bars, shock = (section.get(key) for key in ("fixed", "bars", "shock"))
    if not isinstance(points, Mapping) or axle is None:
        return None
    if not (isinstance(fixed, Listed) and isinstance(bars, Listed) and isinstance(shock, Listed)):
        return None
    one, other = shock.names
    held = (*fixed.names, *_beside(section, {*fixed.names, *sum(bars.pairs, ()), str(axle), one, other}))
    return Linkage(tuple(points), tuple(points.values()), held, bars.pairs, str(axle), (one, other))


def _beside(section: Section, used: Collection[str]) -> tuple[str, ...]:
    """Return the points that only give a picture its scale or its level: no bar needs to hold them."""
    points = section.get("points")
    there = points if isinstance(points, Mapping) else {}
    keys = ("known.from", "known.to", "level.from", "level.to")
    named = dict.fromkeys(str(section[key]) for key in keys if key in section)
    return tuple(name for name in named if name in there and name not in used)


def _levelled(table: Mapping[str, Raw], values: dict[str, Value], found: Findings) -> dict[str, Value]:
    """Return the values with the points turned until those of "level" lie level, else without points."""
    points, ends = values.get("points"), [values.get(f"level.{end}") for end in ("from", "to")]
    if "level" not in table or not isinstance(points, Mapping):
        return values
    unturned = {key: value for key, value in values.items() if key != "points"}
    if None in ends or not _are_points("level", ends, points, found):
        return unturned
    (ax, ay), (bx, by) = (points[str(end)] for end in ends)
    # Which of the two is named first says nothing: the picture is turned the shorter way.
    tilt = math.remainder(math.atan2(by - ay, bx - ax), math.pi)
    if abs(tilt) > _MOST_TILT:
        told = f"the two points lie {math.degrees(abs(tilt)):.0f} degrees off level"
        found.fault((*_PATH, "level"), told, "two points no more than 45 degrees off level are accepted")
        return unturned
    c, s = math.cos(tilt), math.sin(tilt)
    turned = {name: (c * x + s * y, c * y - s * x) for name, (x, y) in points.items()}
    return unturned | {"points": turned, "turned": -tilt}


def _are_points(key: str, ends: list[Value | None], points: Mapping[str, object], found: Findings) -> bool:
    """Return whether both ends are names of points that lie apart; note what is wrong."""
    for side, end in zip(("from", "to"), ends, strict=True):
        if end not in points:
            found.fault((*_PATH, key, side), "no point has this name", "the name of a point is accepted")
    if any(end not in points for end in ends):
        return False
    if points[str(ends[0])] == points[str(ends[1])]:
        found.fault((*_PATH, key), "both points lie at one place", "two points that lie apart are accepted")
        return False
    return True


def _drawn(points: Value | None, along: float, up: float) -> dict[str, Value]:
    if not isinstance(points, Mapping) or math.isnan(along):
        return {}
    return {"points": {name: (along * x, up * y) for name, (x, y) in points.items()}}


def _scale(table: Mapping[str, Raw], values: dict[str, Value], found: Findings) -> float:
    """Return the metres of a pixel, NaN where they cannot be told."""
    if "known" not in table:
        needed = "a table known = { from, to, length } is needed beside points_px"
        found.fault((*_PATH, "known"), "missing", needed)
        return math.nan
    points, length = values.get("points_px"), values.get("known.length", math.nan)
    ends = [values.get(f"known.{end}") for end in ("from", "to")]
    if not isinstance(points, Mapping) or not isinstance(length, float) or None in ends:
        return math.nan
    if not _are_points("known", ends, points, found):
        return math.nan
    return length / math.dist(points[str(ends[0])], points[str(ends[1])])
