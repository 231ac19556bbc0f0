"""What is typed into a field, nudged and shown, at the edge of each kind of field and in each unit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.fields import Choice, Field
from tui.job.job import Job
from tui.job.panels import LEVERAGE, RIDER_MASS, panels
from tui.job.tree import Raw, TreePath
from tui.job.typed import (
    as_kept,
    field_text,
    next_option,
    nudged,
    typed_into,
    unit_taken,
    whole_of,
    written,
)
from tui.job.wheels import wheel_job
from tui.shop_units import IMPERIAL, METRIC, USUAL, ShopUnits

DEMO = wheel_job(demo_job(), "rear")
FORK = wheel_job(demo_job(), "front")
TRAVELS: TreePath = (*LEVERAGE, "travel_mm")
RATIOS: TreePath = (*LEVERAGE, "ratio")
TABLE = DEMO.with_value(
    LEVERAGE, {"kind": "table", "travel_mm": (0.0, 74.0, 148.0), "ratio": (2.8, 2.45, 2.2)}
)
SHARE: TreePath = ("load", "bike_share")
SAG: TreePath = ("target", "sag")
READ: TreePath = ("measured", "sag")
PORT: TreePath = ("setup", 1, "port")
SPACERS: TreePath = ("setup", 1, "positive_spacers")
TURNS: TreePath = ("setup", 0, "preload_turns")


def row(path: TreePath, job: Job = DEMO) -> Field:
    return next(row for panel in panels(job) for row in panel.rows if row.path == path)


def typed(path: TreePath, text: str, job: Job = DEMO, units: ShopUnits = USUAL) -> Raw | None:
    return typed_into(job, row(path, job), text, units).get(path)


def moved(path: TreePath, raw: Raw, times: int, job: Job = DEMO) -> Raw | None:
    job = job.with_value(path, raw)
    after = nudged(job, row(path, job), times)
    return None if after is None else after.get(path)


@pytest.mark.parametrize(
    ("path", "raw", "times", "after"),
    [
        (RIDER_MASS, "1 kg", -1, "0 kg"),
        (RIDER_MASS, "0.5 kg", -1, None),
        (RIDER_MASS, "820 g", 1, "830 g"),
        (RIDER_MASS, "82", 1, None),
        (RIDER_MASS, "82 stone", 1, "83 stone"),
        (("frame", "wheel_travel"), "14.8 cm", -1, "14.7 cm"),
        (("frame", "wheel_travel"), "0.148 m", 1, "0.158 m"),
        (("frame", "wheel_travel"), "5.8 in", 1, "5.85 in"),
        (("ambient", "altitude"), "350 m", 1, "400 m"),
        (("ambient", "altitude"), "1000 ft", -1, "900 ft"),
        (("ambient", "altitude"), "1 km", 1, "1.05 km"),
        (("ambient", "temperature"), "0 °C", -1, "-1 °C"),
        (("ambient", "temperature"), "50 degF", 1, "51 degF"),
        (("setup", 0, "friction"), "14 N", 1, "15 N"),
        (("setup", 0, "friction"), "3 lbf", 1, "3.5 lbf"),
        (("setup", 0, "rate"), "70 N/mm", 1, "71 N/mm"),
        (("setup", 0, "rate"), "70000 N/m", 1, "71000 N/m"),
        (("setup", 0, "rate"), "7 kgf/mm", -1, "6.9 kgf/mm"),
        (("setup", 0, "rate"), "400 lb/in", 1, "405 lb/in"),
        (("setup", 1, "pressure"), "15 bar", 1, "15.1 bar"),
        (("setup", 1, "pressure"), "1500 kPa", 1, "1505 kPa"),
        (("setup", 1, "pressure"), "1.5 MPa", 1, "1.51 MPa"),
        (("setup", 1, "positive_volume"), "112 cm3", 1, "113 cm3"),
        (("setup", 1, "positive_volume"), "7 in3", 1, "7.1 in3"),
        (SHARE, 0.99, 1, 1.0),
        (SHARE, 1.0, 1, None),
        (SHARE, 0.01, -1, 0.0),
        (SHARE, 0.0, -1, None),
        (SAG, "99 %", 1, "100 %"),
        (SAG, "100 %", 1, None),
        (SAG, "0 %", -1, None),
        (SAG, "29,5 %", 1, "30,5 %"),
        (SAG, "29", 1, None),
        (SAG, "much", 1, None),
        (SPACERS, 0, 1, 1),
        (SPACERS, 0, -1, None),
        (SPACERS, 1.5, 1, 2.5),
        (SPACERS, "1", 1, None),
        (SPACERS, True, 1, None),
        (SPACERS, float("inf"), 1, None),
        (TURNS, 1.5, 1, 1.75),
        (TURNS, 1, -1, 0.75),
        (TURNS, 1, 4, 2),
        ((*LEVERAGE, "start"), 2.78, -1, 2.77),
        (("record", "customer"), "7", 1, None),
    ],
)
def test_a_step_in_each_unit_and_where_it_ends(path: TreePath, raw: Raw, times: int, after: Raw) -> None:
    found = moved(path, raw, times)
    assert found == after
    assert type(found) is type(after)


def test_a_step_on_an_empty_field_starts_at_what_is_usual_or_at_nothing() -> None:
    for path, after in (
        (("setup", 1, "positive_spacers"), 1),
        (("tolerance", "scale"), "0.6 kg"),
        (("setup", 1, "friction"), "1 N"),
        (RIDER_MASS, None),
    ):
        job = DEMO.without(path)
        found = nudged(job, row(path, job), 1)
        assert (found and found.get(path)) == after, path


def test_pairs_move_by_their_second_number_and_never_below_zero() -> None:
    found = {times: nudged(TABLE, row((*TRAVELS, 1), TABLE), times) for times in (1, -1, -245, -246, 10)}
    ratios = {times: after and after.get(RATIOS) for times, after in found.items()}
    assert ratios == {
        1: (2.8, 2.46, 2.2), -1: (2.8, 2.44, 2.2), -245: (2.8, 0.0, 2.2), -246: None, 10: (2.8, 2.55, 2.2),
    }  # fmt: skip
    assert all(after is None or after.get(TRAVELS) == (0.0, 74.0, 148.0) for after in found.values())
    assert nudged(TABLE, row((*TRAVELS, 3), TABLE), 1) is None
    wrong = TABLE.with_value((*TRAVELS, 1), "x")
    assert nudged(wrong, row((*TRAVELS, 1), wrong), 1) is None


@pytest.mark.parametrize(
    ("place", "text", "travels", "ratios"),
    [
        (1, "80 2.4", (0.0, 80.0, 148.0), (2.8, 2.4, 2.2)),
        (1, "80 mm  2,4 : 1", (0.0, 80.0, 148.0), (2.8, 2.4, 2.2)),
        (1, "80;2.4", (0.0, 80.0, 148.0), (2.8, 2.4, 2.2)),
        (1, "80/2.4", (0.0, 80.0, 148.0), (2.8, 2.4, 2.2)),
        (1, "2.3", (0.0, 74.0, 148.0), (2.8, 2.3, 2.2)),
        (1, "2,3 : 1", (0.0, 74.0, 148.0), (2.8, 2.3, 2.2)),
        (1, "80 x", (0.0, "80 x", 148.0), (2.8, 2.45, 2.2)),
        (1, "1 2 3", (0.0, "1 2 3", 148.0), (2.8, 2.45, 2.2)),
        (1, "", (0.0, 148.0), (2.8, 2.2)),
        (0, "", (74.0, 148.0), (2.45, 2.2)),
        (3, "160 2.1", (0.0, 74.0, 148.0, 160.0), (2.8, 2.45, 2.2, 2.1)),
        (3, "160", (0.0, 74.0, 148.0, "160"), (2.8, 2.45, 2.2, 0.0)),
        (3, "", (0.0, 74.0, 148.0), (2.8, 2.45, 2.2)),
    ],
)
def test_a_pair_is_two_numbers_or_the_second_one_where_the_first_stands(
    place: int, text: str, travels: tuple[Raw, ...], ratios: tuple[Raw, ...]
) -> None:
    after = typed_into(TABLE, row((*TRAVELS, place), TABLE), text, USUAL)
    assert (after.get(TRAVELS), after.get(RATIOS)) == (travels, ratios)


def test_a_pair_leaves_the_doubt_of_the_others_and_fills_up_a_shorter_column() -> None:
    doubted = TABLE.with_invented(TRAVELS, TABLE.get(TRAVELS)).with_invented(RATIOS, TABLE.get(RATIOS))
    for text in ("80 2.4", ""):
        after = typed_into(doubted, row((*TRAVELS, 1), doubted), text, USUAL)
        assert after.is_unconfirmed(TRAVELS)
        assert after.is_unconfirmed(RATIOS)
    short = TABLE.with_value(RATIOS, (2.8,))
    after = typed_into(short, row((*TRAVELS, 2), short), "148 2.2", USUAL)
    assert (after.get(TRAVELS), after.get(RATIOS)) == ((0.0, 74.0, 148.0), (2.8, "missing", 2.2))


@pytest.mark.parametrize(
    ("path", "raw", "shown"),
    [
        (SHARE, 0.52, "52 %"),
        (SHARE, 0.525, "52.5 %"),
        (SHARE, 1, "100 %"),
        (SHARE, 0.0, "0 %"),
        (SHARE, "52 %", "52 %"),
        (SHARE, True, "True"),
        (SHARE, float("nan"), "NaN %"),
        (SPACERS, 2, "2 fitted"),
        (SPACERS, 1.5, "1.5 fitted"),
        (TURNS, 2, "2.00 turns"),
        (TURNS, 1.125, "1.125 turns"),
        (TURNS, float("inf"), "inf turns"),
        ((*LEVERAGE, "start"), 3, "3.00 : 1"),
        (("setup", 0, "ladder_lbf_per_in"), (400, 425.5), "400 425.5 lbf/in"),
        (("setup", 0, "ladder_lbf_per_in"), "400", "400"),
        (("load", "posture"), "crouching", "crouching"),
        (RIDER_MASS, 85, "85"),
    ],
)
def test_a_value_is_shown_as_it_stands(path: TreePath, raw: Raw, shown: str) -> None:
    job = DEMO.with_value(path, raw)
    assert field_text(job, row(path, job)) == shown


def test_a_pair_is_shown_with_its_units_and_what_is_no_number_as_it_is() -> None:
    assert [field_text(TABLE, row((*TRAVELS, place), TABLE)) for place in range(4)] == [
        "0.0 mm  2.8 : 1", "74.0 mm  2.45 : 1", "148.0 mm  2.2 : 1", "",
    ]  # fmt: skip
    wrong = TABLE.with_value((*TRAVELS, 1), "x").with_value(RATIOS, (2.8,))
    assert field_text(wrong, row((*TRAVELS, 1), wrong)) == "x"


@pytest.mark.parametrize(
    ("path", "text", "raw"),
    [
        (("setup", 0, "rate"), "Solved", "solve"),
        (("setup", 0, "rate"), "=", "solve"),
        (("setup", 1, "bore"), "solve", "solve"),
        (("setup", 1, "max_pressure"), "solve", "solve"),
        (("setup", 1, "max_pressure"), "None", "None"),
        (("setup", 1, "gas_pressure"), "NONE", "none"),
        (("setup", 1, "bore"), "none", "none"),
        (RIDER_MASS, "−5", "-5 kg"),
        (RIDER_MASS, "+85", "+85 kg"),
        (RIDER_MASS, " 85  kg ", "85 kg"),
        (RIDER_MASS, ".5", ".5 kg"),
        (RIDER_MASS, "85 kg 3", "85 kg 3"),
        (SHARE, "48 kg", "48 kg"),
        (SHARE, "half", "half"),
        (SHARE, "120", 1.2),
        (SHARE, "1", 0.01),
        (SHARE, "0", 0.0),
        (SAG, "1", "1 %"),
        (SPACERS, "2 fitted", 2),
        (SPACERS, "2 fit", 2),
        (SPACERS, "2 turns", "2 turns"),
        (SPACERS, "+2", 2),
        (SPACERS, "-2", -2),
        (SPACERS, "1,5", 1.5),
        (TURNS, "1.25 turns", 1.25),
        ((*LEVERAGE, "start"), "2.9:1", 2.9),
        ((*LEVERAGE, "start"), "2.9 : 2", "2.9 : 2"),
        (("setup", 0, "ladder_lbf_per_in"), "400;425,5", (400.0, 425.5)),
        (("setup", 0, "ladder_lbf_per_in"), "400 N", "400 N"),
        (("record", "customer"), " Ann  ", "Ann"),
        (("frame", "stroke"), "2 1/2 in", "2.5 in"),
        (("frame", "stroke"), "125/2", "62.5 mm"),
        (("frame", "stroke"), "1.5/2 in", "1.5 /2 in"),
        (TURNS, "1 1/4", 1.25),
        (SPACERS, "1/2", 0.5),
        (("setup", 0, "ladder_lbf_per_in"), "1 1/2", "1 1/2"),
        (("record", "customer"), "1/2 in", "1/2 in"),
    ],
)
def test_what_is_typed_is_kept_as_the_file_has_it(path: TreePath, text: str, raw: Raw) -> None:
    found = typed(path, text)
    assert found == raw
    assert type(found) is type(raw)


def test_a_bare_number_takes_the_unit_of_the_value_else_of_the_usual_one_else_of_the_shop() -> None:
    wide = DEMO.with_value(RIDER_MASS, "180 lb")
    bare = DEMO.without(RIDER_MASS)
    for job, text, units, unit in (
        (wide, "5", METRIC, "lb"), (DEMO, "5", IMPERIAL, "kg"), (bare, "5", METRIC, "kg"),
        (bare, "5", IMPERIAL, "lb"), (bare, "", IMPERIAL, "lb"), (DEMO, "5 g", USUAL, ""),
        (DEMO, "x", USUAL, ""),
    ):  # fmt: skip
        assert unit_taken(job, row(RIDER_MASS, job), text, units) == unit
    scale: TreePath = ("tolerance", "scale")
    assert unit_taken(DEMO, row(scale), "1", IMPERIAL) == "kg"
    for path, unit in ((SHARE, "%"), (SPACERS, "fitted"), (TURNS, "turns"), (("record", "customer"), "")):
        assert unit_taken(DEMO, row(path), "1", USUAL) == unit


def test_a_share_is_of_the_length_that_it_counts() -> None:
    at_stroke = DEMO.with_value(("target", "of"), "stroke")
    assert whole_of(DEMO, "stroke") == pytest.approx(0.060)
    assert whole_of(DEMO, "target") == pytest.approx(0.148)
    assert whole_of(at_stroke, "target") == pytest.approx(0.060)
    assert whole_of(at_stroke, "read") == pytest.approx(0.060)
    read_at_wheel = at_stroke.with_value(("measured", "of"), "travel")
    assert (whole_of(read_at_wheel, "read"), whole_of(read_at_wheel, "target")) == pytest.approx(
        (0.148, 0.060)
    )
    assert whole_of(DEMO.without(("frame", "stroke")), "stroke") is None
    assert whole_of(DEMO.without(("frame", "wheel_travel")), "target") is None
    # 160 mm of fork at 64.5°.
    assert whole_of(FORK, "target") == pytest.approx(0.160 * 0.90258528)
    assert whole_of(FORK.without((*LEVERAGE, "head_angle")), "target") is None


@pytest.mark.parametrize(
    ("path", "text", "unit", "kept"),
    [
        (PORT, "10 %", "mm", "6 mm"),
        (PORT, "12.5 %", "mm", "7.5 mm"),
        (PORT, "10 %", "in", "0.236 in"),
        (PORT, "10 %", "nothing", "6 nothing"),
        (PORT, "6 mm", "mm", "6 mm"),
        (PORT, "6", "mm", "6"),
        (READ, "30 %", "mm", "44.4 mm"),
        (SAG, "37 mm", "mm", "25 %"),
        (SAG, "1 in", "mm", "17.16 %"),
        (SAG, "25 %", "mm", "25 %"),
        (SAG, "3 kg", "mm", "3 kg"),
        (SAG, "much", "mm", "much"),
        (RIDER_MASS, "10 %", "kg", "10 %"),
    ],
)
def test_a_share_typed_for_a_length_and_a_length_for_a_share(
    path: TreePath, text: str, unit: str, kept: str
) -> None:
    assert as_kept(DEMO, row(path), text, unit) == kept


def test_a_share_of_what_is_not_known_stays_as_it_is_typed() -> None:
    bare = DEMO.without(("frame", "stroke"))
    assert as_kept(bare, row(PORT, bare), "10 %", "mm") == "10 %"
    assert typed(PORT, "10 %", bare) == "10 %"
    assert typed(PORT, "10 %", DEMO.with_value(PORT, "0.3 in")) == "0.236 in"


def test_choices_go_round_and_start_at_the_first_from_a_word_that_is_none() -> None:
    posture: TreePath = ("load", "posture")
    kind = row(posture).kind
    assert isinstance(kind, Choice)
    count = len(kind.options)
    assert [next_option(DEMO, row(posture), times) for times in (1, -1, count, count + 1)] == [
        1, count - 1, 0, 1,
    ]  # fmt: skip
    odd = DEMO.with_value(("target", "of"), "nowhere")
    assert next_option(odd, row(("target", "of"), odd), 1) == 0
    assert next_option(DEMO, row(RIDER_MASS), 1) is None


def test_what_was_solved_is_written_in_the_units_of_the_shop_and_nothing_where_it_was_not() -> None:
    answered = answer_job(DEMO).answer
    coil, air = answered.setups
    ambient = float(answered.shop.pressure)
    assert [written(found, ambient, USUAL) for found in (coil, air)] == ["393 lbf/in", "205 psi"]
    assert [written(found, ambient, METRIC) for found in (coil, air)] == ["68.9 N/mm", "14.1 bar"]
    never = answer_job(DEMO.with_value(PORT, "40 mm")).answer.setups[1]
    assert written(never, ambient, USUAL) is None
    assert written(replace(air, air=None), ambient, USUAL) is None
