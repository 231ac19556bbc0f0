"""How the bench was left, taken up at the next start: job, step, theme, units, chart style, mouse, zoom."""

from __future__ import annotations

import os
import time
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from tui.bench.state import BenchState, show_step
from tui.bench.steps import NAMES
from tui.job.job import UNTITLED
from tui.store.remembered import Remembered, file_place, opened, record_place, still_there, written
from tui.themes import no_colour

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen
    from tui.job.job import Job


def taken_up(state: BenchState, remembered: Remembered) -> BenchState:
    """Return a state with step and zoom as they were left, and the recent jobs to find."""
    there = replace(state, recent=remembered.recent, zoom=bool(remembered.zoom))
    step = next((step for step, name in NAMES.items() if name == remembered.step), state.step)
    return there if step is state.step else show_step(there, step)


def last_job(remembered: Remembered) -> Path | None:
    """Return the job file that was open last, None where there was none or it is gone."""
    last = remembered.last
    return Path(last.file) if last is not None and last.file and still_there((last,)) else None


def remember(screen: BenchScreen, before: Remembered) -> tuple[Remembered, str]:
    """Write how the bench is left now; return what is remembered from now on, and why it cannot be written.

    A theme that this terminal forces is not what somebody chose.
    """
    state, path = screen.state, screen.session.path
    now = before._replace(
        step=NAMES[state.step],
        theme=before.theme if no_colour(os.environ) else screen.theme_chosen or before.theme,
        units=state.units.name,
        chart=before.chart if screen.look.glyphs.ascii else screen.look.line_style,
        mouse=screen.mouse,
        zoom="on" if state.zoom else "",
    )
    link = screen.session.place_in_records
    if path is not None:
        now = opened(now, file_place(path, state.bike.title or path.name, time.time()))
    elif link is not None:
        now = opened(now, record_place(link.store, link.job, title_of(state.bike), time.time()))
    return now, "" if now == before else written(now, before)


def title_of(job: Job) -> str:
    """Return what a job of the records is found by: its title, its customer or its ticket."""
    named = (job.title, job.get(("record", "customer")), job.get(("record", "ticket")))
    return next((str(text) for text in named if text), UNTITLED)
