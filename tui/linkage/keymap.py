"""The list of all actions of the linkage screen: source of its keys, footer, menu, finder and help."""

from __future__ import annotations

from tui.kit.edit import TypingKeymap, empty_edit, typing_group
from tui.kit.keymap import COPY_ACTS, LOOK_ACTS, PROGRAM, Action, Group, act, by, group, pressed_name
from tui.linkage import state as edit
from tui.linkage.state import LinkageState, Part, cell_text, is_choice_cell, is_number_cell, spot_of

TABLES, DRAWING, HELP = "tables", "drawing", "help"
"""Pages of the keymap, by the pane with the focus."""
LINKAGE = "linkage"
"""The shelf of the menu for editing and reading a linkage."""
_TEN = 10
_FAR = 999
_STARTS_TYPING = frozenset("0123456789.,-")

LinkageAction = Action[LinkageState]

# --- why something cannot be done now ---------------------------------------------------------


def _no_point(state: LinkageState) -> str:
    return "" if state.part is Part.POINTS and state.sketch.points else "the cursor is not on a point"


def _nothing_to_remove(state: LinkageState) -> str:
    there = {Part.POINTS: state.sketch.points, Part.BARS: state.sketch.bars}.get(state.part)
    return "" if there else "the cursor is not on a point or bar"


def _nothing_to_undo(state: LinkageState) -> str:
    return "" if state.history.past or state.edit else "nothing has changed yet"


def _nothing_to_redo(state: LinkageState) -> str:
    return "" if state.history.future else "nothing was undone"


def _no_motion(state: LinkageState) -> str:
    return "" if state.answer is not None else "the linkage does not move"


def _outside_help(state: LinkageState) -> bool:
    """Whether tables or drawing are shown; an open value is committed first."""
    return not state.helps


