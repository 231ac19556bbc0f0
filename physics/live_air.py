"""The air of a shock over time: the temperature of every chamber, and the flow through the port.

In each step a chamber of fixed mass first follows its isentrope, T ρ^−κ constant with κ = (R/c_v) [1 + (B + T
B′) ρ + C ρ²] as the mean of both ends (real air, `physics.gas`), and then relaxes to the wall temperature
with its time constant: together dT/dt = (T_wall − T)/τ − (T/c_v) (∂p/∂T)_v dv/dt. Flow through a port between
two chambers carries its enthalpy.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from physics import gas
from physics.arrays import Values
from physics.frozen import dataclass
from physics.lanes import Floats, Maths, Number

_CHOKED = 0.5283
"""Critical pressure ratio (2/(γ+1))^(γ/(γ−1)) of a diatomic gas: below it the flow is choked."""


@dataclass(frozen=True, slots=True)
class TimedChamber:
    """One chamber: signed `area` [m²], V = volume − area·x, mass of air [kg], thermal time constant [s]."""

    area: Number
    volume: Number
    mass: Number
    time_constant: Number


@dataclass(frozen=True, slots=True)
class Port:
    """Port between the first two chambers: stroke `at` [m] (−1: none), `length` [m], flow `area` [m²].

    It is open while the piston is within half its length; the area includes the discharge coefficient.
    """

    at: Number = -1.0
    length: Number = 0.0
    area: Number = 0.0


class LiveAir:
    """The present state of the chambers of one lane or of many.

    `mass` [kg], temperature `warmth` [K] and `pressure` [Pa] are per chamber. The initial state is at stroke
    `x` [m] with the air at `warmth`, by default the wall temperature.
    """

    __slots__ = (
        "_closes", "_density", "_fixed", "_heat", "_maths", "_meets", "_opens", "_port", "_step", "_times",
        "_volume", "_wall", "_x", "kappa", "mass", "pressure", "warmth",
    )  # fmt: skip

    def __init__(
        self,
        chambers: Sequence[TimedChamber],
        port: Port,
        wall: Number,
        outside: Number,
        x: Number,
        maths: Maths,
        warmth: Sequence[Number] | None = None,
    ) -> None:
        nothing = 0.0 * x
        self._times = [one.time_constant for one in chambers]
        self._fixed = [(one.area, one.volume, one.area * outside, 0.0) for one in chambers]
        self.mass = [one.mass for one in chambers]
        self.warmth = [wall + nothing for _ in chambers] if warmth is None else list(warmth)
        self.pressure, self._heat, self.kappa = ([nothing for _ in chambers] for _ in range(3))
        self._volume = [one.volume - one.area * x for one in chambers]
        self._density = [mass / volume for mass, volume in zip(self.mass, self._volume, strict=True)]
        self._port, self._wall, self._maths, self._x = port, wall, maths, x
        self._meets = maths.any(port.at > 0)
        self._opens, self._closes = port.at - port.length / 2, port.at + port.length / 2
        self._step = 0.0
        self.moved_to(x)

    def begin(self, step: float) -> None:
        """Set the duration `step` [s] of further moves; the first move only finds the initial pressures."""
        self._step = step
        losing = [self._maths.lost(step / time) for time in self._times]
        self._fixed = [(*fixed[:3], lost) for fixed, lost in zip(self._fixed, losing, strict=True)]

    def moved_to(self, x: Number) -> tuple[Number, Number]:
        """Move the piston to stroke `x` [m] in one step; return shaft force [N] and rate [N/m]."""
        mass, warmth, density, volume = self.mass, self.warmth, self._density, self._volume
        pressure, kappa, wall = self.pressure, self.kappa, self._wall
        before = pressure.copy() if self._meets else pressure
        force = rate = 0.0
        for n, (area, whole, behind, losing) in enumerate(self._fixed):
            room = whole - area * x
            dense = mass[n] / room
            p, hot, exponent, heat = gas.squeezed(warmth[n], kappa[n], dense / density[n], dense)
            cooler = losing * (wall - hot)
            p = p + exponent * heat * dense * cooler  # (∂p/∂T)_v = κ c_v ρ
            push = area * p
            force = force + (push - behind)
            rate = rate + area * push * (1.0 + exponent) / room
            pressure[n], warmth[n], density[n] = p, hot + cooler, dense
            volume[n], kappa[n], self._heat[n] = room, exponent, heat
        if self._meets:
            reach = self._within_port(x)
            if reach is not None and self._step:
                pushed = [area * p for (area, *_), p in zip(self._fixed, pressure, strict=True)]
                self._cross(reach * self._port.area * self._step, before)
                for (area, *_), p, old in zip(self._fixed, pressure, pushed, strict=True):
                    force = force + (area * p - old)
            self._x = x
        return force, rate

    def _within_port(self, x: Number) -> Number:
        """Return the fraction of a step to stroke `x` [m] during which the port is open, None if never."""
        maths = self._maths
        low, high = maths.least(self._x, x), maths.largest(self._x, x)
        inside = maths.least(high, self._closes) - maths.largest(low, self._opens)
        if not maths.any(inside >= 0):
            return None
        still = high - low < 1e-9
        share = maths.largest(inside, 0.0) / maths.where(still, 1.0, high - low)
        return maths.where(still, 1.0 * (inside >= 0), share)

    def _cross(self, opening: Number, before: Sequence[Number]) -> None:
        """Let air flow between the first two chambers through an `opening` of flow area times time [m² s].

        Compressible orifice flow of an ideal gas at the mean pressures of the step (`before` [Pa] at its
        start), carrying the enthalpy of the upstream chamber. The pressure difference decays with constant
        d√Δp/dt, so the pressures equalise without overshoot.
        """
        maths, mass, warmth, density = self._maths, self.mass, self.warmth, self._density
        volume, pressure = self._volume, self.pressure
        p0, p1 = 0.5 * (before[0] + pressure[0]), 0.5 * (before[1] + pressure[1])
        out = maths.where(p0 >= p1, 1.0, -1.0)
        p_up, p_down = maths.largest(p0, p1), maths.least(p0, p1)
        T_up = maths.where(out > 0, warmth[0], warmth[1])
        dense_up = maths.where(out > 0, density[0], density[1])
        ratio = maths.largest(p_down / p_up, _CHOKED)
        psi = maths.sqrt(maths.largest(7.0 * (ratio ** (10.0 / 7.0) - ratio ** (12.0 / 7.0)), 0.0))
        free = opening * p_up * psi / maths.sqrt(gas.GAS_CONSTANT * T_up)
        even = (p_up - p_down) / (1.4 * gas.GAS_CONSTANT * T_up * (1.0 / volume[0] + 1.0 / volume[1]))
        left = maths.largest(1.0 - 0.5 * free / maths.largest(even, 1e-15), 0.0)
        moved = even * (1.0 - left * left) * out
        enthalpy = gas.energy(T_up, dense_up) + p_up / dense_up
        for n, sign in ((0, -1.0), (1, 1.0)):
            grown = mass[n] + sign * moved
            held = (mass[n] * gas.energy(warmth[n], density[n]) + sign * moved * enthalpy) / grown
            dense = grown / volume[n]
            warm = warmth[n] + (held - gas.energy(warmth[n], dense)) / self._heat[n]
            pressure[n] = pressure[n] * (dense * warm) / (density[n] * warmth[n])
            mass[n], density[n], warmth[n] = grown, dense, warm


@dataclass(frozen=True, slots=True)
class Driven:
    """The air along a given stroke: `force` [N] of all chambers on the shaft, (points,).

    Per chamber, (chambers, points): `pressure` [Pa absolute] and temperature `warmth` [K].
    """

    force: Values
    pressure: Values
    warmth: Values


def driven(
    chambers: Sequence[TimedChamber],
    port: Port,
    wall: float,
    outside: float,
    stroke: Values,
    step: float,
    warmth: Sequence[float] | None = None,
) -> Driven:
    """Return the air of a shock along `stroke` (points,) [m], one point every `step` [s].

    The air starts at `warmth` [K], by default the `wall` temperature; `outside` is in Pa absolute.

    >>> still = driven([TimedChamber(1e-3, 100e-6, 1e-3, 4.0)], Port(), 293.15, 1e5, np.full(3, 0.01), 1e-3)
    >>> still.warmth.round(2).tolist()  # no motion, no heating
    [[293.15, 293.15, 293.15]]
    """
    path = stroke.tolist()
    air = LiveAir(chambers, port, wall, outside, path[0], Floats(), warmth)
    told = []
    for x in path:
        force, _rate = air.moved_to(x)
        told.append((force, *air.pressure, *air.warmth))
        if len(told) == 1:
            air.begin(step)
    table = np.array(told).T
    count = len(chambers)
    return Driven(table[0], table[1 : count + 1], table[count + 1 :])
