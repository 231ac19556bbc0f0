"""Leverage tables of files, however they are written. Every frame in here is invented."""

from __future__ import annotations

import random
import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob
from tui.job.wheels import wheel_job
from tui.shop_units import IMPERIAL, USUAL, ShopUnits
from tui.subjects.leverage import LeverageRead, closing_takes, kept_words, leverage_in
from tui.tables.heads import LEVERAGE
from tui.tables.questions import ColumnsUnclear, UnitsMissing, told_in
from tui.tables.source import LARGEST, UnusableReadings, decoded, text_of_file
from tui.tables.table import MOST_COLUMNS, table_of

ROWS = [(0.0, 0.0, 2.8), (50.0, 18.3, 2.65), (100.0, 37.7, 2.5), (150.0, 58.3, 2.35)]
"""Wheel travel [mm], shock stroke [mm] and ratio of an invented frame."""
BARE = "0 2.8\n75 2.6\n150 2.4"


def read(text: str, columns: str = "", units: str = "") -> LeverageRead:
    return leverage_in(table_of(text, "curve.csv"), told_in(columns, units, LEVERAGE))


def refused(text: str, columns: str = "", units: str = "") -> tuple[str, ...]:
    with pytest.raises(UnusableReadings) as caught:
        read(text, columns, units)
    assert all(line.isprintable() for line in caught.value.lines)
    return caught.value.lines


HEADS = {
    "travel": ["wheel travel", "Travel", "rear axle", "WheelTravel", "vertical wheel travel"],
    "stroke": ["shock stroke", "Stroke", "Shock compression", "shock travel"],
    "ratio": ["leverage ratio", "Ratio", "motion ratio", "Leverage"],
}
PLACES = {"travel": 0, "stroke": 1, "ratio": 2}
UNITS = {"mm": 1.0, "cm": 0.1, "in": 1 / 25.4, "m": 1e-3}
ENCODINGS = ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "latin-1"]
PAIRS = [("travel", "ratio"), ("travel", "stroke"), ("stroke", "ratio"), ("travel", "stroke", "ratio")]


def cell(value: float, mark: str, thousands: str, quote: str) -> str:
    text = f"{value:,.7f}".rstrip("0").rstrip(".") if thousands else f"{value:.7f}"
    return quote + text.replace(",", "t").replace(".", mark).replace("t", thousands) + quote


@pytest.mark.slow
@given(
    names=st.sampled_from(PAIRS),
    sign=st.sampled_from(["\t", ";", "|", ",", ", ", " ", "   ", " ; "]),
    mark=st.sampled_from([".", ","]),
    quoted=st.booleans(),
    unit=st.sampled_from([*UNITS]),
    encoding=st.sampled_from(ENCODINGS),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
    two_lines=st.booleans(),
    seed=st.integers(0, 10_000),
)
def test_the_same_numbers_however_they_are_written(
    names: tuple[str, ...], sign: str, mark: str, quoted: bool, unit: str, encoding: str, end: str,
    two_lines: bool, seed: int,
) -> None:  # fmt: skip
    rng = random.Random(seed)
    comma = sign.strip() == ","
    quote = '"' if quoted or (comma and mark == ",") else ""
    order = [*names, "chain growth"]
    rng.shuffle(order)
    lines = ["# invented; drawn for a test", "Frame of a test"]
    units = {name: f"[{unit}]" for name in order if name in ("travel", "stroke")}
    heads = {name: rng.choice(HEADS[name]) if name in HEADS else name for name in order}
    if not sign.strip(" "):
        heads = {name: head.replace(" ", "_") for name, head in heads.items()}
    if two_lines and sign.strip(" "):
        lines += [sign.join(heads.values()), sign.join(units.get(name, "-") for name in order)]
    else:
        lines.append(sign.join(heads[name] + units.get(name, "") for name in order))
    for row in ROWS:
        numbers = {name: row[PLACES[name]] * (1.0 if name == "ratio" else UNITS[unit]) for name in names}
        lines.append(sign.join(cell(numbers.get(name, 1.5), mark, "", quote) for name in order))
    found = read(decoded(end.join(lines).encode(encoding)))
    expected = ROWS[-1]
    assert found.rows == 4
    assert found.ratio == pytest.approx((2.8, 2.35), abs=0.05)
    if "travel" in names:
        assert found.wheel_travel == pytest.approx(expected[0], abs=1e-3)
        assert found.columns["travel_mm"] == pytest.approx([row[0] for row in ROWS], abs=1e-3)
    else:
        # The integral of the ratio over the stroke; the rows are not quite those of one frame.
        assert found.wheel_travel == pytest.approx(149.7, abs=0.1)
    assert (found.stroke is None) is ("stroke" not in names)
    assert found.kind == ("table" if "ratio" in names else "measured")
    if "stroke" in names:
        assert found.stroke == pytest.approx(expected[1], abs=1e-3)


