"""The points of a linkage as typed, in mm or in the pixels of a picture, and the linkage they make."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from tui.jobs.fields import Section, Value
from tui.jobs.findings import Findings
from tui.jobs.point_fields import Listed
from tui.jobs.tree import Path, Raw

if TYPE_CHECKING:
    from physics.case import Linkage

_PATH: Path = ("frame", "leverage")
_MM = 1e-3


def read_drawing(table: Mapping[str, Raw], values: dict[str, Value], found: Findings) -> dict[str, Value]:
    """Return the values of a linkage with its "points" in m, y up, where they can be told.

    A picture has its y down; its scale comes from the one length that is known.
    """
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
    return Linkage(tuple(points), tuple(points.values()), fixed.names, bars.pairs, str(axle), (one, other))


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
    for key, end in zip(("from", "to"), ends, strict=True):
        if end not in points:
            found.fault((*_PATH, "known", key), "no point has this name", "the name of a point is accepted")
    if any(end not in points for end in ends):
        return math.nan
    apart = math.dist(points[str(ends[0])], points[str(ends[1])])
    if apart == 0:
        found.fault(
            (*_PATH, "known"), "both points lie at one place", "two points that lie apart are accepted"
        )
    return length / apart if apart else math.nan
