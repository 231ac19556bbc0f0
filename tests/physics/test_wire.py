"""Laws of the wire as laws: how they scale, and that they say the same as one another.

The wire for a rate: it makes the rate, it holds, and nothing thinner does.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from physics import wire
from physics.answer import WireAnswer
from physics.arrays import values
from physics.bench import answer
from physics.case import Coil, Setup, Wire
from physics.sweep import sweep
from physics.wire import (
    CANDIDATES,
    FEWEST,
    SLENDEREST,
    STOUTEST,
    inner_diameter,
    load_tolerance,
    rate_band,
    wire_answer,
    wire_cautions,
    wire_faults,
    wire_for,
)
from physics.wire_stock import GRADES, MATERIALS, USUAL_ENDS, USUAL_GRADE
from tests.physics.examples import case_of

G = 77.2e9
THICK = st.floats(0.004, 0.014)
WOUND = st.floats(4.0, 12.0)
COILS = st.floats(2.0, 15.0)
FACTOR = st.floats(1.01, 3.0)
FORCE = st.floats(100.0, 10_000.0)

WIRE = Wire("chrome_silicon", 0.0089, 0.0449, 8.6, 10.6, "closed_ground", 2)
COIL = Coil(None, 0.002, 4378.0, free_length=0.173, wire=WIRE)


def answered(coil: Coil = COIL, stroke: float = 0.060) -> WireAnswer:
    found = wire_answer(coil, stroke)
    assert found is not None
    return found


@given(THICK, WOUND, COILS, FACTOR)
def test_rate_goes_with_the_fourth_power_of_wire_and_the_third_of_width(
    d: float, w: float, n: float, by: float
) -> None:
    k = wire.spring_rate(d, w * d, n, G)
    assert wire.spring_rate(by * d, w * d, n, G) == pytest.approx(k * by**4)
    assert wire.spring_rate(d, by * w * d, n, G) == pytest.approx(k / by**3)
    assert wire.spring_rate(d, w * d, by * n, G) == pytest.approx(k / by)
    assert wire.coils_for(k, d, w * d, G) == pytest.approx(n)
    # A coil of another size but the same shape is stiffer by its size.
    assert wire.spring_rate(by * d, by * w * d, n, G) == pytest.approx(k * by)


@given(THICK, WOUND, FORCE, FACTOR)
def test_stress_goes_with_load_and_shape(d: float, w: float, F: float, by: float) -> None:
    stress = wire.shear_stress(F, d, w * d)
    assert wire.shear_stress(by * F, d, w * d) == pytest.approx(by * stress)
    assert wire.shear_stress(by**2 * F, by * d, by * w * d) == pytest.approx(stress)
    assert stress > wire.plain_stress(F, d, w * d)
    assert wire.curvature_factor(d, w * d) == pytest.approx((4 * w + 2) / (4 * w - 3))


@given(THICK, WOUND, COILS, FORCE, FACTOR)
def test_the_band_widens_with_the_grade_and_narrows_with_the_load(
    d: float, w: float, n: float, F: float, by: float
) -> None:
    bands = [float(rate_band(d, w * d, n, F, Q)) for Q in GRADES.values()]
    assert 0 < bands[0] < bands[1] < bands[2]
    assert bands[2] / bands[1] == pytest.approx(1.6)
    assert rate_band(d, w * d, n, by * F, 1.0) < bands[1]
    # However heavy the load, what goes with it stays.
    assert rate_band(d, w * d, n, 1e12, 1.0) == pytest.approx(0.015, rel=1e-3)
    assert load_tolerance(d, w * d, n, F, 1.0) == pytest.approx(bands[1] * F)


def test_two_loads_at_their_worst_stray_as_far_as_the_band() -> None:
    # The rate between first touch, which is exact, and a load that is off by all its tolerance.
    d, D, n, F = 0.0089, 0.0449, 8.6, 4800.0
    A = float(load_tolerance(d, D, n, F, 1.0))
    k = float(wire.spring_rate(d, D, n, G))
    strayed = (F + A) / (F / k)
    assert strayed / k - 1 == pytest.approx(float(rate_band(d, D, n, F, 1.0)))


@given(THICK, WOUND, st.floats(2.0, 20.0), st.floats(0.0, 0.3))
def test_mass_is_that_of_a_bent_bar(d: float, w: float, turns: float, height: float) -> None:
    # Pappus: section times the path of its middle; flat coils are as many rings.
    D, density = w * d, 7850.0
    rings = turns * density * 2 * math.pi**2 * (D / 2) * (d / 2) ** 2
    assert wire.wire_mass(d, D, turns, 0.0, density) == pytest.approx(rings)
    # The helix walked in small steps.
    t = np.linspace(0.0, 1.0, 20_001)
    path = np.stack(
        [D / 2 * np.cos(2 * np.pi * turns * t), D / 2 * np.sin(2 * np.pi * turns * t), height * t]
    )
    length = np.linalg.norm(np.diff(path, axis=1), axis=0).sum()
    assert wire.wire_length(D, turns, height) == pytest.approx(length, rel=1e-5)
    assert wire.wire_mass(d, D, turns, height, density) >= rings * (1 - 1e-12)


def test_strength_falls_with_thickness_and_is_flat_for_titanium() -> None:
    d = values([0.004, 0.008, 0.012])
    for name, material in MATERIALS.items():
        found = wire.strength(material, d)
        assert np.all(np.diff(found) < 0) or name == "titanium"
    assert np.ptp(wire.strength(MATERIALS["titanium"], d)) == 0.0


@pytest.mark.parametrize(("ends", "length"), [("closed_ground", 0.080), ("closed", 0.088), ("open", 0.088)])
def test_solid_length_by_its_ends(ends: str, length: float) -> None:
    assert wire.solid_length(0.008, 10.0, ends) == pytest.approx(length)


def test_a_coil_on_its_shock() -> None:
    found = answered()
    assert found.force == pytest.approx(found.rate * 0.062)
    assert found.stress == pytest.approx(wire.shear_stress(found.force, 0.0089, 0.0449))
    assert found.solid_length == pytest.approx(10.6 * 0.0089)
    assert found.gap == pytest.approx(0.173 - 10.6 * 0.0089 - 0.062)
    # More squeeze than full stroke until it is solid, and stress goes with it.
    assert found.solid_stress / found.stress == pytest.approx((0.062 + found.gap) / 0.062)
    assert found.allowed < found.allowed_set < found.strength
    assert not found.beyond_table
    assert answered(replace(COIL, wire=replace(WIRE, diameter=0.0096))).beyond_table


def test_without_a_free_length_what_hangs_on_it_does_not_exist() -> None:
    found = answered(replace(COIL, free_length=None))
    assert np.isnan(found.gap)
    assert np.isnan(found.solid_stress)
    assert found.mass == pytest.approx(answered().mass, rel=0.01)
    assert found.mass < answered().mass


def test_no_wire_no_answer_and_none_in_stages() -> None:
    assert wire_answer(replace(COIL, wire=None), 0.060) is None
    staged = replace(COIL, stage_start=values([0.0, 0.03]), stage_rate=values([8e4, 9e4]))
    assert wire_answer(staged, 0.060) is None


def test_the_bench_weighs_by_the_wire_what_nobody_put_on_a_scale() -> None:
    by_wire, weighed = answer(case_of(Setup("a", COIL), Setup("b", COIL, mass=0.5))).setups
    assert by_wire.coil is not None
    assert by_wire.coil.wire is not None
    assert by_wire.mass == by_wire.coil.wire.mass == pytest.approx(0.735, abs=0.02)
    assert weighed.mass == 0.5
    assert np.isnan(answer(case_of(Setup("c", replace(COIL, wire=None)))).setups[0].mass)


def test_solid_length_comes_from_the_wire_where_none_was_typed() -> None:
    short = replace(COIL, free_length=0.150)
    codes = [caution.code for caution in answer(case_of(Setup("a", short))).setups[0].cautions]
    assert "coil_bind" in codes
    typed = replace(short, solid_length=0.085)
    codes = [caution.code for caution in answer(case_of(Setup("a", typed))).setups[0].cautions]
    assert "coil_bind" not in codes


def test_a_thousand_wires_at_once() -> None:
    thick = values(np.linspace(0.008, 0.010, 1000))
    many = replace(WIRE, diameter=thick)
    found = sweep(case_of(Setup("a", replace(COIL, free_length=None, wire=many)))).setups[0]
    assert found.coil is not None
    assert found.coil.wire is not None
    assert found.coil.wire.stress.shape == (1000,)
    one = answered(replace(COIL, free_length=None, wire=replace(WIRE, diameter=float(thick[7]))))
    assert found.coil.wire.stress[7] == pytest.approx(float(one.stress))


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


def test_the_gap_a_moving_spring_needs_is_half_as_much_again() -> None:
    # 1.5 n (0.0015 D²/d + 0.1 d) with d = 8.9 and D = 44.9 mm.
    due = 1.5 * 8.6 * (0.0015 * 44.9**2 / 8.9 + 0.1 * 8.9) * 1e-3
    assert answered().gap_due == pytest.approx(due)


def test_a_coil_with_open_ends_may_work_in_all_its_coils() -> None:
    wire = replace(WIRE, active_coils=8.6, total_coils=8.6, ends="open")
    assert wire_faults(replace(COIL, wire=wire)) == ()
    fewer = wire_faults(replace(COIL, wire=replace(wire, total_coils=8.59)))
    assert [fault.code for fault in fewer] == ["fewer_than_working"]
    assert [fault.code for fault in wire_faults(replace(COIL, wire=replace(wire, active_coils=0.0)))] == [
        "no_working_coils"
    ]


def test_a_coil_as_long_as_it_may_buckle_says_so() -> None:
    longest = float(answered().buckling_length)

    def codes(free: float) -> list[str]:
        coil = replace(COIL, rate=80e3, free_length=free)
        return [caution.code for caution in wire_cautions(coil, answered(), np.nan)]

    assert "buckling" in codes(longest)
    assert "buckling" not in codes(longest * (1 - 1e-12))


def test_a_width_nobody_measured_is_the_usual_one() -> None:
    assert inner_diameter(COIL) == 0.036
    assert inner_diameter(replace(COIL, inner_diameter=0.040)) == 0.040


def test_of_many_coils_the_worst_is_told() -> None:
    several = values([8.6, 9.4, 9.0])
    (fewer,) = wire_faults(replace(COIL, wire=replace(WIRE, active_coils=several, total_coils=values(8.8))))
    assert (fewer.code, dict(fewer.values)) == ("fewer_than_working", {"coils": 9.4})
    widths = values([0.0449, 0.0080, 0.0085])
    (hole,) = wire_faults(replace(COIL, wire=replace(WIRE, mean_diameter=widths)))
    assert (hole.code, dict(hole.values)) == ("no_hole", {"mean_diameter": 0.0080})
    long = wire_faults(replace(COIL, wire=replace(WIRE, total_coils=values([10.6, 21.0, 20.0]))))
    assert [fault.code for fault in long] == ["below_solid"]
    assert long[0].values["solid"] == pytest.approx(21.0 * WIRE.diameter)


def test_the_moduli_of_titanium_are_those_from_memory_and_of_one_material() -> None:
    # E = 2 G (1 + v), with a Poisson's ratio of a quarter: 42 and 105 GPa, from memory.
    titanium = MATERIALS["titanium"]
    assert (titanium.shear_modulus, titanium.elastic_modulus) == (42e9, 105e9)
