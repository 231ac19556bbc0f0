"""A job file to a case, and every fault of a bad one at once."""

from dataclasses import replace

import numpy as np
import pytest

from physics.case import (
    Air,
    Coil,
    EqualisedNegative,
    Fork,
    LeverageEnds,
    RiderAndBike,
    ScaleReading,
    SeparateNegative,
)
from tui.job.case import case_of
from tui.job.faults import UnusableJob, dotted
from tui.job.job import parse
from tui.job.reading import Reading, read

JOB = """
format = 1
title = "Trail bike, stand 3"
[load]
rider_mass = "85 kg"
rider_share = 0.62
bike_mass = "15.5 kg"
bike_share = 0.50
unsprung_mass = "4.2 kg"
[frame]
wheel_travel = "150 mm"
stroke = "60 mm"
eye_to_eye = "230 mm"
[frame.leverage]
kind = "ends"
start = 2.80
end = 2.25
[target]
sag = "30 %"
of = "travel"
[ambient]
temperature = "20 degC"
altitude = "0 m"
[[setup]]
name = "coil"
kind = "coil"
rate = "solve"
preload = "1 mm"
friction = "12 N"
[[setup]]
name = "air"
kind = "air"
pressure = "solve"
bore = "40 mm"
rod = "9 mm"
body = "27 mm"
positive_volume = "105 cm3"
positive_spacers = 1
positive_spacer_volume = "6 cm3"
negative = "equalised"
negative_volume = "20 cm3"
negative_spacers = 0
negative_spacer_volume = "4 cm3"
port = "6 mm"
friction = "30 N"
"""
PSI = 6894.757293168361


def read_job(text: str) -> Reading:
    return read(parse(text))


def faults(text: str) -> dict[str, tuple[str, str]]:
    with pytest.raises(UnusableJob) as caught:
        read_job(text)
    return {dotted(fault.path): (fault.what, fault.accepted) for fault in caught.value.faults}


def changed(old: str, new: str) -> str:
    assert old in JOB
    return JOB.replace(old, new)


def test_example_job_becomes_its_case() -> None:
    case = case_of(read_job(JOB))
    assert case.load == RiderAndBike(85.0, 0.62, 15.5, 0.5, 4.2)
    assert (case.frame.wheel_travel, case.frame.stroke) == (0.15, 0.06)
    assert case.frame.leverage == LeverageEnds(2.8, 2.25)
    assert (case.target.sag, case.target.of) == (0.3, "travel")
    assert case.shop.temperature == 293.15
    assert case.shop.pressure == pytest.approx(101325.0)
    coil, air = case.setups
    assert isinstance(coil.spring, Coil)
    assert isinstance(air.spring, Air)
    assert (coil.spring.rate, coil.spring.preload, coil.friction) == (None, 0.001, 12.0)
    assert (air.spring.pressure, air.spring.bore, air.spring.positive_spacers) == (None, 0.04, 1.0)
    assert air.spring.negative == EqualisedNegative(2e-5, 0.0, 4e-6, 0.006)


def test_gauge_pressures_become_absolute_in_the_air_of_the_shop() -> None:
    text = changed('pressure = "solve"', 'pressure = "215 psi"\nmax_pressure = "300 psi"')
    text = text.replace('negative = "equalised"', 'negative = "separate"\nnegative_pressure = "150 psi"')
    case = case_of(read_job(text.replace('"0 m"', '"2000 m"')))
    spring = case.setups[1].spring
    assert isinstance(spring, Air)
    assert isinstance(spring.negative, SeparateNegative)
    assert case.shop.pressure == pytest.approx(79495.0, rel=1e-4)
    assert spring.pressure == pytest.approx(215 * PSI + case.shop.pressure)
    assert spring.max_pressure == pytest.approx(300 * PSI + case.shop.pressure)
    assert spring.negative.pressure == pytest.approx(150 * PSI + case.shop.pressure)


@pytest.mark.slow
def test_every_fault_is_told_at_once() -> None:
    text = JOB.replace("format = 1", "format = 2").replace('"85 kg"', "85").replace("stroke =", "strok =")
    text = text.replace('"60 mm"', '"60 kg"').replace('"12 N"', '"12 mm"').replace("bore =", "boar =")
    assert set(faults(text)) == {
        "format",
        "load.rider_mass",
        "frame.stroke",
        "frame.strok",
        "setup.0.friction",
        "setup.1.bore",
        "setup.1.boar",
    }


def test_unknown_key_names_the_nearest() -> None:
    assert faults(changed("bike_mass", "bike_mas"))["load.bike_mas"] == (
        "unknown key",
        "the nearest known key is bike_mass",
    )


