"""`springwright sheet`: the form from the ending, the date, the units, and every refusal in words."""

import os
import re
from pathlib import Path

import pytest

from tui.cli import main
from tui.job.demo import demo_job
from tui.job.files import toml_text


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    path = tmp_path / "job.toml"
    path.write_text(toml_text(demo_job(), None))
    return path


def settings(job: Path, text: str) -> Path:
    path = job.parent / "config" / "springwright" / "settings.toml"
    path.parent.mkdir(parents=True)
    path.write_text(text)
    return path


@pytest.mark.parametrize("output", [[], ["-o", "-"], ["-o", "/dev/stdout"]])
def test_without_a_file_the_text_is_printed(
    job: Path, output: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["sheet", str(job), "--date", "2026-03-14", *output]) == 0
    shown = capsys.readouterr()
    assert shown.err == ""
    assert shown.out.startswith("Setup sheet: Demo trail bike")
    assert "Date: 2026-03-14\n" in shown.out


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize(
    ("name", "begins"),
    [
        ("a.txt", "Setup sheet: Demo"),
        ("a.MD", "# Setup sheet"),
        ("a.html", "<!DOCTYPE html>"),
        ("a.htm", "<!DOCTYPE"),
    ],
)
def test_the_ending_says_the_form(
    job: Path, name: str, begins: str, capsys: pytest.CaptureFixture[str]
) -> None:
    target = job.parent / name
    assert main(["sheet", str(job), "-o", str(target)]) == 0
    assert capsys.readouterr().out == ""
    assert target.read_text("utf-8").startswith(begins)


@pytest.mark.slow
def test_the_form_asked_for_goes_before_the_ending(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sheet", str(job), "--format", "markdown"]) == 0
    assert capsys.readouterr().out.startswith("# Setup sheet")
    assert main(["sheet", str(job), "-o", str(job.parent / "a.html"), "--format", "text"]) == 0
    assert (job.parent / "a.html").read_text().startswith("Setup sheet: Demo")


def test_shop_mechanic_and_units_come_from_the_settings(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    settings(job, '[shop]\nname = "Shed"\n[bench]\nmechanic = "Kim"\nunits = "metric"\n')
    assert main(["sheet", str(job)]) == 0
    text = capsys.readouterr().out
    assert text.startswith("Shed\n")
    assert "Mechanic: Kim\n" in text
    assert re.search(r"It holds: \d+\.\d bar", text)
    assert main(["sheet", str(job), "--units", "imperial"]) == 0
    assert re.search(r"It holds: \d+ psi", capsys.readouterr().out)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with a name are of POSIX")
@pytest.mark.parametrize("command", [["sheet"], ["chart"]])
def test_a_pipe_is_not_replaced(command: list[str], job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pipe = job.parent / ("a.md" if command == ["sheet"] else "a.svg")
    os.mkfifo(pipe)
    assert main([*command, str(job), "-o", str(pipe)]) == 2
    said = "output: not a file but a folder, a pipe or a device; use a folder that you may write to"
    assert said in capsys.readouterr().err
    assert pipe.is_fifo()


def test_every_refusal_says_what_is_accepted(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for words, said in (
        (["-o", "a.pdf"], 'output: "a.pdf": unknown ending; use .txt'),
        (
            ["-o", f"{job.parent}/none/a.md"],
            "output: no such file or directory; use a folder that you may write to",
        ),
        (
            ["-o", f"{job.parent}/a\0.md"],
            "output: no path holds a null byte; use a folder that you may write to",
        ),
        (["--date", "14.3.26"], 'date: "14.3.26" is not a date; use year-month-day, e.g. 2026-03-14'),
    ):
        assert main(["sheet", str(job), *words]) == 2
        shown = capsys.readouterr()
        assert shown.out == ""
        assert shown.err.startswith(f"{job}: {said}")
    job.write_text("format = 1")
    assert main(["sheet", str(job)]) == 2
    assert f"{job}: setup: missing" in capsys.readouterr().err


def test_faulty_settings_are_named_by_their_file(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = settings(job, "[shop]\nnam = 'x'\n")
    assert main(["sheet", str(job)]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err == f"{path}: shop.nam: unknown key; the nearest known key is name\n"


@pytest.mark.parametrize(("command", "name"), [("sheet", "a.txt"), ("chart", "a.csv")])
def test_a_file_that_is_there_is_replaced_only_when_told(
    job: Path, command: str, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    target = job.parent / name
    target.write_text("mine")
    assert main([command, str(job), "-o", str(target)]) == 2
    accepted = "use another name, or --replace to replace it"
    assert capsys.readouterr().err == f"{job}: output: {target} exists already; {accepted}\n"
    assert target.read_text() == "mine"
    assert main([command, str(job), "-o", str(target), "--replace"]) == 0
    assert "mine" not in target.read_text("utf-8")
    assert sorted(path.name for path in job.parent.iterdir()) == sorted([name, "job.toml"])


def test_a_file_that_is_there_is_written_over_whole(job: Path) -> None:
    target = job.parent / "a.txt"
    target.write_text("x" * 100_000)
    assert main(["sheet", str(job), "-o", str(target), "--replace"]) == 0
    assert "x" * 100 not in target.read_text()
    assert sorted(path.name for path in job.parent.iterdir()) == ["a.txt", "job.toml"]


def test_plain_terminals_get_plain_letters(
    job: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("SPRINGWRIGHT_ASCII", "1")
    job.write_text(job.read_text().replace("Demo trail bike", "V\u00e9lo"))
    assert main(["sheet", str(job)]) == 0
    assert "Setup sheet: Velo" in capsys.readouterr().out
