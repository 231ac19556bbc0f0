"""The rows of the table, without a screen."""

from dataclasses import replace

import numpy as np
import pytest

from physics.answer import Answer
from physics.bench import answer
from physics.case import Coil, Setup
from tests.physics.test_bench import AIR, CASE, LBF_IN, PSI, SHOP
from tests.tui.looks import six, two
from tui.job.figures import SAME, Figure, Part, TableRow, change, every_figure, figure_rows
from tui.shop_units import ABSENT, ALL, METRIC, USUAL, Measure, ShopUnits


def rows(found: Answer, units: ShopUnits = USUAL) -> dict[str, TableRow]:
    return {row.key: row for row in figure_rows(found, units) if not row.is_heading}


def figure(key: str) -> Figure:
    return next(figure for figure in every_figure() if figure.name == key)


def test_first_the_state_then_the_parts_of_the_ride_in_order() -> None:
    found = figure_rows(two(), USUAL)
    assert found[0].key == "state"
    assert found[0].values == ("OK", "OK")
    headings = [row.label for row in found if row.is_heading]
    assert headings == [part.value for part in Part if part is not Part.OUT_THERE]


def test_every_value_has_its_unit_in_the_row() -> None:
    for units in ALL:
        for key, row in rows(two(), units).items():
            bare = figure(key).measure in (Measure.RATIO, Measure.COUNT) if key != "state" else True
            assert row.unit or bare, key
    assert rows(two())["set_pressure"].unit == "psi"
    assert rows(two(), METRIC)["set_pressure"].unit == "bar"


def test_values_are_those_of_the_answer() -> None:
    found = two()
    shown = rows(found)
    coil, air = found.setups
    assert coil.coil is not None
    assert air.air is not None
    assert shown["rate"].values == (f"{float(coil.coil.rate) / LBF_IN:.0f}", ABSENT)
    gauge = (float(air.air.set_pressure) - float(SHOP.pressure)) / PSI
    assert shown["set_pressure"].values == (ABSENT, f"{gauge:.0f}")
    assert shown["sag_fraction"].values == ("30.0", "30.0")
    assert shown["sag_fraction"].changes == ("", SAME)


def test_a_change_is_the_difference_of_the_numbers_shown() -> None:
    for units in ALL:
        for row in rows(six(), units).values():
            for value, shown in zip(row.values[1:], row.changes[1:], strict=True):
                if shown not in ("", SAME, ABSENT) and not shown.startswith("x "):
                    assert float(row.values[0]) + float(shown) == pytest.approx(float(value), abs=1e-9), row
                    assert shown[0] in "+-"


def test_a_change_that_does_not_exist_is_a_dash() -> None:
    assert change(figure("rate"), USUAL, 80e3, np.nan) == ABSENT
    assert change(figure("rate"), USUAL, np.nan, 80e3) == ABSENT


def test_rebound_is_compared_by_ratio() -> None:
    found = two()
    first, second = (float(setup.riding.critical_damping) for setup in found.setups)
    assert rows(found)["critical_damping"].changes[1] == f"x {second / first:.2f}"


def test_nothing_is_ever_shown_as_a_number_that_is_none() -> None:
    stiff = answer(replace(CASE, setups=(Setup("stiff", Coil(300e3, 0.02, 25 * LBF_IN)), *CASE.setups)))
    shown = rows(stiff)
    assert shown["state"].values[0] == "tops out"
    assert shown["sag_wheel"].values[0] == ABSENT
    assert shown["natural_frequency"].changes[1:] == (ABSENT, ABSENT)
    every = [text for row in shown.values() for text in (*row.values, *row.changes)]
    assert not [text for text in every if "nan" in text or "inf" in text]


def test_every_state_has_its_words() -> None:
    soft = Setup("soft", Coil(1e3, 0.0, 25 * LBF_IN))
    shown = rows(answer(replace(CASE, setups=(soft,))))
    assert shown["state"].values == ("bottomed out",)
    nothing = replace(CASE.setups[1], spring=replace(AIR, bore=0.010, rod=0.009, body=0.0095))
    unsolved = answer(replace(CASE, setups=(nothing,)))
    assert unsolved.setups[0].state == "unsolved"
    assert rows(unsolved)["state"].values == ("no solution",)


def test_a_pressure_above_the_label_is_marked() -> None:
    limited = replace(AIR, max_pressure=float(SHOP.pressure) + 100 * PSI)
    found = answer(replace(CASE, setups=(CASE.setups[1], Setup("limited", limited))))
    below, above = rows(found)["set_pressure"].values
    assert above == f"!{below}"
    assert rows(found)["set_pressure"].changes == ("", SAME)
