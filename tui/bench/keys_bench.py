"""Keys for chart and table, the job's file and the program."""

from __future__ import annotations

from collections.abc import Callable

from tui.bench import state_view as view
from tui.bench.keys_action import Action, Group, Step, always
from tui.bench.state import BenchState


def _by(step: Callable[[BenchState, int], BenchState], amount: int) -> Step:
    return lambda state: step(state, amount)


CHART = Group(
    "Chart and table",
    (
        Action(
            "view",
            ("v",),
            "chart",
            "The next view of the chart; of a sweep or a map the next figure.",
            _by(view.view_turned, 1),
            line=7,
        ),
        Action("view_back", ("V",), "chart", "The view, or the figure, before.", _by(view.view_turned, -1)),
        Action(
            "slow",
            ("f",),
            "slow",
            "Lay the slow curve past sag over the riding curve.",
            view.slow_switched,
            line=10,
        ),
        Action(
            "read_back", ("h",), "read", "Read the chart one step back.", _by(view.cursor_moved, -1), line=11
        ),
        Action("read_on", ("l",), "read", "Read the chart one step on.", _by(view.cursor_moved, 1), line=11),
        Action("read_far_back", ("H",), "read", "Ten steps back.", _by(view.cursor_moved, -view.COARSE)),
        Action("read_far_on", ("L",), "read", "Ten steps on.", _by(view.cursor_moved, view.COARSE)),
        Action(
            "read_sag",
            ("g",),
            "at sag",
            "Read the chart where the selected setup settles.",
            view.cursor_at_sag,
        ),
        Action("table", ("t",), "table", "To the table of figures and back.", line=9),
        Action(
            "units",
            ("m",),
            "units",
            "Units of the figures: usual, metric, imperial.",
            view.units_turned,
            line=15,
        ),
    ),
)
JOB = Group(
    "Job and program",
    (
        Action("open", ("o",), "open", "Open a job file.", line=16),
        Action(
            "records",
            ("O",),
            "records",
            "What was saved: find it, open it, compare it, take it for the next rider.",
            line=5,
        ),
        Action(
            "save",
            ("ctrl+s", "w"),
            "save",
            "Save the job where it lives: its file, or the shop's records as their next revision.",
            line=4,
        ),
        Action("save_note", ("N",), "note", "Save the job into the records with a note on what was done."),
        Action("save_as", ("W",), "to a file", "Save the job to a file, or to another one."),
        Action(
            "import",
            ("I",),
            "leverage file",
            "Leverage from a table in a CSV file: wheel travel, shock stroke or ratio, two of them.",
            line=18,
        ),
        Action("help", ("?", "f1"), "keys", "Every key and what it does.", line=3),
        Action(
            "mouse",
            ("f9",),
            "mouse",
            "Give the mouse back to the terminal, to select text, or take it again.",
        ),
        Action(
            "lines", ("f8",), "lines", "Draw the chart with the next kind of character, down to plain ASCII."
        ),
        Action("theme", ("f10",), "colours", "The next set of colours."),
        Action("suspend", ("ctrl+z",), "to shell", "Put the program aside; fg brings it back.", when=always),
        Action("quit", ("q", "ctrl+q", "ctrl+c"), "quit", "Leave; asks if something is not saved.", line=4),
    ),
)
