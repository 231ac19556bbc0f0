"""Every figure has words that fit, and reads the number it is named after."""

from dataclasses import replace

import numpy as np
import pytest

from physics import gas
from physics.answer import Figures, Riding
from physics.bench import answer
from physics.case import Ambient, Coil, Setup
from tests.physics.test_bench import AIR, CASE, LBF_IN, PSI, SHOP
from tui.job.figures import (
    LONGEST_LABEL,
    LONGEST_MEANING,
    STATE_KEY,
    STATE_MEANING,
    STATES,
    Part,
    every_figure,
    figures_for,
    meaning_of,
    read_figure,
)
from tui.shop_units import Measure

ANSWER = answer(CASE)
COIL, AIR_SETUP = ANSWER.setups


def read(key: str, setup: int = 1) -> float:
    figure = next(figure for figure in every_figure() if figure.key == key)
    return read_figure(figure, ANSWER.setups[setup], ANSWER)


def test_labels_and_meanings_fit_the_smallest_screen_in_plain_ascii() -> None:
    for figure in every_figure():
        assert 0 < len(figure.label) <= LONGEST_LABEL, figure.key
        assert 40 < len(figure.meaning) <= LONGEST_MEANING, figure.key
        assert (figure.label + figure.meaning + figure.per).isascii(), figure.key
        assert figure.meaning.endswith("."), figure.key
    assert len(STATE_MEANING) <= LONGEST_MEANING


def test_keys_and_labels_are_used_once() -> None:
    found = every_figure()
    assert len({figure.key for figure in found}) == len({figure.label for figure in found}) == len(found)
    assert STATE_KEY not in {figure.key for figure in found}


def test_labels_cut_by_the_narrowest_table_stay_apart() -> None:
    found = every_figure()
    assert len({figure.label[:11] for figure in found}) == len(found)


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
    seen = {read_figure(figure, marked, ANSWER) for figure in every_figure()}
    # The natural frequency of the riding curve is the fast one.
    assert AIR_SETUP.riding.natural_frequency == AIR_SETUP.figures.fast_natural_frequency
    slow.pop("fast_natural_frequency")
    assert {*slow.values(), *ridden.values()} <= seen


def test_what_rides_is_not_mixed_with_what_moves_slowly() -> None:
    ridden = {
        figure.key: figure for figure in every_figure() if figure.part in (Part.MIDDLE, Part.END, Part.TIMING)
    }
    slow = [figure for figure in every_figure() if figure.part is Part.SLOW]
    assert {figure.key for figure in slow} <= {f"slow_{key}" for key in ridden}
    for figure in slow:
        here = read_figure(figure, AIR_SETUP, ANSWER)
        there = read_figure(ridden[figure.key.removeprefix("slow_")], AIR_SETUP, ANSWER)
        # Air from sag on is firmer as it rides; where it is softest, and its bend, may agree.
        assert np.isnan(there) or figure.key in ("slow_softest_at", "slow_off_line") or there > here, (
            figure.key
        )
        assert "slow" in figure.label
        assert np.isnan(read_figure(figure, COIL, ANSWER))
    assert list(Part)[-1] is Part.SLOW


@pytest.mark.parametrize(("key", "psi"), [("port_pressure", 270.99088), ("peak", 898.5425)])
def test_pressures_are_gauge(key: str, psi: float) -> None:
    assert read(key) / PSI == pytest.approx(psi, rel=1e-2)


def test_push_less_pull_and_friction_make_the_starting_force() -> None:
    assert read("pull") > 0
    force = max(0.0, read("push") - read("pull")) + 30.0
    assert read("start_shaft") == pytest.approx(force, rel=1e-9)
    assert read("start_wheel") == pytest.approx(force / float(ANSWER.frame.leverage_start), rel=1e-9)


def test_a_figure_of_the_other_kind_does_not_exist() -> None:
    for figure in every_figure():
        for setup in ANSWER.setups:
            if setup.kind not in figure.kinds:
                assert np.isnan(read_figure(figure, setup, ANSWER)), figure.key


def test_the_limit_of_the_label_is_a_gauge_reading_and_absent_where_unknown() -> None:
    assert np.isnan(read("limit"))
    limited = replace(AIR, max_pressure=float(SHOP.pressure) + 300 * PSI)
    found = answer(replace(CASE, setups=(Setup("limited", limited),)))
    figure = next(figure for figure in every_figure() if figure.key == "limit")
    assert read_figure(figure, found.setups[0], found) / PSI == pytest.approx(300.0)


def test_only_what_these_setups_can_have_is_offered() -> None:
    coil_keys = {figure.key for figure in figures_for((COIL,))}
    assert "rate" in coil_keys
    assert "set_pressure" not in coil_keys
    assert "ride_sag" not in {figure.key for figure in figures_for(ANSWER.setups)}


def test_the_gauge_of_the_ride_reads_against_the_air_of_the_ride() -> None:
    high = Ambient(SHOP.temperature, float(gas.standard_pressure(2000.0)))
    found = answer(replace(CASE, ride=high))
    shown = {figure.key: read_figure(figure, found.setups[1], found) for figure in figures_for(found.setups)}
    # The same warm air in the same chamber: only what presses on the gauge from outside is less.
    assert shown["ride_pressure"] - shown["set_pressure"] == pytest.approx(SHOP.pressure - high.pressure)


def test_states_have_a_word_each_and_a_meaning() -> None:
    assert STATES.keys() == {"ok", "topped_out", "bottomed_out", "unsolved"}
    assert meaning_of(STATE_KEY) == ("state", STATE_MEANING)
    assert meaning_of("drop")[0] == "drop height"
    with pytest.raises(KeyError):
        meaning_of("nothing")


def test_a_typed_rate_is_read_in_newtons_per_metre() -> None:
    found = answer(replace(CASE, setups=(Setup("typed", Coil(450 * LBF_IN, 0.0, 25 * LBF_IN)),)))
    figure = next(figure for figure in every_figure() if figure.key == "rate")
    assert figure.measure is Measure.SPRING_RATE
    assert read_figure(figure, found.setups[0], found) == pytest.approx(450 * LBF_IN)
