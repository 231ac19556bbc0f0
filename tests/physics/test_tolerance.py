"""Bands from the errors of the tools: against closed forms, against the full sweep, and at the edges."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics.bench import answer
from physics.case import (
    Case,
    Coil,
    Ends,
    Frame,
    MassCentre,
    RiderAndBike,
    ScaleReading,
    Setup,
    Target,
    Tolerance,
    Wire,
)
from physics.leverage import leverage_curve
from physics.load import wheel_load
from physics.scatter import DRAWS, draws, scattered_load, scattered_setup
from physics.shock import air_of, coil_of
from physics.solve import solved_case
from physics.sweep import sweep
from physics.tolerance import Band, drawn, tolerance
from physics.wire_answer import wire_answer
from tests.physics.examples import BARE_AIR, EQUALISED, LEVERAGES, LOAD, PSI, SETUPS, SHOP, TARGET, case_of

USUAL = Tolerance(0.5, 2 * PSI, 0.05, 1e-6)
STRAIGHT = Frame(0.150, 0.060, Ends(2.5, 2.5))


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
    # Three standard errors of a 5 % edge of 4 000 draws, which is 1.2 % of it.
    assert float(found.sag.low) / 0.30 - 1 == pytest.approx(edge, rel=0.036)
    assert float(found.sag.high) / 0.30 - 1 == pytest.approx(-edge, rel=0.036)
    assert float(found.sag.middle) == pytest.approx(0.30, rel=2e-4)
    assert float(found.sag_wheel.high) == pytest.approx(0.150 * float(found.sag.high))


def test_the_variances_of_a_linear_coil_add_up() -> None:
    # An even error of half-width a has the variance a²/3, and variances of errors on their own add.
    case = linear_coil(Tolerance(scale=0.3, rate=0.01))
    every, static = draws()[:, :DRAWS], wheel_load(case.load).static_wheel_force
    setup = scattered_setup(solved_case(case).setups[0], case, every)
    loads = scattered_load(case.load, static, case.tolerance, every)
    sag = drawn(setup, case, leverage_curve(case.frame), loads).sag / 0.30
    assert np.var(sag) == pytest.approx(((0.3 / 56) ** 2 + 0.01**2) / 3, rel=0.01)


def test_one_error_alone_is_its_own_quantile() -> None:
    alone = tolerance(linear_coil(Tolerance(scale=0.5, rate=0.05)), 0).alone
    # 5 % of an even error stay below −0.9 of its limit; the rate divides.
    for band, low, high in (
        (alone["scale"], 1 - 0.9 * 0.5 / 56, 1 + 0.9 * 0.5 / 56),
        (alone["rate"], 1 / (1 + 0.9 * 0.05), 1 / (1 - 0.9 * 0.05)),
        (alone["gauge"], 1.0, 1.0),
        (alone["volume"], 1.0, 1.0),
    ):
        assert float(band.low) == pytest.approx(0.30 * low, rel=1e-3)
        assert float(band.high) == pytest.approx(0.30 * high, rel=1e-3)


def test_the_bottom_ratio_of_a_linear_coil() -> None:
    # F_w(W)/W_s = k W/(L² W_s) is W over the sag, so the band is the sag's turned round.
    found = tolerance(linear_coil(USUAL), 0)
    assert float(found.bottom_ratio.low) == pytest.approx(1 / float(found.sag.high), rel=1e-3)
    assert float(found.bottom_ratio.high) == pytest.approx(1 / float(found.sag.low), rel=1e-3)


@pytest.mark.parametrize("target", [Target(0.30, "travel"), Target(0.25, "stroke")])
@pytest.mark.parametrize("name", SETUPS)
def test_the_coarse_path_agrees_with_the_full_sweep(name: str, target: Target) -> None:
    case = replace(case_of(SETUPS[name], leverage=LEVERAGES["middle"]), tolerance=USUAL, target=target)
    every = draws()[:, :DRAWS:20]
    known = solved_case(case)
    rider, bike = LOAD.rider_mass + 0.5 * every[0], LOAD.bike_mass + 0.5 * every[1]
    setups = (scattered_setup(known.setups[0], case, every),)
    full = sweep(replace(known, load=replace(LOAD, rider_mass=rider, bike_mass=bike), setups=setups))
    static = wheel_load(case.load).static_wheel_force
    loads = scattered_load(case.load, static, USUAL, every)
    assert loads == pytest.approx(full.load.static_wheel_force, rel=1e-12)
    swept = full.setups[0].sag.wheel_fraction if target.of == "travel" else full.setups[0].sag.stroke_fraction
    found = drawn(setups[0], case, leverage_curve(case.frame), loads)
    assert np.max(np.abs(found.sag - swept)) < 1e-9
    assert found.bottom_ratio == pytest.approx(full.setups[0].figures.bottom_ratio, rel=1e-12)


@pytest.mark.parametrize("name", SETUPS)
def test_tools_without_error_leave_no_band(name: str) -> None:
    case = case_of(SETUPS[name])
    found, plain = tolerance(case, 0), answer(case).setups[0]
    for band, figure in (
        (found.sag, plain.sag.wheel_fraction),
        (found.sag_wheel, plain.sag.wheel),
        (found.bottom_ratio, plain.figures.bottom_ratio),
    ):
        assert edges(band) == pytest.approx([float(figure)] * 5, rel=1e-9)
    assert float(found.topped_out) == float(found.bottomed_out) == 0.0


def edges(band: Band) -> list[float]:
    return [float(edge) for edge in (band.low, band.lower, band.middle, band.upper, band.high)]


@given(
    st.sampled_from(sorted(SETUPS)),
    st.floats(0.0, 1.0),
    st.floats(0.0, 3.0),
    st.floats(0.0, 0.08),
    st.floats(0.0, 2.0),
)
def test_a_wider_error_never_makes_a_narrower_band(
    name: str, scale: float, gauge: float, rate: float, volume: float
) -> None:
    case = case_of(SETUPS[name])
    limits = Tolerance(scale, gauge * PSI, rate, volume * 1e-6)
    twice = Tolerance(2 * scale, 2 * gauge * PSI, 2 * rate, 2 * volume * 1e-6)
    narrow, wide = (tolerance(replace(case, tolerance=limit), 0) for limit in (limits, twice))
    assert np.all(np.diff(edges(narrow.sag)) >= 0)
    widths = [float(found.sag.high - found.sag.low) for found in (narrow, wide)]
    assert widths[1] >= widths[0] - 1e-9
    for error, alone in narrow.alone.items():
        assert float(alone.high - alone.low) <= float(wide.alone[error].high - wide.alone[error].low) + 1e-9


def test_only_what_a_setup_has_can_be_off() -> None:
    coil = tolerance(replace(case_of(SETUPS["coil"]), tolerance=USUAL), 0).alone
    air = tolerance(replace(case_of(SETUPS["equalised"]), tolerance=USUAL), 0).alone
    moved = {
        kind: {error for error, band in alone.items() if band.high - band.low > 1e-6}
        for kind, alone in (("coil", coil), ("air", air))
    }
    assert moved == {"coil": {"scale", "rate"}, "air": {"scale", "gauge", "volume"}}


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
    off = np.zeros((6, 2))
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


def test_the_draws_are_even_and_apart() -> None:
    found = draws()
    every = found[:, :DRAWS]
    assert np.mean(every, axis=1) == pytest.approx(np.zeros(6), abs=1e-12)
    assert np.var(every, axis=1) == pytest.approx(np.full(6, 1 / 3), rel=1e-3)
    assert np.max(np.abs(np.corrcoef(every) - np.eye(6))) < 0.05
    assert np.max(np.abs(found)) < 1


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
