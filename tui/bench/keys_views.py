"""Keys of the views that take the place of chart and table."""

from __future__ import annotations

from tui.bench.keys_action import Action, Group, Step, between_pairs, resting
from tui.bench.state import BenchState
from tui.bench.state_setups import kind_selected
from tui.bench.state_sweep import map_asked, sweep_asked
from tui.bench.state_view import aside_switched, chart_again


def _switch(id: str) -> Step:
    return lambda state: aside_switched(state, id)


def _switch_for(id: str, kind: str) -> Step:
    """Show a view of setups of one kind, such a setup selected, or take it away."""

    def switched(state: BenchState) -> BenchState:
        after = aside_switched(state, id)
        return kind_selected(after, kind) if after.aside == id else after

    return switched


# Views that know much are loaded when their key is first pressed: the first frame waits for none of them.


def _measuring(state: BenchState) -> BenchState:
    from tui.bench.state_pairs import measuring

    return measuring(state)


def _match_asked(state: BenchState) -> BenchState:
    from tui.bench.state_match import match_asked

    return match_asked(state)


VIEWS = Group(
    "Views beside the panels",
    (
        Action(
            "pairs",
            ("z",),
            "measure",
            "Leverage measured on the stand: what to read next, how far each pair is off; again for a pair.",
            _measuring,
            line=18,
            when=between_pairs,
        ),
        Action(
            "conditions",
            ("i",),
            "in other air",
            "Set here, ride there: the selected setup colder, warmer and higher up.",
            _switch("conditions"),
            line=17,
        ),
        Action(
            "wire",
            ("y",),
            "wire",
            "The coil as wire: its stress, room and weight, and the wire to order for its rate.",
            _switch_for("wire", "coil"),
            line=18,
        ),
        Action(
            "tolerance",
            ("n",),
            "how sure",
            "How far off sag and the end of the travel may be when scale, gauge, spring and volumes are.",
            _switch("tolerance"),
            line=17,
        ),
        Action(
            "balance",
            ("j",),
            "both ends",
            "Rear and front side by side, and what to change so that they agree.",
            _switch("balance"),
            line=16,
        ),
        Action(
            "advice",
            ("A",),
            "after ride",
            "After the ride: what was felt (Space ticks), what to change and what it does; Enter tries it.",
            _switch("advice"),
            line=16,
        ),
        Action(
            "match",
            ("C",),
            "like another",
            "Set the other spring to ride like the selected one; again with volumes and port free too.",
            _match_asked,
            line=16,
        ),
        Action(
            "wants",
            ("D",),
            "wanted",
            "Settings of the selected setup for figures that are wanted; again to type them.",
            line=18,
        ),
        Action(
            "readings",
            ("R",),
            "readings",
            "Backwards from a tester's file, gauge or sag to the setup: again to enter readings.",
            line=18,
        ),
        Action(
            "linkage",
            ("k",),
            "linkage",
            "Leverage from pivot points: type them, see the linkage move, take its curve into the job.",
            line=18,
        ),
        Action(
            "sweep",
            ("S",),
            "sweep",
            "Every setup over a range of the field under the cursor; S again there takes it away.",
            sweep_asked,
            line=17,
        ),
        Action(
            "map",
            ("M",),
            "map",
            "The selected setup over two ranges: the sweep's, and the field under the cursor upwards.",
            map_asked,
            line=17,
        ),
        Action(
            "spacers",
            ("T",),
            "spacers",
            "Every count of spacers in both chambers of the selected setup, with pressure, middle and end.",
            _switch_for("spacers", "air"),
            line=17,
        ),
        Action(
            "sheet",
            ("P",),
            "setup sheet",
            "The setup sheet that goes with the bike: read it, save it as text, Markdown or a page to print.",
            line=16,
        ),
        Action(
            "chart_again",
            ("escape",),
            "back",
            "Chart and table again in the place of a view.",
            chart_again,
            when=lambda state: resting(state) and bool(state.aside),
            line=1,
        ),
    ),
)
