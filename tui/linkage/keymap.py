"""What the keys of the linkage screen do."""

from __future__ import annotations

from tui.kit.edit import TypingKeymap, empty_edit, typing_group
from tui.kit.keymap import Action, Group, by, group
from tui.linkage import state as edit
from tui.linkage.state import LinkageState, is_number_cell

_TEN = 10
_FAR = 999
_STARTS_TYPING = frozenset("0123456789.,-")


# fmt: off
MOVING: Group[LinkageState] = group(
    "Moving",
    Action("up", "up", "row", by(edit.move_by_rows, -1)).means("Row up."),
    Action("down", "down", "row", by(edit.move_by_rows, 1)).means("Row down."),
    Action("left", "left", "cell", by(edit.move_by_columns, -1)).means("Cell to the left."),
    Action("right", "right", "cell", by(edit.move_by_columns, 1)).means("Cell to the right."),
    Action("next", "tab", "table", by(edit.move_by_parts, 1), 12)
    .means("Next table, wraps round."),
    Action("back", "shift+tab", "table", by(edit.move_by_parts, -1)).means("Previous table, wraps round."),
    Action("page_up", "pageup", "page", by(edit.move_by_rows, -_TEN)).means("Ten rows up."),
    Action("page_down", "pagedown", "page", by(edit.move_by_rows, _TEN)).means("Ten rows down."),
    Action("first", "home", "first", by(edit.move_by_rows, -_FAR)).means("First row of all."),
    Action("last", "end", "last", by(edit.move_by_rows, _FAR)).means("Last row of all."),
)
VALUES: Group[LinkageState] = group(
    "Values: digits type over a coordinate",
    Action("edit", "enter f2", "edit", edit.open_edit, 10)
    .means("Edit the cell, or the next option."),
    Action("rename", "r", "rename", edit.rename_point, 22).means("Rename the selected point."),
    Action("more", "+ = space", "nudge", by(edit.nudge, 1), 11)
    .means("One mm or pixel up, or the next option."),
    Action("less", "_ -", "nudge", by(edit.nudge, -1))
    .means("One down. On a number - types a minus and _ steps down."),
    Action("much_more", ">", "nudge", by(edit.nudge, _TEN)).means("Ten up."),
    Action("much_less", "<", "nudge", by(edit.nudge, -_TEN)).means("Ten down."),
    Action("blank", "backspace", "type", empty_edit).means("Clear the cell and type."),
    Action("undo", "u", "undo", edit.undo, 21).means("Undo the last change."),
    Action("redo", "ctrl+r", "redo", edit.redo).means("Redo the change that was undone."),
)
TYPING: Group[LinkageState] = typing_group(
    edit.take_value, "Accept, and go to the next coordinate; moving to another cell does it too."
)
BUILDING: Group[LinkageState] = group(
    "Points and bars",
    Action("examples", "e", "examples", line=7)
    .means("Start from an invented example of another type."),
    Action("point", "p", "point", edit.add_point, 8).means("Add a point beside the selected one."),
    Action("bar", "b", "bar", edit.add_bar, 9).means("Add a bar from the selected point."),
    Action("remove", "x delete", "remove", edit.remove_selected, 13)
    .means("Remove the selected point or bar."),
    Action("fix", "f", "fix", edit.switch_fixed, 14)
    .means("Fix the selected point to the frame, or free it."),
    Action("axle", "w", "axle", edit.put_axle_here, 15).means("The selected point is the axle."),
    Action("eye", "s", "shock eye", edit.put_eye_here, 16)
    .means("The selected point is a shock eye."),
    Action("units", "m", "mm/px", edit.switch_units, 17).means("Points in mm, or in pixels of a side photo."),
    Action("level", "v", "level", edit.switch_level, 18)
    .means("Two points that are level on the bike turn a tilted photo."),
)
READING: Group[LinkageState] = group(
    "The drawing",
    Action("cycle", "c", "cycle", edit.cycle_cursor, 6)
    .means("Compress by 1/10 of the stroke; wraps to the start."),
    Action("read_back", "h", "step", by(edit.move_cursor, -1), 19).means("Extend by 1/100 of the stroke."),
    Action("read_on", "l", "step", by(edit.move_cursor, 1), 20).means("Compress by 1/100 of the stroke."),
    Action("read_far_back", "H", "step", by(edit.move_cursor, -_TEN)).means("Extend by 1/10 of the stroke."),
    Action("read_far_on", "L", "step", by(edit.move_cursor, _TEN)).means("Compress by 1/10 of the stroke."),
)
LEAVING: Group[LinkageState] = group(
    "Done",
    Action("adopt", "a ctrl+s", "use it", line=3)
    .means("Use this linkage in the job; u on the bench undoes it."),
    Action("leave", "escape q ctrl+q ctrl+c", "back", line=4)
    .means("Back to the bench; asks if there are changes."),
    Action("help", "? f1", "keys", line=5).means("Every key and what it does."),
    Action("suspend", "ctrl+z", "to shell").means("Suspend; fg resumes."),
)
# fmt: on


class LinkageKeymap(TypingKeymap[LinkageState]):
    """The keys of the linkage screen: digits type over a coordinate."""

    def starts_typing(self, state: LinkageState, character: str) -> bool:
        """Return whether a character is the start of a number."""
        return character in _STARTS_TYPING and is_number_cell(state)


KEYMAP = LinkageKeymap((MOVING, VALUES, TYPING, BUILDING, READING, LEAVING))
