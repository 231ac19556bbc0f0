"""Bands from the errors of the tools: against closed forms, against the full sweep, and at the edges."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics.arrays import Values, per_point, values
from physics.bench import answer
from physics.case import (
    Case,
    Coil,
    Frame,
    LeverageEnds,
    Load,
    MassCentre,
    Measured,
    MechanicalNegative,
    RiderAndBike,
    ScaleReading,
    SeparateNegative,
    Setup,
    Target,
    Tolerance,
    Wire,
)
from physics.leverage import leverage_curve
from physics.scatter import (
    _HELD,
    DRAWS,
    alone,
    draws,
    errors_in,
    held,
    scattered_lever,
    scattered_load,
    scattered_setup,
)
from physics.shock import air_of, coil_of, pressure_of, shock_of, with_pressure
from physics.solve import solved_case
from physics.stand import wheel_load
from physics.sweep import sweep
from physics.tolerance import Band, Spread, drawn, sag_band, tolerance
from physics.wire import wire_answer
from tests.physics.examples import (
    BARE_AIR,
    EQUALISED,
    LEVERAGES,
    LOAD,
    PSI,
    SEA,
    SETUPS,
    SHOP,
    TARGET,
    case_of,
)

USUAL = Tolerance(0.5, 2 * PSI, 0.05, 1e-6, 0.02)
STRAIGHT = Frame(0.150, 0.060, LeverageEnds(2.5, 2.5))


def linear_coil(limits: Tolerance) -> Case:
    """A coil without preload on a constant leverage, weighed once: sag w = W_s L²/k."""
    setup = Setup("coil", Coil(None, 0.0, 4378.0))
    return Case(ScaleReading(60.0, 4.0), STRAIGHT, TARGET, SHOP, (setup,), tolerance=limits)


def trapezoid(one: float, other: float) -> float:
    """Return what 5 % of the sum of two even errors of these half-widths stay below, its own mean zero.

    The density of u + v rises in a straight line from −(a + b), with a the larger: over the first 2b its
    integral up to a distance t from the end is t²/(8ab). That is 5 % at t = √(0.4ab), if t is at most 2b.
    """
    start = np.sqrt(0.4 * one * other)
    assert start <= 2 * min(one, other)
    return float(-(one + other) + start)


def test_the_band_of_a_linear_coil_is_the_closed_form_propagation() -> None:
    # w = g (m + e)·L²/(k (1 + v)): to first order the relative error is e/m − v, a sum of two even errors.
    scale, rate = 0.3, 0.01
    found = tolerance(linear_coil(Tolerance(scale=scale, rate=rate)), 0)
    edge = trapezoid(scale / 56.0, rate)
    # One standard error of a 5 % edge of as many dice, which is 1.2 % of it.
    assert float(found.sag.low) / 0.30 - 1 == pytest.approx(edge, rel=0.012)
    assert float(found.sag.high) / 0.30 - 1 == pytest.approx(-edge, rel=0.012)
    assert float(found.sag.middle) == pytest.approx(0.30, rel=2e-4)
    assert float(found.sag_wheel.high) == pytest.approx(0.150 * float(found.sag.high))


def test_the_variances_of_a_linear_coil_add_up() -> None:
    # An even error of half-width a has the variance a²/3, and variances of errors on their own add.
    case = linear_coil(Tolerance(scale=0.3, rate=0.01))
    sag = sags(case, draws()) / 0.30
    assert np.var(sag) == pytest.approx(((0.3 / 56) ** 2 + 0.01**2) / 3, rel=0.01)


def test_one_error_alone_is_its_own_quantile() -> None:
    by_error = tolerance(linear_coil(Tolerance(scale=0.5, rate=0.05)), 0).alone
    # 5 % of an even error stay below −0.9 of its limit; the rate divides.
    for band, low, high in (
        (by_error["scale"], 1 - 0.9 * 0.5 / 56, 1 + 0.9 * 0.5 / 56),
        (by_error["rate"], 1 / (1 + 0.9 * 0.05), 1 / (1 - 0.9 * 0.05)),
        (by_error["gauge"], 1.0, 1.0),
        (by_error["volume"], 1.0, 1.0),
    ):
        assert float(band.low) == pytest.approx(0.30 * low, rel=1e-5)
        assert float(band.high) == pytest.approx(0.30 * high, rel=1e-5)


def test_the_bottom_ratio_of_a_linear_coil() -> None:
    # F_w(W)/W_s = k W/(L² W_s) is W over the sag, so the band is the sag's turned round.
    found = tolerance(linear_coil(USUAL), 0)
    assert float(found.bottom_ratio.low) == pytest.approx(1 / float(found.sag.high), rel=1e-3)
    assert float(found.bottom_ratio.high) == pytest.approx(1 / float(found.sag.low), rel=1e-3)


def sags(case: Case, off: Values) -> Values:
    """Return the sag of every draw of the first setup."""
    known, static = solved_case(case).setups[0], wheel_load(case.load).static_wheel_force
    loads = scattered_load(case.load, static, case.tolerance, off)
    lever = scattered_lever(case, leverage_curve(case.frame), off)
    shock = shock_of(scattered_setup(known, case, off), lever, case.shop)
    return drawn(shock, case, loads, held(known, off)).sag


@pytest.mark.fast_cases(5)
@pytest.mark.parametrize("target", [Target(0.30, "travel"), Target(0.25, "stroke")])
@pytest.mark.parametrize("name", SETUPS)
def test_the_coarse_path_agrees_with_the_full_sweep(name: str, target: Target) -> None:
    case = replace(case_of(SETUPS[name], leverage=LEVERAGES["middle"]), tolerance=USUAL, target=target)
    every = draws()[:, ::20].copy()
    every[_HELD] = 0.0  # where friction held the wheel is no input of a sweep
    known = solved_case(case)
    rider, bike = LOAD.rider_mass + 0.5 * every[0], LOAD.bike_mass + 0.5 * every[1]
    setups = (scattered_setup(known.setups[0], case, every),)
    # An error of the share times an error of the mass is of second order and left out.
    shares = LOAD.rider_share + 0.02 * every[2] * LOAD.rider_mass / rider
    really = replace(LOAD, rider_mass=rider, bike_mass=bike, rider_share=shares)
    full = sweep(replace(known, load=really, setups=setups))
    static = wheel_load(case.load).static_wheel_force
    loads = scattered_load(case.load, static, USUAL, every)
    assert loads == pytest.approx(full.load.static_wheel_force, rel=1e-12)
    swept = full.setups[0].sag.wheel_fraction if target.of == "travel" else full.setups[0].sag.stroke_fraction
    shock = shock_of(setups[0], leverage_curve(case.frame), case.shop)
    found = drawn(shock, case, loads, np.zeros(len(loads)))
    assert np.max(np.abs(found.sag - swept)) < 1e-9
    assert found.bottom_ratio == pytest.approx(full.setups[0].riding.bottom_ratio, rel=1e-9)


@pytest.mark.parametrize("name", SETUPS)
def test_without_any_error_there_is_no_band(name: str) -> None:
    case = case_of(replace(SETUPS[name], friction=0.0))
    found, plain = tolerance(case, 0), answer(case).setups[0]
    for band, figure in (
        (found.sag, plain.sag.wheel_fraction),
        (found.sag_wheel, plain.sag.wheel),
        (found.bottom_ratio, plain.riding.bottom_ratio),
    ):
        assert edges(band) == pytest.approx([float(figure)] * 5, rel=1e-9)
    assert float(found.topped_out) == float(found.bottomed_out) == 0.0


def edges(band: Band) -> list[float]:
    return [float(edge) for edge in (band.low, band.lower, band.middle, band.upper, band.high)]


@pytest.mark.slow
@given(
    st.sampled_from(sorted(SETUPS)),
    st.floats(0.0, 1.0),
    st.floats(0.0, 3.0),
    st.floats(0.0, 0.08),
    st.floats(0.0, 2.0),
    st.floats(0.0, 0.03),
    st.floats(0.0, 40.0),
)
def test_a_wider_error_never_makes_a_narrower_band(
    name: str, scale: float, gauge: float, rate: float, volume: float, share: float, friction: float
) -> None:
    def spread(factor: float) -> Spread:
        sizes = {"scale": scale, "gauge": gauge * PSI, "rate": rate, "volume": volume * 1e-6, "share": share}
        limits = Tolerance(**{tool: factor * size for tool, size in sizes.items()})  # type: ignore[arg-type]
        setup = replace(SETUPS[name], friction=factor * friction)
        return tolerance(replace(case_of(setup), tolerance=limits), 0)

    narrow, wide = spread(1.0), spread(2.0)
    assert np.all(np.diff(edges(narrow.sag)) >= 0)
    widths = [float(found.sag.high - found.sag.low) for found in (narrow, wide)]
    assert widths[1] >= widths[0] - 1e-9
    for error, band in narrow.alone.items():
        assert float(band.high - band.low) <= float(wide.alone[error].high - wide.alone[error].low) + 1e-9


def test_only_what_a_setup_has_can_be_off() -> None:
    coil = tolerance(replace(case_of(SETUPS["coil"]), tolerance=USUAL), 0).alone
    air = tolerance(replace(case_of(SETUPS["equalised"]), tolerance=USUAL), 0).alone
    moved = {
        kind: {error for error, band in bands.items() if band.high - band.low > 1e-6}
        for kind, bands in (("coil", coil), ("air", air))
    }
    both = {"scale", "share", "friction"}
    assert moved == {"coil": both | {"rate"}, "air": both | {"gauge", "volume"}}


def test_the_setting_stays_where_a_typed_one_is() -> None:
    solved = replace(case_of(SETUPS["equalised"]), tolerance=USUAL)
    typed = solved_case(solved)
    assert edges(tolerance(solved, 0).sag) == pytest.approx(edges(tolerance(typed, 0).sag), rel=1e-12)


def test_draws_beyond_the_ends_have_a_share_and_no_number() -> None:
    # Without scatter the wheel just tops out, or just reaches the stop: half of the rates go either way.
    load = ScaleReading(60.0, 4.0)
    static = float(wheel_load(load).static_wheel_force)
    limits = Tolerance(rate=0.05)
    stiff = Setup("stiff", Coil(2.5 * static / 0.010, 0.010, 4378.0))
    found = tolerance(Case(load, STRAIGHT, TARGET, SHOP, (stiff,), tolerance=limits), 0)
    assert float(found.topped_out) == pytest.approx(0.5, abs=1e-3)
    assert np.isnan(found.sag.low)
    assert float(found.sag.high) > 0
    soft = Setup("soft", Coil(2.5 * static / 0.060, 0.0, 4378.0))
    found = tolerance(Case(load, STRAIGHT, TARGET, SHOP, (soft,), tolerance=limits), 0)
    assert float(found.bottomed_out) == pytest.approx(0.5, abs=1e-3)
    assert np.isnan(found.sag.high)
    assert float(found.bottom_ratio.high) == pytest.approx(1 + 0.9 * 0.05, rel=1e-3)


def test_a_target_out_of_reach_has_no_band() -> None:
    hopeless = Setup("air", replace(BARE_AIR, bore=0.010, rod=0.0, positive_volume=30e-6))
    found = tolerance(replace(case_of(hopeless), tolerance=USUAL), 0)
    assert all(np.isnan(edge) for edge in (*edges(found.sag), *edges(found.bottom_ratio)))
    assert float(found.topped_out) == float(found.bottomed_out) == 0.0


def test_what_cannot_be_is_left_out() -> None:
    # 5 cm³ of room beside the stroke and ±20 cm³: draws without room count for nothing.
    tight = Setup("air", replace(BARE_AIR, positive_volume=85e-6, negative=EQUALISED))
    case = replace(case_of(tight), tolerance=Tolerance(volume=20e-6))
    really = air_of(scattered_setup(solved_case(case).setups[0], case, draws()))
    assert np.isnan(really.positive_volume).any()
    assert np.isfinite(tolerance(case, 0).sag.middle)
    light = replace(case_of(SETUPS["coil"]), load=ScaleReading(4.3, 4.2), tolerance=USUAL)
    loads = scattered_load(light.load, wheel_load(light.load).static_wheel_force, USUAL, draws())
    assert np.isnan(loads).any()
    assert np.nanmin(loads) > 0


@pytest.mark.parametrize(
    "load",
    [LOAD, ScaleReading(60.0, 4.2), MassCentre(100.0, 1.22, 0.74, 1.05, 0.2, "rear", 4.2)],
)
def test_every_way_to_weigh_scatters(load: RiderAndBike | ScaleReading | MassCentre) -> None:
    off = np.zeros((12, 2))
    off[0] = [-1.0, 1.0]
    static = wheel_load(load).static_wheel_force
    found = scattered_load(load, static, Tolerance(scale=0.5), off)
    match load:
        case RiderAndBike():
            heavier: RiderAndBike | ScaleReading | MassCentre = replace(load, rider_mass=85.5)
        case ScaleReading():
            heavier = replace(load, scale_mass=60.5)
        case MassCentre():
            heavier = replace(load, total_mass=100.5)
    assert found[1] == pytest.approx(float(wheel_load(heavier).static_wheel_force))
    assert found[0] + found[1] == pytest.approx(2 * float(static))


@pytest.mark.parametrize(
    "load",
    [LOAD, ScaleReading(60.0, 4.2), MassCentre(100.0, 1.22, 0.74, 1.05, 0.2, "rear", 4.2)],
)
def test_the_riders_share_moves_the_rider_unless_a_scale_holds_the_posture(
    load: Load,
) -> None:
    off = np.zeros((12, 2))
    off[2] = [-1.0, 1.0]
    static = wheel_load(load).static_wheel_force
    found = scattered_load(load, static, Tolerance(share=0.02), off)
    match load:
        case RiderAndBike():
            back: Load = replace(load, rider_share=load.rider_share + 0.02)
        case ScaleReading():
            back = load
        case MassCentre():
            # The share is a/b on level ground, whatever the slope.
            back = replace(load, behind_front=load.behind_front + 0.02 * load.wheelbase)
    assert found[1] == pytest.approx(float(wheel_load(back).static_wheel_force))
    assert found[0] + found[1] == pytest.approx(2 * float(static))


@pytest.mark.parametrize("seed", [1, 7])
def test_the_draws_are_even_and_apart(seed: int) -> None:
    scale, rate, leverage = alone("scale", seed), alone("rate", seed), alone("leverage", seed)
    for found in (draws(seed), scale[:2], rate[4:5], leverage[8:]):
        rows, count = found.shape
        middles = (np.arange(count) + 0.5) * (2 / count) - 1
        # Every row takes each place once: quantiles of one error alone are exact.
        assert np.sort(found, axis=1) == pytest.approx(np.tile(middles, (rows, 1)), abs=1e-12)
        assert np.max(np.abs(np.corrcoef(found) - np.eye(rows))) < 0.03
    assert draws(seed).shape == (12, DRAWS)
    assert not np.array_equal(draws(seed), draws(seed + 1))


def test_one_gauge_serves_both_chambers() -> None:
    case = replace(case_of(SETUPS["separate"]), tolerance=USUAL)
    known = solved_case(case).setups[0]
    scattered = scattered_setup(known, case, draws())
    really = air_of(scattered)
    negative, told = really.negative, air_of(known).negative
    assert isinstance(negative, SeparateNegative)
    assert isinstance(told, SeparateNegative)
    off = values(negative.pressure - told.pressure)
    assert pressure_of(scattered) - pressure_of(known) == pytest.approx(off, abs=1e-6)
    assert np.max(np.abs(off)) == pytest.approx(2 * PSI, rel=1e-3)
    # The chambers are measured one by one: their volumes stray apart.
    apart = np.corrcoef(really.positive_volume, values(negative.volume))[0, 1]
    assert abs(apart) < 0.03


def test_friction_holds_the_wheel_anywhere_within_its_band() -> None:
    # F_w = (k w/L ± F_f)/L carries W_s: the sag strays by F_f L/k either way, evenly.
    friction, case = 30.0, linear_coil(Tolerance())
    case = replace(case, setups=(replace(case.setups[0], friction=friction),))
    coil = answer(case).setups[0].coil
    assert coil is not None
    edge = 0.9 * friction * 2.5 / float(coil.rate)
    for band in (tolerance(case, 0).sag_wheel, sag_band(case, 0)):
        assert float(band.low) == pytest.approx(0.045 - edge, rel=1e-6)
        assert float(band.high) == pytest.approx(0.045 + edge, rel=1e-6)
    alone_there = tolerance(case, 0).alone["friction"]
    assert float(alone_there.high) == pytest.approx((0.045 + edge) / 0.150, rel=1e-6)
    limits = answer(case).setups[0].sag
    assert float(limits.band_high - limits.wheel) == pytest.approx(edge / 0.9, rel=1e-6)


@pytest.mark.fast_cases(3)
@pytest.mark.parametrize("name", SETUPS)
def test_the_digit_that_is_told_of_one_error_does_not_hang_on_the_draws(name: str) -> None:
    """Sag is told in tenths of a per cent: other draws of the same law move an edge by less than 0.01 %."""
    case = replace(case_of(SETUPS[name]), tolerance=USUAL)
    by_seed = [tolerance(case, 0, seed).alone for seed in range(1, 6)]
    for error in by_seed[0]:
        for edge in ("low", "high"):
            found = [float(getattr(bands[error], edge)) for bands in by_seed]
            assert np.ptp(found) < 1e-4, (error, edge, found)


@pytest.mark.slow
def test_twice_ten_thousand_dice_agree_with_the_draws_of_one_error() -> None:
    case = replace(case_of(SETUPS["separate"]), tolerance=USUAL)
    dice, bands = np.random.default_rng(4), tolerance(case, 0).alone
    for error, rows in (("scale", [0, 1]), ("gauge", [3]), ("volume", [5, 6])):
        off = np.zeros((12, 20_000))
        off[rows] = dice.uniform(-1, 1, (len(rows), 20_000))
        low, high = np.quantile(sags(case, off), [0.05, 0.95])
        band = bands[error]  # type: ignore[index]
        # Three standard errors of a quantile of 20 000: 0.5 % of probability.
        assert float(band.low) == pytest.approx(low, abs=0.015 * (high - low))
        assert float(band.high) == pytest.approx(high, abs=0.015 * (high - low))


def test_the_band_of_the_end_is_that_of_the_riding_curve() -> None:
    case = replace(case_of(SETUPS["equalised"]), tolerance=USUAL)
    found, setup = tolerance(case, 0).bottom_ratio, answer(case).setups[0]
    assert float(found.low) < float(setup.riding.bottom_ratio) < float(found.high)
    assert float(found.middle) == pytest.approx(float(setup.riding.bottom_ratio), rel=2e-3)
    assert float(setup.figures.bottom_ratio) < float(found.low)


def test_where_the_wheel_tops_out_it_is_hit_from_full_extension() -> None:
    hard = with_pressure(replace(SETUPS["separate"], friction=0.0), 4e6)
    case = case_of(hard)
    assert answer(case).setups[0].state == "topped_out"
    lever, static = leverage_curve(case.frame), float(wheel_load(case.load).static_wheel_force)
    end = shock_of(hard, lever, case.shop).fast_at(per_point(case.frame.stroke), values(0.0)).force[0]
    band = tolerance(case, 0).bottom_ratio
    assert float(band.middle) == pytest.approx(float(end / lever.nodes.ratio[-1]) / static, rel=1e-9)


def test_a_coil_whose_wire_is_known_strays_as_its_grade_allows_unless_the_rate_is_given() -> None:
    def width(grade: int, *, of_wire: bool) -> float:
        case = linear_coil(Tolerance(rate=0.05, rate_of_wire=of_wire))
        coil = coil_of(case.setups[0])
        wire = Wire("chrome_silicon", 0.0089, 0.0449, 8.6, 10.6, "closed_ground", grade)
        measured = Setup("coil", replace(coil, wire=wire))
        band = tolerance(replace(case, setups=(measured,)), 0).alone["rate"]
        return float(band.high / band.low) - 1

    given = width(1, of_wire=False)
    assert given == width(3, of_wire=False)
    found = wire_answer(
        Coil(None, 0.0, 4378.0, wire=Wire("chrome_silicon", 0.0089, 0.0449, 8.6, 10.6, "closed_ground", 2)),
        0.060,
    )
    assert found is not None
    # Sag goes as 1/k: 5 and 95 % of an even error lie at 0.9 of its limit.
    edge = 0.9 * float(found.band)
    assert width(2, of_wire=True) == pytest.approx((1 + edge) / (1 - edge) - 1, rel=1e-2)
    assert width(1, of_wire=True) < width(2, of_wire=True) < width(3, of_wire=True)


def straight_pairs(noise: Values) -> Measured:
    """Seven readings off a constant leverage of 2.5 and the origin, each with its error [m]."""
    travel = np.append(0.0, np.linspace(0.150 / 7, 0.150, 7))
    return Measured(values(travel), values(travel / 2.5 + np.append(0.0, noise)))


def through_pairs(pairs: Measured) -> Case:
    """A coil on measured pairs, nothing else off, whose true sag on a leverage of 2.5 is 30 %."""
    solved = solved_case(linear_coil(Tolerance()))
    return replace(solved, frame=replace(STRAIGHT, leverage=pairs))


@pytest.mark.slow
def test_the_true_sag_lies_in_the_band_of_the_pairs_as_often_as_is_said() -> None:
    dice, count, held_by = np.random.default_rng(21), 400, 0
    for _ in range(count):
        band = tolerance(through_pairs(straight_pairs(dice.normal(0.0, 0.15e-3, 7))), 0).alone["leverage"]
        held_by += bool(band.low <= 0.30 <= band.high)
    # Nine in ten; three standard deviations of a count of 400 at 0.9 are 4.5 %.
    assert held_by / count == pytest.approx(0.90, abs=0.045)


def test_the_band_of_the_pairs_joins_the_others() -> None:
    pairs = straight_pairs(np.random.default_rng(3).normal(0.0, 0.3e-3, 7))
    case = replace(through_pairs(pairs), tolerance=Tolerance(rate=0.03))
    found = tolerance(case, 0)
    every, rate, leverage = (
        float(band.high - band.low) for band in (found.sag, found.alone["rate"], found.alone["leverage"])
    )
    assert max(rate, leverage) < every < rate + leverage
    for seed in range(2, 6):
        again = tolerance(case, 0, seed).alone["leverage"]
        assert float(again.high - again.low) == pytest.approx(leverage, rel=0.02)


def test_pairs_without_scatter_or_without_a_degree_of_freedom_leave_no_band() -> None:
    exact = tolerance(through_pairs(straight_pairs(np.zeros(7))), 0).alone["leverage"]
    assert float(exact.high - exact.low) < 1e-9
    # Four pairs, of which two stand at full extension: as many readings as weights.
    few = Measured(values([0.0, 0.0, 0.080, 0.150]), values([0.0, 0.0, 0.0325, 0.060]))
    spread = tolerance(through_pairs(few), 0).alone["leverage"]
    assert edges(spread) == pytest.approx([float(spread.middle)] * 5, rel=1e-12)


def test_pairs_that_scatter_too_far_leave_out_the_curves_that_turn_back() -> None:
    few = Measured(values([0.0, 0.050, 0.100, 0.150]), values([0.0, 0.024, 0.038, 0.060]))
    case = through_pairs(few)
    drawn_sags = sags(case, alone("leverage"))
    assert np.isnan(drawn_sags).any()
    band = tolerance(case, 0).alone["leverage"]
    assert 0 < float(band.low) < float(band.middle) < float(band.high) < 1


@pytest.mark.parametrize("name", sorted(SETUPS))
def test_tools_that_are_never_off_leave_no_error(name: str) -> None:
    case = replace(case_of(replace(SETUPS[name], friction=0.0)), tolerance=Tolerance())
    assert errors_in(case.setups[0], case) == ()


def test_errors_add_up_as_they_are_drawn() -> None:
    """Every error at the end of its limits: weighings add, a mechanical spring is stiffer by its share."""
    off, centre = np.ones((12, 1)), MassCentre(100.0, 1.25, 0.70, 1.1, 0.0, "rear", 4.2)
    limits = Tolerance(scale=0.5, share=0.02, rate=0.05)
    # 0.70/1.25 of two half kilograms and two per cent of a hundred.
    extra = float(scattered_load(centre, values(500.0), limits, off)[0]) - 500.0
    assert extra == pytest.approx(9.80665 * (0.56 * 1.0 + 2.0))
    shares = float(scattered_load(LOAD, values(500.0), limits, off)[0]) - 500.0
    assert shares == pytest.approx(9.80665 * (0.62 * 0.5 + 0.5 * 0.5 + 85.0 * 0.02))
    setup = with_pressure(SETUPS["mechanical"], 150 * PSI + SEA)
    negative = air_of(scattered_setup(setup, replace(case_of(setup), tolerance=limits), off)).negative
    assert isinstance(negative, MechanicalNegative)
    assert values(negative.rate) == pytest.approx([60e3 * 1.05])
