"""A value being typed: what each typing key does to text, caret and mark."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tui.kit.edit import LONGEST, Edit

OPENED = Edit.opened_on("82 kg")


@pytest.mark.parametrize(
    ("step", "text", "caret", "touched"),
    [
        (lambda edit: edit.put("x"), "82 kgx", 6, True),
        (lambda edit: edit.moved(-3), "82 kg", 2, False),
        (lambda edit: edit.moved(-9), "82 kg", 0, False),
        (lambda edit: edit.moved(9), "82 kg", 5, False),
        (lambda edit: edit.rubbed_out(), "82 k", 4, True),
        (lambda edit: edit.moved(-3).rubbed_out(), "8 kg", 1, True),
        (lambda edit: edit.moved(-9).rubbed_out(), "82 kg", 0, True),
        (lambda edit: edit.rubbed_out_ahead(), "82 kg", 5, True),
        (lambda edit: edit.moved(-3).rubbed_out_ahead(), "82kg", 2, True),
        (lambda edit: edit.emptied(), "", 0, True),
    ],
)
def test_a_key_changes_text_and_caret_and_only_typing_marks_it(
    step: Callable[[Edit], Edit], text: str, caret: int, touched: bool
) -> None:
    after = step(OPENED)
    assert (after.text, after.caret, after.touched) == (text, caret, touched)
    assert after.before == "82 kg"


def test_a_value_is_no_longer_than_there_is_room_for() -> None:
    full = Edit("a" * (LONGEST - 2), 1).put("xyz")
    assert full.text == "axy" + "a" * (LONGEST - 3)
    assert full.caret == 3
    assert full.put("z").text == full.text
