"""Quantities: exact factors, tolerant reading, plain refusals.

Units in words, in signs of their own and in other people's habits.
"""

import math
import re
import subprocess
import sys

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics import units
from physics.units import Dimension, OutOfReach, UnitFault, accepted, in_unit, parse


@pytest.mark.parametrize(
    ("text", "dimension", "si"),
    [
        ("85 kg", Dimension.MASS, 85.0),
        ("187lb", Dimension.MASS, 187 * 0.45359237),
        ("60 mm", Dimension.LENGTH, 0.06),
        ("2,5 in", Dimension.LENGTH, 0.0635),
        ("-1e1 cm", Dimension.LENGTH, -0.1),
        ("1.e1 cm", Dimension.LENGTH, 0.1),
        ("215 psi", Dimension.PRESSURE, 215 * 6894.757293168361),
        ("14.8 bar", Dimension.PRESSURE, 1.48e6),
        ("1.48 MPa", Dimension.PRESSURE, 1.48e6),
        ("12 kgf", Dimension.FORCE, 117.6798),
        ("1 lbf", Dimension.FORCE, 4.4482216152605),
        ("100 lbf/in", Dimension.SPRING_RATE, 17512.683524647636),
        ("100 lb/in", Dimension.SPRING_RATE, 17512.683524647636),
        ("80 N/mm", Dimension.SPRING_RATE, 80000.0),
        ("105 cm3", Dimension.VOLUME, 1.05e-4),
        ("1 in3", Dimension.VOLUME, 1.6387064e-5),
        ("20 degC", Dimension.TEMPERATURE, 293.15),
        ("68 degF", Dimension.TEMPERATURE, 293.15),
        ("180 deg", Dimension.ANGLE, math.pi),
        ("25.2 km/h", Dimension.SPEED, 7.0),
        ("10 mph", Dimension.SPEED, 4.4704),
        ("12 in/s", Dimension.SPEED, 0.3048),
        ("900 N s/m", Dimension.DAMPING, 900.0),
        ("900 N·s/m", Dimension.DAMPING, 900.0),
        ("0,9 Ns/mm", Dimension.DAMPING, 900.0),
        ("5 lb s/in", Dimension.DAMPING, 875.6341762323818),
        ("400 ms", Dimension.TIME, 0.4),
        ("3 mm2", Dimension.AREA, 3e-6),
        ("0.005 in²", Dimension.AREA, 3.2258e-6),
        ("30 %", Dimension.FRACTION, 0.3),
        ("0,3", Dimension.FRACTION, 0.3),
        # Not in the table: the library is asked.
        ("1 ft", Dimension.LENGTH, 0.3048),
        ("1 knot", Dimension.SPEED, 1852 / 3600),
        ("5 lb s/ft", Dimension.DAMPING, 72.96951468603),
        ("1 atm", Dimension.PRESSURE, 101325.0),
        ("1 lbf/ft", Dimension.SPRING_RATE, 14.593902937206),
        ("3 dm^3", Dimension.VOLUME, 0.003),
        ("3 dm3", Dimension.VOLUME, 0.003),
        ("60 arcmin", Dimension.ANGLE, math.pi / 180),
        ("527.67 degR", Dimension.TEMPERATURE, 293.15),
    ],
)
def test_value_in_si(text: str, dimension: Dimension, si: float) -> None:
    assert parse(text, dimension)[0] == pytest.approx(si, rel=1e-12)


def test_unit_comes_back_as_typed() -> None:
    assert parse("495 lb/in", Dimension.SPRING_RATE)[1] == "lb/in"
    assert parse("0.3", Dimension.FRACTION)[1] == ""


