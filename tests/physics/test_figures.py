"""Every figure against its definition, evaluated the slow way: adaptive quadrature and very fine grids."""

from dataclasses import dataclass, replace

import numpy as np
import pytest
from scipy.integrate import quad

from physics.answer import Figures, Riding, Sag
from physics.arrays import Values, values
from physics.case import Ambient, Coil, Frame, LeverageEnds, MechanicalNegative, Setup
from physics.figures import figures, riding
from physics.leverage import leverage_curve
from physics.limits import STANDARD_GRAVITY
from physics.sag import under_load
from physics.shock import Shock, shock_of
from physics.solve import solved
from physics.stand import wheel_load
from physics.walk import walk
from tests.physics.examples import BARE_AIR, BUMPER, LEVERAGES, LOAD, SETUPS, SHOP, STAGES, TARGET

STATIC = wheel_load(LOAD).static_wheel_force
W = 0.150
CLOSE = 5e-4
"""0.05 %."""


@dataclass(frozen=True)
class Read:
    shock: Shock
    sag: Sag
    figures: Figures

    def wheel(self, travel: float) -> float:
        return float(self.shock.wheel(values([travel]))[0][0])


def read(setup: Setup, leverage: str = "ends", static: Values = STATIC) -> Read:
    lever = leverage_curve(Frame(W, 0.060, LEVERAGES[leverage]))
    shock = shock_of(solved(setup, lever, SHOP, TARGET, STATIC), lever, SHOP)
    walked = walk(shock)
    sag = under_load(walked, static).sag
    return Read(shock, sag, figures(walked, static, sag))


@pytest.fixture(scope="module", params=SETUPS)
def case(request: pytest.FixtureRequest) -> Read:
    return read(SETUPS[request.param], "middle")


def kinks(case: Read) -> list[float]:
    at = case.shock.lever.at_stroke(case.shock.kinks()).wheel if case.shock.kinks().size else np.empty(0)
    return sorted(float(w) for w in (*at, 0.150 * 0.85) if 0 < w < W)


def test_supports_and_bottom(case: Read) -> None:
    found = case.figures
    static = float(STATIC)
    assert found.support_25 == pytest.approx(case.wheel(0.25 * W) / static, rel=1e-9)
    assert found.support_50 == pytest.approx(case.wheel(0.50 * W) / static, rel=1e-9)
    assert found.support_75 == pytest.approx(case.wheel(0.75 * W) / static, rel=1e-9)
    assert found.bottom_wheel_force == pytest.approx(case.wheel(W), rel=1e-9)
    assert found.bottom_ratio == pytest.approx(case.wheel(W) / static, rel=1e-9)
    ramp = (case.wheel(W) - case.wheel(0.8 * W)) / (case.wheel(0.8 * W) - case.wheel(0.6 * W))
    assert found.end_ramp == pytest.approx(ramp, rel=1e-9)


def test_starting_force_is_the_push_on_the_stop_and_the_friction(case: Read) -> None:
    push = float(case.shock.at(values([0.0])).force[0])
    friction = float(values(case.shock.setup.friction))
    assert case.figures.starting_shaft == pytest.approx(max(0.0, push) + friction)
    ratio = float(case.shock.lever.at(values([0.0])).ratio[0])
    assert case.figures.starting_wheel == pytest.approx((max(0.0, push) + friction) / ratio)


def test_energies_by_adaptive_quadrature(case: Read) -> None:
    sag = float(case.sag.wheel)
    total = quad(case.wheel, 0, W, points=kinks(case), limit=400)[0]
    beyond = [w for w in kinks(case) if w > sag]
    from_sag = quad(case.wheel, sag, W, points=beyond or None, limit=400)[0]
    assert case.figures.energy_total == pytest.approx(total, rel=2e-6)
    assert case.figures.energy_from_sag == pytest.approx(from_sag, rel=2e-6)
    assert case.figures.drop_height == pytest.approx(total / float(STATIC) - W, rel=1e-5)


