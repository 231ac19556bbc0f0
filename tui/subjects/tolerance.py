"""Tolerance bands in words: from where to where, how often beyond the ends, and which error it comes from."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from physics.arrays import Values, values
from physics.case import Air, Case, Coil, Fork, Setup, Tolerance
from physics.conditions import ALTITUDES, TEMPERATURES, Conditions, conditions
from physics.scatter import ERRORS, Error, errors_in, rate_limit
from physics.tolerance import Band, Spread, tolerance
from tui.job.cautions import STATES
from tui.job.wheels import spoken
from tui.shop_units import ABSENT, Measure, ShopUnits, number
from tui.subjects.pumping import pressure_at_rest

_NAMES: dict[Error, str] = {
    "scale": "scale",
    "share": "rider's share",
    "gauge": "gauge",
    "rate": "spring rate",
    "volume": "air volumes",
    "friction": "seal friction",
    "leverage": "measured pairs",
}
_LEAST_SHARE = 0.005
"""Draws beyond an end that are worth a word."""


def band_text(band: Band, measure: Measure, units: ShopUnits) -> str:
    """Return a band as "28.0 to 33.1 %"; an end beyond the travel has no number."""
    low, high = (units.plain(float(edge), measure) for edge in (band.low, band.high))
    if low == high == ABSENT:
        return ABSENT
    low = "full extension" if low == ABSENT else low
    high = "the stop" if high == ABSENT else high
    unit = units.unit(measure)
    return f"{low} to {high} {unit}".rstrip() if high != "the stop" else f"{low} {unit} to the stop"


def beyond_text(spread: Spread, units: ShopUnits) -> str:
    """Return how often the wheel does not settle, empty where that is next to never."""
    said = [
        f"{units.show(float(share), Measure.FRACTION)} {what}"
        for share, what in (
            (spread.topped_out, "top out under the rider"),
            (spread.bottomed_out, "sit on the stop"),
        )
        if share > _LEAST_SHARE
    ]
    return f"Of all that may be, {' and '.join(said)}." if said else ""


def blamed(spread: Spread, units: ShopUnits) -> str:
    """Return "spring rate ±1.3 %, scale ±0.2 %": what each error makes of the sag by itself, the worst first.

    Half the width of its band; the band itself where that has an end beyond the travel. Empty without errors.
    """
    wide = {error: float(band.high - band.low) for error, band in spread.alone.items()}
    there = [error for error, width in wide.items() if not width <= 0 and np.isfinite(spread.sag.middle)]
    worst = sorted(there, key=lambda error: -np.nan_to_num(wide[error], nan=np.inf))
    return ", ".join(f"{_NAMES[error]} {_by_itself(spread.alone[error], units)}" for error in worst)


def _by_itself(band: Band, units: ShopUnits) -> str:
    half = units.show(float(band.high - band.low) / 2, Measure.FRACTION)
    return band_text(band, Measure.FRACTION, units) if half == ABSENT else f"±{half}"


def error_texts(case: Case, indices: Sequence[int], units: ShopUnits) -> list[str]:
    """Return what each error that any of these setups has is taken to be, a short line each."""
    off, setups = case.tolerance, [case.setups[index] for index in indices]
    there = [errors_in(setup, case) for setup in setups]

    def sizes(error: Error, size: Callable[[Setup], float], measure: Measure) -> str:
        own = (setup for setup, found in zip(setups, there, strict=True) if error in found)
        return ", ".join(dict.fromkeys(f"±{units.show(size(setup), measure)}" for setup in own))

    said: dict[Error, str] = {
        "scale": f"±{units.show(off.scale, Measure.MASS)} each time something is weighed",
        "share": f"±{units.show(off.share, Measure.FRACTION)} of the rider's mass",
        "gauge": f"±{units.show(off.gauge, Measure.PRESSURE)}, one gauge for both chambers",
        "rate": sizes("rate", lambda setup: _rate_limit(setup, case), Measure.FRACTION),
        "volume": f"±{units.show(off.volume, Measure.VOLUME)}, each chamber by itself",
        "friction": sizes("friction", lambda setup: float(setup.friction), Measure.FORCE)
        + ": the wheel stops anywhere within it",
        "leverage": "as far as they scatter about their curve (Student's law)",
    }
    return [f"{_NAMES[error]} {said[error]}" for error in ERRORS if any(error in found for found in there)]


def _rate_limit(setup: Setup, case: Case) -> float:
    spring = setup.spring
    if isinstance(spring, Coil):
        return float(rate_limit(spring, case.frame.stroke, case.tolerance))
    return case.tolerance.rate


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
    return {"tolerance": _bands_tolerance(case, index), "conditions": _conditions(case, index)}


def _bands_tolerance(case: Case, index: int) -> dict[str, Any]:
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


def range_lines(case: Case, index: int, units: ShopUnits) -> list[str]:
    """Return how far off a setup may be and, for an air spring, what other air around makes of it."""
    lines = _report_bands_tolerance(case, index, units)
    if isinstance(case.setups[index].spring, Air):
        lines += [
            "  Set here, ridden there",
            *(f"    {line}" for line in conditions_lines(case, index, units)),
        ]
    return lines


def _report_bands_tolerance(case: Case, index: int, units: ShopUnits) -> list[str]:
    """Return where sag and the end of the travel may lie; nothing where there is no answer."""
    found = tolerance(case, index)
    sag = band_text(found.sag, Measure.FRACTION, units)
    end = band_text(found.bottom_ratio, Measure.RATIO, units)
    if end == ABSENT:
        return []
    errors = "; ".join(error_texts(case, [index], units))
    beyond = beyond_text(found, units)
    of = spoken(case.target.of, isinstance(case.frame.leverage, Fork))
    said = "" if sag == ABSENT else f"sag {sag} of {of}, "
    lines = [
        f"  Errors, each uniform within its ±: {errors}",
        f"    Tolerance, nine cases in ten: {said}at full travel {end} times the load",
    ]
    if each := blamed(found, units):
        lines.append(f"    Sag from each error alone: {each}")
    return [*lines, f"    {beyond}"] if beyond else lines


def conditions_lines(case: Case, index: int, units: ShopUnits) -> list[str]:
    """Return an air setup in the cold, in the heat and on the mountain, each as one line."""
    warm, high = conditions(case, index)
    places = (
        (warm, 0, f"at {units.show(float(TEMPERATURES[0]), Measure.TEMPERATURE)}"),
        (warm, -1, f"at {units.show(float(TEMPERATURES[-1]), Measure.TEMPERATURE)}"),
        (high, -1, f"at {units.show(float(ALTITUDES[-1]), Measure.ALTITUDE)}"),
    )
    fork = isinstance(case.frame.leverage, Fork)
    return [_there(*place, fork, units) for place in places]


def _there(found: Conditions, place: int, name: str, fork: bool, units: ShopUnits) -> str:
    there, outside = found.there, float(values(found.around.pressure)[place])
    reading = pressure_at_rest(
        float(there.set_pressure[place]), float(there.rest_pressure[place]), outside, units
    )
    state = str(there.state[place])
    sag = units.show(float(there.sag_wheel_fraction[place]), Measure.FRACTION)
    start = units.show(float(there.starting_shaft[place]), Measure.FORCE)
    moves = spoken("the shaft starts to move", fork)
    settled = f"sag {sag} of travel" if state == "ok" else STATES[state]
    return f"{name}: the gauge reads {reading}, {settled}, {moves} at {start}"
