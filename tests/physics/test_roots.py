"""Roots of smooth laws quickly, of nasty ones surely.

The first crossing of a sampled curve, peaks between samples included.
"""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics.arrays import Values, values
from physics.roots import MOST_STEPS, RELATIVE_TOLERANCE, Law, bracketed_root, first_crossing


def test_many_smooth_laws_at_once() -> None:
    powers = values(np.linspace(0.5, 3.0, 50))

    def law(x: Values) -> tuple[Values, Values]:
        return values(x**powers - 2), values(powers * x ** (powers - 1))

    found = bracketed_root(law, values(1.0), values(np.full(50, 5.0)))
    assert found.at == pytest.approx(2 ** (1 / powers), rel=1e-11)
    assert found.evaluations <= 14


def test_known_ends_are_not_asked_again() -> None:
    asked = []

    def law(x: Values) -> tuple[Values, Values]:
        asked.append(float(x))
        return values(x**2 - 2), values(2 * x)

    found = bracketed_root(law, values(1.0), values(2.0), (law(values(1.0)), law(values(2.0))))
    assert found.at == pytest.approx(math.sqrt(2), rel=1e-12)
    assert asked[:2] == [1.0, 2.0]
    assert not {1.0, 2.0} & set(asked[2:])
    assert found.evaluations == len(asked) - 2 <= 5


def test_the_first_guess_is_exact_where_the_inverse_is_a_cubic() -> None:
    """x = 1 + 2v + v²/2 − v³/10: its ends and slopes at v = −1 and 2 say where v = 0 is."""
    asked = []

    def law(x: Values) -> tuple[Values, Values]:
        asked.append(float(x))
        return values((x - 1) / 2), values(0.5)

    ends = [
        (1 + 2 * v + v * v / 2 - v**3 / 10, values(v), values(1 / (2 + v - 0.3 * v * v))) for v in (-1.0, 2.0)
    ]
    low, high = (values(x) for x, _, _ in ends)
    found = bracketed_root(law, low, high, (ends[0][1:], ends[1][1:]))
    assert asked[0] == pytest.approx(1.0, abs=1e-12)
    assert found.at == pytest.approx(1.0, abs=1e-11)
    assert found.evaluations <= 3


def test_a_smooth_law_over_a_short_bracket_takes_one_evaluation() -> None:
    """As wide as the interval between two of the 241 samples of a curve."""
    at = values(1.0 + np.array([0.0, 1.0]) / 240)

    def law(x: Values) -> tuple[Values, Values]:
        return values(np.exp(x) - np.exp(1.0017)), values(np.exp(x))

    ends = [law(values(end)) for end in at]
    found = bracketed_root(law, values(at[0]), values(at[1]), (ends[0], ends[1]))
    assert found.at == pytest.approx(1.0017, abs=1e-12)
    assert found.evaluations == 1


def test_slopes_that_do_not_explain_the_rise_between_the_ends_close_no_bracket() -> None:
    """Slopes ten million times too steep: each step is short, though the root is far."""

    def law(x: Values) -> tuple[Values, Values]:
        return values(np.expm1(x)), values(1e7 * np.exp(x))

    found = bracketed_root(law, values(-1.0), values(2.0))
    assert found.at == pytest.approx(0.0, abs=2e-12)
    assert found.evaluations > 10


def test_a_few_cases_and_one_of_them_by_itself_have_the_same_roots() -> None:
    powers = [0.5, 1.0, 3.0]

    def of(power: Values) -> Law:
        return lambda x: (values(x**power - 2), values(power * x ** (power - 1)))

    together = bracketed_root(of(values(powers)), values(1.0), values(np.full((2, 3), 5.0))).at
    assert together.shape == (2, 3)
    for column, power in zip(together.T, powers, strict=True):
        alone = bracketed_root(of(values(power)), values(1.0), values(5.0)).at
        assert column == pytest.approx(float(alone), rel=1e-12)


def test_a_root_at_an_end_is_that_end() -> None:
    def law(x: Values) -> tuple[Values, Values]:
        return values(x - np.array([0.0, 1.0])), np.ones_like(x)

    assert list(bracketed_root(law, values([0.0, 0.0]), values([1.0, 1.0])).at) == [0.0, 1.0]


def test_what_has_no_root_is_nan_and_spoils_no_neighbour() -> None:
    def law(x: Values) -> tuple[Values, Values]:
        shifted = values(x - np.array([0.5, 2.0, -1.0, 0.5]))
        return np.where([False, False, False, True], np.nan, shifted), np.ones_like(shifted)

    found = bracketed_root(law, values(np.zeros(4)), values(np.ones(4)))
    assert found.at[0] == pytest.approx(0.5)
    assert np.isnan(found.at[1:]).all()


def test_a_value_lost_on_the_way_is_no_root() -> None:
    def law(x: Values) -> tuple[Values, Values]:
        return values(np.where((x > 0.2) & (x < 0.8), np.nan, x - 0.5)), np.ones_like(x)

    found = bracketed_root(law, values([0.0]), values([1.0]))
    assert np.isnan(found.at).all()


