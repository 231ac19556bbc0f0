"""The model worked out a second way, sharing no code with the product.

Air from the CoolProp equation of state, stroke from an ODE solver, energies by adaptive quadrature, sag and
pressure by Brent's bracketing, slopes by central differences. Scalars only, SI, gauge where it says so.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache, cached_property
from types import ModuleType
from typing import Any

import numpy as np
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

G = 9.80665
Law = Callable[[float], float]


@cache
def coolprop() -> ModuleType:
    """Return the library, which loads for seconds: a test asks for it, so that no other waits for it."""
    import CoolProp.CoolProp as library

    return library


class RealAir:
    """CoolProp's "Air", p and s in SI from density and temperature or entropy."""

    @cached_property
    def state(self) -> Any:  # noqa: ANN401 - the library has no types
        return coolprop().AbstractState("HEOS", "Air")

    def energy(self, rho: float, T: float) -> float:
        self.state.update(coolprop().DmassT_INPUTS, rho, T)
        return float(self.state.umass())

    def temperature_along_isentrope(self, rho: float, T_start: float, rho_start: float) -> float:
        self.along_isentrope(rho, T_start, rho_start)
        return float(self.state.T())

    def pressure(self, rho: float, T: float) -> float:
        self.state.update(coolprop().DmassT_INPUTS, rho, T)
        return float(self.state.p())

    def density(self, p: float, T: float) -> float:
        self.state.update(coolprop().PT_INPUTS, p, T)
        return float(self.state.rhomass())

    def along_isentrope(self, rho: float, T_start: float, rho_start: float) -> float:
        self.state.update(coolprop().DmassT_INPUTS, rho_start, T_start)
        self.state.update(coolprop().DmassSmass_INPUTS, rho, self.state.smass())
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
    legs: tuple[float, float] | None = None
    set_pressure: float = math.nan
    bumper: Law = lambda _x: 0.0

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

    def air_at_once(self, x: float, rest: float) -> tuple[float, float]:
        """Return `air` on one quick push out of `rest`: chambers become one at the port, heat and all."""
        if self.port is None or x < self.port or rest > self.port:
            return self.air(x, rest)
        (rho, _), then, here = self.densities(self.port), self.densities(rest), self.densities(x)
        masses = (
            rho * (self.volume - self.area * self.port),
            rho * (self.second_volume + self.ring * self.port),
        )
        heat = sum(
            mass * AIR.energy(rho, AIR.temperature_along_isentrope(rho, self.T, before))
            for mass, before in zip(masses, then, strict=True)
        )
        mixed = float(brentq(lambda T: AIR.energy(rho, T) * sum(masses) - heat, 200.0, 600.0, xtol=1e-9))
        push, pull = (AIR.along_isentrope(there, mixed, rho) - self.outside for there in here)
        return self.area * push, -self.ring * pull

    def lower_legs(self, x: float, start: float | None) -> float:
        """Return what the air closed in lower legs of an area and volume each does; two of them."""
        if self.legs is None:
            return 0.0
        area, volume = self.legs
        closed = AIR.density(self.outside, self.T) * volume
        here = closed / (volume - area * x)
        if start is None:
            pressure = AIR.pressure(here, self.T)
        else:
            pressure = AIR.along_isentrope(here, self.T, closed / (volume - area * start))
        return 2 * area * (pressure - self.outside)

    def force(self, x: float, start: float | None = None) -> float:
        return sum(self.air(x, start)) + self.lower_legs(x, start) + self.extras(x)

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

    def riding_wheel(self, w: float) -> float:
        """Return the wheel force as it rides: settled above the sag point, without time for heat past it."""
        return self.wheel(w, None if w < self.sag else self.lever.x(self.sag))

    def without_bumper(self, w: float) -> float:
        return self.riding_wheel(w) - self.shock.bumper(self.lever.x(w)) / self.lever.ratio(w)

    def at_once(self) -> float:
        """Return the wheel travel that carries the load at once."""
        rest, grid = 0.0, np.linspace(0, self.lever.travel, 601)
        if self.shock.force(0.0) < 0:
            rest = float(brentq(self.shock.force, 0.0, self.lever.x(self.sag), xtol=1e-14))

        def excess(w: float) -> float:
            x = self.lever.x(w)
            shaft = (
                sum(self.shock.air_at_once(x, rest)) + self.shock.lower_legs(x, rest) + self.shock.extras(x)
            )
            return shaft / self.lever.ratio(w) - self.static

        first = next(i for i, w in enumerate(grid) if excess(w) >= 0)
        return float(brentq(excess, grid[first - 1], grid[first], xtol=1e-13))

    def riding(self) -> dict[str, float]:
        W, static, mass = self.lever.travel, self.static, self.static / G
        curve, bare = self.riding_wheel, self.without_bumper
        bottom, eighty, sixty = (curve(q * W) for q in (1.0, 0.8, 0.6))
        bare_bottom, bare_eighty, bare_sixty = (bare(q * W) for q in (1.0, 0.8, 0.6))
        start = self.lever.x(self.sag)
        wheel_rate = self.slope(lambda w: self.wheel(w, start), self.sag)
        from_sag = quad(curve, self.sag, W, limit=200, epsrel=1e-8)[0]
        total = quad(self.wheel, 0, self.sag, limit=200, epsrel=1e-8)[0] + from_sag
        fine = np.linspace(self.sag, W, 2001)
        force = np.array([self.wheel(w, start) for w in fine])
        chord = static + (eighty - static) * (fine - self.sag) / (0.8 * W - self.sag)
        off = np.where(fine <= 0.8 * W, force - chord, 0.0)
        rates = np.diff(force) / (fine[1] - fine[0])
        softest = int(np.argmin(rates))
        return {
            **{
                f"support_{round(100 * q)}": curve(q * W) / static if q * W >= self.sag else math.nan
                for q in (0.25, 0.5, 0.75)
            },
            "bottom_wheel_force": bottom,
            "bottom_ratio": bottom / static,
            "bottom_ratio_without_bumper": bare_bottom / static,
            "chord_deviation": float(off[np.argmax(np.abs(off))]) / (eighty - static),
            "softest_wheel_rate": float(rates[softest]),
            "softest_at_wheel": float(
                fine[softest] if softest == 0 else (fine[softest] + fine[softest + 1]) / 2
            ),
            "end_ramp": (bottom - eighty) / (eighty - sixty),
            "end_ramp_without_bumper": (bare_bottom - bare_eighty) / (bare_eighty - bare_sixty),
            "energy_total": total,
            "energy_from_sag": from_sag,
            "drop_height": total / static - W,
            "wheel_rate_at_sag": wheel_rate,
            "natural_frequency": math.sqrt(wheel_rate / mass) / (2 * math.pi),
            "critical_damping": 2 * math.sqrt(wheel_rate * mass) * self.lever.ratio(self.sag) ** 2,
        }

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
