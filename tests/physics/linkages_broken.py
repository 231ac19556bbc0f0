"""Linkages that are none, each with the one fault it has."""

import math
from dataclasses import dataclass, replace

from physics.case import Linkage
from tests.physics.linkages import FRONT_LINK, PARALLELOGRAM, SINGLE, linkage

Names = tuple[str | tuple[str, str], ...]
Path = tuple[str | int, ...]


@dataclass(frozen=True)
class Broken:
    """A linkage with where its fault stands, the code of it and the points and bars it names."""

    code: str
    place: Path
    names: Names
    linkage: Linkage
    stroke: float = 0.055
    eye_to_eye: float | None = None


def bar_more(one: Linkage, *pair: str) -> Linkage:
    return replace(one, bars=(*one.bars, (pair[0], pair[1])))


def point_more(one: Linkage, name: str, x: float, y: float) -> Linkage:
    return replace(one, names=(*one.names, name), places=(*one.places, (x, y)))


_C, _S = 100 * math.cos(-0.3), 100 * math.sin(-0.3)
FOLDING = linkage(
    {
        "a": (0, 0),
        "b": (200, 0),
        "c": (_C, _S),
        "d": (200 + _C, _S),
        "axle": (400 + _C, _S),
        "front": (100, 300),
    },
    "a b front",
    "a-c b-d c-d c-axle d-axle",
    "c-front",
)
"""Two cranks and the bar between them pass through one line, where they could go either way."""
BRACED_THIRD = linkage(
    {"a": (0, 0), "b": (0, 120), "c": (150, -20), "d": (150, 100), "axle": (430, 20), "front": (110, 190)}
    | {"m": (0, 60), "n": (148, 45)},
    "a b m front",
    "a-c b-d c-d c-axle d-axle c-n d-n m-n",
    "c-front",
)
"""A third crank that is not quite parallel."""

BROKEN: tuple[Broken, ...] = (
    Broken("point_twice", (), ("front",), point_more(SINGLE, "front", 0.1, 0.1)),
    Broken("point_unknown", ("fixed", 2), ("mian",), replace(SINGLE, fixed=("main", "front", "mian"))),
    Broken("point_unknown", ("axle",), ("axel",), replace(SINGLE, axle="axel")),
    Broken("point_unknown", ("shock",), ("eyes",), replace(SINGLE, shock=("eyes", "front"))),
    Broken("point_unknown", ("bars", 3), ("axel",), bar_more(SINGLE, "axel", "eye")),
    Broken("point_without_bars", (), ("spare",), point_more(SINGLE, "spare", 0.1, 0.1)),
    Broken("bar_between_fixed", ("bars", 3), (("main", "front"),), bar_more(SINGLE, "main", "front")),
    Broken("bar_twice", ("bars", 3), (("axle", "main"),), bar_more(SINGLE, "axle", "main")),
    Broken("bar_without_length", ("bars", 3), (("eye", "eye"),), bar_more(SINGLE, "eye", "eye")),
    Broken(
        "bar_without_length",
        ("bars", 3),
        (("eye", "same"),),
        bar_more(point_more(SINGLE, "same", 0.120, 0.090), "eye", "same"),
    ),
    Broken("shock_without_length", ("shock",), (("eye", "eye"),), replace(SINGLE, shock=("eye", "eye"))),
    Broken("axle_fixed", ("axle",), ("main",), replace(SINGLE, axle="main")),
    Broken("shock_fixed", ("shock",), (("main", "front"),), replace(SINGLE, shock=("main", "front"))),
    Broken("loose", (), ("axle",), replace(SINGLE, bars=SINGLE.bars[:2])),
    Broken("loose", (), ("axle",), replace(FRONT_LINK, bars=(*FRONT_LINK.bars[:2], *FRONT_LINK.bars[3:]))),
    Broken("braced", ("bars", 3), (("eye", "front"),), bar_more(SINGLE, "eye", "front")),
    Broken(
        "braced",
        ("bars", 7),
        (("a", "c"), ("b", "d"), ("c", "d"), ("c", "n"), ("d", "n"), ("m", "n")),
        BRACED_THIRD,
    ),
    Broken("shock_still", ("shock",), (("main", "axle"),), replace(SINGLE, shock=("main", "axle"))),
    Broken("longer_than_shock", (), (), SINGLE, stroke=0.24),
    Broken("locks", ("bars", 1), (("main", "eye"),), SINGLE, stroke=0.090),
    Broken("jumps", ("bars", 0), (("a", "c"), ("b", "d"), ("c", "d")), FOLDING),
    Broken(
        "axle_falls",
        ("axle",),
        ("axle",),
        replace(SINGLE, places=(*SINGLE.places[:3], (0.02, -0.20))),
        stroke=0.03,
    ),
    Broken("eyes_differ", (), (), PARALLELOGRAM, eye_to_eye=0.230),
)