@pytest.mark.parametrize(
    ("text", "travel", "stroke", "ratio"),
    [
        # What a spreadsheet of an invented frame gives: names over two lines, a cell with a line end in it.
        ('Invented;;\n"Wheel travel\n[mm]";Ratio;Anti squat\n0,0;2,800;100\n150,0;2,400;90', 150, None, 2.4),
        ("travel;ratio\nmm;\n0;2,800\n75;2,600\n150;2,400", 150, None, 2.4),
        ("# wheel travel [mm], leverage ratio\n0, 2.8\n150, 2.4", 150, None, 2.4),
        ("sep=|\nratio|wheel [in]\n2.8|0\n2.4|6", 152.4, None, 2.4),
        ("Wheel travel (mm)   Leverage ratio\n0.0   2.8\n150.0   2.4", 150, None, 2.4),
        # Another language is told by its units where one length is named.
        ("wheel [mm];Hub [mm]\n0;0\n50;18\n100;37\n150;58", 150, 58.0, None),
        # From the end of the travel back.
        ("wheel mm,ratio\n150,2.4\n75,2.6\n0,2.8", 150, None, 2.4),
        # What belongs to neither is left alone.
        (
            "time [s];wheel force [N];wheel travel [mm];spring rate;ratio\n0;1;0;5;2,8\n1;2;150;5;2,4",
            150,
            None,
            2.4,
        ),
        ("travel [mm];ratio;\n0;2,8;\n150;2,4;", 150, None, 2.4),
        ("wheel travel µm [mm] à vide;ratio\n0;2,8\n150;2,4", 150, None, 2.4),
    ],
)
def test_invented_files(text: str, travel: float, stroke: float | None, ratio: float | None) -> None:
    for found in (read(text), read(decoded(text.encode("cp1252")))):
        assert found.wheel_travel == pytest.approx(travel)
        assert found.stroke == (None if stroke is None else pytest.approx(stroke))
        assert ratio is None or found.ratio[1] == pytest.approx(ratio)


def test_what_is_not_said_is_asked_for() -> None:
    with pytest.raises(ColumnsUnclear, match="which of 2 columns are wheel travel, shock stroke or leverage"):
        read(BARE)
    with pytest.raises(UnitsMissing, match="the unit of the wheel travel is not given"):
        read(BARE, "travel 1, ratio 2")
    assert read(BARE, "travel 1, ratio 2", "mm").wheel_travel == 150.0
    assert read(BARE, "ratio 2 stroke 1", "mm,mm").stroke == 150.0
    with pytest.raises(
        ColumnsUnclear, match='columns 1 and 2 are both wheel travel: columns are 1 "wheel left"'
    ):
        read("wheel left;wheel right;ratio\n0;0;3\n9;9;2")
    with pytest.raises(UnitsMissing, match="the units of wheel travel and shock stroke are not given"):
        read("wheel;shock\n0;0\n1;1")


