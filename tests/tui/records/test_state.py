"""The state of the records screen without a screen: answers, keys, marks and what is taken back."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from tui.kit.edit import Edit
from tui.kit.look import ASCII, UTF8
from tui.records import state as steps
from tui.records.keymap import EVERY, KEYMAP
from tui.records.lines import heading_rows, list_rows
from tui.records.screen import count_line, count_words, detail_lines, keys_line, search_line
from tui.records.state import (
    OF_ONE,
    PAGES,
    JobLine,
    Listing,
    Mark,
    Outer,
    Page,
    PartLine,
    Query,
    RecordsState,
    RevisionLine,
    Taken,
)
from tui.store.kept import Found, Part, Revision, moment

SURVIVES = re.compile(
    r"ctrl\+[a-z]|f([1-9]|10)|up|down|left|right|home|end|tab|shift\+tab|enter|escape|backspace|delete"
    r"|pageup|pagedown|space|[?/\[\]]"
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
        for typing in (False, True):
            keys = [
                key
                for action in KEYMAP.actions
                if action.typing is typing and page in (action.pages or EVERY)
                for key in action.keys
            ]
            assert max(Counter(keys).values()) == 1, page
        letters = [action.letter for action in KEYMAP.shelf(page)]
        assert len(set(letters)) == len(letters), page


def test_every_action_says_what_it_does_and_the_line_knows_them() -> None:
    assert all(action.label and action.meaning.endswith(".") for action in KEYMAP.actions)
    assert max(Counter(action.id for action in KEYMAP.actions).values()) == 1
    for page in (*PAGES, *OF_ONE):
        lines = {(a.line, a.label) for a in KEYMAP.actions if a.line and page in (a.pages or EVERY)}
        assert len(lines) == len(dict(lines)), page
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
    assert "Old list: " in text
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


def test_the_last_deleted_can_be_restored_once_there_is_something() -> None:
    action = KEYMAP.named["put_back"]
    state = shown("a")
    assert (
        KEYMAP.reason(action, state) == "nothing was removed here; the list of deleted jobs has earlier ones"
    )
    assert KEYMAP.reason(action, steps.with_removed(state, Taken("a", False, "a"), "")) == ""


def test_why_an_act_cannot_be_done_is_said_for_its_list_and_for_a_list_without_lines() -> None:
    jobs, bare = shown("a"), shown()
    reasons = {id: KEYMAP.reason(KEYMAP.named[id], jobs) for id in ("purge", "settle", "take_frame", "demo")}
    assert reasons == {
        "purge": "only in the list of deleted", "settle": "only in the list of versions",
        "take_frame": "only in the list of frames", "demo": "the records are not empty",
    }  # fmt: skip
    assert [KEYMAP.reason(KEYMAP.named[id], bare) for id in ("open_saved", "delete", "copy_view")] == [
        "the list is empty"
    ] * 3
    # While the answer is on its way, what is chosen waits for it.
    assert KEYMAP.reason(KEYMAP.named["delete"], steps.with_question(bare, 2)) == ""
    deleted = press(bare, "shift+tab")
    assert KEYMAP.reason(KEYMAP.named["purge"], deleted) == "nothing is deleted"
    assert "open_saved" in {action.id for action in KEYMAP.key_line(jobs)}
    assert "open_saved" not in {action.id for action in KEYMAP.key_line(bare)}


def test_letters_type_always_and_signs_and_blanks_once_something_is_typed() -> None:
    rest = shown("a")
    for key in ("u", "z", "q", "s", "5", "+", "é"):
        typed = press(rest, key)
        assert (typed.search.text, typed.typing) == (key, True)
    for key, character in (("space", " "), ("slash", "/"), ("question_mark", "?")):
        assert KEYMAP.pressed(rest, key, character) == rest  # menu, finder and help, which the screen opens
        assert KEYMAP.pressed(press(rest, "a"), key, character).search.text == f"a{character}"
    assert press(rest, "]").page is Page.FRAMES
    assert press(rest, "a", "]").search.text == "a]"
    for key in ("up", "down", "home", "end", "pageup", "pagedown", "tab", "escape", "ctrl+u"):
        after = press(rest, "a", "b", key) if key != "escape" else steps.step_back(press(rest, "a", "b"))
        assert not after.typing, key
        assert after.search.text == ("" if key in ("escape", "ctrl+u") else "ab")
    assert press(rest, "a", "b", "up", "c").search.text == "abc"
    assert press(rest, "a", "b", "left", "delete").search.text == "a"
    assert KEYMAP.action_for(rest, "delete", None) is KEYMAP.named["delete"]
    assert press(replace(rest, helps=True), "a").search.text == ""


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


def test_a_column_gives_what_it_does_not_need_to_those_that_would_be_cut() -> None:
    title = "Before the race, the long bike with a name of its own"
    line = JobLine(replace(found("a"), title=title, saved_by="Mo of the shop"))
    state = shown("a")
    listed = steps.with_listing(steps.with_question(state, 2), 2, Listing(state.question, (line,)))
    (row,) = list_rows(listed, 0, 160, 1, UTF8)
    text = "".join(letter for letter, _ in row)
    assert title in text
    assert "Mo of the shop" in text
    heads = "".join(letter for letter, _ in heading_rows(listed, 160, UTF8)[0])
    assert heads.index("by") == text.index("Mo of")


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


def test_only_a_list_without_any_job_is_empty() -> None:
    assert not RecordsState().is_empty
    state = steps.with_question(RecordsState(), 1)
    for empty in (True, False):
        told = steps.with_listing(state, 1, Listing(state.question, (), empty=empty))
        assert told.is_empty is empty
    fresh = Listing(state.question)
    assert (fresh.lines, fresh.more, fresh.empty) == ((), False, False)


def test_the_answer_shown_is_not_taken_twice() -> None:
    state = shown("a")
    assert steps.with_listing(state, 1, listing(state, "b")) is state
    assert steps.with_failure(state, 1, "no answer") is state
    later = steps.with_failure(steps.with_question(state, 2), 2, "no answer")
    assert (later.told, later.trouble, later.lines) == (2, "no answer", state.lines)


def test_an_answer_to_another_question_keeps_the_place_and_not_the_line() -> None:
    state = steps.move_by_lines(shown("a", "b", "c"), 1)
    typed = steps.with_question(replace(steps.type_text(state, "x"), cursor=1), 2)
    after = steps.with_listing(typed, 2, listing(typed, "b", "c", "a"))
    assert after.line is not None
    assert (after.cursor, after.line.uid) == (1, "c")
    # A line that is gone leaves the cursor where it stood, or on the last line.
    gone = steps.with_listing(steps.with_question(state, 2), 2, listing(state, "a", "c", "d"))
    assert gone.cursor == 1
    assert steps.with_listing(steps.with_question(state, 2), 2, listing(state)).cursor == 0


def test_asking_again_counts_and_asks_for_nothing_else() -> None:
    once = steps.ask_again(shown("a"))
    assert once == replace(shown("a"), again=1)
    assert steps.ask_again(once).again == 2


def test_every_typing_key_goes_back_to_the_first_line_and_the_caret_leaves_it() -> None:
    typed = replace(steps.type_text(shown("a", "b", "c"), "rate"), cursor=2)
    assert steps.type_text(typed, "s").cursor == 0
    assert steps.typing_step(Edit.rubbed_out)(typed) == replace(typed, search=Edit("rat", 3), cursor=0)
    assert steps.empty_search(typed) == replace(typed, search=Edit("", 0), cursor=0, typing=False)
    assert steps.move_caret(typed, -1) == replace(typed, search=Edit("rate", 3))


def test_what_is_looked_for_is_asked_with_single_spaces_on_a_page_of_all() -> None:
    state = steps.type_text(RecordsState(), "  sag  30 ")
    assert state.question == Query(Page.JOBS, "sag 30", "")
    inside = steps.open_page(shown("a"), Page.VERSIONS)
    assert steps.type_text(inside, "sag").question == Query(Page.VERSIONS, "", "a")
    assert replace(inside, of=None).question == Query(Page.VERSIONS, "", "")


def test_a_list_is_shown_while_more_is_typed_and_not_on_another_page_or_of_another_job() -> None:
    state = shown("a", "b")
    assert [line.uid for line in steps.type_text(state, "x").lines] == ["a", "b"]
    assert replace(state, page=Page.SHOCKS).lines == ()
    inside = steps.with_question(steps.open_page(state, Page.TIMELINE), 2)
    told = steps.with_listing(inside, 2, Listing(inside.question, (revision_line(7, ""),)))
    assert [line.uid for line in told.lines] == ["r7"]
    assert replace(told, of=found("b")).lines == ()
    # On a page of one job a line that is no revision has no words to be found by.
    mixed = steps.with_listing(inside, 2, Listing(inside.question, (JobLine(found("a")),)))
    assert [len(steps.type_text(mixed, text).lines) for text in ("", "Ann")] == [1, 0]


def test_pages_turn_by_one_from_the_first_line_and_a_page_of_one_job_does_not_turn() -> None:
    state = steps.move_by_lines(shown("a", "b"), 1)
    turned = {n: steps.turn_page(state, n) for n in (1, 2, 3, 4, -1)}
    assert {n: (after.page, after.cursor) for n, after in turned.items()} == {
        1: (Page.FRAMES, 0), 2: (Page.SHOCKS, 0), 3: (Page.DELETED, 0), 4: (Page.JOBS, 0),
        -1: (Page.DELETED, 0),
    }  # fmt: skip
    inside = steps.open_page(state, Page.TIMELINE)
    assert inside.cursor == 0
    assert inside.outer == Outer(Page.JOBS, state.search, 1)
    assert steps.turn_page(inside, 1) is inside


def test_a_page_about_one_job_is_opened_from_a_line_of_it_or_from_another_page_about_it() -> None:
    inside = steps.open_page(shown("a"), Page.TIMELINE)
    told = steps.with_listing(
        steps.with_question(inside, 2), 2, Listing(inside.question, (revision_line(7, ""),))
    )
    chosen = steps.open_page(replace(told, cursor=0), Page.VERSIONS)
    assert (chosen.of, chosen.outer) == (found("a"), inside.outer)
    left = steps.leave_page(chosen)
    assert (left.page, left.of, left.outer, left.cursor) == (Page.JOBS, None, None, 0)
    part = PartLine(Part("f00d", "frame", "Trail M", {}, "2026-03-01T10:00:00.000000Z", 2))
    frames = steps.with_question(steps.turn_page(shown("a"), 1), 2)
    on_part = steps.with_listing(frames, 2, Listing(frames.question, (part,)))
    assert steps.open_page(on_part, Page.TIMELINE) is on_part


def test_marks_are_told_and_another_revision_takes_the_place_of_the_one_before() -> None:
    first = steps.switch_mark(shown("a"), Mark("a", 2, "rev 2 of Ann"))
    assert first.note == "Marked: rev 2 of Ann. Space, then c on another compares the two."
    for other in (Mark("a", 3, "rev 3"), Mark("b", 2, "rev 2")):
        assert steps.switch_mark(first, other).mark == other
    gone = steps.switch_mark(first, Mark("a", 2, "other words"))
    assert (gone.mark, gone.note) == (None, "No longer marked.")


def test_removing_and_putting_back_count_what_is_under_way_and_ask_again() -> None:
    state = steps.with_pending(steps.with_pending(shown("a", "b"), "a"), "b")
    assert state.going == {"a", "b"}
    removed = steps.with_removed(state, Taken("a", False, "Ann"), "Ann is removed.")
    assert (removed.going, removed.note, removed.again) == (frozenset("b"), "Ann is removed.", 1)
    assert removed.undo == (Taken("a", False, "Ann"),)
    refused = steps.with_refused(removed, "b", "locked")
    assert (refused.going, refused.note, refused.undo, refused.again) == (
        frozenset(),
        "locked",
        removed.undo,
        1,
    )
    back = steps.with_restored(steps.with_pending(refused, "a"), "a", "Ann is back.")
    assert (back.going, back.note, back.undo, back.again) == (frozenset(), "Ann is back.", (), 2)
    assert back.restored == "a"
    marked = steps.switch_mark(removed, Mark("a", 2, "rev 2"))
    erased = steps.with_erased(marked, "Erased for good.")
    assert (erased.undo, erased.mark, erased.note, erased.again) == ((), None, "Erased for good.", 2)


def test_ids_of_lines_are_those_of_what_they_show() -> None:
    assert JobLine(found("a")).uid == "a"
    assert revision_line(7, "").uid == "r7"
    line = revision_line(7, "as new", "rate")
    at = moment(line.revision.saved_at)
    assert line.words == f"Trail bike {at} Mo as new rate sag 30 % harsh  rev 7"


def test_the_cursor_goes_to_what_was_restored_so_that_delete_is_about_it() -> None:
    state = steps.move_by_lines(shown("b", "c"), 1)
    restored = steps.with_question(steps.with_restored(state, "a", "Ann is back."), 3)
    early = steps.with_listing(restored, 2, listing(restored, "b", "c"))
    assert early.line == JobLine(found("c")), "an answer from before does not have it"
    there = steps.with_listing(early, 3, listing(early, "a", "b", "c"))
    assert there.line == JobLine(found("a"))
    moved = steps.with_question(steps.ask_again(steps.move_by_lines(there, 2)), 4)
    assert steps.with_listing(moved, 4, listing(moved, "a", "b", "c")).line == JobLine(found("c"))
