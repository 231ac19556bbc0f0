"""What the keys of the bench do: fields, values, setups, chart and views, the job's file and the program."""

from __future__ import annotations

from collections.abc import Callable

from tui.bench import edit
from tui.bench import state as bench
from tui.bench.edit import confirmed_here, kind_selected, question
from tui.bench.state import BenchState, chart_again, map_asked, sweep_asked, view_switched
from tui.job.fields import Amount, Choice, Pair
from tui.kit.edit import restored
from tui.kit.keymap import Action, Group, Keymap, by, group

_TEN = 10
_FAR = 999
_STARTS_TYPING = frozenset("0123456789.,")


def on_choice(state: BenchState) -> bool:
    """With no value open, on a field with a few ways to choose from."""
    return state.edit is None and isinstance(state.row.kind, Choice)


def on_solvable(state: BenchState) -> bool:
    """With no value open, on a rate or a pressure that can be solved."""
    return state.edit is None and isinstance(state.row.kind, Amount) and state.row.kind.solvable


def between_pairs(state: BenchState) -> bool:
    """With no value open but a pair of those that are being measured."""
    return state.edit is None or (state.view == "pairs" and isinstance(state.row.kind, Pair))


CHART: Group[BenchState] = group(
    "Chart and table",
    Action(
        "view",
        "v",
        "chart",
        "The next view of the chart; of a sweep or a map the next figure.",
        by(bench.chart_turned, 1),
        7,
    ),
    Action("view_back", "V", "chart", "The view, or the figure, before.", by(bench.chart_turned, -1)),
    Action(
        "slow", "f", "slow", "Lay the slow curve past sag over the riding curve.", bench.slow_switched, 10
    ),
    Action("read_back", "h", "read", "Read the chart one step back.", by(bench.cursor_moved, -1), 11),
    Action("read_on", "l", "read", "Read the chart one step on.", by(bench.cursor_moved, 1), 11),
    Action("read_far_back", "H", "read", "Ten steps back.", by(bench.cursor_moved, -bench.COARSE)),
    Action("read_far_on", "L", "read", "Ten steps on.", by(bench.cursor_moved, bench.COARSE)),
    Action(
        "read_sag", "g", "at sag", "Read the chart where the selected setup settles.", bench.cursor_at_sag
    ),
    Action("table", "t", "table", "To the table of figures and back.", line=9, keeps_edit=True),
    Action("units", "m", "units", "Units of the figures: usual, metric, imperial.", bench.units_turned, 15),
)
JOB: Group[BenchState] = group(
    "Job and program",
    Action("open", "o", "open", "Open a job file.", line=16),
    Action(
        "records",
        "O",
        "records",
        "What was saved: find it, open it, compare it, take it for the next rider.",
        line=5,
    ),
    Action(
        "save",
        "ctrl+s w",
        "save",
        "Save the job where it lives: its file, or the shop's records as their next revision.",
        line=4,
    ),
    Action("save_note", "N", "note", "Save the job into the records with a note on what was done."),
    Action("save_as", "W", "to a file", "Save the job to a file, or to another one."),
    Action(
        "import",
        "I",
        "leverage file",
        "Leverage from a table in a CSV file: wheel travel, shock stroke or ratio, two of them.",
        line=18,
    ),
    Action("help", "? f1", "keys", "Every key and what it does.", line=3, keeps_edit=True),
    Action(
        "mouse",
        "f9",
        "mouse",
        "Give the mouse back to the terminal, to select text, or take it again.",
        keeps_edit=True,
    ),
    Action(
        "lines",
        "f8",
        "lines",
        "Draw the chart with the next kind of character, down to plain ASCII.",
        keeps_edit=True,
    ),
    Action("theme", "f10", "colours", "The next set of colours.", keeps_edit=True),
    Action("suspend", "ctrl+z", "to shell", "Put the program aside; fg brings it back.", keeps_edit=True),
    Action("quit", "q ctrl+q ctrl+c", "quit", "Leave; asks if something is not saved.", line=4),
)
MOVING: Group[BenchState] = group(
    "Moving",
    Action("up", "up", "field", "The field above.", by(edit.by_rows, -1), at_cursor=True),
    Action("down", "down", "field", "The field below.", by(edit.by_rows, 1), at_cursor=True),
    Action("left", "left", "panel", "The panel before.", by(edit.by_panels, -1), at_cursor=True),
    Action("right", "right", "panel", "The panel after.", by(edit.by_panels, 1), at_cursor=True),
    Action(
        "next",
        "tab",
        "panel",
        "The next panel, round to the first.",
        by(edit.by_panels, 1),
        6,
        at_cursor=True,
    ),
    Action(
        "back",
        "shift+tab",
        "panel",
        "The panel before, round to the last.",
        by(edit.by_panels, -1),
        at_cursor=True,
    ),
    Action(
        "end",
        "e",
        "other end",
        "The other end of the bike; a bike without a front gets an invented one.",
        edit.to_other_end,
        10,
    ),
    Action(
        "end_off",
        "f6",
        "end off",
        "Take the end of the bike on the bench off the job; undo puts it back.",
        edit.without_end,
    ),
    Action("page_up", "pageup", "page", "Ten fields up.", by(edit.by_rows, -edit.PAGE), at_cursor=True),
    Action("page_down", "pagedown", "page", "Ten fields down.", by(edit.by_rows, edit.PAGE), at_cursor=True),
    Action(
        "first", "home", "first", "The first field of the panel.", by(edit.by_rows, -_FAR), at_cursor=True
    ),
    Action("last", "end", "last", "The last field of the panel.", by(edit.by_rows, _FAR), at_cursor=True),
)
VALUES: Group[BenchState] = group(
    "Values: digits type over the field",
    Action(
        "edit",
        "enter f2",
        "edit",
        "Open the value for editing; of a choice, go to the next way.",
        edit.opened_edit,
        2,
    ),
    Action(
        "confirm",
        "space",
        "confirm",
        "Confirm an unverified value as it stands: mark and line on the sheet go.",
        confirmed_here,
    ),
    Action(
        "more",
        "+ =",
        "nudge",
        "One step up: 1 kg, 1 psi, 5 lbf/in, 1 %, 1 mm.",
        by(edit.nudged_or_asked, 1),
        2,
    ),
    Action(
        "less",
        "- _",
        "nudge",
        "One step down. Where a value may be below zero, - starts typing and _ nudges.",
        by(edit.nudged_or_asked, -1),
        2,
    ),
    Action("much_more", ">", "nudge", "Ten steps up.", by(edit.nudged_or_asked, _TEN), 2),
    Action("much_less", "<", "nudge", "Ten steps down.", by(edit.nudged_or_asked, -_TEN), 2),
    Action(
        "solve",
        "s",
        "solved/typed",
        "Solve a rate or a pressure, or keep the solved one as typed.",
        edit.solved_or_typed,
        1,
        when=on_solvable,
    ),
    Action("blank", "backspace", "type", "Start typing from nothing.", edit.rubbed_out),
    Action(
        "clear",
        "delete",
        "take out",
        "Take the value out; a rate or a pressure is solved again.",
        edit.cleared,
    ),
    Action("undo", "u", "undo", "Take the last change back.", edit.undone, 5),
    Action("redo", "ctrl+r", "redo", "Do the change again that was taken back.", edit.redone),
    at_cursor=True,
)
TYPING: Group[BenchState] = group(
    "While a value is open",
    Action(
        "commit",
        "enter",
        "take it",
        "Take what is typed; a moving key does it too. An unlikely value is asked about first.",
        edit.taken,
        1,
    ),
    Action("restore", "escape", "as it was", "Leave the value as it was.", restored, 2),
    Action("caret_left", "left", "left", "One character to the left.", by(edit.caret_moved, -1)),
    Action("caret_right", "right", "right", "One character to the right.", by(edit.caret_moved, 1)),
    Action("caret_first", "home ctrl+a", "first", "To the first character.", by(edit.caret_moved, -_FAR)),
    Action("caret_last", "end ctrl+e", "last", "Behind the last character.", by(edit.caret_moved, _FAR)),
    Action("rub_out", "backspace", "rub out", "Rub out the character before.", edit.rubbed_out),
    Action("rub_out_at", "delete", "rub out", "Rub out the character here.", edit.rubbed_out_ahead),
    Action("empty", "ctrl+u", "empty", "Rub out everything.", edit.emptied),
    typing=True,
    at_cursor=True,
)
SETUPS: Group[BenchState] = group(
    "Setups",
    Action("coil", "c", "add coil", "Add an invented coil to type over.", edit.coil_added, 8),
    Action("air", "a", "add air", "Add an invented air setup to type over.", edit.air_added, 8),
    Action("copy", "d", "copy", "Put a copy of the selected setup beside it.", edit.duplicated, 12),
    Action("rename", "r", "rename", "Give the selected setup another name.", edit.renamed, 14),
    Action("fill", "p", "pump", "How to pump the air setup, with what the gauge reads.", line=9),
    Action("order", "b", "buy", "What to order for the selected setup: springs or spacers.", line=12),
    Action("remove", "x", "remove", "Take the selected setup out; undo brings it back.", edit.removed, 13),
)