def test_of_many_faults_of_one_kind_the_first_are_told_and_the_rest_counted() -> None:
    many = "".join(f"[zz{one}]\na = 1\n" for one in range(500))
    found = faults(f"{JOB}\n{many}")
    assert found["file"] == ("480 more unknown keys", "use a job file")
    assert len([path for path in found if path.startswith("zz")]) == 20
    keys = ", ".join(f'"k{one}"' for one in range(300))
    found = faults(changed("[target]", f"[target]\nunconfirmed = [{keys}]"))
    assert found["target.unconfirmed"] == ("280 more are not keys of this table", "remove them")


def test_more_setups_than_are_taken_are_one_fault() -> None:
    setup = '[[setup]]\nname = "s{}"\nkind = "coil"\nrate = "400 lbf/in"\n'
    found = faults(JOB[: JOB.index("[[setup]]")] + "".join(setup.format(one) for one in range(300)))
    assert found == {"setup": ("300 setups are too many", "use up to 20 [[setup]]")}


def test_bare_number_where_a_unit_is_due() -> None:
    what, accepted = faults(changed('"150 mm"', "150"))["frame.wheel_travel"]
    assert "no unit" in what
    assert '"150 mm"' in accepted


@pytest.mark.parametrize(
    ("old", "new", "path"),
    [
        ("rider_share = 0.62", "rider_share = 1.2", "load.rider_share"),
        ("rider_share = 0.62", "rider_share = true", "load.rider_share"),
        ("rider_share = 0.62", "rider_share = nan", "load.rider_share"),
        ('"150 mm"', '"-150 mm"', "frame.wheel_travel"),
        ('sag = "30 %"', 'sag = "130 %"', "target.sag"),
        ('of = "travel"', 'of = "air"', "target.of"),
        ('kind = "ends"', 'kind = "linkages"', "frame.leverage.kind"),
        ('kind = "coil"', 'kind = "leaf"', "setup.0.kind"),
        ("positive_spacers = 1", "positive_spacers = 1.5", "setup.1.positive_spacers"),
        ('port = "6 mm"', "", "setup.1.port"),
        ('rate = "solve"', "", "setup.0.rate"),
        ('preload = "1 mm"', "preload_turns = 1.0", "setup.0.thread_pitch"),
        ("format = 1", "", "format"),
    ],
)
def test_one_fault_at_its_place(old: str, new: str, path: str) -> None:
    assert set(faults(changed(old, new))) == {path}


def test_empty_and_broken_files_are_faults() -> None:
    assert {"format", "load.rider_mass", "frame.stroke", "frame.leverage", "target.sag", "setup"} <= set(
        faults("")
    )
    assert set(faults("format = = 1")) == {"file"}
    assert "frame" in faults("format = 1\nframe = 3")


def test_scale_stands_for_the_four_lines() -> None:
    job = read_job(JOB)
    load = case_of(replace(job, load={"scale_mass": 60.45, "unsprung_mass": 4.2})).load
    assert load == ScaleReading(60.45, 4.2)
    assert "load.rider_mass" in faults(
        changed("[frame]\n", "x = 1\n[frame]\n").replace("x = 1", 'scale_mass = "60 kg"')
    )


def test_fork_takes_the_other_share_of_a_posture() -> None:
    job = read_job(JOB)
    load = dict(job.load)
    del load["rider_share"]
    front = case_of(
        replace(job, load=load | {"posture": "standing"}, leverage={"kind": "fork", "head_angle": 1.1})
    )
    rear = case_of(replace(job, load=load | {"posture": "standing"}))
    assert isinstance(front.load, RiderAndBike)
    assert isinstance(rear.load, RiderAndBike)
    assert front.frame.leverage == Fork(1.1)
    assert front.load.rider_share + rear.load.rider_share == pytest.approx(1.0)


def test_stages_and_turns() -> None:
    text = changed('rate = "solve"', "stages = { compression_mm = [0, 30], rate_n_per_mm = [80, 95] }")
    text = text.replace('preload = "1 mm"', 'preload_turns = 1.5\nthread_pitch = "1 mm"')
    coil = case_of(read_job(text)).setups[0].spring
    assert isinstance(coil, Coil)
    assert coil.stage_start is not None
    np.testing.assert_allclose(coil.stage_start, [0.0, 0.03])
    assert coil.rate is None
    assert coil.preload == pytest.approx(0.0015)


def test_a_fault_is_one_printable_line() -> None:
    with pytest.raises(UnusableJob) as caught:
        read_job(changed("sag =", '"a\\nb\\u001b" ='))
    assert all(str(fault).isprintable() for fault in caught.value.faults)
