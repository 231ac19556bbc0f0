"""Readings → parameters: what made the readings comes out again, as sure as the fit says it is.

Tools that are off: the errors a fit states cover what they do to it.
"""

import math
from collections import defaultdict
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from physics.air import positive_area
from physics.arrays import Values
from physics.case import Case, Coil, EqualisedNegative, MechanicalNegative, SeparateNegative, Setup, Tolerance
from physics.faults import UNFIT, Unfit, Why
from physics.fit import (
    MOST_FRICTION,
    USUAL_TOOLS,
    AskedFriction,
    FitTools,
    fit,
    law_of,
    parameter_of,
    starts_of,
)
from physics.loop import Loop, loop_of, ways
from physics.shock import air_of, coil_of, shock_of
from physics.solve import solved_case
from physics.stand import stand
from tests.physics.examples import (
    BARE_AIR,
    BUMPER,
    EQUALISED,
    GAS,
    LBF_IN,
    PSI,
    SEA,
    SETUPS,
    SHOP,
    STAGES,
    case_of,
)
from tests.physics.testers import FULL, TOP, a_coil, a_shock, an_air, on_tester, there_and_back
from tests.random_cases import cases

AIR = Setup("air", replace(BARE_AIR, pressure=200 * PSI + SEA, negative=EQUALISED), 30.0)
COIL = Setup("coil", Coil(80e3, 2e-3, 25 * LBF_IN), 12.0)


@settings(max_examples=cases(60))
@given(seed=st.integers(0, 2**32 - 1), offset=st.floats(0.0, 0.2e-3))
def test_what_was_measured_is_told_by_the_force_at_full_extension(seed: int, offset: float) -> None:
    """A whole shock pushes with its damper gas there, a spring alone with next to nothing."""
    rng = np.random.default_rng(seed)
    setup, true = a_coil(rng)
    setup = replace(setup, gas=GAS, bumper=BUMPER)
    stroke = there_and_back()
    noise = rng.normal(0.0, 2.0, len(stroke))
    case, whole = on_tester(setup, stroke, noise)
    pushed = loop_of(stroke, true["rate"] * (stroke + offset) + noise)
    right, wrong = fit(case, 0, whole), fit(case, 0, whole, alone=True)
    assert right["rate"].value == pytest.approx(true["rate"], rel=0.01)
    assert not right.seems_otherwise
    assert wrong.seems_otherwise
    right, wrong = fit(case, 0, pushed, alone=True), fit(case, 0, pushed)
    assert right["rate"].value == pytest.approx(true["rate"], rel=0.01)
    assert not right.seems_otherwise
    assert wrong.seems_otherwise
    assert wrong["rate"].value < true["rate"]
    assert wrong.gas == pytest.approx(float(np.pi / 4 * GAS.rod**2 * (GAS.pressure - SEA)))
    # Its rate is the setup's, where it starts on the tester and how it slips there are not.
    assert coil_of(right.setup).rate == pytest.approx(right["rate"].value)
    assert coil_of(right.setup).preload == true["preload"]
    assert (right.setup.friction, right.setup.gas) == (setup.friction, GAS)


def test_a_spring_alone_has_no_seals_to_ask_for() -> None:
    one_way = there_and_back()[:20]
    case, loop = on_tester(Setup("coil", Coil(80e3, 0.0, 25 * LBF_IN)), one_way, 0.0)
    found = fit(replace(case, setups=(replace(COIL, gas=GAS),)), 0, loop, alone=True)
    assert found.friction.said == "none"
    assert found["rate"].value == pytest.approx(80e3)
    with pytest.raises(Unfit) as refused:
        fit(case_of(AIR), 0, loop, alone=True)
    assert refused.value.why.code == "not_alone"


