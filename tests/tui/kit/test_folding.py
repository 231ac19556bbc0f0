"""Text in lines: what stays together, and how wide a line gets."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.random_cases import cases
from tui.kit.look import folded

MEASURES = (
    "7 %",
    "2.85 x",
    "393 lbf/in",
    "10919 N s/m",
    "2.22 : 1",
    "20 degC",
    "4 rounds",
    "-8.0 mm",
    "~ 82 kg",
)


@pytest.mark.parametrize("measure", MEASURES)
def test_no_line_ends_between_a_number_and_its_unit(measure: str) -> None:
    text = f"last 20 per cent adds {measure}; more than with the other one"
    for width in range(14, len(text) + 1):
        lines = folded(text, width)
        assert " ".join(lines) == text
        assert any(measure in line for line in lines), (width, lines)
        assert max(map(len, lines)) <= width


def test_a_word_with_a_hyphen_stays_whole() -> None:
    assert folded("firm at bottom-out", 14) == ["firm at", "bottom-out"]


def test_lines_are_indented_and_cut_as_asked() -> None:
    assert folded("one two three", 6, "  ") == ["one", "  two", "  thre", "  e"]
    assert folded("one two three", 6, most=1, more=" ~") == ["one ~"]
    assert folded("", 10) == []


@settings(max_examples=cases(100))
@given(st.text("ab 7%.\u00a0", max_size=60), st.integers(3, 40))
def test_nothing_is_lost_and_no_line_is_too_long(text: str, width: int) -> None:
    lines = folded(text, width)
    assert all(len(line) <= width for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())
