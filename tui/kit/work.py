"""What a view works out beside the screen, and what came of it."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import NamedTuple

Told = Callable[[float], None]


class Task(NamedTuple):
    """Work that takes longer than a frame: `key` says what it is about, `work` hears its own progress."""

    key: Hashable
    work: Callable[[Told], object]


@dataclass(frozen=True, slots=True, eq=False)
class Worked:
    """What was `found` last and what `key` it is about; of `asked`, under way, a `share` is done."""

    key: Hashable = None
    found: object = None
    asked: Hashable = None
    share: float = 0.0

    def towards(self, key: Hashable, share: float) -> Worked:
        """Return this with the share of something under way."""
        return Worked(self.key, self.found, key, share)


NOTHING_YET = Worked()


class Stopped(Exception):
    """The work is no longer wanted."""
