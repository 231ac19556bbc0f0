"""Units in words, in signs of their own and in other people's habits."""

import math

import pytest

from physics.units import Dimension, OutOfReach, UnitFault, parse

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
    with pytest.raises(UnitFault, match=f"no unit of {dimension.value}"):
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
