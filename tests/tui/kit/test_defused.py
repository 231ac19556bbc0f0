"""Cells of CSV: nothing in them runs, and what is taken back is what was put in."""

from __future__ import annotations

import csv
import io
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tui.kit.document import defused, restored

TEXTS = st.text(st.sampled_from("=+-@'\t\r\n; ,\"a1\uff1d") | st.characters(codec="utf-8"), max_size=20)


@given(TEXTS)
def test_a_cell_comes_back_exactly(text: str) -> None:
    assert restored(defused(text)) == text


@given(st.lists(st.lists(TEXTS, min_size=2, max_size=4), min_size=1, max_size=4))
def test_a_table_comes_back_exactly_through_a_file(rows: list[list[str]]) -> None:
    file = io.StringIO(newline="")
    csv.writer(file).writerows([map(defused, row) for row in rows])
    file.seek(0)
    assert [[restored(cell) for cell in row] for row in csv.reader(file, strict=True)] == rows


@given(TEXTS)
def test_nothing_that_a_spreadsheet_runs_begins_a_cell_whatever_separates_cells(text: str) -> None:
    cell = defused(text)
    for piece in re.split("[;\t\r\n]", cell):
        assert not piece.lstrip(" ").startswith(("=", "+", "-", "@", "\uff1d"))
    assert not cell.startswith(("\t", "\r", "\n"))


@pytest.mark.parametrize(
    ("text", "cell"),
    [
        ("=1+1", "'=1+1"),
        ("+1", "'+1"),
        ("-5 clicks", "'-5 clicks"),
        ("@home", "'@home"),
        ("\tx", "'\tx"),
        ("\rx", "'\rx"),
        ("'x", "''x"),
        (" =x", "' =x"),
        ("sag; -5 mm", "sag;' -5 mm"),
        ("plain, with = inside", "plain, with = inside"),
        ("", ""),
    ],
)
def test_the_apostrophe_stands_where_it_is_needed(text: str, cell: str) -> None:
    assert defused(text) == cell
    assert restored(cell) == text
