"""n cases at once are n cases one by one, through every law."""

from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace

import numpy as np
import pytest

from physics.arrays import Values, values
from physics.bench import answer
from physics.case import (
    Ambient,
    Case,
    Coil,
    Fork,
    Frame,
    LeverageEnds,
    LowerLegs,
    RiderAndBike,
    Setup,
    Target,
)
from physics.faults import Refused
from physics.leverage import leverage_curve
from physics.load import wheel_load
from physics.sag import under_load
from physics.shock import shock_of, with_pressure
from physics.solve import solved
from physics.sweep import sweep
from physics.walk import curve, even_strokes, fast_walk, walk
from tests.physics.examples import BARE_AIR, COLD_PASS, LEVERAGES, LOAD, PSI, SEA, SETUPS, SHOP, case_of

Make = Callable[[Values], Case]
EVERY = tuple(SETUPS.values())


def riders(leverage: str) -> tuple[Make, Values]:
    def make(rider: Values) -> Case:
        load = RiderAndBike(rider, 0.62, 15.5, 0.5, 4.2)
        return replace(case_of(*EVERY, leverage=LEVERAGES[leverage]), load=load, ride=COLD_PASS)

    return make, values([45.0, 70.0, 85.0, 118.0])


def shops(temperature: Values) -> Case:
    return replace(case_of(*EVERY), shop=Ambient(temperature, SEA))


def targets(sag: Values) -> Case:
    return replace(case_of(*EVERY), target=Target(sag, "stroke"))


def frames(end: Values) -> Case:
    return replace(case_of(*EVERY), frame=Frame(0.150, 0.060, LeverageEnds(2.80, end)))


def forks(degrees: Values) -> Case:
    angle = np.radians(degrees)
    load = replace(LOAD, rider_share=0.38)
    spring = replace(BARE_AIR, rod=0.0, bore=0.032, positive_volume=210e-6, positive_spacers=1.0)
    legs = LowerLegs(240e-6, 0.035)
    setups = (Setup("air", spring, lower_legs=legs), Setup("coil", Coil(None, 0.001, 4378.0)))
    return Case(load, Frame(0.150 * np.sin(angle), 0.150, Fork(angle)), Target(0.18, "travel"), SHOP, setups)


def typed_pressures(psi: Values) -> Case:
    names = ("equalised", "separate", "mechanical", "none")
    return case_of(*(with_pressure(SETUPS[name], psi * PSI + SEA) for name in names))


def typed_rates(rate: Values) -> Case:
    return case_of(Setup("coil", Coil(rate, 0.001, 4378.0)))


SWEEPS: dict[str, tuple[Make, Values]] = {
    **{f"riders on {name}": riders(name) for name in LEVERAGES},
    "temperatures of the shop": (shops, values([268.15, 293.15, 308.15])),
    "targets": (targets, values([0.15, 0.25, 0.35])),
    "ends of the leverage": (frames, values([2.20, 2.25, 2.30])),
    "head angles": (forks, values([63.0, 65.5])),
    "pressures": (typed_pressures, values([2.0, 60.0, 150.0, 240.0, 600.0])),
    "rates": (typed_rates, values([5e3, 60e3, 85e3, 2000e3])),
}


def assert_same(many: object, one: object, index: int, path: str = "") -> None:
    """Compare every array of an answer at `index` with the single answer's."""
    if isinstance(many, np.ndarray) and many.dtype.kind == "f":
        assert many[index] == pytest.approx(np.asarray(one), rel=1e-8, abs=1e-11, nan_ok=True), path
    elif is_dataclass(many) and not isinstance(many, Setup | Ambient):
        for field in fields(many):
            if hasattr(one, field.name) and field.name not in ("buyable", "fill", "spacers"):
                assert_same(
                    getattr(many, field.name), getattr(one, field.name), index, f"{path}.{field.name}"
                )