@pytest.mark.parametrize(
    ("text", "dimension", "message"),
    [
        ("85", Dimension.MASS, "no unit"),
        ("85 mm", Dimension.MASS, "not a unit of mass"),
        ("85 flurb", Dimension.MASS, "not a unit of mass"),
        ("nan kg", Dimension.MASS, "not a number"),
        ("inf kg", Dimension.MASS, "not a number"),
        ("1e30 kg", Dimension.MASS, "out of range"),
        ("1e999999999 kg", Dimension.MASS, "out of range"),
        ("1,800 N", Dimension.FORCE, "thousands or decimals"),
        ("1,234.5 N", Dimension.FORCE, "unit"),
        ("-300 degC", Dimension.TEMPERATURE, "absolute zero"),
        ("1 delta_degC", Dimension.TEMPERATURE, "not a unit of temperature"),
        ("5 percent", Dimension.ANGLE, "not a unit of angle"),
        ("5 mm", Dimension.FRACTION, "not a unit of fraction"),
        ("7 m", Dimension.SPEED, "not a unit of speed"),
        ("900 N/m", Dimension.DAMPING, "not a unit of damping"),
        ("3 mm", Dimension.AREA, "use an area with its unit"),
        ("1 m**9**9**9**9", Dimension.LENGTH, "not a unit of length"),
        ("", Dimension.LENGTH, "not a number"),
        ("1/0 in", Dimension.LENGTH, "not a number"),
        ("1 3/2 in", Dimension.LENGTH, "not a number"),
        ("1.5/2 in", Dimension.LENGTH, "not a number"),
        ("1/2.5 in", Dimension.LENGTH, "not a number"),
        ("1/2/4 in", Dimension.LENGTH, "not a number"),
        ("12345/2 in", Dimension.LENGTH, "not a number"),
    ],
)
def test_refusal_says_what_to_use(text: str, dimension: Dimension, message: str) -> None:
    with pytest.raises(UnitFault, match=message) as caught:
        parse(text, dimension)
    assert re.search(r"; (use|write) ", str(caught.value))


@given(st.text(max_size=30), st.sampled_from(Dimension))
def test_any_text_is_a_finite_value_or_a_unit_fault(text: str, dimension: Dimension) -> None:
    try:
        si, _ = parse(text, dimension)
    except UnitFault:
        return
    assert math.isfinite(si)


@pytest.mark.parametrize(
    ("si", "unit", "dimension", "number"),
    [
        (0.06, "mm", Dimension.LENGTH, 60.0),
        (293.15, "degF", Dimension.TEMPERATURE, 68.0),
        (0.305, "%", Dimension.FRACTION, 30.5),
        (0.305, "", Dimension.FRACTION, 0.305),
        (0.3048, "ft", Dimension.LENGTH, 1.0),
        (17512.683524647636, "lb/in", Dimension.SPRING_RATE, 100.0),
        (14.593902937206, "lb/ft", Dimension.SPRING_RATE, 1.0),
    ],
)
def test_a_value_in_a_unit(si: float, unit: str, dimension: Dimension, number: float) -> None:
    assert in_unit(si, unit, dimension) == pytest.approx(number, rel=1e-12)


