"""What can be measured on the bike: the expected reading and its tolerance.

The band of each is that of all errors together (`physics.tolerance`, nine draws in ten), widened by the
effects between value and reading: air that has not yet lost its heat for sag, the pump hose for the gauge,
one more weighing for a scale.
"""

from __future__ import annotations

import numpy as np

from physics.answer import Answer, SetupAnswer
from physics.arrays import NONE, Values, values
from physics.case import Case
from physics.conditions import attached
from physics.frozen import dataclass
from physics.leverage import LeverageCurve
from physics.limits import STANDARD_GRAVITY
from physics.scatter import draws, scattered_load
from physics.shock import shock_of
from physics.stand import stand
from physics.tolerance import band_of, sag_band


@dataclass(frozen=True, slots=True)
class Span:
    """A number and the ends of its band, each of shape () and NaN if undefined."""

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
    """Return the expected readings of one setup of a single case; `found` is the answer to that case.

    >>> from physics.bench import answer
    >>> from physics.case import Ambient, Coil, Frame, LeverageEnds, ScaleReading, Setup, Target
    >>> frame, shop = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5)), Ambient(293.15, 101_325.0)
    >>> coil = Setup("coil", Coil(80_000.0, 0.0, 4378.0), friction=20.0)
    >>> case = Case(ScaleReading(60.0, 4.0), frame, Target(0.30, "travel"), shop, (coil,))
    >>> sag = expected(case, 0, answer(case)).stroke  # 549.17 N · 2.5 / (80 N/mm), ± 20 N / (80 N/mm)
    >>> [round(float(end) * 1e3, 3) for end in (sag.low, sag.at, sag.high)]
    [16.912, 17.162, 17.412]
    """
    setup, lever = found.setups[index], stand(case).lever
    wheel = _sag(case, index, setup, float(lever.wheel_travel))
    return Expected(wheel, _at_shock(wheel, lever), _gauge(case, setup, lever), _scale(case, found))


def _sag(case: Case, index: int, setup: SetupAnswer, travel: float) -> Span:
    """Return the sag with its band.

    All of the friction band is included: a rider who sits down gently ends at its edge every time.
    A sag read at once is below the settled one; the low end starts from there.
    """
    sag = setup.sag
    if setup.state != "ok":
        return NO_SPAN
    band = sag_band(case, index)
    # Draws that top or bottom out are NaN: take the end of the travel.
    low, high = np.nan_to_num(band.low, nan=0.0), np.nan_to_num(band.high, nan=travel)
    least = setup.at_once.wheel + np.minimum(low, sag.band_low) - sag.wheel
    return Span(sag.wheel, values(np.maximum(least, 0.0)), values(np.maximum(high, sag.band_high)))


def _at_shock(wheel: Span, lever: LeverageCurve) -> Span:
    return Span(*lever.at(np.stack([wheel.at, wheel.low, wheel.high])).stroke)


def _gauge(case: Case, setup: SetupAnswer, lever: LeverageCurve) -> Span:
    """Return the reading unloaded; a pump just attached reads less because its hose takes air."""
    if setup.air is None:
        return NO_SPAN
    reading, off = setup.air.rest_pressure, case.tolerance.gauge
    newly = attached(shock_of(setup.setup, lever, case.shop), case.shop)
    return Span(reading, values(np.minimum(newly, reading) - off), values(reading + off))


def _scale(case: Case, found: Answer) -> Span:
    """Return m = N/g; the load it was derived from was weighed too."""
    static, off = found.load.static_wheel_force, case.tolerance
    loads = scattered_load(case.load, static, off, draws())
    weighed = band_of(values((loads - static) / STANDARD_GRAVITY))
    mass = found.load.ground_reaction / STANDARD_GRAVITY
    return Span(values(mass), values(mass + weighed.low - off.scale), values(mass + weighed.high + off.scale))
