"""The rows of the panels: every key of a job file has one, and what is typed lands in the job as meant."""

from __future__ import annotations

from textwrap import wrap

import pytest

from tui.bench.steps import Step, StepPanel, step_panels
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob
from tui.job.fields import (
    AMBIENT,
    DAMPER,
    FRAME,
    LEVERAGE,
    LOAD,
    MEASURED,
    RECORD,
    RIDDEN,
    SETUP,
    TARGET,
    TOLERANCE,
    TYRE,
    Amount,
    Choice,
    Field,
    Group,
    Pair,
)
from tui.job.job import Job
from tui.job.panels import NEW_AIR, NEW_COIL, RIDER_MASS, panels
from tui.job.tree import TreePath
from tui.job.typed import field_text, nudged, typed_into
from tui.job.wheels import wheel_job
from tui.linkage.sketch import EXAMPLES, with_sketch
from tui.shop_units import IMPERIAL, METRIC, USUAL

SETUP_PATHS = {"coil": ("setup", 0), "air": ("setup", 1)}


def rows(job: Job) -> dict[TreePath, Field]:
    return {row.path: row for panel in panels(job) for row in panel.rows}


def every_job() -> list[Job]:
    """Return jobs that between them take every way of every choice."""
    demo = wheel_job(demo_job(), "rear")
    jobs = [demo]
    for row in rows(demo).values():
        if isinstance(row.kind, Choice):
            jobs += [row.kind.select(demo, row.path, index) for index in range(len(row.kind.options))]
    return jobs


def test_every_key_of_a_job_file_has_a_row() -> None:
    paths = {path for job in every_job() for path in rows(job)}
    named: set[TreePath] = {path[:-1] if isinstance(path[-1], int) else path for path in paths}
    geometry = LOAD["geometry"].kind
    assert isinstance(geometry, Group)
    wanted: set[TreePath] = {("load", key) for key in LOAD if key != "geometry"} | {
        ("frame", key) for key in FRAME
    }
    wanted |= {("load", "geometry", key) for key in geometry.fields} | {("ride", key) for key in AMBIENT}
    wanted |= {("target", key) for key in TARGET} | {("ambient", key) for key in AMBIENT}
    wanted |= {("tolerance", key) for key in TOLERANCE}
    wanted |= {("record", key) for key in RECORD} | {("ridden", key) for key in RIDDEN}
    wanted |= {("measured", key) for key in MEASURED} | {("tyre", key) for key in TYRE}
    wanted |= {("damper", key) for key in DAMPER if key != "force_n"}
    # The points of a linkage have a screen of their own.
    wanted |= {("frame", "leverage", key) for kind in LEVERAGE.keys() - {"linkage"} for key in LEVERAGE[kind]}
    seconds = {("frame", "leverage", "ratio"), ("frame", "leverage", "stroke_mm")}
    wanted |= {(*SETUP_PATHS[kind], key) for kind, keys in SETUP.items() for key in keys}
    of_panels = {(*path, "kind") for path in SETUP_PATHS.values()}
    stages = ("setup", 0, "stages")
    # These two can be typed in the file only, so far.
    in_files_only = {("load", "geometry"), ("setup", 0, "ladder_lbf_per_in")}
    missing = wanted - seconds - of_panels - {stages} - in_files_only - named
    assert missing == set(), "ROWS of tui/job/fields.py says in which panel a field stands"
    assert (*stages, "compression_mm") in named


def test_no_two_fields_under_one_heading_have_the_same_name() -> None:
    fronts = [wheel_job(demo_job(), "front")]
    for job in (*every_job(), *fronts):
        for panel in (*step_panels(job, "rear"), *step_panels(job, "rear", frozenset(Step))):
            if panel.step is Step.COMPARE:
                continue
            head, named = "", list[tuple[str, str, bool]]()
            # Less used fields stand below the row that unfolds them, without the headings of the others.
            hidden = {row.path for row in step_panel_of(job, panel.step, panel.setup).hidden}
            for row in (*panel.rows, *panel.hidden):
                head = row.head or head
                folded = row.path in hidden
                named.append(("" if folded else head, row.label, folded))
            singles = [one for one in named if not one[1].isdigit()]
            assert len(set(singles)) == len(singles), [one for one in singles if singles.count(one) > 1]


def step_panel_of(job: Job, step: Step, setup: int | None) -> StepPanel:
    return next(one for one in step_panels(job, "rear") if (one.step, one.setup) == (step, setup))


