"""An event over a range or a map of two: what each place holds, how it is asked for, printed and refused."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import numpy as np
import pytest

from physics.ride_search import RIDE_INPUTS
from tui.cli import main
from tui.job.answer import JobAnswer, answer_job
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob
from tui.job.fields import INPUTS
from tui.job.files import toml_text
from tui.ride import mapped
from tui.ride.events import CAUTION, NO_SIZES, EventName
from tui.ride.riding import ridden
from tui.shop_units import USUAL, Measure


def answered(**typed: str) -> JobAnswer:
    """Return the rear of the demo, with values of its damper typed."""
    job = demo_job()
    for key, text in typed.items():
        job = job.with_value(("damper", key), text)
    there = answer_job(job).at("rear")
    assert there is not None
    return there


@pytest.fixture(scope="module")
def rear() -> JobAnswer:
    return answered()


@pytest.fixture
def job(tmp_path: Path) -> str:
    path = tmp_path / "job.toml"
    path.write_text(toml_text(demo_job(), None))
    return str(path)


def sides_of(there: JobAnswer, event: EventName, *over: str) -> list[mapped.Side]:
    return [mapped.side_asked(text, there, event, 3) for text in over]


def figures(there: JobAnswer, event: EventName, sizes: dict[str, str]) -> list[tuple[float, ...]]:
    """Return the figures of one ride, by figure and setup."""
    asked = NO_SIZES
    for key, text in sizes.items():
        asked = asked.with_value((event, key), text)
    one = ridden(there, event, asked)
    return [tuple(figure.read(one, place) for place in range(2)) for figure in mapped.FIGURES.values()]


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize(
    "over",
    [("height=20mm..60mm:2", "rebound_share=30%..60%:2"), ("rebound_share=30%..60%:2", "height=20..60:2")],
)
@pytest.mark.slow
def test_every_place_of_a_map_is_the_ride_with_both_numbers_typed(
    rear: JobAnswer, over: tuple[str, str]
) -> None:
    found = mapped.mapped(rear, "edge", NO_SIZES, sides_of(rear, "edge", *over))
    for a, height in enumerate(("20 mm", "60 mm")):
        for b, share in enumerate(("30 %", "60 %")):
            single = figures(answered(rebound_share=share), "edge", {"height": height})
            place = (a, b) if over[0].startswith("height") else (b, a)
            here = [tuple(part[:, *place]) for part in found.figures.values()]
            assert np.asarray(here) == pytest.approx(np.asarray(single), rel=1e-6, abs=1e-9, nan_ok=True)


def test_a_range_says_from_where_on_each_setup_meets_its_stop(rear: JobAnswer) -> None:
    drops = mapped.mapped(rear, "drop", NO_SIZES, sides_of(rear, "drop", "height=0.3..0.5:3"))
    said = "Flat drop, over height 0.30 to 0.50 m: coil bottoms out from 0.40 m; air uses 82.4 to 93.4 % of"
    assert mapped.verdict(drops, USUAL).startswith(said)
    first = mapped.document(drops, mapped.FIGURES[mapped.FIRST], USUAL).blocks
    assert any(CAUTION in getattr(block, "text", "") for block in first[:3])


def test_what_changes_along_a_range_is_not_among_what_was_assumed(rear: JobAnswer) -> None:
    for over, gone in (("rebound_share=30%..60%:2", "rebound"), ("tyre_stiffness=80..160:2", "stiffness")):
        found = mapped.mapped(rear, "edge", NO_SIZES, sides_of(rear, "edge", over))
        plain = mapped.json_object("", "rear", found)
        assert plain["assumed"]
        assert not any(f" {gone} " in text for text in plain["assumed"])


def test_a_place_that_is_not_possible_is_empty_and_told_with_its_reason(rear: JobAnswer) -> None:
    found = mapped.mapped(rear, "drop", NO_SIZES, sides_of(rear, "drop", "positive_spacers=0..20:2"))
    assert np.isfinite(found.figures[mapped.FIRST][:, 0]).all()
    assert np.isnan(found.figures[mapped.FIRST][:, 1]).all()
    assert found.impossible[0].startswith("1 of 2 not possible: chamber too small")
    with pytest.raises(UnusableJob, match="not possible"):
        mapped.mapped(rear, "drop", NO_SIZES, sides_of(rear, "drop", "positive_spacers=20..40:2"))


def test_the_work_tells_its_progress_and_can_be_ended(rear: JobAnswer) -> None:
    told: list[float] = []
    sides = sides_of(rear, "drop", "height=0.1..0.2:2", "sag=25%..30%:2")
    mapped.mapped(rear, "drop", NO_SIZES, sides, told.append)
    assert told == sorted(told)
    assert 0.9 < told[-1] <= 1

    def enough(share: float) -> None:
        raise InterruptedError

    with pytest.raises(InterruptedError):
        mapped.mapped(rear, "drop", NO_SIZES, sides, enough)


def test_every_input_of_a_ride_has_a_name_and_a_usual_range(rear: JobAnswer) -> None:
    names = mapped.names_of(rear, "bumps")
    assert names[:6] == ("height", "length", "speed", "count", "spacing", "rebound_share")
    assert {"tyre_stiffness", "wheel_radius", "port_area", "pressure", "rate"} < set(names)
    assert len(names) == len(set(names))
    for name in names:
        side = mapped.usual_side(rear, "bumps", NO_SIZES, name, 4)
        assert side.numbers.size > 1
        assert np.all(np.diff(side.numbers) > 0), name
        assert mapped.label_of(rear, "bumps", name) == side.label
    assert {one.name for one in RIDE_INPUTS} < set(INPUTS)
    assert mapped.names_of(rear, "road")[0] == "speed"


@pytest.mark.slow
def test_the_command_prints_a_map_of_every_setup_as_lines_json_and_csv(
    job: str, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ["ride", job, "--event", "drop", "--over", "height=0.2m..0.6m:2", "--over", "pressure=180..240:3"]
    assert main([*asked, "--figure", "deepest_travel"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert "coil: deepest travel (mm), set pressure across:" in lines
    assert "  0.60 m: 180 psi ! 148.0, 210 psi ! 148.0, 240 psi ! 148.0" in lines
    assert any("without legs" in line for line in lines)
    assert main([*asked, "--json"]) == 0
    plain = json.loads(capsys.readouterr().out)
    assert [next(iter(side)) for side in plain["over"]] == ["height_m", "pressure_psi"]
    assert plain["over"][1]["pressure_psi"] == pytest.approx([180, 210, 240])
    assert np.shape(plain["setups"][1]["travel_used_fraction"]) == (2, 3)
    assert all(isinstance(count, int) for count in plain["setups"][0]["stop_meetings"][1])
    assert main([*asked, "--csv"]) == 0
    rows = list(csv.reader(io.StringIO(capsys.readouterr().out)))
    assert len(rows) == 7
    assert rows[0][:3] == ["height (m)", "set pressure (psi)", "coil: travel used (%)"]
    used = [float(row[3]) / 100 for row in rows[1:4]]
    assert used == pytest.approx(plain["setups"][1]["travel_used_fraction"][0])


REFUSED = {
    ("--over", "foo=1..2"): "over.foo: does not change such a ride; use one of height, rebound_share",
    ("--over", "height"): 'over: "height" cannot be read; use NAME=FROM..TO',
    ("--over", "height=0.6..0.2"): "over.height: 0.6 is not below 0.2; give the lower end first",
    ("--over", "height=0.6..30"): 'height: "30 m" is out of range',
    ("--over", "height=a..b"): 'height: "a" is not a number with a unit',
    ("--over", "height=0..1:1"): 'height: "0 m" is out of range',
    ("--over", "height=0.1..1:1"): "over.height: 1 is out of range; use 2 to 1000",
    ("--figure", "sinks"): "over: no range is given; use --over NAME=FROM..TO with a figure",
    ("--over", "height=0.1..1:900", "--over", "sag=20%..30%:9"): "over: 8100 rides are too many",
    ("--over", "height=0.1..1", "--over", "height=0.1..2"): "over: given too often",
    ("--over", "height=0.1..1:2", "--figure", "foo"): 'figure: "foo" is not a figure of a ride',
    ("--over", "height=0.1..1:2", "--wheel", "front", "--setup", "air"): 'setup: no setup is named "air"',
}


@pytest.mark.parametrize("words", REFUSED, ids=" ".join)
def test_what_cannot_be_ridden_is_refused_in_one_sentence(
    words: tuple[str, ...], job: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["ride", job, "--event", "drop", *words]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith(f"{job}: {REFUSED[words]}")
    assert told.err.count("\n") == 1


def test_a_sweep_over_what_counts_in_rides_alone_says_where_it_counts(
    job: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["sweep", job, "--over", "rebound_share=30%..50%", "--figure", "sag"]) == 2
    assert "no figure of a sweep depends on it; use springwright ride JOB" in capsys.readouterr().err
    assert INPUTS["rebound_share"] == ("rebound damping", Measure.FRACTION)