@pytest.mark.parametrize("name", SWEEPS)
def test_n_cases_at_once_are_n_single_ones(name: str) -> None:
    make, numbers = SWEEPS[name]
    many = sweep(make(numbers))
    assert many.cases == numbers.shape
    for index, number in enumerate(numbers):
        alone = answer(make(values(number)))
        assert_same(many.load, alone.load, index)
        for swept, single in zip(many.setups, alone.setups, strict=True):
            assert swept.state[index] == single.state
            assert swept.name == single.name
            assert_same(swept, single, index, f"{name}: {single.name}")


def test_states_are_an_array_of_words() -> None:
    found = sweep(typed_rates(values([5e3, 85e3, 4000e3, np.nan]))).setups[0]
    assert list(found.state) == ["bottomed_out", "ok", "topped_out", "unsolved"]
    assert list(np.isfinite(found.sag.wheel)) == [False, True, False, False]


def test_buyable_coils_of_many_riders() -> None:
    make, numbers = riders("ends")
    swept = sweep(make(numbers)).setups[0].coil
    assert swept is not None
    for index, number in enumerate(numbers):
        single = answer(make(values(number))).setups[0].coil
        assert single is not None
        for many, one in zip(swept.buyable, single.buyable, strict=True):
            assert many.rate[index] == pytest.approx(float(one.rate))
            assert many.sag_fraction[index] == pytest.approx(float(one.sag_fraction))
            assert many.preload_for_target[index] == pytest.approx(float(one.preload_for_target), nan_ok=True)


def test_curves_of_many_cases() -> None:
    make, numbers = riders("table")
    case = make(numbers)
    lever, static = leverage_curve(case.frame), wheel_load(case.load).static_wheel_force
    places = even_strokes(lever)
    for setup in case.setups:
        shock = shock_of(solved(setup, lever, case.shop, case.target, static), lever, case.shop)
        settled = under_load(walk(shock), static).sag.stroke
        many = curve(shock, places, fast_walk(shock, settled, places.stroke), settled)
        single = answer(make(values(numbers[2]))).setups[EVERY.index(setup)].curve
        for field in fields(single):
            column = np.broadcast_to(getattr(many, field.name), (4, 241))[2]
            expected = getattr(single, field.name)
            assert column == pytest.approx(expected, rel=1e-9, abs=1e-9, nan_ok=True), field.name


def test_one_axis_against_another() -> None:
    load = RiderAndBike(values([60.0, 85.0, 110.0]), 0.62, 15.5, 0.5, 4.2)
    pressures = values([[150.0], [200.0]]) * PSI + SEA
    case = replace(case_of(with_pressure(SETUPS["equalised"], pressures)), load=load)
    found = sweep(case)
    assert found.cases == (2, 3)
    sag = found.setups[0].sag.wheel_fraction
    settled = found.setups[0].state == "ok"
    assert np.all(np.diff(sag, axis=1)[settled[:, 1:] & settled[:, :-1]] > 0)
    assert np.all(np.diff(sag, axis=0)[settled[1:] & settled[:-1]] < 0)


def test_one_rate_of_a_mechanical_negative_suits_one_rider() -> None:
    # Solved for every rider, the light one's low charge cannot hold the negative coil out: it draws in.
    load = RiderAndBike(values([35.0, 60.0, 110.0]), 0.62, 12.0, 0.5, 4.2)
    found = sweep(replace(case_of(SETUPS["mechanical"]), load=load)).setups[0]
    assert found.air is not None
    assert found.air.rest_stroke[0] > 0
    assert found.air.rest_stroke[-1] == 0
    assert np.all(np.diff(found.figures.starting_shaft) > 0)


def test_a_sweep_with_an_impossible_case_is_refused() -> None:
    spring = replace(BARE_AIR, positive_volume=values([105e-6, 60e-6]))
    with pytest.raises(Refused, match="chamber_used_up"):
        sweep(case_of(Setup("air", spring)))