@pytest.mark.slow
def test_every_way_of_every_choice_can_be_answered() -> None:
    for job in every_job():
        if job.get(("frame", "leverage", "kind")) == "fork":
            with pytest.raises(UnusableJob) as refused:
                answer_job(job)
            # A rear shock does not fit a fork: its stroke is the one thing to type then.
            assert {fault.path for fault in refused.value.faults} == {("frame", "stroke")}
        else:
            assert answer_job(job).job == job


def test_paths_are_unique_and_every_row_says_what_it_means() -> None:
    for job in every_job():
        listed = [row for panel in panels(job) for row in panel.rows]
        assert len({row.path for row in listed}) == len(listed)
        assert all(row.meaning.endswith(".") and len(row.label) <= 18 for row in listed)


def test_meaning_and_caution_fit_below_the_panels_at_80_columns() -> None:
    for job in every_job():
        for row in rows(job).values():
            lines = [*wrap(f"{row.label}: {row.meaning}", 78), *wrap(row.caution, 78)]
            assert len(lines) <= 3, row.path


@pytest.mark.parametrize("key", ["pressure", "max_pressure", "negative_pressure", "gas_pressure"])
def test_every_air_pressure_has_its_caution(key: str) -> None:
    found = [
        job_rows[("setup", 1, key)] for job in every_job() if ("setup", 1, key) in (job_rows := rows(job))
    ]
    assert found
    assert all("label" in row.caution and "qualified technician" in row.caution for row in found)
    assert all("eye protection" in row.caution.lower() for row in found)


@pytest.mark.parametrize("key", ["preload", "preload_turns"])
def test_every_preload_has_its_caution(key: str) -> None:
    found = [
        job_rows[("setup", 0, key)] for job in every_job() if ("setup", 0, key) in (job_rows := rows(job))
    ]
    assert found
    assert all("back the collar off" in row.caution for row in found)
    assert all("qualified technician" in row.caution for row in found)


def typed(path: TreePath, text: str, job: Job | None = None) -> object:
    job = job or demo_job()
    return typed_into(job, rows(job)[path], text, USUAL).get(path)


def test_a_bare_number_takes_the_unit_the_field_has() -> None:
    assert typed(RIDER_MASS, "91") == "91 kg"
    job = demo_job().with_value(RIDER_MASS, "187 lb")
    assert typed(RIDER_MASS, "190", job) == "190 lb"


def test_a_bare_number_does_not_take_over_a_unit_that_is_none() -> None:
    assert typed(RIDER_MASS, "90", demo_job().with_value(RIDER_MASS, "9 lumps")) == "90 kg"


def test_a_bare_number_in_an_empty_field_takes_the_shops_unit() -> None:
    path: TreePath = ("setup", 0, "rated_stroke")
    job = demo_job().without(path)
    row = rows(job)[path]
    assert typed_into(job, row, "65", METRIC).get(path) == "65 mm"
    assert typed_into(job, row, "2,5", IMPERIAL).get(path) == "2,5 in"


@pytest.mark.parametrize(
    ("path", "text", "raw"),
    [
        (RIDER_MASS, "187lb", "187 lb"),
        (("frame", "stroke"), "2,5 in", "2,5 in"),
        (RIDER_MASS, "much", "much"),
        (RIDER_MASS, "", None),
        (("setup", 0, "rate"), "solve", "solve"),
        (("setup", 0, "rate"), "450", "450 lbf/in"),
        (("setup", 1, "pressure"), "15 bar", "15 bar"),
        (("frame", "leverage", "start"), "2,9", 2.9),
        (("frame", "leverage", "start"), "2.9 : 1", 2.9),
        (("setup", 1, "positive_spacers"), "2", 2),
        (("load", "bike_share"), "52 %", 0.52),
        (("load", "bike_share"), "0,5", "0,5"),
        (("load", "bike_share"), "50,5", 0.505),
        (("load", "bike_share"), "48", 0.48),
        (("target", "sag"), "28", "28 %"),
        (("target", "sag"), "0.28", "0.28"),
        (("target", "sag"), "37 mm", "25 %"),
        (("target", "sag"), "1.5 in", "25.74 %"),
        (("measured", "sag"), "48", "48 mm"),
        (("measured", "sag"), "30 %", "44.4 mm"),
        (("setup", 1, "port"), "10 %", "6 mm"),
        (("setup", 1, "port"), "7,5", "7,5 mm"),
        (("setup", 0, "ladder_lbf_per_in"), "400 425,5 lbf/in", (400.0, 425.5)),
        (("setup", 0, "ladder_lbf_per_in"), "400 x", "400 x"),
        (("title",), "[red]x[/]\x1b[2J", "[red]x[/][2J"),
    ],
)
def test_what_is_typed_lands_in_the_job(path: TreePath, text: str, raw: object) -> None:
    assert typed(path, text) == raw


