"""Logged rides in words, as JSON and on the command line."""

import json
import math
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from physics.log import read_log, statistics
from physics.stand import stand
from tests.tui.job.two_ends import BIKE
from tests.tui.looks import LOOK
from tui.cli import main
from tui.job.answer import JobAnswer, answer_job
from tui.job.demo import demo_job
from tui.job.files import toml_text
from tui.job.job import Job
from tui.job.wheels import wheel_job
from tui.kit.cells import text_of as text_in
from tui.kit.document import Document, Heading, Paragraph, Table, plain_lines
from tui.kit.dressing import dressed
from tui.ride.events import CAUTION
from tui.ride.logged import LOG_FIGURES, Logged, document, json_object, logged, numbers
from tui.shop_units import ALL, IMPERIAL, USUAL, ShopUnits
from tui.tables.questions import Told
from tui.tables.recorded import Recorded, recorded_in
from tui.tables.source import UnusableReadings

Printed = pytest.CaptureFixture[str]
RATE, SECONDS = 200, 40


def shaken(seed: int, mean: float, spread: float, most: float) -> np.ndarray[Any, Any]:
    """Return a made-up shaking [mm] around a mean, between 0 and the most."""
    noise = np.random.default_rng(seed).normal(size=RATE * SECONDS)
    smooth = np.convolve(noise, np.hanning(25), "same")
    found: np.ndarray[Any, Any] = np.clip(mean + spread * smooth / smooth.std(), 0.0, most)
    return found


def text_of(**channels: np.ndarray[Any, Any]) -> str:
    columns = [np.arange(RATE * SECONDS) * 1000 / RATE, *channels.values()]
    heads = ["time [ms]", *(f"{name.replace('_', ' ')} [mm]" for name in channels)]
    rows = (",".join(f"{number:.2f}" for number in row) for row in np.column_stack(columns))
    return "\n".join([",".join(heads), *rows])


SHOCK = text_of(shock_stroke=shaken(1, 17.0, 9.0, 60.0))
BOTH = text_of(shock_stroke=shaken(1, 17.0, 9.0, 60.0), fork_travel=shaken(2, 50.0, 22.0, 140.0))


def recorded(text: str, name: str = "morning.csv") -> Recorded:
    return recorded_in(text.encode(), name, Told())


@cache
def demo_logged(text: str, name: str = "morning.csv") -> Logged:
    return logged(demo_answer(), recorded(text, name))


@cache
def demo_answer() -> JobAnswer:
    return answer_job(demo_job())


@pytest.fixture(scope="module")
def bike() -> JobAnswer:
    return demo_answer()


def job_file(folder: Path, job: Job | None = None) -> str:
    path = folder / "job.toml"
    path.write_text(toml_text(job or demo_job(), None))
    return str(path)


def log_file(folder: Path, text: str, name: str = "morning.csv") -> str:
    path = folder / name
    path.write_text(text)
    return str(path)


def test_the_statistics_are_those_of_the_physics(bike: JobAnswer) -> None:
    read = recorded(SHOCK)
    found = logged(bike, read)
    there = bike.at("rear")
    assert there is not None
    lever = stand(there.case).lever
    log = read_log(read.time, read.channels[0].readings * 1e-3, lever)
    rest = found.channels[0].seat.answer.air
    assert rest is None or float(rest.rest_stroke) == 0.0
    mine, theirs = found.channels[0].found.estimates(), statistics(log).estimates()
    assert {name: one.value for name, one in mine.items()} == pytest.approx(
        {name: one.value for name, one in theirs.items()}, nan_ok=True
    )
    assert found.channels[0].seat.name == there.answer.setups[0].name


@pytest.mark.slow
def test_the_verdict_leads_and_the_caution_follows(bike: JobAnswer) -> None:
    said = document(demo_logged(SHOCK), USUAL)
    paragraphs = [block for block in said.blocks if isinstance(block, Paragraph)]
    assert paragraphs[0].text.startswith(
        "morning.csv: used 93.3 % of its travel, 95 % of the time below 55.6 %"
    )
    assert "never bottoms out in 40 s, dynamic sag " in paragraphs[0].text
    assert paragraphs[0].text.endswith(", static 29.0 % as calculated.")
    assert CAUTION in [paragraph.text for paragraph in paragraphs]


