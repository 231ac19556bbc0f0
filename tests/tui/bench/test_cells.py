"""What a field shows on the demo job: its value, how that came to be, its faults, cautions and meaning."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.tui.job.wired import wired
from tui.bench import edit
from tui.bench.cells import (
    Cell,
    Look,
    caution_at,
    cell_of,
    faults_by_row,
    left_out_at,
    look_first_at,
    meaning_at,
)
from tui.bench.state import BenchState, open_bench, select_field, with_answer
from tui.bench.steps import MORE, Step
from tui.job.demo import demo_job
from tui.job.faults import JobFault
from tui.job.fields import Field
from tui.job.job import History, Job
from tui.job.panels import LEVERAGE
from tui.job.tree import Raw, TreePath
from tui.kit.document import Paragraph
from tui.kit.edit import type_text
from tui.shop_units import IMPERIAL, METRIC, USUAL
from tui.subjects.ordering import document

COIL: TreePath = ("setup", 0)
AIR: TreePath = ("setup", 1)
SAG: TreePath = ("measured", "sag")
GAUGE: TreePath = ("measured", "gauge")
TRAVEL: TreePath = ("frame", "wheel_travel")


def on_bench(job: Job) -> BenchState:
    return with_answer(open_bench(History.starting_at(job)))


BENCH = on_bench(demo_job())


def with_values(*edits: tuple[TreePath, Raw | None]) -> BenchState:
    """Return the bench with the demo job and these values in it; one that is None is left out."""
    job = demo_job()
    for path, raw in edits:
        job = job.without(path) if raw is None else job.with_value(path, raw)
    return on_bench(job)


def outdated(state: BenchState) -> BenchState:
    """Return the bench with a rider's mass typed that cannot be used, the answer that of before."""
    after = edit.commit(type_text(select_field(state, ("load", "rider_mass")), "x"))
    assert after.is_outdated
    return after


def cell(state: BenchState, path: TreePath) -> Cell:
    found = select_field(state, path)
    assert found.row.path == path
    return cell_of(found, found.row)


def caution(state: BenchState, path: TreePath) -> str:
    return caution_at(state, select_field(state, path).row)


def rows_with(state: BenchState, told: str, left_out: bool = False) -> set[str]:
    """Return the keys of the setups' fields whose caution, or what was left out, has these words."""
    say = left_out_at if left_out else caution_at
    rows = [row for panel in state.panels if panel.setup is not None for row in (*panel.rows, *panel.hidden)]
    return {str(row.path[-1]) for row in rows if told in say(state, row)}


# --- values ----------------------------------------------------------------------------------


def said_of(state: BenchState, row: Field) -> str:
    """Return what stands below the fields at a row: the answer that belongs to it, then its meaning."""
    return " ".join(filter(None, meaning_at(state, row)))


@pytest.mark.parametrize(
    ("path", "shown"),
    [
        (("load", "rider_mass"), Cell("82 kg", Look.TYPED, "", True)),
        (("load", "posture"), Cell("standing", Look.CHOICE, "", True)),
        (("load", "by"), Cell("rider and bike", Look.CHOICE)),
        (("load", "bike_share"), Cell("52 %", Look.TYPED, "", True)),
        (("ride", "altitude"), Cell("same as shop", Look.USUAL)),
        (("tolerance", "scale"), Cell("0.5 kg", Look.USUAL)),
        (("frame", "name"), Cell("", Look.ABSENT)),
        ((*LEVERAGE, "start"), Cell("2.78 : 1", Look.TYPED, "", True)),
        ((*COIL, "rate"), Cell("393 lbf/in", Look.SOLVED)),
        ((*COIL, "preload_turns"), Cell("1.50 turns", Look.TYPED, "", True)),
        ((*COIL, "name"), Cell("coil", Look.TYPED)),
        ((*AIR, "pressure"), Cell("205 psi", Look.SOLVED)),
        ((*AIR, "negative"), Cell("equalised (port)", Look.CHOICE, "", True)),
        (SAG, Cell("", Look.ABSENT)),
    ],
)
def test_a_value_of_the_demo_and_how_it_came_to_be(path: TreePath, shown: Cell) -> None:
    assert cell(BENCH, path) == shown


