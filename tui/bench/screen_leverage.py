"""Leverage from a table in a file, taken into the job on the bench."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from tui.bench.fields_frame import LEVERAGE
from tui.bench.state import BenchState, selected, with_job

if TYPE_CHECKING:
    from tui.bench.screen import BenchScreen
    from tui.readings.leverage_file import LeverageRead


def import_leverage(screen: BenchScreen) -> None:
    """Ask for a file, show what is in it and take that into the job."""
    from tui.bench.dialogs_leverage import LeveragePrompt, ask_to_take
    from tui.bench.dialogs_tables import settle

    screen.commit()

    def shown(read: LeverageRead) -> None:
        def replied(reply: str | None) -> None:
            if reply is not None:
                screen.take(leverage_taken(screen.state, read))

        screen.app.push_screen(ask_to_take(screen.state.job, read, screen.glyphs), replied)

    folder = screen.desk.path.parent if screen.desk.path else Path.cwd()
    prompt = LeveragePrompt(f"{folder}/", screen.glyphs)
    screen.app.push_screen(prompt, lambda found: settle(screen, found, shown))


def leverage_taken(state: BenchState, read: LeverageRead) -> BenchState:
    """Take a leverage table into the job, one edit, the cursor there or on what does not go with it."""
    from tui.readings.leverage_said import taken_into

    job = taken_into(state.job, read)
    if job == state.job:
        return replace(state, note="The job has this leverage already.")
    after = selected(with_job(state, job), (*LEVERAGE, "kind"))
    if after.faults:
        after = selected(after, after.faults[0].path)
    return replace(after, note=f"Leverage from {read.name} taken; u takes it back.")
