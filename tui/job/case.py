"""Values of a job → case in SI for the physics, and the physical faults of the job."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any, Literal, TypeVar, cast

import numpy as np

from physics import case
from physics.arrays import Values
from physics.case import Wire
from physics.faults import Fault, Refused
from physics.gas import standard_pressure
from physics.leverage import fork_travel, leverage_curve
from physics.limits import PSI
from physics.shock import setup_faults
from physics.stand import wheel_load
from physics.wire_stock import COIL_ENDS, USUAL_ENDS, USUAL_GRADE, USUAL_MATERIAL
from tui.job.choices import COIL_DIAMETERS
from tui.job.fault_words import job_faults
from tui.job.faults import JobFault
from tui.job.fields import (
    AMBIENT,
    EVERY_SETUP,
    EXTRAS,
    LEVERAGE,
    SPRING,
    TOLERANCE,
    TYRE,
    Amount,
    Column,
    Field,
    Fields,
)
from tui.job.job import Job
from tui.job.quantities import split
from tui.job.reading import Reading, Section, Value, linkage_of, look
from tui.job.wheels import POSTURE_SHARE
from tui.shop_units import USUAL, Measure


def turned_by(job: Job) -> float | None:
    """Return the angle [rad], anticlockwise positive, None if a job of one wheel has no level points."""
    if job.get(("frame", "leverage", "level")) is None:
        return None
    turned = look(job)[0].leverage.get("turned")
    return turned if isinstance(turned, float) else None


def number(section: Section, key: str, default: float = 0.0) -> float:
    """Return a number, the default if it is missing."""
    return float(cast(float, section.get(key, default)))


def due(section: Section, key: str) -> float:
    """Return a required number, NaN if it is missing, so that nothing depends on it."""
    return number(section, key, math.nan)


def dues(section: Section, *keys: str) -> Iterator[float]:
    """Return several required numbers."""
    return (due(section, key) for key in keys)


def maybe(section: Section, key: str) -> float | None:
    """Return a number, None if it is missing or to be solved."""
    value = section.get(key)
    return value if isinstance(value, float) else None


def column(section: Section, key: str) -> Values:
    """Return an array of numbers."""
    return np.asarray(section[key], dtype=np.float64)


_COILS = ("active_coils", "total_coils")


def wire_of(section: Section) -> Wire | None:
    """Build the wire; None without wire diameter, coil diameter and a number of coils.

    A missing number of active or total coils follows from the other one and the inactive end coils.
    """
    width = next((key for key in COIL_DIAMETERS if key in section), None)
    if width is None or "wire_diameter" not in section or not any(key in section for key in _COILS):
        return None
    ends, d = str(section.get("ends", USUAL_ENDS)), due(section, "wire_diameter")
    dead = COIL_ENDS[ends].dead_coils
    grade = number(section, "grade", USUAL_GRADE)
    active = number(section, "active_coils", due(section, "total_coils") - dead)
    return Wire(
        material=str(section.get("material", USUAL_MATERIAL)),
        diameter=d,
        mean_diameter=due(section, width) + {"inner_diameter": d, "outer_diameter": -d}.get(width, 0.0),
        active_coils=active,
        total_coils=number(section, "total_coils", active + dead),
        ends=ends,
        # An invalid grade is reported elsewhere.
        grade=USUAL_GRADE if math.isnan(grade) else int(grade),
    )


def inner_diameter_of(section: Section) -> float | None:
    """Return the inner diameter [m], None if it cannot be derived from the job."""
    d = maybe(section, "wire_diameter")
    if "inner_diameter" in section or d is None:
        return maybe(section, "inner_diameter")
    for key, wires in (("outer_diameter", 2.0), ("mean_diameter", 1.0)):
        if key in section:
            return due(section, key) - wires * d
    return None


def _parts(section: Section, fields: Fields, ambient: float = 0.0) -> dict[str, Any]:
    """Return the attributes of a part of the case from a table of fields.

    A missing value is its default, or NaN if it is required, so that nothing depends on it; a value to be
    solved is None. Gauge pressures become absolute with `ambient` [Pa].
    """
    return {
        field.case: _part(section.get(field.key), field, ambient) for field in fields.values() if field.case
    }


def _part(value: Value | None, field: Field, ambient: float) -> float | Values | None:
    if isinstance(value, tuple):
        return np.asarray(value, dtype=np.float64)
    if isinstance(value, float):
        return value + ambient if field.measure is Measure.PRESSURE else value
    if isinstance(field.kind, Amount) and field.kind.solvable:
        return None
    if field.due:
        return math.nan
    parts = split(field.usual)
    if parts is None or field.measure is None:
        return None
    return float(parts[0]) * PSI if parts[1] == "psi" else USUAL.si(float(parts[0]), field.measure)


def setup_of(section: Section, ambient: float, damper: case.Damper | None = None) -> case.Setup:
    """Build a setup with the wheel's damper; gauge pressures become absolute with `ambient` [Pa]."""
    lacks = tuple(extra for extra, (key, _) in EXTRAS.items() if section.get(key) == "none")
    there = [extra for extra, (key, _) in EXTRAS.items() if key in section and extra not in lacks]
    return case.Setup(
        name=str(section.get("name", "")),
        spring=_coil(section) if section.get("kind") == "coil" else _air(section, ambient),
        gas=case.GasCharge(due(section, "gas_pressure") + ambient, *dues(section, "gas_volume", "rod"))
        if "gas" in there
        else None,
        bumper=case.Bumper(*dues(section, "bumper_length", "bumper_force")) if "bumper" in there else None,
        lower_legs=case.LowerLegs(due(section, "lower_leg_volume"), due(section, "stanchion_diameter"))
        if "lower_legs" in there
        else None,
        lacks=lacks,
        rod=maybe(section, "rod"),
        damper=damper or case.Damper(),
        **_parts(section, EVERY_SETUP),
    )


