"""Pairs read off the bike: the curve, what each lies off it, and the one that does not belong."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics.arrays import Values, values
from physics.case import Measured
from physics.pairs import READ_WITHIN, checked, fitted, next_travel

TRAVEL = values([0.0, 0.020, 0.040, 0.060, 0.080, 0.100, 0.120, 0.150])


def stroke(travel: Values) -> Values:
    """A cubic through the origin: what is fitted is what was there."""
    return values(0.36 * travel + 0.18 * travel**2 + 0.4 * travel**3)


def with_slip(place: int, slip: float, noise: float = 0.0, seed: int = 3) -> Measured:
    read = stroke(TRAVEL) + noise * np.random.default_rng(seed).uniform(-1, 1, len(TRAVEL)) * (TRAVEL > 0)
    read[place] += slip
    return Measured(TRAVEL, values(read))


def test_a_cubic_is_found_again_with_its_slopes() -> None:
    curve = fitted(Measured(TRAVEL, stroke(TRAVEL)))
    assert curve is not None
    between = values([0.0, 0.011, 0.077, 0.149])
    first, second = curve.slopes(between)
    assert curve.stroke(between) == pytest.approx(stroke(between), abs=1e-12)
    assert first == pytest.approx(0.36 + 0.36 * between + 1.2 * between**2, rel=1e-9)
    assert second == pytest.approx(0.36 + 2.4 * between, rel=1e-8)


@pytest.mark.parametrize("place", range(1, 8))
def test_what_the_others_say_is_the_fit_without_the_pair(place: int) -> None:
    pairs = with_slip(place, 0.8e-3, noise=0.2e-3)
    rest = np.arange(len(TRAVEL)) != place
    alone = fitted(Measured(pairs.travel[rest], pairs.stroke[rest]))
    assert alone is not None
    assert checked(pairs).by_others[place] == pytest.approx(float(alone.stroke(TRAVEL)[place]), rel=1e-9)


@pytest.mark.parametrize("place", range(1, 8))
@pytest.mark.parametrize("slip", [-3e-3, 3e-3])
def test_a_slip_is_pointed_at_wherever_it_is(place: int, slip: float) -> None:
    assert checked(with_slip(place, slip, noise=0.05e-3)).odd == place
    assert checked(with_slip(place, slip)).odd == place


def test_the_largest_residual_alone_would_point_at_a_neighbour() -> None:
    """At the end a slip pulls the curve after it: its own residual is not the largest one."""
    found = checked(with_slip(7, 3e-3))
    assert np.argmax(np.abs(found.residual)) != 7
    assert found.odd == 7
    assert found.by_others[7] == pytest.approx(float(stroke(TRAVEL)[7]))


def test_reading_noise_is_no_slip_more_often_than_is_asked() -> None:
    # Five in a hundred of clean sets may be suspected; errors are normal here, a tenth of a millimetre.
    dice = np.random.default_rng(11)
    count, suspected = 1000, 0
    for _ in range(count):
        read = stroke(TRAVEL) + dice.normal(0.0, 1e-3, len(TRAVEL)) * (TRAVEL > 0)
        suspected += checked(Measured(TRAVEL, values(read))).odd is not None
    assert 0.02 <= suspected / count <= 0.07


@given(st.integers(0, 10**6))
def test_what_a_ruler_leaves_is_never_pointed_at(seed: int) -> None:
    found = checked(with_slip(1, 0.0, noise=0.05e-3, seed=seed))
    missed = np.abs(values(stroke(TRAVEL)) - found.by_others)
    assert found.odd is None or missed[found.odd] > READ_WITHIN / 2


def test_a_stroke_at_full_extension_is_off_zero() -> None:
    assert checked(with_slip(0, 1e-3)).odd == 0


@pytest.mark.parametrize("count", [0, 1, 3])
def test_too_few_pairs_tell_nothing(count: int) -> None:
    found = checked(Measured(TRAVEL[:count], stroke(TRAVEL[:count])))
    assert fitted(Measured(TRAVEL[:count], stroke(TRAVEL[:count]))) is None
    assert found.odd is None
    assert np.all(np.isnan(found.residual))
    assert found.residual.shape == (count,)


def test_four_pairs_have_a_curve_but_nobody_to_accuse() -> None:
    found = checked(Measured(TRAVEL[:4], stroke(TRAVEL[:4]) + values([0, 0, 2e-3, 0])))
    assert np.all(np.isfinite(found.residual))
    assert found.odd is None


@pytest.mark.parametrize(
    ("wheel_travel", "wanted"),
    [
        (0.150, [20, 40, 60, 80, 100, 120, 150]),
        (0.148, [20, 40, 60, 80, 100, 120, 148]),
        (0.080, [10, 20, 30, 40, 50, 60, 70, 80]),
        (0.200, [25, 50, 75, 100, 125, 150, 175, 200]),
    ],
)
def test_the_next_travel_goes_evenly_to_the_end(wheel_travel: float, wanted: list[float]) -> None:
    travels = [0.0]
    while (following := next_travel(values(travels), wheel_travel)) is not None:
        travels.append(following)
        assert len(travels) < 20
    assert [round(travel * 1000, 6) for travel in travels[1:]] == wanted
    assert next_travel(values([0.0, 0.031]), 0.150) == pytest.approx(0.040)