def test_chord_deviation_and_softest_wheel_rate_on_a_fine_grid(case: Read) -> None:
    sag = float(case.sag.wheel)
    fine = values(np.linspace(sag, W, 400_001))
    force, rate = case.shock.wheel(fine)
    chord = force[0] + (force[-1] - force[0]) * (fine - sag) / (W - sag)
    off = force - chord
    largest = off[np.argmax(np.abs(off))] / (force[-1] - float(STATIC))
    assert case.figures.chord_deviation == pytest.approx(largest, rel=CLOSE)
    assert case.figures.softest_wheel_rate == pytest.approx(rate.min(), rel=CLOSE)
    assert case.figures.softest_at_wheel == pytest.approx(fine[np.argmin(rate)], abs=W / 240)


def test_rates_and_frequencies_at_sag(case: Read) -> None:
    found, sag = case.figures, float(case.sag.wheel)
    h = 1e-6
    wheel_rate = (case.wheel(sag + h) - case.wheel(sag - h)) / (2 * h)
    mass = float(STATIC) / STANDARD_GRAVITY
    assert found.wheel_rate_at_sag == pytest.approx(wheel_rate, rel=1e-6)
    assert found.natural_frequency == pytest.approx(np.sqrt(wheel_rate / mass) / (2 * np.pi), rel=1e-6)
    at = float(case.sag.stroke) + np.array([-h, 0.0, h])
    slow = case.shock.at(values(at)).force
    fast = case.shock.fast_at(values(at), case.sag.stroke).force
    assert found.rate_at_sag == pytest.approx((slow[2] - slow[0]) / (2 * h), rel=1e-6)
    assert found.fast_rate_at_sag == pytest.approx((fast[2] - fast[0]) / (2 * h), rel=1e-5)
    assert fast[1] == pytest.approx(slow[1])
    assert found.fast_natural_frequency >= found.natural_frequency * (1 - 1e-12)


def test_critical_damping_of_a_shaft_damper_from_its_power(case: Read) -> None:
    # The damper takes c ẋ² = c (v/L)²; at the wheel critical damping takes 2√(k_w m) v².
    found = case.figures
    ratio = float(case.shock.lever.at(case.sag.wheel[None]).ratio[0])
    mass = float(STATIC) / STANDARD_GRAVITY
    at_wheel = 2 * np.sqrt(float(found.wheel_rate_at_sag) * mass)
    speed = 0.7
    assert found.critical_damping * (speed / ratio) ** 2 == pytest.approx(at_wheel * speed**2)


def test_fast_bottom_force_is_never_below_the_slow_one(case: Read) -> None:
    slow = float(case.shock.at(values([0.060])).force[0])
    fast = float(case.shock.fast_at(values([0.060]), case.sag.stroke).force[0])
    assert case.figures.fast_bottom_shaft == pytest.approx(fast)
    assert fast >= slow * (1 - 1e-12)


@pytest.mark.slow
@pytest.mark.parametrize("end", [0.045001, 0.0803, 0.1207])
def test_a_kink_anywhere_past_sag_is_not_missed(end: float) -> None:
    # A mechanical negative that lets go at a wheel travel between two points of the grid.
    lever = leverage_curve(Frame(W, 0.060, LEVERAGES["ends"]))
    length = float(lever.at(values([end])).stroke[0])
    negative = MechanicalNegative(60e3, length)
    case = read(Setup("kinked", replace(BARE_AIR, negative=negative)))
    fine = values(np.linspace(float(case.sag.wheel), W, 2_000_001))
    force, rate = case.shock.wheel(fine)
    chord = force[0] + (force[-1] - force[0]) * (fine - fine[0]) / (W - fine[0])
    off = force - chord
    expected = off[np.argmax(np.abs(off))] / (force[-1] - force[0])
    assert case.figures.softest_wheel_rate == pytest.approx(rate.min(), rel=1e-5)
    assert case.figures.chord_deviation == pytest.approx(expected, rel=CLOSE)
    energy = quad(case.wheel, 0, W, points=[end], limit=400)[0]
    assert case.figures.energy_total == pytest.approx(energy, rel=2e-5)


