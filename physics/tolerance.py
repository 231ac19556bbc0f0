"""Tolerance of sag and of the end of travel: the setting stays, the inputs of bike and rider scatter."""

from __future__ import annotations

import numpy as np

from physics.arrays import Values, per_point, values
from physics.case import Case
from physics.frozen import dataclass
from physics.sag import settle
from physics.scatter import (
    DRAWS,
    ERRORS,
    Error,
    alone,
    draws,
    errors_in,
    held,
    scattered_lever,
    scattered_load,
    scattered_setup,
)
from physics.shock import Shock, at_wheel, shock_of
from physics.solve import solved
from physics.stand import stand
from physics.walk import Walk

_SHARES = np.array([0.05, 0.25, 0.5, 0.75, 0.95])
_NODES = np.linspace(0.0, 1.0, 25)
"""Places along the travel for bracketing the first crossing; the crossing itself is exact."""


@dataclass(frozen=True, slots=True)
class Band:
    """The 5, 25, 50, 75 and 95 % quantiles of the draws, shape ().

    NaN if such a draw has no number: for a sag, if it tops or bottoms out.
    """

    low: Values
    lower: Values
    middle: Values
    upper: Values
    high: Values


@dataclass(frozen=True, slots=True)
class Drawn:
    """Every draw of a setup, (draws,): sag in the measure of the target, sag [m], bottom-out ratio.

    A sag is −∞ if it tops out and ∞ if it bottoms out: not numbers, but the quantiles need the side.
    The bottom-out ratio is that of the riding curve from where the wheel stands, including the stops.
    """

    sag: Values
    sag_wheel: Values
    bottom_ratio: Values


@dataclass(frozen=True, slots=True)
class Spread:
    """The result of the draws for one setup.

    `sag` is a fraction in the measure of the target, `sag_wheel` [m] of wheel travel, `topped_out` and
    `bottomed_out` the fraction of draws that do; `alone` is the band of `sag` with one error only.
    """

    sag: Band
    sag_wheel: Band
    bottom_ratio: Band
    topped_out: Values
    bottomed_out: Values
    alone: dict[Error, Band]


def tolerance(case: Case, index: int, seed: int = 1) -> Spread:
    """Return the bands of one setup of a single case; raises `Refused` as `answer` does.

    Another `seed` takes other draws of the same distribution.
    """
    there = errors_in(case.setups[index], case)
    clouds = [draws(seed), *(alone(error, seed) for error in there)]
    # The last draw has no error: the sag for errors that do not apply here.
    found = _of_draws(case, index, np.concatenate([*clouds, np.zeros((len(clouds[0]), 1))], axis=1))
    ends = np.cumsum([cloud.shape[1] for cloud in clouds])
    own = {error: slice(ends[place], ends[place + 1]) for place, error in enumerate(there)}
    every, none = slice(DRAWS), slice(-1, None)
    return Spread(
        sag=band_of(found.sag[every]),
        sag_wheel=band_of(found.sag_wheel[every]),
        bottom_ratio=band_of(found.bottom_ratio[every]),
        topped_out=values(np.mean(np.isneginf(found.sag[every]))),
        bottomed_out=values(np.mean(np.isposinf(found.sag[every]))),
        alone={error: band_of(found.sag[own.get(error, none)]) for error in ERRORS},
    )


def sag_band(case: Case, index: int) -> Band:
    """Return the band of sag [m] of wheel travel as `tolerance` does, without each error alone."""
    return band_of(_of_draws(case, index, draws()).sag_wheel)


def _of_draws(case: Case, index: int, off: Values) -> Drawn:
    bike = stand(case)
    static = bike.load.static_wheel_force
    known = solved(case.setups[index], bike.lever, case.shop, case.target, static)
    loads = scattered_load(case.load, static, case.tolerance, off)
    shock = shock_of(scattered_setup(known, case, off), scattered_lever(case, bike.lever, off), case.shop)
    return drawn(shock, case, loads, held(known, off))


def drawn(shock: Shock, case: Case, loads: Values, helped: Values) -> Drawn:
    """Return the response of a shock to wheel forces [N], with `helped` [N] of friction, one case per draw.

    A coarse walk brackets the sag, the law itself gives it.
    """
    walked, lever = _walked(shock), shock.lever
    settled = settle(walked, per_point(loads), per_point(helped))
    places = lever.at(settled.wheel)
    of_travel = case.target.of == "travel"
    share = values(places.wheel / lever.wheel_travel if of_travel else places.stroke / lever.stroke)
    sag, wheel, start = (
        np.where(settled.topped_out, low, np.where(settled.bottomed_out, high, part))[..., 0]
        for part, low, high in (
            (share, -np.inf, np.inf),
            (places.wheel, -np.inf, np.inf),
            (places.stroke, 0.0, per_point(lever.stroke)),
        )
    )
    return Drawn(sag, wheel, values(_end(walked, values(start)) / loads))


def _end(walked: Walk, start: Values) -> Values:
    """Return the wheel force [N] at full travel, fast from strokes (draws,) [m] where the wheel stood."""
    shaft = walked.shock.fast_at(walked.places.stroke[..., -1:], start)
    return values(shaft.force[..., 0] / walked.places.ratio[..., -1])


def _walked(shock: Shock) -> Walk:
    """Return a coarse walk, sufficient for settling and the end of the travel."""
    places = shock.lever.at(per_point(shock.lever.wheel_travel) * _NODES)
    shaft = shock.at(places.stroke)
    return Walk(shock, places, shaft, *at_wheel(shaft.force, shaft.rate, places.ratio, places.slope))


def band_of(drawn: Values) -> Band:
    """Return the quantiles of draws, which may be infinite; NaN are left out.

    Draw i of n, sorted, is the quantile (i + ½)/n, linear between (Hazen).

    >>> float(band_of(values([1.0, 2.0, 3.0, 4.0, 5.0])).middle)
    3.0
    """
    known = np.sort(drawn[~np.isnan(drawn)])
    if not known.size:
        return Band(*(values(np.nan) for _ in _SHARES))
    place = np.clip(_SHARES * known.size - 0.5, 0, known.size - 1)
    below = known[np.floor(place).astype(np.intp)]
    above = known[np.ceil(place).astype(np.intp)]
    within = place - np.floor(place)
    with np.errstate(invalid="ignore"):
        between = np.where(below == above, below, below + within * (above - below))
    return Band(*(values(number if np.isfinite(number) else np.nan) for number in between))
