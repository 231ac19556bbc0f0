"""The JSON object of an answer: keys of the contract, gauge pressures, null for what does not exist."""

import json
from typing import Any

import pytest

from physics.limits import HIGHEST_PRESSURE
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob
from tui.job.job import Job
from tui.job.tree import TreePath
from tui.subjects.answers import answer_object

DEMO = demo_job()
EVERY_SETUP = {"name", "kind", "state", "sag", "figures", "curve", "cautions"}
COIL = {"rate_n_per_mm", "rate_lbf_per_in", "preload_mm", "buyable"}
AIR = {
    "set_pressure_psi", "set_pressure_bar", "equalised_pressure_psi", "compression_ratio",
    "peak_pressure_psi", "fast_peak_pressure_psi", "rest_stroke_mm",
}  # fmt: skip
FIGURES_AT_SAG = {
    "chord_deviation", "softest_wheel_rate_n_per_mm", "softest_at_wheel_mm", "energy_from_sag_j",
    "wheel_rate_at_sag_n_per_mm", "rate_at_sag_n_per_mm", "fast_rate_at_sag_n_per_mm", "natural_frequency_hz",
    "fast_natural_frequency_hz", "critical_damping_n_s_per_m", "fast_bottom_shaft_n",
}  # fmt: skip
FIGURES = FIGURES_AT_SAG | {
    "starting_shaft_n", "starting_wheel_n", "support_25", "support_50", "support_75", "bottom_wheel_force_n",
    "bottom_ratio", "end_ramp", "energy_total_j", "drop_height_mm",
}  # fmt: skip
CURVE = {
    "stroke_mm", "shaft_force_n", "positive_n", "negative_n", "rate_n_per_mm", "wheel_travel_mm",
    "wheel_force_n", "wheel_rate_n_per_mm", "fast_shaft_force_n", "riding_shaft_force_n",
    "riding_wheel_force_n", "riding_wheel_rate_n_per_mm",
}  # fmt: skip
RIDING = {
    "support_25", "support_50", "support_75", "bottom_wheel_force_n", "bottom_ratio",
    "bottom_ratio_without_bumper", "chord_deviation", "softest_wheel_rate_n_per_mm", "softest_at_wheel_mm",
    "end_ramp", "end_ramp_without_bumper", "energy_total_j", "energy_from_sag_j", "drop_height_mm",
    "wheel_rate_at_sag_n_per_mm", "natural_frequency_hz", "critical_damping_n_s_per_m",
}  # fmt: skip
SAG = {
    "wheel_mm", "wheel_fraction", "stroke_mm", "stroke_fraction", "shaft_force_n", "at_once_wheel_mm",
    "at_once_stroke_mm", "settling_time_s",
}  # fmt: skip


def answered(job: Job) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(
        json.dumps(answer_object(answer_job(job, spacers=True)), allow_nan=False)
    )
    return found


def test_every_key_of_the_contract_is_there() -> None:
    found = answered(DEMO)
    coil, air = found["setups"]
    assert {"format", "title", "load", "frame", "setups"} <= found.keys()
    assert {"ground_reaction_n", "static_wheel_force_n"} <= found["load"].keys()
    frame = {"leverage_start", "leverage_end", "progression", "closure_error", "residual_mm"}
    assert frame <= found["frame"].keys()
    for setup, own in ((coil, COIL), (air, AIR)):
        assert EVERY_SETUP | own <= setup.keys()
        assert not ((COIL | AIR) - own) & setup.keys()
        named = "scripts read these keys: name a new one in the sets above, and take none away"
        assert set(setup["figures"]) == FIGURES, named
        assert set(setup["riding"]) == RIDING, named
        assert set(setup["curve"]) == CURVE
        assert setup["sag"].keys() >= SAG
        assert {frozenset(caution) for caution in setup["cautions"]} == {frozenset({"code", "text"})}
    assert {"rate_lbf_per_in", "sag_fraction", "preload_for_target_mm"} <= coil["buyable"][0].keys()
    assert {"readings_psi", "rounds", "single_fill_psi"} <= air["fill"].keys()
    assert len({len(column) for column in air["curve"].values()}) == 1