@pytest.mark.parametrize("share", [1e-6, 1 - 1e-6])
def test_sag_next_to_the_ends_of_the_travel(share: float) -> None:
    shock = read(SETUPS["coil"]).shock
    static = shock.wheel(values([share * W]))[0][0]
    walked = walk(shock)
    found = figures(walked, static, under_load(walked, static).sag)
    assert np.isfinite(found.natural_frequency)
    assert found.energy_from_sag == pytest.approx(
        quad(lambda w: float(shock.wheel(values([w]))[0][0]), share * W, W)[0], rel=1e-6
    )
    assert abs(float(found.chord_deviation)) < 0.1


def test_a_linear_spring_on_a_constant_ratio_is_straight() -> None:
    lever = leverage_curve(Frame(W, 0.060, LeverageEnds(2.5, 2.5)))
    shock = shock_of(Setup("coil", Coil(60e3, 0.0, 4378.0)), lever, SHOP)
    walked, static = walk(shock), values(400.0)
    found = figures(walked, static, under_load(walked, static).sag)
    assert found.chord_deviation == pytest.approx(0.0, abs=1e-12)
    assert found.end_ramp == pytest.approx(1.0)
    assert found.softest_wheel_rate == pytest.approx(60e3 / 2.5**2)
    assert found.energy_total == pytest.approx(60e3 * 0.060**2 / 2)


@pytest.mark.parametrize(("static", "state"), [(50.0, "topped_out"), (9000.0, "bottomed_out")])
def test_without_a_sag_point_only_what_needs_none_is_there(static: float, state: str) -> None:
    walked = walk(read(SETUPS["equalised"]).shock)
    stood = under_load(walked, values(static))
    found = figures(walked, values(static), stood.sag)
    assert stood.state == state
    needless = {
        "starting_shaft", "starting_wheel", "support_25", "support_50", "support_75", "bottom_wheel_force",
        "bottom_ratio", "end_ramp", "energy_total", "drop_height",
    }  # fmt: skip
    there = {name for name in Figures.__slots__ if np.isfinite(getattr(found, name))}
    assert there == needless


def test_nothing_is_there_without_a_rate() -> None:
    lever = leverage_curve(Frame(W, 0.060, LEVERAGES["ends"]))
    walked = walk(shock_of(Setup("lost", Coil(np.nan, 0.001, 4378.0)), lever, Ambient(293.15, 101325.0)))
    found = figures(walked, STATIC, under_load(walked, STATIC).sag)
    assert not any(np.isfinite(getattr(found, name)) for name in Figures.__slots__)


def test_bumper_and_stages_show_at_the_end_of_the_travel() -> None:
    bare, bumped = read(SETUPS["coil"]), read(SETUPS["coil with gas and bumper"])
    assert bumped.figures.end_ramp > bare.figures.end_ramp
    assert bumped.figures.bottom_wheel_force - bare.figures.bottom_wheel_force == pytest.approx(
        BUMPER.force / 2.2366, rel=0.15
    )
    staged = read(Setup("stages", STAGES))
    assert staged.figures.softest_at_wheel < 0.08


WITHOUT_BUMPER = {"bottom_ratio_without_bumper", "end_ramp_without_bumper"}
RIDING_ONLY = {*WITHOUT_BUMPER}
"""Figures of the riding curve that the slow one has no twin of."""
BY_OTHER_RULES = {"chord_deviation", "support_25", "support_50", "support_75"}


def ridden(case: Read, static: Values = STATIC) -> Riding:
    return riding(walk(case.shock), static, case.sag, case.figures)


@pytest.mark.parametrize("name", ["coil", "coil with gas and bumper", "coil in stages"])
def test_a_coil_rides_as_it_stands(name: str) -> None:
    case = read(SETUPS[name])
    found, twins = ridden(case), set(Riding.__slots__) - RIDING_ONLY
    assert twins <= set(Figures.__slots__), (
        "a figure without a twin on the slow curve is named in RIDING_ONLY"
    )
    for figure in twins - BY_OTHER_RULES:
        slow = float(getattr(case.figures, figure))
        assert getattr(found, figure) == pytest.approx(slow, rel=1e-9), figure


