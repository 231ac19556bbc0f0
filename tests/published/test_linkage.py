"""The four-bar of Norton, Design of Machinery: its two branches and the speed of its follower.

Lengths second-hand, angles from memory and recomputed.
"""

import math

import numpy as np
import pytest

from physics.case import Linkage
from physics.linkage import Motion, move

# Norton, Design of Machinery, Ex. 4-1: crank 40, coupler 120, rocker 80, ground 100, crank at 40°.
CRANK, COUPLER, ROCKER, GROUND, AT = 0.040, 0.120, 0.080, 0.100, math.radians(40)
OPEN, CROSSED = (0.143189988, 0.067339624), (0.088859288, -0.079220481)
ANGLES = {"open": (OPEN, 20.298, 57.325), "crossed": (CROSSED, -60.978, -98.005)}
EYE = (-0.020, 0.090)


def four_bar(crank: float, branch: str, axle: str) -> Linkage:
    """Return the four-bar drawn with its crank at an angle, a shock between crank and frame driving it."""
    a = (CRANK * math.cos(crank), CRANK * math.sin(crank))
    b = meeting(a, COUPLER, (GROUND, 0.0), ROCKER, 1.0 if branch == "open" else -1.0)
    return Linkage(
        ("O2", "A", "B", "O4", "eye"),
        ((0.0, 0.0), a, b, (GROUND, 0.0), EYE),
        ("O2", "O4", "eye"),
        (("O2", "A"), ("A", "B"), ("O4", "B")),
        axle,
        ("A", "eye"),
    )


def meeting(
    one: tuple[float, float], r: float, other: tuple[float, float], s: float, side: float
) -> tuple[float, float]:
    """Return where two circles meet, on the left of the line between their centres for side = 1."""
    dx, dy = other[0] - one[0], other[1] - one[1]
    gap = math.hypot(dx, dy)
    along = (r**2 - s**2 + gap**2) / (2 * gap)
    across = side * math.sqrt(r**2 - along**2)
    return (one[0] + (along * dx - across * dy) / gap, one[1] + (along * dy + across * dx) / gap)


def moved_to_forty_degrees(branch: str, axle: str) -> Motion:
    """Return the four-bar's motion from its crank at 35° until the shock has turned it to 40°."""
    start = four_bar(math.radians(35), branch, axle)
    end = (CRANK * math.cos(AT), CRANK * math.sin(AT))
    return move(start, math.dist(start.places[1], EYE) - math.dist(end, EYE))


@pytest.mark.parametrize("branch", ANGLES)
def test_norton_example_4_1_both_branches(branch: str) -> None:
    b, coupler, rocker = ANGLES[branch]
    _, at_a, at_b, at_o4, _ = moved_to_forty_degrees(branch, "B").places[-1]
    # Norton, Ex. 4-1: B and the angles θ₃, θ₄ of coupler and rocker.
    assert at_b == pytest.approx(b, abs=5e-10)
    assert math.degrees(math.atan2(*(at_b - at_a)[::-1])) == pytest.approx(coupler, abs=6e-4)
    assert math.degrees(math.atan2(*(at_b - at_o4)[::-1])) == pytest.approx(rocker, abs=6e-4)


def rocker_per_crank(branch: str) -> float:
    """Return dθ₄/dθ₂ at 40° from two leverages: dy_B = c cos θ₄ dθ₄ and dy_A = a cos θ₂ dθ₂."""
    as_rocker, as_crank = (moved_to_forty_degrees(branch, axle) for axle in ("B", "A"))
    _, _, at_b, at_o4, _ = as_rocker.places[-1]
    turned = as_rocker.ratio[-1] / (at_b - at_o4)[0]
    return float(turned / (as_crank.ratio[-1] / (CRANK * math.cos(AT))))


def test_norton_example_6_7_speed_of_the_rocker() -> None:
    # Norton, Ex. 6-7: at ω₂ = 25, ω₄ = 6.998, so dθ₄/dθ₂ = 0.279 919.
    assert rocker_per_crank("open") == pytest.approx(0.279919, abs=6e-7)
    assert 25 * rocker_per_crank("open") == pytest.approx(6.998, abs=6e-4)


@pytest.mark.parametrize("branch", ANGLES)
def test_speed_of_the_rocker_by_the_sines_of_the_loop(branch: str) -> None:
    # The loop's velocities: dθ₄/dθ₂ = a sin(θ₂ − θ₃)/(c sin(θ₄ − θ₃)).
    _, coupler, rocker = (np.radians(part) for part in ANGLES[branch])
    expected = CRANK * math.sin(AT - coupler) / (ROCKER * math.sin(rocker - coupler))
    assert rocker_per_crank(branch) == pytest.approx(expected, abs=2e-5)


def test_norton_example_6_7_speed_of_the_coupler() -> None:
    # Norton, Ex. 6-7: ω₃ = −4.121 at ω₂ = 25; from differences of the coupler's angle over the last steps.
    motion = moved_to_forty_degrees("open", "A")
    angle = np.unwrap(np.arctan2(*(motion.places[:, 2] - motion.places[:, 1]).T[::-1]))
    crank = np.arctan2(motion.places[:, 1, 1], motion.places[:, 1, 0])
    slope = np.gradient(angle, crank, edge_order=2)[-1]
    assert 25 * slope == pytest.approx(-4.121, abs=1e-3)
