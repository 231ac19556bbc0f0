"""The table of spacers on both sides is the answers one by one."""

from dataclasses import replace

import numpy as np
import pytest

from physics.bench import answer
from physics.case import EqualisedNegative
from physics.limits import HIGHEST_PRESSURE
from physics.shock import air_of, with_pressure
from physics.spacer_table import spacer_table
from tests.physics.examples import PSI, SEA, SETUPS, case_of


def test_every_cell_is_the_answer_with_those_counts() -> None:
    case = case_of(SETUPS["coil"], SETUPS["equalised"])
    table = spacer_table(case, 1)
    assert list(table.positive) == [0, 1, 2, 3, 4, 5]
    assert list(table.negative) == [0, 1, 2, 3, 4]
    spring = air_of(case.setups[1])
    assert isinstance(spring.negative, EqualisedNegative)
    for row, positive in enumerate(table.positive):
        for column, negative in enumerate(table.negative):
            second = replace(spring.negative, spacers=float(negative))
            spaced = replace(spring, positive_spacers=float(positive), negative=second)
            alone = answer(replace(case, setups=(replace(case.setups[1], spring=spaced),))).setups[0]
            assert alone.air is not None
            for found, single in (
                (table.set_pressure, alone.air.set_pressure),
                (table.fast_peak_pressure, alone.air.fast_peak_pressure),
                (table.support_50, alone.riding.support_50),
                (table.bottom_ratio, alone.riding.bottom_ratio),
            ):
                assert found[row, column] == pytest.approx(float(single), rel=1e-9, nan_ok=True)


@pytest.mark.parametrize("name", ["mechanical", "none", "separate"])
def test_other_negatives(name: str) -> None:
    table = spacer_table(case_of(SETUPS[name]), 0)
    assert list(table.negative) == (list(range(8)) if name == "separate" else [0])
    assert np.all(np.diff(table.bottom_ratio[:, 0]) > 0)


def test_a_typed_pressure_gives_way_to_the_target() -> None:
    typed = with_pressure(SETUPS["equalised"], 100 * PSI + SEA)
    assert spacer_table(case_of(typed), 0).set_pressure == pytest.approx(
        spacer_table(case_of(SETUPS["equalised"]), 0).set_pressure, nan_ok=True
    )


def test_the_label_is_marked_where_it_forbids() -> None:
    free = spacer_table(case_of(SETUPS["equalised"]), 0)
    assert not free.over_label.any()
    limit = float(np.nanmedian(free.set_pressure))
    spring = replace(air_of(SETUPS["equalised"]), max_pressure=limit)
    table = spacer_table(case_of(replace(SETUPS["equalised"], spring=spring)), 0)
    assert table.over_label.any()
    assert np.array_equal(table.over_label, table.set_pressure > limit)


def test_a_chamber_squeezed_beyond_the_law_is_marked() -> None:
    table = spacer_table(case_of(SETUPS["equalised"]), 0)
    assert table.beyond_law[-1].all()
    assert not table.beyond_law[0].any()
    assert np.array_equal(table.beyond_law, table.fast_peak_pressure > HIGHEST_PRESSURE)


def test_a_side_whose_spacers_have_no_volume_keeps_its_count() -> None:
    spring = replace(air_of(SETUPS["none"]), positive_spacer_volume=0.0)
    assert list(spacer_table(case_of(replace(SETUPS["none"], spring=spring)), 0).positive) == [1]


def test_a_coil_has_none() -> None:
    with pytest.raises(TypeError):
        spacer_table(case_of(SETUPS["coil"]), 0)