@pytest.mark.parametrize("units", ALL, ids=[units.name for units in ALL])
def test_every_statistic_has_a_line_with_unit_and_interval(bike: JobAnswer, units: ShopUnits) -> None:
    found = demo_logged(SHOCK)
    lines = plain_lines(document(found, units), "")
    ridden = found.channels[0]
    for figure in LOG_FIGURES:
        line = next(line for line in lines if line.strip().startswith(f"{figure.label}:"))
        one = figure.of(ridden.found, ridden.log)
        assert units.show(one.value, figure.measure) in line
        assert f"({units.plain(one.low, figure.measure)} to {units.plain(one.high, figure.measure)})" in line
        assert one.low <= one.value <= one.high
        expected = figure.expected(ridden.seat.answer)
        assert math.isfinite(expected) is bool(figure.beside)
        assert not figure.beside or f"{figure.beside} {units.show(expected, figure.measure)}" in line


@pytest.mark.slow
def test_a_deeper_ride_than_static_sag_is_said_to_be_so(bike: JobAnswer) -> None:
    deep = demo_logged(text_of(shock_stroke=shaken(1, 30.0, 6.0, 60.0)))
    high = demo_logged(text_of(shock_stroke=shaken(1, 8.0, 3.0, 60.0)))
    assert "above the static sag of 29.0 %. Braking, corners and packing down add to" in "\n".join(
        plain_lines(document(deep, USUAL))
    )
    assert "below the static sag of 29.0 %. Time in the air, rebound or seal friction" in "\n".join(
        plain_lines(document(high, USUAL))
    )


@pytest.mark.slow
def test_two_channels_go_to_their_wheels_and_against_each_other(bike: JobAnswer) -> None:
    found = demo_logged(BOTH)
    assert [(one.seat.wheel, one.seat.there.answer.frame.fork) for one in found.channels] == [
        ("rear", False),
        ("front", True),
    ]
    assert found.together is not None
    said = "\n".join(plain_lines(document(found, USUAL)))
    assert "morning.csv, rear: " in said
    assert "morning.csv, front: " in said
    assert "Fork travel over rear travel, each in % of its own: " in said


@pytest.mark.slow
def test_a_fork_alone_takes_the_fork(bike: JobAnswer) -> None:
    alone = answer_job(wheel_job(BIKE, "front"))
    found = logged(alone, recorded(text_of(fork_travel=shaken(2, 30.0, 12.0, 120.0))))
    assert [one.seat.wheel for one in found.channels] == ["rear"]
    with pytest.raises(UnusableReadings, match="the log has shock stroke, the job has no rear shock"):
        logged(alone, recorded(SHOCK))


def test_a_channel_of_a_wheel_that_the_job_lacks_is_left_out_and_named() -> None:
    rear = answer_job(wheel_job(demo_job(), "rear"))
    found = logged(rear, recorded(BOTH))
    assert [one.seat.wheel for one in found.channels] == ["rear"]
    assert found.skipped == ("fork travel",)
    assert "Left out: fork travel; this job has no such wheel." in plain_lines(document(found, USUAL), "")


def test_the_same_ride_differs_in_nothing_and_another_one_does(bike: JobAnswer) -> None:
    one = demo_logged(SHOCK)
    other = demo_logged(text_of(shock_stroke=shaken(5, 28.0, 12.0, 60.0)), "evening.csv")
    same = plain_lines(document(one, USUAL, one), "")
    assert "All intervals overlap: the log shows no difference between the two rides." in same
    apart = plain_lines(document(one, USUAL, other), "")
    # The second ride stands right below the first.
    assert apart[1].startswith("Beside it evening.csv: used ")
    assert apart[0].split(": used")[1] != apart[1].split(": used")[1]
    assert "Against evening.csv:" in apart
    line = next(line for line in apart if line.strip().startswith("mean travel:"))
    assert line.endswith(": differs")


