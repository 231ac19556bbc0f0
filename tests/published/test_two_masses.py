"""The published two-mass system: eigenvalues and mode ratio, by the equations that rides are stepped with."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.linalg import eig
from scipy.optimize import least_squares

from physics.arrays import Values, values
from physics.limits import STANDARD_GRAVITY
from physics.live_air import Port
from physics.motion import CELLS, COLUMNS, DAMPER_CELLS, FASTEST, Lane, Start, cells_of, stepped

SPRUNG, UNSPRUNG, SPRING, TYRE = 317.5, 45.4, 22e3, 192e3
"""kg and N/m: Barton & Fieldhouse, Automotive Chassis Engineering, p. 209, Eq. 3.81 to 3.84."""


def lane() -> Lane:
    """Return that system as a lane: a linear spring straight over the wheel, at rest under its load."""
    travel = 0.4
    wheel = values(np.linspace(0.0, travel, CELLS + 1))
    still = values(np.linspace(-FASTEST, FASTEST, DAMPER_CELLS + 1) * 0.0)
    return Lane(
        mass=SPRUNG, unsprung=UNSPRUNG, tyre_stiffness=TYRE, tyre_damping=0.0, gravity=STANDARD_GRAVITY,
        travel=travel, places=cells_of(np.stack([wheel, np.ones_like(wheel), SPRING * wheel])),
        damping=cells_of(still[None, :]), friction=0.0, air=(), port=Port(), wall=293.15, outside=101_325.0,
        start=SPRUNG * STANDARD_GRAVITY / SPRING,
    )  # fmt: skip


def modes() -> tuple[list[float], list[float]]:
    """Return angular frequencies [rad/s] and amplitude ratios z_s/z_u by a general eigenvalue routine."""
    stiffness = np.array([[SPRING, -SPRING], [-SPRING, SPRING + TYRE]])
    squares, shapes = eig(stiffness, np.diag([SPRUNG, UNSPRUNG]))
    order = np.argsort(squares.real)
    ratios = (shapes[0] / shapes[1])[order].real
    return [math.sqrt(squares.real[n]) for n in order], ratios.tolist()


def test_frequencies_and_mode_ratio_as_printed() -> None:
    """Printed: 7.87 and 68.73 rad/s, 1.25 and 10.9 Hz, mode ratio 0.104 (z_u/z_s of the body's mode).

    The eigenvalues are 7.879 and 68.709: the printed ω carry the rounding of the coefficients they come from.
    """
    waves, ratios = modes()
    assert waves == pytest.approx([7.87, 68.73], rel=1.5e-3)
    assert [wave / (2 * math.pi) for wave in waves] == pytest.approx([1.25, 10.9], abs=0.05)
    assert 1 / ratios[0] == pytest.approx(0.104, abs=0.0005)


def test_a_ride_swings_in_both_modes_and_nothing_else() -> None:
    """After a short bump of 0.1 mm: frequencies to 1e-6 and mode ratios to 1e-4 of the eigenvalues."""
    waves, ratios = modes()
    step = 0.5e-3
    time = np.arange(round(6.0 / step) + 1) * step
    bump = values(1e-4 * np.exp(-(((time - 0.1) / 0.01) ** 2)))
    kept = stepped([lane()], [Start()], [(bump, values(np.gradient(bump, step)))], step)[0]
    late = time > 0.3
    height, axle = (kept[COLUMNS.index(name), late] for name in ("height", "axle"))
    time = time[late]

    def parts(frequencies: Values) -> Values:
        turns = [turn(one * time) for one in frequencies for turn in (np.sin, np.cos)]
        return values(np.stack([*turns, np.ones_like(time)], axis=-1))

    def left_over(frequencies: Values) -> Values:
        there = parts(frequencies)
        return values(there @ np.linalg.lstsq(there, axle, rcond=None)[0] - axle) * 1e4

    found = least_squares(left_over, waves, xtol=1e-14, ftol=1e-14, gtol=1e-14).x
    assert found == pytest.approx(waves, rel=1e-6)
    assert np.abs(left_over(found)).max() < 1e-8
    of_height, of_axle = (np.linalg.lstsq(parts(found), part, rcond=None)[0] for part in (height, axle))
    for n in range(2):
        largest = 2 * n + int(np.argmax(np.abs(of_axle[2 * n : 2 * n + 2])))
        assert of_height[largest] / of_axle[largest] == pytest.approx(ratios[n], rel=1e-4)