@pytest.mark.slow
def test_hundreds_of_random_shocks_lie_within_the_errors_of_their_scatter() -> None:
    rng, off = np.random.default_rng(12), []
    for _ in range(600):
        setup, true = a_shock(rng)
        stroke = there_and_back(int(rng.integers(20, 60)))
        case, loop = on_tester(setup, stroke, rng.normal(0.0, rng.uniform(2.0, 12.0), len(stroke)))
        found = fit(case, 0, loop)
        assert {one.name for one in found.estimates} == set(true)
        off += [(one.value - true[one.name]) / one.scatter for one in found.estimates]
        # The tools may be off as well, though here they were not.
        assert all(one.error >= max(one.scatter, one.tools) for one in found.estimates)
    distances = np.abs(np.array(off))
    # Of a normal spread 95.4 % lie within two errors, 68.3 % within one; over 600 fits the shares sway by one
    # and by two per cent, and the fewest readings make the errors themselves a little unsure.
    assert 0.93 < np.mean(distances < 2) < 0.975
    assert 0.63 < np.mean(distances < 1) < 0.73
    assert np.mean(distances < 4) > 0.998
    assert abs(np.mean(off)) < 0.1


@settings(max_examples=cases(40))
@given(seed=st.integers(0, 2**32 - 1))
def test_readings_without_noise_give_back_what_made_them(seed: int) -> None:
    setup, true = a_shock(np.random.default_rng(seed))
    case, loop = on_tester(setup, there_and_back(), 0.0)
    # Where to start is not told by the setup: the case has other values in it.
    spring = setup.spring
    other = (
        replace(setup, spring=replace(spring, rate=None), friction=0.0)
        if isinstance(spring, Coil)
        else replace(setup, spring=replace(spring, positive_volume=120e-6), friction=0.0)
    )
    found = fit(replace(case, setups=(other,)), 0, loop)
    for one in found.estimates:
        assert one.value == pytest.approx(true[one.name], rel=1e-4, abs=1e-6), one.name
    assert np.max(np.abs(found.residual)) < 1e-3


def test_what_was_found_stands_in_the_setup() -> None:
    setup, true = an_air(np.random.default_rng(3), equalised=True)
    case, loop = on_tester(setup, there_and_back(), np.random.default_rng(4).normal(0.0, 3.0, 39))
    found = fit(case, 0, loop)
    air = air_of(found.setup)
    assert isinstance(air.negative, EqualisedNegative)
    assert air.positive_volume == found["positive_volume"].value
    assert air.negative.volume == found["negative_volume"].value
    assert air.negative.port == found["port"].value
    assert found.setup.friction == found["friction"].value
    assert found.scatter == pytest.approx(3.0, rel=0.4)
    assert found["port"].value == pytest.approx(true["port"], abs=3 * found["port"].error)
    with pytest.raises(KeyError):
        found["rate"]


def test_four_times_the_readings_halve_the_error_of_scatter_and_none_of_the_tools() -> None:
    setup, _true = a_coil(np.random.default_rng(5))
    rates = []
    for readings in (101, 401):
        stroke = there_and_back(readings)
        case, loop = on_tester(setup, stroke, np.random.default_rng(6).normal(0.0, 5.0, readings))
        rates.append(fit(case, 0, loop)["rate"])
    assert rates[0].scatter / rates[1].scatter == pytest.approx(2.0, rel=0.2)
    assert rates[0].tools == pytest.approx(rates[1].tools, rel=0.02)


ONE_WAY = [np.linspace(0.0, 0.05, 9), np.linspace(0.05, 0.0, 9)]


@pytest.mark.parametrize("stroke", ONE_WAY, ids=["in", "out"])
def test_readings_one_way_with_their_friction_give_rate_and_preload(stroke: Values) -> None:
    case, loop = on_tester(COIL, stroke, 0.0)
    for asked, said in ((12.0, "typed"), ("setup", "setup")):
        found = fit(case, 0, loop, asked)  # type: ignore[arg-type]
        assert [one.name for one in found.estimates] == ["rate", "preload"]
        assert found["rate"].value == pytest.approx(80e3, rel=1e-6)
        assert found["preload"].value == pytest.approx(2e-3, rel=1e-6)
        assert (found.friction.value, found.friction.off, found.friction.said) == (12.0, 0.0, said)
        assert "friction" not in found["rate"].tool
        assert found.setup.friction == 12.0
        assert coil_of(found.setup).rate == found["rate"].value


