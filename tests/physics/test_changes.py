"""One change of a setup at a time: rates in stock, and what a measured sag asks for."""

from dataclasses import replace

import pytest

from physics.advise import advise
from physics.arrays import values
from physics.bench import answer
from physics.case import Coil, Setup
from physics.changes import by_measured_sag, next_rates
from tests.physics.examples import LBF_IN, SETUPS, case_of


def test_a_coil_goes_to_rates_one_can_buy() -> None:
    coil = Coil(487 * LBF_IN, 0.001, 25 * LBF_IN)
    assert next_rates(coil) == pytest.approx((450 * LBF_IN, 525 * LBF_IN))
    assert next_rates(replace(coil, rate=500 * LBF_IN)) == pytest.approx((475 * LBF_IN, 525 * LBF_IN))
    ladder = values([400 * LBF_IN, 450 * LBF_IN])
    assert next_rates(replace(coil, ladder=ladder)) == pytest.approx((450 * LBF_IN,))
    for change in advise(case_of(Setup("coil", coil)), 0, ("wallows",)).changes:
        if change.turned == "rate":
            assert isinstance(change.setup.spring, Coil)
            assert change.setup.spring.rate == pytest.approx(525 * LBF_IN)


@pytest.mark.parametrize("name", ["coil", "equalised"])
def test_a_measured_sag_speaks_of_the_load_that_makes_it(name: str) -> None:
    case = case_of(SETUPS[name])
    found = answer(case).setups[0]
    same = by_measured_sag(case, found.setup, float(found.sag.wheel), "travel")
    assert same.load == pytest.approx(same.entered, rel=1e-6)
    heavier = by_measured_sag(case, found.setup, float(found.sag.stroke) * 1.1, "stroke")
    assert heavier.load > heavier.entered
    assert heavier.trial is not None
    assert heavier.trial.more
