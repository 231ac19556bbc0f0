"""Invented linkages, one of each kind a bike may have, in m with the main pivot near the origin."""

from collections.abc import Mapping
from dataclasses import replace

from physics.case import Linkage


def linkage(points: Mapping[str, tuple[float, float]], fixed: str, bars: str, shock: str) -> Linkage:
    """Return a linkage of points in mm, with lists in words: "main front", "main-axle axle-eye"."""
    pairs = [tuple(bar.split("-")) for bar in bars.split()]
    one, other = shock.split("-")
    return Linkage(
        names=tuple(points),
        places=tuple((x / 1000, y / 1000) for x, y in points.values()),
        fixed=tuple(fixed.split()),
        bars=tuple((first, second) for first, second in pairs),
        axle="axle",
        shock=(one, other),
    )


SINGLE = linkage(
    {"main": (0, 0), "axle": (430, 5), "eye": (120, 90), "front": (20, 300)},
    "main front",
    "main-axle main-eye axle-eye",
    "eye-front",
)
IN_LINE = linkage(
    {"main": (0, 0), "axle": (400, 0), "eye": (160, 0), "front": (110, 210)},
    "main front",
    "main-axle main-eye axle-eye",
    "eye-front",
)
REAR_LINK = linkage(
    {
        "main": (0, 0),
        "drop": (415, -15),
        "axle": (440, 10),
        "top": (235, 260),
        "rocker": (75, 235),
        "eye": (25, 290),
        "front": (-35, 60),
    },
    "main rocker front",
    "main-drop drop-axle drop-top axle-top rocker-top rocker-eye top-eye",
    "eye-front",
)
FRONT_LINK = linkage(
    {
        "main": (0, 0),
        "axle": (435, 5),
        "stay": (425, 25),
        "top": (235, 260),
        "rocker": (75, 235),
        "eye": (25, 290),
        "front": (-35, 60),
    },
    "main rocker front",
    "main-axle main-stay axle-stay stay-top rocker-top rocker-eye top-eye",
    "eye-front",
)
SHORT_LINKS = linkage(
    {
        "low": (0, 0),
        "low_end": (30, -80),
        "high": (15, 125),
        "high_end": (125, 175),
        "axle": (440, 5),
        "eye": (135, 130),
        "front": (10, 320),
    },
    "low high front",
    "low-low_end high-high_end low_end-high_end low_end-axle high_end-axle low_end-eye high_end-eye",
    "eye-front",
)
PARALLELOGRAM = linkage(
    {"a": (0, 0), "b": (0, 120), "c": (150, -20), "d": (150, 100), "axle": (430, 20), "front": (110, 190)},
    "a b front",
    "a-c b-d c-d c-axle d-axle",
    "c-front",
)
EVERY = {
    "single pivot": SINGLE,
    "eye in line": IN_LINE,
    "axle on the rear link": REAR_LINK,
    "axle on the front link": FRONT_LINK,
    "two short links": SHORT_LINKS,
    "parallelogram": PARALLELOGRAM,
}


def mirrored(one: Linkage) -> Linkage:
    """Return the bike seen from its other side."""
    return replace(one, places=tuple((-x, y) for x, y in one.places))


def shifted(one: Linkage, **by_mm: tuple[float, float]) -> Linkage:
    """Return a linkage with some of its points elsewhere, by so many mm."""
    places = [
        (x + by_mm[name][0] / 1000, y + by_mm[name][1] / 1000) if name in by_mm else (x, y)
        for name, (x, y) in zip(one.names, one.places, strict=True)
    ]
    return replace(one, places=tuple(places))