@pytest.mark.parametrize(
    ("path", "before", "times", "after"),
    [
        (RIDER_MASS, "85 kg", 1, "86 kg"),
        (RIDER_MASS, "85.5 kg", -1, "84.5 kg"),
        (RIDER_MASS, "187 lb", 10, "197 lb"),
        (("setup", 0, "rate"), "450 lbf/in", 1, "455 lbf/in"),
        (("setup", 1, "pressure"), "215 psi", 1, "216 psi"),
        (("setup", 1, "pressure"), "14,8 bar", 1, "14,9 bar"),
        (("target", "sag"), "29 %", -1, "28 %"),
        (("target", "sag"), 0.29, 1, 0.3),
        (("frame", "wheel_travel"), "148 mm", 1, "149 mm"),
        (("frame", "leverage", "start"), 2.78, 1, 2.79),
        (("setup", 1, "positive_spacers"), 1, 1, 2),
        (("ambient", "temperature"), "0 degC", -1, "-1 degC"),
    ],
)
def test_a_nudge_is_one_sensible_step(path: TreePath, before: object, times: int, after: object) -> None:
    job = demo_job().with_value(path, before)
    moved = nudged(job, rows(job)[path], times)
    assert moved is not None
    assert moved.get(path) == after


def test_a_nudge_starts_from_what_an_empty_field_means() -> None:
    path: TreePath = ("ambient", "temperature")
    job = demo_job().without(path)
    moved = nudged(job, rows(job)[path], 1)
    assert moved is not None
    assert moved.get(path) == "21 degC"


@pytest.mark.parametrize("raw", ["much", "1 kg", None])
def test_a_nudge_never_leads_below_zero_and_needs_a_number(raw: object) -> None:
    job = demo_job().with_value(RIDER_MASS, raw) if raw else demo_job().without(RIDER_MASS)
    assert nudged(job, rows(job)[RIDER_MASS], -2) is None


def test_pairs_are_typed_shown_added_and_taken_out() -> None:
    kind: TreePath = ("frame", "leverage", "kind")
    choice = rows(demo_job())[kind].kind
    assert isinstance(choice, Choice)
    job = choice.select(demo_job(), kind, 1)
    pairs = [row for row in rows(job).values() if isinstance(row.kind, Pair)]
    last = pairs[-1]
    assert field_text(job, last) == ""
    job = typed_into(job, last, "160 2,2", USUAL)
    assert field_text(job, rows(job)[last.path]) == "160.0 mm  2.2 : 1"
    assert len([row for row in rows(job).values() if isinstance(row.kind, Pair)]) == len(pairs) + 1
    job = typed_into(job, last, "", USUAL)
    assert len([row for row in rows(job).values() if isinstance(row.kind, Pair)]) == len(pairs)


def test_new_setups_can_be_answered() -> None:
    job = demo_job().with_setup(None, NEW_COIL).with_setup(None, NEW_AIR)
    assert [setup.state for setup in answer_job(job).answer.setups] == ["ok"] * 4


def test_what_is_shown_can_be_typed_again() -> None:
    for job in every_job():
        for row in rows(job).values():
            if not isinstance(row.kind, Choice):
                typed = job if isinstance(row.kind, Pair) else job.confirmed(row.path)
                assert typed_into(job, row, field_text(job, row), USUAL) == typed, row.path


def test_amounts_are_shown_with_the_unit_they_were_typed_in() -> None:
    job = demo_job()
    for row in rows(job).values():
        if isinstance(row.kind, Amount) and job.get(row.path) is not None:
            assert field_text(job, row) == job.get(row.path)


def test_leverage_from_pivot_points_is_left_by_its_choice_and_taken_up_by_no_slip_of_it() -> None:
    rear = wheel_job(demo_job(), "rear")
    drawn = with_sketch(rear, EXAMPLES[0].sketch())
    kind: TreePath = ("frame", "leverage", "kind")
    choice = rows(drawn)[kind].kind
    assert isinstance(choice, Choice)
    assert choice.options[choice.chosen(drawn, kind) or 0].word == "pivot points"
    assert choice.select(drawn, kind, 0).get(("frame", "leverage", "points_mm")) is None
    assert answer_job(choice.select(drawn, kind, 0)).answer
    elsewhere = rows(rear)[kind].kind
    assert isinstance(elsewhere, Choice)
    assert "linkage" not in {option.stored for option in elsewhere.options}
