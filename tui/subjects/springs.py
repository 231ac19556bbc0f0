"""The parts of the JSON answer that only a coil, an air spring or a ride elsewhere has."""

from __future__ import annotations

import math
from typing import Any

from physics.answer import AirAnswer, Fill, RideAnswer, SetupAnswer
from physics.arrays import Values
from physics.case import Air, EqualisedNegative

_MM = 1e-3
_N_PER_MM = 1e3
_PSI = 6894.757293168
_BAR = 1e5
_LBF_PER_IN = 0.45359237 * 9.80665 / 0.0254


def number(value: Values | float, unit: float = 1.0) -> float | None:
    """Return an SI value as a plain number in `unit` [SI per unit], None where it does not exist."""
    plain = float(value) / unit
    return plain if math.isfinite(plain) else None


def coil_object(setup: SetupAnswer) -> dict[str, Any]:
    """Return the keys of a coil, none for another spring."""
    coil = setup.coil
    if coil is None:
        return {}
    return {
        "rate_n_per_mm": number(coil.rate, _N_PER_MM),
        "rate_lbf_per_in": number(coil.rate, _LBF_PER_IN),
        "preload_mm": number(coil.preload, _MM),
        "preload_turns": number(coil.preload_turns),
        "buyable": [
            {
                "rate_lbf_per_in": number(choice.rate, _LBF_PER_IN),
                "sag_fraction": number(choice.sag_fraction),
                "preload_for_target_mm": number(choice.preload_for_target, _MM),
                "preload_for_target_turns": number(choice.preload_turns),
            }
            for choice in coil.buyable
        ],
    }


def air_object(setup: SetupAnswer, outside: float) -> dict[str, Any]:
    """Return the keys of an air spring in surroundings of `outside` [Pa], none for another spring."""
    air = setup.air
    if air is None:
        return {}
    found: dict[str, Any] = {
        "set_pressure_psi": number(air.set_pressure - outside, _PSI),
        "set_pressure_bar": number(air.set_pressure - outside, _BAR),
        "equalised_pressure_psi": number(air.equalised_pressure - outside, _PSI),
        "compression_ratio": number(air.compression_ratio),
        "peak_pressure_psi": number(air.peak_pressure - outside, _PSI),
        "fast_peak_pressure_psi": number(air.fast_peak_pressure - outside, _PSI),
        "rest_stroke_mm": number(air.rest_stroke, _MM),
        "rest_pressure_psi": number(air.rest_pressure - outside, _PSI),
        "spacers": _spacer_objects(air, outside),
    }
    spring = setup.setup.spring
    if isinstance(spring, Air) and isinstance(spring.negative, EqualisedNegative):
        found["fill"] = _fill_object(air.fill, outside)
    return found


def _spacer_objects(air: AirAnswer, outside: float) -> list[dict[str, Any]]:
    return [
        {
            "spacers": row.spacers,
            "set_pressure_psi": number(row.set_pressure - outside, _PSI),
            "peak_pressure_psi": number(row.peak_pressure - outside, _PSI),
            "fast_peak_pressure_psi": number(row.fast_peak_pressure - outside, _PSI),
            "bottom_wheel_force_n": number(row.bottom_wheel_force),
        }
        for row in air.spacers
    ]


def _fill_object(fill: Fill | None, outside: float) -> dict[str, Any] | None:
    if fill is None:
        return None
    return {
        "readings_psi": [number(reading - outside, _PSI) for reading in fill.readings],
        "pump_shows_psi": [number(reading - outside, _PSI) for reading in fill.pump_gauge],
        "rest_readings_psi": [number(reading - outside, _PSI) for reading in fill.rest_readings],
        "rest_pump_shows_psi": [number(reading - outside, _PSI) for reading in fill.rest_gauge],
        "rounds": fill.rounds if fill.holds else None,
        "single_fill_psi": number(fill.single_fill - outside, _PSI),
    }


def ride_object(ride: RideAnswer | None) -> dict[str, Any]:
    """Return the key of the ride's air, none where the job does not ask about it."""
    if ride is None:
        return {}
    outside = float(ride.ambient.pressure)
    return {
        "ride": {
            "state": ride.state,
            "set_pressure_psi": number(ride.set_pressure - outside, _PSI),
            "rest_pressure_psi": number(ride.rest_pressure - outside, _PSI),
            "sag": {
                "wheel_fraction": number(ride.sag_wheel_fraction),
                "stroke_fraction": number(ride.sag_stroke_fraction),
            },
            "starting_shaft_n": number(ride.starting_shaft),
        }
    }
