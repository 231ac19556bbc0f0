"""Every array of an answer is found, can be changed, and is read-only."""

from dataclasses import replace

import numpy as np
import pytest

from physics.answer import arrays_in, mapped
from physics.arrays import NONE, values
from physics.bench import answer
from physics.case import Coil, Setup
from tests.physics.examples import COLD_PASS, SETUPS, STAGES, case_of


def test_an_answer_cannot_be_written_to() -> None:
    found = answer(replace(case_of(*SETUPS.values()), ride=COLD_PASS))
    arrays = [array for array in arrays_in(found) if array.ndim]
    assert len(arrays) > 7 * 14
    assert not any(array.flags.writeable for array in arrays)
    with pytest.raises(ValueError, match="read-only"):
        found.setups[0].curve.shaft_force[0] = 0.0
    with pytest.raises(TypeError, match="assignment"):
        NONE[()] = 0.0


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
