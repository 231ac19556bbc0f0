"""After the ride without a screen: lines, JSON, faults; a change written into the file does as it said."""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.confirmed import confirmed_demo
from tui.cli import main
from tui.job.answer import answer_job
from tui.job.choices import OLD_WORDS, SYMPTOMS, WORDS
from tui.job.demo import demo_job
from tui.job.files import toml_text
from tui.job.job import Job
from tui.job.tree import Tree
from tui.job.wheels import wheel_job
from tui.subjects.advice import command
from tui.subjects.answers import answer_text


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return written(tmp_path, demo_job())


def written(tmp_path: Path, job: Job) -> Path:
    path = tmp_path / "job.toml"
    path.write_text(toml_text(job, None))
    return path


def told(path: Path, word: str, setup: str | None = None) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(command(str(path), [word], setup, as_json=True))
    return found


def with_written(job: Job, setup: int, change: dict[str, Any]) -> Job:
    kept = {key: raw for key, raw in job.setups[setup].items() if key not in change["take_out"]}
    setups = list(job.setups)
    setups[setup] = Tree({**kept, **change["write"]})
    return job.with_value(("setup",), tuple(setups))


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("word", [word for word in WORDS if word != "unbalanced"])
@pytest.mark.parametrize(("name", "index"), [("coil", 0), ("air", 1)])
def test_a_change_written_into_the_file_moves_its_figure_as_it_said(
    job: Path, word: str, name: str, index: int
) -> None:
    found = told(job, word, name)
    rear = wheel_job(demo_job(), "rear")
    for change in found["changes"]:
        setup = answer_job(with_written(rear, index, change)).answer.setups[index]
        ride = setup.riding
        figures = {"sag_fraction": float(setup.sag.wheel_fraction)}
        figures["starting_wheel_n"] = float(setup.figures.starting_wheel)
        figures |= {key: float(getattr(ride, key)) for key in ("support_50", "end_ramp", "bottom_ratio")}
        figures["energy_from_sag_j"] = float(ride.energy_from_sag)
        figures["natural_frequency_hz"] = float(ride.natural_frequency)
        figures["critical_damping_n_s_per_m"] = float(ride.critical_damping)
        assert change["then"] == pytest.approx(figures, rel=1e-9)
        was = float(found["now"]["critical_damping_n_s_per_m"])
        assert change["rebound_ratio"] == pytest.approx(float(ride.critical_damping) / was)
        path = job.parent / "changed.toml"
        path.write_text(toml_text(with_written(rear, index, change), None))
        solved = json.loads(answer_text(str(path)))["setups"][index]
        assert change["cautions"] == solved["cautions"]


def test_lines_say_what_to_turn_what_it_does_and_what_to_mind(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["advise", str(job), "--symptom", "wallows", "--setup", "air"]) == 0
    shown = capsys.readouterr()
    assert shown.err == ""
    assert "Advice, rear air: wallows mid-stroke" in shown.out
    change = told(job, "wallows", "air")["changes"][0]
    assert f"1. {change['text']}" in shown.out
    assert "mid-stroke support" in shown.out
    assert "Never above max pressure" in shown.out
    assert "If coil is fitted instead: rebound about" in shown.out
    assert "rules of thumb" in " ".join(shown.out.split())


def test_packing_down_has_a_direction_for_the_damper_and_no_clicks(job: Path) -> None:
    found = told(job, "packs-down", "air")
    assert found["rebound_damping"] == "less"
    assert all(change["rebound_ratio"] > 1 for change in found["changes"])
    assert told(job, "too-low", "air")["rebound_damping"] is None


def test_the_first_setup_is_meant_where_none_is_named(job: Path) -> None:
    assert told(job, "too-low")["setup"] == "coil"
    assert told(job, "too-low", "fork")["end"] == "front"


