"""What can be measured on the bike, where it is expected and how far off it may be with nothing wrong.

The band of each is that of all errors together (`physics.tolerance`, nine draws in ten), wider by what stands
between it and its reading: air that has not given its heat away yet for sag, the hose of the pump for the
gauge, one more weighing for a scale.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from physics.answer import Answer, SetupAnswer
from physics.arrays import NONE, Values, values
from physics.case import STANDARD_GRAVITY, Case
from physics.conditions import attached
from physics.leverage import LeverageCurve
from physics.scatter import draws, scattered_load
from physics.shock import shock_of
from physics.stand import stand
from physics.tolerance import band_of, sag_band


@dataclass(frozen=True, slots=True)
class Span:
    """A number and the ends of its band, each of shape () and NaN where it does not exist."""

    at: Values
    low: Values
    high: Values


NO_SPAN = Span(NONE, NONE, NONE)


@dataclass(frozen=True, slots=True)
class Expected:
    """Sag at the wheel and at the shock [m], the gauge [Pa absolute] and a scale under the wheel [kg]."""

    wheel: Span
    stroke: Span
    gauge: Span
    scale: Span


def expected(case: Case, index: int, found: Answer) -> Expected:
    """Return what one setup of a single case should measure; `found` is the answer to that case."""
    setup, lever = found.setups[index], stand(case).lever
    wheel = _sag(case, index, setup, float(lever.wheel_travel))
    return Expected(wheel, _at_shock(wheel, lever), _gauge(case, setup, lever), _scale(case, found))


def _sag(case: Case, index: int, setup: SetupAnswer, travel: float) -> Span:
    """Return the sag with its band.

    All of the band of friction lies within: a rider who sits down gently ends at its edge every time.
    A sag read at once lies below the settled one; the low end counts from there.
    """
    sag = setup.sag
    if setup.state != "ok":
        return NO_SPAN
    band = sag_band(case, index)
    # Draws that top or bottom out have no number: the travel ends there.
    low, high = np.nan_to_num(band.low, nan=0.0), np.nan_to_num(band.high, nan=travel)
    least = setup.at_once.wheel + np.minimum(low, sag.band_low) - sag.wheel
    return Span(sag.wheel, values(np.maximum(least, 0.0)), values(np.maximum(high, sag.band_high)))


def _at_shock(wheel: Span, lever: LeverageCurve) -> Span:
    return Span(*lever.at(np.stack([wheel.at, wheel.low, wheel.high])).stroke)


def _gauge(case: Case, setup: SetupAnswer, lever: LeverageCurve) -> Span:
    """Return the reading unloaded; a pump newly put on shows less, its hose takes air."""
    if setup.air is None:
        return NO_SPAN
    reading, off = setup.air.rest_pressure, case.tolerance.gauge
    newly = attached(shock_of(setup.setup, lever, case.shop), case.shop)
    return Span(reading, values(np.minimum(newly, reading) - off), values(reading + off))


def _scale(case: Case, found: Answer) -> Span:
    """Return m = N/g; what it was reckoned from was weighed too."""
    static, off = found.load.static_wheel_force, case.tolerance
    loads = scattered_load(case.load, static, off, draws())
    weighed = band_of(values((loads - static) / STANDARD_GRAVITY))
    mass = found.load.ground_reaction / STANDARD_GRAVITY
    return Span(values(mass), values(mass + weighed.low - off.scale), values(mass + weighed.high + off.scale))
