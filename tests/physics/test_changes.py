"""One change of a setup at a time: rates in stock, and what a measured sag asks for."""

from dataclasses import replace

import numpy as np
import pytest

from physics.advise import advise
from physics.arrays import values
from physics.bench import answer
from physics.case import Coil, Setup
from physics.changes import Turned, by_measured_sag, exactly, next_rates, trials, turned_value, written_down
from physics.shock import air_of, with_pressure
from physics.solve import solved_case
from physics.stand import stand
from tests.physics.examples import BUMPER, EQUALISED, LBF_IN, PSI, SEA, SETUPS, case_of


def test_a_coil_goes_to_rates_one_can_buy() -> None:
    coil = Coil(487 * LBF_IN, 0.001, 25 * LBF_IN)
    assert next_rates(coil) == pytest.approx((450 * LBF_IN, 525 * LBF_IN))
    assert next_rates(replace(coil, rate=500 * LBF_IN)) == pytest.approx((475 * LBF_IN, 525 * LBF_IN))
    ladder = values([400 * LBF_IN, 450 * LBF_IN])
    assert next_rates(replace(coil, ladder=ladder)) == pytest.approx((450 * LBF_IN,))
    for change in advise(case_of(Setup("coil", coil)), 0, ("wallows",)).changes:
        if change.turned == "rate":
            assert isinstance(change.setup.spring, Coil)
            assert change.setup.spring.rate == pytest.approx(525 * LBF_IN)


@pytest.mark.parametrize("name", ["coil", "equalised"])
def test_a_measured_sag_speaks_of_the_load_that_makes_it(name: str) -> None:
    case = case_of(SETUPS[name])
    found = answer(case).setups[0]
    same = by_measured_sag(case, found.setup, float(found.sag.wheel), "travel")
    assert same.load == pytest.approx(same.entered, rel=1e-6)
    heavier = by_measured_sag(case, found.setup, float(found.sag.stroke) * 1.1, "stroke")
    assert heavier.load > heavier.entered
    assert heavier.trial is not None
    assert heavier.trial.more


def tried(setup: Setup, sag: float = 0.30) -> dict[tuple[str, bool], Setup]:
    """Return what can be changed on a setup that settles at a sag."""
    case = solved_case(case_of(setup))
    return {(trial.turned, trial.more): trial.setup for trial in trials(case.setups[0], stand(case), sag)}


def turned(found: dict[tuple[str, bool], Setup], what: Turned) -> list[float]:
    """Return a setting one step down and one up, nothing where that way is none."""
    return [turned_value(found[what, more], what) for more in (False, True) if (what, more) in found]


def test_air_changes_by_a_step_each_way_at_the_same_sag() -> None:
    setup = replace(SETUPS["separate"], bumper=BUMPER)
    found = tried(setup)
    assert {what for what, _more in found} == {
        "pressure", "positive_spacers", "negative_spacers", "negative_pressure", "bumper",
    }  # fmt: skip
    assert turned(found, "positive_spacers") == [0.0, 2.0]
    assert turned(found, "negative_spacers") == [0.0, 2.0]
    assert turned(found, "bumper") == pytest.approx([0.75 * 1800.0, 1.25 * 1800.0])
    gauges = (np.array(turned(found, "negative_pressure")) - SEA) / PSI
    assert gauges == pytest.approx([135.0, 165.0])
    for (what, more), one in found.items():
        sag = answer(case_of(one)).setups[0].sag.wheel_fraction
        if what == "pressure":
            assert sag == pytest.approx(0.27 if more else 0.33, abs=1e-6)
        elif what != "bumper":
            assert sag == pytest.approx(0.30, abs=1e-6)


def test_no_step_leaves_the_chamber_its_counts_or_the_travel() -> None:
    equalised = air_of(SETUPS["equalised"])
    assert turned(tried(SETUPS["equalised"]), "negative_spacers") == [1.0]
    full = replace(equalised, positive_spacers=5, negative=replace(EQUALISED, spacers=4))
    found = tried(replace(SETUPS["equalised"], spring=full))
    assert (turned(found, "positive_spacers"), turned(found, "negative_spacers")) == ([4.0], [3.0])
    assert "bumper" not in {what for what, _more in found}
    plain = replace(equalised, negative=replace(EQUALISED, spacer_volume=0.0), positive_spacer_volume=0.0)
    assert {what for what, _more in tried(replace(SETUPS["equalised"], spring=plain))} == {"pressure"}
    assert [more for what, more in tried(SETUPS["none"], 0.02) if what == "pressure"] == [False]
    assert [more for what, more in tried(SETUPS["none"], 0.98) if what == "pressure"] == [True]


def test_a_coil_changes_by_a_turn_within_its_limit() -> None:
    def preloads(preload: float, pitch: float | None = None, most: float | None = None) -> list[float]:
        coil = Coil(80e3, preload, 25 * LBF_IN, thread_pitch=pitch, max_preload_turns=most)
        return turned(tried(Setup("coil", coil)), "preload")

    # A millimetre where the thread is not known, three of them at most.
    assert preloads(0.001) == pytest.approx([0.0, 0.002])
    assert preloads(0.0) == pytest.approx([0.001])
    assert preloads(0.002) == pytest.approx([0.001, 0.003])
    assert preloads(0.003) == pytest.approx([0.002])
    assert preloads(0.003, 0.0015) == pytest.approx([0.0015, 0.0045])
    assert preloads(0.003, 0.0015, 2.0) == pytest.approx([0.0015])


def test_a_change_that_rounds_to_nothing_is_left_out() -> None:
    case = solved_case(case_of(SETUPS["equalised"]))
    setup = case.setups[0]
    pool = trials(setup, stand(case), 0.30)
    assert list(written_down(pool, setup, exactly)) == list(pool)
    assert not list(written_down(pool, setup, lambda trial: setup))
    assert not list(written_down(pool, setup, lambda trial: None))
    lost = [replace(trial, setup=with_pressure(trial.setup, np.nan)) for trial in pool]
    assert not list(written_down(lost, setup, exactly))