def test_a_typed_value_has_the_shops_unit_beside_it_where_it_differs() -> None:
    paths: tuple[tuple[TreePath, str, str], ...] = (
        (("load", "rider_mass"), "181 lb", "82.1 kg"),
        (("ambient", "temperature"), "68 degF", "20 degC"),
        (("ambient", "altitude"), "1148 ft", "350 m"),
    )
    state = with_values(*((path, raw) for path, raw, _ in paths))
    for path, raw, in_shop in paths:
        assert cell(state, path) == Cell(raw, Look.TYPED, in_shop)
        assert cell(replace(state, units=IMPERIAL), path) == Cell(raw, Look.TYPED)
    wide = replace(BENCH, units=IMPERIAL)
    assert cell(wide, (*AIR, "port")) == Cell("8 mm", Look.TYPED, "0.31 in", True)
    assert cell(replace(BENCH, units=METRIC), (*AIR, "max_pressure")).in_shop_units == "22.1 bar"


@pytest.mark.parametrize(
    ("text", "beside"),
    [("-8 C", ""), ("-8 degC", ""), ("17.6 degF", "-8 degC"), ("0 C", "")],
)
def test_a_unit_in_another_spelling_is_not_shown_again(text: str, beside: str) -> None:
    path: TreePath = ("ride", "temperature")
    state = with_values((path, text))
    assert cell(state, path).in_shop_units == beside


def test_what_cannot_be_read_as_a_value_has_nothing_beside_it() -> None:
    state = with_values((("load", "rider_mass"), "9 stone or so"), (("load", "bike_mass"), "heavy"))
    assert cell(state, ("load", "rider_mass")) == Cell("9 stone or so", Look.TYPED)
    assert cell(state, ("load", "bike_mass")) == Cell("heavy", Look.TYPED)


def test_a_solved_value_is_not_found_without_an_answer_and_is_the_last_one_meanwhile() -> None:
    unanswered = replace(BENCH, bike_answer=None)
    assert cell(unanswered, (*COIL, "rate")) == Cell("no solution", Look.SOLVED)
    old = outdated(BENCH)
    assert cell(old, (*COIL, "rate")) == Cell("393 lbf/in", Look.SOLVED)
    assert cell(old, (*AIR, "pressure")) == Cell("205 psi", Look.SOLVED)
    beyond = with_values(((*AIR, "port"), "40 mm"))
    assert cell(beyond, (*AIR, "pressure")) == Cell("no solution", Look.SOLVED)


def test_the_travel_of_a_fork_is_worked_out_and_that_of_a_frame_is_missing() -> None:
    front = edit.show_wheel(BENCH, "front")
    assert cell(front, TRAVEL) == Cell("144.4 mm", Look.SOLVED)
    assert cell(replace(front, units=IMPERIAL), TRAVEL) == Cell("5.69 in", Look.SOLVED)
    assert cell(replace(front, bike_answer=None), TRAVEL).look is Look.USUAL
    missing = edit.clear_value(select_field(BENCH, TRAVEL))
    assert cell(missing, TRAVEL) == Cell("", Look.ABSENT)


# --- faults ----------------------------------------------------------------------------------


def place_of(path: TreePath, state: BenchState = BENCH) -> tuple[int, TreePath]:
    """Return the panel at which a fault at a path stands, and the path of its row there."""
    fault = JobFault(path, "wrong", "another is accepted")
    found = faults_by_row(replace(state, bike_faults=(fault,)))
    assert list(found.values()) == [(fault,)]
    ((panel, row),) = found
    return panel, state.panels[panel].rows[row].path


