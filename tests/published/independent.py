"""The model worked out a second way, sharing no code with the product.

Air from the CoolProp equation of state, stroke from an ODE solver, energies by adaptive quadrature, sag and
pressure by Brent's bracketing, slopes by central differences. Scalars only, SI, gauge where it says so.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import CoolProp.CoolProp as coolprop
import numpy as np
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

G = 9.80665
Law = Callable[[float], float]


class RealAir:
    """CoolProp's "Air", p and s in SI from density and temperature or entropy."""

    def __init__(self) -> None:
        self.state = coolprop.AbstractState("HEOS", "Air")

    def pressure(self, rho: float, T: float) -> float:
        self.state.update(coolprop.DmassT_INPUTS, rho, T)
        return float(self.state.p())

    def density(self, p: float, T: float) -> float:
        self.state.update(coolprop.PT_INPUTS, p, T)
        return float(self.state.rhomass())

    def along_isentrope(self, rho: float, T_start: float, rho_start: float) -> float:
        self.state.update(coolprop.DmassT_INPUTS, rho_start, T_start)
        self.state.update(coolprop.DmassSmass_INPUTS, rho, self.state.smass())
        return float(self.state.p())


AIR = RealAir()


@dataclass
class Lever:
    """Closed leverage: `raw` is L(w) as known."""

    raw: Law
    travel: float
    stroke: float
    error: float = field(init=False)
    x: Law = field(init=False)

    def __post_init__(self) -> None:
        reached = quad(lambda w: 1 / self.raw(w), 0, self.travel, limit=500, epsabs=1e-13)[0]
        self.error = reached / self.stroke - 1
        path = solve_ivp(
            lambda w, _: [1 / self.ratio(w)], (0, self.travel), [0.0], "DOP853",
            rtol=1e-11, atol=1e-13, dense_output=True, max_step=self.travel / 200,
        )  # fmt: skip
        self.x = lambda w: float(path.sol(w)[0])

    def ratio(self, w: float) -> float:
        return self.raw(w) * (1 + self.error)


@dataclass
class Shock:
    """Shaft force of one setup at rest and out of a start stroke; pressures absolute."""

    T: float
    outside: float
    extras: Law
    area: float = 0.0
    volume: float = 0.0
    ring: float = 0.0
    second_volume: float = 0.0
    port: float | None = None
    second_pressure: float | None = None
    coil_negative: tuple[float, float] | None = None
    set_pressure: float = math.nan

    def densities(self, x: float) -> tuple[float, float]:
        full = AIR.density(self.set_pressure, self.T)
        positive = full * self.volume / (self.volume - self.area * x)
        negative = math.nan
        room = self.second_volume + self.ring * x
        if self.port is not None:
            met = full * self.volume / (self.volume - self.area * self.port)
            negative = met * (self.second_volume + self.ring * self.port) / room
        elif self.second_pressure is not None:
            negative = AIR.density(self.second_pressure, self.T) * self.second_volume / room
        return positive, negative

    def air(self, x: float, start: float | None) -> tuple[float, float]:
        """Return the contributions of the positive and of the negative chamber or coil."""
        if not self.area:
            return 0.0, 0.0
        here = self.densities(x)
        if start is None:
            p = [AIR.pressure(rho, self.T) if rho == rho else math.nan for rho in here]
        else:
            then = self.densities(start)
            p = [
                AIR.along_isentrope(rho, self.T, before) if rho == rho else math.nan
                for rho, before in zip(here, then, strict=True)
            ]
        pull = 0.0
        if p[1] == p[1]:
            pull = -self.ring * (p[1] - self.outside)
        if self.coil_negative:
            rate, length = self.coil_negative
            pull = -rate * max(0.0, length - x)
        return self.area * (p[0] - self.outside), pull

    def force(self, x: float, start: float | None = None) -> float:
        return sum(self.air(x, start)) + self.extras(x)

    def solve(self, x: float, force: float) -> None:
        def excess(p: float) -> float:
            self.set_pressure = p
            return self.force(x) - force

        self.set_pressure = float(brentq(excess, self.outside, 45e5, xtol=1e-3, rtol=1e-12))


@dataclass
class Ridden:
    """A shock on a lever under a static wheel force; every figure by its definition."""

    shock: Shock
    lever: Lever
    static: float
    sag: float = field(init=False)

    def __post_init__(self) -> None:
        grid = np.linspace(0, self.lever.travel, 601)
        first = next(i for i, w in enumerate(grid) if self.wheel(w) >= self.static)
        self.sag = float(
            brentq(lambda w: self.wheel(w) - self.static, grid[first - 1], grid[first], xtol=1e-13)
        )

    def wheel(self, w: float, start: float | None = None) -> float:
        return self.shock.force(self.lever.x(w), start) / self.lever.ratio(w)

    def slope(self, law: Law, at: float, h: float = 1e-5) -> float:
        return (law(at + h) - law(at - h)) / (2 * h)

    def figures(self, friction: float) -> dict[str, float]:
        W, static, mass = self.lever.travel, self.static, self.static / G
        start = self.lever.x(self.sag)
        bottom, eighty, sixty = (self.wheel(q * W) for q in (1.0, 0.8, 0.6))
        starting = max(0.0, self.shock.force(0.0)) + friction
        wheel_rate = self.slope(self.wheel, self.sag)
        total = quad(self.wheel, 0, W, limit=200, epsrel=1e-8)[0]
        fine = np.linspace(self.sag, W, 2001)
        force = np.array([self.wheel(w) for w in fine])
        off = force - (static + (bottom - static) * (fine - self.sag) / (W - self.sag))
        return {
            "starting_shaft": starting,
            "starting_wheel": starting / self.lever.ratio(0.0),
            "support_25": self.wheel(0.25 * W) / static,
            "support_50": self.wheel(0.5 * W) / static,
            "support_75": self.wheel(0.75 * W) / static,
            "bottom_wheel_force": bottom,
            "bottom_ratio": bottom / static,
            "chord_deviation": float(off[np.argmax(np.abs(off))]) / (bottom - static),
            "softest_wheel_rate": float(np.diff(force).min() / (fine[1] - fine[0])),
            "end_ramp": (bottom - eighty) / (eighty - sixty),
            "energy_total": total,
            "energy_from_sag": quad(self.wheel, self.sag, W, limit=200, epsrel=1e-8)[0],
            "drop_height": total / static - W,
            "wheel_rate_at_sag": wheel_rate,
            "rate_at_sag": self.slope(self.shock.force, start),
            "fast_rate_at_sag": self.slope(lambda x: self.shock.force(x, start), start),
            "natural_frequency": math.sqrt(wheel_rate / mass) / (2 * math.pi),
            "critical_damping": 2 * math.sqrt(wheel_rate * mass) * self.lever.ratio(self.sag) ** 2,
            "fast_bottom_shaft": self.shock.force(self.lever.stroke, start),
        }