def test_ordinary_units_leave_the_library_unloaded() -> None:
    program = (
        "import sys; from physics.units import *; parse('1 psi', Dimension.PRESSURE);"
        "sys.exit('pint' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0


def test_a_doubtful_comma_is_read_by_what_is_sensible() -> None:
    assert parse("60,450 kg", Dimension.MASS, (0.0, 500.0))[0] == pytest.approx(60.45)
    assert parse("1,250 mm", Dimension.LENGTH, (0.3, 3.0))[0] == pytest.approx(1.25)
    for both_or_none in ((0.0, 1e5), (1e6, 1e7)):
        with pytest.raises(UnitFault, match="thousands or decimals"):
            parse("1,800 N", Dimension.FORCE, both_or_none)


def test_capitals_are_no_fault_where_they_decide_nothing() -> None:
    assert parse("85 KG", Dimension.MASS) == (85.0, "kg")
    assert parse("215 Psi", Dimension.PRESSURE)[0] == pytest.approx(215 * 6894.757293168)
    assert parse("1 MPa", Dimension.PRESSURE)[0] == 1e6
    assert parse("1 mPa", Dimension.PRESSURE)[0] == pytest.approx(1e-3)


POUND_PER_INCH = 0.45359237 * 9.80665 / 0.0254


@pytest.mark.parametrize(
    ("text", "dimension", "si"),
    [
        ("80 newton per millimetre", Dimension.SPRING_RATE, 80_000.0),
        ("80 Newtons per Millimeter", Dimension.SPRING_RATE, 80_000.0),
        ("80 newtons/millimeters", Dimension.SPRING_RATE, 80_000.0),
        ("80 N mm^-1", Dimension.SPRING_RATE, 80_000.0),
        ("80 N·mm⁻¹", Dimension.SPRING_RATE, 80_000.0),
        ("80 N*mm**-1", Dimension.SPRING_RATE, 80_000.0),
        ("80 N / mm", Dimension.SPRING_RATE, 80_000.0),
        ("450 pounds per inch", Dimension.SPRING_RATE, 450 * POUND_PER_INCH),
        ("450 pounds-force per inch", Dimension.SPRING_RATE, 450 * POUND_PER_INCH),
        ("450 LBS/INCH", Dimension.SPRING_RATE, 450 * POUND_PER_INCH),
        ("12 kg m/s^2", Dimension.FORCE, 12.0),
        ("12 kg·m/s²", Dimension.FORCE, 12.0),
        ("12 kg m s^-2", Dimension.FORCE, 12.0),
        ("2 kilograms force", Dimension.FORCE, 19.6133),
        ("85 kilograms", Dimension.MASS, 85.0),
        ("13 stone", Dimension.MASS, 13 * 14 * 0.45359237),
        ("5.9 inches", Dimension.LENGTH, 5.9 * 0.0254),
        ("15 centimeters", Dimension.LENGTH, 0.15),
        ("2 feet", Dimension.LENGTH, 0.6096),
        ("215 pounds per square inch", Dimension.PRESSURE, 215 * 6894.757293168361),
        ("215 lb/sq in", Dimension.PRESSURE, 215 * 6894.757293168361),
        ("215 PSIG", Dimension.PRESSURE, 215 * 6894.757293168361),
        ("105 cubic centimetres", Dimension.VOLUME, 1.05e-4),
        ("6.4 cu in", Dimension.VOLUME, 6.4 * 0.0254**3),
        ("105 cm³", Dimension.VOLUME, 1.05e-4),
        ("3 fl. oz", Dimension.VOLUME, 3 * 231 * 0.0254**3 / 128),
        ("3 fluid ounces", Dimension.VOLUME, 3 * 231 * 0.0254**3 / 128),
        ("20 ℃", Dimension.TEMPERATURE, 293.15),
        ("20 c", Dimension.TEMPERATURE, 293.15),
        ("20 deg C", Dimension.TEMPERATURE, 293.15),
        ("20 ° C", Dimension.TEMPERATURE, 293.15),
        ("20 degrees Celsius", Dimension.TEMPERATURE, 293.15),
        ("20 celsius", Dimension.TEMPERATURE, 293.15),
        ("68 ℉", Dimension.TEMPERATURE, 293.15),
        ("68 °F", Dimension.TEMPERATURE, 293.15),
        ("68 degrees F", Dimension.TEMPERATURE, 293.15),
        ("293.15 kelvin", Dimension.TEMPERATURE, 293.15),
        ("64 degrees", Dimension.ANGLE, math.radians(64)),
        ("30 percent", Dimension.FRACTION, 0.3),
        ("1/2 in", Dimension.LENGTH, 0.0127),
        ("2 1/2in", Dimension.LENGTH, 0.0635),
        ("−1 3 / 4 degF", Dimension.TEMPERATURE, (459.67 - 1.75) * 5 / 9),
        ("3/4 lb/in", Dimension.SPRING_RATE, 0.75 * POUND_PER_INCH),
        ("25/2 %", Dimension.FRACTION, 0.125),
        ("30 per cent", Dimension.FRACTION, 0.3),
    ],
)
def test_read_as_meant(text: str, dimension: Dimension, si: float) -> None:
    assert parse(text, dimension)[0] == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        ("80 newton millimetres", Dimension.SPRING_RATE),
        ("12 kg", Dimension.FORCE),
        ("215 lb", Dimension.PRESSURE),
        ("215 psia", Dimension.PRESSURE),
        ("20 C", Dimension.FORCE),
        ("1 F", Dimension.MASS),
        ("1 (kg)", Dimension.MASS),
        ("1 kg m/s^2)", Dimension.FORCE),
        ("1 k" + "g" * 100, Dimension.MASS),
        ("1 " + "per " * 10, Dimension.MASS),
    ],
)
def test_what_measures_something_else_is_refused(text: str, dimension: Dimension) -> None:
    with pytest.raises(UnitFault, match=f"not a unit of {dimension.value}"):
        parse(text, dimension)


