"""A linkage in the job file: points in mm or in pixels, every fault by its name, and what the answer says."""

import json
import math
import re

import pytest

from physics.case import Linkage
from tui.job.answer import answer_job
from tui.job.case import case_of
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob, dotted
from tui.job.files import toml_text
from tui.job.job import Job, parse
from tui.job.reading import read
from tui.job.tree import Raw
from tui.subjects.answers import answer_object
from tui.subjects.report import report

# Invented: 150 mm of wheel travel on a stroke of 60 mm.
POINTS = {"main": (0, 0), "axle": (435, 0), "eye": (160, 70), "front": (0, 235)}
PARTS = {
    "fixed": ("main", "front"),
    "bars": (("main", "axle"), ("main", "eye"), ("axle", "eye")),
    "axle": "axle",
    "shock": ("eye", "front"),
}
IN_MM = {"kind": "linkage", "points_mm": POINTS} | PARTS
# The same in a picture: 2.5 pixels a mm, y down, the main pivot at 900, 1400.
PICTURE = {name: (900 + 2.5 * x, 1400 - 2.5 * y) for name, (x, y) in POINTS.items()}
KNOWN = {"from": "main", "to": "axle", "length": "435 mm"}
IN_PIXELS = {"kind": "linkage", "points_px": PICTURE, "known": KNOWN} | PARTS


def job(leverage: dict[str, Raw], **frame: Raw) -> Job:
    sizes = {"wheel_travel": "150 mm", "stroke": "60 mm", "eye_to_eye": "230 mm"} | frame
    return demo_job().with_value(("frame",), sizes | {"leverage": leverage})


def faults(of: Job) -> dict[str, str]:
    with pytest.raises(UnusableJob) as caught:
        answer_job(of)
    return {dotted(fault.path): f"{fault.what}; {fault.accepted}" for fault in caught.value.faults}


def without(table: dict[str, Raw], *keys: str) -> dict[str, Raw]:
    return {key: value for key, value in table.items() if key not in keys}


def test_points_in_mm_become_a_linkage_in_m() -> None:
    frame = case_of(read(job(IN_MM))).frame
    drawn = frame.leverage
    assert isinstance(drawn, Linkage)
    assert drawn.names == ("main", "axle", "eye", "front")
    assert sum(drawn.places, ()) == pytest.approx((0.0, 0.0, 0.435, 0.0, 0.16, 0.07, 0.0, 0.235))
    assert (drawn.fixed, drawn.bars, drawn.axle, drawn.shock) == tuple(PARTS.values())
    assert frame.eye_to_eye == 0.230
    assert hash(frame)


def test_points_of_a_picture_give_the_same_bike() -> None:
    drawn = answer_job(job(IN_MM)).answer
    seen = answer_job(job(IN_PIXELS)).answer
    assert seen.frame.ratio == pytest.approx(drawn.frame.ratio, rel=1e-9)
    assert float(seen.setups[0].sag.wheel) == pytest.approx(float(drawn.setups[0].sag.wheel), rel=1e-9)
    # Half the length known between the same points: half the bike, whose shock has no room for the stroke.
    small = IN_PIXELS | {"known": KNOWN | {"length": "43.5 mm"}}
    assert set(faults(job(small))) == {"frame.stroke", "frame.eye_to_eye"}


def tilted(degrees: float, leverage: dict[str, Raw] = IN_PIXELS) -> dict[str, Raw]:
    """Return a drawing as a camera held askew sees it, with the front axle in it, level with the rear one.

    A positive angle turns it anticlockwise as one looks at it; in pixels y is down.
    """
    key, far, up = ("points_px", 2000.0, -1) if "points_px" in leverage else ("points_mm", -780.0, 1)
    points = leverage[key]
    assert isinstance(points, dict)
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    seen = {
        name: (c * x - up * s * y, up * s * x + c * y)
        for name, (x, y) in {**points, "front axle": (far, points["axle"][1])}.items()
    }
    return leverage | {key: seen, "level": {"from": "front axle", "to": "axle"}}


@pytest.mark.slow
@pytest.mark.parametrize("degrees", [-44.0, -7.5, 0.0, 3.2, 20.0, 44.0])
@pytest.mark.parametrize("leverage", [IN_MM, IN_PIXELS], ids=["mm", "pixels"])
def test_a_tilted_photo_gives_the_leverage_of_the_straight_one(
    degrees: float, leverage: dict[str, Raw]
) -> None:
    straight, found = (answer_job(job(of)).answer for of in (leverage, tilted(degrees, leverage)))
    assert found.frame.ratio == pytest.approx(straight.frame.ratio, rel=1e-7)
    assert found.frame.linkage is not None
    assert straight.frame.linkage is not None
    assert found.frame.linkage.axle == pytest.approx(straight.frame.linkage.axle, abs=1e-9)
    assert float(found.setups[0].sag.wheel) == pytest.approx(float(straight.setups[0].sag.wheel), rel=1e-7)
    turned = answer_object(answer_job(job(tilted(degrees, leverage))))["frame"]["linkage"]["turned_deg"]
    assert turned == pytest.approx(-degrees, abs=1e-6)
    assert answer_object(answer_job(job(leverage)))["frame"]["linkage"]["turned_deg"] is None


