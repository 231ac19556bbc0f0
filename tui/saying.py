"""Lines to the person at the terminal that are no answer."""

from __future__ import annotations

import sys


def say(line: str) -> None:
    """Write a line to standard error; terminal controls in it are written as their escapes."""
    if sys.stderr is not None:
        sys.stderr.write("".join(c if c.isprintable() else repr(c)[1:-1] for c in line) + "\n")
