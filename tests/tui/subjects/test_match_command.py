"""A match and wanted figures without a screen: lines, JSON, faults; what is written into the file does it."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from tui.cli import main
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.files import toml_text
from tui.job.job import Job
from tui.job.tree import Tree
from tui.job.wheels import wheel_job
from tui.subjects.answers import answer_object

REAR = wheel_job(demo_job(), "rear")
Said = pytest.CaptureFixture[str]


@pytest.fixture
def job(tmp_path: Path) -> str:
    return written(tmp_path, demo_job())


def written(tmp_path: Path, job: Job) -> str:
    path = tmp_path / "job.toml"
    path.write_text(toml_text(job, None))
    return str(path)


def told(capsys: Said, *arguments: str) -> str:
    assert main(["match", *arguments]) == 0
    return " ".join(capsys.readouterr().out.split())


def found(capsys: Said, *arguments: str) -> dict[str, Any]:
    assert main(["match", *arguments, "--json"]) == 0
    read: dict[str, Any] = json.loads(capsys.readouterr().out)
    return read


def refused(capsys: Said, *arguments: str) -> str:
    assert main(["match", *arguments]) == 2
    said = capsys.readouterr()
    assert not said.out
    return said.err


def with_written(setup: int, change: dict[str, Any]) -> Job:
    kept = {key: raw for key, raw in REAR.setups[setup].items() if key not in change["take_out"]}
    return REAR.with_setup(None, Tree({**kept, **change["write"], "name": "tried"}))


def test_air_is_set_like_the_coil(job: str, capsys: Said) -> None:
    said = told(capsys, job)
    assert said.startswith(
        "air matched to coil 184 psi, positive spacers 0, negative spacers 4: like the target over 64 % of "
        "travel; most off from 128.9 to 148.0 mm of wheel travel, 1132 N firmer at 148.0 mm. "
        "set pressure: 205 psi \u2192 184 psi positive spacers: 1 \u2192 0"
    )
    assert "Wheel force off by 376 N RMS (70.5 % of static load)." in said
    assert "Searched: Positive spacers 0 to 7; negative spacers 0 to 5; set pressure up to 320 psi" in said
    assert "At the limit of the search: positive spacers (lowest)." in said
    assert "Caution: Unloaded it sits 0.3 mm into the stroke" in said
    assert "never above max pressure" in said


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize(("goal", "using"), [("coil", "air"), ("air", "coil")])
@pytest.mark.parametrize("volumes", [(), ("--volumes",), ("--cans",)])
def test_what_is_written_into_the_file_does_what_was_said(
    job: str, capsys: Said, goal: str, using: str, volumes: tuple[str, ...]
) -> None:
    read = found(capsys, job, "--target", goal, "--with", using, *volumes)
    assert (read["goal"], read["with"]) == (goal, using)
    tried = answer_job(with_written(("coil", "air").index(using), read)).answer
    new = tried.setups[2]
    assert float(new.sag.wheel_fraction) == pytest.approx(read["sag_fraction"], rel=1e-9)
    aim = tried.setups[("coil", "air").index(goal)]
    gap = float(new.riding.bottom_wheel_force - aim.riding.bottom_wheel_force)
    assert abs(gap) <= abs(read["largest_gap_n"]) * (1 + 1e-9)
    again = answer_object(answer_job(with_written(("coil", "air").index(using), read)))["setups"][2]
    assert read["promised"] == {key: again[key] for key in read["promised"]}
    assert read["cautions"] == again["cautions"]
    assert 0 < read["closeness_fraction"] < 1.2
    assert read["gap_from_mm"] <= read["largest_gap_at_mm"] <= read["gap_to_mm"]


def test_wants_are_met_or_it_says_which_is_not(job: str, capsys: Said) -> None:
    wants = ("--with", "air", "--want", "support_50>=1.55", "--want", "bottom_ratio<=9")
    read = found(capsys, job, *wants)
    assert [want["met"] for want in read["wants"]] == [True, True]
    figures = answer_job(with_written(1, read)).answer.setups[2].riding
    assert float(figures.support_50) == pytest.approx(read["wants"][0]["found"], rel=1e-9)
    assert float(figures.support_50) >= 1.55 * 0.9999
    said = told(capsys, job, "--with", "air", "--want", "support_50 >= 1,7", "--want", "bottom_ratio=4.3")
    assert said.startswith("air for 29.0 % sag (travel)")
    assert "support at 50 % at least 1.7 x static:" in said
    assert (
        "bottom-out ratio exactly 4.3 x static: 7.172 x static, not met; best possible 7.172 x static" in said
    )
    assert re.search(r"\(travel\) (None|1) of 2 targets met, limited by", said)


def test_a_share_may_be_a_percentage(job: str, capsys: Said) -> None:
    read = found(capsys, job, "--with", "air", "--want", "chord_deviation>=-20%")
    assert read["wants"][0]["number"] == -0.2


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (
            ("--goal", "cail"),
            'target: no setup is named "cail"; use --target with one of "coil", "air", "fork"',
        ),
        (("--with", "fork"), 'with: no setup is named "fork"; use --with with one of "coil", "air"'),
        (("--goal", "fork"), "with: the target setup is the only setup at this wheel"),
        (("--want", "support=2"), 'want: no figure is called "support"; use support_'),
        (("--want", "support_50"), 'want: "support_50" cannot be read; use "support_50>=1.7"'),
        (("--want", "support_50>=1.2.3"), 'want: "1.2.3" is not a number'),
        (
            ("--want", "support_50>=1", "--goal", "coil"),
            "want: given with --target; use one of the two",
        ),
        (("--goal", "coil", "--with", "coil"), "with: the target setup itself"),
    ],
)
def test_what_cannot_be_asked_is_told(job: str, capsys: Said, arguments: tuple[str, ...], said: str) -> None:
    assert said in refused(capsys, job, *arguments)


def test_a_goal_that_does_not_settle_and_a_job_with_faults_are_refused(tmp_path: Path, capsys: Said) -> None:
    stiff = written(tmp_path, REAR.with_value(("setup", 0, "rate"), "900 N/mm"))
    assert "target: The target setup has no sag under this rider" in refused(capsys, stiff)
    broken = written(tmp_path, REAR.with_value(("frame", "stroke"), "6 mm"))
    assert "frame.stroke" in refused(capsys, broken)
    low = written(tmp_path, REAR.with_value(("setup", 1, "max_pressure"), "20 psi"))
    said = refused(capsys, low, "--with", "air", "--want", "support_50>=1")
    assert "with: No setting reaches this: this sag needs more than the max pressure of 20 psi" in said


def test_what_is_beyond_the_gas_law_is_not_reached(job: str, capsys: Said) -> None:
    read = found(capsys, job, "--with", "air", "--want", "slow_support_50>=1.8")
    want = read["wants"][0]
    assert (want["met"], want["reachable"]) == (False, False)
    assert want["found"] == want["alone"] < 1.8
    assert read["promised"]["peak_pressure_psi"] < 1740
    said = told(capsys, job, "--with", "air", "--want", "slow_support_50>=1.8")
    assert f"not met; best possible {want['alone']:.4g}" in said


@pytest.mark.slow
def test_support_above_the_sag_does_not_exist(job: str, capsys: Said) -> None:
    read = found(capsys, job, "--with", "air", "--want", "support_25>=1")
    assert (read["wants"][0]["exists"], read["wants"][0]["found"]) == (False, None)
    said = told(capsys, job, "--with", "air", "--want", "support_25>=1")
    assert "None of these figures exists at this sag." in said
    assert "support at 25 % at least 1 x static: does not exist at this sag" in said
    both = told(capsys, job, "--with", "air", "--want", "support_25>=1", "--want", "support_50>=1.5")
    assert "All others met; support at 50 % has the least margin." in both


@pytest.mark.slow
def test_bounds_are_told_and_what_sits_on_one(job: str, capsys: Said) -> None:
    read = found(capsys, job, "--volumes")
    assert read["bounds_si"]["positive_volume"]["low"] == pytest.approx(0.7 * 112e-6)
    assert read["bounds_si"]["positive_volume"]["on"] == "high"
    assert read["settings_si"]["positive_volume"] == pytest.approx(
        read["bounds_si"]["positive_volume"]["high"]
    )
    assert read["limits"] == {"highest_pressure_bar": 120.0, "rest_stroke_mm": 1.0}
    assert read["promised"]["rest_stroke_mm"] <= 1.0
    said = told(capsys, job, "--volumes")
    assert "Positive volume 78.4 to 145.6 cm3 (70 to 130 % of the typed volume)" in said
    assert "At the limit of the search: positive volume (highest)." in said
