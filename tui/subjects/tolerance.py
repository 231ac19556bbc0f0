"""How far off a setup may be: bands of sag and of the end of the travel, and which error they come from."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from physics.case import Case, Coil, Fork, Setup, Tolerance
from physics.scatter import ERRORS, Error, errors_in, rate_limit
from physics.tolerance import Band, Spread, tolerance
from tui.job.answer import JobAnswer
from tui.job.wheels import spoken
from tui.kit.document import Block, Document, Drawing, Heading, Paragraph, SetupName
from tui.kit.roles import Role
from tui.shop_units import ABSENT, Measure, ShopUnits, in_unit_of, keyed

_SAYS = (
    "The spring stays set as it is; what is known has the errors listed below. Nine cases in ten lie along "
    "the line, half of them where it is thick."
)
_UNIFORM = "Each is uniform within its ± unless said otherwise. Set them in the last rows of the rider panel."
_DO = (
    "Read the ring on the shaft with the rider on board: that is where this bike is. A better tool pays "
    "where it heads the list."
)


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
    low, high = (units.plain(edge, measure) for edge in (band.low, band.high))
    if low == high == ABSENT:
        return ABSENT
    low = "full extension" if low == ABSENT else low
    high = "the stop" if high == ABSENT else high
    unit = units.unit(measure)
    return f"{low} to {high} {unit}".rstrip() if high != "the stop" else f"{low} {unit} to the stop"


def beyond_text(spread: Spread, units: ShopUnits) -> str:
    """Return how often the wheel does not settle, empty where that is next to never."""
    said = [
        f"{units.show(share, Measure.FRACTION)} {what}"
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


def document(answered: JobAnswer, units: ShopUnits) -> Document:
    """Return how far off every setup of a wheel may be; the bands of sag and of the end are drawn."""
    answer, case = answered.answer, answered.case
    of = spoken(answer.target.of, answer.frame.fork)
    blocks: list[Block] = [
        Paragraph(_SAYS, Role.QUIET),
        Heading(f"Sag, {units.unit(Measure.FRACTION)} of {of}"),
        Drawing("sag"),
        Heading("At full travel, times the load"),
        Drawing("bottom_ratio"),
        Heading("In words"),
    ]
    for index, setup in enumerate(answer.setups):
        blocks.append(SetupName(setup.name, index))
        blocks += map(Paragraph, _words(tolerance(case, index), of, units))
    errors = map(Paragraph, (*error_texts(case, range(len(case.setups)), units), _UNIFORM))
    return Document((*blocks, Heading("Errors"), *errors, Paragraph(_DO, gap=True)), answer.frame.fork)


def _words(spread: Spread, of: str, units: ShopUnits) -> list[str]:
    sag = band_text(spread.sag, Measure.FRACTION, units)
    middle = units.show(spread.sag.middle, Measure.FRACTION)
    said = [beyond_text(spread, units)]
    if sag != ABSENT:
        travel = band_text(spread.sag_wheel, Measure.TRAVEL, units)
        half = "" if middle == ABSENT else f", as often below {middle} as above"
        said.append(f"Sag {sag} of {of}{half}; at the wheel {travel}.")
    end = band_text(spread.bottom_ratio, Measure.RATIO, units)
    if end != ABSENT:
        said.append(f"At full travel {end} times the load.")
    if each := blamed(spread, units):
        said.append(f"Sag from each error alone: {each}.")
    return [text for text in said if text] or ["No setting reaches the target: there is nothing to scatter."]


def setup_lines(case: Case, index: int, units: ShopUnits) -> list[str]:
    """Return where sag and the end of the travel of one setup may lie; nothing where there is no answer."""
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


def tools_object(off: Tolerance) -> dict[str, Any]:
    """Return what weighing, gauge, rate, volumes and rider's share were taken to be off by, either way."""
    return keyed(
        scale_kg=off.scale,
        gauge_psi=off.gauge,
        rate_fraction=off.rate,
        volume_cm3=off.volume,
        share_fraction=off.share,
    )


def json_object(case: Case, index: int) -> dict[str, Any]:
    """Return the bands of a setup: `sag_fraction` in the measure of the target."""
    found = tolerance(case, index)
    return keyed(
        sag_fraction=_band(found.sag),
        sag_wheel_mm=_band(found.sag_wheel, "_mm"),
        bottom_ratio=_band(found.bottom_ratio),
        topped_out_share=found.topped_out,
        bottomed_out_share=found.bottomed_out,
        sag_fraction_alone={error: _band(band) for error, band in found.alone.items()},
    )


def _band(band: Band, end: str = "") -> dict[str, Any]:
    edges = {"low": band.low, "median": band.middle, "high": band.high}
    return {name: in_unit_of(end, edge) for name, edge in edges.items()}