@pytest.mark.parametrize("stroke", ONE_WAY, ids=["in", "out"])
def test_friction_that_nobody_told_is_in_the_errors(stroke: Values) -> None:
    case, loop = on_tester(COIL, stroke, 0.0)
    found, known = fit(case, 0, loop), fit(case, 0, loop, 12.0)
    assert (found.friction.said, found.friction.value, found.friction.off) == ("unknown", 30.0, 30.0)
    # F = k (x + c) ± F_f: a newton more of friction is a newton less or more of spring at every stroke.
    way = float(loop.way[0])
    assert found["preload"].per_newton == pytest.approx(-way / 80e3, rel=1e-4)
    assert found["rate"].per_newton == pytest.approx(0.0, abs=1e-4)
    moved = found["preload"].value - known["preload"].value
    assert moved == pytest.approx(18.0 * found["preload"].per_newton, rel=1e-4)
    assert found["preload"].tool["friction"] == pytest.approx(30 / np.sqrt(3) / 80e3, rel=1e-4)
    assert found["preload"].error > found["preload"].tool["friction"] > known["preload"].error
    # What was not told is not written over what the setup has.
    assert found.setup.friction == 12.0


def test_volumes_say_how_far_they_move_with_friction() -> None:
    setup, true = an_air(np.random.default_rng(8), equalised=False)
    case, loop = on_tester(setup, np.linspace(0.0, TOP, 30), 0.0)
    ten = [fit(case, 0, loop, float(setup.friction) + more) for more in (0.0, 5.0, 10.0)]
    for name in ("positive_volume", "negative_volume"):
        assert ten[0][name].value == pytest.approx(true[name], rel=1e-5)
        moved = ten[2][name].value - ten[0][name].value
        assert moved == pytest.approx(10.0 * ten[1][name].per_newton, rel=0.05)


def test_friction_is_not_asked_of_readings_that_tell_it() -> None:
    case, loop = on_tester(COIL, there_and_back(), 0.0)
    found = fit(case, 0, loop)
    assert (found.friction.said, found.friction.off) == ("fitted", 0.0)
    assert found.friction.value == found["friction"].value == pytest.approx(12.0)
    assert all(np.isnan(one.per_newton) and "friction" not in one.tool for one in found.estimates)
    with pytest.raises(Unfit, match="friction_told"):
        fit(case, 0, loop, 12.0)
    case, loop = on_tester(replace(COIL, friction=0.0), ONE_WAY[0], 0.0)
    with pytest.raises(Unfit, match="no_friction"):
        fit(case, 0, loop, "setup")


def test_the_turn_and_what_is_past_the_stroke_do_not_move_the_fit() -> None:
    stroke = there_and_back(41, FULL)
    case, loop = on_tester(COIL, stroke, 0.0)
    force, past = loop.force.copy(), stroke.copy()
    force[20] += 500.0
    found = fit(case, 0, loop_of(stroke, force))
    assert found["friction"].value == pytest.approx(12.0)
    assert (found.left_out.turning, len(found.left_out.past), len(found.loop.stroke)) == (1, 0, 40)
    past[20] += 0.4e-3
    found = fit(case, 0, loop_of(past, force))
    assert found["rate"].value == pytest.approx(80e3)
    assert found.left_out.past.tolist() == [past[20]]
    assert len(found.residual) == 40


def test_chambers_without_a_second_one_have_one_volume() -> None:
    spring = replace(BARE_AIR, pressure=80 * PSI + SEA, negative=MechanicalNegative(60e3, 0.012))
    case, loop = on_tester(Setup("air", spring, 20.0), there_and_back(), np.sin(np.arange(39)))
    found = fit(case, 0, loop)
    assert [one.name for one in found.estimates] == ["positive_volume", "friction"]
    assert found["positive_volume"].value == pytest.approx(105e-6, rel=0.01)


def refused(setup: Setup, loop: Loop) -> Unfit:
    with pytest.raises(Unfit) as caught:
        fit(case_of(setup), 0, loop)
    why = caught.value.why
    assert set(why.values) <= set(UNFIT[why.code])
    return caught.value


