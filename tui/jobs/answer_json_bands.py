"""The parts of the JSON answer that are about a range: how far off a setup may be, other air around it."""

from __future__ import annotations

from typing import Any

from physics.arrays import Values, values
from physics.case import Case, Tolerance
from physics.conditions import ALTITUDES, TEMPERATURES, Conditions, conditions
from physics.tolerance import Band, tolerance
from tui.jobs.answer_json_springs import number

_MM = 1e-3
_PSI = 6894.757293168
_CM3 = 1e-6
_ZERO_CELSIUS = 273.15


def tools_object(off: Tolerance) -> dict[str, Any]:
    """Return what weighing, gauge, rate, volumes and rider's share were taken to be off by, either way."""
    return {
        "scale_kg": number(off.scale),
        "gauge_psi": number(off.gauge, _PSI),
        "rate_fraction": number(off.rate),
        "volume_cm3": number(off.volume, _CM3),
        "share_fraction": number(off.share),
    }


def range_objects(case: Case, index: int) -> dict[str, Any]:
    """Return the keys of a setup that are about a range."""
    return {"tolerance": _tolerance(case, index), "conditions": _conditions(case, index)}


def _tolerance(case: Case, index: int) -> dict[str, Any]:
    """Return the bands of a setup: `sag_fraction` in the measure of the target."""
    found = tolerance(case, index)
    return {
        "sag_fraction": _band(found.sag),
        "sag_wheel_mm": _band(found.sag_wheel, _MM),
        "bottom_ratio": _band(found.bottom_ratio),
        "topped_out_share": number(found.topped_out),
        "bottomed_out_share": number(found.bottomed_out),
        "sag_fraction_alone": {error: _band(band) for error, band in found.alone.items()},
    }


def _band(band: Band, unit: float = 1.0) -> dict[str, float | None]:
    return {
        "low": number(band.low, unit),
        "median": number(band.middle, unit),
        "high": number(band.high, unit),
    }


def _conditions(case: Case, index: int) -> dict[str, Any]:
    """Return a setup colder and warmer, and higher up, each as columns over the places."""
    warm, high = conditions(case, index)
    return {
        "temperature": {"temperatures_c": _column(TEMPERATURES - _ZERO_CELSIUS), **_columns(warm)},
        "altitude": {"altitudes_m": _column(ALTITUDES), **_columns(high)},
    }


def _columns(found: Conditions) -> dict[str, Any]:
    there, outside = found.there, values(found.around.pressure)
    return {
        "state": [str(state) for state in there.state],
        "set_pressure_psi": _column(there.set_pressure - outside, _PSI),
        "rest_pressure_psi": _column(there.rest_pressure - outside, _PSI),
        "pump_shows_psi": _column(found.attached - outside, _PSI),
        "sag_wheel_fraction": _column(there.sag_wheel_fraction),
        "sag_stroke_fraction": _column(there.sag_stroke_fraction),
        "starting_shaft_n": _column(there.starting_shaft),
        "bottom_ratio": _column(there.bottom_ratio),
    }


def _column(numbers: Values, unit: float = 1.0) -> list[float | None]:
    return [number(place, unit) for place in numbers]