def _coil(section: Section) -> case.Coil:
    staged = "stages.compression_mm" in section and "stages.rate_n_per_mm" in section
    turned = number(section, "preload_turns") * number(section, "thread_pitch")
    return case.Coil(
        preload=number(section, "preload", turned),
        stage_start=column(section, "stages.compression_mm") if staged else None,
        stage_rate=column(section, "stages.rate_n_per_mm") if staged else None,
        wire=wire_of(section),
        inner_diameter=inner_diameter_of(section),
        **_parts(section, SPRING["coil"]),
    )


def _air(section: Section, ambient: float) -> case.Air:
    return case.Air(
        rod=number(section, "rod"),
        negative=_negative(section, ambient),
        **_parts(section, SPRING["air"], ambient),
    )


def _negative(section: Section, ambient: float) -> case.Negative:
    # An unreadable kind is treated as the one that allows most checks.
    kind = section.get("negative", "equalised")
    if kind == "none":
        return case.NoNegative()
    if kind == "mechanical":
        return case.MechanicalNegative(*dues(section, "negative_rate", "negative_length"))
    volume = due(section, "negative_volume")
    spacers = number(section, "negative_spacers")
    each = number(section, "negative_spacer_volume")
    if kind == "separate":
        return case.SeparateNegative(volume, spacers, each, due(section, "negative_pressure") + ambient)
    length, area = maybe(section, "port_length"), maybe(section, "port_area")
    return case.EqualisedNegative(volume, spacers, each, due(section, "port"), length, area)


def damper_of(section: Section) -> case.Damper:
    """Build the damper; a direction that is not given is None: the physics uses the usual one."""
    if "force_n" in section and "speed_m_per_s" in section:
        speed, force = column(section, "speed_m_per_s"), column(section, "force_n")
        back = speed < 0
        return case.Damper(
            compression=case.DampingTable(speed[~back], force[~back]),
            rebound=case.DampingTable(-speed[back][::-1], -force[back][::-1]),
        )
    return case.Damper(*(_one_way(section, way) for way in ("compression", "rebound")))


