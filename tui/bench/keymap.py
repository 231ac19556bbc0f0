"""What the keys of the bench do: fields, values, setups, chart and views, the job's file and the program."""

from __future__ import annotations

from collections.abc import Callable

from tui.bench import edit
from tui.bench import state as bench
from tui.bench.edit import confirm_value, question, select_kind
from tui.bench.state import BenchState, close_view, switch_map, switch_sweep, switch_view
from tui.job.fields import Amount, Choice, Pair
from tui.kit.edit import TypingKeymap, rub_out, typing_group
from tui.kit.keymap import Action, Group, by, group

_TEN = 10
_FAR = 999
_STARTS_TYPING = frozenset("0123456789.,")


def on_choice(state: BenchState) -> bool:
    """With no value open, on a field with a few ways to choose from."""
    return state.edit is None and isinstance(state.row.kind, Choice)


def on_solvable(state: BenchState) -> bool:
    """With no value open, on a rate or a pressure that can be solved."""
    return state.edit is None and isinstance(state.row.kind, Amount) and state.row.kind.solvable


def in_view(state: BenchState) -> bool:
    """With no value open but a view in the place of chart and table."""
    return state.edit is None and bool(state.view)


def between_pairs(state: BenchState) -> bool:
    """With no value open but a pair of those that are being measured."""
    return state.edit is None or (state.view == "pairs" and isinstance(state.row.kind, Pair))


