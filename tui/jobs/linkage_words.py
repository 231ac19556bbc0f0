"""What can be wrong with a drawn linkage, in words that name its points and bars."""

from __future__ import annotations

from physics.units import quoted

LINKAGE_WORDS = {
    "point_twice": (
        "more than one point has the name {names}",
        "a name of its own for each point is accepted",
    ),
    "point_unknown": ("no point has the name {names}", "the name of a point is accepted"),
    "point_without_bars": ("no bar leads to {names}", "points that are fixed or held by bars are accepted"),
    "bar_between_fixed": ("{names} joins two fixed points", "bars with at least one moving end are accepted"),
    "bar_twice": ("{names} is there a second time", "each bar once is accepted"),
    "bar_without_length": ("{names} has no length", "two points that lie apart are accepted"),
    "shock_without_length": ("both eyes lie at one place", "two points that lie apart are accepted"),
    "axle_fixed": ("{names} is fixed, the wheel could not move", "a moving point is accepted"),
    "shock_fixed": (
        "both eyes are fixed, nothing could shorten the shock",
        "at least one moving eye is accepted",
    ),
    "loose": (
        "too few bars, by {surplus}: with the shock held {names} can still move",
        "bars that leave one way to move are accepted: three points of one part take three, four take five",
    ),
    "braced": (
        "too many bars, by {surplus}: nothing can move; to take out: {names}",
        "bars that leave one way to move are accepted",
    ),
    "shock_still": (
        "the mechanism moves without making this shock shorter",
        "eyes on parts that move against each other are accepted",
    ),
    "longer_than_shock": (
        "as long as the drawn shock or longer",
        "a stroke below the drawn eye-to-eye of {eye_to_eye} is accepted",
    ),
    "locks": (
        "the linkage locks after {at_stroke} of stroke: {names} would have to stretch",
        "points that let the shock use its full stroke are accepted",
    ),
    "jumps": (
        "after {at_stroke} of stroke the linkage could fold either way: {names} in line",
        "points that leave one way to go are accepted",
    ),
    "axle_falls": (
        "{names} does not rise as the shock shortens, after {at_stroke} of stroke",
        "an axle that rises all through the stroke is accepted; y counts up in mm and down in pixels",
    ),
    "eyes_differ": (
        "{typed} was typed, but the drawn eyes are {drawn} apart",
        "a difference of up to 5 % is accepted; check the points, the known length and the shock",
    ),
}
"""By code of the fault: what is wrong, and what is accepted; `names` are those of points and bars."""


def spoken(names: tuple[str | tuple[str, str], ...]) -> str:
    """Name points and bars: "axle", bar main to axle."""
    return ", ".join(
        quoted(name) if isinstance(name, str) else f"bar {quoted(name[0])} to {quoted(name[1])}"
        for name in names
    )