def test_without_level_points_a_tilted_photo_is_another_bike() -> None:
    askew = without(tilted(7.0), "level") | {"fixed": ("main", "front", "front axle")}
    straight, found = (answer_job(job(of)).answer.frame.ratio for of in (IN_PIXELS, askew))
    assert abs(float(found[0] / straight[0]) - 1) > 5e-3


def linkage_lines(of: Job) -> list[str]:
    """Return the lines of the report that tell of a drawn linkage."""
    return [line for line in report(answer_job(of)).splitlines() if line.startswith("  Linkage: ")]


@pytest.mark.slow
def test_which_end_of_the_level_is_named_first_says_nothing() -> None:
    seen = tilted(12.0)
    swapped = seen | {"level": {"from": "axle", "to": "front axle"}}
    one, other = (answer_job(job(leverage)).answer.frame.ratio for leverage in (seen, swapped))
    assert one == pytest.approx(other, rel=1e-12)
    assert [line.rpartition("; ")[2] for line in linkage_lines(job(tilted(-12.0)))] == [
        "rotated by 12.0 deg to level"
    ]
    assert "rotated by" not in report(answer_job(job(IN_MM)))


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("leverage", [IN_MM, IN_PIXELS, tilted(5.0)], ids=["mm", "pixels", "tilted"])
def test_it_comes_back_from_its_file(leverage: dict[str, Raw]) -> None:
    text = toml_text(job(leverage), None)
    assert parse(text) == job(leverage)
    # Over an older text with comments, another point and another bar included.
    commented = text.replace('kind = "linkage"', 'kind = "linkage"  # read off the side photo')
    key = "points_mm" if "points_mm" in leverage else "points_px"
    more = job(leverage).with_value(("frame", "leverage", key, "stay"), (400, 30))
    more = more.with_value(("frame", "leverage", "bars", 3), ("stay", "axle"))
    again = toml_text(more, commented)
    assert parse(again) == more
    assert "# read off the side photo" in again


def test_the_json_answer_tells_what_the_drawing_gives() -> None:
    found = json.loads(json.dumps(answer_object(answer_job(job(IN_MM))), allow_nan=False))
    linkage = found["frame"]["linkage"]
    assert linkage["wheel_travel_mm"] == pytest.approx(150, abs=1)
    assert linkage["eye_to_eye_mm"] == pytest.approx(math.hypot(160, 165))
    assert len(linkage["axle_path_mm"]) == len(linkage["ratio"]) == len(linkage["stroke_mm"]) == 41
    assert linkage["axle_path_mm"][0] == [0.0, 0.0]
    assert linkage["axle_path_mm"][-1][1] == pytest.approx(linkage["wheel_travel_mm"])
    # The axle turns about the main pivot, 435 mm away.
    assert all(math.hypot(435 + x, y) == pytest.approx(435) for x, y in linkage["axle_path_mm"])
    assert found["frame"]["leverage_start"] == pytest.approx(linkage["ratio"][0], rel=0.01)
    assert answer_object(answer_job(demo_job()))["frame"]["linkage"] is None


@pytest.mark.slow
def test_the_report_tells_the_travel_of_the_drawing() -> None:
    linkage = answer_job(job(IN_MM)).answer.frame.linkage
    assert linkage is not None
    travel = f"{float(linkage.wheel_travel) * 1e3:.1f} mm"
    assert linkage_lines(job(IN_MM)) == [
        f"  Linkage: 229.8 mm eye to eye, {travel} wheel travel over the stroke"
    ]
    assert linkage_lines(demo_job()) == []


def test_a_shock_of_another_length_is_a_caution_and_further_off_a_fault() -> None:
    told = [caution.code for caution in answer_job(job(IN_MM, eye_to_eye="225 mm")).answer.cautions]
    assert told == ["eyes_differ"]
    assert answer_job(job(IN_MM)).answer.cautions == ()
    said = faults(job(IN_MM, eye_to_eye="210 mm"))
    assert set(said) == {"frame.eye_to_eye"}
    assert "210.0 mm was typed, but the drawn eyes are 229.8 mm apart" in said["frame.eye_to_eye"]


