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
    "Finding: letters and digits go into the search",
    Action("rub_out", "backspace", "rub out", steps.typing_step(Edit.rubbed_out))
    .means("The character before."),
    Action("rub_out_at", "delete", "rub out", steps.typing_step(Edit.rubbed_out_ahead)).means("This one."),
    Action("empty", "ctrl+u", "empty", steps.empty_search).means("Rub out everything."),
    Action("left", "left", "left", by(steps.move_caret, -1)).means("One character to the left."),
    Action("right", "right", "right", by(steps.move_caret, 1)).means("One character to the right."),
    Action("again", "ctrl+r", "read again", steps.ask_again).means("Read the records again."),
)
MOVING: Group[RecordsState] = group(
    "Moving",
    Action("up", "up", "line", by(steps.move_by_lines, -1)).means("The line above."),
    Action("down", "down", "line", by(steps.move_by_lines, 1)).means("The line below."),
    Action("page_up", "pageup", "page", by(steps.move_by_lines, -_TEN)).means("Ten lines up."),
    Action("page_down", "pagedown", "page", by(steps.move_by_lines, _TEN)).means("Ten lines down."),
    Action("first", "home", "first", by(steps.move_by_lines, -_FAR)).means("The first line."),
    Action("last", "end", "last", by(steps.move_by_lines, _FAR)).means("The last line."),
    Action("turn", "tab", "next list", by(steps.turn_page, 1), pages=PAGES)
    .means("Jobs, frames, shocks, deleted jobs."),
    Action("turn_back", "shift+tab", "list", by(steps.turn_page, -1), pages=PAGES).means("The list before."),
)
JOBS: Group[RecordsState] = group(
    "On jobs and their revisions",
    Action("open", "enter", "open", line=1, pages=_JOBS, at_cursor=True)
    .means("Open the newest revision of the job on the bench."),
    Action("open_revision", "enter", "open", line=2, pages=OF_ONE, at_cursor=True)
    .means("Open this revision; saving goes on from it."),
    Action("timeline", "f2", "timeline", line=8, pages=_JOBS, at_cursor=True)
    .means("All that was ever saved of this bike."),
    Action("versions_timeline", "f2", "timeline", _open_timeline, 10, pages=_VERSIONS)
    .means("From versions side by side to all that was saved of the bike."),
    Action("duplicate", "f3", "next rider", line=11, pages=(*_JOBS, *OF_ONE), at_cursor=True)
    .means("A new job on the bench with frame and setups of this one, without its customer, what was "
           "measured and how it rode."),
    Action("compare", "f4", "compare", line=9, pages=(*_JOBS, *OF_ONE), at_cursor=True)
    .means("Mark it; on another one put both on the bench as setups beside each other."),
    Action("demo", "f5", "demo shop", line=7, pages=_JOBS, waits=True, when=lambda state: state.is_empty)
    .means("While nothing is in the records: put in an invented demo shop."),
    Action("settle", "f5", "this one goes on", line=6, pages=_VERSIONS, at_cursor=True)
    .means("Where versions stand side by side: let this one go on; the others stay in the history."),
)
PUTTING_AWAY: Group[RecordsState] = group(
    "Deleting and taking it back",
    Action("delete", "f6", "delete", line=12, pages=_JOBS, at_cursor=True)
    .means("Take the job out of the lists; nothing of it is erased."),
    Action("hide", "f6", "off the list", line=13, pages=PARTS, at_cursor=True)
    .means("Take the part out of the list; jobs that have it keep it."),
    Action("undo", "f7", "undo", line=15, pages=(*_JOBS, *PARTS), when=lambda state: bool(state.undo))
    .means("Put back what was taken out last, then the one before."),
    Action("restore", "enter f7", "put back", line=5, pages=_DELETED, at_cursor=True)
    .means("Put the deleted job back."),
    Action("purge", "f8", "erase all for good", line=14, pages=_DELETED, when=lambda state: bool(state.lines))
    .means("Erase all deleted jobs for good; asks twice, and makes a backup first."),
)
PARTS_GROUP: Group[RecordsState] = group(
    "On frames and shocks",
    Action("take_frame", "enter", "into the job", line=3, pages=(Page.FRAMES,), at_cursor=True)
    .means("Take the frame into the job on the bench."),
    Action("take_shock", "enter", "into the setup", line=4, pages=(Page.SHOCKS,), at_cursor=True)
    .means("Take the shock into the selected setup on the bench if that is of its kind, else as a new one."),
)
LEAVING: Group[RecordsState] = group(
    "Done",
    Action("back", "escape", "back", line=16)
    .means("Clear what is typed; then back, to the list or to the bench."),
    Action("leave", "ctrl+q ctrl+c", "bench").means("Back to the bench at once."),
    Action("help", "f1 ?", "keys", line=17).means("Every key and what it does."),
    Action("suspend", "ctrl+z", "to shell").means("Put the program aside; fg brings it back."),
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