def _switch(id: str) -> Callable[[BenchState], BenchState]:
    return lambda state: view_switched(state, id)


def _switch_for(id: str, kind: str) -> Callable[[BenchState], BenchState]:
    """Show a view of setups of one kind, such a setup selected, or take it away."""

    def switched(state: BenchState) -> BenchState:
        after = view_switched(state, id)
        return kind_selected(after, kind) if after.view == id else after

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
    Action(
        "pairs",
        "z",
        "measure",
        "Leverage measured on the stand: what to read next, how far each pair is off; again for a pair.",
        _measuring,
        18,
        when=between_pairs,
    ),
    Action(
        "conditions",
        "i",
        "in other air",
        "Set here, ride there: the selected setup colder, warmer and higher up.",
        _switch("conditions"),
        17,
    ),
    Action(
        "wire",
        "y",
        "wire",
        "The coil as wire: its stress, room and weight, and the wire to order for its rate.",
        _switch_for("wire", "coil"),
        18,
    ),
    Action(
        "tolerance",
        "n",
        "how sure",
        "How far off sag and the end of the travel may be when scale, gauge, spring and volumes are.",
        _switch("tolerance"),
        17,
    ),
    Action(
        "balance",
        "j",
        "both ends",
        "Rear and front side by side, and what to change so that they agree.",
        _switch("balance"),
        16,
    ),
    Action(
        "advice",
        "A",
        "after ride",
        "After the ride: what was felt (Space ticks), what to change and what it does; Enter tries it.",
        _switch("advice"),
        16,
    ),
    Action(
        "match",
        "C",
        "like another",
        "Set the other spring to ride like the selected one; again with volumes and port free too.",
        _match_asked,
        16,
    ),
    Action(
        "wants",
        "D",
        "wanted",
        "Settings of the selected setup for figures that are wanted; again to type them.",
        line=18,
    ),
    Action(
        "readings",
        "R",
        "readings",
        "Backwards from a tester's file, gauge or sag to the setup: again to enter readings.",
        line=18,
    ),
    Action(
        "linkage",
        "k",
        "linkage",
        "Leverage from pivot points: type them, see the linkage move, take its curve into the job.",
        line=18,
    ),
    Action(
        "sweep",
        "S",
        "sweep",
        "Every setup over a range of the field under the cursor; S again there takes it away.",
        sweep_asked,
        17,
    ),
    Action(
        "map",
        "M",
        "map",
        "The selected setup over two ranges: the sweep's, and the field under the cursor upwards.",
        map_asked,
        17,
    ),
    Action(
        "spacers",
        "T",
        "spacers",
        "Every count of spacers in both chambers of the selected setup, with pressure, middle and end.",
        _switch_for("spacers", "air"),
        17,
    ),
    Action(
        "sheet",
        "P",
        "setup sheet",
        "The setup sheet that goes with the bike: read it, save it as text, Markdown or a page to print.",
        line=16,
    ),
    Action(
        "chart_again",
        "escape",
        "back",
        "Chart and table again in the place of a view.",
        chart_again,
        1,
        when=lambda state: state.edit is None and bool(state.view),
    ),
)


class BenchKeymap(Keymap[BenchState]):
    """The keys of the bench: digits type over the field with the cursor."""

    def is_open(self, state: BenchState) -> bool:
        """Return whether a value is open for typing."""
        return state.edit is not None

    def starts_typing(self, state: BenchState, character: str) -> bool:
        """Return whether a character is the start of a number."""
        signed = isinstance(state.row.kind, Amount) and state.row.kind.signed
        return character in _STARTS_TYPING or (character == "-" and signed)

    def typed(self, state: BenchState, text: str) -> BenchState:
        """Return the state with text typed over the field or into the open value."""
        return edit.typed(state, text)

    def asked(self, state: BenchState) -> BenchState | None:
        """Return the state that asks about an unlikely value, None where the open one can be taken."""
        return question(state)


KEYMAP = BenchKeymap((MOVING, VALUES, TYPING, SETUPS, CHART, VIEWS, JOB))
