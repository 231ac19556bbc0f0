"""A terminal to press keys in: one private tmux server per test."""

from __future__ import annotations

import shlex
import subprocess
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

PATIENCE = 60.0
"""Seconds after which something that should appear counts as missing; no test depends on less."""


class Tmux:
    """A tmux session of its own socket with one pane."""

    def __init__(self, folder: Path, columns: int, rows: int) -> None:
        self._socket = folder / "tmux.sock"
        # A shell keeps the pane open, so that what a program leaves behind can be read.
        self._run(
            "new-session", "-d", "-x", str(columns), "-y", str(rows), "env", "-i", "PS1=ready> ",
            "PATH=/usr/sbin:/usr/bin:/sbin:/bin", "sh", start=True,
        )  # fmt: skip
        self._run("set-option", "-g", "escape-time", "0")
        self.wait_for("ready>")

    def _run(self, *words: str, start: bool = False) -> str:
        command = ["tmux", "-S", str(self._socket), *(["-f", "/dev/null"] if start else []), *words]
        done = subprocess.run(command, capture_output=True, text=True, check=True)
        return done.stdout

    def type_line(self, words: Sequence[str], environment: Mapping[str, str]) -> None:
        """Start a command line in the shell."""
        settings = [f"{name}={value}" for name, value in environment.items()]
        self._run("send-keys", "-l", shlex.join(["env", *settings, *words]))
        self.press("Enter")

    def press(self, *keys: str) -> None:
        """Press keys by their tmux names."""
        self._run("send-keys", *keys)

    def write(self, text: str) -> None:
        """Type text letter by letter."""
        self._run("send-keys", "-l", text)

    def resize(self, columns: int, rows: int) -> None:
        """Change the size of the window."""
        self._run("resize-window", "-x", str(columns), "-y", str(rows))

    def screen(self, *, escapes: bool = False) -> str:
        """Return what the pane shows, with its escape codes where asked."""
        return self._run("capture-pane", "-p", *(["-e"] if escapes else []))

    def set_option(self, *words: str) -> None:
        """Set an option of tmux."""
        self._run("set-option", *words)

    def buffer(self) -> str:
        """Return what was copied last, once anything was."""
        deadline = time.monotonic() + PATIENCE
        while not self._run("list-buffers"):
            if time.monotonic() > deadline:
                raise AssertionError("nothing was ever copied")
            time.sleep(0.05)
        return self._run("show-buffer")

    def wait_for(self, text: str, *, gone: bool = False) -> str:
        """Return the screen once `text` is on it (or gone from it)."""
        deadline = time.monotonic() + PATIENCE
        while True:
            shown = self.screen()
            if (text in shown) != gone:
                return shown
            if time.monotonic() > deadline:
                raise AssertionError(f"{text!r} {'stayed' if gone else 'never appeared'} on:\n{shown}")
            time.sleep(0.05)

    def close(self) -> None:
        """End the server and all that runs in it."""
        subprocess.run(["tmux", "-S", str(self._socket), "kill-server"], capture_output=True, check=False)
