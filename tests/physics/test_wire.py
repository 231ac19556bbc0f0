"""Laws of the wire as laws: how they scale, and that they say the same as one another."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics import wire
from physics.answer import WireAnswer
from physics.arrays import values
from physics.bench import answer
from physics.case import Coil, Setup, Wire
from physics.sweep import sweep
from physics.wire import load_tolerance, rate_band, wire_answer
from physics.wire_stock import GRADES, MATERIALS
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
