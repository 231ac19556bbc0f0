"""The same wheel in time by an adaptive solver, from the equations alone: a yardstick for the fixed step.

Geometry and forces come from the shock itself, not from tables; friction is F_f tanh(ẋ/v_f); temperatures are
states, and so is the air that crosses the port.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline

from physics import gas
from physics.answer import Answer
from physics.arrays import Values, per_point, values
from physics.case import Case
from physics.damper import damper_force
from physics.ground import Course
from physics.leverage import remembered_curve
from physics.limits import STANDARD_GRAVITY
from physics.live_air import Port, TimedChamber
from physics.motion import STOP_DAMPING, STOP_STIFFNESS
from physics.ride import sprung_mass, tyre_of
from physics.shock import shock_of

PLACES = 4001


class Air:
    """A chamber as it is: `gained` [kg] of air more than it was filled with, moving at a shaft `speed`."""

    def __init__(self, chamber: TimedChamber, T: float, stroke: float, speed: float, gained: float) -> None:
        self.chamber, self.T = chamber, T
        self.mass = chamber.mass + gained
        self.volume, self.growing = chamber.volume - chamber.area * stroke, -chamber.area * speed
        self.density = self.mass / self.volume
        self.pressure = float(gas.pressure(self.density, T))
        self.energy = float(gas.internal_energy(T, self.density))

    def heating(self, wall: float, inflow: float, enthalpy: float) -> float:
        """Return dT/dt [K/s] of an open system, d(m u) = h dm − p dV + dQ, with u = u(T, ρ)."""
        step = 0.01
        by_heat = (
            float(gas.pressure(self.density, self.T + step))
            - float(gas.pressure(self.density, self.T - step))
        ) / (2 * step)
        specific = float(gas.heat_capacity(self.T, self.density))
        heat = self.mass * specific * (wall - self.T) / self.chamber.time_constant
        thicker = (inflow - self.density * self.growing) / self.volume
        by_density = (self.pressure - self.T * by_heat) / self.density**2
        brought = inflow * (enthalpy - self.energy) - self.pressure * self.growing + heat
        return float((brought / self.mass - by_density * thicker) / specific)


class Upright:
    """One setup of an answered case, its chambers with their time constants as the ride has them."""

    def __init__(
        self,
        case: Case,
        found: Answer,
        index: int,
        chambers: Sequence[TimedChamber],
        course: Course,
        creep: float = 1e-4,
        port: Port | None = None,
    ) -> None:
        self.port = port or Port()
        one, lever, tyre = found.setups[index], remembered_curve(case.frame), tyre_of(case)
        shock = shock_of(one.setup, lever, case.shop)
        self.full, self.creep, self.course, self.chambers = float(lever.wheel_travel), creep, course, chambers
        wheel = values(np.linspace(-0.02, self.full + 0.02, PLACES))
        inside = lever.at(np.clip(wheel, 0.0, self.full))
        beyond = wheel - np.clip(wheel, 0.0, self.full)
        stroke = values(inside.stroke + beyond / inside.ratio)
        still = shock.still(inside.stroke)
        force = values(still[0] + still[1] * beyond / inside.ratio)
        self.stroke, self.ratio, self.still = (
            CubicSpline(wheel, part) for part in (stroke, inside.ratio, force)
        )
        self.damper, self.critical = one.setup.damper, float(one.riding.critical_damping)
        self.friction = float(one.setup.friction)
        self.mass, self.unsprung = sprung_mass(found), float(case.load.unsprung_mass)
        self.stiffness, self.damping = float(tyre.stiffness or 0), float(tyre.damping or 0)
        self.gravity = STANDARD_GRAVITY * course.gravity
        self.wall, self.outside = float(case.shop.temperature), float(case.shop.pressure)
        self.times = values(np.arange(len(course.height)) * course.step)
        self.end = float(self.times[-1])
        sag = float(one.sag.wheel)
        rest = 0.0 if one.air is None else float(lever.at_stroke(per_point(one.air.rest_stroke)).wheel[0])
        hanging = rest if rest > 0 else -float(shock.wheel(np.zeros(1))[0][0]) / STOP_STIFFNESS
        self.start = hanging if course.extended else sag
        weight = (self.mass + self.unsprung) * self.gravity
        self.preload = self.start + (0.0 if course.extended else weight / self.stiffness)
        self.preload -= float(course.height[0])

    def derivative(self, t: float, state: Values) -> list[float]:
        zs, vs, zu, vu, crossed, *warmth = state
        w, u = zu - zs, vu - vs
        ratio, stroke = float(self.ratio(w)), float(self.stroke(w))
        speed = u / ratio
        shaft = float(self.still(w)) + float(damper_force(self.damper, values([speed]), self.critical)[0])
        shaft += self.friction * np.tanh(speed / self.creep)
        airs = [
            Air(one, T, stroke, speed, crossed * (1, -1)[n] if n < 2 else 0.0)
            for n, (one, T) in enumerate(zip(self.chambers, warmth, strict=True))
        ]
        shaft += sum(air.chamber.area * (air.pressure - self.outside) for air in airs)
        flow = self.flow(airs, stroke)
        heating = [
            air.heating(self.wall, flow[0] * (1, -1)[n] if n < 2 else 0.0, flow[1])
            for n, air in enumerate(airs)
        ]
        over = w - min(max(w, 0.0), self.full)
        stop = STOP_STIFFNESS * over * max(1 + STOP_DAMPING * u * np.sign(over), 0.0)
        z, dz = (float(np.interp(t, self.times, part)) for part in (self.course.height, self.course.rise))
        q = z - zu + self.preload
        tyre = max(0.0, self.stiffness * q + self.damping * (dz - vu)) if q > 0 else 0.0
        push = shaft / ratio + stop
        up = push / self.mass - self.gravity
        return [vs, up, vu, (tyre - push) / self.unsprung - self.gravity, flow[0], *heating]

    def flow(self, airs: Sequence[Air], stroke: float) -> tuple[float, float]:
        """Return the air that crosses the port into the first chamber [kg/s], and its enthalpy [J/kg]."""
        if abs(stroke - self.port.at) > self.port.length / 2 or len(airs) < 2:
            return 0.0, 0.0
        up, down = sorted(airs[:2], key=lambda air: -air.pressure)
        ratio = max(down.pressure / up.pressure, 0.528282)
        psi = np.sqrt(2 * 1.4 / 0.4 * max(ratio ** (2 / 1.4) - ratio ** (2.4 / 1.4), 0.0))
        flow = self.port.area * up.pressure / np.sqrt(287.049 * up.T) * psi
        return float(flow * (1 if up is airs[1] else -1)), up.energy + up.pressure / up.density

    def ridden(self, times: Values, method: str = "LSODA") -> Values:
        """Return wheel travel [m] at `times` (points,) [s]."""
        state = self.states(times, method)
        return values(state[2] - state[0])

    def states(self, times: Values, method: str = "LSODA") -> Values:
        """Return z_s, its speed, z_u, its speed, what crossed the port and the temperatures at `times`."""
        speed = -self.course.closing
        state = [0.0, speed, self.start, speed, 0.0, *[self.wall] * len(self.chambers)]
        longest = 2e-3 if self.port.at < 0 else 1e-4
        solved = solve_ivp(
            self.derivative, (0.0, self.end), state, method, times, rtol=1e-8, atol=1e-9, max_step=longest
        )
        assert solved.success
        return values(solved.y)
