"""What words and units above a column say of it."""

import pytest

from physics.units import Dimension
from tui.tables.heads import (
    FORCE,
    LEVERAGE,
    LOOP,
    RATIO,
    SHAFT,
    STROKE,
    TRAVEL,
    Role,
    factor_of,
    role_by_words,
    unit_in,
)


@pytest.mark.parametrize(
    ("head", "role"),
    [
        ("Rear wheel travel (mm)", TRAVEL), ("WheelTravel", TRAVEL), ("wheel compression", TRAVEL),
        ("vertical_travel", TRAVEL), ("Shock travel", STROKE), ("shockstroke", STROKE), ("STROKE", STROKE),
        ("compression [mm]", STROKE), ("Leverage rate", RATIO), ("motion ratio", RATIO), ("leverage", RATIO),
        ("wheel force [N]", None), ("wheel [N]", None), ("wheel travel [%]", None), ("shock length", None),
        ("chain growth", None), ("spring rate", None), ("acceleration", None), ("axle path x", None),
    ],
)  # fmt: skip
def test_words_of_a_frame(head: str, role: Role | None) -> None:
    assert role_by_words(head, LEVERAGE) == (True, role)


@pytest.mark.parametrize(
    ("head", "role"),
    [
        ("compression force", FORCE), ("Load cell", FORCE), ("shaftforce", FORCE), ("Travel", SHAFT),
        ("displacement", SHAFT), ("stroke velocity", None), ("Test time", None),
    ],
)  # fmt: skip
def test_words_of_a_tester(head: str, role: Role | None) -> None:
    assert role_by_words(head, LOOP) == (True, role)


def test_other_words_say_nothing() -> None:
    assert role_by_words("Federweg [mm]", LOOP) == (False, None)
    assert role_by_words("", LEVERAGE) == (False, None)


@pytest.mark.parametrize(
    ("head", "length", "force"),
    [
        ("stroke [mm]", "mm", None), ("stroke (in)", "in", None), ("travel in", "in", None),
        ("stroke in mm", "mm", None), ("displacement in z", None, None), ("STROKE_MM", "mm", None),
        ("travel/in", "in", None), ("load/lbf", None, "lbf"), ("scale kg", None, "kgf"),
        ("F [kN]", None, "kN"),
        ("speed mm/s", None, None), ("Geschwindigkeit [mm/s]", None, None), ("Federrate N/mm", None, None),
        ("stroke [ft]", "ft", None), ("stroke (rear) mm", "mm", None), ("Number", None, None),
        ("Kraft [Newton]", None, "N"), ("stroke", None, None),
    ],
)  # fmt: skip
def test_units_of_lengths_and_forces(head: str, length: str | None, force: str | None) -> None:
    assert unit_in(head, Dimension.LENGTH) == length
    assert unit_in(head, Dimension.FORCE) == force


def test_units_in_si() -> None:
    assert factor_of(" mm ", STROKE) == 1e-3
    assert factor_of("lb", FORCE) == pytest.approx(4.4482216)
    assert factor_of("ft", STROKE) == pytest.approx(0.3048)
    assert factor_of("psi", FORCE) is None
    assert factor_of("", STROKE) is None


@pytest.mark.parametrize(
    ("head", "unit"),
    [("speed m/s", "m/s"), ("Velocity MM/S", "mm/s"), ("speed_in/s", "in/s"), ("speed", None)],
)
def test_a_speed_has_its_unit_without_brackets_too(head: str, unit: str | None) -> None:
    assert unit_in(head, Dimension.SPEED) == unit
    assert unit_in(head, Dimension.LENGTH) is None
