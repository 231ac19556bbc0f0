"""Tolerance bands in words: from where to where, how often beyond the ends, and which error it comes from."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from physics.case import Case, Coil, Setup
from physics.scatter import ERRORS, Error, errors_in, rate_limit
from physics.tolerance import Band, Spread
from tui.shop_units import ABSENT, Measure, ShopUnits

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