_IN_TABLES, _IN_DRAWING = (TABLES,), (DRAWING,)
_HERE = (LINKAGE,)
# fmt: off
MOVING: Group[LinkageState] = group(
    "Moving",
    act("next", "next table", "Next table, then the drawing.", by(edit.move_by_parts, 1), keys="tab",
        label="table", line=7, pages=(TABLES, DRAWING)),
    act("back", "previous table", "Previous table or the drawing.", by(edit.move_by_parts, -1),
        keys="shift+tab", pages=(TABLES, DRAWING)),
    act("view_back", "from the drawing", "From the drawing to the tables, or to the drawing.",
        edit.turn_view, keys="["),
    act("view_on", "to the drawing", "To the drawing, which then has the focus, or back to the tables.",
        edit.turn_view, keys="]"),
    act("zoom", "zoom", "Zoom this pane to the whole screen, or show both panes again.", edit.switch_zoom,
        keys="z", line=13),
    act("up", "row above", "Row up.", by(edit.move_by_rows, -1), keys="up", pages=_IN_TABLES),
    act("down", "row below", "Row down.", by(edit.move_by_rows, 1), keys="down", pages=_IN_TABLES),
    act("left", "cell to the left", "Cell to the left.", by(edit.move_by_columns, -1), keys="left",
        pages=_IN_TABLES),
    act("right", "cell to the right", "Cell to the right.", by(edit.move_by_columns, 1), keys="right",
        pages=_IN_TABLES),
    act("page_up", "ten rows up", "Ten rows up.", by(edit.move_by_rows, -_TEN), keys="pageup",
        pages=_IN_TABLES),
    act("page_down", "ten rows down", "Ten rows down.", by(edit.move_by_rows, _TEN), keys="pagedown",
        pages=_IN_TABLES),
    act("first", "first row", "First row of all.", by(edit.move_by_rows, -_FAR), keys="home",
        pages=_IN_TABLES),
    act("last", "last row", "Last row of all.", by(edit.move_by_rows, _FAR), keys="end", pages=_IN_TABLES),
)
VALUES: Group[LinkageState] = group(
    "Values: digits type over a number, on a choice a letter picks",
    act("edit", "edit", "Edit the cell, Enter again accepts it; on a choice, the next option.",
        edit.open_edit, keys="enter f2", line=2, pages=_IN_TABLES),
    act("more", "one step up", "One mm or pixel up; on a choice, the next option.", by(edit.nudge, 1),
        keys="+ =", label="nudge", line=10, pages=_IN_TABLES),
    act("less", "one step down", "One step down. On a number - types a minus and _ steps down.",
        by(edit.nudge, -1), keys="- _", label="nudge", line=10, pages=_IN_TABLES),
    act("much_more", "ten steps up", "Ten steps up.", by(edit.nudge, _TEN), keys=">", pages=_IN_TABLES),
    act("much_less", "ten steps down", "Ten steps down.", by(edit.nudge, -_TEN), keys="<",
        pages=_IN_TABLES),
    act("blank", "clear and type", "Clear the cell and type.", empty_edit, keys="backspace",
        pages=_IN_TABLES),
    act("undo", "undo", "Undo the last change.", edit.undo, keys="u", line=11, why=_nothing_to_undo),
    act("redo", "redo", "Redo the change that was undone.", edit.redo, keys="ctrl+r",
        why=_nothing_to_redo),
)
TYPING: Group[LinkageState] = typing_group(
    edit.take_value, "Accept, and go to the next coordinate; moving to another cell does it too."
)
BUILDING: Group[LinkageState] = group(
    "Points and bars",
    act("examples", "examples", "Start from an invented example of another type.", letter="e",
        shelves=_HERE),
    act("add_point", "add a point", "Add a point beside the selected one.", edit.add_point, letter="p",
        shelves=_HERE),
    act("add_bar", "add a bar", "Add a bar from the selected point.", edit.add_bar, letter="b",
        shelves=_HERE),
    act("remove_point", "remove point or bar", "Remove the selected point with its bars, or the bar.",
        edit.remove_selected, keys="delete", letter="x", shelves=_HERE, why=_nothing_to_remove),
    act("rename_point", "rename the point", "Rename the selected point.", edit.rename_point, letter="r",
        shelves=_HERE, why=_no_point),
    act("fix_point", "fix or free", "Fix the selected point to the frame, or free it.", edit.switch_fixed,
        letter="f", shelves=_HERE, why=_no_point),
    act("axle_here", "axle here", "Make the selected point the axle of the rear wheel.", edit.put_axle_here,
        letter="w", shelves=_HERE, why=_no_point),
    act("eye_here", "shock eye here", "Make the selected point a shock eye; the last two chosen count.",
        edit.put_eye_here, letter="s", shelves=_HERE, why=_no_point),
    act("points_unit", "mm or pixels", "Points in mm, or in pixels of a side photo.", edit.switch_units,
        letter="m", shelves=_HERE),
    act("level_points", "level points on, off",
        "Two points that are level on the bike, to level a tilted photo.", edit.switch_level, letter="l",
        shelves=_HERE),
)
READING: Group[LinkageState] = group(
    "The drawing",
    act("compress", "compress by a tenth", "Compress by 1/10 of the stroke; wraps to the start.",
        edit.cycle_cursor, letter="c", shelves=_HERE, why=_no_motion),
    act("read_back", "extend", "Extend by 1/100 of the stroke.", by(edit.move_cursor, -1), keys="left",
        label="read", line=3, pages=_IN_DRAWING),
    act("read_on", "compress", "Compress by 1/100 of the stroke.", by(edit.move_cursor, 1), keys="right",
        label="read", line=3, pages=_IN_DRAWING),
    act("read_far_back", "extend by a tenth", "Extend by 1/10 of the stroke.",
        by(edit.move_cursor, -_TEN), keys="pageup", pages=_IN_DRAWING),
    act("read_far_on", "compress by 1/10", "Compress by 1/10 of the stroke.",
        by(edit.move_cursor, _TEN), keys="pagedown", pages=_IN_DRAWING),
    act("read_start", "full extension", "Read at full extension.", by(edit.move_cursor, -_FAR),
        keys="home", pages=_IN_DRAWING),
    act("read_end", "full stroke", "Read at full stroke.", by(edit.move_cursor, _FAR), keys="end",
        pages=_IN_DRAWING),
)
LEAVING: Group[LinkageState] = group(
    "Job and program",
    act("adopt", "use it in the job", "Use this linkage in the job; u on the bench undoes it.",
        keys="ctrl+s", letter="a", shelves=_HERE, label="use it", line=1, when=_outside_help),
    act("take_drawn", "use what is drawn", "Use the linkage on screen in the job.", keys="enter",
        label="use it", line=1, pages=_IN_DRAWING),
    act("find", "find", "Find acts, points and tables by a few letters.", keys="/ ctrl+p", line=5),
    act("menu", "menu", "What can be done here, a letter each; Space again: job and program.",
        keys="space", line=6),
    act("help", "help", "What this cell and the drawing are, and the keys.", keys="? f1", line=9,
        keeps_edit=True),
    *COPY_ACTS,
    act("export", "export view", "Save the curve as SVG, PNG, PDF or CSV, the tables as CSV.", letter="e",
        shelves=(PROGRAM,)),
    act("copy_or_quit", "copy selected or quit", "Copy what the mouse has selected; without any, leave.",
        keys="ctrl+c"),
    *LOOK_ACTS,
    act("suspend", "to the shell", "Suspend; fg resumes.", keys="ctrl+z", letter="z", shelves=(PROGRAM,),
        keeps_edit=True),
    act("step_back", "one step back", "From help, zoom or drawing to the tables, then to the bench.",
        keys="escape", label="back", line=4),
    act("leave", "back to the bench", "Back to the bench; asks if there are changes.", keys="q ctrl+q",
        letter="q", shelves=(PROGRAM,)),
)
# fmt: on