def test_two_rides_side_by_side_show_the_interval_of_each_statistic(bike: JobAnswer) -> None:
    one = demo_logged(SHOCK)
    other = demo_logged(text_of(shock_stroke=shaken(5, 28.0, 12.0, 60.0)), "evening.csv")
    page = document(one, USUAL, other)
    place = page.blocks.index(Heading("Against evening.csv", "Against evening.csv:"))
    table = page.blocks[place + 1]
    assert isinstance(table, Table)
    bands = {str(label): tuple(map(str, row)) for label, *row in table.rows[2:]}
    (mean, mean_then, differs, band, band_then) = bands["mean travel (%)"]
    for value, ends in ((mean, band), (mean_then, band_then)):
        low, high = map(float, ends.split(" to "))
        assert low <= float(value) <= high
    assert differs == "differs"
    told = [text_in([row]) for row in dressed(Document((table,)), 75, LOOK)]
    assert [part for part in told[0].split() if part.isalnum()] == ["1st", "2nd"] * 2
    assert told[1].split() == ["5", "to", "95", "%"] * 2
    assert any(row.split()[-3:] == band_then.split() for row in told), (
        "beside the fields of 120 columns none is left out"
    )
    narrow = [text_in([row]) for row in dressed(Document((table,)), 38, LOOK)]
    assert any(row.split()[-2:] == [mean, mean_then] for row in narrow)
    assert max(map(len, narrow)) <= 38


def test_what_is_left_out_is_named_with_its_time(bike: JobAnswer) -> None:
    lines = SHOCK.splitlines()
    broken = [*lines[:2001], *lines[2401:4001], "25000.0,lost", *lines[4002:]]
    found = demo_logged("\n".join(broken))
    said = next(line for line in plain_lines(document(found, USUAL), "") if line.startswith("Left out"))
    assert "Left out, from 10.00 s on:" in said
    assert "gap in the samples (once)" in said
    assert "not a number (once)" in said
    assert said.endswith(" of 40.00 s are used.") or said.endswith(" of 39.99 s are used.")


def test_a_heading_stands_above_the_hardest_hits_which_are_ten(bike: JobAnswer) -> None:
    found = demo_logged(SHOCK)
    said = document(found, USUAL)
    assert "Hardest hits" in [block.text for block in said.blocks if isinstance(block, Heading)]
    assert len([line for line in plain_lines(said, "") if line.startswith("  at ")]) == 10


def test_the_json_has_every_statistic_in_the_unit_of_its_key(bike: JobAnswer) -> None:
    found = demo_logged(BOTH)
    told = json.loads(json.dumps(json_object(bike, found), allow_nan=False))
    rear = told["channels"][0]
    assert set(rear["figures"]) == {figure.key for figure in LOG_FIGURES}
    stats, log = found.channels[0].found, found.channels[0].log
    assert rear["figures"]["travel_95_fraction"]["value"] == pytest.approx(
        stats.travel_95.value / log.wheel_travel
    )
    assert rear["figures"]["body_peak_hz"]["expected"] == pytest.approx(
        float(found.channels[0].seat.answer.riding.natural_frequency)
    )
    assert rear["figures"]["airtime_fraction"]["expected"] is None
    assert rear["deepest_mm"] == pytest.approx(stats.deepest * 1e3)
    assert sum(rear["travel_histogram"]["share"]) == pytest.approx(1.0)
    assert told["together"]["slope"]["low"] <= told["together"]["slope"]["value"]
    assert told["caution"] == CAUTION


def test_the_numbers_for_a_spreadsheet_are_unrounded_and_in_the_shops_unit(bike: JobAnswer) -> None:
    found = demo_logged(SHOCK)
    rows = {str(row[1]): row for row in numbers(found, IMPERIAL)[1:]}
    assert rows["95 % compression (in/s)"][2] == pytest.approx(
        found.channels[0].found.shaft.compression_95.value / 0.0254
    )
    assert all(len(row) == 6 for row in rows.values())


