"""What the keys of the linkage screen do."""

from __future__ import annotations

from tui.kit.edit import restored
from tui.kit.keymap import Action, Group, Keymap, by, group
from tui.linkage import state as edit
from tui.linkage.state import LinkageState, is_number_cell

_TEN = 10
_FAR = 999
_STARTS_TYPING = frozenset("0123456789.,-")


MOVING: Group[LinkageState] = group(
    "Moving",
    Action("up", "up", "row", "The row above.", by(edit.by_rows, -1)),
    Action("down", "down", "row", "The row below.", by(edit.by_rows, 1)),
    Action("left", "left", "cell", "The cell to the left.", by(edit.by_columns, -1)),
    Action("right", "right", "cell", "The cell to the right.", by(edit.by_columns, 1)),
    Action("next", "tab", "table", "The next table, round to the first.", by(edit.by_parts, 1), 12),
    Action("back", "shift+tab", "table", "The table before.", by(edit.by_parts, -1)),
    Action("page_up", "pageup", "page", "Ten rows up.", by(edit.by_rows, -_TEN)),
    Action("page_down", "pagedown", "page", "Ten rows down.", by(edit.by_rows, _TEN)),
    Action("first", "home", "first", "The first row of all.", by(edit.by_rows, -_FAR)),
    Action("last", "end", "last", "The last row of all.", by(edit.by_rows, _FAR)),
)
VALUES: Group[LinkageState] = group(
    "Values: digits type over a coordinate",
    Action("edit", "enter f2", "edit", "Open the cell, or go to the next way it has.", edit.opened_edit, 10),
    Action("rename", "r", "rename", "Give the selected point another name.", edit.renaming, 22),
    Action("more", "+ = space", "nudge", "One mm or pixel up, or the next way.", by(edit.nudge, 1), 11),
    Action("less", "_ -", "nudge", "One down; on a number - starts typing, _ nudges.", by(edit.nudge, -1)),
    Action("much_more", ">", "nudge", "Ten up.", by(edit.nudge, _TEN)),
    Action("much_less", "<", "nudge", "Ten down.", by(edit.nudge, -_TEN)),
    Action("blank", "backspace", "type", "Start typing from nothing.", edit.emptied),
    Action("undo", "u", "undo", "Take the last change back.", edit.undone, 21),
    Action("redo", "ctrl+r", "redo", "Do the change again that was taken back.", edit.redone),
)
TYPING: Group[LinkageState] = group(
    "While a value is open",
    Action("commit", "enter", "take it", "Take what is typed; a moving key does it too.", edit.committed, 1),
    Action("restore", "escape", "as it was", "Leave the value as it was.", restored, 2),
    Action("caret_left", "left", "left", "One character to the left.", by(edit.caret_moved, -1)),
    Action("caret_right", "right", "right", "One character to the right.", by(edit.caret_moved, 1)),
    Action("caret_first", "home ctrl+a", "first", "To the first character.", by(edit.caret_moved, -_FAR)),
    Action("caret_last", "end ctrl+e", "last", "Behind the last character.", by(edit.caret_moved, _FAR)),
    Action("rub_out", "backspace", "rub out", "The character before.", edit.rubbed_out),
    Action("rub_out_at", "delete", "rub out", "This one.", edit.rubbed_out_ahead),
    Action("empty", "ctrl+u", "empty", "Rub out everything.", edit.emptied),
    typing=True,
)
BUILDING: Group[LinkageState] = group(
    "Points and bars",
    Action("examples", "e", "examples", "Start again from an invented linkage of another build.", line=7),
    Action("point", "p", "point", "Put in a point beside the selected one.", edit.point_added, 8),
    Action("bar", "b", "bar", "Put in a bar from the selected point.", edit.bar_added, 9),
    Action("remove", "x delete", "remove", "Take out the selected point or bar.", edit.removed, 13),
    Action("fix", "f", "fix", "Fix the selected point to the frame, or let it go.", edit.fixed_switched, 14),
    Action("axle", "w", "axle", "The wheel's axle is at the selected point.", edit.axle_here, 15),
    Action("eye", "s", "shock eye", "An eye of the shock is at the selected point.", edit.eye_here, 16),
    Action("units", "m", "mm/px", "Points in mm, or in pixels of a side photo.", edit.units_switched, 17),
    Action("level", "v", "level", "Two points that lie level turn a tilted photo.", edit.level_switched, 18),
)
READING: Group[LinkageState] = group(
    "The drawing",
    Action(
        "cycle", "c", "cycle", "A tenth of the stroke on, from its end back to the start.", edit.cycled, 6
    ),
    Action("read_back", "h", "step", "A hundredth of the stroke back.", by(edit.cursor_moved, -1), 19),
    Action("read_on", "l", "step", "A hundredth of the stroke on.", by(edit.cursor_moved, 1), 20),
    Action("read_far_back", "H", "step", "A tenth back.", by(edit.cursor_moved, -_TEN)),
    Action("read_far_on", "L", "step", "A tenth on.", by(edit.cursor_moved, _TEN)),
)
LEAVING: Group[LinkageState] = group(
    "Done",
    Action(
        "adopt",
        "a ctrl+s",
        "adopt",
        "Take this linkage into the job; undo on the bench takes it back.",
        line=3,
    ),
    Action(
        "leave", "escape q ctrl+q ctrl+c", "back", "Back to the bench; asks if there are changes.", line=4
    ),
    Action("help", "? f1", "keys", "Every key and what it does.", line=5),
    Action("suspend", "ctrl+z", "to shell", "Put the program aside; fg brings it back."),
)


class LinkageKeymap(Keymap[LinkageState]):
    """The keys of the linkage screen: digits type over a coordinate."""

    def is_open(self, state: LinkageState) -> bool:
        """Return whether a value is open for typing."""
        return state.edit is not None

    def starts_typing(self, state: LinkageState, character: str) -> bool:
        """Return whether a character is the start of a number."""
        return character in _STARTS_TYPING and is_number_cell(state)

    def typed(self, state: LinkageState, text: str) -> LinkageState:
        """Return the state with text typed over the cell or into the open value."""
        return edit.typed(state, text)


KEYMAP = LinkageKeymap((MOVING, VALUES, TYPING, BUILDING, READING, LEAVING))
