"""The state of the records screen without a screen: answers, keys, marks and what is taken back."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from tui.kit.look import ASCII, UTF8
from tui.records import state as steps
from tui.records.keymap import EVERY, KEYMAP, STAY_IN_LINE
from tui.records.lines import heading_rows, list_rows
from tui.records.screen import count_line, count_words, detail_lines, keys_line, search_line
from tui.records.state import (
    OF_ONE,
    PAGES,
    JobLine,
    Listing,
    Mark,
    Page,
    PartLine,
    RecordsState,
    RevisionLine,
    Taken,
)
from tui.store.kept import Found, Part, Revision

SURVIVES = re.compile(
    r"ctrl\+[a-z]|f([1-9]|10)|up|down|left|right|home|end|tab|shift\+tab|enter|escape|backspace|delete"
    r"|pageup|pagedown|\?"
)


def found(uid: str, customer: str = "Ann", versions: int = 1) -> Found:
    at = "2026-03-01T10:00:00.000000Z"
    return Found(uid, "Job", customer, "T1", "Trail M", "Frame", 2, versions, at, "Mo", None)


def listing(state: RecordsState, *uids: str, more: bool = False) -> Listing:
    return Listing(state.question, tuple(JobLine(found(uid)) for uid in uids), more)


def shown(*uids: str) -> RecordsState:
    state = steps.with_question(RecordsState(), 1)
    return steps.with_listing(state, 1, listing(state, *uids))


def press(state: RecordsState, *keys: str) -> RecordsState:
    for key in keys:
        state = KEYMAP.pressed(state, key, key if len(key) == 1 else None)
    return state


def test_every_key_survives_ssh_and_tmux_and_none_is_a_letter_or_a_digit() -> None:
    assert [key for action in KEYMAP.actions for key in action.keys if not SURVIVES.fullmatch(key)] == []


def test_a_key_does_one_thing_on_a_page() -> None:
    for page in (*PAGES, *OF_ONE):
        keys = [key for action in KEYMAP.actions if page in (action.pages or EVERY) for key in action.keys]
        assert max(Counter(keys).values()) == 1, page


def test_every_action_says_what_it_does_and_the_line_knows_them() -> None:
    assert all(action.label and action.meaning.endswith(".") for action in KEYMAP.actions)
    assert max(Counter(action.id for action in KEYMAP.actions).values()) == 1
    assert max(Counter(action.line for action in KEYMAP.actions if action.line).values()) == 1
    assert set(STAY_IN_LINE) <= {action.id for action in KEYMAP.actions if action.line}
    assert len({group.title for group in KEYMAP.groups}) == len(KEYMAP.groups)


def test_an_older_answer_never_covers_a_newer_one() -> None:
    state = steps.with_question(shown("a"), 3)
    newer = steps.with_listing(state, 3, listing(state, "c"))
    assert steps.with_listing(newer, 2, listing(state, "b")) is newer
    assert steps.with_failure(newer, 2, "no answer") is newer


def test_a_list_that_could_not_be_read_stays_and_says_so() -> None:
    state = steps.with_failure(steps.with_question(shown("a"), 2), 2, "the server does not answer; try again")
    assert [line.uid for line in state.lines] == ["a"]
    (row,) = count_line(state, 120, UTF8)
    text = "".join(cell for cell, _role in row)
    assert "the server does not answer" in text
    assert "This list is from before" in text
    again = steps.with_question(steps.ask_again(state), 3)
    assert steps.with_listing(again, 3, listing(again, "a", "b")).trouble == ""


def test_why_there_is_no_list_can_be_read_to_its_end() -> None:
    why = "the records were made by a later springwright; one at least as new; nothing was changed"
    state = steps.with_failure(steps.with_question(steps.RecordsState(), 1), 1, why)
    told = " ".join("".join(cell for cell, _role in row).strip() for row in detail_lines(state, 50, 6, UTF8))
    assert why in told


def test_the_cursor_stays_on_its_line_when_the_same_is_asked_anew() -> None:
    state = steps.move_by_lines(shown("a", "b", "c"), 1)
    state = steps.with_question(state, 2)
    assert steps.with_listing(state, 2, listing(state, "x", "a", "b")).cursor == 2
    assert steps.with_listing(state, 2, listing(state, "a")).cursor == 0


def test_typing_starts_at_the_top_and_goes_on_in_the_search() -> None:
    state = press(steps.move_by_lines(shown("a", "b"), 1), "m", "9", " ", "x")
    assert (state.search.text, state.cursor) == ("m9 x", 0)
    assert press(state, "left", "backspace").search.text == "m9x"
    assert press(state, "ctrl+u").search.text == ""


def test_pages_go_round_and_show_nothing_of_each_other() -> None:
    state = press(shown("a"), "tab")
    assert state.page is Page.FRAMES
    assert state.lines == ()
    assert count_words(state) == "looking"
    assert press(state, "tab", "tab", "tab").page is Page.JOBS
    assert press(state, "shift+tab").page is Page.JOBS


def test_what_is_found_is_counted_in_words() -> None:
    state = steps.with_question(RecordsState(), 1)
    counted = [count_words(steps.with_listing(state, 1, listing(state, *uids))) for uids in ("", "a", "ab")]
    assert counted == ["no jobs", "1 job", "2 jobs"]
    more = steps.with_listing(state, 1, listing(state, *"abc", more=True))
    assert count_words(more) == "the newest 3 jobs, type more to narrow"


def test_a_page_about_one_job_leads_back_to_where_it_was_opened() -> None:
    state = steps.move_by_lines(press(shown("a", "b"), "x"), 1)
    inside = steps.open_page(state, Page.TIMELINE)
    assert (inside.page, inside.search.text, inside.of) == (Page.TIMELINE, "", found("b"))
    typed = press(inside, "q")
    assert typed.question == inside.question  # sifted here, not asked for
    outside = steps.leave_page(typed)
    assert (outside.page, outside.search, outside.cursor) == (Page.JOBS, state.search, 1)


def test_a_mark_is_set_and_let_go() -> None:
    marked = steps.switch_mark(shown("a"), Mark("a", 2, "rev 2 of Ann"))
    (row,) = count_line(marked, 80, UTF8)
    assert "marked: rev 2 of Ann" in "".join(cell for cell, _role in row)
    assert steps.switch_mark(marked, Mark("a", 2, "")).mark is None


def test_what_was_taken_out_is_taken_back_in_turn() -> None:
    state = shown("a", "b")
    for uid in "ab":
        state = steps.with_removed(steps.with_pending(state, uid), Taken(uid, False, uid), "gone")
    assert [taken.uid for taken in state.undo] == ["a", "b"]
    assert state.going == frozenset()
    assert [taken.uid for taken in steps.with_restored(state, "b", "back").undo] == ["a"]
    part = steps.with_removed(state, Taken("p", True, "p"), "gone")
    assert [taken.uid for taken in steps.with_erased(part, "").undo] == ["p"]


def test_undo_stands_in_the_key_line_once_there_is_something_to_undo() -> None:
    state = shown("a")
    assert "undo" not in {action.id for action in KEYMAP.key_line(state)}
    state = steps.with_removed(state, Taken("a", False, "a"), "")
    assert "undo" in {action.id for action in KEYMAP.key_line(state)}


WORDS = st.text(max_size=12)
KEYS = st.sampled_from([key for action in KEYMAP.actions for key in action.keys] + list("abx 9.ß東"))


@given(st.lists(KEYS, max_size=30), WORDS, st.integers(1, 130), st.integers(1, 40), st.booleans())
def test_any_keys_and_any_names_fill_their_lines_exactly(
    keys: list[str], name: str, width: int, height: int, ascii: bool
) -> None:
    glyphs = ASCII if ascii else UTF8
    state = shown("a")
    lines = tuple(JobLine(found(uid, name, versions)) for uid, versions in (("a", 1), ("b", 2)))
    state = steps.with_listing(steps.with_question(state, 2), 2, Listing(state.question, lines))
    state = press(state, *keys)
    rows = [
        *search_line(state, width, glyphs),
        *count_line(state, width, glyphs),
        *heading_rows(state, width, glyphs),
    ]
    rows += [*list_rows(state, 0, width, height, glyphs), *detail_lines(state, width, height, glyphs)]
    rows += keys_line(state, width, glyphs)
    assert len(rows) == 4 + 2 * height
    assert all(len(row) == width for row in rows)
    if ascii:
        assert all(cell.isascii() for row in rows for cell, _role in row)


def revision_line(number: int, note: str, *changes: str) -> RevisionLine:
    saved = Revision(f"r{number}", "a", number, None, None, "2026-03-01T10:00:00Z", "Mo", note, "")
    return RevisionLine(saved, "Trail bike", changes=changes, measured="sag 30 %", ridden="harsh")


def test_a_search_on_the_page_of_one_job_is_looked_for_in_all_words_of_its_revisions() -> None:
    inside = steps.with_question(steps.open_page(shown("a"), Page.TIMELINE), 2)
    lines = (revision_line(7, "Café setting", "rate 450 lbf/in"), revision_line(9, "", "rate 400 lbf/in"))
    state = steps.with_listing(inside, 2, Listing(inside.question, lines))

    def left_by(text: str) -> list[str]:
        return [line.uid for line in steps.type_text(state, text).lines]

    assert left_by("") == ["r7", "r9"]
    assert left_by("450") == ["r7"]
    assert left_by("cafe  RATE") == ["r7"]
    assert left_by("450 400") == []
    assert left_by("rev 9") == ["r9"]
    for shared in ("trail", "mo", "30 %", "harsh"):
        assert left_by(shared) == ["r7", "r9"], shared


def test_a_cursor_past_the_end_selects_the_last_line_and_no_list_selects_none() -> None:
    state = replace(shown("a", "b"), cursor=5)
    assert state.line is not None
    assert state.line.uid == "b"
    assert RecordsState().line is None
    assert steps.move_by_lines(shown("a", "b"), 9).cursor == 1
    assert steps.move_by_lines(shown("a", "b"), -9).cursor == 0


def test_a_page_about_no_job_is_not_entered_and_a_list_of_all_is_not_left() -> None:
    assert steps.open_page(RecordsState(), Page.TIMELINE) == RecordsState()
    assert steps.leave_page(shown("a")) == shown("a")
    inside = steps.open_page(shown("a"), Page.TIMELINE)
    chosen = steps.open_page(inside, Page.VERSIONS)
    assert (chosen.page, chosen.of, chosen.outer) == (Page.VERSIONS, inside.of, inside.outer)


def test_an_answer_is_waited_for_from_the_question_until_it_comes_or_fails() -> None:
    assert not RecordsState().waiting
    asked = steps.with_question(RecordsState(), 1)
    assert asked.waiting
    assert not steps.with_listing(asked, 1, listing(asked, "a")).waiting
    assert not steps.with_failure(asked, 1, "no answer").waiting
    assert steps.with_question(shown("a"), 2).waiting


def test_the_records_open_on_all_jobs_at_the_first_line_with_nothing_asked() -> None:
    state = RecordsState()
    assert (state.page, state.search.text, state.cursor) == (Page.JOBS, "", 0)
    assert (state.asked, state.told, state.again) == (0, 0, 0)
    first = shown("a", "b").line
    assert first is not None
    assert first.uid == "a"


def test_a_frame_or_shock_is_known_by_its_digest_and_is_the_newest_of_its_name_unless_told() -> None:
    line = PartLine(Part("f00d", "frame", "Trail M", {}, "2026-03-01T10:00:00.000000Z", 2))
    assert line.uid == "f00d"
    assert (line.twins, line.newest, line.against) == (1, True, ())