def test_numbers_are_in_the_unit_of_their_key_and_pressures_gauge() -> None:
    job = DEMO.with_value(("setup", 0, "rate"), "500 lbf/in").with_value(("setup", 1, "pressure"), "200 psi")
    coil, air = answered(job)["setups"]
    assert coil["rate_lbf_per_in"] == pytest.approx(500)
    assert coil["rate_n_per_mm"] == pytest.approx(87.563, rel=1e-4)
    assert coil["preload_mm"] == pytest.approx(1.875)
    assert air["set_pressure_psi"] == pytest.approx(200)
    assert air["set_pressure_bar"] == pytest.approx(13.78951, rel=1e-5)
    assert air["curve"]["stroke_mm"][-1] == pytest.approx(60)
    assert air["sag"]["wheel_mm"] == pytest.approx(148 * air["sag"]["wheel_fraction"])


@pytest.mark.parametrize(("rate", "state"), [("400 N/mm", "topped_out"), ("12 N/mm", "bottomed_out")])
def test_without_a_sag_point_what_hangs_on_it_is_null_and_never_zero(rate: str, state: str) -> None:
    job = DEMO.with_value(("setup", 0, "rate"), rate).with_value(("setup", 0, "preload_turns"), 6)
    job = job.without(("setup", 0, "bumper_length")).without(("setup", 0, "bumper_force"))
    setup = answered(job)["setups"][0]
    assert setup["state"] == state
    assert {setup["sag"][key] for key in SAG} == {None}
    assert {setup["figures"][key] for key in FIGURES_AT_SAG} == {None}
    assert all(setup["figures"][key] is not None for key in FIGURES - FIGURES_AT_SAG)
    assert state in {caution["code"] for caution in setup["cautions"]}


@pytest.mark.slow
def test_what_a_setup_does_not_have_is_null_or_absent() -> None:
    setups = answered(DEMO)["setups"]
    assert answered(DEMO)["frame"]["residual_mm"] is None
    assert set(setups[0]["curve"]["positive_n"]) == {None}
    assert "fill" not in setups[0]
    assert "ride" not in setups[1]
    single = answered(DEMO.with_value(("setup", 1, "negative"), "none"))["setups"][1]
    assert "fill" not in single
    assert single["equalised_pressure_psi"] is None


@pytest.mark.slow
def test_an_unreachable_target_has_no_pressure_and_no_rounds() -> None:
    heavy = DEMO.with_value(("load", "rider_mass"), "450 kg").with_value(("setup", 1, "bore"), "20 mm")
    heavy = heavy.with_value(("setup", 1, "body"), "15 mm")
    air = answered(heavy)["setups"][1]
    assert air["state"] == "unsolved"
    assert air["set_pressure_psi"] is None
    assert air["fill"] is None
    searched = {caution["code"]: caution["text"] for caution in air["cautions"]}["no_pressure"]
    assert "No pressure up to 1726 psi holds this load" in searched


@pytest.mark.slow
def test_pressures_are_typed_up_to_where_the_law_for_air_ends() -> None:
    pressure: TreePath = ("setup", 1, "pressure")
    highest = answered(DEMO.with_value(pressure, "120 bar"))["setups"][1]
    assert highest["set_pressure_bar"] == pytest.approx(HIGHEST_PRESSURE / 1e5)
    assert {"beyond_pumps", "gas_range"} <= {caution["code"] for caution in highest["cautions"]}
    with pytest.raises(UnusableJob, match="use a pressure from 0 bar to 120 bar"):
        answered(DEMO.with_value(pressure, "121 bar"))


@pytest.mark.slow
def test_a_caution_about_the_frame_reaches_every_setup() -> None:
    found = answered(DEMO.with_value(("frame", "stroke"), "61 mm"))
    for setup in found["setups"]:
        (closure,) = [caution for caution in setup["cautions"] if caution["code"] == "closure"]
        assert "-1.5 %" in closure["text"]


@pytest.mark.slow
def test_the_air_of_the_ride_is_an_object_of_its_own() -> None:
    job = DEMO.with_value(("setup", 1, "pressure"), "200 psi")
    air = answered(job.with_value(("ride", "temperature"), "0 degC"))["setups"][1]
    assert air["ride"]["state"] == "ok"
    # A sealed chamber of 200 psi at 20 degC reads about 185 at 0 degC.
    assert air["ride"]["set_pressure_psi"] == pytest.approx(185, abs=1)
    assert air["ride"]["sag"]["wheel_fraction"] > air["sag"]["wheel_fraction"]
    # A damper without gas is the same everywhere.
    job = job.with_value(("setup", 0, "gas_pressure"), "none").without(("setup", 0, "gas_volume"))
    coil = answered(job.with_value(("ride", "altitude"), "2000 m"))["setups"][0]
    assert coil["ride"]["set_pressure_psi"] is None
    assert coil["ride"]["sag"]["wheel_fraction"] == pytest.approx(coil["sag"]["wheel_fraction"])