def test_readings_past_the_port_cannot_tell_it_from_the_negative_volume() -> None:
    stroke = np.concatenate([np.linspace(0.045, 0.058, 12), np.linspace(0.057, 0.044, 12)])
    _case, loop = on_tester(AIR, stroke, np.random.default_rng(2).normal(0.0, 8.0, 24))
    why = refused(AIR, loop).why
    assert why.code == "not_apart"
    assert set(why.names) == {"negative_volume", "port"}
    assert abs(why.values["correlation"]) > 0.9
    # What would help is where the negative spring pulls.
    assert why.values["stroke"] < 0.01
    assert abs(why.values["way"]) == 1.0


def test_the_reading_asked_for_does_help() -> None:
    rng = np.random.default_rng(2)
    stroke = np.concatenate([np.linspace(0.045, 0.058, 12), np.linspace(0.057, 0.044, 12)])
    _case, loop = on_tester(AIR, stroke, rng.normal(0.0, 8.0, 24))
    asked = refused(AIR, loop).why.values["stroke"]
    more = np.concatenate([stroke, np.linspace(asked, asked + 0.012, 12)])
    case, helped = on_tester(AIR, more, rng.normal(0.0, 8.0, 36))
    found = fit(case, 0, helped)
    assert found["port"].value == pytest.approx(0.009, abs=3 * found["port"].error)


def test_what_cannot_be_read_is_refused_by_name() -> None:
    _case, loop = on_tester(COIL, there_and_back(), 0.0)
    solve = replace(AIR, spring=replace(air_of(AIR), pressure=None))
    assert refused(solve, loop).why.code == "no_pressure"
    assert refused(Setup("stages", STAGES), loop).why.code == "in_stages"
    assert refused(SETUPS["coil"], Loop(loop.stroke, -loop.force, loop.way)).why.code == "falling"
    swapped = refused(COIL, Loop(loop.stroke, loop.force, -loop.way)).why
    assert (swapped.code, swapped.names) == ("ways_swapped", ("friction",))
    few = refused(COIL, Loop(loop.stroke[:3], loop.force[:3], loop.way[:3])).why
    assert few.values == {"readings": 3.0, "needed": 4.0}
    deep = refused(COIL, loop_of(loop.stroke * 1.2, loop.force)).why
    assert deep.code == "beyond_stroke"
    assert deep.values["full"] == pytest.approx(FULL)
    still = refused(COIL, loop_of(np.full(9, 0.02), np.arange(9.0))).why
    assert still.code == "one_place"
    force = loop.force.copy()
    force[4] = np.nan
    assert refused(COIL, Loop(loop.stroke, force, loop.way)).why.values == {"reading": 4.0}


def test_a_force_that_never_rises_is_no_air_spring_of_this_bore() -> None:
    flat = loop_of(there_and_back(), np.full(39, 1200.0))
    why = refused(replace(AIR, spring=replace(air_of(AIR), negative=MechanicalNegative(1.0, 1e-3))), flat).why
    assert (why.code, why.names) == ("at_limit", ("positive_volume",))


@settings(max_examples=cases(120))
@given(
    seed=st.integers(0, 2**32 - 1),
    index=st.integers(0, 6),
    asked=st.sampled_from([0.0, 15.0, "setup", "unknown"]),
    wild=st.booleans(),
)
def test_any_readings_give_numbers_or_a_reason(
    seed: int, index: int, asked: AskedFriction, wild: bool
) -> None:
    """Also of what nobody would read: errors are numbers, and nothing but a reason is raised."""
    rng = np.random.default_rng(seed)
    setup = solved_case(case_of(list(SETUPS.values())[index])).setups[0]
    case = replace(case_of(setup), tolerance=Tolerance(gauge=rng.uniform(0.0, 10.0) * PSI))
    stroke = rng.uniform(-0.001, 0.0604, int(rng.integers(1, 40)))
    if rng.random() < 0.6:
        stroke = np.sort(stroke)
    _case, loop = on_tester(setup, stroke, rng.normal(0.0, 10.0 ** rng.uniform(-3, 3), len(stroke)))
    if wild:
        loop = loop_of(stroke, rng.normal(0.0, 10.0 ** rng.uniform(-3, 5), len(stroke)))
    why = Why("no_end")
    try:
        found = fit(case, 0, loop, asked)
    except Unfit as unfit:
        why = unfit.why
    else:
        assert all(np.isfinite([one.value, one.error, *one.tool.values()]).all() for one in found.estimates)
        assert all(one.error >= one.tools >= 0 for one in found.estimates)
        assert len(found.residual) + found.left_out.count == len(stroke)
    assert set(why.values) <= set(UNFIT[why.code])


