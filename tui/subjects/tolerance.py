"""How far off a setup may be: bands of sag and of the end of the travel, and which error they come from."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from physics.arrays import values
from physics.case import Case, Coil, Setup, Tolerance
from physics.scatter import ERRORS, Error, errors_in, rate_limit
from physics.tolerance import Band, Spread, tolerance
from tui.job.answer import JobAnswer
from tui.job.figures import figure_named, has_estimate
from tui.job.wheels import spoken
from tui.kit.document import Block, Document, Drawing, Heading, Paragraph, SetupName
from tui.kit.roles import Role
from tui.shop_units import ABSENT, Measure, ShopUnits, in_unit_of, keyed

_SAYS = "Setting unchanged, tool errors as listed below. The line holds 90 % of cases, the thick part 50 %."
_UNIFORM = "Each is uniform within its ± unless stated. Type them in the Rider step, tool error."
_DO = "The O-ring with the rider on shows the real sag. Improve the tool at the top of the list first."


_NAMES: dict[Error, str] = {
    "scale": "scale", "share": "rider share", "gauge": "gauge", "rate": "spring rate",
    "volume": "air volumes", "friction": "seal friction", "leverage": "measured pairs",
}  # fmt: skip
_LEAST_SHARE = 0.005
"""Draws beyond an end that are worth a word."""


def band_text(band: Band, measure: Measure, units: ShopUnits, of: str = "") -> str:
    """Return a band as "28.0 to 33.1 %" followed by `of`; an end beyond the travel has no number."""
    low, high, unit = units.plain(band.low, measure), units.plain(band.high, measure), units.unit(measure)
    if low == high == ABSENT:
        return ABSENT
    low = "full extension" if low == ABSENT else low
    whole = f" of {of}" if of else ""
    return (
        f"{low} {unit}{whole} to bottom-out" if high == ABSENT else f"{low} to {high} {unit}".rstrip() + whole
    )


def beyond_text(spread: Spread, units: ShopUnits) -> str:
    """Return how often the wheel has no sag, empty if negligible."""
    shares = {"top out under the rider": spread.topped_out, "bottom out": spread.bottomed_out}
    beyond = {what: share for what, share in shares.items() if share > _LEAST_SHARE}
    said = " and ".join(f"{units.show(share, Measure.FRACTION)} {what}" for what, share in beyond.items())
    return f"Within tool errors, {said}." if said else ""


def blamed(spread: Spread, units: ShopUnits) -> str:
    """Return "spring rate ±1.3 %, scale ±0.2 %": the effect of each error alone on sag, largest first.

    Half the width of its band, or the band itself if one end is beyond the travel. Empty without errors.
    """
    wide = {error: float(band.high - band.low) for error, band in spread.alone.items()}
    there = [error for error, width in wide.items() if not width <= 0 and np.isfinite(spread.sag.middle)]
    said = []
    for error in sorted(there, key=lambda error: -np.nan_to_num(wide[error], nan=np.inf)):
        half = units.show(wide[error] / 2, Measure.FRACTION)
        band = band_text(spread.alone[error], Measure.FRACTION, units) if half == ABSENT else f"±{half}"
        said.append(f"{_NAMES[error]} {band}")
    return ", ".join(said)


def error_texts(case: Case, indices: Sequence[int], units: ShopUnits) -> list[str]:
    """Return a short line for each error assumed for any of these setups."""
    off, there = case.tolerance, {index: errors_in(case.setups[index], case) for index in indices}

    def sizes(error: Error, size: Callable[[Setup], float], measure: Measure) -> str:
        own = (case.setups[index] for index, found in there.items() if error in found)
        return ", ".join(dict.fromkeys(f"±{units.show(size(setup), measure)}" for setup in own))

    def rate_off(setup: Setup) -> float:
        spring = setup.spring
        return float(rate_limit(spring, case.frame.stroke, off)) if isinstance(spring, Coil) else off.rate

    friction = sizes("friction", lambda setup: float(setup.friction), Measure.FORCE)
    said: dict[Error, str] = {
        "scale": f"±{units.show(off.scale, Measure.MASS)} for each weighing",
        "share": f"±{units.show(off.share, Measure.FRACTION)} of the rider's mass",
        "gauge": f"±{units.show(off.gauge, Measure.PRESSURE)}, one gauge for both chambers",
        "rate": sizes("rate", rate_off, Measure.FRACTION),
        "volume": f"±{units.show(off.volume, Measure.VOLUME)}, each chamber independently",
        "friction": f"{friction}: the wheel stops anywhere within it",
        "leverage": "by their scatter about the curve (Student's t)",
    }
    found = {error for errors in there.values() for error in errors}
    return [f"{_NAMES[error]} {said[error]}" for error in ERRORS if error in found]


def spread_of(answered: JobAnswer, index: int) -> Spread:
    """Return the bands of one setup, those at full travel without numbers if the air model has none."""
    spread = tolerance(answered.case, index)
    if has_estimate(figure_named("bottom_ratio"), answered.answer.setups[index]):
        return spread
    return replace(spread, bottom_ratio=Band(*[values(math.nan)] * len(Band.__slots__)))


def document(answered: JobAnswer, units: ShopUnits) -> Document:
    """Return the tolerance of every setup of a wheel, with the bands of sag and bottom-out as bars."""
    answer, case = answered.answer, answered.case
    of = spoken(answer.target.of, answer.frame.fork)
    blocks = list[Block]()
    for index, setup in enumerate(answer.setups):
        first, *others = _words(spread_of(answered, index), of, units)
        blocks += [Paragraph(first, Role.STRONG, of=SetupName(setup.name, index)), *map(Paragraph, others)]
    blocks += [Paragraph(_DO, gap=True), Heading(f"Sag, {units.unit(Measure.FRACTION)} of {of}")]
    blocks += [Drawing("sag"), Heading("Bottom-out, x static load"), Drawing("bottom_ratio")]
    errors = map(Paragraph, (*error_texts(case, range(len(case.setups)), units), _UNIFORM))
    says = Paragraph(_SAYS, Role.QUIET, gap=True)
    return Document((*blocks, Heading("Tool errors"), *errors, says), answer.frame.fork)


def _words(spread: Spread, of: str, units: ShopUnits) -> list[str]:
    sag, each = band_text(spread.sag, Measure.FRACTION, units, of), blamed(spread, units)
    middle, travel = (
        units.show(spread.sag.middle, Measure.FRACTION),
        band_text(spread.sag_wheel, Measure.TRAVEL, units),
    )
    end = band_text(spread.bottom_ratio, Measure.RATIO, units)
    half = "" if middle == ABSENT else f", median {middle}"
    said = (
        "" if sag == ABSENT else f"Sag {sag}{half}; at the wheel {travel}.",
        beyond_text(spread, units),
        "" if end == ABSENT else f"Bottom-out {end} x static load.",
        f"Sag from each error alone, % of {of}: {each}." if each else "",
    )
    return list(filter(None, said)) or ["No setting reaches the target: no tolerance to show."]


def setup_lines(answered: JobAnswer, index: int, units: ShopUnits) -> list[str]:
    """Return the bands of sag and bottom-out of one setup; empty without an answer."""
    case, fork = answered.case, answered.answer.frame.fork
    found, of = spread_of(answered, index), spoken(case.target.of, fork)
    sag = band_text(found.sag, Measure.FRACTION, units, of)
    end = band_text(found.bottom_ratio, Measure.RATIO, units)
    bands = [f"sag {sag}"] if sag != ABSENT else []
    bands += [f"bottom-out {end} x static load"] if end != ABSENT else []
    if not bands:
        return []
    each = blamed(found, units)
    lines = (
        f"Tolerance, 90 % of cases: {', '.join(bands)}",
        f"Sag from each error alone, % of {of}: {each}" if each else "",
        beyond_text(found, units),
    )
    errors = f"  Tool errors, each uniform within its ±: {'; '.join(error_texts(case, [index], units))}"
    return [errors, *(f"    {line}" for line in lines if line)]


def tools_object(off: Tolerance) -> dict[str, Any]:
    """Return the assumed errors (±) of scale, gauge, rate, volumes and rider share."""
    found = keyed(scale_kg=off.scale, gauge_psi=off.gauge, rate_fraction=off.rate)
    return found | keyed(volume_cm3=off.volume, share_fraction=off.share)


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
