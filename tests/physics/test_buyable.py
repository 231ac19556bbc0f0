"""Coils on either side of the ideal rate."""

from dataclasses import replace

import numpy as np
import pytest

from physics.answer import BuyableCoil
from physics.arrays import values
from physics.bench import answer
from physics.buyable import by_preference, either_side
from physics.case import Coil, Setup, Target
from physics.coil import longest_preload
from physics.faults import Caution
from tests.physics.examples import LBF_IN, SETUPS, STAGES, case_of

STEP = 25 * LBF_IN


def choices(coil: Coil, target: Target | None = None) -> tuple[BuyableCoil, ...]:
    case = case_of(Setup("coil", coil))
    found = answer(case if target is None else replace(case, target=target)).setups[0].coil
    assert found is not None
    return tuple(found.buyable)


def test_the_rungs_of_the_ladder_on_either_side() -> None:
    coil = Coil(None, 0.001, STEP)
    assert either_side(coil, values(467 * LBF_IN)) / LBF_IN == pytest.approx([450.0, 475.0])
    assert either_side(coil, values(475 * LBF_IN)) / LBF_IN == pytest.approx([475.0, 500.0])
    soft = either_side(coil, values(20 * LBF_IN)) / LBF_IN
    assert np.isnan(soft[0])
    assert soft[1] == pytest.approx(25.0)
    assert np.isnan(either_side(coil, values(np.nan))).all()


def test_a_ladder_of_its_own_in_any_order() -> None:
    coil = Coil(None, 0.001, STEP, ladder=values([500, 400, 425]) * LBF_IN)
    ideals = values([350.0, 410.0, 500.0, 600.0, np.nan]) * LBF_IN
    softer, stiffer = either_side(coil, ideals) / LBF_IN
    assert softer == pytest.approx([np.nan, 400, 500, 500, np.nan], nan_ok=True)
    assert stiffer == pytest.approx([400, 425, np.nan, np.nan, np.nan], nan_ok=True)


@pytest.mark.parametrize("of", ["travel", "stroke"])
def test_softer_sags_more_and_its_preload_brings_it_back(of: str) -> None:
    target = Target(0.28, "travel" if of == "travel" else "stroke")
    softer, stiffer = choices(Coil(None, 0.001, STEP), target)
    assert softer.sag_fraction > 0.28 > stiffer.sag_fraction
    for choice in (softer, stiffer):
        typed = Setup("ordered", Coil(choice.rate, choice.preload_for_target, STEP))
        sag = answer(replace(case_of(typed), target=target)).setups[0].sag
        reached = sag.wheel_fraction if of == "travel" else sag.stroke_fraction
        assert reached == pytest.approx(0.28, rel=1e-9)


def test_a_coil_too_stiff_for_any_preload_has_none() -> None:
    _, stiffer = choices(Coil(None, 0.0, STEP))
    assert np.isnan(stiffer.preload_for_target)


def test_a_typed_rate_is_compared_with_the_ideal_all_the_same() -> None:
    typed = [choice.rate for choice in choices(Coil(30e3, 0.001, STEP))]
    assert typed == [choice.rate for choice in choices(Coil(None, 0.001, STEP))]


def test_stages_and_targets_out_of_reach_have_no_ladder() -> None:
    assert choices(STAGES) == ()
    gas = SETUPS["coil with gas and bumper"].gas
    assert gas is not None
    out = replace(SETUPS["coil"], gas=replace(gas, pressure=400e5))
    found = answer(case_of(out)).setups[0].coil
    assert found is not None
    assert tuple(found.buyable) == ()


def test_the_one_to_order_reaches_the_target_fits_and_is_nearest() -> None:
    def choice(rate: float, preload: float = 1e-3, *cautions: str) -> BuyableCoil:
        told = tuple(Caution(code, {}) for code in cautions)
        return BuyableCoil(values(rate), values(0.3), values(preload), values(1.0), told, values(0.0))

    def first(ideal: float, *found: BuyableCoil) -> float:
        return float(by_preference([replace(one, ideal=values(ideal)) for one in found])[0].rate)

    soft, stiff, binds = choice(74e3), choice(79e3), choice(74e3, 1e-3, "preload_turns")
    too_stiff = choice(79e3, np.nan)
    assert first(77e3, soft, stiff) == 79e3
    assert first(75e3, soft, stiff) == 74e3
    assert first(77e3, soft, too_stiff) == 74e3
    assert first(77e3, binds, too_stiff) == 74e3
    assert first(75e3, binds, stiff) == 79e3
    assert first(77e3, too_stiff) == 79e3
    assert by_preference(()) == []


def test_where_neither_may_be_fitted_the_softest_that_may_follows() -> None:
    # 14 mm of preload asks for a coil so soft that it goes solid on the way.
    coil = Coil(None, 0.014, STEP, free_length=0.152, solid_length=0.084)
    softer, stiffer, fits = choices(coil)
    assert [one.may_be_fitted for one in (softer, stiffer, fits)] == [False, False, True]
    assert {caution.code for one in (softer, stiffer) for caution in one.cautions} == {"coil_bind"}
    most = longest_preload(coil, 0.060)
    assert most == pytest.approx(0.008)
    assert 0 < float(fits.preload_for_target) < most
    assert by_preference((softer, stiffer, fits))[0] is fits
    # The next softer rate does not come up to the target with all the preload that there is room for.
    below = answer(case_of(Setup("below", Coil(fits.rate - STEP, most, STEP)))).setups[0].sag
    assert below.wheel_fraction >= case_of(SETUPS["coil"]).target.sag
    # A coil that binds without any preload leaves nothing to offer.
    assert len(choices(replace(coil, solid_length=0.095))) == 2


def test_the_ideal_is_the_solved_rate() -> None:
    coil = Coil(None, 0.001, STEP)
    found = answer(case_of(Setup("coil", coil))).setups[0].coil
    assert found is not None
    assert [float(one.ideal) for one in found.buyable] == pytest.approx([float(found.rate)] * 2, rel=1e-12)
