"""Faults of what is to be brought in, gathered so that all of them are told at once."""

from __future__ import annotations

import re

from tui.jobs.faults import printable
from tui.store.trouble import StoreTrouble

_KEY = re.compile(r"\bW\b")
_USUAL = "a place that can be read and written is accepted"


def off_the_bench(trouble: StoreTrouble) -> str:
    """Return a trouble as a line without the key that saves to a file from the bench."""
    accepted = "; ".join(part for part in trouble.accepted.split("; ") if not _KEY.search(part))
    return f"{trouble.what}; {accepted or _USUAL}"


class Unimportable(Exception):
    """What cannot be brought in: one line for every fault."""

    def __init__(self, lines: tuple[str, ...]) -> None:
        """Keep the lines."""
        self.lines = tuple(map(printable, lines))
        super().__init__("\n".join(self.lines))


class Faults:
    """The faults found so far."""

    def __init__(self) -> None:
        """Begin with none."""
        self._lines: list[str] = []

    def add(self, place: str, what: str, accepted: str) -> None:
        """Note what is wrong at a place and what is accepted there."""
        self._lines.append(f"{place}: {what}; {accepted}")

    def stop(self) -> None:
        """Raise `Unimportable` where there are any."""
        if self._lines:
            raise Unimportable(tuple(self._lines))
