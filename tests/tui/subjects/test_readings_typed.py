"""Readings typed in one line."""

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics.fit import AskedFriction
from tui.shop_units import ALL, ShopUnits
from tui.subjects.readings import TypedUnits, friction_in, readings_asked, typed_readings, with_friction
from tui.tables.questions import Open, Told
from tui.tables.source import CyclingRead, LoopRead, SagRead, UnusableReadings

UNITS = TypedUnits("mm", "N", "psi")
IMPERIAL = TypedUnits("in", "lbf", "psi")
PSI = 6894.757293168


def test_pairs_of_stroke_and_force() -> None:
    read = typed_readings(" 0 120; 10,5 900; 20 1710.25; 9 780;", UNITS)
    assert isinstance(read, LoopRead)
    assert read.loop.stroke.tolist() == pytest.approx([0.0, 0.0105, 0.02, 0.009])
    assert read.loop.force.tolist() == [120.0, 900.0, 1710.25, 780.0]
    assert read.loop.way.tolist() == [1, 1, 0, -1]
    inches = typed_readings("0 27; 1 300", IMPERIAL)
    assert isinstance(inches, LoopRead)
    assert inches.loop.force[1] == pytest.approx(1334.4666)


def test_friction_stands_last_among_pairs() -> None:
    read = typed_readings("0 120; 10 900; 20 1700; friction 15", UNITS)
    assert isinstance(read, LoopRead)
    assert (read.loop.stroke.tolist(), read.friction) == ([0.0, 0.01, 0.02], 15.0)
    said = {"friction 3.4 lbf": 15.124, "Friction Setup": "setup", "friction unknown": "unknown", "": None}
    for text, friction in said.items():
        read = typed_readings(f"0 27; 1 300; {text}", IMPERIAL)
        assert isinstance(read, LoopRead)
        assert read.friction == (
            pytest.approx(friction, rel=1e-4) if isinstance(friction, float) else friction
        )
    read = typed_readings("0 27; 1 300; friction 3,4", IMPERIAL)
    assert isinstance(read, LoopRead)
    assert read.friction == pytest.approx(15.124, rel=1e-4)


def test_a_spring_alone_may_be_said_last_and_is_asked_for_no_friction() -> None:
    read = typed_readings("0 0; 10 900; 20 1700; Spring alone", UNITS)
    assert isinstance(read, LoopRead)
    assert (read.alone, read.friction) == (True, None)
    assert with_friction(read, Told(), "N") is read
    read = typed_readings("0 0; 10 900; 20 1700", UNITS)
    assert isinstance(read, LoopRead)
    assert not read.alone


@pytest.mark.parametrize("text", ["-5", "6 kN", "15 psi", "some", "", "nan N"])
def test_friction_that_cannot_be(text: str) -> None:
    with pytest.raises(UnusableReadings, match=r"^friction: .*; use "):
        friction_in(text, "N")
    with pytest.raises(
        UnusableReadings, match='"15" has no unit; use a force such as 15 N, setup, or unknown'
    ):
        friction_in("15")


@given(text=st.text(max_size=40))
def test_no_text_for_friction_is_a_traceback(text: str) -> None:
    said = ""
    force: AskedFriction = 0.0
    try:
        force = friction_in(text, "N")
    except UnusableReadings as unusable:
        said = unusable.lines[0]
    assert not said or said.startswith("friction: ")
    assert force in ("setup", "unknown") or 0 <= float(force) <= 5000


def test_readings_one_way_ask_for_friction_and_those_both_ways_do_not() -> None:
    asked = readings_asked("0 120; 10 900; 20 1700", UNITS, Path)
    assert isinstance(asked, Open)
    assert asked.question.title == "Seal friction"
    answered = asked.answered("12")
    assert isinstance(answered, LoopRead)
    assert answered.friction == 12.0
    assert asked.answered("unknown").friction == "unknown"  # type: ignore[union-attr]
    with pytest.raises(UnusableReadings, match="use a force such as"):
        asked.answered("a lot")
    told = readings_asked("0 120; 10 900; friction setup", UNITS, Path)
    both = readings_asked("0 120; 10 900; 20 1700; 9 780", UNITS, Path)
    assert isinstance(told, LoopRead)
    assert isinstance(both, LoopRead)
    assert (told.friction, both.friction) == ("setup", None)