CHART: Group[BenchState] = group(
    "Chart and table",
    Action("view", "v", "chart", by(bench.next_chart, 1), 7).means(
        "The next view of the chart; of a sweep or a map the next figure."
    ),
    Action("view_back", "V", "chart", by(bench.next_chart, -1)).means("The view, or the figure, before."),
    Action("slow", "f", "slow", bench.switch_slow, 10).means(
        "Lay the slow curve past sag over the riding curve."
    ),
    Action("read_back", "h", "read", by(bench.move_cursor, -1), 11).means("Read the chart one step back."),
    Action("read_on", "l", "read", by(bench.move_cursor, 1), 11).means("Read the chart one step on."),
    Action("read_far_back", "H", "read", by(bench.move_cursor, -_TEN)).means("Ten steps back."),
    Action("read_far_on", "L", "read", by(bench.move_cursor, _TEN)).means("Ten steps on."),
    Action("read_sag", "g", "at sag", bench.cursor_to_sag).means(
        "Read the chart where the selected setup settles."
    ),
    Action("table", "t", "table", line=9, keeps_edit=True).means("To the table of figures and back."),
    Action("units", "m", "units", bench.next_units, 15).means(
        "Units of the figures: usual, metric, imperial."
    ),
)
JOB: Group[BenchState] = group(
    "Job and program",
    Action("open", "o", "open", line=16).means("Open a job file."),
    Action("records", "O", "records", line=5).means(
        "What was saved: find it, open it, compare it, take it for the next rider."
    ),
    Action("save", "ctrl+s w", "save", line=4).means(
        "Save the job where it lives: its file, or the shop's records as their next revision."
    ),
    Action("save_note", "N", "note").means("Save the job into the records with a note on what was done."),
    Action("save_as", "W", "to a file").means("Save the job to a file, or to another one."),
    Action("import", "I", "leverage file", line=18).means(
        "Leverage from a table in a CSV file: wheel travel, shock stroke or ratio, two of them."
    ),
    Action("help", "? f1", "keys", line=3, keeps_edit=True).means("Every key and what it does."),
    Action("mouse", "f9", "mouse", keeps_edit=True).means(
        "Give the mouse back to the terminal, to select text, or take it again."
    ),
    Action("lines", "f8", "lines", keeps_edit=True).means(
        "Draw the chart with the next kind of character, down to plain ASCII."
    ),
    Action("theme", "f10", "colours", keeps_edit=True).means("The next set of colours."),
    Action("suspend", "ctrl+z", "to shell", keeps_edit=True).means(
        "Put the program aside; fg brings it back."
    ),
    Action("quit", "q ctrl+q ctrl+c", "quit", line=4).means("Leave; asks if something is not saved."),
)
MOVING: Group[BenchState] = group(
    "Moving",
    Action("up", "up", "field", by(edit.move_by_rows, -1)).means("The field above."),
    Action("down", "down", "field", by(edit.move_by_rows, 1)).means("The field below."),
    Action("left", "left", "panel", by(edit.move_by_panels, -1)).means("The panel before."),
    Action("right", "right", "panel", by(edit.move_by_panels, 1)).means("The panel after."),
    Action("next", "tab", "panel", by(edit.move_by_panels, 1), 6).means(
        "The next panel, round to the first."
    ),
    Action("back", "shift+tab", "panel", by(edit.move_by_panels, -1)).means(
        "The panel before, round to the last."
    ),
    Action("end", "e", "other end", edit.show_other_wheel, 10, at_cursor=False).means(
        "The other end of the bike; a bike without a front gets an invented one."
    ),
    Action("end_off", "f6", "end off", edit.remove_wheel, at_cursor=False).means(
        "Take the end of the bike on the bench off the job; undo puts it back."
    ),
    Action("page_up", "pageup", "page", by(edit.move_by_rows, -edit.PAGE)).means("Ten fields up."),
    Action("page_down", "pagedown", "page", by(edit.move_by_rows, edit.PAGE)).means("Ten fields down."),
    Action("first", "home", "first", by(edit.move_by_rows, -_FAR)).means("The first field of the panel."),
    Action("last", "end", "last", by(edit.move_by_rows, _FAR)).means("The last field of the panel."),
    at_cursor=True,
)
VALUES: Group[BenchState] = group(
    "Values: digits type over the field",
    Action("edit", "enter f2", "edit", edit.open_edit, 2).means(
        "Open the value for editing; of a choice, go to the next way."
    ),
    Action("confirm", "space", "confirm", confirm_value).means(
        "Confirm an unverified value as it stands: mark and line on the sheet go."
    ),
    Action("more", "+ =", "nudge", by(edit.nudge_or_ask, 1), 2).means(
        "One step up: 1 kg, 1 psi, 5 lbf/in, 1 %, 1 mm."
    ),
    Action("less", "- _", "nudge", by(edit.nudge_or_ask, -1), 2).means(
        "One step down. Where a value may be below zero, - starts typing and _ nudges."
    ),
    Action("much_more", ">", "nudge", by(edit.nudge_or_ask, _TEN), 2).means("Ten steps up."),
    Action("much_less", "<", "nudge", by(edit.nudge_or_ask, -_TEN), 2).means("Ten steps down."),
    Action("solve", "s", "solved/typed", edit.switch_solved, 1, when=on_solvable).means(
        "Solve a rate or a pressure, or keep the solved one as typed."
    ),
    Action("blank", "backspace", "type", rub_out).means("Start typing from nothing."),
    Action("clear", "delete", "take out", edit.clear_value).means(
        "Take the value out; a rate or a pressure is solved again."
    ),
    Action("undo", "u", "undo", edit.undo, 5).means("Take the last change back."),
    Action("redo", "ctrl+r", "redo", edit.redo).means("Do the change again that was taken back."),
    at_cursor=True,
)
TYPING: Group[BenchState] = typing_group(
    edit.take_value,
    "Take what is typed; a moving key does it too. An unlikely value is asked about first.",
)
SETUPS: Group[BenchState] = group(
    "Setups",
    Action("coil", "c", "add coil", edit.add_coil, 8).means("Add an invented coil to type over."),
    Action("air", "a", "add air", edit.add_air, 8).means("Add an invented air setup to type over."),
    Action("copy", "d", "copy", edit.copy_setup, 12).means("Put a copy of the selected setup beside it."),
    Action("rename", "r", "rename", edit.rename_setup, 14).means("Give the selected setup another name."),
    Action("fill", "p", "pump", line=9).means("How to pump the air setup, with what the gauge reads."),
    Action("order", "b", "buy", line=12).means("What to order for the selected setup: springs or spacers."),
    Action("remove", "x", "remove", edit.remove_setup, 13).means(
        "Take the selected setup out; undo brings it back."
    ),
)


