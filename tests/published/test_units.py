"""Units against the CODATA and NIST constants that scipy carries."""

import pytest
from scipy import constants

from physics.case import STANDARD_GRAVITY
from physics.fill import HOLDS_WITHIN
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
    ("0 degC", Dimension.TEMPERATURE, constants.zero_Celsius),
    ("212 degF", Dimension.TEMPERATURE, constants.convert_temperature(212.0, "F", "K")),
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
    ],
)
def test_against_the_printed_factors(text: str, dimension: Dimension, printed: float) -> None:
    assert parse(text, dimension)[0] == pytest.approx(printed, rel=1e-11)


def test_constants_of_the_physics() -> None:
    assert constants.g == STANDARD_GRAVITY
    assert pytest.approx(constants.psi, rel=1e-12) == HOLDS_WITHIN
