"""Tolerance bands in words: from where to where, how often beyond the ends, and which tool it comes from."""

from __future__ import annotations

from physics.scatter import Error
from physics.tolerance import Band, Spread
from tui.shop_units import ABSENT, Measure, ShopUnits

_TOOLS: dict[Error, str] = {
    "scale": "the scale",
    "gauge": "the gauge",
    "rate": "the spring rate",
    "volume": "the air volumes",
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


def blamed(spread: Spread, units: ShopUnits) -> list[str]:
    """Return the tools that move the sag, the worst first, each with the band it makes alone."""
    wide = {error: float(band.high - band.low) for error, band in spread.alone.items()}
    worst = sorted((error for error, width in wide.items() if width > 0), key=lambda error: -wide[error])
    return [
        f"{_TOOLS[error]} alone {band_text(spread.alone[error], Measure.FRACTION, units)}" for error in worst
    ]