def test_unbalanced_ends_need_two_ends(job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert told(job, "unbalanced", "fork")["changes"]
    one = written(tmp_path, wheel_job(demo_job(), "rear"))
    assert main(["advise", str(one), "--symptom", "unbalanced"]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    said = "symptom: unbalanced needs front and rear; use a job with both"
    assert shown.err == f"{one}: {said}\n"


def test_what_there_is_not_is_told_with_what_there_is(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["advise", str(job), "--symptom", "wallows", "--setup", "cool"]) == 2
    said = 'setup: no setup is named "cool"; use --setup with one of "coil", "air", "fork"'
    assert said in capsys.readouterr().err
    assert main(["advise", str(job), "--symptom", "wobbles"]) == 2
    assert "argument --symptom: wobbles is none of wallows, " in capsys.readouterr().err
    assert main(["advise", "--help"]) == 0
    said = "".join(capsys.readouterr().out.split())
    assert all(word in said for word in WORDS)


def test_a_wheel_that_does_not_settle_says_so(tmp_path: Path) -> None:
    stiff = wheel_job(demo_job(), "rear")
    for key in ("preload_turns", "thread_pitch", "max_preload_turns"):
        stiff = stiff.without(("setup", 0, key))
    stiff = stiff.with_value(("setup", 0, "rate"), "50 N/mm").with_value(("setup", 0, "preload"), "40 mm")
    path = written(tmp_path, stiff)
    found = told(path, "too-high", "coil")
    assert not found["settles"]
    (first,) = found["changes"]
    assert first["brings_sag_to_target"]
    assert first["then"]["sag_fraction"] == pytest.approx(0.29, abs=0.005)
    assert found["sag_first"][0].startswith("First bring the sag to 29 % of travel: it has no sag.")
    assert "it has no sag" in command(str(path), ["too-high"], "coil", as_json=False)


def test_every_symptom_has_a_word_of_its_own() -> None:
    assert len(set(WORDS)) == len(SYMPTOMS) == 9


@pytest.mark.slow
def test_several_symptoms_say_what_each_change_does_to_all(job: Path) -> None:
    words = ["--symptom", "wallows", "--symptom", "harsh-ramp-up"]
    assert main(["advise", str(job), *words, "--setup", "air", "--json"]) == 0
    found = json.loads(command(str(job), ["harsh-ramp-up", "wallows"], "air", as_json=True))
    assert found["symptoms"] == ["wallows", "harsh-ramp-up"]
    spacer = next(change for change in found["changes"] if change["write"].get("positive_spacers") == 0)
    assert [(e["symptom"], e["helps"], e["worsens"]) for e in spacer["effects"]] == [
        ("wallows", False, True),
        ("harsh-ramp-up", True, False),
    ]
    (left,) = found["not_worth_it"]
    assert left["text"] == "positive spacers 1 \u2192 2, set 201 psi for the same sag"
    assert [(e["helps"], e["worsens"]) for e in left["effects"]] == [(False, False), (False, True)]
    shown = command(str(job), ["harsh-ramp-up", "wallows"], "air", as_json=False)
    assert "helps harsh ramp-up; worsens wallows mid-stroke" in shown


@pytest.mark.slow
@pytest.mark.parametrize(("old", "new"), OLD_WORDS.items())
def test_the_spelling_of_older_scripts_still_works_and_is_not_shown(
    job: Path, old: str, new: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["advise", str(job), "--felt", old, "--setup", "air", "--json"]) == 0
    first = capsys.readouterr().out
    assert main(["advise", str(job), "--symptom", new, "--setup", "air", "--json"]) == 0
    assert capsys.readouterr().out == first
    assert json.loads(first)["symptoms"] == [new]
    assert main(["advise", "--help"]) == 0
    said = capsys.readouterr().out
    assert "--felt" not in said
    assert old not in said


def test_a_pressure_off_its_target_says_first_what_brings_the_sag_there(tmp_path: Path) -> None:
    path = written(tmp_path, confirmed_demo().with_value(("setup", 1, "pressure"), "175 psi"))
    shown = command(str(path), ["wallows"], "air", as_json=False)
    first = "First bring the sag to 29 % of travel: it is 35.0 %. Change 1 does it: pressure 175 \u2192 205"
    assert first in shown
    assert shown.index(first) < shown.index("1. pressure 175 \u2192 205 psi")
    found = told(path, "wallows", "air")
    assert [change["brings_sag_to_target"] for change in found["changes"]] == [True]
    assert found["changes"][0]["write"]["pressure"] == "205 psi"
    assert found["target"] == {"sag_fraction": 0.29, "of": "travel", "confirmed": True}


@pytest.mark.slow
def test_a_measured_sag_outside_its_band_comes_first(tmp_path: Path) -> None:
    measured = {"setup": "air", "sag": "56 mm", "of": "travel"}
    path = written(tmp_path, confirmed_demo().with_value(("measured",), measured))
    found = told(path, "wallows", "air")
    (first, why, now) = found["sag_first"]
    assert first.startswith(
        "First bring the sag to 29 % of travel on the bike: 56.0 mm measured at the wheel"
    )
    assert first.endswith("at the wheel, too much sag: expected 34.3 to 45.2 mm.")
    assert "psi gives 29 % of travel with it" in why
    assert why.endswith("The changes below are for that load.")
    assert now.startswith("With the measured load the sag is 37.8 %. Change 1 does it: pressure 205 ")
    assert found["measured_load"] == {"write": {"rider_share": 0.7698}, "take_out": ["posture"]}
    assert told(path, "wallows", "coil")["measured_load"] == {"write": {}, "take_out": []}
    assert told(path, "wallows", "coil")["sag_first"] == []
    # At a lower pressure that sag is none too much, at a higher one it tells of more load.
    soft = demo_job().with_value(("measured",), {**measured, "gauge": "165 psi"})
    to_set = "First set 205 psi on the bike, where the gauge read 165 psi."
    assert told(written(tmp_path, soft), "wallows", "air")["sag_first"] == [
        f"{to_set} The changes below start from that setting."
    ]
    hard = demo_job().with_value(("measured",), {**measured, "gauge": "250 psi"})
    (first, more) = told(written(tmp_path, hard), "wallows", "air")["sag_first"]
    assert first.startswith("56.0 mm measured at the wheel at 250 psi, too much sag: expected ")
    assert float(more.split("carries ")[1].split(" N")[0]) > float(why.split("carries ")[1].split(" N")[0])
    within = demo_job().with_value(("measured",), {**measured, "sag": "43 mm"})
    assert told(written(tmp_path, within), "wallows", "air")["sag_first"] == []


def test_every_caution_of_the_changed_job_is_told_with_the_change(tmp_path: Path) -> None:
    resting = demo_job().with_value(("front", "setup", 0, "port"), "3 mm")
    fork = told(written(tmp_path, resting), "too-high", "fork")
    assert fork["changes"]
    for change in fork["changes"]:
        assert [caution["code"] for caution in change["cautions"]] == ["pressurised", "drawn_in"]
        assert "sits" in change["cautions"][1]["text"]
    shown = command(str(tmp_path / "job.toml"), ["too-high"], "fork", as_json=False)
    assert shown.count("Unloaded it sits") == len(fork["changes"])
    assert "into the fork travel" in shown or "into its travel" in shown