@pytest.mark.parametrize(
    ("path", "place"),
    [
        (("load", "rider_mass"), (0, ("load", "rider_mass"))),
        (("load", "geometry", "wheelbase"), (0, ("load", "by"))),
        (("nothing", "like", "it"), (0, ("load", "by"))),
        (("frame", "stroke"), (1, ("frame", "stroke"))),
        ((*LEVERAGE, "nothing"), (1, (*LEVERAGE, "kind"))),
        ((*LEVERAGE, "end"), (1, (*LEVERAGE, "end"))),
        ((*COIL, "rate"), (2, (*COIL, "rate"))),
        ((*AIR, "port"), (3, (*AIR, "port"))),
        (("setup", 2, "rate"), (0, ("load", "by"))),
        (("setup", "first"), (0, ("load", "by"))),
        (("measured", "gauge"), (5, ("measured", "gauge"))),
        (("ridden", "words"), (5, ("ridden", "words"))),
        (("ridden",), (5, ("ridden", "symptom"))),
        (("record", "ticket"), (6, ("record", "ticket"))),
        (("title",), (6, ("title",))),
    ],
)
def test_a_fault_stands_at_its_field_or_at_the_nearest_one(
    path: TreePath, place: tuple[int, TreePath]
) -> None:
    assert place_of(path) == place


@pytest.mark.parametrize(
    ("path", "panel"),
    [
        (("tolerance", "gauge"), 0),
        (("frame", "eye_to_eye"), 1),
        ((*COIL, "gas_volume"), 2),
        ((*AIR, "bore"), 3),
        (("measured", "tyre"), 5),
    ],
)
def test_a_fault_of_a_field_that_is_folded_away_stands_at_the_row_that_unfolds_it(
    path: TreePath, panel: int
) -> None:
    assert place_of(path) == (panel, MORE)
    unfolded = replace(BENCH, unfolded=frozenset(Step))
    assert place_of(path, unfolded) == (panel, path)


def test_faults_of_one_field_stand_in_their_order_and_the_same_one_once() -> None:
    table = edit.nudge(select_field(BENCH, (*LEVERAGE, "kind")), 1)
    travel, ratio = ((*LEVERAGE, key, 1) for key in ("travel_mm", "ratio"))
    first, same = JobFault(travel, "no number", "a number"), JobFault(ratio, "no number", "a number")
    other, last = JobFault(ratio, "no number", "another"), JobFault(ratio, "no ratio", "a number")
    place = (1, table.panels[1].index_of(travel))
    state = replace(table, bike_faults=(first, same, other, last))
    assert faults_by_row(state) == {place: (first, other, last)}
    assert faults_by_row(table) == {}


def test_a_fault_of_either_number_of_a_stage_stands_at_that_stage() -> None:
    winding: TreePath = (*COIL, "winding")
    staged = edit.nudge(select_field(BENCH, winding), 1)
    stages: TreePath = (*COIL, "stages")
    for number in (0, 1):
        row = staged.panels[2].index_of((*stages, "compression_mm", number))
        for key in ("compression_mm", "rate_n_per_mm"):
            fault = JobFault((*stages, key, number), "no number", "a number is accepted")
            assert faults_by_row(replace(staged, bike_faults=(fault,))) == {(2, row): (fault,)}


# --- meanings --------------------------------------------------------------------------------


def test_a_field_means_what_its_row_says_and_a_sag_first_what_to_expect() -> None:
    for path in (("load", "rider_mass"), GAUGE, ("measured", "scale")):
        row = select_field(BENCH, path).row
        assert said_of(BENCH, row) == row.meaning
    row = select_field(BENCH, SAG).row
    assert said_of(BENCH, row) == f"Expect 42.9 mm. {row.meaning}"
    assert said_of(replace(BENCH, units=IMPERIAL), row) == f"Expect 1.69 in. {row.meaning}"
    at_shock = with_values((("measured", "of"), "stroke"))
    assert said_of(at_shock, row) == f"Expect 16.0 mm. {row.meaning}"
    on_air = with_values((("measured", "setup"), "air"))
    told = "Expect 42.9 mm, 36.6 mm at once: sit still for about 20 s, then measure."
    assert said_of(on_air, row) == f"{told} {row.meaning}"


