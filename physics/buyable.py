"""Coils in stock on either side of the ideal rate, and the softest that may be fitted if neither may."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from physics.answer import BuyableCoil
from physics.arrays import Values, per_point, values, where
from physics.case import Ambient, Coil, Setup, Target
from physics.coil import fit_cautions, longest_preload
from physics.faults import Caution
from physics.leverage import LeverageCurve
from physics.sag import settle
from physics.shock import coil_of, shock_of, with_rate
from physics.solve import coil_force_due, rate_for
from physics.walk import walk

_HAIR = 1e-12
"""Relative difference within which a rate equals the rung it was typed as."""


def buyable_coils(
    setup: Setup, lever: LeverageCurve, shop: Ambient, target: Target, static: Values
) -> tuple[BuyableCoil, ...]:
    """Return the rates in stock on either side of the ideal, softer first, for any number of cases.

    If a single case may fit neither of them with the preload for the target, the softest rate that it may
    fit follows, if there is one: a stiffer coil needs less preload.

    Every array has the shape of the cases, NaN where a case has no such rung or no ideal; a coil that no
    case has is left out, and a progressive coil has none. The preload for the target
    is c = F/k − x, NaN where negative. Cautions of fit are for a single case.
    """
    coil = coil_of(setup)
    if coil.stage_rate is not None:
        return ()
    stroke, force = coil_force_due(setup, lever, shop, target, static)
    ideal = rate_for(coil, stroke, force)

    def choices(rates: Values) -> tuple[BuyableCoil, ...]:
        wheel = settle(walk(shock_of(with_rate(setup, rates), lever, shop)), per_point(static)).wheel
        there = lever.at(wheel)
        settled = there.wheel / per_point(lever.wheel_travel)
        if target.of == "stroke":
            settled = there.stroke / per_point(lever.stroke)
        preload = values(force / rates - stroke)
        return tuple(
            _choice(coil, values(rate), values(sag), values(wound), lever.stroke, ideal)
            for rate, sag, wound in zip(rates, settled[..., 0], preload, strict=True)
            if np.any(np.isfinite(rate))
        )

    found = choices(either_side(coil, ideal))
    if ideal.ndim or not found or any(one.may_be_fitted for one in found):
        return found
    most = longest_preload(coil, float(lever.stroke))
    if not 0 <= most < np.inf:
        return found
    softest = either_side(coil, rate_for(replace(coil, preload=most), stroke, force))[1:]
    return (*found, *(one for one in choices(softest) if one.may_be_fitted))


def by_preference(choices: Iterable[BuyableCoil]) -> list[BuyableCoil]:
    """Return the rates with the one to order first. A single case.

    Preferred in this order: a rate that some preload brings to the target, one that fits without a caution,
    the rate nearest to the ideal.
    """

    def worse(choice: BuyableCoil) -> tuple[bool, bool, float]:
        reaches = bool(np.isfinite(choice.preload_for_target))
        return not reaches, bool(choice.cautions), abs(float(choice.rate) - float(choice.ideal))

    return sorted(choices, key=worse)


def _choice(
    coil: Coil, rate: Values, sag: Values, preload: Values, stroke: Values, ideal: Values
) -> BuyableCoil:
    wound = where(preload >= 0, preload, np.nan)
    turns = values(np.full_like(wound, np.nan) if coil.thread_pitch is None else wound / coil.thread_pitch)
    cautions: tuple[Caution, ...] = ()
    if rate.ndim == 0:
        fitted = replace(coil, rate=rate, preload=np.maximum(preload, 0.0))
        cautions = tuple(fit_cautions(fitted, float(stroke)))
    return BuyableCoil(rate, sag, wound, turns, cautions, ideal)


def either_side(coil: Coil, ideal: Values) -> Values:
    """Return the rungs (2, cases...) [N/m] at or below and above the ideal rates, NaN if there is none.

    >>> either_side(Coil(None, 0.0, 5000.0), values(82_000.0)).tolist()
    [80000.0, 85000.0]
    """
    if coil.ladder is None:
        below = np.floor(ideal / coil.ladder_step * (1 + _HAIR)) * coil.ladder_step
        return values(np.stack([np.where(below > 0, below, np.nan), below + coil.ladder_step]))
    rungs = np.concatenate([[np.nan], np.sort(coil.ladder), [np.nan]])
    place = np.searchsorted(rungs[1:-1], ideal * (1 + _HAIR), side="right")
    pair = np.stack([rungs[place], rungs[np.minimum(place + 1, len(rungs) - 1)]])
    return where(np.isnan(ideal), np.nan, pair)
