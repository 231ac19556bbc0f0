"""The list of all actions of the records screen: source of its keys, footer, menu, finder and help.

Letters and digits go into the search line at the top, so no letter is a key. While one types there, so does
every other character; an arrow or Escape ends that.
"""

from __future__ import annotations

from collections.abc import Hashable

from tui.kit.edit import Edit
from tui.kit.keymap import LOOK_ACTS, PROGRAM, Action, Group, Keymap, act, by, group, quiet
from tui.records import state as steps
from tui.records.state import OF_ONE, PAGES, PARTS, Page, RecordsState

_TEN = 10
_FAR = 99_999
_JOBS, _VERSIONS, _DELETED = (Page.JOBS,), (Page.VERSIONS,), (Page.DELETED,)
_SAVED = (*_JOBS, *OF_ONE)
EVERY = (*PAGES, *OF_ONE)
"""The lists."""
HELP = "help"
"""The page of the keymap while the help is shown."""

RecordsAction = Action[RecordsState]

# --- why something cannot be done now ---------------------------------------------------------


def _nothing_removed(state: RecordsState) -> str:
    return "" if state.undo else "nothing was removed here; the list of deleted jobs has earlier ones"


def _not_empty(state: RecordsState) -> str:
    return "" if state.is_empty else "the records are not empty"


def _nothing_deleted(state: RecordsState) -> str:
    return "" if state.lines else "nothing is deleted"


def _open_history(state: RecordsState) -> RecordsState:
    return steps.open_page(state, Page.TIMELINE)


# fmt: off
TYPING: Group[RecordsState] = group(
    "While typing in the search",
    Action("rub_out_at", "delete", "delete", steps.typing_step(Edit.rubbed_out_ahead))
    .means("Delete under the cursor."),
    typing=True,
)
FINDING: Group[RecordsState] = group(
    "In the search",
    act("rub_out", "delete a letter", "Delete to the left.", steps.typing_step(Edit.rubbed_out),
        keys="backspace"),
    act("empty", "clear the search", "Clear the search.", steps.empty_search, keys="ctrl+u"),
    act("caret_left", "cursor left", "Cursor left in what is typed.", by(steps.move_caret, -1), keys="left",
        pages=EVERY),
    act("caret_right", "cursor right", "Cursor right in what is typed.", by(steps.move_caret, 1),
        keys="right", pages=EVERY),
    act("reload", "reload", "Reload the records.", steps.ask_again, letter="r", shelves=EVERY),
)
MOVING: Group[RecordsState] = group(
    "Moving",
    act("up", "line above", "Line up.", by(steps.move_by_lines, -1), keys="up", pages=EVERY),
    act("down", "line below", "Line down.", by(steps.move_by_lines, 1), keys="down", pages=EVERY),
    act("page_up", "ten lines up", "Ten lines up.", by(steps.move_by_lines, -_TEN), keys="pageup",
        pages=EVERY),
    act("page_down", "ten lines down", "Ten lines down.", by(steps.move_by_lines, _TEN), keys="pagedown",
        pages=EVERY),
    act("first", "first line", "First line.", by(steps.move_by_lines, -_FAR), keys="home", pages=EVERY),
    act("last", "last line", "Last line.", by(steps.move_by_lines, _FAR), keys="end", pages=EVERY),
    act("view_back", "previous list", "Previous list: jobs, frames, shocks, deleted jobs.",
        by(steps.turn_page, -1), keys="[", label="lists", line=6, pages=PAGES),
    act("view_on", "next list", "Next list: jobs, frames, shocks, deleted jobs.", by(steps.turn_page, 1),
        keys="]", label="lists", line=6, pages=PAGES),
    act("next", "list to the right", "Next list.", by(steps.turn_page, 1), keys="tab", pages=PAGES),
    act("back", "list to the left", "Previous list.", by(steps.turn_page, -1), keys="shift+tab",
        pages=PAGES),
    act("details", "zoom the details", "Details of this line on the whole screen, or back to the list.",
        steps.switch_zoom, letter="z", shelves=EVERY),
)
JOBS: Group[RecordsState] = group(
    "Jobs and revisions",
    act("open_saved", "open", "Open the newest revision of the job on the bench.", keys="enter",
        label="open", line=1, pages=_JOBS, at_cursor=True),
    act("open_revision", "open this revision", "Open this revision; saves continue from it.", keys="enter",
        label="open", line=1, pages=OF_ONE, at_cursor=True),
    act("history", "history of the bike", "History of this bike: changes, measurements, feedback.",
        _open_history, letter="h", shelves=(*_JOBS, *_VERSIONS), label="history", line=10,
        pages=(*_JOBS, *_VERSIONS), at_cursor=True),
    act("duplicate", "job for the next rider",
        "New job with this frame and setups, without customer, measurements or feedback.", letter="n",
        shelves=_SAVED, label="next rider", line=12, pages=_SAVED, at_cursor=True),
    act("compare", "mark, compare two", "Mark; on a second one open both side by side.", letter="c",
        shelves=_SAVED, label="compare", line=11, pages=_SAVED, at_cursor=True),
    act("demo", "add the demo shop", "Only in empty records: add an invented demo shop.", letter="i",
        shelves=_JOBS, pages=_JOBS, waits=True, why=_not_empty),
    act("settle", "make this one current",
        "Conflicting versions: make this one current; the others stay in the history.", letter="g",
        shelves=_VERSIONS, label="make current", line=2, pages=_VERSIONS, at_cursor=True),
)
PARTS_GROUP: Group[RecordsState] = group(
    "Frames and shocks",
    act("take_frame", "use this frame", "Use this frame in the open job.", keys="enter", label="into the job",
        line=1, pages=(Page.FRAMES,), at_cursor=True),
    act("take_shock", "use this shock",
        "Use this shock in the selected setup if of the same kind, else as a new setup.", keys="enter",
        label="into the setup", line=1, pages=(Page.SHOCKS,), at_cursor=True),
)
PUTTING_AWAY: Group[RecordsState] = group(
    "Delete and restore",
    act("delete", "delete the job", "Delete the job from the lists; asks first, and it can be restored.",
        keys="delete", letter="d", shelves=_JOBS, label="delete", line=9, pages=_JOBS, at_cursor=True),
    act("hide", "remove the part", "Remove the part from the list; asks first, and jobs keep it.",
        keys="delete", letter="d", shelves=PARTS, label="remove", line=9, pages=PARTS, at_cursor=True),
    act("put_back", "restore the last deleted", "Restore the last deleted, then the one before.", letter="u",
        shelves=(*_JOBS, *PARTS), label="restore", line=13, pages=(*_JOBS, *PARTS), why=_nothing_removed),
    act("restore", "restore this job", "Restore the deleted job.", keys="enter", label="restore", line=1,
        pages=_DELETED, at_cursor=True),
    act("purge", "erase all deleted jobs",
        "Erase all deleted jobs; asks twice, and makes a backup first.", letter="e", shelves=_DELETED,
        label="erase all", line=14, pages=_DELETED, why=_nothing_deleted),
)
LEAVING: Group[RecordsState] = group(
    "Job and program",
    act("find", "find", "Find acts, lists and what the list shows by a few letters.", keys="/ ctrl+p",
        line=4),
    act("menu", "menu", "What can be done here, a letter each; Space again: job and program.", keys="space",
        line=5),
    act("help", "help", "What the list is, and every act.", keys="? f1", line=8),
    act("copy_line", "copy line", "Copy the line under the cursor to the terminal's clipboard.", letter="l",
        shelves=(PROGRAM,), at_cursor=True),
    act("copy_view", "copy list", "Copy the list to the terminal's clipboard.", letter="w",
        shelves=(PROGRAM,), at_cursor=True),
    act("export", "export list", "Save the list as CSV.", letter="e", shelves=(PROGRAM,), at_cursor=True),
    act("copy_or_quit", "copy selected or quit", "Copy what the mouse has selected; without any, leave.",
        keys="ctrl+c"),
    *LOOK_ACTS,
    act("suspend", "to the shell", "Suspend; fg resumes.", keys="ctrl+z", letter="z", shelves=(PROGRAM,)),
    act("step_back", "one step back", "Clear the search; then back, to the list or to the bench.",
        keys="escape", label="back", line=3),
    act("leave_records", "back to the bench", "Back to the bench at once.", keys="ctrl+q", letter="q",
        shelves=(PROGRAM,)),
)
# fmt: on


