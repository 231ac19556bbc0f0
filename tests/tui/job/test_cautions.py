"""Words for everything the physics can say: none left out, none without its units."""

import math
import re
from typing import get_args

import pytest

from physics.answer import State
from physics.faults import CAUTIONS, FAULTS, Caution, Fault
from tui.job.answer import answer_job
from tui.job.cautions import caution_text, caution_texts, reason_text
from tui.job.choices import STATES
from tui.job.demo import demo_job
from tui.job.fault_words import job_fault
from tui.shop_units import ALL, IMPERIAL, METRIC, USUAL


@pytest.mark.parametrize("code", CAUTIONS)
def test_every_caution_is_a_sentence_with_each_of_its_values(code: str) -> None:
    caution = Caution(code, dict.fromkeys(CAUTIONS[code], 1.0))
    for units in ALL:
        text = caution_text(caution, units, 0.0)
        assert text.endswith(".")
        assert len(text) > 40
        assert not {"_", "{", "nan"}.intersection(text)
    known = caution_text(caution, METRIC, 0.0)
    missing = Caution(code, dict.fromkeys(CAUTIONS[code], math.nan))
    assert (caution_text(missing, METRIC, 0.0) == known) == (not CAUTIONS[code])


@pytest.mark.parametrize("code", FAULTS)
def test_every_fault_says_what_is_wrong_and_what_to_use(code: str) -> None:
    said = job_fault(Fault(("setup", 0, "rod"), code, dict.fromkeys(FAULTS[code], 0.02)))
    assert said.path == ("setup", 0, "rod")
    assert said.accepted.split()[0] in {"use", "check", "look", "leave", "give", "list", "fix", "put"}
    assert "accepted" not in said.accepted
    assert said.what != code.replace("_", " ")
    assert "{" not in str(said)


def test_pressures_are_gauge_and_in_the_units_of_the_shop() -> None:
    caution = Caution("over_label", {"pressure": 21.5e5, "limit": 20.5e5})
    assert caution_text(caution, METRIC, 1e5) == (
        "20.5 bar is above the max pressure of 19.5 bar: do not pump that high."
    )
    assert "297 psi" in caution_text(caution, IMPERIAL, 1e5)


def test_what_is_not_known_yet_is_still_said() -> None:
    assert caution_text(Caution("brand_new"), USUAL, 0.0) == "Brand new."
    assert job_fault(Fault((), "brand_new")).what == "brand new"


def test_every_state_has_words() -> None:
    assert set(STATES) == set(get_args(State)) == {"ok", "topped_out", "bottomed_out", "unsolved"}
    assert all(words.short and words.sentence for words in STATES.values())
    assert len({words.mark for words in STATES.values()}) == len(STATES), "one letter of a map, one meaning"


@pytest.mark.parametrize(
    ("code", "less", "more"),
    [
        ("coil_bind", "room", "stroke"),
        ("rated_stroke", "rated", "needed"),
        ("preload_turns", "most", "turns"),
        ("too_long_for_shock", "eyes", "length"),
    ],
)
def test_a_limit_is_not_said_to_be_passed_by_nothing(code: str, less: str, more: str) -> None:
    close = Caution(code, {less: 0.06, more: 0.060_000_1})
    for said in (caution_text(close, METRIC, 0.0), reason_text([close], METRIC)):
        numbers = re.findall(r"\d+\.\d+", said)
        assert len(numbers) <= 1, said
    apart = Caution(code, {less: 0.05, more: 0.5})
    assert len(re.findall(r"\d+\.\d+", caution_text(apart, METRIC, 0.0))) == 2
    assert reason_text([Caution("no_preload")], METRIC) == ""


def test_a_missing_damper_charge_makes_only_what_was_solved_too_stiff() -> None:
    gas = Caution("gas_not_typed", dict.fromkeys(CAUTIONS["gas_not_typed"], 0.1))
    solved, typed = (caution_text(gas, USUAL, 0.0, typed={"rate": rate}) for rate in ("solve", "475 lbf/in"))
    assert "the solved rate is too stiff by about that share" in solved
    assert "solved" not in typed
    assert "too stiff" not in typed
    assert "with it the sag is less than calculated here" in typed


def test_what_a_missing_bumper_adds_is_said_of_the_slow_and_of_the_fast_force() -> None:
    job = demo_job()
    for setup in (0, 1):
        for key in ("bumper_length", "bumper_force"):
            job = job.without(("setup", setup, key))
    answered = answer_job(job)
    coil, air = (
        next(
            text
            for text in caution_texts(setup.cautions, answered.answer, USUAL)
            if text.startswith("No bottom-out bumper")
        )
        for setup in answered.answer.setups
    )
    assert re.search(r"adds [\d.]+ % to the force at full stroke\.", coil)
    said = r"adds ([\d.]+) % to the slow force at full stroke, ([\d.]+) % to that in a hard hit"
    shares = re.search(said, air)
    assert shares is not None
    second = answered.answer.setups[1]
    for share, force in zip(
        shares.groups(), (second.curve.shaft_force[-1], second.figures.fast_bottom_shaft), strict=True
    ):
        assert float(share) == pytest.approx(100 * 1500.0 / float(force), abs=0.05)
