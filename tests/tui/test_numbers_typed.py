"""Numbers of thousands of digits, and words that are near to nothing, wherever a command takes them."""

from __future__ import annotations

from pathlib import Path

import pytest

from tui.cli import main
from tui.job.demo import demo_job
from tui.job.files import toml_text
from tui.job.job import Job
from tui.saying import first_of, nearest, path_text, without_passwords

DIGITS = "9" * 5000
"""More than an interpreter turns into a whole number."""


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    path = tmp_path / "job.toml"
    path.write_text(toml_text(demo_job(), None))
    return str(path)


@pytest.mark.parametrize(
    "words",
    [
        ["table", "{csv}", "--columns", f"travel 1, ratio {DIGITS}"],
        ["log", "{job}", "{csv}", "--columns", f"time 1, shock {DIGITS}"],
        ["fit", "{job}", "--setup", "coil", "--readings", "{csv}", "--columns", f"stroke {DIGITS}, force 2"],
        ["sweep", "{job}", "--figure", "bottom_ratio", "--over", f"rider_mass=50kg..90kg:{DIGITS}"],
        ["ride", "{job}", "--event", "bumps", "--count", DIGITS],
        ["ride", "{job}", "--event", "road", "--seed", DIGITS],
        ["match", "{job}", "--want", f"support_50>={DIGITS}"],
        ["sheet", "{job}", "--date", DIGITS],
    ],
)
def test_a_number_of_thousands_of_digits_is_refused_in_words(
    words: list[str], job: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    csv = tmp_path / "table.csv"
    csv.write_text("a,b\n1,2\n2,3\n")
    assert main([word.format(job=job, csv=csv) for word in words]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "report it" not in said.err
    assert "; use " in said.err or "; give " in said.err
    assert max(map(len, said.err.splitlines())) < 1000


def test_the_nearest_word_is_named_where_one_is_near() -> None:
    assert nearest("Setpu", ("setup", "frame")) == "setup"
    assert nearest("SETUP", ("Setup",)) == "Setup"
    assert nearest("xyzzy", ("setup", "frame")) == ""
    assert nearest("x" * 100_000, ("setup", "frame")) == ""


def test_a_word_near_to_none_names_none(job: str, capsys: pytest.CaptureFixture[str]) -> None:
    plain, path = job, Path(job).with_name("unknown.toml")
    path.write_text(Path(job).read_text() + "\n[qqqq]\nx = 1\n")
    for words, use in (
        (["xyzzyq"], "springwright --help lists the commands"),
        (["solve", str(path)], "qqqq: unknown key; springwright schema lists all keys"),
        (["match", plain, "--want", "qqqq>=1"], "use one of "),
    ):
        assert main(words) == 2
        said = capsys.readouterr().err
        assert use in said
        assert "nearest" not in said


def _named(*names: str) -> Job:
    job = demo_job()
    setups = [{**setup, "name": name} for setup, name in zip(job.setups, names, strict=False)]
    return job.with_value(("setup",), tuple(setups))


@pytest.mark.parametrize(
    "command", [["advise", "--symptom", "too-low"], ["match", "--target"], ["ride", "--event", "drop"]]
)
def test_two_setups_of_one_name_are_not_taken_for_one(
    command: list[str], job: str, capsys: pytest.CaptureFixture[str]
) -> None:
    Path(job).write_text(toml_text(_named("same", "same"), None))
    name = ["same"] if command[-1] == "--target" else ["--setup", "same"]
    first, *rest = command
    assert main([first, job, *rest, *name]) == 2
    assert '2 setups are named "same"; give each a name of its own' in capsys.readouterr().err


def test_the_setup_on_the_bike_is_one_of_a_name_that_no_other_has(
    job: str, capsys: pytest.CaptureFixture[str]
) -> None:
    twice = _named("same", "same").with_value(("measured", "setup"), "same")
    Path(job).write_text(toml_text(twice, None))
    assert main(["solve", job]) == 2
    assert 'measured.setup: "same" names 2 setups; give each of them a name' in capsys.readouterr().err


@pytest.mark.parametrize("blank", ["\u200d", "\u3164", "\ufe0f", "\u2800 \u200c", "\u0301"])
def test_a_name_without_ink_is_none(blank: str) -> None:
    assert demo_job().with_value(("setup", 0, "name"), blank).setups[0]["name"] == ""
    seen = f"x{blank}x"
    assert demo_job().with_value(("title",), seen).title == seen


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("/tmp/a\x1b[31mb\x07", r"/tmp/a\x1b[31mb\x07"),
        ("/tmp/\udcff\u202e", r"/tmp/\udcff\u202e"),
        ("/tmp/a\nb", r"/tmp/a\nb"),
        ("postgresql://mo:my secret@shop/records", "postgresql:/...@shop/records"),
        ("mo:secret@shop", "...@shop"),
        ("host=shop password=secret", "host=shop password=..."),
        ("/home/mo/a@b: c.toml", "/home/mo/a@b: c.toml"),
    ],
)
def test_a_path_is_put_into_words_on_one_line_without_controls_or_passwords(text: str, shown: str) -> None:
    assert path_text(text) == shown
    assert without_passwords(shown) == shown


@pytest.mark.parametrize(
    ("count", "said"),
    [(0, []), (2, ["0", "1"]), (3, ["0", "1", "2"]), (4, ["0", "1", "2", "and 1 more"])],
)
def test_the_first_of_many_are_told_and_the_rest_counted(count: int, said: list[str]) -> None:
    asked: list[int] = []

    def told(item: int) -> str:
        asked.append(item)
        return str(item)

    assert list(first_of(range(count), 3, told, lambda more: f"and {more} more")) == said
    assert asked == list(range(min(count, 3))), "no words for what is only counted"
