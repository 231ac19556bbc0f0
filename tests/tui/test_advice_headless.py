"""After the ride without a screen: lines, JSON, faults; a change written into the file does as it said."""

import json
from pathlib import Path
from typing import Any

import pytest

from tui.cli import main
from tui.headless_advice import advice_text
from tui.jobs.answering import answer_job
from tui.jobs.demo import demo_job
from tui.jobs.ends import end_of
from tui.jobs.felt_words import FELT, WORDS
from tui.jobs.job import Job
from tui.jobs.toml_text import toml_text
from tui.jobs.tree import Table


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return written(tmp_path, demo_job())


def written(tmp_path: Path, job: Job) -> Path:
    path = tmp_path / "job.toml"
    path.write_text(toml_text(job, None))
    return path


def told(path: Path, word: str, setup: str | None = None) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(advice_text(str(path), word, setup, as_json=True))
    return found


def with_written(job: Job, setup: int, change: dict[str, Any]) -> Job:
    kept = {key: raw for key, raw in job.setups[setup].items() if key not in change["take_out"]}
    setups = list(job.setups)
    setups[setup] = Table({**kept, **change["write"]})
    return job.with_value(("setup",), tuple(setups))


@pytest.mark.parametrize("word", [word for word in WORDS if word != "ends-fight"])
@pytest.mark.parametrize(("name", "index"), [("coil", 0), ("air", 1)])
def test_a_change_written_into_the_file_moves_its_figure_as_it_said(
    job: Path, word: str, name: str, index: int
) -> None:
    found = told(job, word, name)
    rear = end_of(demo_job(), "rear")
    for change in found["changes"]:
        setup = answer_job(with_written(rear, index, change)).answer.setups[index]
        figures = {"sag_fraction": float(setup.sag.wheel_fraction)}
        figures |= {key: float(getattr(setup.figures, key)) for key in ("support_50", "end_ramp")}
        figures["energy_from_sag_j"] = float(setup.figures.energy_from_sag)
        figures["starting_wheel_n"] = float(setup.figures.starting_wheel)
        figures["critical_damping_n_s_per_m"] = float(setup.figures.critical_damping)
        now, then = found["now"][change["figure"]], change["then"][change["figure"]]
        # Pressures are written to the psi, springs to the pound-force per inch.
        assert figures[change["figure"]] == pytest.approx(then, abs=0.25 * abs(then - now))


def test_lines_say_what_to_turn_what_it_does_and_what_to_mind(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["advise", str(job), "--felt", "wallows", "--setup", "air"]) == 0
    shown = capsys.readouterr()
    assert shown.err == ""
    assert "After the ride, rear air: wallows in the middle" in shown.out
    change = told(job, "wallows", "air")["changes"][0]
    assert f"1. {change['text']}" in shown.out
    assert "half-travel support" in shown.out
    assert "Never above the limit on the label" in shown.out
    assert "With coil in its place: rebound about" in shown.out
    assert "common practice, no source" in " ".join(shown.out.split())


def test_packing_down_has_a_direction_for_the_damper_and_no_clicks(job: Path) -> None:
    found = told(job, "packs-down", "air")
    assert found["rebound_damping"] == "less"
    assert all(change["rebound_ratio"] > 1 for change in found["changes"])
    assert told(job, "too-low", "air")["rebound_damping"] is None


def test_the_first_setup_is_meant_where_none_is_named(job: Path) -> None:
    assert told(job, "too-low")["setup"] == "coil"
    assert told(job, "too-low", "fork")["end"] == "front"


def test_ends_that_fight_need_two_ends(job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert told(job, "ends-fight", "fork")["changes"]
    one = written(tmp_path, end_of(demo_job(), "rear"))
    assert main(["advise", str(one), "--felt", "ends-fight"]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    said = "felt: ends-fight takes two ends; a job with a front beside the rear is accepted"
    assert shown.err == f"{one}: {said}\n"


def test_what_there_is_not_is_told_with_what_there_is(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["advise", str(job), "--felt", "wallows", "--setup", "cool"]) == 2
    said = 'setup: no setup is named "cool"; --setup with one of "coil", "air", "fork" is accepted'
    assert said in capsys.readouterr().err
    assert main(["advise", str(job), "--felt", "wobbles"]) == 2
    assert "invalid choice" in capsys.readouterr().err
    assert main(["advise", "--help"]) == 0
    said = "".join(capsys.readouterr().out.split())
    assert all(word in said for word in WORDS)


def test_a_wheel_that_does_not_settle_says_so(tmp_path: Path) -> None:
    stiff = end_of(demo_job(), "rear")
    for key in ("preload_turns", "thread_pitch", "max_preload_turns"):
        stiff = stiff.without(("setup", 0, key))
    stiff = stiff.with_value(("setup", 0, "rate"), "50 N/mm").with_value(("setup", 0, "preload"), "40 mm")
    path = written(tmp_path, stiff)
    found = told(path, "too-high", "coil")
    assert not found["settles"]
    assert found["changes"] == []
    assert "does not settle" in advice_text(str(path), "too-high", "coil", as_json=False)


def test_every_complaint_has_a_word_of_its_own() -> None:
    assert len(set(WORDS)) == len(FELT) == 9
