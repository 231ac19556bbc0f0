"""What the job file takes beyond the plain masses: a centre of mass, the air of the ride, a list of coils."""

import math

import numpy as np
import pytest

from physics.case import Coil, MassCentre
from tui.job.answer import answer_job
from tui.job.case import case_of
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob, dotted
from tui.job.job import Job
from tui.job.reading import read

GEOMETRY = {"wheelbase": "1230 mm", "mass_behind_front": "700 mm", "mass_height": "1.05 m", "slope": "8 deg"}


def faults(job: Job) -> dict[str, str]:
    with pytest.raises(UnusableJob) as caught:
        answer_job(job)
    return {dotted(fault.path): f"{fault.what}; {fault.accepted}" for fault in caught.value.faults}


def on_a_slope() -> Job:
    job = demo_job().without(("load", "posture")).without(("load", "bike_share"))
    return job.with_value(("load", "geometry"), GEOMETRY)


def test_a_centre_of_mass_loads_the_wheel_of_the_shock() -> None:
    load = case_of(read(on_a_slope())).load
    assert load == MassCentre(97.0, 1.23, 0.7, 1.05, math.radians(8), "rear", 4.3)
    front = on_a_slope().without(("front",)).with_value(("load", "geometry", "wheel"), "front")
    rear_force, front_force = (
        float(answer_job(job).answer.load.ground_reaction) for job in (on_a_slope(), front)
    )
    assert rear_force + front_force == pytest.approx(97.0 * 9.80665 * math.cos(math.radians(8)))
    rear_share = (0.7 * math.cos(math.radians(8)) - 1.05 * math.sin(math.radians(8))) / 1.23
    assert rear_force == pytest.approx(97.0 * 9.80665 * rear_share)


def test_a_centre_of_mass_replaces_the_shares_and_nothing_else() -> None:
    both = on_a_slope().with_value(("load", "posture"), "seated")
    assert set(faults(both)) == {"load.posture"}
    assert set(faults(on_a_slope().without(("load", "rider_mass")))) == {"load.rider_mass"}
    assert set(faults(on_a_slope().without(("load", "geometry", "wheelbase")))) == {"load.geometry.wheelbase"}
    unknown = on_a_slope().with_value(("load", "geometry", "mass_hight"), "1 m")
    assert "mass_height" in faults(unknown)["load.geometry.mass_hight"]


def test_the_air_of_the_ride_starts_from_the_air_of_the_shop() -> None:
    assert case_of(read(demo_job())).ride is None
    cold = case_of(read(demo_job().with_value(("ride", "temperature"), "-5 degC")))
    assert cold.ride is not None
    assert cold.ride.temperature == pytest.approx(268.15)
    assert cold.ride.pressure == cold.shop.pressure
    high = case_of(read(demo_job().with_value(("ride",), {"altitude": "2000 m"})))
    assert high.ride is not None
    assert high.ride.pressure < 80_000 < high.shop.pressure
    assert set(faults(demo_job().with_value(("ride", "altitude"), "20 km"))) == {"ride.altitude"}


def test_coils_can_be_a_list_instead_of_a_step() -> None:
    job = demo_job().without(("setup", 0, "ladder_step"))
    listed = job.with_value(("setup", 0, "ladder_lbf_per_in"), (350, 430, 500))
    coil = case_of(read(listed)).setups[0].spring
    assert isinstance(coil, Coil)
    assert coil.ladder is not None
    np.testing.assert_allclose(coil.ladder / 175.126835246, [350, 430, 500])
    answered = answer_job(listed).answer.setups[0].coil
    assert answered is not None
    assert [round(float(choice.rate) / 175.126835246) for choice in answered.buyable] == [350, 430]
    wrong = demo_job().with_value(("setup", 0, "ladder_lbf_per_in"), (430, 350))
    assert set(faults(wrong)) == {"setup.0.ladder_step", "setup.0.ladder_lbf_per_in.1"}


