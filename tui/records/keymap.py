"""What the keys of the records screen do.

Letters and digits always go into the search; what acts has a key that is none and that ssh and tmux let
through.
"""

from __future__ import annotations

from functools import partial

from tui.kit.edit import Edit
from tui.kit.keymap import Action, Group, Keymap, by, group, quiet
from tui.records import state as steps
from tui.records.state import OF_ONE, PAGES, PARTS, Page, RecordsState

_TEN = 10
_FAR = 99_999
_open_timeline = partial(steps.open_page, page=Page.TIMELINE)
_JOBS, _VERSIONS, _DELETED = (Page.JOBS,), (Page.VERSIONS,), (Page.DELETED,)
EVERY = (*PAGES, *OF_ONE)
"""Pages of an action that names none."""


# fmt: off
FINDING: Group[RecordsState] = group(
    "Search: just type",
    Action("rub_out", "backspace", "delete", steps.typing_step(Edit.rubbed_out))
    .means("Delete to the left."),
    Action("rub_out_at", "delete", "delete", steps.typing_step(Edit.rubbed_out_ahead))
    .means("Delete under the cursor."),
    Action("empty", "ctrl+u", "clear", steps.empty_search).means("Clear the search."),
    Action("left", "left", "left", by(steps.move_caret, -1)).means("Cursor left."),
    Action("right", "right", "right", by(steps.move_caret, 1)).means("Cursor right."),
    Action("again", "ctrl+r", "reload", steps.ask_again).means("Reload the records."),
)
MOVING: Group[RecordsState] = group(
    "Moving",
    Action("up", "up", "line", by(steps.move_by_lines, -1)).means("Line up."),
    Action("down", "down", "line", by(steps.move_by_lines, 1)).means("Line down."),
    Action("page_up", "pageup", "page", by(steps.move_by_lines, -_TEN)).means("Ten lines up."),
    Action("page_down", "pagedown", "page", by(steps.move_by_lines, _TEN)).means("Ten lines down."),
    Action("first", "home", "first", by(steps.move_by_lines, -_FAR)).means("First line."),
    Action("last", "end", "last", by(steps.move_by_lines, _FAR)).means("Last line."),
    Action("turn", "tab", "next list", by(steps.turn_page, 1), pages=PAGES)
    .means("Next list: jobs, frames, shocks, deleted jobs."),
    Action("turn_back", "shift+tab", "list", by(steps.turn_page, -1), pages=PAGES).means("Previous list."),
)
JOBS: Group[RecordsState] = group(
    "Jobs and revisions",
    Action("open", "enter", "open", line=1, pages=_JOBS, at_cursor=True)
    .means("Open the newest revision of the job on the bench."),
    Action("open_revision", "enter", "open", line=2, pages=OF_ONE, at_cursor=True)
    .means("Open this revision; saves continue from it."),
    Action("timeline", "f2", "history", line=8, pages=_JOBS, at_cursor=True)
    .means("History of this bike."),
    Action("versions_timeline", "f2", "history", _open_timeline, 10, pages=_VERSIONS)
    .means("From conflicting versions to the bike's history."),
    Action("duplicate", "f3", "next rider", line=11, pages=(*_JOBS, *OF_ONE), at_cursor=True)
    .means("New job with this frame and setups, without customer, measurements or feedback."),
    Action("compare", "f4", "compare", line=9, pages=(*_JOBS, *OF_ONE), at_cursor=True)
    .means("Mark; on a second one open both side by side."),
    Action("demo", "f5", "demo shop", line=7, pages=_JOBS, waits=True, when=lambda state: state.is_empty)
    .means("Only in empty records: add an invented demo shop."),
    Action("settle", "f5", "make current", line=6, pages=_VERSIONS, at_cursor=True)
    .means("Conflicting versions: make this one current; the others stay in the history."),
)
PUTTING_AWAY: Group[RecordsState] = group(
    "Delete and restore",
    Action("delete", "f6", "delete", line=12, pages=_JOBS, at_cursor=True)
    .means("Delete the job from the lists; it can be restored."),
    Action("hide", "f6", "remove", line=13, pages=PARTS, at_cursor=True)
    .means("Remove the part from the list; jobs keep it."),
    Action("undo", "f7", "undo", line=15, pages=(*_JOBS, *PARTS), when=lambda state: bool(state.undo))
    .means("Restore the last deleted, then the one before."),
    Action("restore", "enter f7", "restore", line=5, pages=_DELETED, at_cursor=True)
    .means("Restore the deleted job."),
    Action("purge", "f8", "erase all", line=14, pages=_DELETED, when=lambda state: bool(state.lines))
    .means("Erase all deleted jobs; asks twice, and makes a backup first."),
)
PARTS_GROUP: Group[RecordsState] = group(
    "Frames and shocks",
    Action("take_frame", "enter", "into the job", line=3, pages=(Page.FRAMES,), at_cursor=True)
    .means("Use this frame in the open job."),
    Action("take_shock", "enter", "into the setup", line=4, pages=(Page.SHOCKS,), at_cursor=True)
    .means("Use this shock in the selected setup if of the same kind, else as a new setup."),
)
LEAVING: Group[RecordsState] = group(
    "Done",
    Action("back", "escape", "back", line=16)
    .means("Clear the search; then back, to the list or to the bench."),
    Action("leave", "ctrl+q ctrl+c", "bench").means("Back to the bench at once."),
    Action("help", "f1 ?", "keys", line=17).means("Every key and what it does."),
    Action("suspend", "ctrl+z", "to shell").means("Suspend; fg resumes."),
)
# fmt: on


class RecordsKeymap(Keymap[RecordsState]):
    """The keys of the records screen, each page with its own."""

    def page(self, state: RecordsState) -> Page:
        """Return the list that is shown."""
        return state.page

    def holds(self, action: Action[RecordsState], state: RecordsState) -> bool:
        """Return whether an action can be done on the page and the line there are."""
        here = state.page in (action.pages or EVERY) and (bool(state.lines) or not action.at_cursor)
        return here and (action.when is None or action.when(state))

    def starts_typing(self, state: RecordsState, character: str) -> bool:
        """Return whether a character goes into the search: whatever is no action."""
        return self.at_rest(state, character) is None

    def typed(self, state: RecordsState, text: str) -> RecordsState:
        """Return the state with text in the search."""
        return steps.type_text(quiet(state), text)


KEYMAP = RecordsKeymap((FINDING, MOVING, JOBS, PARTS_GROUP, PUTTING_AWAY, LEAVING), EVERY)

STAY_IN_LINE = ("help", "back")
"""Actions that stay in the key line where there is no room for all."""
