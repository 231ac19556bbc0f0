"""Weight shares and simple oscillators against the literature."""

import numpy as np
import pytest

from physics.arrays import values
from physics.bench import answer
from physics.case import (
    Ambient,
    Case,
    Coil,
    Frame,
    LeverageEnds,
    MassCentre,
    ScaleReading,
    Setup,
    Target,
)
from physics.limits import STANDARD_GRAVITY
from physics.stand import axle_share

SHOP = Ambient(293.15, 101_325.0)


def test_rear_share_of_the_benchmark_bicycle() -> None:
    # Source: Meijaard et al., Proc. R. Soc. A 463 (2007), benchmark bicycle: 66.5 % on the rear wheel; its
    # table of masses and positions from memory. x counts forward from the rear contact, wheelbase 1.02 m.
    masses = {"rear wheel": 2.0, "rider and frame": 85.0, "fork and bar": 4.0, "front wheel": 3.0}
    ahead = {"rear wheel": 0.0, "rider and frame": 0.3, "fork and bar": 0.9, "front wheel": 1.02}
    heights = {"rear wheel": 0.3, "rider and frame": 0.9, "fork and bar": 0.7, "front wheel": 0.35}
    total = sum(masses.values())
    centre = sum(masses[part] * ahead[part] for part in masses) / total
    height = sum(masses[part] * heights[part] for part in masses) / total
    bike = MassCentre(total, 1.02, 1.02 - centre, height, 0.0, "rear", 0.0)
    assert axle_share(bike) == pytest.approx(0.665, abs=5e-4)


def test_natural_frequency_of_a_linear_spring_without_preload_hangs_on_sag_alone() -> None:
    # Source: f = √(g/sag)/2π (any vibrations text): 2.49 Hz at 40 mm.
    frame = Frame(0.160, 0.064, LeverageEnds(2.5, 2.5))
    case = Case(
        ScaleReading(70.0, 4.0), frame, Target(0.25, "travel"), SHOP, (Setup("c", Coil(None, 0.0, 4378.0)),)
    )
    found = answer(case).setups[0]
    assert found.sag.wheel == pytest.approx(0.040)
    assert found.figures.natural_frequency == pytest.approx(2.49, abs=5e-3)
    assert found.figures.natural_frequency == pytest.approx(np.sqrt(STANDARD_GRAVITY / 0.040) / 2 / np.pi)


def test_free_fall() -> None:
    # Source: v = √(2 g h): 2.214, 3.132, 4.429 m/s from 0.25, 0.5 and 1 m; checks the gravity of the model.
    speed = np.sqrt(2 * STANDARD_GRAVITY * np.array([0.25, 0.5, 1.0]))
    assert speed == pytest.approx([2.214, 3.132, 4.429], abs=6e-4)


def test_a_drop_from_the_yardstick_height_takes_the_whole_energy() -> None:
    # Source: conservation of energy, m g (h + W) = ∫ F_w dw; a linear spring takes k W²/2.
    frame = Frame(0.160, 0.064, LeverageEnds(2.5, 2.5))
    coil = Setup("c", Coil(80e3, 0.0, 4378.0))
    case = Case(ScaleReading(70.0, 4.0), frame, Target(0.25, "travel"), SHOP, (coil,))
    found = answer(case).setups[0].figures
    speed = np.sqrt(2 * STANDARD_GRAVITY * found.drop_height)
    kinetic = 66.0 * speed**2 / 2
    stored = 80e3 / 2.5**2 * 0.160**2 / 2
    assert kinetic + 66.0 * STANDARD_GRAVITY * 0.160 == pytest.approx(stored)
    assert values(found.energy_total) == pytest.approx(stored)
