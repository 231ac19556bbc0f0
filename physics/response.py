"""Frequency response about sag: travel and sprung mass for a sinusoidal ground.

Linearised at the sag point. The air is between isothermal and adiabatic, for an ideal gas with the complex
exponent n(ω) = (1 + γ jωτ)/(1 + jωτ). The damping is the slope at the lowest speeds, as the mean of both
directions. The tyre stays on the ground. Seal friction, which in reality suppresses small oscillations, is
left out.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from physics import gas
from physics.answer import Answer, Sag, SetupAnswer, freeze
from physics.arrays import Values, per_point, values
from physics.case import Case, DampingShare
from physics.damper import slope_at_rest, with_usual
from physics.frozen import dataclass
from physics.ground import Course
from physics.limits import STANDARD_GRAVITY
from physics.motion import Lane
from physics.ride import Standing, lanes_of, standing

Complex = NDArray[np.complex128]


@dataclass(frozen=True, slots=True)
class Response:
    """Transfer functions of the ground over `frequency` (points,) [Hz], complex, (setups, points).

    `travel` w/z_r and `height` z_s/z_r are dimensionless, `acceleration` z_s″/z_r in 1/s²; NaN where a setup
    does not settle. The magnitude is the amplitude ratio, a positive angle is a phase lead over the ground.
    """

    frequency: Values
    travel: Complex
    height: Complex
    acceleration: Complex


FREQUENCIES = values(np.geomspace(0.3, 40.0, 241))
"""Frequencies [Hz] of a chart, from below the body's natural frequency to above tyre hop."""


def response(case: Case, found: Answer, frequency: Values = FREQUENCIES) -> Response:
    """Return the frequency response of each setup of a case; `found` is the bench's answer to the case.

    >>> from physics.bench import answer
    >>> from physics.case import Ambient, Coil, Frame, LeverageEnds, ScaleReading, Setup, Target
    >>> frame, shop = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Ambient(293.15, 101_325.0)
    >>> coil = Setup("coil", Coil(None, 0.0, 4378.0))
    >>> case = Case(ScaleReading(60.0, 4.0), frame, Target(0.30, "travel"), shop, (coil,))
    >>> slow = response(case, answer(case), values([0.01]))
    >>> round(float(abs(slow.height[0, 0])), 3), round(float(abs(slow.travel[0, 0])), 3)  # follows the ground
    (1.0, 0.0)
    """
    level = values(np.zeros(2))
    omega = 2 * np.pi * values(frequency)
    rows = [
        np.full((2, len(omega)), np.nan + 0j) if lane is None else _one(case, one, lane, omega)
        for lane, one in zip(lanes_of(case, found, Course(1e-3, level, level)), found.setups, strict=True)
    ]
    sprung, axle = np.stack(rows, axis=1)
    answered = Response(values(frequency), axle - sprung, sprung, -(omega**2) * sprung)
    freeze(answered)
    return answered


def _one(case: Case, found: SetupAnswer, lane: Lane, omega: Values) -> Complex:
    """Return z_s/z_r and z_u/z_r of one setup, (2, points).

    −ω² m z_s = Z (z_u − z_s) and −ω² m_u z_u = Z_t (z_r − z_u) − Z (z_u − z_s), Z = k + jωc of suspension and
    tyre.
    """
    stood = standing(case, found, values(lane.mass * STANDARD_GRAVITY))
    between = wheel_rate(stood, lane, omega) + 1j * omega * wheel_damping(found, stood.sag)
    tyre = lane.tyre_stiffness + 1j * omega * lane.tyre_damping
    m, mu = -(omega**2) * lane.mass + between, -(omega**2) * lane.unsprung + between + tyre
    determinant = m * mu - between * between
    return np.stack([between * tyre / determinant, m * tyre / determinant])


def wheel_damping(found: SetupAnswer, sag: Sag) -> float:
    """Return the damping at the wheel [N s/m] at sag and the lowest speeds, the mean of both directions."""
    damper, critical = with_usual(found.setup.damper), float(found.riding.critical_damping)
    ways = (damper.compression or DampingShare(0.0), damper.rebound or DampingShare(0.0))
    return sum(slope_at_rest(way, critical) for way in ways) / 2 / float(sag.ratio) ** 2


def wheel_rate(stood: Standing, lane: Lane, omega: Values) -> Complex:
    """Return the complex wheel rate [N/m] at sag over angular frequencies (points,) [rad/s].

    The air of a chamber has the rate A² (ρ/V) [(∂p/∂ρ)_T + ((∂p/∂ρ)_s − (∂p/∂ρ)_T) jωτ/(1 + jωτ)] at the
    shaft.
    """
    sag = stood.sag
    rate = np.full(len(omega), float(stood.shock.still(per_point(sag.stroke))[1][0]), dtype=complex)
    for chamber in lane.air:
        volume = chamber.volume - chamber.area * float(sag.stroke)
        density = chamber.mass / volume
        slow, fast = (float(law(density, lane.wall)[1]) for law in (gas.isotherm, gas.isentrope))
        lagging = 1j * omega * chamber.time_constant
        rate += chamber.area**2 * density / volume * (slow + (fast - slow) * lagging / (1 + lagging))
    ratio, slope, force = (float(part) for part in (sag.ratio, sag.slope, sag.shaft_force))
    return np.asarray((rate - force * slope) / ratio**2, dtype=complex)