@pytest.mark.slow
def test_the_command_says_what_the_document_says(tmp_path: Path, capsys: Printed, bike: JobAnswer) -> None:
    job, log = job_file(tmp_path), log_file(tmp_path, SHOCK)
    assert main(["log", job, log]) == 0
    printed = capsys.readouterr()
    assert printed.err == ""
    assert plain_lines(document(demo_logged(SHOCK), USUAL), "")[0] in printed.out.splitlines()
    assert main(["log", job, log, "--json", "--with", log_file(tmp_path, SHOCK, "evening.csv")]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["against"] == "evening.csv"
    assert told["channels"][0]["figures"]["travel_95_fraction"]["differs"] is False
    assert main(["log", job, log, "--csv"]) == 0
    assert capsys.readouterr().out.startswith("wheel,figure,value,5 %,95 %,of the setup")


@pytest.mark.slow
def test_the_setup_that_was_ridden_can_be_named(tmp_path: Path, capsys: Printed) -> None:
    job, log = job_file(tmp_path), log_file(tmp_path, SHOCK)
    assert main(["log", job, log, "--setup", "air", "--json"]) == 0
    [channel] = json.loads(capsys.readouterr().out)["channels"]
    assert channel["setup"] == "air"
    assert main(["log", job, log, "--setup", "steel"]) == 2
    assert 'no setup is named "steel"' in capsys.readouterr().err


@pytest.mark.fast_cases(3)
@pytest.mark.parametrize(
    ("text", "options", "said"),
    [
        ("time [s],fork [mm]\n0,1\n2,1\n", [], "fork travel: 0.5 samples a second are too few; log at 100"),
        ("a,b\n0,1\n1,2\n", [], 'Answer like|add a header such as time [s], shock stroke [mm], or --columns'),
        ("time,shock\n0,1\n1,2\n", [], "the units of time and shock stroke are not given"),
        ("time,shock\n0,1\n1,2\n", ["--units", "time s, shock psi"], '"psi" is not a unit of shock stroke'),
        ("time,shock\n0,1\n1,2\n", ["--columns", "time 1, shock 9"], "there is no column 9; use 1 to 2"),
        ("time,shock\n0,1\n1,2\n", ["--columns", "colour 1"], '"colour 1" cannot be read'),
        ("time,shock\n0,1\n", ["--columns", "time 0", "--units", "time s"], 'columns: "time 0" cannot'),
        ("time [s],fork [mm]\n0,1\n2,1\n", ["--with", ""], "argument --with: the name is empty"),
        ("nothing", [], "no line with two numbers"),
        (text_of(shock_stroke=np.full(RATE * SECONDS, 20.0)), [], "the wheel moves only 0.0 mm"),
    ],
)  # fmt: skip
def test_a_log_that_cannot_be_used_is_refused_in_words(
    text: str, options: list[str], said: str, tmp_path: Path, capsys: Printed
) -> None:
    assert main(["log", job_file(tmp_path), log_file(tmp_path, text), *options]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert any(part in printed.err for part in said.split("|"))
    assert "Traceback" not in printed.err


HOSTILE = "ri\x1b[31md\u202ee\nx\x9b\x07.csv"
"""A name that would colour the terminal, turn the text round and ring the bell."""


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize(
    "words",
    [
        ["log", "JOB", "LOG"],
        ["log", "JOB", "LOG", "--csv"],
        ["log", "JOB", "LOG", "--json", "--with", "LOG"],
        ["log", "JOB", "LOG", "--with", "LOG", "--against", "all"],
        ["advise", "JOB", "--log", "LOG"],
        ["sheet", "JOB", "--log", "LOG"],
        ["sheet", "JOB", "--log", "LOG", "--format", "html", "--workings"],
        ["sheet", "JOB", "--log", "LOG", "--format", "markdown"],
    ],
)
def test_the_name_of_a_log_moves_no_cursor_and_colours_nothing(
    words: list[str], tmp_path: Path, capsys: Printed
) -> None:
    text = text_of(shock_stroke=20.0 + 10.0 * np.sin(np.arange(RATE * SECONDS) / RATE * 8.0))
    given = {"JOB": job_file(tmp_path), "LOG": log_file(tmp_path, text, HOSTILE)}
    assert main([given.get(word, word) for word in words]) == 0
    printed = capsys.readouterr()
    assert printed.out
    for one in printed.out + printed.err:
        assert one.isprintable() or one in "\n\r\xa0\u202f", repr(one)
