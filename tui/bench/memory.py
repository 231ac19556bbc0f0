"""State restored at the next start: job, step, theme, units, chart, mouse, zoom, event."""

from __future__ import annotations

import os
import time
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.bench.state import BenchState, EventChoice, show_step
from tui.bench.steps import NAMES
from tui.job.job import UNCONFIRMED, UNTITLED
from tui.job.tree import Tree
from tui.store.remembered import Remembered, file_place, opened, record_place, still_there, written
from tui.themes import no_colour

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen
    from tui.job.job import Job


def taken_up(state: BenchState, remembered: Remembered) -> BenchState:
    """Return a state with the remembered step, zoom, event and recent jobs."""
    event = event_left(remembered.event)
    there = replace(state, recent=remembered.recent, zoom=bool(remembered.zoom), event=event)
    step = next((step for step, name in NAMES.items() if name == remembered.step), state.step)
    return there if step is state.step else show_step(there, step)


_CHOSEN = ("name", "figure", "over", "by")
_COUNTED = ("shows", "slower")
"""Remembered choices of an event besides its sizes: words, and whole numbers."""


def event_words(choice: EventChoice) -> tuple[tuple[str, str], ...]:
    """Return the choices of an event that differ from the defaults, by name; sizes as "drop.height"."""
    first = EventChoice()
    chosen = [(key, str(getattr(choice, key))) for key in (*_CHOSEN, *_COUNTED)]
    words = [(key, text) for key, text in chosen if text != str(getattr(first, key))]
    for event, sizes in choice.sizes.tree.items():
        if isinstance(sizes, Tree):
            words += [(f"{event}.{key}", str(raw)) for key, raw in sizes.items()]
    return tuple(words)


def event_left(words: tuple[tuple[str, str], ...]) -> EventChoice:
    """Return the choices of an event from words; the view checks whether the event exists."""
    chosen, sizes = dict[str, Any](), EventChoice().sizes
    for key, text in words:
        event, _, size = key.partition(".")
        number = int(text) if text.isascii() and text.isdecimal() and len(text) < _DIGITS else None
        if event.isidentifier() and size.isidentifier() and size != UNCONFIRMED:
            sizes = sizes.with_value((event, size), text if number is None else number)
        elif key in _CHOSEN:
            chosen[key] = text
        elif key in _COUNTED and number:
            chosen[key] = number
    return EventChoice(sizes=sizes, **chosen)


_DIGITS = 7
"""Number of digits from which a whole number is rejected."""


def last_job(remembered: Remembered) -> Path | None:
    """Return the job file that was open last, None if there was none or it is gone."""
    last = remembered.last
    return Path(last.file) if last is not None and last.file and still_there((last,)) else None


def remember(screen: BenchScreen, before: Remembered) -> tuple[Remembered, str]:
    """Write the state of the bench for the next start; return it, and why it could not be written.

    A theme forced by this terminal is not stored as the person's choice.
    """
    state, path = screen.state, screen.session.path
    now = before._replace(
        step=NAMES[state.step],
        theme=before.theme if no_colour(os.environ) else screen.theme_chosen or before.theme,
        units=state.units.name,
        chart=before.chart if screen.look.glyphs.ascii else screen.look.line_style,
        mouse=screen.mouse,
        zoom="on" if state.zoom else "",
        event=event_words(state.event),
    )
    link = screen.session.place_in_records
    if path is not None:
        now = opened(now, file_place(path, state.bike.title or path.name, time.time()))
    elif link is not None:
        now = opened(now, record_place(link.store, link.job, title_of(state.bike), time.time()))
    return now, "" if now == before else written(now, before)


def title_of(job: Job) -> str:
    """Return the name of a job for lists: its title, customer or ticket."""
    named = (job.title, job.get(("record", "customer")), job.get(("record", "ticket")))
    return next((str(text) for text in named if text), UNTITLED)
