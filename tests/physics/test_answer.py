"""Every array of an answer is found, can be changed, and is read-only."""

import copy
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from physics import bench
from physics.air import charge
from physics.answer import arrays_in, mapped
from physics.arrays import NONE, values
from physics.bench import answer
from physics.case import Coil, EqualisedNegative, Setup, Target
from physics.fill import fill
from tests.physics.examples import BARE_AIR, COLD_PASS, LEVERAGES, LOAD, SETUPS, SHOP, STAGES, case_of


def test_an_answer_cannot_be_written_to() -> None:
    found = answer(replace(case_of(*SETUPS.values()), ride=COLD_PASS))
    arrays = [array for array in arrays_in(found) if array.ndim]
    assert len(arrays) > 7 * 14
    assert not any(array.flags.writeable for array in arrays)
    with pytest.raises(ValueError, match="read-only"):
        found.setups[0].curve.shaft_force[0] = 0.0
    with pytest.raises(TypeError, match="assignment"):
        NONE[()] = 0.0


def test_a_setup_that_stays_as_it_was_keeps_its_answer_while_nothing_around_it_changes() -> None:
    coil, air = SETUPS["coil"], SETUPS["equalised"]
    case = case_of(coil, air)
    first, other = answer(case), answer(replace(case, setups=(replace(coil, friction=40.0), air)))
    assert other.setups[1] is first.setups[1]
    assert other.setups[0].sag.band_high > first.setups[0].sag.band_high
    for changed in (
        replace(case, load=replace(LOAD, unsprung_mass=4.0)),
        replace(case, target=Target(0.25, "travel")),
        replace(case, shop=replace(case.shop, temperature=283.15)),
        replace(case, frame=replace(case.frame, leverage=LEVERAGES["middle"])),
        replace(case, ride=COLD_PASS),
    ):
        found = answer(changed).setups[1]
        assert [float(array) for array in arrays_in(found.at_once)] != [
            float(array) for array in arrays_in(first.setups[1].at_once)
        ] or found.ride is not None


def test_what_few_views_show_is_worked_out_when_it_is_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []

    def told(name: str, work: Callable[..., object]) -> Callable[..., object]:
        def tells(*parts: object) -> object:
            asked.append(name)
            return work(*parts)

        return tells

    for name in ("at_once", "curve"):
        monkeypatch.setattr(bench, name, told(name, getattr(bench, name)))
    found = answer(replace(case_of(SETUPS["equalised"]), shop=replace(SHOP, temperature=291.0))).setups[0]
    assert found.riding.bottom_ratio > found.figures.bottom_ratio > 1
    assert found.curve.stroke[-1] == pytest.approx(0.060)
    assert not asked
    assert 0 < found.at_once.wheel < found.sag.wheel
    assert found.at_once.settling_time > 0
    assert found.curve.wheel_force[-1] == pytest.approx(float(found.figures.bottom_wheel_force))
    assert found.curve.riding_wheel_force[-1] == pytest.approx(float(found.riding.bottom_wheel_force))
    assert asked == ["at_once", "curve"]


def test_a_part_that_waits_is_equal_to_itself_copied_and_replaced_and_knows_no_other_field() -> None:
    found = answer(case_of(SETUPS["equalised"])).setups[0]
    assert copy.deepcopy(found.at_once) == found.at_once
    later = replace(answer(case_of(SETUPS["mechanical"])).setups[0].at_once, settling_time=values(1.0))
    assert later.settling_time == 1.0
    assert later.wheel > 0
    waits = answer(replace(case_of(SETUPS["none"]), target=Target(0.29, "travel"))).setups[0].at_once
    with pytest.raises(AttributeError, match="weight"):
        waits.weight  # type: ignore[attr-defined]  # noqa: B018


def test_the_rounds_of_filling_hold_or_not_whether_they_were_counted_or_not() -> None:
    for port in (0.002, 0.009, 0.030, 0.058):
        for volume in (20e-6, 60e-6, 200e-6):
            negative = EqualisedNegative(volume, 0, 4e-6, port)
            spring = replace(BARE_AIR, negative=negative, pressure=12e5, max_pressure=15e5)
            air = answer(case_of(Setup("air", spring))).setups[0].air
            assert air is not None
            assert air.fill is not None
            counted = fill(spring, charge(spring, 12e5, SHOP), SHOP)
            assert air.fill.holds == counted.holds
            assert air.fill.one_go == pytest.approx(float(counted.one_go), rel=1e-12)
            assert air.fill.single_fill == pytest.approx(float(counted.single_fill), rel=1e-12, nan_ok=True)
            assert air.fill.rounds == counted.rounds


def test_what_was_given_stays_the_givers() -> None:
    stages = values([0.0, 0.03])
    coil = replace(STAGES, stage_start=stages)
    found = answer(case_of(Setup("stages", coil)))
    stages[1] = 0.025
    spring = found.setups[0].setup.spring
    assert isinstance(spring, Coil)
    assert spring.stage_start is stages


def test_every_array_can_be_changed() -> None:
    found = answer(case_of(SETUPS["equalised"]))
    doubled = mapped(found, lambda array: values(2 * array))
    assert doubled.setups[0].sag.wheel == pytest.approx(2 * float(found.setups[0].sag.wheel))
    assert doubled.setups[0].setup == found.setups[0].setup
    before, after = list(arrays_in(found)), list(arrays_in(doubled))
    for old, new in zip(before, after, strict=True):
        assert np.allclose(new, 2 * old, equal_nan=True)
