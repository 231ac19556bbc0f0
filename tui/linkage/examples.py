"""Invented linkages to start from, one of each build; no frame that is sold has these points."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tui.linkage.sketch import Bar, Point, Sketch

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