GAUGE = 2 * PSI
EXACT = FitTools(0.0, 0.0, 0.0, 0.0)


def through_tools(
    setup: Setup, stroke: np.ndarray, rng: np.random.Generator, noise: float
) -> tuple[Case, Loop]:
    """Return the case as typed and readings of a setup that is off from it as far as the tools allow."""

    def off(limit: float) -> float:
        return float(rng.uniform(-limit, limit))

    real, wide, case = setup, USUAL_TOOLS.diameter, case_of(setup)
    if not isinstance(setup.spring, Coil):
        air, gauge = air_of(setup), off(GAUGE)
        negative = air.negative
        if isinstance(negative, SeparateNegative):
            negative = replace(negative, pressure=negative.pressure + gauge)
        assert air.pressure is not None
        air = replace(air, pressure=air.pressure + gauge, negative=negative)
        air = replace(air, bore=air.bore + off(wide), rod=air.rod + off(wide), body=air.body + off(wide))
        real = replace(setup, spring=air)
    tester = replace(SHOP, temperature=SHOP.temperature + off(USUAL_TOOLS.temperature))
    shaft = shock_of(real, stand(case).lever, SHOP, tester).at(stroke + off(USUAL_TOOLS.stroke)).force
    told = (shaft + ways(stroke) * setup.friction) * (1 + off(USUAL_TOOLS.force))
    loop = loop_of(stroke, told + rng.normal(0.0, noise, len(stroke)))
    return replace(case, tolerance=Tolerance(gauge=GAUGE)), loop


# Measured as below, share of the estimates within 1.645 errors and within 2: both ways 0.908 and 0.963, in
# 0.917 and 0.977, out 0.924 and 0.984, friction typed 0.915 and 0.979; over 1500 shocks read in 0.904 and
# 0.970. A normal spread has 0.900 and 0.954 there, a single uniform error 0.950 and 1, a mixture between.
@pytest.mark.parametrize("way", ["both", "in", "out", "typed"])
@pytest.mark.slow
@pytest.mark.slow
def test_errors_injected_into_hundreds_of_random_shocks_are_covered(way: str) -> None:
    rng, off = np.random.default_rng(17), defaultdict(list)
    for _ in range(300):
        setup, true = a_shock(rng)
        asked: AskedFriction = "unknown"
        stroke = there_and_back(int(rng.integers(20, 60)))
        if way != "both":
            setup = replace(setup, friction=float(rng.uniform(0.0, MOST_FRICTION)))
            stroke = np.linspace(0.0, TOP, len(stroke))[:: -1 if way == "out" else 1]
            asked = float(setup.friction) if way == "typed" else asked
        case, loop = through_tools(setup, stroke, rng, rng.uniform(2.0, 12.0))
        found = fit(case, 0, loop, asked)
        for one in found.estimates:
            off[one.name].append((one.value - true[one.name]) / one.error)
    every = np.abs(np.concatenate(list(off.values())))
    assert 0.88 < np.mean(every < 1.645) < 0.94
    assert 0.945 < np.mean(every < 2.0) < 0.99
    for name, distances in off.items():
        assert 0.83 < np.mean(np.abs(distances) < 1.645) < 0.99, name
        # Errors of size one leave a mean within three standard deviations of none.
        assert abs(np.mean(distances)) < 3.3 / np.sqrt(len(distances)), name