@pytest.mark.parametrize("text", ["1e400 kg", "-1e400 lb", f"{'9' * 60} kg", "1e13 kilograms", "1e99 slug"])
def test_a_number_beyond_everything_is_out_of_range_in_its_own_unit(text: str) -> None:
    with pytest.raises(OutOfReach, match="is out of range") as caught:
        parse(text, Dimension.MASS)
    assert caught.value.unit in ("kg", "lb", "slug")


def test_a_number_next_to_nothing_is_nothing() -> None:
    assert parse("1e-400 kg", Dimension.MASS)[0] == 0.0
    assert parse("0e400 kg", Dimension.MASS)[0] == 0.0


def test_long_text_is_quoted_in_short() -> None:
    for text in ("x" * 5000, "1 " + "x" * 150, "9" * 150 + " kg", "1" * 5000):
        with pytest.raises(UnitFault) as caught:
            parse(text, Dimension.MASS)
        assert len(caught.value.what) < 110
        assert '..."' in caught.value.what


@pytest.mark.parametrize(
    ("dimension", "told"),
    [
        (Dimension.SPRING_RATE, 'use a spring rate with its unit such as "80 N/mm" or "450 lbf/in"'),
        (Dimension.ANGLE, 'use an angle with its unit such as "64 deg" or "1.117 rad"'),
        (Dimension.FRACTION, 'use a fraction such as "30 %" or 0.30'),
    ],
)
def test_what_to_use_is_named_with_its_article_and_examples(dimension: Dimension, told: str) -> None:
    assert accepted(dimension) == told


def test_a_scale_with_its_own_zero_is_read_by_the_library() -> None:
    # Réaumur: 0 at the ice point, 80 at the boiling point of water (from memory).
    assert parse("0 degRe", Dimension.TEMPERATURE)[0] == pytest.approx(273.15)
    assert parse("16 degRe", Dimension.TEMPERATURE)[0] == pytest.approx(293.15)


@pytest.mark.parametrize("text", ["30 percent", "30 ppm", "30 dimensionless"])
def test_a_share_is_no_angle(text: str) -> None:
    with pytest.raises(UnitFault, match="is not a unit of angle; use an angle with its unit such as"):
        parse(text, Dimension.ANGLE)


def test_a_unit_library_that_does_not_load_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(**_: object) -> None:
        raise TypeError("cannot inherit frozen dataclass from a non-frozen one")

    monkeypatch.setattr("pint.UnitRegistry", broken)
    for cached in (units._registry, units._scale):
        cached.cache_clear()
    with pytest.raises(UnitFault) as told:
        parse("6 yard", Dimension.LENGTH)
    assert "the unit library pint does not load (TypeError: cannot inherit frozen" in told.value.what
    assert "pint installed again" in told.value.accepted
    # The usual units need no library.
    assert parse("60 mm", Dimension.LENGTH)[0] == 0.06
    units._registry.cache_clear()


def test_a_disk_without_room_for_its_cache_leaves_the_unit_library_at_work(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    whole = pint.UnitRegistry

    def on_a_full_disk(cache_folder: str | None) -> object:
        if cache_folder:
            raise OSError(28, "No space left on device")
        return whole(cache_folder=None)

    monkeypatch.setattr("pint.UnitRegistry", on_a_full_disk)
    for cached in (units._registry, units._scale):
        cached.cache_clear()
    assert parse("6 yard", Dimension.LENGTH)[0] == pytest.approx(5.4864, rel=1e-12)
    units._registry.cache_clear()