def test_a_preload_says_its_turns_or_that_they_need_the_thread_pitch() -> None:
    turns, length, pitch = (*COIL, "preload_turns"), (*COIL, "preload"), (*COIL, "thread_pitch")
    hint = "Type the thread pitch to see turns."

    def said(state: BenchState, path: TreePath) -> tuple[str, bool]:
        """Return what is said at the field, and whether the order has the hint."""
        assert state.answer is not None
        order = document(state.answer, 0, USUAL)
        is_hinted = any(isinstance(one, Paragraph) and one.text == hint for one in order.blocks)
        return meaning_at(state, select_field(state, path).row)[0], is_hinted

    assert said(BENCH, turns) == ("1.9 mm.", False)
    job = demo_job().without(turns).with_value(length, "2.5 mm")
    assert said(on_bench(job), length) == ("2.0 turns.", False)
    assert said(on_bench(job.without(pitch)), length) == (hint, True)


def test_no_sag_is_expected_without_an_answer_to_the_job_as_it_is() -> None:
    row = select_field(BENCH, SAG).row
    typed = with_values((SAG, "43 mm"))
    for state in (replace(BENCH, bike_answer=None), outdated(BENCH), outdated(typed)):
        assert said_of(state, row) == row.meaning
    topped_out = with_values(((*COIL, "rate"), "1500 lbf/in"), ((*COIL, "preload_turns"), 10))
    assert said_of(topped_out, row).endswith(row.meaning)
    assert "nan" not in said_of(topped_out, row)


def test_a_measured_value_is_compared_before_its_meaning_and_outside_its_band_alone() -> None:
    row = select_field(BENCH, SAG).row
    within, above = with_values((SAG, "43 mm")), with_values((SAG, "55 mm"))
    compared = "43.0 mm, expected 42.9 mm (40.5 to 45.5 mm): OK."
    assert said_of(within, row) == f"{compared} {row.meaning}"
    assert said_of(above, row) == "55.0 mm, expected 42.9 mm (40.5 to 45.5 mm): too much sag."


# --- cautions --------------------------------------------------------------------------------

FIRST_LOOK = "Check load and posture first (more weight here?), then friction, then leverage."


def test_a_measured_value_outside_its_band_says_what_to_look_at_first() -> None:
    for edits, path, said in (
        ([(SAG, "43 mm")], SAG, ""),
        ([(SAG, "55 mm")], SAG, f"{FIRST_LOOK} To find the load: Space r, type sag 55.0 mm."),
        ([(SAG, "20 mm"), (("measured", "of"), "stroke")], SAG, FIRST_LOOK),
        ([(("measured", "scale"), "58.6 kg")], ("measured", "scale"), ""),
        (
            [(("measured", "setup"), "air"), (GAUGE, "250 psi")],
            GAUGE,
            "Set it now. If it was set when read: warmer air, or pumped too high.",
        ),
        (
            [(("measured", "setup"), "air"), (GAUGE, "330 psi")],
            GAUGE,
            "Let air out first: eye protection on, valve away from the face; if in doubt, "
            "a qualified technician.",
        ),
    ):
        state = with_values(*edits)
        row = select_field(state, path).row
        assert look_first_at(state, row) == said
        assert caution_at(state, row) == said
        assert look_first_at(outdated(state), row) == ""


def test_a_sag_measured_at_another_pressure_than_is_set_finds_the_load_too() -> None:
    state = with_values((("measured", "setup"), "air"), (GAUGE, "250 psi"), (SAG, "60 mm"))
    row = select_field(state, SAG).row
    assert look_first_at(state, row) == f"{FIRST_LOOK} To find the load: Space r, type sag 60.0 mm."
    assert "mm at 250 psi (" in meaning_at(state, row)[0]