def _one_way(section: Section, way: str) -> case.Damping | None:
    low, share = maybe(section, f"{way}_low"), maybe(section, f"{way}_share")
    if low is None:
        return None if share is None else case.DampingShare(share)
    # Without a knee the slope is the same at every speed.
    return case.DampingSlopes(low, number(section, f"{way}_knee", 1.0), number(section, f"{way}_high", low))


def case_of(reading: Reading) -> case.Case:
    """Build the case; gauge pressures become absolute with the ambient pressure of the shop."""
    shop, damper = _ambient(reading.ambient), damper_of(reading.damper)
    return case.Case(
        load=load_of(reading),
        frame=frame_of(reading),
        target=case.Target(
            due(reading.target, "sag"),
            cast(Literal["travel", "stroke"], reading.target.get("of", "travel")),
        ),
        shop=shop,
        setups=tuple(setup_of(setup, float(shop.pressure), damper) for setup in reading.setups),
        ride=None if reading.ride is None else _ambient({**reading.ambient, **reading.ride}),
        tolerance=case.Tolerance(
            rate_of_wire="rate" not in reading.tolerance, **_parts(reading.tolerance, TOLERANCE)
        ),
        tyre=case.Tyre(**{key: maybe(reading.tyre, key) for key in TYRE}),
    )


def _ambient(section: Section) -> case.Ambient:
    """Build the ambient air of a place, by default 20 degC at sea level."""
    return case.Ambient(
        pressure=float(standard_pressure(number(section, "altitude"))), **_parts(section, AMBIENT)
    )


def load_of(reading: Reading) -> case.Load:
    """Build the load of the kind given in the job."""
    section = reading.load
    unsprung = due(section, "unsprung_mass")
    if "scale_mass" in section:
        return case.ScaleReading(due(section, "scale_mass"), unsprung)
    fork = reading.leverage.get("kind") == "fork"
    if "geometry.wheelbase" in section:
        wheel = section.get("geometry.wheel", "front" if fork else "rear")
        return case.MassCentre(
            total_mass=due(section, "rider_mass") + due(section, "bike_mass"),
            wheelbase=due(section, "geometry.wheelbase"),
            behind_front=due(section, "geometry.mass_behind_front"),
            height=due(section, "geometry.mass_height"),
            slope=number(section, "geometry.slope"),
            wheel=cast(Literal["front", "rear"], wheel),
            unsprung_mass=unsprung,
        )
    share = due(section, "rider_share")
    if "posture" in section:
        rear = POSTURE_SHARE[section["posture"]]
        share = 1.0 - rear if fork else rear
    mass, bike_mass, bike_share = dues(section, "rider_mass", "bike_mass", "bike_share")
    return case.RiderAndBike(mass, share, bike_mass, bike_share, unsprung)


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


_Part = TypeVar("_Part")


def physical_faults(reading: Reading) -> tuple[JobFault, ...]:
    """Return the faults of load, frame and setups of both wheels that do not depend on other faults."""
    return tuple(
        fault
        for wheel in reading.wheels
        for found in (_refused(wheel_load, load_of(wheel)), _frame(wheel), _setups(wheel))
        for fault in job_faults(found, wheel.spelling)
    )


def _frame(reading: Reading) -> tuple[Fault, ...]:
    leverage = reading.leverage
    fields = LEVERAGE.get(str(leverage.get("kind")))
    if fields is None or any(isinstance(fields[key].kind, Column) and key not in leverage for key in fields):
        return ()
    if leverage["kind"] == "linkage" and linkage_of(leverage) is None:
        return ()
    return _refused(leverage_curve, frame_of(reading))


def _setups(reading: Reading) -> list[Fault]:
    stroke = due(reading.frame, "stroke")
    return [
        replace(fault, field=("setup", index, *fault.field))
        for index, section in enumerate(reading.setups)
        # No fault depends on pressure, so the shop's air does not matter here.
        for fault in setup_faults(setup_of(section, 0.0), stroke)
    ]


def _refused(law: Callable[[_Part], object], part: _Part) -> tuple[Fault, ...]:
    try:
        law(part)
    except Refused as refused:
        return refused.faults
    return ()
