"""Every array of an answer is found, can be changed, and is read-only."""

from dataclasses import replace

import numpy as np
import pytest

from physics.answer import arrays_in, mapped
from physics.arrays import NONE, values
from physics.bench import answer
from physics.case import Coil, Setup, Target
from tests.physics.examples import COLD_PASS, LEVERAGES, LOAD, SETUPS, STAGES, case_of


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
