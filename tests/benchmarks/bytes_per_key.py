"""Bytes that each key sends: `python -m tests.benchmarks.bytes_per_key` prints the most of each kind."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from tests.benchmarks.pty_bench import ESCAPE, PtySession
from tui.bench.state import BenchState, open_bench, select_setup, show_step, with_answer
from tui.bench.steps import NAMES, Step
from tui.charts.views import ChartView
from tui.job.demo import demo_job
from tui.job.fields import Amount
from tui.job.job import History

SIZES = [(80, 24), (120, 40)]
ANSWERED = ", sag 29.0 %"
OPENING, STEP, VIEW, NUDGE, MOVE, IDLE = "opening", "step", "view", "nudge", "move", "idle"
MOST = {
    OPENING: (3000, 3000),
    STEP: (4000, 4000),
    VIEW: (8000, 8000),
    NUDGE: (2500, 4000),
    MOVE: (500, 500),
    IDLE: (0, 0),
}
"""By what a key does the most bytes it may send at each size; 20 kB/s is a slow line."""
TAB = b"\t"
UP, DOWN, RIGHT, LEFT = b"\x1b[A", b"\x1b[B", b"\x1b[C", b"\x1b[D"
HOME, END = b"\x1b[H", b"\x1b[F"
_WORKED_OUT = ("map", "match_volumes", "readings", "events")
"""Views that go on being worked out after the key."""
_CHARTS = ("chart", "leverage")
_ACROSS = ((RIGHT, "right"), (RIGHT, "right again"), (LEFT, "left"))
_READ = {
    "sweep": _ACROSS,
    "map": (*_ACROSS, (UP, "up"), (UP, "up again"), (DOWN, "down")),
    "spacers": (*_ACROSS, (DOWN, "down"), (UP, "up")),
}
"""By the id of a view with a place that is read, or a cell that is chosen, what moves it."""


class Sent(NamedTuple):
    """What one key sent: where it was pressed, its name, what it does, and how many bytes came."""

    where: str
    key: str
    kind: str
    number: int


def walk(session: PtySession, step: Step) -> Iterator[Sent]:
    """Go to a step of the demo job from the first one, and yield what each key there sends."""
    start = with_answer(open_bench(History.starting_at(demo_job())))
    here = show_step(start, step)
    for place in range(1, step + 1):
        yield Sent("fields", f"Tab to {NAMES[Step(place)]}", STEP, session.press(TAB))
    yield from _openings(session, "fields")
    yield from _fields(session, here)
    yield Sent("fields", "Tab on", STEP, session.press(TAB))
    yield Sent("fields", "Tab back", STEP, session.press(b"\x1b[Z"))
    yield from _views(session, here)
    if step is Step.SPRINGS:
        yield from _views_of_air(session, here)
    yield Sent("view", "Tab on", STEP, session.press(TAB))


def _openings(session: PtySession, where: str) -> Iterator[Sent]:
    for key, name in ((b"?", "help"), (b"/", "finder"), (b" ", "menu")):
        yield Sent(where, f"{name} opens", OPENING, session.press(key))
        if key == b"/":
            for letter in (b"p", b"r", b"\x7f"):
                yield Sent(where, f"finder {letter.decode()!r}", OPENING, session.press(letter))
        if key == b" ":
            yield Sent(where, "menu turns", OPENING, session.press(key))
        yield Sent(where, f"{name} closes", VIEW, session.press(ESCAPE))


def _fields(session: PtySession, here: BenchState) -> Iterator[Sent]:
    rows = here.panels[here.panel].rows
    session.press(HOME)
    for row in rows[1:]:
        yield Sent("fields", f"down to {row.full_label}", MOVE, session.press(DOWN))
    for row in reversed(rows[:-1]):
        yield Sent("fields", f"up to {row.full_label}", MOVE, session.press(UP))
    for row in rows:
        if isinstance(row.kind, Amount):
            yield from _nudges(session, row.full_label)
        session.press(DOWN)


def _nudges(session: PtySession, where: str) -> Iterator[Sent]:
    for key in (b"+", b"<"):
        yield Sent(where, key.decode(), NUDGE, session.press(key))
        yield Sent(where, "u", NUDGE, session.press(b"u"))


def _views(session: PtySession, here: BenchState) -> Iterator[Sent]:
    nudged = next(
        (place for place, row in enumerate(here.panels[here.panel].rows) if isinstance(row.kind, Amount)),
        None,
    )
    for view in (*here.view_ids[1:], here.view_ids[0]):
        yield Sent(view, "]", VIEW, session.press(b"]"))
        yield from _within(session, view)
        yield Sent(view, "help opens", OPENING, session.press(b"?"))
        yield Sent(view, "help closes", VIEW, session.press(ESCAPE))
        yield Sent(view, "z", VIEW, session.press(b"z"))
        yield Sent(view, "z again", VIEW, session.press(b"z"))
        yield Sent(view, "Escape", VIEW, session.press(ESCAPE))
        if nudged is not None and view not in _WORKED_OUT:
            session.press(HOME)
            for _ in range(nudged):
                session.press(DOWN)
            yield from _nudges(session, f"{view} beside the fields")


def _views_of_air(session: PtySession, here: BenchState) -> Iterator[Sent]:
    """Yield what the keys of those views send that only the second setup has, which is of air."""
    air = select_setup(here, 1)
    assert air.kind == "air"
    yield Sent("fields", "right to the air spring", STEP, session.press(RIGHT))
    for view in (*air.view_ids[1:], air.view_ids[0]):
        sent = session.press(b"]")
        if view not in here.view_ids:
            yield Sent(view, "]", VIEW, sent)
            yield from _within(session, view)
    session.press(ESCAPE)
    yield Sent("fields", "left to the coil", STEP, session.press(LEFT))


def _within(session: PtySession, view: str) -> Iterator[Sent]:
    """Yield what the keys of a view send: reading a chart and going down a table are moves."""
    if view in _CHARTS:
        for key, name in ((RIGHT, "right"), (LEFT, "left"), (HOME, "home")):
            yield Sent(view, name, MOVE, session.press(key))
    if view == "chart":
        for _ in ChartView:
            yield Sent(view, "next chart", VIEW, session.press(DOWN))
    if view == "figures":
        for _ in range(4):
            yield Sent(view, "down", MOVE, session.press(DOWN))
        yield Sent(view, "to the last figure", VIEW, session.press(END))
        yield Sent(view, "to the first figure", VIEW, session.press(HOME))
    elif view in _READ:
        for key, name in _READ[view]:
            yield Sent(view, name, MOVE, session.press(key))
        if view != "spacers":
            yield Sent(view, "next figure", VIEW, session.press(b">"))
            yield Sent(view, "figure before", VIEW, session.press(b"<"))
    elif view not in _CHARTS:
        yield Sent(view, "down", VIEW, session.press(DOWN))


def bytes_per_key(columns: int, rows: int, step: Step) -> list[Sent]:
    """Return what each key of a step sends, and what comes while nobody touches a key."""
    with PtySession(columns, rows) as session:
        session.wait_for(ANSWERED)
        session.wait_until_idle()
        found = list(walk(session, step))
        return [*found, Sent("", "nothing", IDLE, session.bytes_while_idle(1.0))]


def main() -> None:
    """Print a table."""
    for place, size in enumerate(SIZES):
        for step in Step:
            found = bytes_per_key(*size, step)
            for kind, most in MOST.items():
                worst = max(
                    (sent for sent in found if sent.kind == kind),
                    key=lambda sent: sent.number,
                    default=Sent("", "no key", kind, 0),
                )
                over = "  OVER" if worst.number > most[place] else ""
                size_text = f"{size[0]}x{size[1]}"
                print(  # noqa: T201
                    f"{size_text:7} {NAMES[step]:10} {kind:8} {worst.number:6} of {most[place]}: "
                    f"{worst.key} in {worst.where}{over}",
                    flush=True,
                )


if __name__ == "__main__":
    main()
