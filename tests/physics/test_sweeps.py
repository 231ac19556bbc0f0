"""A sweep is the answers one by one; what cannot be is NaN and counted; a mechanical negative suits one."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from physics.answer import SetupAnswer
from physics.arrays import Scalar, Values, values
from physics.bench import answer
from physics.case import Case, MechanicalNegative, Setup
from physics.faults import Refused
from physics.inputs import BY_NAME, inputs_of
from physics.load import wheel_load
from physics.solve import solved_case
from physics.sweep import FIGURES, IMPOSSIBLE, SOLVED, Axis, Swept, swept, with_numbers
from tests.physics.examples import BARE_AIR, COLD_PASS, LOAD, PSI, SEA, SETUPS, case_of
from tests.physics.test_inputs import CASES

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


@given(asked())
@settings(max_examples=150, deadline=None)
def test_a_sweep_is_the_answers_one_by_one(drawn: tuple[Case, Axis]) -> None:
    case, axis = drawn
    assert_one_by_one(case, swept(case, [axis], NAMES))


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