@pytest.mark.slow
def test_the_same_errors_are_not_covered_by_scatter_alone() -> None:
    rng, off = np.random.default_rng(17), []
    for _ in range(60):
        setup, true = an_air(rng, equalised=True)
        case, loop = through_tools(setup, there_and_back(), rng, 3.0)
        off += [(one.value - true[one.name]) / one.scatter for one in fit(case, 0, loop).estimates]
    assert np.mean(np.abs(off) < 1.645) < 0.5


def test_one_gauge_serves_both_chambers() -> None:
    setup, _true = an_air(np.random.default_rng(2), equalised=False)
    case, loop = on_tester(setup, there_and_back(), 0.0)
    found = fit(replace(case, tolerance=Tolerance(gauge=GAUGE)), 0, loop, tools=EXACT)
    assert set(found["positive_volume"].tool) == {"gauge"}
    # The whole chain once more, both chambers off together by one standard deviation.
    air = air_of(setup)
    assert air.pressure is not None
    assert isinstance(air.negative, SeparateNegative)
    step = GAUGE / np.sqrt(3)
    moved = []
    for sign in (1, -1):
        second = replace(air.negative, pressure=air.negative.pressure + sign * step)
        wrong = replace(setup, spring=replace(air, pressure=air.pressure + sign * step, negative=second))
        moved.append(fit(replace(case, setups=(wrong,)), 0, loop, tools=EXACT))
    for one in found.estimates:
        half = abs(moved[0][one.name].value - moved[1][one.name].value) / 2
        assert one.tools == pytest.approx(half, rel=0.03, abs=1e-9), one.name


def test_a_uniform_error_has_a_third_of_its_square() -> None:
    coil = Setup("coil", Coil(80e3, 2e-3, 25 * LBF_IN), 12.0)
    case, loop = on_tester(coil, there_and_back(), 0.0)
    found = fit(case, 0, loop, tools=FitTools(0.1e-3, 2.0, force=0.01, stroke=0.2e-3))
    assert found["rate"].tool["force"] == pytest.approx(80e3 * 0.01 / np.sqrt(3), rel=1e-4)
    assert found["preload"].tool["stroke"] == pytest.approx(0.2e-3 / np.sqrt(3), rel=1e-4)
    # A coil relies on no gauge and no bore.
    assert set(found["rate"].tool) == {"force", "stroke"}
    assert fit(case, 0, loop, tools=EXACT)["rate"].tools == 0.0


def test_a_wider_bore_is_a_larger_force() -> None:
    """The volume follows the area: what a wider bore adds to the area is the most that it adds to it."""
    rng = np.random.default_rng(4)
    setup, _true = an_air(rng, equalised=False)
    case, loop = on_tester(setup, there_and_back(), 0.0)
    small = fit(case, 0, loop, tools=replace(EXACT, diameter=0.05e-3))
    large = fit(case, 0, loop, tools=replace(EXACT, diameter=0.10e-3))
    one, two = (float(found["positive_volume"].tools) for found in (small, large))
    assert two == pytest.approx(2 * one, rel=1e-3)
    area = float(positive_area(air_of(setup)))
    wider = float(positive_area(replace(air_of(setup), bore=0.0401)))
    assert one < float(air_of(setup).positive_volume) * (wider / area - 1)


