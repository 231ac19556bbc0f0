"""Copying text to the clipboard of the person's own terminal by OSC 52, through ssh, tmux and screen.

A terminal does not confirm this. So the message says only that the text was sent, and shows it.
"""

from __future__ import annotations

import os
import re
from base64 import b64encode
from collections.abc import Callable, Mapping
from typing import Any

from textual.app import App

from tui.job.tree import clean
from tui.kit.repaint import painted

MOST_BYTES = 74_994
"""Longest text sent [bytes of UTF-8], 100 000 bytes when encoded. Terminals drop longer ones entirely (from
memory)."""
PIECE = 700
"""Length of the pieces of a sequence for screen [bytes]: its buffer holds 768 (from memory)."""

_ESC, _BELL = "\x1b", "\x07"
_START, _END = f"{_ESC}P", f"{_ESC}\\"
"""Device control string: its content is for the outer terminal."""
_NO_CLIPBOARD = ("dumb", "linux")
"""Terminal types without a clipboard; some would print the sequence."""
_KEPT = ("\n", "\t")
_BETWEEN = re.compile(r"([\n\t])")
_LONGEST_SHOWN = 120


def copy_text(
    target: App[Any] | Callable[[str], object], text: str, environ: Mapping[str, str] | None = None
) -> str:
    """Send text to the terminal's clipboard and return the message to show, which contains the text.

    `target` is the app, whose own clipboard is set too, or a function that writes to the terminal. `environ`
    is by default that of the process.
    """
    environ = os.environ if environ is None else environ
    kept = cleaned(text)
    shown, size = _shown(kept), len(kept.encode())
    if not kept.strip():
        return "Nothing to copy here."
    if isinstance(target, App):
        target._clipboard = kept
    if environ.get("TERM") in _NO_CLIPBOARD:
        return f"This terminal has no clipboard to copy to: {shown}"
    if size > MOST_BYTES:
        most = f"terminals take {MOST_BYTES / 1e3:.0f} kB at most"
        return f"Not copied: {size / 1e3:.0f} kB, and {most}. Export it to a file."
    sent = sequence(kept, environ)
    _write(target, sent)
    if isinstance(target, App) and len(sent) > 2 * PIECE and multiplexer(environ) == "either":
        painted(target.console).forget()  # screen has written on it what its buffer does not hold
        target.refresh(layout=True)
    return f"Sent to the terminal's clipboard: {shown}"


def cleaned(text: str) -> str:
    """Return text without control and other invisible characters, except line ends and tabs."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(part if part in _KEPT else clean(part) for part in _BETWEEN.split(lines))


def _shown(text: str) -> str:
    """Return a text as one line: the first of several, and how many more there are."""
    first, *more = text.strip("\n").split("\n")
    line = " ".join(first.split())
    line = line if len(line) <= _LONGEST_SHOWN else f"{line[:_LONGEST_SHOWN]}..."
    return f"{line} (and {len(more)} more {'line' if len(more) == 1 else 'lines'})" if more else line


def _write(target: App[Any] | Callable[[str], object], written: str) -> None:
    if not isinstance(target, App):
        target(written)
    elif target._driver is not None:
        target._driver.write(written)


def sequence(text: str, environ: Mapping[str, str]) -> str:
    """Return the sequence that copies a text to the clipboard of the outermost terminal.

    For tmux it is sent twice: wrapped, if tmux is configured to pass sequences through, and bare, if it takes
    them for its own buffer and forwards them; the unneeded one is ignored. Screen needs it wrapped, and would
    print anything longer than its buffer. If it may be either, both forms are sent.
    """
    bare = f"{_ESC}]52;c;{b64encode(text.encode()).decode()}{_BELL}"
    match multiplexer(environ):
        case "tmux":
            return for_tmux(bare) + bare
        case "screen":
            return for_screen(bare)
        case "either":
            return for_screen(bare) + bare
        case _:
            return bare


def multiplexer(environ: Mapping[str, str]) -> str:
    """Return the multiplexer between program and terminal: tmux, screen, either or nothing.

    Over ssh only TERM is known. "screen" may also be tmux, which accepts both forms, while screen would print
    the form for tmux.
    """
    kind = environ.get("TERM", "")
    if kind.startswith("tmux") or (environ.get("TMUX") and not environ.get("STY")):
        return "tmux"
    if environ.get("STY") or kind.startswith("screen."):
        return "screen"
    return "either" if kind.startswith("screen") else ""


def for_tmux(passed: str) -> str:
    """Return a sequence wrapped so that tmux passes it on (`allow-passthrough on`)."""
    return f"{_START}tmux;{passed.replace(_ESC, _ESC * 2)}{_END}"


def for_screen(passed: str) -> str:
    """Return a sequence wrapped so that screen passes it on, in pieces that fit its buffer."""
    pieces = (passed[start : start + PIECE] for start in range(0, len(passed), PIECE))
    return "".join(f"{_START}{piece}{_END}" for piece in pieces)
