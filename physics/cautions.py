"""What the mechanic must know about an otherwise valid answer; codes are in `physics.faults`.

A part of a shock or fork that was not typed is not zero: its caution gives the effect of a usual one.
The usual sizes: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from physics import gas
from physics.answer import AirAnswer, Riding, SetupAnswer
from physics.arrays import Values, per_point, values
from physics.case import (
    Air,
    Case,
    Coil,
    EqualisedNegative,
    Fork,
    Frame,
    GasCharge,
    Linkage,
    LowerLegs,
    Measured,
    SeparateNegative,
    Setup,
    Target,
)
from physics.coil import fit_cautions
from physics.extras import closed_legs, gas_force
from physics.faults import Caution
from physics.leverage import SILENT_CLOSURE, LeverageCurve
from physics.limits import HIGHEST_PRESSURE, PSI
from physics.linkage import SILENT_EYES, eye_to_eye
from physics.pairs import beyond_cautions, checked, pair_cautions
from physics.solve import target_place
from physics.wire import wire_cautions

NEAR_TARGET = 1e-3
"""A solved setup that settles further than this from the target sag, as a fraction, misses it."""
MEASURED_SHARE = 0.9
"""Measured pairs should reach this fraction of the wheel travel (common practice, no source)."""
COLDEST, WARMEST = 255.0, 345.0
"""Ambient temperatures [K] between which the slow gas law holds within 0.1 %."""
PUMPS_REACH = 400 * PSI
"""Upper limit [Pa gauge] of common shock pumps and shock labels (from memory)."""
FORKS_REACH = 200 * PSI
"""Upper limit [Pa gauge] of common fork labels (from memory)."""


def frame_cautions(frame: Frame, lever: LeverageCurve) -> tuple[Caution, ...]:
    """Return the cautions about the leverage of one case."""
    found = []
    error = float(lever.closure_error)
    if abs(error) > SILENT_CLOSURE:
        found.append(Caution("closure", {"closure_error": error}))
    if isinstance(frame.leverage, Measured):
        measured, full = float(np.max(frame.leverage.travel)), float(lever.wheel_travel)
        if measured < MEASURED_SHARE * full:
            found.append(Caution("pairs_stop_short", {"measured": measured, "wheel_travel": full}))
        found += pair_cautions(frame.leverage, checked(frame.leverage))
        found += beyond_cautions(frame.leverage, full, float(lever.stroke))
    if isinstance(frame.leverage, Linkage) and frame.eye_to_eye is not None:
        typed, drawn = frame.eye_to_eye, eye_to_eye(frame.leverage)
        if abs(drawn / typed - 1) > SILENT_EYES:
            found.append(Caution("eyes_differ", {"typed": typed, "drawn": drawn}))
    return tuple(found)


def setup_cautions(
    asked: Setup, found: SetupAnswer, case: Case, lever: LeverageCurve, static: Values
) -> tuple[Caution, ...]:
    """Return the cautions about one setup under a static wheel force [N], those of missing inputs last.

    `asked` is the setup before it was solved.
    """
    spring = found.setup.spring
    stroke = float(lever.stroke)
    own = _coil_cautions(spring, stroke, found, case) if isinstance(spring, Coil) else []
    if isinstance(spring, Air) and found.air is not None:
        own = _air_cautions(spring, found.air, case)
    return (*_standing(asked, found, case.target, lever), *own, *not_typed(found, case, lever, static))


def _standing(asked: Setup, found: SetupAnswer, target: Target, lever: LeverageCurve) -> list[Caution]:
    """Return the cautions about where and how the wheel settles."""
    if found.state != "ok":
        return [Caution(found.state)]
    cautions = _falling(found.riding)
    reached = found.sag.wheel_fraction if target.of == "travel" else found.sag.stroke_fraction
    solved = (asked.spring.rate if isinstance(asked.spring, Coil) else asked.spring.pressure) is None
    staged = isinstance(asked.spring, Coil) and asked.spring.stage_rate is not None
    if solved and not staged and abs(float(reached) - float(target.sag)) > NEAR_TARGET:
        cautions.append(Caution("target_missed", {"asked": float(target.sag), "found": float(reached)}))
    bumper = found.setup.bumper
    if bumper is not None and found.sag.stroke > lever.stroke - bumper.length:
        cautions.append(Caution("bumper_at_sag", {"length": float(bumper.length)}))
    return cautions + _port(found)


def _port(found: SetupAnswer) -> list[Caution]:
    """Return a caution if the chambers equalise on every stroke out of sag, which the riding curve neglects.

    It keeps the air of each chamber separate from sag on, so beyond the port it reads too high: 0.8 % at
    the end with the port 1.3 mm past sag, 3.6 % with 5.3 mm, on one invented example.
    """
    spring = found.setup.spring
    negative = spring.negative if isinstance(spring, Air) else None
    if isinstance(negative, EqualisedNegative) and float(negative.port) > float(found.sag.stroke):
        there = {"port": float(negative.port), "sag_stroke": float(found.sag.stroke)}
        return [Caution("port_past_sag", there)]
    return []


def _falling(riding: Riding) -> list[Caution]:
    """Return a caution if the wheel force falls past the sag point: the wheel drops through there."""
    if riding.softest_wheel_rate < 0:
        return [Caution("falling_force", {"wheel": float(riding.softest_at_wheel)})]
    return []


def usual_reach(case: Case) -> float:
    """Return the gauge pressure [Pa] above which no common label of this kind, shock or fork, goes.

    >>> from physics.case import Ambient, LeverageEnds, ScaleReading
    >>> frame, shop = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Ambient(293.15, 101_325.0)
    >>> case = Case(ScaleReading(60.0, 4.0), frame, Target(0.30, "travel"), shop, ())
    >>> round(usual_reach(case) / PSI)
    400
    """
    return FORKS_REACH if isinstance(case.frame.leverage, Fork) else PUMPS_REACH


def _coil_cautions(coil: Coil, stroke: float, answered: SetupAnswer, case: Case) -> list[Caution]:
    preload = float(coil.preload)
    found = [Caution("no_preload") if preload == 0 else Caution("preloaded_coil", {"preload": preload})]
    eyes = case.frame.eye_to_eye
    if coil.free_length is not None and eyes is not None and coil.free_length - preload > eyes:
        found.append(Caution("too_long_for_shock", {"length": coil.free_length - preload, "eyes": eyes}))
    wire = answered.coil.wire if answered.coil else None
    if wire is None:
        return found + fit_cautions(coil, stroke)
    if coil.solid_length is None:
        coil = replace(coil, solid_length=float(wire.solid_length))
    shaken = _wheel_alone(answered.riding, case)
    return found + fit_cautions(coil, stroke) + wire_cautions(coil, wire, shaken)


def _wheel_alone(riding: Riding, case: Case) -> float:
    """Return the natural frequency [Hz] of the unsprung mass on its spring, without tyre; NaN if unknown."""
    rate, unsprung = float(riding.wheel_rate_at_sag), float(case.load.unsprung_mass)
    return math.sqrt(rate / unsprung) / (2 * math.pi) if rate > 0 and unsprung > 0 else math.nan


def _air_cautions(spring: Air, air: AirAnswer, case: Case) -> list[Caution]:
    if np.isnan(air.set_pressure):
        return [Caution("pressurised"), Caution("no_pressure", {"highest": HIGHEST_PRESSURE})]
    found = [Caution("pressurised"), *_over_label(spring, air)]
    if air.set_pressure - case.shop.pressure > usual_reach(case):
        found.append(Caution("beyond_pumps", {"pressure": float(air.set_pressure)}))
    if air.fill is not None and not air.fill.holds:
        short = {"rounds": float(air.fill.rounds), "reading": float(air.fill.readings[-1])}
        found.append(Caution("never_holds", short))
    if air.rest_stroke > 0:
        at_rest = {"rest_stroke": float(air.rest_stroke), "rest_pressure": float(air.rest_pressure)}
        found.append(Caution("drawn_in", at_rest))
    return found + _outside_gas_law(air, case)


def _over_label(spring: Air, air: AirAnswer) -> list[Caution]:
    """Return the filling pressures above the max pressure, which does not limit the peak of a stroke."""
    limit = spring.max_pressure
    if limit is None:
        return []
    pumped = {"over_label": float(air.set_pressure)}
    if isinstance(spring.negative, SeparateNegative):
        pumped["negative_over_label"] = float(spring.negative.pressure)
    if air.fill is not None and np.isnan(air.fill.single_fill):
        pumped["single_fill_over_label"] = float(air.fill.one_go)
    return [
        Caution(code, {"pressure": pressure, "limit": limit})
        for code, pressure in pumped.items()
        if pressure > limit
    ]


def _outside_gas_law(air: AirAnswer, case: Case) -> list[Caution]:
    """Return cautions if a peak, the sag point or the ambient air is outside the range of the gas law."""
    cautions = []
    if air.highest_at_sag > gas.HIGHEST:
        cautions.append(Caution("sag_gas_range", {"pressure": float(air.highest_at_sag)}))
    pressure = np.fmax(np.fmax(air.peak_pressure, air.fast_peak_pressure), air.highest_extended)
    temperature = np.fmax(case.shop.temperature, air.fast_peak_temperature)
    mild = COLDEST <= case.shop.temperature <= WARMEST
    if pressure > gas.HIGHEST or temperature > gas.HOTTEST or not mild:
        there = {"pressure": float(pressure), "temperature": float(temperature)}
        cautions.append(Caution("gas_range", there))
    return cautions


USUAL_CHARGE = 200 * PSI
"""Gauge pressure [Pa] of a usual damper charge."""
USUAL_ROD = 12.7e-3
"""Diameter [m] of a usual damper rod, if that of the shock is not known."""
USUAL_BUMPER = 10e-3, 1500.0
"""Length [m] and force when fully compressed [N] of a usual bottom-out bumper."""
USUAL_LEG = LowerLegs(230e-6, 35e-3)
"""Lower legs of a usual fork of `USUAL_FORK` travel."""
USUAL_FORK = 160e-3
"""Stroke [m] of that fork; the free volume of a longer one grows in proportion."""


def not_typed(found: SetupAnswer, case: Case, lever: LeverageCurve, static: Values) -> tuple[Caution, ...]:
    """Return a caution for each extra neither typed nor known to be absent, with its usual effect.

    For a single case under a static wheel force [N]; none where nothing is solved. Damper gas and bumper
    belong to a shock, lower legs to a fork.

    >>> from physics.bench import answer
    >>> from physics.case import Ambient, LeverageEnds, ScaleReading
    >>> frame, shop = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Ambient(293.15, 101_325.0)
    >>> coil = Setup("coil", Coil(80_000.0, 0.0, 4378.0))
    >>> case = Case(ScaleReading(60.0, 4.0), frame, Target(0.30, "travel"), shop, (coil,))
    >>> gas, bumper = answer(case).setups[0].cautions[-2:]
    >>> gas.code, round(gas.values["push"], 1)  # 200 psi on a rod of 12.7 mm: 1.379 MPa · 126.7 mm²
    ('gas_not_typed', 174.7)
    >>> bumper.code, round(bumper.values["share"], 4)  # 1500 N of 80 N/mm · 60 mm
    ('bumper_not_typed', 0.3125)
    """
    setup = found.setup
    full = float(found.figures.bottom_wheel_force * lever.nodes.ratio[..., -1])
    if not np.isfinite(full):
        return ()
    if isinstance(case.frame.leverage, Fork):
        return tuple(_legs(setup, case, float(lever.stroke), full))
    at_sag = float(found.sag.shaft_force)
    if not np.isfinite(at_sag):
        at_sag = float(target_place(case.target, lever, static)[1])
    fast = float(found.figures.fast_bottom_shaft)
    return (*_gas(setup, case, at_sag), *_bumper(setup, full, fast if np.isfinite(fast) else full))


def _gas(setup: Setup, case: Case, at_sag: float) -> Iterator[Caution]:
    if setup.gas is not None or "gas" in setup.lacks:
        return
    spring, shop = setup.spring, case.shop
    known = float(spring.rod) if isinstance(spring, Air) else setup.rod
    rod = known or USUAL_ROD
    charge = GasCharge(USUAL_CHARGE + float(shop.pressure), 1.0, rod)
    push = float(gas_force(charge, values(0.0), shop, shop)[0])
    numbers = {"charge": float(charge.pressure), "rod": rod, "push": push, "share": push / at_sag}
    yield Caution("gas_not_typed", numbers)


def _bumper(setup: Setup, full: float, fast: float) -> Iterator[Caution]:
    """Yield what a usual bumper adds to the shaft force at full stroke [N], slow and in a fast hit."""
    if setup.bumper is None and "bumper" not in setup.lacks:
        length, force = USUAL_BUMPER
        shares = {"share": force / full, "fast_share": force / fast}
        yield Caution("bumper_not_typed", {"length": length, "push": force, **shares})


def _legs(setup: Setup, case: Case, stroke: float, full: float) -> Iterator[Caution]:
    if setup.lower_legs is not None or "lower_legs" in setup.lacks:
        return
    room = float(USUAL_LEG.volume) * max(stroke / USUAL_FORK, 1.0)
    legs = LowerLegs(room, USUAL_LEG.stanchion)
    closed, shop = closed_legs(legs, case.shop), case.shop
    push = float(closed.force(per_point(values(stroke)), shop.temperature, shop.pressure)[0][0])
    numbers = {"volume": room, "stanchion": float(legs.stanchion), "push": push, "share": push / full}
    yield Caution("legs_not_typed", numbers)