@pytest.mark.parametrize(
    ("columns", "units", "said"),
    [
        ("travel 1", "", '"travel 1" cannot be read; give the numbers of the columns as in'),
        ("travel 1 ratio 7", "mm", "there is no column 7; use 1 to 2"),
        ("travel 1 ratio 0", "mm", "there is no column 0; use 1 to 2"),
        ("travel 1 ratio 2", "kg", '"kg" is not a unit of wheel travel; use one of mm, cm, m, in'),
        ("travel 1 ratio 2", "mm,mm,mm", '"mm,mm,mm" is not units of wheel travel and shock stroke'),
    ],
)
def test_what_is_told_wrongly(columns: str, units: str, said: str) -> None:
    assert said in refused(BARE, columns, units)[0]


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("5;2.8\n150;2.4", "line 2: wheel travel begins at 5 mm; use rows from full extension on, 0 mm"),
        (
            "0;2.8\n60;2.6\n60;2.5\n150;2.4",
            "line 4: wheel travel 60 mm is not above the 60 mm of the previous row",
        ),
        (
            "0;2.8\n90;2.6\n60;2.5\n150;2.4",
            "line 4: wheel travel 60 mm is not above the 90 mm of the previous row",
        ),
        ("0;28\n150;2.4", "line 2: leverage ratio 28; use 0.1 to 10"),
        ("0;2.8\n1500;2.4", "line 3: wheel travel 1500 mm; use 0 to 600 mm"),
        ("-5;2.8\n150;2.4", "line 2: wheel travel -5 mm; use 0 to 600 mm"),
        ("0;0.36\n150;0.41", "no ratio is above 0.41: that is stroke over travel; use wheel travel over"),
        ("0;2.8", "1 rows; use at least 2"),
        ("0;2.8\nx;2.6\n150;2.4", 'line 3: "x" is not a number; use a number'),
        ("0;2.8\n75\n150;2.4", "line 3: a number is missing; use a number"),
    ],
)  # fmt: skip
def test_every_fault_has_its_line(rows: str, said: str) -> None:
    assert said in refused(f"wheel travel [mm];leverage ratio\n{rows}")[0]


def test_pairs_and_strokes_that_cannot_be() -> None:
    head = "wheel travel [mm];shock stroke [mm]\n"
    assert refused(head + "0;0\n50;18\n150;58") == ("3 rows; use at least 4",)
    assert "turns back" in refused(head + "0;0\n50;30\n100;50\n150;50.01\n200;50.02")[0]
    assert (
        "line 5: shock stroke 30 mm is not above" in refused(head + "0;0\n50;18\n100;38\n150;30\n200;70")[0]
    )
    tall = "shock stroke [mm];ratio\n0;9\n90;9"
    assert refused(tall) == ("the wheel travel comes to 810 mm; use up to 600 mm",)


def test_thousands_that_may_be_decimals_are_asked_about() -> None:
    table = "stroke [mm];ratio\n0;2,8\n10;2,7\n60;2,2"
    assert read(table).stroke == 60.0
    # A stroke of more than 600 mm there is none of: a comma alone is told by that.
    assert read("shock [mm];ratio\n0;2\n1,250;2\n55,125;2").stroke == 55.125
    assert read('"wheel [mm]","ratio"\n"0","2,800"\n"150,125","2,400"').wheel_travel == 150.125