def test_lengths_that_contradict_each_other() -> None:
    job = demo_job().with_value(("frame", "eye_to_eye"), "60 mm")
    job = job.with_value(("setup", 0, "solid_length"), "160 mm")
    assert set(faults(job)) == {"frame.eye_to_eye", "setup.0.solid_length"}
    stages = {"compression_mm": (5, 30), "rate_n_per_mm": (80, 95)}
    staged = demo_job().without(("setup", 0, "rate")).with_value(("setup", 0, "stages"), stages)
    assert "start at 0" in faults(staged)["setup.0.stages.compression_mm"]


def test_a_typed_fault_hides_no_physical_one_elsewhere() -> None:
    job = demo_job().with_value(("setup", 0, "friction"), "12 mm")
    job = job.with_value(("load", "unsprung_mass"), "80 kg").with_value(
        ("setup", 1, "positive_volume"), "60 cm3"
    )
    assert set(faults(job)) == {"setup.0.friction", "load.unsprung_mass", "setup.1.positive_volume"}
    twice = demo_job().with_value(("frame", "stroke"), "75 mm").with_value(("load", "unsprung_mass"), "80 kg")
    assert set(faults(twice)) == {"frame.stroke", "load.unsprung_mass"}


def test_ranges_are_told_in_the_unit_that_was_typed() -> None:
    said = faults(
        demo_job()
        .with_value(("load", "rider_mass"), "9000 lb")
        .with_value(("frame", "stroke"), "0.5 mm")
        .with_value(("setup", 1, "port"), "-1 mm")
        .with_value(("load", "bike_share"), 1.4)
        .with_value(("target", "sag"), "130 %")
    )
    assert said == {
        "load.rider_mass": '"9000 lb" is out of range; use a mass above 0 lb and up to 1102 lb',
        "frame.stroke": '"0.5 mm" is out of range; use a length from 1 mm to 600 mm',
        "setup.1.port": '"-1 mm" is out of range; use a length from 0 mm to 600 mm',
        "load.bike_share": ('1.4 is out of range; use a fraction from 0 to 1, such as "30 %" or 0.30'),
        "target.sag": '"130 %" is out of range; use a fraction above 0 % and up to 99 %',
    }


def test_a_comma_is_read_as_the_one_thing_that_makes_sense() -> None:
    load = read(demo_job().with_value(("load", "rider_mass"), "60,450 kg")).load
    assert load["rider_mass"] == pytest.approx(60.45)
    frame = read(demo_job().with_value(("frame", "wheel_travel"), "148,000 mm")).frame
    assert frame["wheel_travel"] == pytest.approx(0.148)
    doubtful = demo_job().with_value(("setup", 0, "bumper_force"), "1,800 N")
    said = faults(doubtful)["setup.0.bumper_force"]
    assert '"1800"' in said
    assert '"1.800"' in said


def test_a_fault_in_an_array_names_the_number() -> None:
    table = {"kind": "table", "travel_mm": (0, 60, 50, 148), "ratio": (2.8, "2.6", 0, 2.2)}
    said = faults(demo_job().with_value(("frame", "leverage"), table))
    assert said == {
        "frame.leverage.travel_mm.2": "not above the previous one; use increasing numbers",
        "frame.leverage.ratio.1": '"2.6" cannot be used; use a number from 0.1 to 10, no unit',
        "frame.leverage.ratio.2": "0 cannot be used; use a number from 0.1 to 10, no unit",
    }
    short = demo_job().with_value(("frame", "leverage"), table | {"ratio": (2.8,), "travel_mm": (0, 148)})
    assert "2 to 1000" in faults(short)["frame.leverage.ratio"]


def test_a_bare_thirty_is_shown_its_percent_sign() -> None:
    said = faults(demo_job().with_value(("target", "sag"), "30"))["target.sag"]
    assert said == ('"30" is out of range; use a fraction above 0 and up to 0.99, such as "30 %" or 0.30')
