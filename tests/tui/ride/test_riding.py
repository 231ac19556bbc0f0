"""A ride in words, in JSON and by command: numbers are those of the physics, the caution is always there."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from physics.descent import descent
from physics.ground import Drop, Road
from physics.response import response
from physics.ride import ride
from physics.ride_search import HIGHEST, first_meets
from tests.tui.job.test_reading_damper import SLOPES, TESTED
from tui.cli import main
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.files import toml_text
from tui.job.job import Job
from tui.job.tree import Raw
from tui.job.wheels import wheel_job
from tui.kit.document import Paragraph, SetupName, Table, document_numbers, plain_lines
from tui.kit.roles import Role
from tui.ride.events import CAUTION, EVENTS, NO_SIZES, sizes_asked
from tui.ride.riding import (
    RIDE_FIGURES,
    Ridden,
    Searched,
    assumptions,
    document,
    json_object,
    numbers,
    ridden,
    search_text,
    searched,
    verdict,
    with_rebound,
)
from tui.shop_units import ABSENT, IMPERIAL, METRIC, USUAL

Printed = pytest.CaptureFixture[str]
DEMO = wheel_job(demo_job(), "rear")
HIGH = sizes_asked("drop", {"height": "2 m"})


@cache
def dropped(job: Job = DEMO, sizes: Job = NO_SIZES) -> Ridden:
    return ridden(answer_job(job), "drop", sizes)


def test_the_ride_is_that_of_the_physics() -> None:
    answered = answer_job(DEMO)
    found, again = dropped().ride, ride(answered.case, answered.answer, Drop(0.5))
    assert found.names == ("coil", "air")
    assert np.array_equal(found.travel, again.travel, equal_nan=True)


def test_the_verdict_is_the_first_line_and_the_caution_the_second() -> None:
    first, second, *_ = document(dropped(), USUAL).blocks
    assert isinstance(first, Paragraph)
    assert isinstance(second, Paragraph)
    used = 100 * dropped().ride.deepest / dropped().ride.wheel_travel
    assert first.text.startswith("Flat drop of 0.50 m: coil ")
    assert first.plain is not None
    assert first.plain.startswith("Flat drop, height 0.50 m: coil ")
    assert f"air {float(used[1]):.1f} % of travel" in first.text
    assert (second.text, second.role) == (CAUTION, Role.CAUTION)


def test_a_setup_that_meets_its_stop_is_told_with_speed_and_energy() -> None:
    found = dropped(sizes=HIGH)
    met = found.ride.meetings[0]
    assert met.time.size
    hardest = int(np.argmax(met.energy))
    told = f"{met.speed[hardest]:.2f} m/s ({met.energy[hardest]:.0f} J)"
    assert f"coil bottoms out at {told}" in verdict(found, USUAL).replace(" 2 times", "")


def test_the_table_has_every_figure_with_the_difference_to_the_baseline() -> None:
    found = dropped()
    rows = document_numbers(document(found, METRIC))
    table = {str(row[0]): row[1:] for row in rows}
    assert table["Figures, against coil"] == ["coil", "air", "diff."]
    coil, air = found.ride.deepest * 1e3
    shown = table["deepest travel (mm)"]
    assert shown[:2] == [round(float(coil), 1), round(float(air), 1)]
    assert float(str(shown[2])) == pytest.approx(float(str(shown[1])) - float(str(shown[0])), abs=0.05)


def test_a_peak_force_that_leaves_out_the_stop_is_marked_where_the_setup_bottomed_out() -> None:
    """Beside one that did not bottom out it would read as the softer hit."""
    found = dropped(sizes=sizes_asked("drop", {"height": "0.6 m"}))
    assert [one.time.size > 0 for one in found.ride.meetings] == [True, False]
    coil, air = found.ride.peak_wheel_force
    rows = {
        row[0]: row
        for table in document(found, USUAL).blocks
        if isinstance(table, Table)
        for row in table.rows
    }
    assert rows["peak wheel force (N)"][1:] == (f">{coil:.0f}", f"{air:.0f}", ABSENT)
    assert rows["deepest travel (mm)"][3] != ABSENT
    plain = "\n".join(plain_lines(document(found, USUAL)))
    assert f"peak wheel force: coil >{coil:.0f} N, air {air:.0f} N\n" in plain
    assert "> bottomed out: the stop adds to this force" in plain
    neither = "\n".join(plain_lines(document(dropped(sizes=sizes_asked("drop", {"height": "0.1 m"})), USUAL)))
    assert "> bottomed out" not in neither


def test_more_setups_have_tables_of_their_own_beside_the_baseline() -> None:
    many = DEMO
    for count in range(2, 5):
        many = many.with_setup(1, {**DEMO.setups[0], "name": f"coil {count}"})
    tables = [block for block in document(dropped(many), USUAL).blocks if isinstance(block, Table)]
    assert [len(table.rows[0]) for table in tables] == [6, 6]
    heads = [part for table in tables for part in table.rows[0] if part not in ("", "diff.")]
    named = [
        SetupName(name, place) for place, name in enumerate(("coil", "coil 4", "coil 3", "coil 2", "air"))
    ]
    assert [heads.count(name) for name in named] == [2, 1, 1, 1, 1], "each with its mark"


def test_what_peak_and_max_pressure_are_is_said_where_both_are_shown() -> None:
    labels = {figure.name: figure.label for figure in RIDE_FIGURES}
    assert labels["peak_pressure"].endswith(", ride")
    assert labels["max_pressure"].endswith(", pump")
    text = " ".join(plain_lines(document(dropped(), USUAL)))
    assert "max pressure the most to pump at full extension" in text
    coil = DEMO.without_setup(1)
    assert "max pressure" not in " ".join(plain_lines(document(dropped(coil), USUAL)))


def test_what_nobody_typed_is_listed_as_assumed_and_what_was_typed_is_not() -> None:
    told = list(assumptions(answer_job(DEMO).case, USUAL))
    assert told[0].startswith("Damper: rebound 50.0 %, compression 25.0 % of critical damping")
    assert told[1].startswith("Tyre: stiffness 120.0 N/mm, damping 100 N s/m, wheel radius 350.0 mm.")
    assert told[2] == "Equalising port: 2.0 mm long, flow area 3.0 mm2. Unverified."
    assert len(told) == 4
    typed = DEMO.with_value(("damper",), SLOPES).with_value(("tyre",), {"stiffness": "95 N/mm"})
    typed = typed.with_value(("setup", 1, "port_area"), "4 mm2").with_value(
        ("setup", 1, "time_constant"), "3 s"
    )
    told = list(assumptions(answer_job(typed).case, IMPERIAL))
    assert told == [
        "Tyre: damping 0.6 lbf s/in, wheel radius 13.78 in. Rule of thumb, unverified.",
        "Equalising port: 0.08 in long. Unverified.",
    ]


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize("table", [SLOPES, TESTED, {"rebound_share": "80 %"}])
def test_another_damper_is_another_ride(table: dict[str, Raw]) -> None:
    other = dropped(DEMO.with_value(("damper",), table)).ride
    assert not np.allclose(other.travel, dropped().ride.travel, atol=1e-3)


def test_every_figure_says_what_it_means_and_fits_its_column() -> None:
    assert len({figure.key for figure in RIDE_FIGURES}) == len(RIDE_FIGURES)
    for figure in RIDE_FIGURES:
        assert figure.meaning.endswith(".")
        assert len(figure.label) <= 22  # cells of the column at 80 columns


def test_a_setup_that_does_not_settle_does_not_ride_and_says_why() -> None:
    stiff = DEMO.with_value(("setup", 0, "rate"), "900 lbf/in").with_value(
        ("setup", 0, "preload_turns"), 15.0
    )
    found = dropped(stiff)
    lines = plain_lines(document(found, USUAL), "")
    assert lines[0].startswith("Flat drop, height 0.50 m: air ")
    assert lines[1].startswith("Caution: coil is left out: tops out under the rider")


def test_the_spreadsheet_has_a_row_for_each_moment_in_full() -> None:
    found = dropped()
    rows = numbers(found, METRIC)
    assert rows[0][:3] == ["time (s)", "ground (mm)", "coil travel (mm)"]
    assert len(rows) == found.ride.time.size + 1
    place = 300
    assert rows[place + 1][2] == pytest.approx(float(found.ride.travel[0, place]) * 1e3, rel=1e-12)


TRAIN = sizes_asked("bumps", {"speed": "12", "count": "3"})


@cache
def train(job: Job = DEMO) -> tuple[Ridden, Searched]:
    found = ridden(answer_job(job), "bumps", TRAIN)
    return found, searched(found)


def test_the_height_that_first_meets_the_stop_follows_the_verdict() -> None:
    found = dropped()
    more = searched(found)
    _, second, third, *_ = document(found, USUAL, more).blocks
    assert more.first_stop is not None
    coil, air = map(float, more.first_stop)
    assert isinstance(second, Paragraph)
    assert (
        second.text
        == f"Drop that first bottoms out, with damper: coil from {coil:.2f} m, air from {air:.2f} m."
    )
    assert isinstance(third, Paragraph)
    assert third.text == CAUTION
    just_below = ridden(answer_job(DEMO), "drop", sizes_asked("drop", {"height": f"{coil - 0.01:.3f}"}))
    just_above = ridden(answer_job(DEMO), "drop", sizes_asked("drop", {"height": f"{coil + 0.01:.3f}"}))
    assert [one.ride.meetings[0].time.size > 0 for one in (just_below, just_above)] == [False, True]


@pytest.mark.slow
def test_a_road_says_how_warm_each_setup_becomes_and_what_that_does_to_its_sag() -> None:
    there = answer_job(DEMO)
    found = ridden(there, "road", sizes_asked("road", {"speed": "3", "descent": "30 min"}))
    more = searched(found)
    warm = more.descent
    assert warm is not None
    down = descent(there.case, there.answer, Road("D", 3.0), 1800.0)
    assert warm.wall == pytest.approx(down.wall)
    told = search_text(found, more, USUAL)
    hot, sag = float(down.wall[1, -1]) - 273.15, 100 * float(down.sag[1])
    assert told.startswith("Heat of the descent, 30 min: coil 20 → ")
    assert f"air 20 → {hot:.0f} degC, pressure " in told
    assert told.endswith(f"→ {sag:.1f} %.")
    assert any("gives off 2.0 W/K" in text for text in plain_lines(document(found, USUAL, more)))
    setups = json_object(there, "rear", found, more)["setups"]
    assert setups[1]["descent"]["body_c"] == pytest.approx(hot)
    assert setups[1]["descent"]["sag_fraction"] == pytest.approx(sag / 100)
    assert setups[0]["descent"]["pressure_psi"] is None
    assert "descent 30 min" in verdict(found, USUAL, whole=True)


def test_nothing_is_searched_for_where_there_is_nothing_to_search() -> None:
    found = ridden(answer_job(DEMO), "edge", NO_SIZES)
    assert search_text(found, searched(found), USUAL) == ""


@pytest.mark.slow
def test_the_rebound_that_just_returns_is_told_as_the_damper_is_known() -> None:
    found, more = train()
    assert more.rebound is not None
    coil = float(more.rebound.factor[0])
    told = search_text(found, more, USUAL)
    assert f"coil {50 * coil:.1f} %, air " in told
    assert told.endswith(" % of critical damping.")
    slopes = DEMO.with_value(("damper",), {"rebound_low": "4000 N s/m", "compression_low": "900 N s/m"})
    found, more = train(slopes)
    assert more.rebound is not None
    told = search_text(found, more, USUAL)
    assert f"coil {4000 * float(more.rebound.factor[0]):.0f} N s/m, air " in told
    assert told.endswith(" N s/m at low speed.")


@pytest.mark.parametrize(
    ("table", "after"),
    [
        ({}, {"rebound_share": "75.0 %"}),
        ({"rebound_share": "40 %"}, {"rebound_share": "60.0 %"}),
        (SLOPES, {**SLOPES, "rebound_low": "2700 N s/m", "rebound_high": "1313 N s/m"}),
        (TESTED, {**TESTED, "force_n": (-1350.0, 0.0, 450)}),
    ],
)
def test_a_rebound_is_taken_in_the_way_the_damper_is_known(
    table: dict[str, Raw], after: dict[str, Raw]
) -> None:
    job = DEMO.with_value(("damper",), table) if table else DEMO
    assert with_rebound(job, 1.5).tree["damper"] == after


@pytest.mark.slow
def test_a_rebound_that_was_taken_just_returns() -> None:
    _, more = train()
    assert more.rebound is not None
    taken = with_rebound(DEMO, float(more.rebound.factor[0]))
    _, again = train(taken)
    assert again.rebound is not None
    assert float(again.rebound.factor[0]) == pytest.approx(1.0, abs=0.02)


@pytest.fixture
def file(tmp_path: Path) -> str:
    path = tmp_path / "job.toml"
    path.write_text(toml_text(demo_job(), None))
    return str(path)


@pytest.mark.slow
def test_the_command_prints_the_document(file: str, capsys: Printed) -> None:
    assert main(["ride", file, "--event", "drop", "--height", "0.5m"]) == 0
    printed = capsys.readouterr().out.splitlines()
    assert printed[1:] == plain_lines(document(dropped(), USUAL, searched(dropped())), "")
    assert printed[0] == demo_job().title


@pytest.mark.slow
def test_the_json_has_every_figure_in_the_unit_of_its_key(file: str, capsys: Printed) -> None:
    assert main(["ride", file, "--event", "drop", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["event"], found["sizes"], found["wheel"]) == ("drop", {"height_m": 0.5}, "rear")
    assert found["caution"] == CAUTION
    coil, air = found["setups"]
    keys = {figure.key for figure in RIDE_FIGURES} | {
        "name",
        "meetings",
        "first_stop_m",
        "rebound_factor",
        "descent",
    }
    assert set(coil) == set(air) == keys
    rode = dropped().ride
    assert air["deepest_travel_mm"] == pytest.approx(float(rode.deepest[1]) * 1e3)
    answers = response(answer_job(DEMO).case, answer_job(DEMO).answer)
    assert air["body_peak_ratio"] == pytest.approx(float(np.abs(answers.height[1]).max()))
    assert air["peak_wheel_force_n"] == pytest.approx(float(rode.peak_wheel_force[1]))
    assert coil["peak_pressure_psi"] is None
    assert coil["stop_meetings"] == len(coil["meetings"]["time_s"]) == rode.meetings[0].time.size
    assert len(found["assumed"]) == 4
    answered = answer_job(DEMO)
    first = first_meets(answered.case, answered.answer)
    assert [coil["first_stop_m"], air["first_stop_m"]] == pytest.approx(first.tolist())
    assert (found["searched_to_m"], coil["rebound_factor"]) == (HIGHEST, None)


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("event", EVENTS)
def test_every_event_is_answered_at_both_wheels(event: str, file: str, capsys: Printed) -> None:
    assert main(["ride", file, "--event", event, "--wheel", "front", "--setup", "fork"]) == 0
    out = capsys.readouterr().out
    assert CAUTION in out
    assert "fork " in out
    assert "shock" not in out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--event", "drop", "--height", "90m"], "height: "),
        (["--event", "drop", "--speed", "7m/s"], "speed: not a size of the event flat drop; use height"),
        (
            ["--event", "drop", "--setup", "steel"],
            'setup: no setup is named "steel"; use one of "coil", "air"',
        ),
        (["--event", "road", "--class", "Q"], "class: "),
    ],
)
def test_what_cannot_be_ridden_is_said_on_standard_error(
    words: list[str], told: str, file: str, capsys: Printed
) -> None:
    assert main(["ride", file, *words]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert f"{file}: {told}" in printed.err


def test_a_wheel_that_is_not_there_and_an_event_that_is_none_are_refused(
    tmp_path: Path, capsys: Printed
) -> None:
    path = tmp_path / "rear.toml"
    path.write_text(toml_text(DEMO, None))
    assert main(["ride", str(path), "--event", "drop", "--wheel", "front"]) == 2
    assert "wheel: this job has no front; use rear" in capsys.readouterr().err
    assert main(["ride", str(path), "--event", "bump"]) == 2
    assert capsys.readouterr().err == (
        "springwright ride: argument --event: bump is none of drop, landing, edge, bumps, compression, road; "
        "the nearest is bumps\n"
    )
    # A number with its sign is a value, not an option.
    assert main(["ride", str(path), "--event", "drop", "--height", "-1m"]) == 2
    assert 'height: "-1m" is out of range; use a length from 0.01 m to 20 m' in capsys.readouterr().err


def test_the_table_for_a_spreadsheet_is_printed(file: str, capsys: Printed) -> None:
    assert main(["ride", file, "--event", "edge", "--setup", "air", "--units", "imperial", "--csv"]) == 0
    head, *rows = capsys.readouterr().out.splitlines()
    assert head.startswith("time (s),ground (in),air travel (in)")
    assert len(rows) > 1000


HOT_PASS = {"temperature": "35 degC", "altitude": "2200 m"}
HOT = DEMO.with_value(("ride",), HOT_PASS)
# The gas in the coil's damper would warm up too.
UNCHARGED = (
    DEMO.without(("setup", 0, "rod"))
    .without(("setup", 0, "gas_pressure"))
    .without(("setup", 0, "gas_volume"))
)


def test_riding_conditions_change_what_the_air_does_and_not_the_coil() -> None:
    here, there = dropped(UNCHARGED), dropped(UNCHARGED.with_value(("ride",), HOT_PASS))
    assert there.ride.travel[0] == pytest.approx(here.ride.travel[0], abs=1e-12)
    assert there.ride.deepest[1] < here.ride.deepest[1] - 0.0005
    case = there.answered.case
    assert case.ride is not None
    peak = next(figure for figure in RIDE_FIGURES if figure.name == "peak_pressure")
    assert peak.read(there, 1) == float(there.ride.peak_pressure[1]) - float(case.ride.pressure)
    told = "Ridden at 35 degC, 2200 m, with the gas that was set in the shop."
    assert plain_lines(document(there, USUAL), "")[1] == told, "right under the verdict it is about"
    assert "Ridden at" not in "\n".join(plain_lines(document(here, USUAL), ""))


@pytest.mark.slow
def test_the_command_rides_in_the_riding_conditions(tmp_path: Path, capsys: Printed) -> None:
    file = tmp_path / "job.toml"
    file.write_text(toml_text(HOT, None))
    assert main(["ride", str(file), "--event", "drop", "--json"]) == 0
    plain = json.loads(capsys.readouterr().out)
    assert plain["conditions"].startswith("Ridden at 35 degC, 2200 m")
    assert plain["setups"][1]["deepest_travel_mm"] == pytest.approx(1e3 * dropped(HOT).ride.deepest[1])
