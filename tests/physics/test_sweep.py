"""n cases at once are n cases one by one, through every law.

A sweep is the answers one by one; what cannot be is NaN and counted; a mechanical negative suits one.
"""

from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from physics.answer import SetupAnswer
from physics.arrays import Scalar, Values, values
from physics.bench import answer
from physics.case import (
    Ambient,
    Case,
    Coil,
    Frame,
    LeverageEnds,
    MechanicalNegative,
    RiderAndBike,
    Setup,
    Table,
    Target,
)
from physics.faults import Refused
from physics.inputs import BY_NAME, inputs_of
from physics.leverage import leverage_curve
from physics.sag import under_load
from physics.shock import shock_of, with_pressure
from physics.solve import solved, solved_case
from physics.stand import wheel_load
from physics.sweep import FIGURES, IMPOSSIBLE, SOLVED, Axis, Swept, sweep, swept, with_numbers
from physics.walk import curve, even_strokes, walk
from tests.physics.examples import (
    BARE_AIR,
    COLD_PASS,
    LEVERAGES,
    LOAD,
    PSI,
    SEA,
    SETUPS,
    case_of,
    forks,
)
from tests.physics.test_inputs import CASES
from tests.random_cases import cases

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


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("name", SWEEPS)
def test_n_cases_at_once_are_n_single_ones(name: str) -> None:
    make, numbers = SWEEPS[name]
    many = sweep(make(numbers))
    assert many.cases == numbers.shape
    for index, number in enumerate(numbers):
        alone = answer(make(values(number)))
        assert_same(many.load, alone.load, index)
        for row, single in zip(many.setups, alone.setups, strict=True):
            assert row.state[index] == single.state
            assert row.name == single.name
            assert_same(row, single, index, f"{name}: {single.name}")


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


@pytest.mark.slow
def test_curves_of_many_cases() -> None:
    make, numbers = riders("table")
    case = make(numbers)
    lever, static = leverage_curve(case.frame), wheel_load(case.load).static_wheel_force
    places = even_strokes(lever)
    for setup in case.setups:
        shock = shock_of(solved(setup, lever, case.shop, case.target, static), lever, case.shop)
        settled = under_load(walk(shock), static).sag.stroke
        many = curve(shock, places, settled)
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


RIDERS = [60.0, 75.0, 100.0]
NAMES = (
    "set_pressure",
    "rate",
    "sag_fraction",
    "starting_shaft",
    "support_50",
    "bottom_ratio",
    "slow_bottom_ratio",
    "peak_pressure",
)


def one(setup: SetupAnswer, name: str) -> float:
    """Read a figure of a single answer by another way than the sweep does."""
    match name:
        case "set_pressure" | "peak_pressure":
            return float(getattr(setup.air, name)) if setup.air else np.nan
        case "rate":
            return float(setup.coil.rate) if setup.coil else np.nan
        case "sag_fraction":
            return float(setup.sag.wheel_fraction)
        case "starting_shaft":
            return float(setup.figures.starting_shaft)
        case _ if name.startswith("slow_"):
            return float(getattr(setup.figures, name.removeprefix("slow_")))
        case _:
            return float(getattr(setup.riding, name))


def assert_one_by_one(case: Case, found: Swept) -> None:
    shape = found.outside.shape
    for place in np.ndindex(shape):
        numbers = [float(axis.numbers[index]) for axis, index in zip(found.axes, place, strict=True)]
        alone = with_numbers(case, found.axes, numbers)
        if np.all(found.state[:, *place] == IMPOSSIBLE):
            with pytest.raises(Refused) as refused:
                answer(alone)
            codes = {reason.fault.code for reason in found.impossible}
            assert codes.issuperset(fault.code for fault in refused.value.faults)
            assert all(np.isnan(found.figures[name][:, *place]).all() for name in found.figures)
            continue
        setups = answer(alone).setups
        for row, setup in enumerate(setups):
            assert found.state[row, *place] == setup.state
            for name in found.figures:
                swept_to = found.figures[name][row, *place]
                assert swept_to == pytest.approx(one(setup, name), rel=1e-8, abs=1e-9, nan_ok=True), name


@st.composite
def asked(draw: st.DrawFn) -> tuple[Case, Axis]:
    case = CASES[draw(st.sampled_from(sorted(CASES)))]
    chosen = draw(st.lists(st.sampled_from(case.setups), min_size=1, max_size=2, unique_by=id))
    case = replace(case, setups=tuple(chosen))
    known = solved_case(case)
    name = draw(st.sampled_from([one.name for one in inputs_of(known)]))
    low, high = BY_NAME[name].reach(known)
    shares = draw(st.lists(st.floats(-0.2, 1.4), min_size=1, max_size=5))
    if BY_NAME[name].whole:
        numbers = np.unique(np.round(low + np.clip(shares, 0, None) * (high - low)))
    else:
        # Beyond what a sweep covers by itself, but never where a number has no meaning.
        numbers = np.maximum(low + values(shares) * (high - low), min(low, 1e-4))
    return case, Axis(BY_NAME[name], values(numbers))


