"""Numbers as people and spreadsheets write them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tui.tables.table import COMMA, POINT, is_number, is_open, mark_of, mark_within, number_as, number_in


@pytest.mark.parametrize(
    ("cell", "point", "comma"),
    [
        ("12", 12.0, 12.0), ("-12.5", -12.5, None), ("−12,5", None, -12.5), ("+.5", 0.5, None),
        (",5", None, 0.5), ("1.", 1.0, None), ("1,234", 1234.0, 1.234), ("1.234", 1.234, 1234.0),
        ("0.234", 0.234, None), ("1,234.5", 1234.5, None), ("1.234,5", None, 1234.5),
        ("1,234,567", 1234567.0, None), ("1 234,5", None, 1234.5), ("1\u202f234.5", 1234.5, None),
        ("1'234.5", 1234.5, None), ("1.5E-03", 0.0015, None), ("12,34,567.0", None, None),
        ("1,234'567", None, None), ("1e999", None, None), ("", None, None), ("nan", None, None),
        ("inf", None, None), ("12 mm", None, None), ("1.2.3", None, None), ("--1", None, None),
    ],
)  # fmt: skip
def test_a_cell_by_either_mark(cell: str, point: float | None, comma: float | None) -> None:
    assert number_as(cell, POINT) == point
    assert number_as(cell, COMMA) == comma
    assert is_number(cell) is not (point is None and comma is None)


def test_by_itself_a_single_mark_is_that_of_decimals() -> None:
    assert number_in("1,234") == number_in("1.234") == 1.234
    assert number_in("1,234,567") == 1234567.0
    assert number_in("x") is None


def test_numbers_that_go_together_say_which_mark_is_meant() -> None:
    assert mark_of(["1,234", "10.5"]) == POINT
    assert mark_of(["1.234", "10,5"]) == COMMA
    assert mark_of(["1.234", "2.345"]) is None
    assert mark_of(["1.5", "1,5"]) is None
    assert is_open("1,234")
    assert not is_open("1,2345")
    assert mark_within(["1.234", "2.345"], most=10.0) == POINT
    assert mark_within(["1.234", "2.345"], most=10_000.0) is None


@given(st.floats(-1e6, 1e6), st.sampled_from([(POINT, COMMA), (COMMA, POINT), (COMMA, " "), (POINT, "'")]))
def test_what_is_written_with_thousands_is_read_again(value: float, marks: tuple[str, str]) -> None:
    decimal, thousands = marks
    cell = f"{value:,.4f}".replace(",", "t").replace(".", decimal).replace("t", thousands)
    assert number_as(cell, decimal) == pytest.approx(round(value, 4))
