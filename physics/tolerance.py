"""How far off sag and end of travel may be: the setting stays, what the tools said about it scatters."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from physics.arrays import Values, per_point, values
from physics.case import Case, Setup
from physics.leverage import LeverageCurve
from physics.sag import settle
from physics.scatter import ALONE, DRAWS, Error, draws, scattered_load, scattered_setup
from physics.shock import Shock, at_wheel, shock_of
from physics.solve import solved
from physics.stand import stand
from physics.walk import Walk

_SHARES = np.array([0.05, 0.25, 0.5, 0.75, 0.95])
_NODES = np.linspace(0.0, 1.0, 25)
"""Places along the travel where the first crossing is looked for; the crossing itself is exact."""


@dataclass(frozen=True, slots=True)
class Band:
    """What 5, 25, 50, 75 and 95 % of the draws stay below, shape ().

    NaN where such a draw has no number: of a sag, where it tops or bottoms out.
    """

    low: Values
    lower: Values
    middle: Values
    upper: Values
    high: Values


@dataclass(frozen=True, slots=True)
class Drawn:
    """Every draw of a setup, (draws,): sag in the measure of the target, sag [m], bottom ratio.

    A sag is −∞ where it tops out and ∞ where it bottoms out: no numbers, but the bands need to know the side.
    """

    sag: Values
    sag_wheel: Values
    bottom_ratio: Values


@dataclass(frozen=True, slots=True)
class Spread:
    """What the draws make of one setup.

    `sag` is a fraction in the measure of the target, `sag_wheel` [m] of wheel travel, `topped_out` and
    `bottomed_out` the share of draws that do; `alone` is the band of `sag` with one error only.
    """

    sag: Band
    sag_wheel: Band
    bottom_ratio: Band
    topped_out: Values
    bottomed_out: Values
    alone: dict[Error, Band]


def tolerance(case: Case, index: int) -> Spread:
    """Return the bands of one setup of a single case; raises `Refused` as `answer` does."""
    bike, off = stand(case), draws()
    static = bike.load.static_wheel_force
    known = solved(case.setups[index], bike.lever, case.shop, case.target, static)
    loads = scattered_load(case.load, static, case.tolerance, off)
    found = drawn(scattered_setup(known, case, off), case, bike.lever, loads)
    every = slice(DRAWS)
    return Spread(
        sag=band_of(found.sag[every]),
        sag_wheel=band_of(found.sag_wheel[every]),
        bottom_ratio=band_of(found.bottom_ratio[every]),
        topped_out=values(np.mean(np.isneginf(found.sag[every]))),
        bottomed_out=values(np.mean(np.isposinf(found.sag[every]))),
        alone={error: band_of(found.sag[columns]) for error, columns in ALONE.items()},
    )


def drawn(setup: Setup, case: Case, lever: LeverageCurve, loads: Values) -> Drawn:
    """Return what a setup does under wheel forces [N], one case a draw.

    The coarse walk finds the interval, the law itself the sag in it.
    """
    walked = _walked(shock_of(setup, lever, case.shop))
    settled = settle(walked, per_point(loads))
    places = lever.at(settled.wheel)
    of_travel = case.target.of == "travel"
    share = values(places.wheel / lever.wheel_travel if of_travel else places.stroke / lever.stroke)
    sag, wheel = (
        np.where(settled.topped_out, -np.inf, np.where(settled.bottomed_out, np.inf, part))[..., 0]
        for part in (share, places.wheel)
    )
    return Drawn(sag, wheel, values(walked.wheel_force[..., -1] / loads))


def _walked(shock: Shock) -> Walk:
    """Return a coarse walk: all that settling and the end of the travel need."""
    places = shock.lever.at(per_point(shock.lever.wheel_travel) * _NODES)
    shaft = shock.at(places.stroke)
    return Walk(shock, places, shaft, *at_wheel(shaft.force, shaft.rate, places.ratio, places.slope))


def band_of(drawn: Values) -> Band:
    """Return the band of draws, which may be infinite; NaN are left out."""
    known = np.sort(drawn[~np.isnan(drawn)])
    if not known.size:
        return Band(*(values(np.nan) for _ in _SHARES))
    found = known[np.ceil(_SHARES * known.size).astype(np.intp) - 1]
    return Band(*(values(number if np.isfinite(number) else np.nan) for number in found))