@pytest.mark.fast_cases(4)
@pytest.mark.parametrize(
    ("edits", "told", "keys"),
    [
        (
            [((*COIL, "preload_turns"), 3.5)],
            "3.5 turns of preload, maker",
            {"preload_turns", "max_preload_turns"},
        ),
        ([((*COIL, "preload_turns"), 0)], "No preload", {"preload_turns"}),
        (
            [((*COIL, "rated_stroke"), "55 mm")],
            "rated for 55.0 mm stroke",
            {"preload_turns", "rated_stroke"},
        ),
        (
            [((*COIL, "solid_length"), "110 mm")],
            "Coil bind",
            {"rate", "preload_turns", "free_length", "solid_length"},
        ),
        (
            [((*COIL, "bumper_length"), "50 mm")],
            "bottom-out bumper of 50.0 mm touches at sag",
            {"bumper_length"},
        ),
        ([((*AIR, "pressure"), "330 psi")], "above the max pressure", {"pressure", "max_pressure"}),
        ([((*AIR, "pressure"), "330 psi")], "The port at 8.0 mm is past sag", {"port"}),
        ([((*AIR, "port"), "40 mm")], "No pressure up to", {"pressure"}),
        ([((*AIR, "port"), "20 mm")], "Unloaded it sits", {"negative_volume", "port"}),
        (
            [((*AIR, "negative"), "separate"), ((*AIR, "negative_pressure"), "400 psi")],
            "The negative chamber's 400 psi is above the max pressure",
            {"max_pressure", "negative_pressure"},
        ),
    ],
)
def test_a_caution_stands_at_the_fields_that_it_is_about(
    edits: list[tuple[TreePath, Raw]], told: str, keys: set[str]
) -> None:
    state = with_values(*edits)
    assert rows_with(state, told) == keys
    assert rows_with(outdated(state), told) == set()
    assert rows_with(replace(state, bike_answer=None), told) == set()


def test_the_demo_has_no_caution_and_nothing_left_out() -> None:
    rows = [row for panel in BENCH.panels for row in (*panel.rows, *panel.hidden)]
    assert {caution_at(BENCH, row) for row in rows} == {""}
    assert {left_out_at(BENCH, row) for row in rows} == {""}


def test_the_most_pressing_caution_of_a_field_is_told() -> None:
    state = with_values(((*COIL, "preload_turns"), 3.5))
    # Both the turns and the rated stroke are passed; the turns come first at the preload.
    assert "64.4 mm" in caution(state, (*COIL, "rated_stroke"))
    assert "3.5 turns" in caution(state, (*COIL, "preload_turns"))
    bound = with_values(((*COIL, "preload_turns"), 3.5), ((*COIL, "solid_length"), "110 mm"))
    assert caution(bound, (*COIL, "preload_turns")).startswith("Coil bind")
    drawn_in = with_values(((*AIR, "port"), "20 mm"))
    assert "above the max pressure" in caution(drawn_in, (*AIR, "pressure"))
    assert rows_with(drawn_in, "Unloaded it sits 3.5 mm", left_out=True) == {"pressure"}


def test_a_doubt_about_a_value_is_told_where_nothing_else_is() -> None:
    hose = with_values(((*AIR, "hose_volume"), "60 cm3"))
    told = "60 cm3 for a pump hose volume: 0.0 to 30.0 cm3 is usual (rule of thumb). Check it."
    assert caution(hose, (*AIR, "hose_volume")) == told
    assert caution(replace(hose, bike_answer=None), (*AIR, "hose_volume")) == ""
    assert caution(hose, (*AIR, "bore")) == ""


def test_what_was_left_out_stands_at_the_fields_that_would_give_it() -> None:
    gas: list[tuple[TreePath, None]] = [((*COIL, key), None) for key in ("gas_pressure", "gas_volume", "rod")]
    bumper: list[tuple[TreePath, None]] = [((*AIR, key), None) for key in ("bumper_length", "bumper_force")]
    state = with_values(*gas, *bumper)
    assert rows_with(state, "No damper gas entered", left_out=True) == {
        "rate", "rod", "gas_pressure", "gas_volume",
    }  # fmt: skip
    assert rows_with(state, "No bottom-out bumper entered", left_out=True) == {
        "bumper_length", "bumper_force",
    }  # fmt: skip
    assert rows_with(outdated(state), "No ", left_out=True) == set()
    legs = ("lower_leg_volume", "stanchion_diameter")
    front = with_values(*((("front", "setup", 0, key), None) for key in legs))
    assert rows_with(edit.show_wheel(front, "front"), "No lower-leg air", left_out=True) == set(legs)


def test_a_caution_about_the_wire_stands_at_its_measures_and_one_about_its_rate_at_the_rate_too() -> None:
    diameters = {"wire_diameter", "inner_diameter", "outer_diameter"}
    measures = diameters | {"active_coils", "total_coils", "material"}
    thin = on_bench(wired(wire_diameter="7 mm"))
    assert rows_with(thin, "Wire measurements give 228 lbf/in") == measures | {"rate"}


