"""Pairs read off the bike: the curve, what each lies off it, and the one that does not belong."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import stdtrit

from physics.arrays import Values, values
from physics.case import Measured
from physics.pairs import READ_WITHIN, checked, fitted, next_travel, pair_scatter

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


@pytest.mark.slow
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


def scattered(seed: int, count: int = len(TRAVEL)) -> Measured:
    noise = np.random.default_rng(seed).normal(0.0, 0.2e-3, count) * (TRAVEL[:count] > 0)
    return Measured(TRAVEL[:count], values(stroke(TRAVEL[:count]) + noise))


def test_the_deviation_is_divided_by_what_is_free_without_the_origin() -> None:
    pairs = scattered(1)
    found, scatter = checked(pairs), pair_scatter(pairs)
    assert scatter is not None
    # Seven readings away from the origin, three weights.
    assert found.freedom == scatter.freedom == 4
    assert float(found.deviation) == pytest.approx(np.sqrt(np.sum(found.residual**2) / 4))
    assert float(found.rms) == pytest.approx(np.sqrt(np.mean(found.residual**2)))
    six = scattered(1, 7)
    bare = Measured(six.travel[1:], six.stroke[1:])
    assert float(checked(bare).deviation) == pytest.approx(float(checked(six).deviation))
    assert checked(bare).freedom == checked(six).freedom == 3


def test_the_deviation_of_readings_is_found_again() -> None:
    squares = [float(checked(scattered(seed)).deviation) ** 2 for seed in range(600)]
    # s² is unbiased; its relative standard deviation is √(2/ν), three of them over √600 are 0.087.
    assert np.mean(squares) == pytest.approx(0.2e-3**2, rel=0.087)


@pytest.mark.parametrize("count", [4, 5])
def test_as_many_readings_as_weights_have_no_deviation(count: int) -> None:
    at_rest = [0.0] * (count - 2)
    found = checked(pairs := Measured(values([*at_rest, 0.080, 0.150]), values([*at_rest, 0.0325, 0.060])))
    assert np.isfinite(found.residual).all()
    assert np.isnan(found.deviation)
    assert found.freedom == 0
    assert pair_scatter(pairs) is None


def test_the_covariance_is_that_of_numpys_own_fit() -> None:
    pairs = scattered(5)
    scatter = pair_scatter(pairs)
    assert scatter is not None
    told = pairs.travel > 0
    t = pairs.travel[told] / scatter.curve.longest
    matrix = t[:, None] ** np.arange(1, 4)
    weights, squares, _, _ = np.linalg.lstsq(matrix, pairs.stroke[told], rcond=None)
    covariance = squares[0] / (len(t) - 3) * np.linalg.inv(matrix.T @ matrix)
    assert scatter.curve.weights == pytest.approx(weights, rel=1e-9)
    assert scatter.deviation**2 * scatter.root @ scatter.root.T == pytest.approx(covariance, rel=1e-9)


def test_the_covariance_is_that_of_readings_taken_again_and_again() -> None:
    deviation, dice = 0.2e-3, np.random.default_rng(8)
    scatter = pair_scatter(scattered(5))
    assert scatter is not None
    weights = []
    for _ in range(4000):
        read = stroke(TRAVEL) + dice.normal(0.0, deviation, len(TRAVEL)) * (TRAVEL > 0)
        curve = fitted(Measured(TRAVEL, values(read)))
        assert curve is not None
        weights.append(curve.weights)
    again, told = np.cov(np.array(weights).T), deviation**2 * scatter.root @ scatter.root.T
    sizes = np.sqrt(np.outer(np.diag(told), np.diag(told)))
    assert again / sizes == pytest.approx(told / sizes, abs=0.08)


def test_the_curves_drawn_have_the_law_of_student() -> None:
    scatter = pair_scatter(scattered(5))
    assert scatter is not None
    shares = np.random.default_rng(2).uniform(-1, 1, (4, 40_000))
    weights = scatter.drawn(values(shares)).weights
    deviation = scatter.deviation * np.sqrt(np.diag(scatter.root @ scatter.root.T))
    t = (weights - scatter.curve.weights) / deviation
    for quantile in (0.05, 0.5, 0.95):
        limit = stdtrit(scatter.freedom, quantile)
        assert np.mean(t <= limit, axis=0) == pytest.approx(np.full(3, quantile), abs=0.008)
    still = scatter.drawn(np.zeros((4, 1))).weights
    assert still[0] == pytest.approx(scatter.curve.weights, rel=1e-12)


def test_what_is_read_at_full_extension_is_no_scatter_about_the_curve() -> None:
    pairs = with_slip(4, 1.2e-3, noise=0.1e-3)
    read = pairs.stroke.copy()
    read[0] = 0.2e-3
    found, plain = checked(Measured(TRAVEL, read)), checked(pairs)
    assert found.odd == plain.odd == 4
    assert float(found.deviation) == pytest.approx(float(plain.deviation))


def test_the_leverage_at_each_pair_is_that_of_the_curve() -> None:
    travel = values(np.linspace(0.02, 0.14, 7))
    pairs = Measured(travel, values(travel / 2.5 + travel**2))
    # x = w/2.5 + w² has L = 1/(1/2.5 + 2 w).
    assert checked(pairs).ratio == pytest.approx(1 / (0.4 + 2 * travel), rel=1e-9)
