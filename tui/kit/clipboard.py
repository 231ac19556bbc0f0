"""Text to the clipboard of the person's own terminal by OSC 52, through ssh, tmux and screen.

Nothing comes back from a terminal about it, so nobody is told that it worked: only that it was sent, with the
text beside it.
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
"""Longest text in UTF-8 that is sent [bytes]: 100 000 as they go over the line. Terminals drop a longer one
whole (from memory)."""
PIECE = 700
"""Bytes of a sequence that screen passes on at once: its buffer for them holds 768 (from memory)."""

_ESC, _BELL = "\x1b", "\x07"
_START, _END = f"{_ESC}P", f"{_ESC}\\"
"""Device control string: what stands in it is for the terminal outside."""
_NO_CLIPBOARD = ("dumb", "linux")
"""Kinds of terminals without one; some of these would write the sequence on the screen."""
_KEPT = ("\n", "\t")
_BETWEEN = re.compile(r"([\n\t])")
_LONGEST_SHOWN = 120


def copy_text(
    target: App[Any] | Callable[[str], object], text: str, environ: Mapping[str, str] | None = None
) -> str:
    """Send text to the terminal's clipboard and return the sentence to show, with the text in it.

    `target` is the app, whose own clipboard is set too, or what writes to the terminal. `environ` is that of
    the process unless given.
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
    """Return text without control and other unseen marks but ends of lines and tabs."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(part if part in _KEPT else clean(part) for part in _BETWEEN.split(lines))


def _shown(text: str) -> str:
    """Return a text as one line: of several the first, and how many more there are."""
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
    """Return what puts a text on the clipboard of the terminal outside all that stands between.

    In tmux it goes twice: wrapped, past one that lets it pass, and bare, for one that takes it for its own
    buffer and hands it on; what is of no use is dropped unseen. Screen passes it on wrapped alone: what is
    longer than its buffer it would write on the screen. It may be either: then both.
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
    """Return what stands between the program and the terminal: tmux, screen, either or nothing.

    Over ssh only the kind of terminal tells. One named after screen alone may be tmux, which is safe with
    either form: screen would write tmux's on the terminal.
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
    """Return a sequence wrapped so that screen passes it on, in pieces that its buffer holds."""
    pieces = (passed[start : start + PIECE] for start in range(0, len(passed), PIECE))
    return "".join(f"{_START}{piece}{_END}" for piece in pieces)