def test_a_support_above_the_sag_point_does_not_exist(case: Read) -> None:
    found = ridden(case)
    for share, name in ((0.25, "support_25"), (0.5, "support_50"), (0.75, "support_75")):
        there = float(getattr(found, name))
        assert np.isnan(there) == (share * W < case.sag.wheel), name
        if np.isfinite(there):
            assert there >= float(getattr(case.figures, name)) * (1 - 1e-12)


@pytest.mark.parametrize("name", ["coil with gas and bumper", "coil in stages", "mechanical"])
def test_without_the_bumper_is_the_same_shock_without_one(name: str) -> None:
    bumped = read(SETUPS[name])
    bare_shock = replace(bumped.shock, setup=replace(bumped.shock.setup, bumper=None))
    bare = Read(bare_shock, bumped.sag, figures(walk(bare_shock), STATIC, bumped.sag))
    with_it, without = ridden(bumped), ridden(bare)
    assert with_it.bottom_ratio_without_bumper == pytest.approx(float(without.bottom_ratio), rel=1e-9)
    assert with_it.end_ramp_without_bumper == pytest.approx(float(without.end_ramp), rel=1e-9)
    assert without.bottom_ratio_without_bumper == without.bottom_ratio
    assert with_it.bottom_ratio > with_it.bottom_ratio_without_bumper


def test_the_chord_ends_before_the_bumper(case: Read) -> None:
    # Its bumper is shorter than a fifth of the travel, so that it leaves the chord alone.
    bare_shock = replace(case.shock, setup=replace(case.shock.setup, bumper=None))
    bare = Read(bare_shock, case.sag, figures(walk(bare_shock), STATIC, case.sag))
    assert ridden(case).chord_deviation == pytest.approx(float(ridden(bare).chord_deviation), rel=1e-9)
    sag, end = float(case.sag.wheel), 0.8 * W
    fine = values(np.linspace(sag, end, 200_001))
    places = case.shock.lever.at(fine)
    force = case.shock.fast_at(places.stroke, case.sag.stroke).force / places.ratio
    off = force - (force[0] + (force[-1] - force[0]) * (fine - sag) / (end - sag))
    largest = off[np.argmax(np.abs(off))] / (force[-1] - force[0])
    assert ridden(case).chord_deviation == pytest.approx(largest, rel=CLOSE)


def test_a_sag_beyond_the_end_of_the_chord_leaves_none() -> None:
    shock = read(SETUPS["coil"]).shock
    static = values(shock.wheel(values([0.85 * W]))[0][0])
    walked = walk(shock)
    sag = under_load(walked, static).sag
    found = riding(walked, static, sag, figures(walked, static, sag))
    assert np.isnan([found.chord_deviation, found.support_25, found.support_50, found.support_75]).all()
    assert np.isfinite([found.end_ramp, found.bottom_ratio, found.energy_total]).all()


def test_air_without_a_sag_point_does_not_ride() -> None:
    walked = walk(read(SETUPS["equalised"]).shock)
    static = values(50.0)
    sag = under_load(walked, static).sag
    found = riding(walked, static, sag, figures(walked, static, sag))
    assert not any(np.isfinite(getattr(found, name)) for name in Riding.__slots__)


@pytest.mark.parametrize(("static", "state"), [(50.0, "topped_out"), (9000.0, "bottomed_out")])
def test_a_coil_without_a_sag_point_has_its_end_and_its_energy(static: float, state: str) -> None:
    walked = walk(read(SETUPS["coil with gas and bumper"]).shock)
    stood = under_load(walked, values(static))
    assert stood.state == state
    slow = figures(walked, values(static), stood.sag)
    found = riding(walked, values(static), stood.sag, slow)
    there = {name for name in Riding.__slots__ if np.isfinite(getattr(found, name))}
    alike = {"bottom_wheel_force", "bottom_ratio", "end_ramp", "energy_total", "drop_height"}
    assert there == alike | WITHOUT_BUMPER, "name in `alike` what needs no sag point"
    for figure in alike:
        assert getattr(found, figure) == pytest.approx(float(getattr(slow, figure)), rel=1e-9), figure
    # A hit out of the sag point needs one.
    assert np.isnan(slow.fast_bottom_shaft)
