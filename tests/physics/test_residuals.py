"""Bends in the residuals: told where the law cannot make the readings, and only there."""

from collections.abc import Callable
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from physics.case import Case, GasCharge, Setup
from physics.faults import Unfit
from physics.fit import fit
from physics.loop import Loop, loop_of, ways
from physics.residuals import runs_of
from physics.shock import shock_of
from physics.stand import stand
from tests.physics.examples import BUMPER, SHOP
from tests.physics.test_fit import through_tools
from tests.physics.testers import FULL, a_coil, a_shock, an_air, there_and_back

STROKE = there_and_back(41)
Made = Callable[[np.random.Generator], tuple[Case, Loop]]


def test_runs_are_as_likely_as_counting_every_order_says() -> None:
    count, above = 14, 6
    orders = np.full((len(list(combinations(range(count), above))), count), -1.0)
    for row, places in zip(orders, combinations(range(count), above), strict=True):
        row[list(places)] = 1.0
    runs = 1 + np.count_nonzero(np.diff(orders, axis=1), axis=1)
    assert runs_of(1.0, orders[0]).expected == pytest.approx(np.mean(runs))
    for least in range(2, 13):
        side = runs_of(1.0, orders[np.argmax(runs == least)])
        assert side.runs == least
        assert side.chance == pytest.approx(np.mean(runs <= least), abs=0.015)


def test_residuals_of_one_sign_and_too_few_of_them() -> None:
    assert runs_of(1.0, np.ones(9)).chance == 2.0**-8
    assert np.isnan(runs_of(-1.0, np.array([1.0, 1.0, -1.0, -1.0, -1.0])).chance)


def verdicts(made: Made, times: int) -> dict[str, float]:
    rng = np.random.default_rng(3)
    found = [fit(*_first(made(rng))).shape for _ in range(times)]
    return {
        "bent": sum(shape.verdict == "bent" for shape in found) / times,
        "opposite": sum(shape.opposite for shape in found if shape.verdict == "bent") / times,
    }


def _first(made: tuple[Case, Loop]) -> tuple[Case, int, Loop]:
    return made[0], 0, made[1]


@pytest.mark.slow
@pytest.mark.parametrize("readings", [24, 41, 801])
def test_an_honest_loop_is_not_called_bent(readings: int) -> None:
    """Measured with every tool off within its ±: none of 24, 3 of 400 of 20 to 60 readings."""

    def honest(rng: np.random.Generator) -> tuple[Case, Loop]:
        setup, _true = a_shock(rng)
        return through_tools(setup, there_and_back(readings), rng, float(rng.uniform(0.5, 12.0)))

    assert verdicts(honest, 80)["bent"] <= 0.04


@pytest.mark.slow
def test_noise_that_hangs_together_in_a_dense_file_is_no_bend() -> None:
    def tester(rng: np.random.Generator) -> tuple[Case, Loop]:
        setup, _true = a_shock(rng)
        stroke = there_and_back(801)
        case, loop = through_tools(setup, stroke, rng, 0.5)
        slow = np.convolve(rng.normal(0.0, 4.0, 809), np.ones(9) / 3, "valid")
        return case, loop_of(stroke, loop.force + slow)

    assert verdicts(tester, 60)["bent"] <= 0.05


def _progressive(rng: np.random.Generator) -> tuple[Case, Loop]:
    """A coil whose rate grows by a twentieth over the stroke."""
    setup, true = a_coil(rng)
    case, loop = through_tools(replace(setup, gas=None, bumper=None), STROKE, rng, 4.0)
    return case, loop_of(STROKE, loop.force + 0.5 * 0.05 * true["rate"] * STROKE**2 / FULL)


def _bumper_untold(rng: np.random.Generator) -> tuple[Case, Loop]:
    setup, _true = a_coil(rng)
    case, loop = through_tools(replace(setup, gas=None, bumper=BUMPER), STROKE, rng, 4.0)
    return replace(case, setups=(replace(setup, gas=None, bumper=None),)), loop


def _fast_air(rng: np.random.Generator) -> tuple[Case, Loop]:
    """In and out too fast for the heat to leave, from where the chambers met."""
    setup, true = an_air(rng, equalised=True)
    case, loop = through_tools(setup, STROKE, rng, 4.0)
    shock = shock_of(setup, stand(case).lever, SHOP)
    more = shock.fast_at(STROKE, np.array(true["port"])).force - shock.at(STROKE).force
    return case, loop_of(STROKE, loop.force + np.where(true["port"] < STROKE, more, 0.0))


def _friction_grows(rng: np.random.Generator) -> tuple[Case, Loop]:
    setup, _true = an_air(rng, equalised=True)
    case, loop = through_tools(setup, STROKE, rng, 4.0)
    return case, loop_of(STROKE, loop.force * (1 + 0.03 * ways(STROKE)))


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize(
    ("made", "opposite"),
    [(_progressive, False), (_bumper_untold, False), (_fast_air, False), (_friction_grows, True)],
    ids=["progressive", "bumper", "fast air", "friction grows"],
)
def test_a_loop_that_the_law_cannot_make_is_called_bent(made: Made, opposite: bool) -> None:
    found = verdicts(made, 40)
    assert found["bent"] >= 0.9
    assert found["opposite"] == pytest.approx(found["bent"] if opposite else 0.0, abs=0.06)


@pytest.mark.slow
def test_a_bend_that_hides_a_parameter_is_the_reason_told() -> None:
    """Warm going in and settled coming out: no law of one temperature is near it."""
    rng, said, sizes = np.random.default_rng(3), set(), []
    for _ in range(20):
        setup, true = an_air(rng, equalised=True)
        case, loop = through_tools(setup, STROKE, rng, 4.0)
        shock = shock_of(setup, stand(case).lever, SHOP)
        more = shock.fast_at(STROKE, np.array(true["port"])).force - shock.at(STROKE).force
        warm = (loop.way > 0) & (true["port"] < STROKE)
        try:
            said.add(str(fit(case, 0, loop_of(STROKE, loop.force + np.where(warm, more, 0.0))).shape.verdict))
        except Unfit as unfit:
            said.add(f"refused as {unfit.why.code}")
            sizes.append(unfit.why.values["size"])
    assert said == {"bent", "refused as bent"}
    assert min(sizes) > 20.0


def test_damper_gas_in_the_setup_is_no_bend() -> None:
    rng = np.random.default_rng(9)
    setup, _true = a_coil(rng)
    charged: Setup = replace(setup, gas=GasCharge(1.5e6, 12e-6, 0.0127), bumper=BUMPER)
    case, loop = through_tools(charged, STROKE, rng, 4.0)
    assert fit(case, 0, loop).shape.verdict == "chance"
