"""What the keys of the records screen do: the one list that key presses, key line, help and tests read.

Letters and digits always go into the search; what acts has a key that is none and that ssh and tmux let
through.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from tui.records import state as steps
from tui.records.state import OF_ONE, PAGES, PARTS, Page, RecordsState, quiet, typed

Step = Callable[[RecordsState], RecordsState]
When = Callable[[RecordsState], bool]
_TEN = 10
_FAR = 99_999
_EVERY = (*PAGES, *OF_ONE)
_JOBS = (Page.JOBS,)


def _always(_state: RecordsState) -> bool:
    return True


def _can_undo(state: RecordsState) -> bool:
    return bool(state.undo)


def _has_lines(state: RecordsState) -> bool:
    return bool(state.lines)


def _is_empty(state: RecordsState) -> bool:
    return state.is_empty


class Action(NamedTuple):
    """One thing a key does on some pages; without a `step` the screen acts by `id`.

    `label` stands in the key line in the states that `when` names, `meaning` in the help. An `on_line` action
    is about the selected line; like one that `waits` it is done once the newest question is answered.
    """

    id: str
    keys: tuple[str, ...]
    label: str
    meaning: str
    step: Step | None = None
    pages: tuple[Page, ...] = _EVERY
    on_line: bool = False
    waits: bool = False
    when: When = _always


class Group(NamedTuple):
    """Actions that belong together in the help."""

    title: str
    actions: tuple[Action, ...]


def _act(
    id: str, keys: str, label: str, meaning: str, pages: tuple[Page, ...] = _EVERY, when: When = _always
) -> Action:
    return Action(id, tuple(keys.split()), label, meaning, pages=pages, when=when)


def _on_line(id: str, keys: str, label: str, meaning: str, pages: tuple[Page, ...]) -> Action:
    return Action(id, tuple(keys.split()), label, meaning, pages=pages, on_line=True)


def _step(
    id: str, keys: str, label: str, meaning: str, step: Step, pages: tuple[Page, ...] = _EVERY
) -> Action:
    return Action(id, tuple(keys.split()), label, meaning, step, pages)


def _by(step: Callable[[RecordsState, int], RecordsState], amount: int) -> Step:
    return lambda state: step(state, amount)


FINDING = Group(
    "Finding: letters and digits go into the search",
    (
        _step("rub_out", "backspace", "rub out", "The character before.", steps.rubbed_out),
        _step("rub_out_at", "delete", "rub out", "This one.", steps.rubbed_out_ahead),
        _step("empty", "ctrl+u", "empty", "Rub out everything.", steps.emptied),
        _step("left", "left", "left", "One character to the left.", _by(steps.caret_moved, -1)),
        _step("right", "right", "right", "One character to the right.", _by(steps.caret_moved, 1)),
        _step("again", "ctrl+r", "read again", "Read the records again.", steps.asked_anew),
    ),
)
MOVING = Group(
    "Moving",
    (
        _step("up", "up", "line", "The line above.", _by(steps.by_lines, -1)),
        _step("down", "down", "line", "The line below.", _by(steps.by_lines, 1)),
        _step("page_up", "pageup", "page", "Ten lines up.", _by(steps.by_lines, -_TEN)),
        _step("page_down", "pagedown", "page", "Ten lines down.", _by(steps.by_lines, _TEN)),
        _step("first", "home", "first", "The first line.", _by(steps.by_lines, -_FAR)),
        _step("last", "end", "last", "The last line.", _by(steps.by_lines, _FAR)),
        _step(
            "turn", "tab", "next list", "Jobs, frames, shocks, deleted jobs.", _by(steps.by_pages, 1), PAGES
        ),
        _step("turn_back", "shift+tab", "list", "The list before.", _by(steps.by_pages, -1), PAGES),
    ),
)
JOBS = Group(
    "On jobs and their revisions",
    (
        _on_line("open", "enter", "open", "Open the newest revision of the job on the bench.", _JOBS),
        _on_line("open_revision", "enter", "open", "Open this revision; saving goes on from it.", OF_ONE),
        _on_line("timeline", "f2", "timeline", "All that was ever saved of this bike.", _JOBS),
        _step(
            "versions_timeline",
            "f2",
            "timeline",
            "From versions side by side to all that was saved of the bike.",
            lambda state: steps.entered(state, Page.TIMELINE),
            (Page.VERSIONS,),
        ),
        _on_line(
            "duplicate",
            "f3",
            "next rider",
            "A new job on the bench with frame and setups of this one, without its customer, what was "
            "measured and how it rode.",
            (*_JOBS, *OF_ONE),
        ),
        _on_line(
            "compare",
            "f4",
            "compare",
            "Mark it; on another one put both on the bench as setups beside each other.",
            (*_JOBS, *OF_ONE),
        ),
        Action(
            "demo",
            ("f5",),
            "demo shop",
            "While nothing is in the records: put in an invented demo shop.",
            pages=_JOBS,
            waits=True,
            when=_is_empty,
        ),
        _on_line(
            "settle",
            "f5",
            "this one goes on",
            "Where versions stand side by side: let this one go on; the others stay in the history.",
            (Page.VERSIONS,),
        ),
    ),
)
PUTTING_AWAY = Group(
    "Deleting and taking it back",
    (
        _on_line("delete", "f6", "delete", "Take the job out of the lists; nothing of it is erased.", _JOBS),
        _on_line(
            "hide", "f6", "off the list", "Take the part out of the list; jobs that have it keep it.", PARTS
        ),
        _act(
            "undo",
            "f7",
            "undo",
            "Put back what was taken out last, then the one before.",
            (*_JOBS, *PARTS),
            _can_undo,
        ),
        _on_line("restore", "enter f7", "put back", "Put the deleted job back.", (Page.DELETED,)),
        _act(
            "purge",
            "f8",
            "erase all for good",
            "Erase all deleted jobs for good; asks twice, and makes a backup first.",
            (Page.DELETED,),
            _has_lines,
        ),
    ),
)
PARTS_GROUP = Group(
    "On frames and shocks",
    (
        _on_line(
            "take_frame", "enter", "into the job", "Take the frame into the job on the bench.", (Page.FRAMES,)
        ),
        _on_line(
            "take_shock",
            "enter",
            "into the setup",
            "Take the shock into the selected setup on the bench if that is of its kind, else as a new one.",
            (Page.SHOCKS,),
        ),
    ),
)
LEAVING = Group(
    "Done",
    (
        _act("back", "escape", "back", "Clear what is typed; then back, to the list or to the bench."),
        _act("leave", "ctrl+q ctrl+c", "bench", "Back to the bench at once."),
        _act("help", "f1 ?", "keys", "Every key and what it does."),
        _act("suspend", "ctrl+z", "to shell", "Put the program aside; fg brings it back."),
    ),
)
GROUPS = (FINDING, MOVING, JOBS, PARTS_GROUP, PUTTING_AWAY, LEAVING)
"""All actions, in the order of the help."""

ACTIONS: tuple[Action, ...] = tuple(action for group in GROUPS for action in group.actions)

IN_LINE = (
    "open", "open_revision", "take_frame", "take_shock", "restore", "settle", "demo", "timeline",
    "compare", "versions_timeline", "duplicate", "delete", "hide", "purge", "undo", "back", "help",
)  # fmt: skip
"""The actions that the key line names, in its order."""
STAY_IN_LINE = ("help", "back")
"""Those of them that stay where there is no room for all."""


_BY_KEY: dict[tuple[Page, str], Action] = {}
for _action in ACTIONS:
    for _page in _action.pages:
        for _key in _action.keys:
            _BY_KEY[_page, _key] = _action
_NAMED = {action.id: action for action in ACTIONS}


def action_for(state: RecordsState, key: str, character: str | None) -> Action | None:
    """Return what a key does on the page of a state, None where it does nothing or is typed."""
    return _BY_KEY.get((state.page, key)) or _BY_KEY.get((state.page, character or key))


def is_typed(state: RecordsState, key: str, character: str | None) -> bool:
    """Return whether a key goes into the search: whatever can be seen and is no action."""
    return bool(character) and str(character).isprintable() and action_for(state, key, character) is None


def pressed(state: RecordsState, key: str, character: str | None) -> RecordsState:
    """Return the state after a key; of keys that only the screen can act on, the same."""
    state = quiet(state)
    if is_typed(state, key, character):
        return typed(state, character or "")
    action = action_for(state, key, character)
    return state if action is None or action.step is None else action.step(state)


def key_line(state: RecordsState) -> list[Action]:
    """Return the actions for the key line in its order."""
    named = (_NAMED[id] for id in IN_LINE)
    return [
        action
        for action in named
        if state.page in action.pages and action.when(state) and (state.lines or not action.on_line)
    ]
