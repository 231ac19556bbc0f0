"""A short draw of random inputs at every border; `python -m tests.fuzz` draws as many as one likes."""

import pytest

from tests.fuzz import BORDERS, failures


@pytest.mark.parametrize("border", BORDERS)
def test_every_border_answers_or_refuses_in_a_sentence(border: str) -> None:
    count = {"commands": 6, "jobs": 100, "fields": 100, "arguments": 40}.get(border, 300)
    assert [str(one) for one in failures(count, 1, border)] == []


def test_a_failure_says_how_to_draw_it_again(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(_draw: object) -> None:
        raise RuntimeError("as it should not")

    monkeypatch.setitem(BORDERS, "units", (fails, 1))
    (found,) = failures(1, 7, "units")
    assert str(found).startswith("python -m tests.fuzz 1 7 units\n")
    assert "RuntimeError: as it should not" in str(found)