def test_what_a_fit_looks_for_its_limits_and_when_it_counts_as_found() -> None:
    """Of a piston that sweeps 71.6 cm³ in 60 mm, with two 6 cm³ spacers and one of 4 cm³ in its chambers."""
    swept = math.pi / 4 * (0.040**2 - 0.009**2) * FULL
    negative = replace(EQUALISED, spacers=1)
    air = replace(BARE_AIR, pressure=200 * PSI + SEA, positive_spacers=2, negative=negative)
    stroke = there_and_back()
    case, loop = on_tester(Setup("air", air, 20.0), stroke, 0.0)
    found = {one.name: one for one in law_of(case.setups[0], stand(case), loop, 0.0).unknowns}
    assert list(found) == ["positive_volume", "negative_volume", "port", "friction"]
    # No less than the stroke takes, no more than 40 times it; spacers are in the volume as it is typed.
    positive, second, port = found["positive_volume"], found["negative_volume"], found["port"]
    assert (positive.low, positive.high) == pytest.approx((swept + 12e-6 + 2e-9, 40 * swept))
    assert (second.low, second.high) == pytest.approx((4e-6 + 2e-9, 40 * swept))
    assert (port.low, port.high) == (0.0, FULL)
    assert (positive.enough, second.enough, port.enough) == pytest.approx((0.20, 0.25, 0.05 * FULL))
    assert (positive.relative, second.relative, port.relative) == (True, True, False)
    # Starts lie inside, as compression ratios from 1.6 to 5.5 and as parts of one and a half sweeps.
    assert positive.starts.min() - 12e-6 == pytest.approx(swept * 5.5 / 4.5)
    assert positive.starts.max() - 12e-6 == pytest.approx(swept * 1.6 / 0.6)
    assert (second.starts - 4e-6)[[0, -1]] == pytest.approx(1.5 * swept * np.array([0.08, 0.55]))
    assert port.starts[[0, -1]] == pytest.approx(FULL * np.array([0.03, 0.40]))
    coil, loop = on_tester(Setup("coil", Coil(80e3, 0.002, 25 * LBF_IN), 12.0), stroke, 0.0)
    rate, preload, friction = law_of(coil.setups[0], stand(coil), loop, 0.0).unknowns
    assert (rate.low, rate.enough, rate.relative) == (0.0, 0.25, True)
    assert (preload.low, preload.enough, preload.relative) == (-math.inf, 5e-3, False)
    assert friction.enough == math.inf
    assert rate.starts == pytest.approx(80e3, rel=0.05)
    assert preload.starts == pytest.approx(0.002, abs=1e-3)
    assert starts_of((rate, preload)).shape == (1, 2)


def test_the_usual_tools_and_how_scatter_is_counted() -> None:
    """A tenth of a millimetre, 2 K, 1 %, two tenths of a millimetre: common practice, no source."""
    assert FitTools(0.1e-3, 2.0, 0.01, 0.2e-3) == USUAL_TOOLS
    stroke = there_and_back()
    noise = 3.0 * np.sin(1e4 * stroke)
    case, loop = on_tester(Setup("coil", Coil(80e3, 0.002, 25 * LBF_IN), 12.0), stroke, noise)
    found = fit(case, 0, loop)
    # Rate, preload and friction are taken off the count of the readings.
    freedom = len(found.residual) - 3
    assert found.scatter == pytest.approx(math.sqrt(float(np.sum(found.residual**2)) / freedom), rel=1e-12)


def test_a_search_that_does_not_end_is_no_fit(monkeypatch: pytest.MonkeyPatch) -> None:
    case, loop = on_tester(Setup("coil", Coil(80e3, 0.002, 25 * LBF_IN), 12.0), there_and_back(), 0.0)
    stopped = SimpleNamespace(success=False, x=np.array([0.8, 2.0, 0.6]))
    monkeypatch.setattr("scipy.optimize.least_squares", lambda *asked, **known: stopped)
    with pytest.raises(Unfit) as caught:
        fit(case, 0, loop)
    assert caught.value.why.code == "no_end"


def test_what_a_setup_has_for_a_parameter() -> None:
    equalised, separate, coil = (
        replace(SETUPS[name], friction=21.0) for name in ("equalised", "separate", "coil")
    )
    assert [parameter_of(one, "friction") for one in (equalised, separate, coil)] == [21.0, 21.0, 21.0]
    assert [parameter_of(equalised, name) for name in ("positive_volume", "negative_volume", "port")] == [
        105e-6, 20e-6, 0.009,
    ]  # fmt: skip
    assert [parameter_of(separate, name) for name in ("negative_volume", "port", "rate")] == [
        22e-6,
        None,
        None,
    ]
    assert [parameter_of(coil, name) for name in ("rate", "preload", "port")] == [None, 0.001, None]
    assert parameter_of(SETUPS["none"], "negative_volume") is None