# --- at the edges ----------------------------------------------------------------------------


def test_a_list_of_pairs_that_is_being_entered_is_no_fault_yet() -> None:
    few = with_values((LEVERAGE, {"kind": "measured", "travel_mm": (0.0, 50.0), "stroke_mm": (0.0, 20.0)}))
    assert [fault.path for fault in few.faults] == [(*LEVERAGE, "travel_mm")]
    assert faults_by_row(few) == {}
    # Once anything else is wrong, both are told.
    worse = with_values(
        (LEVERAGE, {"kind": "measured", "travel_mm": (0.0, 50.0), "stroke_mm": (0.0, 20.0)}),
        (("load", "rider_mass"), "x"),
    )
    assert {panel for panel, _row in faults_by_row(worse)} == {0, 1}


def test_pairs_are_doubted_together_and_the_empty_one_behind_them_is_not() -> None:
    table = edit.nudge(select_field(BENCH, (*LEVERAGE, "kind")), 1)
    assert cell(table, (*LEVERAGE, "travel_mm", 0)) == Cell("0.0 mm  2.784 : 1", Look.TYPED, "", True)
    assert cell(table, (*LEVERAGE, "travel_mm", 6)).unconfirmed
    assert cell(table, (*LEVERAGE, "travel_mm", 7)) == Cell("", Look.ABSENT)


def test_a_typed_travel_of_a_fork_is_shown_as_typed() -> None:
    front = edit.show_wheel(with_values((("front", "frame", "wheel_travel"), "145 mm")), "front")
    assert cell(front, TRAVEL) == Cell("145 mm", Look.TYPED)


@pytest.mark.parametrize(
    ("path", "place"),
    [
        ((), (0, ("load", "by"))),
        (("setup",), (0, ("load", "by"))),
        (("setup", 0), (2, (*COIL, "rate"))),
        (("setup", 1), (3, (*AIR, "pressure"))),
        (("setup", 0, "preload"), (2, (*COIL, "rate"))),
        (("record",), (6, ("record", "customer"))),
        (("measured",), (5, ("measured", "setup"))),
        (("frame",), (1, TRAVEL)),
        (("target", "of"), (0, ("target", "of"))),
    ],
)
def test_a_fault_of_a_table_stands_at_its_first_field(path: TreePath, place: tuple[int, TreePath]) -> None:
    assert place_of(path) == place


def test_a_caution_of_a_second_setup_stands_in_its_panel_alone() -> None:
    state = with_values(((*AIR, "pressure"), "330 psi"))
    assert caution(state, (*COIL, "rate")) == ""
    said = "330 psi is above the max pressure of 320 psi: do not pump that high."
    assert caution(state, (*AIR, "pressure")) == f"{said} Unverified: max pressure 320 psi."
    typed = with_values(((*AIR, "pressure"), "330 psi"), ((*AIR, "max_pressure"), "320 psi"))
    assert caution(typed, (*AIR, "pressure")) == said
    imperial = caution(replace(state, units=METRIC), (*AIR, "pressure"))
    assert imperial.startswith("22.8 bar is above the max pressure")
    # A field of another table has no caution of a setup under the same key.
    assert left_out_at(state, select_field(state, ("load", "rider_mass")).row) == ""
    assert caution(state, ("load", "rider_mass")) == ""


def test_a_doubt_stands_at_its_own_field_in_the_units_of_the_shop() -> None:
    state = with_values((("load", "rider_mass"), "8.7 kg"))
    told = "8.7 kg for a rider: 20.0 to 160.0 kg is usual (rule of thumb). Check it."
    assert caution(state, ("load", "rider_mass")) == told
    assert caution(state, ("load", "bike_mass")) == ""
    assert "(19.2 lb)" in caution(replace(state, units=IMPERIAL), ("load", "rider_mass"))
    # A measured value that is well has no caution, a doubtful one the doubt.
    assert caution(with_values((SAG, "43 mm")), SAG) == ""