class LinkageKeymap(TypingKeymap[LinkageState]):
    """The keys of the linkage screen: digits type over a coordinate, on a choice a letter picks."""

    def page(self, state: LinkageState) -> str:
        """Return which pane has the focus."""
        if state.helps:
            return HELP
        return DRAWING if state.part is Part.DRAWING else TABLES

    def holds(self, action: LinkageAction, state: LinkageState) -> bool:
        """Return whether an action applies in the pane with the focus."""
        return self.page(state) in (action.pages or self.pages) and super().holds(action, state)

    def starts_typing(self, state: LinkageState, character: str) -> bool:
        """Return whether a character starts a number or a missing name, or picks an option."""
        if self.page(state) != TABLES or not state.rows(state.part):
            return False
        if is_choice_cell(state):
            return edit.picked(state, character) is not None
        if is_number_cell(state):
            return character in _STARTS_TYPING
        # A name that stands is not typed over: its letters are keys, and one of them would replace it.
        return character.isalnum() and not cell_text(state.sketch, spot_of(state))

    def typed(self, state: LinkageState, text: str) -> LinkageState:
        """Return the state with text typed over the cell or into the open value, or an option picked."""
        return edit.type_or_pick(state, text)

    def idle(self, state: LinkageState, key: str, character: str | None) -> str:
        """Return the message for a key that does nothing here."""
        in_tables = self._by_key.get((False, TABLES, character or key)) or self._by_key.get(
            (False, TABLES, key)
        )
        if in_tables is not None and self.page(state) != TABLES:
            return f"{pressed_name(key, character)} is for the tables: Esc goes back to them."
        if state.takes_text and not is_number_cell(state) and character and character.isalnum():
            return "name: Enter edits the text, Backspace clears it."
        return super().idle(state, key, character)


KEYMAP = LinkageKeymap((MOVING, VALUES, TYPING, BUILDING, READING, LEAVING), (TABLES, DRAWING, HELP))
