"""Files that are no TOML: the line and the key in words, nothing of the parser."""

import pytest

from tui.job.faults import UnusableJob
from tui.job.job import parse


def said(text: str) -> str:
    with pytest.raises(UnusableJob) as caught:
        parse(text)
    (fault,) = caught.value.faults
    assert fault.path == ()
    assert str(fault).isprintable()
    return str(fault)


@pytest.mark.parametrize(
    ("text", "line", "key"),
    [
        ('[load]\nposture = "seated"\n\nposture = "standing"\n[frame]', 4, "posture"),
        ('[load]\nposture = "seated"\n\n"posture" = "standing"', 4, "posture"),
        ("[load]\nx = 1\n[load]\ny = 2\n", 3, "load"),
        ("a = [1]\n\n[[a]]\n", 3, "a"),
        ("x = [1,\n2]\nx = [\n1,\n2,\n]\n", 6, "x"),
        ("stages = { rate = 1, rate = 2 }\n", 1, "rate"),
        ("a.b = 1\n[a]\n", 2, "a"),
    ],
)
def test_what_is_there_twice_is_named_with_its_line(text: str, line: int, key: str) -> None:
    assert said(text) == (
        f'file: not TOML in line {line}: "{key}" appears twice; use each key and each table once'
    )


def test_a_table_below_a_value_is_named_too() -> None:
    for text in ("[frame]\nstroke = 1\n[frame.stroke.x]\n", "[frame.stroke.x]\ny = 1\n[frame.stroke.x]\n"):
        assert 'line 3: "frame.stroke.x" or a part of it has a value already' in said(text)


@pytest.mark.parametrize(
    ("text", "where", "words"),
    [
        ("[load]\nrider_mass = 85 kg\n", "line 2, column 17", 'in quotes, such as "85 kg"'),
        ("format = 1\nx =\n", "line 2, column 4", "no value"),
        ("[load]\nrider_mass\n", "line 2, column 11", "no equals sign"),
        ('a = "x', "its last line", "closing quotation mark"),
        ('a = "x\ny = 1', "line 1, column 7", "in quotes"),
        ("a = [1,\n2\n", "its last line", "closing bracket"),
        ("[load\nx = 1", "line 1, column 6", "closing bracket of a table"),
        ("= 1", "line 1, column 1", "the key is missing"),
        ('a = "\\q"', "line 1, column 8", "backslash"),
        ("a = 1979-99-99", "line 1", "line 1"),
    ],
)
def test_the_usual_slips_are_told_in_words(text: str, where: str, words: str) -> None:
    assert f"not TOML in {where}" in said(text)
    assert words in said(text)


@pytest.mark.parametrize(
    "text", ["x = " + "9" * 5000, "x = " + "[" * 5000, "[" * 5000, "a." * 3000 + "a = 1", "a = 'x\x1b[31m'"]
)
def test_nothing_of_the_parser_is_told(text: str) -> None:
    told = said(text)
    assert len(told) < 200
    for word in ("recursion", "sys.", "limit", "namespace", "Expected", "(", "\\"):
        assert word not in told


def test_a_long_key_is_shortened() -> None:
    key = "k" * 5000
    assert len(said(f"{key} = 1\n{key} = 2")) < 200
