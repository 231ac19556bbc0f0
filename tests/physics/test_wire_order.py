"""The wire for a rate: it makes the rate, it holds, and nothing thinner does."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from physics import wire
from physics.arrays import values
from physics.case import Coil, Wire
from physics.wire import CANDIDATES, FEWEST, SLENDEREST, STOUTEST, wire_answer, wire_for
from physics.wire_stock import MATERIALS, USUAL_ENDS, USUAL_GRADE

MATERIAL = st.sampled_from(sorted(MATERIALS))
RATE = st.floats(20e3, 150e3)
INNER = st.floats(0.025, 0.060)
SQUEEZE = st.floats(0.030, 0.090)


@given(RATE, INNER, SQUEEZE, MATERIAL)
def test_the_wire_makes_the_rate_in_that_width_and_holds(
    rate: float, inner: float, squeeze: float, name: str
) -> None:
    found = wire_for(rate, inner, squeeze, name)
    assume(bool(found.found))
    d, D, n = float(found.diameter), float(found.mean_diameter), float(found.active_coils)
    assert wire.spring_rate(d, D, n, MATERIALS[name].shear_modulus) == pytest.approx(rate)
    assert D - d == pytest.approx(inner)
    assert found.stress <= found.allowed
    assert STOUTEST <= D / d <= SLENDEREST
    assert n >= FEWEST
    # Wound and put on the shock it is what was ordered, with its gaps left at full stroke.
    ordered = Wire(name, d, D, n, float(found.total_coils), USUAL_ENDS, USUAL_GRADE)
    back = wire_answer(
        Coil(rate, 0.002, 1.0, free_length=float(found.free_length), wire=ordered), squeeze - 0.002
    )
    assert back is not None
    assert back.gap == pytest.approx(float(back.gap_due))
    for mine, theirs in (("mass", "mass"), ("stress", "stress"), ("surge", "surge"), ("band", "band")):
        assert float(getattr(back, mine)) == pytest.approx(float(getattr(found, theirs)))


@given(RATE, INNER, SQUEEZE, MATERIAL)
def test_nothing_thinner_holds_and_the_limit_says_why(
    rate: float, inner: float, squeeze: float, name: str
) -> None:
    found = wire_for(rate, inner, squeeze, name)
    material = MATERIALS[name]

    def fails(d: float) -> set[str]:
        D = inner + d
        stress = wire.shear_stress(rate * squeeze, d, D)
        allowed = wire.strength(material, d) * material.set_by_maker
        n = wire.coils_for(rate, d, D, material.shear_modulus)
        reasons = {"stress": stress > allowed, "coils": n < FEWEST}
        return {why for why, bad in reasons.items() if bad} | (
            set() if STOUTEST <= D / d <= SLENDEREST else {"index"}
        )

    thinner = [d for d in CANDIDATES if not found.found or d < found.diameter]
    assert all(fails(float(d)) for d in thinner)
    if found.found:
        assert str(found.limit) in (fails(float(thinner[-1])) if thinner else {"thinnest"})
    else:
        assert np.isnan(found.mass)
        assert all(str(found.limit) in fails(float(d)) or "index" in fails(float(d)) for d in CANDIDATES)


@given(RATE, INNER, SQUEEZE, MATERIAL)
def test_the_thinnest_is_the_lightest(rate: float, inner: float, squeeze: float, name: str) -> None:
    found = wire_for(rate, inner, squeeze, name)
    assume(bool(found.found))
    material = MATERIALS[name]
    for d in CANDIDATES[found.diameter < CANDIDATES]:
        D = inner + d
        total = wire.coils_for(rate, d, D, material.shear_modulus) + 2
        assert wire.wire_mass(
            d, D, total, wire.solid_length(d, total, USUAL_ENDS), material.density
        ) > 0.97 * (found.mass)


def test_titanium_needs_fewer_coils_and_weighs_less() -> None:
    steel, titanium = (wire_for(78e3, 0.036, 0.062, name) for name in ("chrome_silicon", "titanium"))
    assert titanium.mass < 0.6 * steel.mass
    assert titanium.active_coils < steel.active_coils
    assert titanium.surge > steel.surge


def test_what_no_wire_can_do_is_told_by_its_limit() -> None:
    assert str(wire_for(250e3, 0.025, 0.080, "chrome_silicon").limit) == "stress"
    assert str(wire_for(1e3, 0.300, 0.010, "chrome_silicon").found) == "True"
    assert str(wire_for(80e3, 2.0, 0.010, "chrome_silicon").limit) == "index"
    assert str(wire_for(9e6, 0.030, 0.0001, "chrome_silicon").limit) in ("coils", "index")


def test_many_rates_at_once_are_each_their_own() -> None:
    rates = values(np.linspace(40e3, 120e3, 9))
    together = wire_for(rates, 0.036, 0.060, "titanium")
    alone = [wire_for(float(rate), 0.036, 0.060, "titanium") for rate in rates]
    assert together.diameter == pytest.approx([float(one.diameter) for one in alone])
    assert together.mass == pytest.approx([float(one.mass) for one in alone])
    assert list(together.limit) == [str(one.limit) for one in alone]
    assert not wire_for(float("nan"), 0.036, 0.060, "titanium").found
