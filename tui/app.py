"""The application: its theme, its signals, and the way to the first frame."""

from __future__ import annotations

import os
import signal
import sys
from pathlib import Path
from typing import ClassVar

from textual.app import App
from textual.binding import BindingType

from tui.bench.screen import BenchScreen
from tui.bench.screen_acts import load_job
from tui.bench.screen_files import Desk
from tui.bench.state import BenchState, opened
from tui.glyphs import glyphs_for
from tui.jobs.demo import demo_job
from tui.jobs.faults import UnusableJob
from tui.jobs.files import FileTrouble, OpenedFile
from tui.jobs.history import History
from tui.themes import ThemeData, default_theme, find_themes, forget_empty_no_color

UNUSABLE = 2
"""Exit code for a file that cannot be put on the bench."""


class BenchApp(App[int], inherit_bindings=False):
    """One bench on one terminal."""

    CSS_PATH = "bench/screen.tcss"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = []
    TITLE = "springwright"

    def __init__(self, state: BenchState, desk: Desk, theme: ThemeData | None = None) -> None:
        """Put a state of the bench on the screen, nothing moving that nobody moved."""
        super().__init__()
        self.animation_level = "none"
        self._state = state
        self._desk = desk
        self.themed = theme or find_themes().themes[default_theme(os.environ)]
        self.register_theme(self.themed.textual())
        self.theme = self.themed.name

    def get_default_screen(self) -> BenchScreen:
        """Return the bench."""
        return BenchScreen(self._state, self._desk, self.themed.chart(glyphs_for(os.environ)))

    def on_mount(self) -> None:
        """Listen for the line being dropped and for being told to go."""
        import asyncio

        loop = asyncio.get_running_loop()
        for name in ("SIGHUP", "SIGTERM"):
            number = getattr(signal, name, None)
            if number is not None and not self.is_headless:
                loop.add_signal_handler(number, self._told_to_go, number)

    def _told_to_go(self, number: int) -> None:
        """Leave with the draft kept: what is typed and not committed goes into it too."""
        bench = next(screen for screen in self.screen_stack if isinstance(screen, BenchScreen))
        bench.hang_up()
        self.exit(return_code=128 + number)


def run(job_path: Path | None) -> int:
    """Open the screen on a job file, or on the invented demo job; return the exit code."""
    forget_empty_no_color(os.environ)
    file: OpenedFile | None = None
    if job_path is not None:
        try:
            file = load_job(job_path)
        except (FileTrouble, UnusableJob) as trouble:
            for line in str(trouble).splitlines():
                sys.stderr.write(f"{job_path}: {line}\n")
            return UNUSABLE
    job = demo_job() if file is None else file.job
    app = BenchApp(opened(History.starting_at(job)), Desk(file))
    app.run()
    return app.return_code or 0
