"""A spring tester and invented shocks to put on it."""

from dataclasses import replace

import numpy as np

from physics.arrays import Values, values
from physics.case import Case, Coil, EqualisedNegative, Negative, SeparateNegative, Setup
from physics.loop import Loop, loop_of, ways
from physics.shock import shock_of
from physics.stand import stand
from tests.physics.examples import BARE_AIR, BUMPER, GAS, LBF_IN, PSI, SEA, SHOP, case_of

FULL = 0.060
TOP = 0.058


def there_and_back(readings: int = 39, top: float = TOP) -> Values:
    """Return strokes of one slow stroke in and out."""
    way_in = np.linspace(0.0, top, (readings + 1) // 2)
    return values(np.concatenate([way_in, way_in[-2::-1]]))


def on_tester(setup: Setup, stroke: Values, noise: Values | float) -> tuple[Case, Loop]:
    """Return the case and the readings of a setup whose force is off by `noise` [N]."""
    case = case_of(setup)
    spring = shock_of(setup, stand(case).lever, SHOP).at(stroke).force
    return case, loop_of(stroke, spring + ways(stroke) * setup.friction + noise)


def a_coil(rng: np.random.Generator) -> tuple[Setup, dict[str, float]]:
    """Return an invented coil, at times with damper gas and bumper, and what is true of it."""
    rate, preload, friction = rng.uniform(50e3, 120e3), rng.uniform(0.0, 4e-3), rng.uniform(5.0, 30.0)
    extras = (GAS, BUMPER) if rng.random() < 0.5 else (None, None)
    setup = Setup("coil", Coil(rate, preload, 25 * LBF_IN), friction, *extras)
    return setup, {"rate": rate, "preload": preload, "friction": friction}


def an_air(rng: np.random.Generator, *, equalised: bool) -> tuple[Setup, dict[str, float]]:
    """Return an invented air spring with two chambers and spacers, and what is true of it."""
    swept = np.pi / 4 * (0.040**2 - 0.009**2) * FULL
    ratio = rng.uniform(2.0, 4.0)
    room = swept * ratio / (ratio - 1)
    second, port = rng.uniform(0.1, 0.4) * room, rng.uniform(3e-3, 12e-3)
    spacers = float(rng.integers(0, 3))
    negative: Negative = (
        EqualisedNegative(second, 0, 4e-6, port)
        if equalised
        else SeparateNegative(second, 0, 3e-6, 150 * PSI + SEA)
    )
    spring = replace(
        BARE_AIR,
        pressure=rng.uniform(120, 250) * PSI + SEA,
        positive_volume=room + spacers * 6e-6,
        positive_spacers=spacers,
        negative=negative,
    )
    friction = rng.uniform(10.0, 40.0)
    setup = Setup("air", spring, friction)
    true = {"positive_volume": room + spacers * 6e-6, "negative_volume": second, "friction": friction}
    return setup, true | ({"port": port} if equalised else {})


def a_shock(rng: np.random.Generator) -> tuple[Setup, dict[str, float]]:
    """Return any of the three."""
    kind = rng.integers(3)
    return a_coil(rng) if kind == 0 else an_air(rng, equalised=bool(kind == 1))
