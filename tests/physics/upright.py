"""The same wheel in time by an adaptive solver, from the equations alone: a yardstick for the fixed step.

Geometry and forces come from the shock itself, not from tables; friction is F_f tanh(ẋ/v_f); temperatures are
states. Chambers that meet at a port are not in it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline

from physics import gas
from physics.answer import Answer
from physics.arrays import Values, per_point, values
from physics.case import STANDARD_GRAVITY, Case
from physics.damper import damper_force
from physics.ground import Course
from physics.leverage import remembered_curve
from physics.live_air import TimedChamber
from physics.motion import STOP_DAMPING, STOP_STIFFNESS
from physics.ride import sprung_mass, tyre_of
from physics.shock import shock_of

PLACES = 4001


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
    ) -> None:
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
        zs, vs, zu, vu, *warmth = state
        w, u = zu - zs, vu - vs
        ratio, stroke = float(self.ratio(w)), float(self.stroke(w))
        speed = u / ratio
        shaft = float(self.still(w)) + float(damper_force(self.damper, values([speed]), self.critical)[0])
        shaft += self.friction * np.tanh(speed / self.creep)
        heating = []
        for chamber, T in zip(self.chambers, warmth, strict=True):
            volume = chamber.volume - chamber.area * stroke
            rho = chamber.mass / volume
            shaft += chamber.area * (float(gas.pressure(rho, T)) - self.outside)
            by_heat = (float(gas.pressure(rho, T + 0.01)) - float(gas.pressure(rho, T - 0.01))) / 0.02
            specific = float(gas.heat_capacity(T, rho)) * chamber.mass
            growing = -chamber.area * speed
            heating.append((self.wall - T) / chamber.time_constant - T / specific * by_heat * growing)
        over = w - min(max(w, 0.0), self.full)
        stop = STOP_STIFFNESS * over * max(1 + STOP_DAMPING * u * np.sign(over), 0.0)
        z, dz = (float(np.interp(t, self.times, part)) for part in (self.course.height, self.course.rise))
        q = z - zu + self.preload
        tyre = max(0.0, self.stiffness * q + self.damping * (dz - vu)) if q > 0 else 0.0
        push = shaft / ratio + stop
        up = push / self.mass - self.gravity
        return [vs, up, vu, (tyre - push) / self.unsprung - self.gravity, *heating]

    def ridden(self, times: Values, method: str = "LSODA") -> Values:
        """Return wheel travel [m] at `times` (points,) [s]."""
        speed = -self.course.closing
        state = [0.0, speed, self.start, speed, *[self.wall] * len(self.chambers)]
        solved = solve_ivp(
            self.derivative, (0.0, self.end), state, method, times, rtol=1e-8, atol=1e-9, max_step=2e-3
        )
        assert solved.success
        return values(solved.y[2] - solved.y[0])
