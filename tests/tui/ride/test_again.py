"""The same ground on another spring, in words, as JSON and by command; what the log shows of a complaint."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from physics.ground import Road
from physics.ride import ride
from tests.tui.ride.test_logged import demo_answer, job_file, recorded
from tui.cli import main
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.wheels import wheel_job
from tui.kit.document import Document, plain_lines
from tui.ride.again import (
    Again,
    advice_from,
    advice_on,
    again,
    blocks,
    effect_texts,
    ground_object,
    heard_blocks,
    lead,
)
from tui.ride.logged import logged
from tui.shop_units import METRIC, USUAL

Printed = pytest.CaptureFixture[str]


@cache
def log_of(setup: int = 0, seconds: float = 14.0, road: str = "E") -> str:
    """Return a made-up log of the demo: one of its setups over a random road, in mm at 500 Hz."""
    there = demo_answer().at("rear")
    assert there is not None
    rode = ride(there.case, there.answer, Road(road, 7.0, 3), duration=seconds)  # type: ignore[arg-type]
    curve = there.answer.setups[setup].curve
    clock = np.arange(int(seconds * 500)) / 500
    stroke = np.interp(np.interp(clock, rode.time, rode.travel[setup]), curve.wheel_travel, curve.stroke)
    rows = (f"{time:.3f},{length * 1e3:.3f}" for time, length in zip(clock, stroke, strict=True))
    return "\n".join(["time [s],shock stroke [mm]", *rows])


@cache
def found() -> Again:
    """Return the log of the first setup ridden again."""
    bike = demo_answer()
    return again(bike, logged(bike, recorded(log_of())).channels[0])


def said(one: Again) -> list[str]:
    return plain_lines(Document((*lead(one, USUAL), *blocks(one, USUAL))), "")


@pytest.mark.slow
def test_the_setup_that_was_ridden_gives_its_log_back_and_the_other_comes_out_as_it_rode() -> None:
    there, ground = demo_answer().at("rear"), found().found
    assert there is not None
    assert ground is not None
    assert ground.given_back.whole
    full = found().ridden.log.wheel_travel
    rode = ride(there.case, there.answer, Road("E", 7.0, 3), duration=14.0)
    used = ground.setups[1]
    assert used is not None
    # The log begins a lead-in before what is ridden again.
    late = rode.time >= float(ground.starts[0])
    true = float(np.quantile(rode.travel[1][late], 0.95))
    assert used.travel_95.value == pytest.approx(true, abs=0.03 * full)
    assert used.travel_95.low <= used.travel_95.value <= used.travel_95.high


def test_the_other_setup_is_told_with_its_range_and_what_it_stands_on() -> None:
    lines = said(found())
    assert re.match(r"coil as ridden, in \d+ s of the log: 95 % of the time below ", lines[0])
    assert "As calculated on the same ground: air 95 % of the time below " in lines[0]
    assert lines[-1].startswith("The ground is calculated from the log and ridden again; coil itself is ")
    assert "damper ±20 %, mass ±5 %" in lines[-1]


def test_what_the_log_shows_stands_for_a_complaint_and_each_change_is_ridden() -> None:
    one = found()
    assert [heard.symptom for heard in one.heard] == ["unused_travel"]
    assert re.fullmatch(r"99 % of the time below \d\d\.\d % of travel, no bottom-out", one.heard[0].said)
    assert one.changes
    ground = one.found
    assert ground is not None
    assert len(ground.setups) == len(one.places) + len(one.changes)
    lines = [line for line in said(one) if line.startswith("Change ")]
    assert len(lines) == len(one.changes)
    assert all("95 % of the time below" in line for line in lines)
    softer = next(at for at, change in enumerate(one.changes) if change.turned == "rate")
    used, before = ground.setups[len(one.places) + softer], ground.setups[0]
    assert used is not None
    assert before is not None
    assert used.travel_95.value > before.travel_95.value
    typed = one.typed[softer]
    assert (typed["rate"], typed["name"]) != (demo_job().setups[0]["rate"], "")
    assert {key: raw for key, raw in typed.items() if key != "rate"}.keys() >= {"name", "kind"}


def test_advice_reads_the_log_and_says_what_each_change_would_have_used_of_its_ground() -> None:
    one = found()
    lines = plain_lines(advice_from(one, USUAL), "")
    assert lines[0].startswith("used ")
    assert lines[1].startswith(f"The log shows: {one.heard[0].said} (never uses all its travel)")
    assert one.advised is not None
    effects = effect_texts(one, USUAL)
    assert len(effects) == len(one.advised.changes) > 1
    text = "\n".join(lines)
    for place, effect in enumerate(effects):
        assert text.index(f"{place + 1}. ") < text.index(f"on the logged ground: {effect}")
    # In other units it is the same ground, and what is typed is what was ridden.
    metric = plain_lines(advice_from(one, METRIC), "")
    assert " N/mm" in "".join(metric)
    assert f"   on the logged ground: {effects[0]}" in metric


def test_what_was_felt_is_asked_for_after_what_the_log_shows() -> None:
    bike = answer_job(demo_job().with_value(("ridden", "symptom"), "wallows"))
    [ridden] = logged(bike, recorded(log_of())).channels
    asked = advice_on(bike, ridden, USUAL)
    assert asked is not None
    assert asked.symptoms == ("unused_travel", "wallows")
    felt = advice_on(bike, ridden, USUAL, felt=("harsh_off_top",))
    assert felt is not None
    assert felt.symptoms == ("unused_travel", "harsh_off_top")
    told = "\n".join(plain_lines(Document(tuple(heard_blocks((), ("wallows",))))))
    assert "Felt by the rider on this bike: wallows mid-stroke." in told, "the list names no wheel"


@pytest.mark.slow
def test_the_command_advises_by_the_log_of_the_setup_on_the_bike(tmp_path: Path, capsys: Printed) -> None:
    job = job_file(tmp_path, demo_job())
    log = tmp_path / "ride.csv"
    log.write_text(log_of())
    assert main(["advise", job, "--log", str(log)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "Advice, rear coil, by the log ride.csv"
    one = found()
    assert [line.strip().partition(": ")[2] for line in lines if "on the logged ground" in line] == (
        effect_texts(one, USUAL)
    )
    assert main(["advise", job, "--log", str(log), "--symptom", "wallows", "--json"]) == 0
    plain = json.loads(capsys.readouterr().out)
    assert plain["symptoms"] == ["unused-travel", "wallows"]
    assert all(0 < one["on_logged_ground"]["travel_95_fraction"]["value"] < 1 for one in plain["changes"])
    assert plain["same_ground"]["given_back"]["enough"] is True


def test_advice_needs_a_complaint_or_a_log_of_that_wheel(tmp_path: Path, capsys: Printed) -> None:
    job = job_file(tmp_path, demo_job())
    assert main(["advise", job]) == 2
    assert "symptom: not given; use --symptom" in capsys.readouterr().err
    log = tmp_path / "ride.csv"
    log.write_text(log_of(seconds=7.0))
    assert main(["advise", job, "--log", str(log), "--setup", "fork"]) == 2
    assert "log: it has no travel of the front; use --setup" in capsys.readouterr().err


@pytest.mark.slow
def test_a_log_of_another_spring_is_withheld_or_says_how_far_off_it_is() -> None:
    bike = answer_job(demo_job().with_value(("setup", 0, "rate"), "900 lbf/in"))
    one = again(bike, logged(bike, recorded(log_of())).channels[0])
    assert one.found is not None
    text = " ".join(said(one))
    if one.found.given_back.whole:
        assert "coil itself is " in text
    else:
        assert "not shown. coil as typed does not reproduce the log" in text
        assert all(used is None for used in one.found.setups)


def test_too_short_a_log_is_told_not_raised() -> None:
    bike = demo_answer()
    one = again(bike, logged(bike, recorded(log_of(seconds=7.0))).channels[0])
    assert one.found is None
    assert any("every setup: not calculated, only " in line for line in said(one))
    assert ground_object(one)["trouble"].startswith("only ")


def test_the_json_has_every_setup_in_the_unit_of_its_key() -> None:
    plain = json.loads(json.dumps(ground_object(found()), allow_nan=False))
    assert [one["name"] for one in plain["setups"]] == ["coil", "air"]
    share = plain["setups"][1]["used"]["travel_95_fraction"]
    assert 0 < share["low"] <= share["value"] <= share["high"] <= 1
    assert plain["given_back"]["enough"] is True
    assert plain["given_back"]["damper_ratio"] == pytest.approx(1.0, abs=0.1)
    assert 0 <= plain["given_back"]["friction_n"] < 40
    assert plain["log_shows"][0]["symptom"] == "unused-travel"
    assert sum(plain["logged"]["share_of_time"]) == pytest.approx(1.0)


@pytest.mark.slow
def test_the_command_rides_the_ground_on_the_setup_that_is_named(tmp_path: Path, capsys: Printed) -> None:
    job = job_file(tmp_path, wheel_job(demo_job(), "rear"))
    log = tmp_path / "ride.csv"
    log.write_text(log_of())
    assert main(["log", job, str(log), "--against", "air", "--json"]) == 0
    [channel] = json.loads(capsys.readouterr().out)["channels"]
    assert [one["name"] for one in channel["same_ground"]["setups"]] == ["coil", "air"]


def test_the_command_refuses_a_setup_that_nobody_named(tmp_path: Path, capsys: Printed) -> None:
    job = job_file(tmp_path, wheel_job(demo_job(), "rear"))
    log = tmp_path / "ride.csv"
    log.write_text(log_of())
    assert main(["log", job, str(log), "--against", "steel"]) == 2
    refused = capsys.readouterr()
    assert refused.out == ""
    assert 'against: no setup is named "steel"' in refused.err
