"""Undo, redo and what counts as unsaved, driven by hand and at random."""

from hypothesis import given
from hypothesis import strategies as st

from tui.job.job import History, Job, parse

FIRST = parse('title = "first"')


def titled(title: str) -> Job:
    return FIRST.with_value(("title",), title)


def test_undo_leads_home_and_redo_back() -> None:
    edited = History.starting_at(FIRST).then(titled("a")).then(titled("b"))
    assert edited.undo().job == titled("a")
    assert edited.undo().undo().undo().job == FIRST
    assert edited.undo().undo().redo().redo().redo() == edited


def test_an_edit_drops_what_was_undone() -> None:
    edited = History.starting_at(FIRST).then(titled("a")).undo().then(titled("b"))
    assert edited.redo() == edited
    assert edited.undo().job == FIRST


def test_the_same_job_is_no_edit() -> None:
    opened = History.starting_at(FIRST)
    assert opened.then(titled("first")) is opened


def test_unsaved_changes_go_by_content() -> None:
    opened = History.starting_at(FIRST)
    edited = opened.then(titled("a"))
    assert not opened.has_unsaved_changes
    assert edited.has_unsaved_changes
    assert not edited.undo().has_unsaved_changes
    saved = edited.mark_saved()
    assert not saved.has_unsaved_changes
    assert saved.undo().has_unsaved_changes
    assert not saved.undo().redo().has_unsaved_changes


@given(st.lists(st.sampled_from(["a", "b", "c", "undo", "redo", "save"])))
def test_whatever_is_done_undo_leads_home(steps: list[str]) -> None:
    history = History.starting_at(FIRST)
    for step in steps:
        match step:
            case "undo":
                history = history.undo()
            case "redo":
                history = history.redo()
            case "save":
                history = history.mark_saved()
            case title:
                history = history.then(titled(title))
        assert history.has_unsaved_changes == (history.job != history.saved)
    for _ in range(len(steps) + 1):
        history = history.undo()
    assert history.job == FIRST