def test_more_rows_than_a_job_has_are_thinned_and_ends_kept() -> None:
    travel = np.linspace(0.0, 150.0, 3001)
    rows = "\n".join(f"{w:.3f};{2.8 - 0.003 * w:.5f}" for w in travel)
    found = read("wheel travel [mm];ratio\n" + rows)
    assert (found.rows, found.kept) == (3001, 1000)
    assert kept_words(found) == "1000 of the rows are kept, evenly spaced: a job holds no more"
    assert found.columns["travel_mm"][0] == 0.0
    assert found.columns["travel_mm"][-1] == found.wheel_travel == 150.0
    assert found.columns["ratio"] == pytest.approx(
        [2.8 - 0.003 * w for w in found.columns["travel_mm"]], abs=1e-4
    )


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "no line with two numbers"),
        (b"wheel travel [mm];ratio\n", "no line with two numbers"),
        (b"PK\x03\x04rest", "a spreadsheet file; use a table saved as CSV"),
        (bytes(range(256)) * 40, "not text; use a table saved as CSV"),
        (b"# invented\nformat = 1\ntitle = \"x\"\n", "a job file, not a table; use a table saved as CSV"),
        (b"1;" * 4000, f"line 1: 4000 columns; use at most {MOST_COLUMNS}"),
        (b"1;" * 1_000_000, "line 1: 2000000 characters; use at most 10000 in a line"),
        (b"1;2\n" * 50_001, "50001 lines; use at most 50000"),
        (b"\x1b[2J;\x1b]0;x\x07\n\x1b;\x1b", "no line with two numbers"),
        (b" " * (LARGEST + 1), "larger than 8 MB; use a table saved as CSV"),
    ],
)  # fmt: skip
def test_hostile_files_are_refused_in_a_line(data: bytes, said: str, tmp_path: Path) -> None:
    file = tmp_path / "curve.csv"
    file.write_bytes(data)
    with pytest.raises(UnusableReadings) as caught:
        leverage_in(table_of(text_of_file(file), file.name), told_in("", "", LEVERAGE))
    (line,) = caught.value.lines
    assert said in line
    assert line.isprintable()


@given(st.binary(max_size=300), st.sampled_from(["", "travel 1 ratio 2"]))
def test_no_bytes_are_a_traceback(data: bytes, columns: str) -> None:
    lines: tuple[str, ...] = ()
    try:
        kept = leverage_in(table_of(decoded(data), "x"), told_in(columns, "mm", LEVERAGE)).kept
    except UnusableReadings as unusable:
        kept, lines = 2, unusable.lines
    assert kept > 1
    assert all(line.isprintable() for line in lines)


@given(st.text(alphabet='0123456789.,;|\t \n"-e:#%[]mtravelstokio', max_size=120))
def test_no_text_of_its_letters_is_a_traceback(text: str) -> None:
    lines: tuple[str, ...] = ()
    try:
        kept = read(text, units="mm").kept
    except UnusableReadings as unusable:
        kept, lines = 2, unusable.lines
    assert kept > 1
    assert all(line.isprintable() for line in lines)


REAR = wheel_job(demo_job(), "rear")


@pytest.mark.fast_cases(3)
@pytest.mark.parametrize("stroke", ["55 mm", "58 mm", "62.5 mm", "65 mm"])
@pytest.mark.parametrize("units", [USUAL, IMPERIAL], ids=["usual", "imperial"])
def test_each_line_that_closes_a_frame_does_when_it_is_taken(stroke: str, units: ShopUnits) -> None:
    job = REAR.with_value(("frame", "stroke"), stroke)
    takes = closing_takes(job, units)
    assert [take.values[0][0][-1] for take in takes][-1] == "wheel_travel"
    for take in takes:
        assert "\u2192" in take.text
        frame = answer_job(take.into(job)).answer.frame
        # As fine as it is written: a hundredth of a ratio or of an inch of travel.
        assert abs(frame.closure_error) < 2e-3


def test_the_fault_of_a_frame_that_does_not_close_says_what_fits() -> None:
    with pytest.raises(UnusableJob) as unusable:
        answer_job(REAR.with_value(("frame", "stroke"), "55 mm"))
    [fault] = unusable.value.faults
    assert re.search(
        r"it fits with ratio at end 3\.\d\d, ratio at middle 2\.\d\d or wheel travel 135\.\d mm$",
        fault.accepted,
    )


def test_nothing_closes_a_frame_that_closes_or_lacks_a_number() -> None:
    assert closing_takes(REAR, USUAL) == ()
    assert closing_takes(REAR.without(("frame", "leverage", "start")), USUAL) == ()
    assert closing_takes(REAR.with_value(("frame", "stroke"), "x"), USUAL) == ()