def test_pressures_and_sags() -> None:
    read = typed_readings("before 200 psi after 170psi", UNITS)
    assert isinstance(read, CyclingRead)
    assert (read.before, read.after) == pytest.approx((200 * PSI, 170 * PSI))
    assert typed_readings("Sag 45 mm", UNITS) == SagRead(0.045, is_share=False)
    assert typed_readings("sag 31,5 %", UNITS) == SagRead(0.315, is_share=True)
    assert typed_readings("sag 48", UNITS) == SagRead(0.048, is_share=False)
    assert typed_readings("sag 48,5", UNITS) == SagRead(0.0485, is_share=False)
    assert typed_readings("sag 1.8", IMPERIAL) == SagRead(1.8 * 0.0254, is_share=False)
    bare = typed_readings("before 200 after 170,5", UNITS)
    assert isinstance(bare, CyclingRead)
    assert (bare.before, bare.after) == pytest.approx((200 * PSI, 170.5 * PSI))
    metric = typed_readings("before 14 after 170 psi", UNITS._replace(pressure="bar"))
    assert isinstance(metric, CyclingRead)
    assert (metric.before, metric.after) == pytest.approx((14e5, 170 * PSI))


@pytest.mark.parametrize("units", ALL)
def test_the_forms_name_the_unit_of_every_number_and_can_be_read(units: ShopUnits) -> None:
    typed = TypedUnits.of(units)
    said = typed.forms()
    assert {typed.length, typed.force, typed.pressure} <= set(re.split(r"[ :,;]+", said))
    pairs = re.search(r": (0 .*?); or", said)
    before = re.search(r"before \S+ after [\d.]+", said)
    sag = re.search(r"sag [\d.]+", said)
    for found in (pairs[1] if pairs else "", before[0] if before else "", sag[0] if sag else "", "sag 30 %"):
        assert typed_readings(found, typed) is not None


def test_pairs_may_name_their_units() -> None:
    read = typed_readings("0 mm 120 N; 1cm 900N; 20 1.7 kN", UNITS)
    assert isinstance(read, LoopRead)
    assert read.loop.stroke.tolist() == pytest.approx([0.0, 0.01, 0.02])
    assert read.loop.force.tolist() == pytest.approx([120.0, 900.0, 1700.0])


def test_other_lines_are_somebody_elses() -> None:
    assert typed_readings("/tmp/loop.csv", UNITS) is None
    assert typed_readings("", UNITS) is None


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("0 120; 10", 'reading 2: "10" is not two numbers; use a stroke in mm and a force in N'),
        ("0 120; a b; 3 c", 'reading 2: "a b"'),
        ("friction 15;", "no measurement entered; use 0 120; 10 900"),
        ("0 120; friction 15; 10 900", 'reading 2: "friction 15" is not two numbers'),
        ("0 120; 10 900; friction lots", 'friction: "lots" is not a number with a unit; use a force such as'),
        ("before 200 psi after 170 mm", '"mm" is not a unit of pressure'),
        ("sag 0.3", 'sag: "0.3" may be a share of the whole: write 30 % or 45 mm'),
        ("sag ,3", "write 30 % or 45 mm"),
        ("0 120; 10 1,700", 'reading 2: "1,700 N" may be thousands or decimals'),
        ("sag 45 kg", "is not a unit of length"),
    ],
)
def test_faults_say_what_is_accepted(text: str, said: str) -> None:
    with pytest.raises(UnusableReadings, match=said):
        typed_readings(text, UNITS)