NASTY: dict[str, Law] = {
    "flat at the root": lambda x: (x**9, 9 * x**8),
    "no slope at all": lambda x: (np.tanh(5 * x), np.zeros_like(x)),
    "slope not a number": lambda x: (np.arctan(50 * x), np.full_like(x, np.nan)),
    "slope with the wrong sign": lambda x: (np.expm1(3 * x), -3 * np.exp(3 * x)),
    "slope far too steep": lambda x: (np.sinh(x), np.full_like(x, 1e12)),
    "slope far too flat": lambda x: (x + x**3, np.full_like(x, 1e-12)),
    "infinite slope": lambda x: (np.cbrt(x), np.full_like(x, np.inf)),
    "a jump": lambda x: (np.where(x < 0, -1.0, 2.0), np.zeros_like(x)),
    "a kink at the root": lambda x: (np.where(x < 0, x, 3 * x), np.where(x < 0, 1.0, 3.0)),
    "a kink beside the root": lambda x: (
        np.where(x < 1e-8, x, 50 * x - 49e-8),
        np.where(x < 1e-8, 1.0, 50.0),
    ),
    "a step beside the root": lambda x: (x + 1e-7 * np.tanh((x - 2e-8) / 1e-9), np.ones_like(x)),
    "waves": lambda x: (x + 0.3 * np.sin(40 * x), 1 + 12 * np.cos(40 * x)),
}


@pytest.mark.fast_cases(4)
@pytest.mark.parametrize("name", NASTY)
@given(
    root=st.floats(-0.9, 0.9),
    low=st.floats(-5.0, -1.0),
    high=st.floats(1.0, 50.0),
)
def test_nasty_laws_are_bracketed_to_the_tolerance(name: str, root: float, low: float, high: float) -> None:
    def law(x: Values) -> tuple[Values, Values]:
        return NASTY[name](values(x - root))

    if not law(values(low))[0] <= 0 <= law(values(high))[0]:
        return
    found = bracketed_root(law, values(low), values(high))
    width = RELATIVE_TOLERANCE * max(-low, high)
    assert found.evaluations < MOST_STEPS
    # The guarantee: a change of sign inside the tolerance of the answer.
    assert law(values(found.at - width))[0] <= 0 <= law(values(found.at + width))[0]


AT = values(np.linspace(0.0, 1.0, 41))


def root(law: Law, cases: tuple[int, ...] = ()) -> Values:
    samples = law(np.broadcast_to(AT[:, *(None for _ in cases)], (41, *cases)))
    height, slope = (np.moveaxis(part, 0, -1) for part in samples)
    found = first_crossing(AT, height, slope, law)
    at = bracketed_root(law, found.low, found.high, found.ends).at
    return np.where(found.found, at, np.nan)


def bump(centre: Values, height: Values) -> Law:
    """A rise to `height` − 1 at `centre`, a fall below zero and a late rise to 1."""

    def law(x: Values) -> tuple[Values, Values]:
        off = (x - centre) / 0.08
        peak = height * np.exp(-(off**2))
        late = 2 / (1 + np.exp(-(x - 0.9) / 0.01))
        late_slope = late * (1 - late / 2) / 0.01
        return values(peak + late - 1), values(-2 * off / 0.08 * peak + late_slope)

    return law


@given(st.floats(0.25, 0.55), st.floats(1.0 + 1e-9, 1.5))
def test_the_first_of_two_crossings_is_found_even_when_only_a_hair_of_it_shows(
    centre: float, height: float
) -> None:
    law = bump(values(centre), values(height))
    found = float(root(law))
    assert law(values(found))[0] == pytest.approx(0.0, abs=1e-11)
    # The rising flank of the bump: exp(−z²) = 1/height, left of its centre.
    assert found <= centre
    assert found == pytest.approx(centre - 0.08 * np.sqrt(np.log(height)), abs=1e-3)


@given(st.floats(0.25, 0.55), st.floats(0.5, 1.0 - 1e-9))
def test_a_peak_that_stays_below_is_passed_over(centre: float, height: float) -> None:
    found = float(root(bump(values(centre), values(height))))
    assert 0.85 < found < 0.95


def test_many_cases_at_once_each_with_its_own_first_crossing() -> None:
    centres, heights = values([0.3, 0.4, 0.5]), values([1.00001, 0.99999, 1.3])
    many = root(bump(centres, heights), (3,))
    alone = [float(root(bump(c, h))) for c, h in zip(centres, heights, strict=True)]
    assert many == pytest.approx(alone, abs=1e-10)
    assert many[0] < centres[0]
    assert many[1] > 0.85
    assert many[2] < centres[2]


def test_no_crossing_at_all() -> None:
    def low(x: Values) -> tuple[Values, Values]:
        return values(-1 - x), values(-np.ones_like(x))

    def nothing(x: Values) -> tuple[Values, Values]:
        return np.full_like(x, np.nan), np.full_like(x, np.nan)

    assert np.isnan(root(low))
    assert np.isnan(root(nothing))
