"""What the keys of the records screen do.

Letters and digits always go into the search; what acts has a key that is none and that ssh and tmux let
through.
"""

from __future__ import annotations

from tui.kit.edit import Edit
from tui.kit.keymap import Action, Group, Keymap, by, group, quiet
from tui.records import state as steps
from tui.records.state import OF_ONE, PAGES, PARTS, Page, RecordsState

_TEN = 10
_FAR = 99_999
_JOBS = (Page.JOBS,)
EVERY = (*PAGES, *OF_ONE)
"""Pages of an action that names none."""


FINDING: Group[RecordsState] = group(
    "Finding: letters and digits go into the search",
    Action("rub_out", "backspace", "rub out", "The character before.", steps.edited(Edit.rubbed_out)),
    Action("rub_out_at", "delete", "rub out", "This one.", steps.edited(Edit.rubbed_out_ahead)),
    Action("empty", "ctrl+u", "empty", "Rub out everything.", steps.emptied),
    Action("left", "left", "left", "One character to the left.", by(steps.caret_moved, -1)),
    Action("right", "right", "right", "One character to the right.", by(steps.caret_moved, 1)),
    Action("again", "ctrl+r", "read again", "Read the records again.", steps.asked_anew),
)
MOVING: Group[RecordsState] = group(
    "Moving",
    Action("up", "up", "line", "The line above.", by(steps.by_lines, -1)),
    Action("down", "down", "line", "The line below.", by(steps.by_lines, 1)),
    Action("page_up", "pageup", "page", "Ten lines up.", by(steps.by_lines, -_TEN)),
    Action("page_down", "pagedown", "page", "Ten lines down.", by(steps.by_lines, _TEN)),
    Action("first", "home", "first", "The first line.", by(steps.by_lines, -_FAR)),
    Action("last", "end", "last", "The last line.", by(steps.by_lines, _FAR)),
    Action(
        "turn", "tab", "next list", "Jobs, frames, shocks, deleted jobs.", by(steps.by_pages, 1), pages=PAGES
    ),
    Action("turn_back", "shift+tab", "list", "The list before.", by(steps.by_pages, -1), pages=PAGES),
)
JOBS: Group[RecordsState] = group(
    "On jobs and their revisions",
    Action(
        "open",
        "enter",
        "open",
        "Open the newest revision of the job on the bench.",
        line=1,
        pages=_JOBS,
        at_cursor=True,
    ),
    Action(
        "open_revision",
        "enter",
        "open",
        "Open this revision; saving goes on from it.",
        line=2,
        pages=OF_ONE,
        at_cursor=True,
    ),
    Action(
        "timeline",
        "f2",
        "timeline",
        "All that was ever saved of this bike.",
        line=8,
        pages=_JOBS,
        at_cursor=True,
    ),
    Action(
        "versions_timeline",
        "f2",
        "timeline",
        "From versions side by side to all that was saved of the bike.",
        lambda state: steps.entered(state, Page.TIMELINE),
        10,
        pages=(Page.VERSIONS,),
    ),
    Action(
        "duplicate",
        "f3",
        "next rider",
        "A new job on the bench with frame and setups of this one, without its customer, what was "
        "measured and how it rode.",
        line=11,
        pages=(*_JOBS, *OF_ONE),
        at_cursor=True,
    ),
    Action(
        "compare",
        "f4",
        "compare",
        "Mark it; on another one put both on the bench as setups beside each other.",
        line=9,
        pages=(*_JOBS, *OF_ONE),
        at_cursor=True,
    ),
    Action(
        "demo",
        "f5",
        "demo shop",
        "While nothing is in the records: put in an invented demo shop.",
        line=7,
        pages=_JOBS,
        waits=True,
        when=lambda state: state.is_empty,
    ),
    Action(
        "settle",
        "f5",
        "this one goes on",
        "Where versions stand side by side: let this one go on; the others stay in the history.",
        line=6,
        pages=(Page.VERSIONS,),
        at_cursor=True,
    ),
)
PUTTING_AWAY: Group[RecordsState] = group(
    "Deleting and taking it back",
    Action(
        "delete",
        "f6",
        "delete",
        "Take the job out of the lists; nothing of it is erased.",
        line=12,
        pages=_JOBS,
        at_cursor=True,
    ),
    Action(
        "hide",
        "f6",
        "off the list",
        "Take the part out of the list; jobs that have it keep it.",
        line=13,
        pages=PARTS,
        at_cursor=True,
    ),
    Action(
        "undo",
        "f7",
        "undo",
        "Put back what was taken out last, then the one before.",
        line=15,
        pages=(*_JOBS, *PARTS),
        when=lambda state: bool(state.undo),
    ),
    Action(
        "restore",
        "enter f7",
        "put back",
        "Put the deleted job back.",
        line=5,
        pages=(Page.DELETED,),
        at_cursor=True,
    ),
    Action(
        "purge",
        "f8",
        "erase all for good",
        "Erase all deleted jobs for good; asks twice, and makes a backup first.",
        line=14,
        pages=(Page.DELETED,),
        when=lambda state: bool(state.lines),
    ),
)
PARTS_GROUP: Group[RecordsState] = group(
    "On frames and shocks",
    Action(
        "take_frame",
        "enter",
        "into the job",
        "Take the frame into the job on the bench.",
        line=3,
        pages=(Page.FRAMES,),
        at_cursor=True,
    ),
    Action(
        "take_shock",
        "enter",
        "into the setup",
        "Take the shock into the selected setup on the bench if that is of its kind, else as a new one.",
        line=4,
        pages=(Page.SHOCKS,),
        at_cursor=True,
    ),
)
LEAVING: Group[RecordsState] = group(
    "Done",
    Action("back", "escape", "back", "Clear what is typed; then back, to the list or to the bench.", line=16),
    Action("leave", "ctrl+q ctrl+c", "bench", "Back to the bench at once."),
    Action("help", "f1 ?", "keys", "Every key and what it does.", line=17),
    Action("suspend", "ctrl+z", "to shell", "Put the program aside; fg brings it back."),
)


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
        return steps.typed(quiet(state), text)


KEYMAP = RecordsKeymap((FINDING, MOVING, JOBS, PARTS_GROUP, PUTTING_AWAY, LEAVING), EVERY)

STAY_IN_LINE = ("help", "back")
"""Actions that stay in the key line where there is no room for all."""