@pytest.mark.slow
@given(asked())
@settings(max_examples=cases(150))
def test_a_sweep_is_the_answers_one_by_one(drawn: tuple[Case, Axis]) -> None:
    case, axis = drawn
    assert_one_by_one(case, swept(case, [axis], NAMES))


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("rider_mass", "positive_spacers"),
        ("altitude", "pressure"),
        ("positive_volume", "positive_spacers"),
        ("stroke", "start"),
        ("port", "negative_volume"),
    ],
)
def test_a_map_is_the_answers_one_by_one(first: str, second: str) -> None:
    case = case_of(SETUPS["equalised"], SETUPS["coil"])
    known = solved_case(case)
    axes = [
        Axis(BY_NAME[name], BY_NAME[name].along(*BY_NAME[name].reach(known), 4)) for name in (first, second)
    ]
    found = swept(case, axes, NAMES)
    assert found.state.shape == (2, 4, axes[1].numbers.size)
    assert_one_by_one(case, found)


def test_every_figure_of_every_setup_can_be_swept() -> None:
    case = replace(case_of(*SETUPS.values()), ride=COLD_PASS)
    found = swept(case, [Axis(BY_NAME["rider_mass"], values([70.0, 85.0]))], FIGURES)
    assert set(found.figures) == set(FIGURES)
    for name, rows in found.figures.items():
        assert rows.shape == (len(SETUPS), 2)
        assert np.isfinite(rows).any(), name


def test_what_is_only_solved_for_is_the_same_without_a_walk() -> None:
    case = case_of(*(setup for name, setup in SETUPS.items() if name != "coil in stages"))
    axis = Axis(BY_NAME["rider_mass"], values([50.0, 85.0, 120.0]))
    quick, slow = swept(case, [axis], sorted(SOLVED)), swept(case, [axis], [*SOLVED, "bottom_ratio"])
    for name in SOLVED:
        assert quick.figures[name] == pytest.approx(slow.figures[name], rel=1e-12, nan_ok=True)
    assert np.all(quick.state == "ok")


def test_impossible_cases_are_counted_and_the_others_answered() -> None:
    case = case_of(Setup("air", BARE_AIR))
    volumes = values([60e-6, 70e-6, 90e-6, 110e-6])
    found = swept(case, [Axis(BY_NAME["positive_volume"], volumes)], ["bottom_ratio"])
    assert list(found.state[0]) == [IMPOSSIBLE, IMPOSSIBLE, "ok", "ok"]
    assert list(np.isnan(found.figures["bottom_ratio"][0])) == [True, True, False, False]
    (why,) = found.impossible
    assert (why.fault.code, why.cases) == ("chamber_used_up", 2)
    nothing = swept(case, [Axis(BY_NAME["positive_volume"], volumes[:2])], ["bottom_ratio"])
    assert np.all(nothing.state == IMPOSSIBLE)


def test_a_fault_of_every_case_counts_them_all() -> None:
    rows = Table(values([0.0, 0.08, 0.08, 0.15]), values([2.8, 2.6, 2.5, 2.2]))
    case = case_of(SETUPS["equalised"], leverage=rows)
    found = swept(case, [Axis(BY_NAME["rider_mass"], values([60.0, 80.0, 100.0]))], ["bottom_ratio"])
    assert np.all(found.state == IMPOSSIBLE)
    (why,) = found.impossible
    assert (why.fault.code, why.cases) == ("not_increasing", 3)


def test_progress_is_told_to_the_end_and_may_stop_it() -> None:
    case = case_of(SETUPS["equalised"])
    axis = Axis(BY_NAME["rider_mass"], values(np.linspace(50.0, 120.0, 600)))
    told: list[float] = []
    swept(case, [axis], ["bottom_ratio"], told.append)
    assert len(told) > 1
    assert told == sorted(told)
    assert told[-1] == 1.0

    def stop(share: float) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        swept(case, [axis], ["bottom_ratio"], stop)


def test_a_mechanical_negative_suits_the_one_rider_it_was_chosen_for() -> None:
    """Chosen for 75 kg its starting force departs both ways, the equalised one's scales with the load."""
    equalised, length = SETUPS["equalised"], 0.012
    even, odd = swept_riders(equalised, negative_like(equalised, length))
    assert odd[1] == pytest.approx(even[1], rel=1e-3)
    loads = wheel_load(replace(LOAD, rider_mass=values(RIDERS))).static_wheel_force
    assert even / even[1] == pytest.approx(loads / loads[1], rel=0.03)
    assert odd[0] < 0.5 * even[0]
    assert odd[2] > 1.5 * even[2]


def swept_riders(*setups: Setup) -> Values:
    """Return the starting force of each setup under 60, 75 and 100 kg, its pressure solved for every one."""
    axis = Axis(BY_NAME["rider_mass"], values(RIDERS))
    return swept(case_of(*setups), [axis], ["starting_shaft"]).figures["starting_shaft"]


def negative_like(setup: Setup, length: float) -> Setup:
    """Return the setup with the mechanical negative that starts as it does under 75 kg."""
    wanted = swept_riders(setup)[0, 1]

    def with_rate(rate: Scalar) -> Setup:
        return replace(setup, spring=replace(BARE_AIR, negative=MechanicalNegative(rate, length)))

    rates = values(np.linspace(20e3, 120e3, 401))
    case = replace(case_of(with_rate(1.0)), load=replace(LOAD, rider_mass=75.0))
    found = swept(case, [Axis(BY_NAME["negative_rate"], rates)], ["starting_shaft"])
    starts = found.figures["starting_shaft"][0]
    return with_rate(float(np.interp(-wanted, -starts, rates)))


def test_typed_pressures_sweep_to_sag() -> None:
    case = case_of(SETUPS["equalised"])
    axis = Axis(BY_NAME["pressure"], values([2.0, 150.0, 200.0, 1700.0]) * PSI + SEA)
    found = swept(case, [axis], ["sag_fraction"])
    assert list(found.state[0]) == ["bottomed_out", "ok", "ok", "topped_out"]
