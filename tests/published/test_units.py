"""Units against the CODATA and NIST constants that scipy carries."""

import pytest
from scipy import constants

from physics.fill import HOLDS_WITHIN
from physics.limits import STANDARD_GRAVITY
from physics.units import Dimension, parse

# Source: scipy.constants (exact by definition of the pound, the inch, standard gravity and the atmosphere).
EXACT = [
    ("1 lbf", Dimension.FORCE, constants.lbf),
    ("1 kgf", Dimension.FORCE, constants.kgf),
    ("1 psi", Dimension.PRESSURE, constants.psi),
    ("1 bar", Dimension.PRESSURE, constants.bar),
    ("1 atm", Dimension.PRESSURE, constants.atm),
    ("1 lb", Dimension.MASS, constants.lb),
    ("1 in", Dimension.LENGTH, constants.inch),
    ("1 lbf/in", Dimension.SPRING_RATE, constants.lbf / constants.inch),
    ("1 in3", Dimension.VOLUME, constants.inch**3),
    ("1 deg", Dimension.ANGLE, constants.degree),
    ("1 kp", Dimension.FORCE, constants.kgf),
    ("1 kg m/s^2", Dimension.FORCE, 1.0),
    ("1 psig", Dimension.PRESSURE, constants.psi),
    ("1 lb/in2", Dimension.PRESSURE, constants.psi),
    ("1 barg", Dimension.PRESSURE, constants.bar),
    ("1 Torr", Dimension.PRESSURE, constants.torr),
    ("1 psf", Dimension.PRESSURE, constants.lbf / constants.foot**2),
    ("1 kg/cm2", Dimension.PRESSURE, constants.kgf / constants.centi**2),
    ("1 kp/cm2", Dimension.PRESSURE, constants.kgf / constants.centi**2),
    ("1 st", Dimension.MASS, constants.stone),
    ("1 mil", Dimension.LENGTH, constants.mil),
    ("1 fl oz", Dimension.VOLUME, constants.fluid_ounce_US),
    ("1 ccm", Dimension.VOLUME, constants.centi**3),
    ("1 lb/ft", Dimension.SPRING_RATE, constants.lbf / constants.foot),
    ("1 kg/cm", Dimension.SPRING_RATE, constants.kgf / constants.centi),
    ("0 degC", Dimension.TEMPERATURE, constants.zero_Celsius),
    ("212 degF", Dimension.TEMPERATURE, constants.convert_temperature(212.0, "F", "K")),
    ("212 F", Dimension.TEMPERATURE, constants.convert_temperature(212.0, "F", "K")),
    ("20 C", Dimension.TEMPERATURE, constants.convert_temperature(20.0, "C", "K")),
]


@pytest.mark.parametrize(("text", "dimension", "si"), EXACT)
def test_against_scipy(text: str, dimension: Dimension, si: float) -> None:
    assert parse(text, dimension)[0] == pytest.approx(si, rel=1e-14)


# Source: NIST SP 811 appendix B.
@pytest.mark.parametrize(
    ("text", "dimension", "printed"),
    [
        ("1 lbf", Dimension.FORCE, 4.4482216152605),
        ("1 psi", Dimension.PRESSURE, 6894.757293168),
        ("1 lbf/in", Dimension.SPRING_RATE, 175.126835246),
        ("1 cmH2O", Dimension.PRESSURE, 98.0665),
    ],
)
def test_against_the_printed_factors(text: str, dimension: Dimension, printed: float) -> None:
    assert parse(text, dimension)[0] == pytest.approx(printed, rel=1e-11)


@pytest.mark.parametrize(
    ("text", "dimension", "printed"),
    [
        ("1 inH2O", Dimension.PRESSURE, 2.490889e2),
        ("1 Torr", Dimension.PRESSURE, 1.333224e2),
        ("1 psf", Dimension.PRESSURE, 4.788026e1),
        ("1 kgf/cm2", Dimension.PRESSURE, 9.80665e4),
        ("1 st", Dimension.MASS, 6.350293),
        ("1 fl oz", Dimension.VOLUME, 2.957353e-5),
        ("1 mil", Dimension.LENGTH, 2.54e-5),
        ("1 kp", Dimension.FORCE, 9.80665),
    ],
)
def test_against_the_factors_printed_to_seven_digits(text: str, dimension: Dimension, printed: float) -> None:
    # Source: NIST SP 811 (2008), appendix B.8.
    assert parse(text, dimension)[0] == pytest.approx(printed, rel=3e-7)


def test_constants_of_the_physics() -> None:
    assert constants.g == STANDARD_GRAVITY
    assert pytest.approx(constants.psi, rel=1e-12) == HOLDS_WITHIN