def where_of(action: RecordsAction) -> str:
    """Return the lists that an action belongs to, in words; empty if it is in all of them."""
    names = [page.value for page in EVERY if page in action.pages]
    return "" if len(names) in (0, len(EVERY)) else ", ".join(names)


class RecordsKeymap(Keymap[RecordsState]):
    """The keys of the records screen; each list has its own page."""

    def page(self, state: RecordsState) -> Hashable:
        """Return the list that is shown, or the help."""
        return HELP if state.helps else state.page

    def is_open(self, state: RecordsState) -> bool:
        """Return whether the search line is being typed in."""
        return state.typing

    def reason(self, action: RecordsAction, state: RecordsState) -> str:
        """Return why an action is not available now, empty if it is."""
        if action.pages and state.page not in action.pages:
            return f"only in the list of {where_of(action)}"
        if action.at_cursor and not state.lines and not state.waiting:  # else they may be on their way
            return "the list is empty"
        return super().reason(action, state)

    def holds(self, action: RecordsAction, state: RecordsState) -> bool:
        """Return whether an action applies to the present page and line."""
        return not self.reason(action, state)

    def is_typed(self, state: RecordsState, character: str | None) -> bool:
        """Return whether a character goes into the search line: any while one types there."""
        if not character or not character.isprintable() or state.helps:
            return False
        return state.typing or self.starts_typing(state, character)

    def starts_typing(self, state: RecordsState, character: str) -> bool:
        """Return whether a character starts typing in the search line: any that is neither key nor blank."""
        return character != " " and self.at_rest(state, character) is None

    def typed(self, state: RecordsState, text: str) -> RecordsState:
        """Return the state with text in the search."""
        return steps.type_text(quiet(state), text)


KEYMAP = RecordsKeymap((FINDING, TYPING, MOVING, JOBS, PARTS_GROUP, PUTTING_AWAY, LEAVING), (*EVERY, HELP))
