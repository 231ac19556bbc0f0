"""Readings typed in one line."""

import pytest

from tui.readings.kinds import CyclingRead, LoopRead, SagRead, UnusableReadings
from tui.readings.typed import typed_readings

UNITS = ("mm", "N")
PSI = 6894.757293168


def test_pairs_of_stroke_and_force() -> None:
    read = typed_readings(" 0 120; 10,5 900; 20 1710.25; 9 780;", UNITS)
    assert isinstance(read, LoopRead)
    assert read.loop.stroke.tolist() == pytest.approx([0.0, 0.0105, 0.02, 0.009])
    assert read.loop.force.tolist() == [120.0, 900.0, 1710.25, 780.0]
    assert read.loop.way.tolist() == [1, 1, 0, -1]
    inches = typed_readings("0 27; 1 300", ("in", "lbf"))
    assert isinstance(inches, LoopRead)
    assert inches.loop.force[1] == pytest.approx(1334.4666)


def test_pressures_and_sags() -> None:
    read = typed_readings("before 200 psi after 170psi", UNITS)
    assert isinstance(read, CyclingRead)
    assert (read.before, read.after) == pytest.approx((200 * PSI, 170 * PSI))
    assert typed_readings("Sag 45 mm", UNITS) == SagRead(0.045, is_share=False)
    assert typed_readings("sag 31,5 %", UNITS) == SagRead(0.315, is_share=True)
    assert typed_readings("sag 0.3", UNITS) == SagRead(0.3, is_share=True)


def test_other_lines_are_somebody_elses() -> None:
    assert typed_readings("/tmp/loop.csv", UNITS) is None
    assert typed_readings("", UNITS) is None


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("0 120; 10", 'reading 2: "10" is not two numbers; stroke in mm and force in N are accepted'),
        ("0 120; a b; 3 c", 'reading 2: "a b"'),
        ("before 200 psi after 170", '"170" has no unit'),
        ("sag 45 kg", "is no unit of length"),
    ],
)
def test_faults_say_what_is_accepted(text: str, said: str) -> None:
    with pytest.raises(UnusableReadings, match=said):
        typed_readings(text, UNITS)
