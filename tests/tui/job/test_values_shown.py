"""How a value that cannot be used is told: as it was typed, short, and never as the machine holds it."""

import pytest

from tests.tui.job.test_every_fault import faults
from tui.job.demo import demo_job
from tui.job.files import toml_text
from tui.job.job import Job

DEMO = demo_job()
TEXT = toml_text(DEMO, None)


def told(line: str) -> str:
    """Return what is said of a line in place of the sag."""
    assert 'sag = "29 %"' in TEXT
    return faults(TEXT.replace('sag = "29 %"', line))["target.sag"]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("30", "30 is out of range; "),
        ("30.50", "30.5 is out of range; "),
        ('"30"', '"30" is out of range; '),
        ("-1", "-1 is out of range; "),
        ("true", "true cannot be used; "),
        ("nan", "nan is out of range; "),
        ("[0.3]", "an array cannot be used; "),
        ("{ of = 0.3 }", "a table cannot be used; "),
        ("1979-05-27", "1979-05-27 cannot be used; "),
        ("1979-05-27T07:32:00Z", "1979-05-27 07:32:00+00:00 cannot be used; "),
        ("0x" + "f" * 9000, "this long number is out of range; "),
        ('"' + "3" * 5000 + ' %"', '"' + "3" * 60 + '..." is not a number with a unit; '),
        ('"1e400 %"', '"1e400 %" is out of range; use a fraction above 0 % and up to 99 %'),
    ],
)
def test_a_value_is_told_as_it_was_typed(typed: str, said: str) -> None:
    assert told(f"sag = {typed}").startswith(said)


@pytest.mark.parametrize(
    "path", [("load", "rider_mass"), ("setup", 0, "name"), ("frame", "leverage", "kind")]
)
@pytest.mark.parametrize("raw", [3, 2**9000, True, (1, 2), {"a": 1}, float("inf")])
def test_no_type_of_the_machine_is_told(path: tuple[str | int, ...], raw: object) -> None:
    said = " ".join(faults(DEMO.with_value(path, raw)).values())
    assert len(said) < 400
    for word in ("Table", "(1", "{", "None", "int", "str ", "e+"):
        assert word not in said


def test_a_mass_beyond_everything_is_told_with_the_range_in_its_unit() -> None:
    assert faults(DEMO.with_value(("load", "rider_mass"), "1e400 kg")) == {
        "load.rider_mass": '"1e400 kg" is out of range; use a mass above 0 kg and up to 500 kg'
    }


def test_shares_are_percentages_too() -> None:
    job = DEMO.without(("load", "posture")).with_value(("load", "rider_share"), "62 %")
    bare = job.with_value(("load", "rider_share"), 0.62)
    assert reaction(job) == reaction(bare)
    assert set(faults(job.with_value(("load", "rider_share"), "162 %"))) == {"load.rider_share"}


def reaction(job: Job) -> float:
    from tui.job.answer import answer_job

    return float(answer_job(job).answer.load.ground_reaction)


def test_a_long_key_is_shortened_and_a_hostile_one_escaped() -> None:
    long = faults(DEMO.with_value(("load", "k" * 5000), 1))
    assert list(long) == ["load." + "k" * 60 + "..."]
    (hostile,) = faults(DEMO.with_value(("load", "a\x1b[31m\u202e"), "\x1b"))
    assert hostile == "load.a\\x1b[31m\\u202e"
    assert list(faults(DEMO.with_value(("load", ""), 1))) == ['load.""']
