"""Every figure has words that fit, and reads the number it is named after."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from physics import gas
from physics.answer import Figures, Riding
from physics.bench import answer
from physics.case import Ambient, Coil, Setup
from physics.stand import stand
from physics.sweep import figure_of, swept_setup
from tests.physics.test_bench import AIR, CASE, LBF_IN, PSI, SHOP
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.figures import (
    FIGURES,
    STATE_KEY,
    STATE_MEANING,
    SWEPT,
    WANTED,
    Part,
    every_figure,
    figure_called,
    figure_named,
    figure_rows,
    figures_for,
    meaning_of,
    read_figure,
)
from tui.shop_units import KEY_UNITS, USUAL, Measure
from tui.subjects.answers import answer_object

LONGEST_LABEL = 17
"""Columns that a label may take."""
LONGEST_MEANING = 150
"""Letters that a meaning may take: two lines of the smallest screen."""
ANSWER = answer(CASE)
COIL, AIR_SETUP = ANSWER.setups


def read(key: str, setup: int = 1) -> float:
    figure = next(figure for figure in every_figure() if figure.name == key)
    return read_figure(figure, ANSWER.setups[setup], ANSWER)


def test_labels_and_meanings_fit_the_smallest_screen_in_plain_ascii() -> None:
    for figure in every_figure():
        assert 0 < len(figure.label) <= LONGEST_LABEL, figure.name
        assert 40 < len(figure.meaning) <= LONGEST_MEANING, figure.name
        assert (figure.label + figure.meaning + figure.per).isascii(), figure.name
        assert figure.meaning.endswith("."), figure.name
    assert len(STATE_MEANING) <= LONGEST_MEANING


def test_keys_and_labels_are_used_once() -> None:
    found = every_figure()
    assert len({figure.name for figure in found}) == len({figure.label for figure in found}) == len(found)
    assert STATE_KEY not in {figure.name for figure in found}


def test_labels_cut_by_the_narrowest_table_stay_apart() -> None:
    found = every_figure()
    assert len({figure.label[:13] for figure in found}) == len(found)


def test_the_parts_stand_together_in_the_order_of_the_ride() -> None:
    parts = [figure.part for figure in every_figure()]
    order = [part for index, part in enumerate(parts) if index == 0 or parts[index - 1] is not part]
    assert order == list(Part)


def test_every_figure_of_the_answer_is_in_the_table() -> None:
    # Each field of the answer's figures is put to a number of its own and looked for.
    slow = {name: 1000.0 + place for place, name in enumerate(Figures.__dataclass_fields__)}
    ridden = {name: 2000.0 + place for place, name in enumerate(Riding.__dataclass_fields__)}
    marked = replace(
        AIR_SETUP,
        figures=Figures(**{name: np.asarray(number) for name, number in slow.items()}),
        riding=Riding(**{name: np.asarray(number) for name, number in ridden.items()}),
    )
    assert {*slow.values(), *ridden.values()} <= {read_figure(figure, marked, ANSWER) for figure in FIGURES}
    seen = {read_figure(figure, marked, ANSWER) for figure in every_figure()}
    # The natural frequency of the riding curve is the fast one.
    assert AIR_SETUP.riding.natural_frequency == AIR_SETUP.figures.fast_natural_frequency
    slow.pop("fast_natural_frequency")
    assert {*slow.values(), *ridden.values()} <= seen


def test_what_rides_is_not_mixed_with_what_moves_slowly() -> None:
    ridden = {
        figure.name: figure
        for figure in every_figure()
        if figure.part in (Part.MIDDLE, Part.END, Part.TIMING)
    }
    slow = [figure for figure in every_figure() if figure.part is Part.SLOW]
    assert len(slow) == 16
    for figure in slow:
        here = read_figure(figure, AIR_SETUP, ANSWER)
        twin = figure.name.removeprefix("slow_") if figure.name != "rate_at_sag" else "fast_rate_at_sag"
        there = read_figure(ridden[twin], AIR_SETUP, ANSWER)
        # Air from sag on is firmer as it rides; where it is softest, and its bend, may agree.
        may_agree = figure.name in ("slow_softest_at_wheel", "slow_chord_deviation")
        assert np.isnan(there) or may_agree or there > here, figure.name
        assert "slow" in figure.label
        assert np.isnan(read_figure(figure, COIL, ANSWER))
    assert list(Part)[-1] is Part.SLOW


def test_a_name_means_the_same_figure_here_and_in_a_sweep() -> None:
    # Pressures are gauge here and absolute there.
    swept = swept_setup(AIR_SETUP.setup, stand(CASE)), swept_setup(COIL.setup, stand(CASE))
    for name in SWEPT:
        figure = figure_named(name)
        for setup, there in zip((AIR_SETUP, COIL), swept, strict=True):
            if setup.kind in figure.kinds:
                here = read_figure(figure, setup)
                assert here == pytest.approx(float(figure_of(there, name)), rel=1e-12, nan_ok=True), name
    assert set(WANTED) < set(SWEPT)


def test_every_figure_of_the_answer_has_its_key_in_the_json() -> None:
    found = answer_object(answer_job(demo_job()))["setups"][1]
    for figure in FIGURES:
        place, _, field = figure.where.rpartition(".")
        if figure.in_json and place in ("figures", "riding", "sag"):
            here = found[place]
        elif figure.in_json and place == "air":
            here = found
        else:
            continue
        units = KEY_UNITS.get(figure.measure, {})
        assert [key for key in here if key in {field, *(f"{field}{end}" for end in units)}], figure.name


@pytest.mark.parametrize(("key", "psi"), [("equalised_pressure", 270.99088), ("peak_pressure", 898.5425)])
def test_pressures_are_gauge(key: str, psi: float) -> None:
    assert read(key) / PSI == pytest.approx(psi, rel=1e-2)


def test_push_less_pull_and_friction_make_the_starting_force() -> None:
    assert read("negative") > 0
    force = max(0.0, read("positive") - read("negative")) + 30.0
    assert read("starting_shaft") == pytest.approx(force, rel=1e-9)
    assert read("starting_wheel") == pytest.approx(force / float(ANSWER.frame.leverage_start), rel=1e-9)


def test_a_figure_of_the_other_kind_does_not_exist() -> None:
    for figure in every_figure():
        for setup in ANSWER.setups:
            if setup.kind not in figure.kinds:
                assert np.isnan(read_figure(figure, setup, ANSWER)), figure.name


def test_the_limit_of_the_label_is_a_gauge_reading_and_absent_where_unknown() -> None:
    assert np.isnan(read("max_pressure"))
    limited = replace(AIR, max_pressure=float(SHOP.pressure) + 300 * PSI)
    found = answer(replace(CASE, setups=(Setup("limited", limited),)))
    figure = next(figure for figure in every_figure() if figure.name == "max_pressure")
    assert read_figure(figure, found.setups[0], found) / PSI == pytest.approx(300.0)


def test_only_what_these_setups_can_have_is_offered() -> None:
    coil_keys = {figure.name for figure in figures_for((COIL,))}
    assert "rate" in coil_keys
    assert "set_pressure" not in coil_keys
    assert "ride_sag_fraction" not in {figure.name for figure in figures_for(ANSWER.setups)}


def test_the_gauge_of_the_ride_reads_against_the_air_of_the_ride() -> None:
    high = Ambient(SHOP.temperature, float(gas.standard_pressure(2000.0)))
    found = answer(replace(CASE, ride=high))
    shown = {figure.name: read_figure(figure, found.setups[1], found) for figure in figures_for(found.setups)}
    # The same warm air in the same chamber: only what presses on the gauge from outside is less.
    assert shown["ride_set_pressure"] - shown["set_pressure"] == pytest.approx(SHOP.pressure - high.pressure)


def test_a_support_above_the_sag_says_so() -> None:
    case = answer(replace(CASE, target=replace(CASE.target, sag=0.29)))
    shallow = answer(replace(CASE, target=replace(CASE.target, sag=0.20)))
    for found, expected in ((case, True), (shallow, False)):
        rows = {row.key: row for row in figure_rows(found, USUAL)}
        for place in range(len(found.setups)):
            assert (rows["support_25"].values[place] == "sag") == expected
            assert rows["support_50"].values[place] not in ("sag", "-")
    # A wheel that does not settle has its own words.
    soft = answer(replace(CASE, setups=(Setup("soft", Coil(30 * LBF_IN, 0.0, 25 * LBF_IN)),)))
    rows = {row.key: row for row in figure_rows(soft, USUAL)}
    assert rows["support_25"].values == ("-",)
    assert rows["state"].values != ("OK",)


def test_forces_say_where_they_are_and_pressures_when() -> None:
    labels = {figure.name: figure.label for figure in every_figure()}
    assert labels["bottom_wheel_force"] == "bottom-out, wheel"
    assert labels["fast_bottom_shaft"] == "bottom-out, shaft"
    assert labels["starting_wheel"] == "breakaway, wheel"
    # Two pressures of chambers that are equalised: at the port, and what remains at full extension.
    assert labels["equalised_pressure"] == "pressure at port"
    assert "Less remains at full extension: the set pressure." in meaning_of("equalised_pressure")[1]
    assert read("equalised_pressure") > read("set_pressure")


def test_the_state_has_a_meaning_as_every_figure_has() -> None:
    assert meaning_of(STATE_KEY) == ("state", STATE_MEANING)
    assert meaning_of("drop_height")[0] == "undamped drop"
    with pytest.raises(KeyError):
        meaning_of("nothing")


def test_a_typed_rate_is_read_in_newtons_per_metre() -> None:
    found = answer(replace(CASE, setups=(Setup("typed", Coil(450 * LBF_IN, 0.0, 25 * LBF_IN)),)))
    figure = next(figure for figure in every_figure() if figure.name == "rate")
    assert figure.measure is Measure.SPRING_RATE
    assert read_figure(figure, found.setups[0], found) == pytest.approx(450 * LBF_IN)


def test_every_figure_that_the_readme_names_is_in_the_table() -> None:
    readme = " ".join((Path(__file__).parents[3] / "README.md").read_text().split())
    asked = re.findall(r"--figure ([a-z_0-9.]+)", readme) + re.findall(r"\b([a-z_0-9.]+)(?:>=|<=)\d", readme)
    listed = re.search(r"figures the names of the JSON, with or without their unit \(([^)]*)\)", readme)
    assert listed is not None
    asked += re.findall(r"`([^`]+)`", listed[1])
    assert len(asked) >= 4
    assert [name for name in asked if figure_called(name, SWEPT) is None] == []
