"""Tables for a spreadsheet: what the csv module reads back is what the answer says."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from physics.answer import Answer
from tests.confirmed import confirmed_demo
from tui.bench.export import figure_numbers
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.figures import figures_for, read_figure
from tui.kit.document import (
    Cell,
    Document,
    Heading,
    Paragraph,
    Rows,
    SetupName,
    Table,
    csv_bytes,
    csv_text,
    document_numbers,
    restored,
    tabbed_text,
    table_numbers,
)
from tui.shop_units import ALL, USUAL, Measure, ShopUnits
from tui.subjects import conditions


@pytest.fixture(scope="module")
def answer() -> Answer:
    return answer_job(demo_job()).answer


def read(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline=""), strict=True))


def number(cell: str) -> float:
    return float(cell) if cell else math.nan


def same(one: float, other: float) -> bool:
    return one == other or (math.isnan(one) and math.isnan(other))


@pytest.mark.parametrize("units", ALL, ids=lambda units: units.name)
def test_every_figure_comes_back_as_the_answer_has_it(answer: Answer, units: ShopUnits) -> None:
    head, state, *rows = read(csv_text(figure_numbers(answer, units)))
    assert head == ["figure", "coil", "air"]
    assert state == ["state", "OK", "OK"]
    figures = figures_for(answer.setups)
    assert len(rows) == len(figures) > 40
    for figure, (label, *cells) in zip(figures, rows, strict=True):
        unit = units.unit(figure.measure) or figure.per
        assert label == (f"{figure.label} ({unit})" if unit else figure.label)
        for setup, cell in zip(answer.setups, cells, strict=True):
            exact = units.scale(read_figure(figure, setup, answer), figure.measure)
            assert same(number(cell), exact), label


def test_a_pressure_is_that_of_a_gauge_in_the_shop(answer: Answer) -> None:
    rows = {row[0]: row[1:] for row in read(csv_text(figure_numbers(answer, USUAL)))}
    air = answer.setups[1].air
    assert air is not None
    coil, psi = rows["set pressure (psi)"]
    assert coil == ""
    over_the_shop = float(air.set_pressure) - float(answer.shop.pressure)
    assert float(psi) == pytest.approx(over_the_shop / 6894.757293168, rel=1e-12)


def test_a_setup_on_values_nobody_confirmed_says_so(answer: Answer) -> None:
    assert figure_numbers(answer, USUAL, {1})[0] == ["figure", "coil", "air (unverified)"]


@given(st.lists(st.floats(), min_size=1, max_size=5))
def test_numbers_come_back_exactly(numbers: list[float]) -> None:
    ((*cells,),) = read(csv_text([numbers]))
    for cell, given_one in zip(cells, numbers, strict=True):
        assert same(number(cell), given_one if math.isfinite(given_one) else math.nan)
        assert "," not in cell


def test_the_file_is_csv_of_rfc_4180_in_utf_8_with_its_mark() -> None:
    rows: Rows = [["a,b", 'say "x"', "Größe"], [1.5, math.nan, -0.0]]
    assert csv_bytes(rows) == b"\xef\xbb\xbf" + '"a,b","say ""x""",Größe\r\n1.5,,0\r\n'.encode()


def test_rows_are_filled_up_so_that_all_have_as_many_cells() -> None:
    assert csv_text([["a"], [1.0, 2.0], []]) == "a,\r\n1,2\r\n,\r\n"
    assert csv_text([]) == ""


@pytest.mark.parametrize("name", ["=cmd|' /C calc'!A0", "+1", "-2 spacers", "@x", "\t=1", " =1"])
def test_a_name_is_no_formula(name: str) -> None:
    ((cell, number_cell),) = read(csv_text([[name, -2.5]]))
    assert cell.startswith("'")
    assert restored(cell) == name.replace("\t", " ")
    assert number_cell == "-2.5"


def test_between_tabs_it_is_pasted_as_cells() -> None:
    rows: Rows = [["", "coil", "air"], ["sag (%)", 29.5], ["=1", math.nan], ["rest", "-2.5", "-", "-2.5+1"]]
    assert tabbed_text(rows) == "\tcoil\tair\nsag (%)\t29.5\n'=1\nrest\t-2.5\t-\t'-2.5+1"


def table(*rows: Sequence[str | Cell | SetupName], units: tuple[str, ...] = (), heads: int = 1) -> Table:
    return Table(tuple(map(tuple, rows)), units=units, heads=heads)


def test_the_units_of_a_column_stand_in_its_heading() -> None:
    found = table_numbers(
        table(("", "gauge", "sag"), ("-15", "178 psi", "35.0 %"), ("-5", "185 psi", "-"), units=("degC",)),
        "Colder and warmer",
    )
    assert found[0] == ["Colder and warmer (degC)", "gauge (psi)", "sag (%)"]
    assert found[1] == [-15.0, 178.0, 35.0]
    assert found[2][:2] == [-5.0, 185.0]
    assert math.isnan(float(found[2][2]))


def test_the_unit_of_a_row_stands_behind_its_label() -> None:
    found = table_numbers(
        table(
            ("", "now", "found"),
            ("pressure", "203 psi", "198.5 psi"),
            ("preload", "2.0 mm", "2.0 mm, 1.5 turns"),
            ("spacers", "1", "+2"),
        )
    )
    assert found == [
        ["", "now", "found"],
        ["pressure (psi)", 203.0, 198.5],
        ["preload", "2.0 mm", "2.0 mm, 1.5 turns"],
        ["spacers", 1.0, 2.0],
    ]


def test_what_is_marked_stays_marked_and_where_a_setup_stands_is_a_number() -> None:
    found = table_numbers(table(("spacers", "0"), (Cell("1"), Cell("[212]")), (Cell("2"), Cell("!305"))))
    assert found == [["spacers", "0"], [1.0, 212.0], [2.0, "!305"]]


def test_names_of_setups_and_rows_without_a_head() -> None:
    found = table_numbers(table((SetupName("=air", 1), "1.5"), ("b",), heads=0))
    assert found == [["=air", 1.5], ["b", ""]]
    assert csv_text(found) == "'=air,1.5\r\nb,\r\n"


def test_tables_of_a_document_stand_below_each_other_under_their_headings() -> None:
    told = Document(
        (
            Heading("Nothing yet"),
            Paragraph("words"),
            Table((), plain=("words",)),
            Heading("First"),
            table(("", "x"), ("a", "1 N")),
            Heading("Second"),
            table(("y", "x"), ("b", "2")),
        )
    )
    assert document_numbers(told) == [["First", "x (N)"], ["a", 1.0], [], ["y", "x"], ["b", 2.0]]
    assert document_numbers(Document((Heading("none"),))) == []


def test_the_numbers_of_a_view_are_those_on_its_screen() -> None:
    answered = answer_job(confirmed_demo())
    told = conditions.document(answered, 1, USUAL)
    rows = read(csv_text(document_numbers(told)))
    tables = [block for block in told.blocks if isinstance(block, Table)]
    shown = [row for one in tables for row in one.rows[1:]]
    assert rows[0][0].endswith(f"({USUAL.unit(Measure.TEMPERATURE)})")
    assert rows[0][1] == "gauge (psi)"
    numbers = [row for row in rows if row[0] and not row[0].endswith(")")]
    assert len(numbers) == len(shown) > 10
    assert [[float(cell) for cell in row] for row in numbers] == [
        [float(cell) for cell in row if isinstance(cell, str)] for row in shown
    ]
