"""A value being typed: what each typing key does to text, caret and mark."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import pytest

from tui.job.job import History, Job
from tui.job.tree import Tree
from tui.kit.edit import LONGEST, Edit, redo, restore, type_text, typing_step, undo

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


@dataclass(frozen=True)
class Page:
    """A screen with nothing but a value that is typed and a history."""

    history: History
    edit: Edit | None = None
    note: str = ""
    takes_text: bool = True


FIRST, SECOND = Job(Tree({"title": "first"})), Job(Tree({"title": "second"}))
EDITED = Page(History.starting_at(FIRST).then(SECOND))


def with_history(page: Page, history: History) -> Page:
    return replace(page, history=history, note="moved")


def test_a_value_has_room_for_two_hundred_characters() -> None:
    assert Edit("", 0).put("a" * 300) == Edit("a" * 200, 200)


def test_a_value_opened_is_untouched_and_whether_it_was_touched_makes_no_other_value() -> None:
    opened = Edit.opened_on("82")
    assert opened == Edit("82", 2, "82")
    assert (opened.touched, opened.asked, Edit("82", 2).before) == (False, "", None)
    assert not Edit("82", 2).touched
    assert opened.put("").touched
    assert opened.put("") == opened


def test_text_starts_a_value_where_one_is_typed_and_goes_on_in_an_open_one() -> None:
    started = type_text(EDITED, "9")
    assert started == replace(EDITED, edit=Edit("9", 1))
    assert type_text(replace(started, takes_text=False), "0").edit == Edit("90", 2)
    refused, choice = "+ and - step through the options.", replace(EDITED, takes_text=False)
    assert type_text(choice, "9") == replace(choice, note=refused)


def test_a_typing_key_opens_a_closed_value_empty_and_changes_an_open_one() -> None:
    assert typing_step(EDITED, Edit.rubbed_out).edit == Edit("", 0)
    assert typing_step(replace(EDITED, edit=Edit("90", 2)), Edit.rubbed_out).edit == Edit("9", 1)


def test_undo_closes_what_is_typed_first_then_goes_back_and_then_says_that_nothing_is_left() -> None:
    typing = replace(EDITED, edit=Edit("9", 1))
    assert undo(typing, with_history) == restore(typing) == EDITED
    back = undo(EDITED, with_history)
    assert (back.history.job, back.note) == (FIRST, "moved")
    assert undo(back, with_history) == replace(back, note="Nothing to undo.")
    assert redo(back, with_history) == replace(EDITED, note="moved")
    assert redo(EDITED, with_history) == replace(EDITED, note="Nothing to redo.")
