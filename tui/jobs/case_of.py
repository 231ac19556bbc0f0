"""A sound job to the physics case it asks about, whole or part by part."""

from __future__ import annotations

import math
from typing import Literal, cast

from physics import case
from physics.gas import standard_pressure
from physics.leverage import fork_travel
from tui.jobs.ends import POSTURE_SHARE
from tui.jobs.fields import Section
from tui.jobs.linkage_section import linkage_of
from tui.jobs.reading import Reading
from tui.jobs.setup_of import setup_of
from tui.jobs.values import column, due, maybe, number

_ROOM_TEMPERATURE = 293.15

TOOLS = case.Tolerance(scale=0.5, gauge=2 * 6894.757293168, rate=0.05, volume=1e-6, share=0.02)
"""What is off by how much where the job says nothing: 0.5 kg, 2 psi, 5 %, 1 cm³ and 0.02 of the rider.

Common practice, no source.
"""


def case_of(reading: Reading) -> case.Case:
    """Build the case; gauge pressures become absolute with the ambient pressure of the shop."""
    shop = shop_of(reading)
    return case.Case(
        load=load_of(reading),
        frame=frame_of(reading),
        target=case.Target(
            due(reading.target, "sag"),
            cast(Literal["travel", "stroke"], reading.target.get("of", "travel")),
        ),
        shop=shop,
        setups=tuple(setup_of(setup, float(shop.pressure)) for setup in reading.setups),
        ride=None if reading.ride is None else _ambient({**reading.ambient, **reading.ride}),
        tolerance=_tolerance(reading.tolerance),
    )


def shop_of(reading: Reading) -> case.Ambient:
    """Build the air of the shop: 20 degC at sea level where the job says nothing else."""
    return _ambient(reading.ambient)


def _ambient(section: Section) -> case.Ambient:
    pressure = float(standard_pressure(number(section, "altitude")))
    return case.Ambient(number(section, "temperature", _ROOM_TEMPERATURE), pressure)


def _tolerance(section: Section) -> case.Tolerance:
    return case.Tolerance(
        scale=number(section, "scale", TOOLS.scale),
        gauge=number(section, "gauge", TOOLS.gauge),
        rate=number(section, "rate", TOOLS.rate),
        volume=number(section, "volume", TOOLS.volume),
        share=number(section, "share", TOOLS.share),
        rate_of_wire="rate" not in section,
    )


def load_of(reading: Reading) -> case.Load:
    """Build the load of whichever kind the job knows."""
    section = reading.load
    unsprung = due(section, "unsprung_mass")
    if "scale_mass" in section:
        return case.ScaleReading(due(section, "scale_mass"), unsprung)
    fork = reading.leverage.get("kind") == "fork"
    if "geometry.wheelbase" in section:
        return _mass_centre(section, unsprung, "front" if fork else "rear")
    return case.RiderAndBike(
        due(section, "rider_mass"),
        _rider_share(section, fork=fork),
        due(section, "bike_mass"),
        due(section, "bike_share"),
        unsprung,
    )


def _rider_share(section: Section, *, fork: bool) -> float:
    if "posture" not in section:
        return due(section, "rider_share")
    rear = POSTURE_SHARE[str(section["posture"])]
    return 1.0 - rear if fork else rear


def _mass_centre(section: Section, unsprung: float, wheel: str) -> case.MassCentre:
    return case.MassCentre(
        total_mass=due(section, "rider_mass") + due(section, "bike_mass"),
        wheelbase=due(section, "geometry.wheelbase"),
        behind_front=due(section, "geometry.mass_behind_front"),
        height=due(section, "geometry.mass_height"),
        slope=number(section, "geometry.slope"),
        wheel=cast(Literal["front", "rear"], section.get("geometry.wheel", wheel)),
        unsprung_mass=unsprung,
    )


def frame_of(reading: Reading) -> case.Frame:
    """Build the frame with its leverage."""
    frame, leverage = reading.frame, _leverage(reading.leverage)
    stroke = due(frame, "stroke")
    travel = maybe(frame, "wheel_travel")
    if travel is None and isinstance(leverage, case.Fork):
        travel = float(fork_travel(stroke, leverage.head_angle))
    eyes = maybe(frame, "eye_to_eye")
    return case.Frame(math.nan if travel is None else travel, stroke, leverage, eyes)


def _leverage(section: Section) -> case.Leverage:
    match section["kind"]:
        case "ends":
            return case.LeverageEnds(due(section, "start"), due(section, "end"), maybe(section, "middle"))
        case "table":
            return case.Table(column(section, "travel_mm"), column(section, "ratio"))
        case "measured":
            return case.Measured(column(section, "travel_mm"), column(section, "stroke_mm"))
        case "linkage":
            return cast(case.Linkage, linkage_of(section))
        case _:
            return case.Fork(due(section, "head_angle"))
