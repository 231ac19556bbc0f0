"""Files of a spring tester, however they are written."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tui.subjects.readings import loop_in, read_loop
from tui.tables.heads import LOOP
from tui.tables.questions import ColumnsUnclear, Told, UnitsMissing, told_in
from tui.tables.source import MOST, LoopRead, UnusableReadings
from tui.tables.table import table_of

POINT = [("0", "120"), ("10.5", "900"), ("20", "1710.25"), ("9.5", "780")]
STROKES, FORCES = [0.0, 0.0105, 0.02, 0.0095], [120.0, 900.0, 1710.25, 780.0]


def parsed(text: str, units: str = "", columns: str = "") -> LoopRead:
    return loop_in(table_of(text, "loop.csv"), told_in(columns, units, LOOP))


def written(separator: str, comma: bool, quote: str = "", head: str = "stroke [mm]{}force [N]") -> str:
    rows = [separator.join(f"{quote}{cell}{quote}" for cell in row) for row in POINT]
    text = "\n".join([head.format(separator), *rows])
    return text.replace(".", ",") if comma else text


def is_same(read: LoopRead) -> bool:
    same_stroke = read.loop.stroke.tolist() == pytest.approx(STROKES)
    return bool(same_stroke and read.loop.force.tolist() == pytest.approx(FORCES))


@pytest.mark.parametrize(
    ("separator", "comma", "quote"),
    [
        (";", True, ""), (";", False, ""), ("\t", True, ""), ("\t", False, '"'), (",", False, ""),
        (", ", False, ""), (",", True, '"'), ("|", True, ""), (" ; ", True, ""),
    ],
)  # fmt: skip
def test_any_separator_with_point_or_comma(separator: str, comma: bool, quote: str) -> None:
    read = parsed(written(separator, comma, quote))
    assert is_same(read)
    assert read.source == "loop.csv"
    assert read.loop.way.tolist() == [1, 1, 0, -1]


def test_blanks_part_numbers_with_a_decimal_comma() -> None:
    text = written(" ", comma=True, head="stroke_mm{}force_N")
    assert is_same(parsed(text))
    assert is_same(parsed("# taken on a bench\r\n\r\n" + text.replace("\n", "\r\n")))


@pytest.mark.parametrize(
    ("head", "rows", "stroke", "force"),
    [
        ("time s;Force (kN);Displacement (mm)", "0;1,2;30", 0.030, 1200.0),
        ("no;load/lbf;travel/in", "1;100;1,5", 0.0381, 444.822),
        ("Force;Stroke\nN;mm", "120;3", 0.003, 120.0),
        ("caliper mm;scale kg", "12;25", 0.012, 245.166),
        ("mm;something", "12;25", 0.012, 25.0),
    ],
)
def test_words_and_units_above_say_what_a_column_is(
    head: str, rows: str, stroke: float, force: float
) -> None:
    read = loop_in(table_of(f"{head}\n{rows}\n{rows}", "x"), Told(units={"force": "N"}))
    assert read.loop.stroke[0] == pytest.approx(stroke)
    assert read.loop.force[0] == pytest.approx(force, rel=1e-5)


def test_units_that_are_not_said_are_asked_for() -> None:
    bare = "\n".join(";".join(row) for row in POINT)
    with pytest.raises(UnitsMissing, match="the units of stroke and force are not given"):
        parsed(bare)
    with pytest.raises(UnitsMissing, match="the unit of the force is not given"):
        parsed("stroke mm;force\n" + bare)
    assert is_same(parsed(bare, "mm,N"))
    with pytest.raises(UnusableReadings, match='"psi" is not a unit of force'):
        parsed(bare, "mm,psi")


def test_columns_that_are_not_said_are_asked_for() -> None:
    three = "1;0;120\n2;10.5;900\n3;20;1710.25\n4;9.5;780"
    with pytest.raises(ColumnsUnclear) as caught:
        parsed(three)
    assert "columns are 1, 2, 3" in caught.value.lines[0]
    assert caught.value.asks.endswith("Answer like stroke 1, force 2")
    told = caught.value.told(Told(), "force 3 stroke 2")
    with pytest.raises(UnitsMissing, match="the units of stroke and force are not given") as units:
        loop_in(table_of(three, "x"), told)
    told = units.value.told(told, "mm N")
    assert is_same(loop_in(table_of(three, "x"), told))


@pytest.mark.parametrize(
    "text",
    [
        # What a tester of an invented shop writes: where and when, then the table, its units below the names.
        "Operator;nobody\nLoad cell;5000\nStroke;Force;Speed\nmm;N;mm/s\n"
        "0;120;5\n10,5;900;5\n20;1.710,25;5\n9,5;780;5",
        "Federweg [mm]|Kraft [N]|Zeit [s]\n0|120|1\n10,5|900|2\n20|1710,25|3\n9,5|780|4",
        "% invented\n% stroke mm\tforce kN\n0\t0.12\n10.5\t0.9\n20\t1.71025\n9.5\t0.78",
        '"Stroke, in (mm)","Force (N)"\r\n"0.0","120"\r\n"10.5","900"\r\n"20","1,710.25"\r\n"9.5","780"',
    ],
)
def test_invented_testers(text: str) -> None:
    assert is_same(parsed(text))


def test_a_number_that_may_be_two_is_told_and_not_guessed() -> None:
    said = lines_of("stroke mm;force N\n0;120\n10;1,234\n20;2,345")
    assert said[0] == 'line 3: "1,234" may be thousands or decimals; use 1234 or 1.234'
    assert parsed("stroke mm;force N\n0,5;120\n10;1.234").loop.force[1] == 1234.0
    assert parsed("stroke mm;force N\n0.5;120\n10;1,234").loop.force[1] == 1234.0
    assert parsed("stroke mm;force N\n0;120,125\n10;1,234").loop.force[1] == 1.234


def lines_of(text: str) -> tuple[str, ...]:
    with pytest.raises(UnusableReadings) as caught:
        parsed(text)
    return caught.value.lines


def test_every_fault_is_told_by_its_line() -> None:
    text = "stroke mm;force N\n0;120\n5;abc\n\n10;900\n15\n20;\x1b[31m1"
    assert lines_of(text) == (
        'line 3: "abc" is not a number; use a number',
        "line 6: a number is missing; use a number",
        'line 7: "[31m1" is not a number; use a number',
    )
    many = lines_of("stroke mm;force N\n0;1\n" + "5;x\n" * 40)
    assert many[-1] == "and 28 more lines like these"
    assert len(many) == 13


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no line with two numbers"),
        ("stroke;force", "no line with two numbers"),
        ("1;2;3\n4;5;6", "which of 3 columns are stroke and force is unclear"),
        ("force up N;force down N;stroke mm\n1;2;3", "columns 1 and 2 are both force"),
        ("stroke mm;force N\n" + "1;2\n" * (MOST + 1), f"use at most {MOST}"),
    ],
)
def test_what_is_no_table_of_readings(text: str, said: str) -> None:
    assert said in lines_of(text)[0]


def test_encodings_of_spreadsheets(tmp_path: Path) -> None:
    file = tmp_path / "loop.csv"
    for encoding in ("utf-8", "utf-8-sig", "utf-16", "latin-1"):
        file.write_bytes(written(";", comma=True, head="stroke [mm]{}force [N] à vide").encode(encoding))
        assert is_same(read_loop(file, Told()))
    with pytest.raises(UnusableReadings, match="no such file"):
        read_loop(tmp_path / "none.csv", Told())
    with pytest.raises(UnusableReadings, match="is a directory"):
        read_loop(tmp_path, Told())


@given(st.text(max_size=200))
def test_no_text_is_a_traceback(text: str) -> None:
    said: tuple[str, ...] = ()
    count = 0
    try:
        count = len(parsed(text, "mm,N").loop.stroke)
    except UnusableReadings as unusable:
        said = unusable.lines
    assert (count > 0) is not bool(said)
    assert all(line.isprintable() for line in said)
