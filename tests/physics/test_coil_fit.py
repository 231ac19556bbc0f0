"""Coil bind, rated stroke and preload turns at their limits, and what is unknown left alone."""

from dataclasses import replace

import pytest

from physics.case import Coil
from physics.coil import fit_cautions

COIL = Coil(80e3, 0.002, 4378.0)


def codes(coil: Coil) -> list[str]:
    return [caution.code for caution in fit_cautions(coil, 0.060)]


def test_nothing_known_nothing_judged() -> None:
    assert codes(COIL) == []
    assert codes(replace(COIL, free_length=0.1)) == []
    assert codes(replace(COIL, max_preload_turns=1.0)) == []


def test_bind_room_must_exceed_the_stroke() -> None:
    # Free − solid − preload > stroke: 62 mm of free run is exactly too little.
    assert codes(replace(COIL, free_length=0.1325, solid_length=0.0700)) == []
    assert codes(replace(COIL, free_length=0.1315, solid_length=0.0700)) == ["coil_bind"]
    (bind,) = fit_cautions(replace(COIL, free_length=0.1315, solid_length=0.0700), 0.060)
    assert bind.values["room"] == pytest.approx(0.0595)
    assert bind.values["stroke"] == 0.060


def test_rated_stroke_covers_stroke_and_preload() -> None:
    assert codes(replace(COIL, rated_stroke=0.0621)) == []
    assert codes(replace(COIL, rated_stroke=0.062)) == []
    (rated,) = fit_cautions(replace(COIL, rated_stroke=0.0615), 0.060)
    assert rated.code == "rated_stroke"
    assert rated.values["needed"] == pytest.approx(0.062)


def test_preload_turns_stay_within_the_makers() -> None:
    assert codes(replace(COIL, thread_pitch=0.001, max_preload_turns=2.0)) == []
    for count in range(1, 60):
        wound = replace(COIL, preload=count * 0.00125, thread_pitch=0.00125, max_preload_turns=float(count))
        assert codes(wound) == []
    (turns,) = fit_cautions(replace(COIL, thread_pitch=0.001, max_preload_turns=1.5), 0.060)
    assert turns.values["turns"] == pytest.approx(2.0)
    assert turns.values["most"] == 1.5
