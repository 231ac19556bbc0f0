"""What is copied arrives through a real tmux, whichever of its two ways it leaves open."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.terminal.tmux import Tmux

TEXT = "Größe 450 lbf/in"
COPY = "import sys; from tui.kit.clipboard import copy_text; print(copy_text(sys.stdout.write, {!r} * {}))"
SENT = "Sent to the terminal's clipboard: "


def copies(count: int) -> list[str]:
    return [sys.executable, "-c", COPY.format(TEXT, count)]


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("kind", ["tmux-256color", "screen-256color", "xterm-256color"])
@pytest.mark.parametrize("count", [1, 300])
def test_tmux_takes_it_for_its_own_buffer(
    terminal: Callable[[int, int], Tmux], home: dict[str, str], kind: str, count: int
) -> None:
    pane = terminal(80, 24)
    pane.set_option("-s", "set-clipboard", "on")
    pane.set_option("-g", "allow-passthrough", "on")
    pane.type_line(copies(count), home | {"TERM": kind})
    shown = pane.wait_for(f"{SENT}{TEXT}")
    assert "52;" not in shown
    assert "tmux;" not in shown
    assert pane.buffer() == TEXT * count


@pytest.mark.slow
@pytest.mark.parametrize("count", [1, 300])
def test_tmux_passes_it_on_to_the_terminal_outside(
    terminal: Callable[[int, int], Tmux], home: dict[str, str], tmp_path: Path, count: int
) -> None:
    outside = terminal(100, 30)
    outside.set_option("-s", "set-clipboard", "on")
    inner = shlex.join(["tmux", "-S", str(tmp_path / "inner.sock"), "-f", "/dev/null"])
    start = f"{inner} new-session 'exec env PS1=inside: sh' ';' set -g allow-passthrough on"
    # It ends with the terminal that it is in.
    outside.type_line(["sh", "-c", f"{start} ';' set destroy-unattached on"], home)
    outside.wait_for("inside:")
    outside.type_line(copies(count), home | {"TERM": "tmux-256color"})
    outside.wait_for(f"{SENT}{TEXT}")
    assert outside.buffer() == TEXT * count