def test_what_the_physics_refuses_is_said_with_the_names_of_points_and_bars() -> None:
    bars = PARTS["bars"]
    said = faults(job(IN_MM | {"bars": (*bars, ("eye", "axel"), ("eye", "main"))}))
    assert said["frame.leverage.bars.3"].startswith('no point has the name "axel"')
    assert said["frame.leverage.bars.4"].startswith('bar "eye" to "main" is listed twice')
    loose = faults(job(IN_MM | {"bars": bars[:2]}))
    assert 'too few bars, by 1: with the shock locked "axle" can still move' in loose["frame.leverage"]
    braced = faults(job(IN_MM | {"bars": (*bars, ("eye", "front"))}))
    assert 'nothing can move, remove bar "eye" to "front"' in braced["frame.leverage.bars.3"]
    locked = faults(job(IN_MM, stroke="170 mm", wheel_travel="300 mm"))
    assert "linkage locks at" in locked["frame.leverage.bars.1"]
    assert 'bar "main" to "eye" would have to stretch' in locked["frame.leverage.bars.1"]


def test_every_fault_of_a_linkage_and_of_the_rest_at_once() -> None:
    wrong: dict[str, Raw] = {
        "kind": "linkage",
        "points_mm": {"main": (0, 0), "axle": (435,), "eye": ("160", 7000), " ": (1, 1), "x" * 25: (1, 1)},
        "fixed": ("main", 3),
        "bars": (("main", "axle"), ("main",), "eye"),
        "shock": ("eye", "front", "main"),
        "pivots": 3,
    }
    broken = job(wrong).with_value(("load", "unsprung_mass"), "4")
    assert set(faults(broken)) == {
        "frame.leverage.points_mm.axle",
        "frame.leverage.points_mm.eye.0",
        "frame.leverage.points_mm.eye.1",
        "frame.leverage.points_mm. ",
        f"frame.leverage.points_mm.{'x' * 25}",
        "frame.leverage.fixed.1",
        "frame.leverage.bars.1",
        "frame.leverage.bars.2",
        "frame.leverage.axle",
        "frame.leverage.shock",
        "frame.leverage.pivots",
        "load.unsprung_mass",
    }
    # A fault elsewhere hides none that the drawing has.
    loose = job(IN_MM | {"bars": (("main", "axle"),)}).with_value(("load", "unsprung_mass"), "4")
    assert set(faults(loose)) == {"load.unsprung_mass", "frame.leverage"}
    unread = job(IN_MM | {"bars": (("main", "axle"),)}, stroke="60", eye_to_eye="210 mm")
    assert set(faults(unread)) == {"frame.stroke", "frame.leverage", "frame.eye_to_eye"}


@pytest.mark.parametrize(
    ("leverage", "at", "what"),
    [
        (without(IN_MM, "points_mm"), "points_mm", "missing"),
        (IN_MM | {"points_px": PICTURE}, "points_px", "given together with points_mm"),
        (IN_MM | {"known": KNOWN}, "known", "given without points_px"),
        (without(IN_PIXELS, "known"), "known", "missing"),
        (IN_PIXELS | {"known": KNOWN | {"to": "axel"}}, "known.to", "no point has this name"),
        (IN_PIXELS | {"known": KNOWN | {"to": "main"}}, "known", "both points are at the same place"),
        (IN_PIXELS | {"known": without(KNOWN, "length")}, "known.length", "missing"),
        (IN_PIXELS | {"known": KNOWN | {"length": 435}}, "known.length", "435 has no unit"),
        (IN_MM | {"level": {"from": "main", "to": "axel"}}, "level.to", "no point has this name"),
        (IN_MM | {"level": {"from": "main", "to": "main"}}, "level", "both points are at the same place"),
        (IN_MM | {"level": {"from": "main"}}, "level.to", "missing"),
        (
            IN_MM | {"level": {"from": "main", "to": "front"}},
            "level",
            "the two points are 90 degrees off level",
        ),
        (IN_MM | {"level": ("main", "axle")}, "level", "an array is not a table"),
        (tilted(46.0), "level", "the two points are 46 degrees off level"),
        (IN_MM | {"points_mm": 3}, "points_mm", "3 cannot be used"),
        (IN_MM | {"points_mm": {"main": (0, 0)}}, "points_mm", "a table cannot be used"),
        (IN_MM | {"bars": ()}, "bars", "an array cannot be used"),
        (without(IN_MM, "fixed"), "fixed", "missing"),
    ],
)
def test_points_that_cannot_be_read_are_told_once(leverage: dict[str, Raw], at: str, what: str) -> None:
    said = faults(job(leverage))
    assert set(said) == {f"frame.leverage.{at}"}
    assert said[f"frame.leverage.{at}"].startswith(what)
    assert re.search(r"; (use|add) ", said[f"frame.leverage.{at}"])


def test_names_from_people_stay_as_they_are_and_bring_no_control_codes() -> None:
    named = {"[b]main[/b]": (0, 0), "axle \u0007": (435, 0)}
    said = faults(job(IN_MM | {"points_mm": POINTS | named}))
    bell = next(path for path in said if "x07" in path)
    assert said[bell].startswith("this name cannot be used")
    assert not any("\u0007" in text for text in (*said, *said.values()))