def _switch(id: str, kind: str = "") -> Callable[[BenchState], BenchState]:
    """Show a view, or take it away; one of setups of one `kind` with such a setup selected."""

    def switched(state: BenchState) -> BenchState:
        after = switch_view(state, id)
        return select_kind(after, kind) if kind and after.view == id else after

    return switched


# Views that know much are loaded when their key is first pressed: the first frame waits for none of them.


def _measuring(state: BenchState) -> BenchState:
    from tui.bench.views.pairs import measuring

    return measuring(state)


def _match_asked(state: BenchState) -> BenchState:
    from tui.bench.views.match import match_asked

    return match_asked(state)


VIEWS: Group[BenchState] = group(
    "Views beside the panels",
    Action("pairs", "z", "measure", _measuring, 18, when=between_pairs).means(
        "Leverage measured on the stand: what to read next, how far each pair is off; again for a pair."
    ),
    Action("conditions", "i", "in other air", _switch("conditions"), 17).means(
        "Set here, ride there: the selected setup colder, warmer and higher up."
    ),
    Action("wire", "y", "wire", _switch("wire", "coil"), 18).means(
        "The coil as wire: its stress, room and weight, and the wire to order for its rate."
    ),
    Action("tolerance", "n", "how sure", _switch("tolerance"), 17).means(
        "How far off sag and the end of the travel may be when scale, gauge, spring and volumes are."
    ),
    Action("balance", "j", "both ends", _switch("balance"), 16).means(
        "Rear and front side by side, and what to change so that they agree."
    ),
    Action("advice", "A", "after ride", _switch("advice"), 16).means(
        "After the ride: what was felt (Space ticks), what to change and what it does; Enter tries it."
    ),
    Action("match", "C", "like another", _match_asked, 16).means(
        "Set the other spring to ride like the selected one; again with volumes and port free too."
    ),
    Action("wants", "D", "wanted", line=18).means(
        "Settings of the selected setup for figures that are wanted; again to type them."
    ),
    Action("readings", "R", "readings", line=18).means(
        "Backwards from a tester's file, gauge or sag to the setup: again to enter readings."
    ),
    Action("linkage", "k", "linkage", line=18).means(
        "Leverage from pivot points: type them, see the linkage move, take its curve into the job."
    ),
    Action("sweep", "S", "sweep", switch_sweep, 17).means(
        "Every setup over a range of the field under the cursor; S again there takes it away."
    ),
    Action("map", "M", "map", switch_map, 17).means(
        "The selected setup over two ranges: the sweep's, and the field under the cursor upwards."
    ),
    Action("spacers", "T", "spacers", _switch("spacers", "air"), 17).means(
        "Every count of spacers in both chambers of the selected setup, with pressure, middle and end."
    ),
    Action("sheet", "P", "setup sheet", line=16).means(
        "The setup sheet that goes with the bike: read it, save it as text, Markdown or a page to print."
    ),
    Action("chart_again", "escape", "back", close_view, 1, when=in_view).means(
        "Chart and table again in the place of a view."
    ),
)


class BenchKeymap(TypingKeymap[BenchState]):
    """The keys of the bench: digits type over the field with the cursor."""

    def starts_typing(self, state: BenchState, character: str) -> bool:
        """Return whether a character is the start of a number."""
        signed = isinstance(state.row.kind, Amount) and state.row.kind.signed
        return character in _STARTS_TYPING or (character == "-" and signed)

    def asked(self, state: BenchState) -> BenchState | None:
        """Return the state that asks about an unlikely value, None where the open one can be taken."""
        return question(state)


KEYMAP = BenchKeymap((MOVING, VALUES, TYPING, SETUPS, CHART, VIEWS, JOB))
