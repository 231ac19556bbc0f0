"""What is asked of the store beside the screen: one errand after the other, in the order they were given."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from threading import Lock
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

from tui.store.trouble import StoreTrouble

if TYPE_CHECKING:
    from textual.screen import Screen

Result = TypeVar("Result")


class Errand(NamedTuple):
    """Work for a thread, and what the screen does with its result, or with the reason why there is none."""

    work: Callable[[], Any]
    then: Callable[[Any], object]
    failed: Callable[[str], object]
    is_question: bool


class Errands:
    """A line of errands with one thread to run them, so that a slow disk or server holds up no key.

    Of questions only the newest is worth its while: those still in the line when it comes are dropped.
    """

    def __init__(self, screen: Screen[Any]) -> None:
        """Start with nothing to do; `screen` is told of every result."""
        self._screen = screen
        self._line: deque[Errand] = deque()
        self._lock = Lock()
        self._running_now = False

    def send(
        self,
        work: Callable[[], Result],
        then: Callable[[Result], object],
        failed: Callable[[str], object],
        *,
        is_question: bool = False,
    ) -> None:
        """Put an errand in the line."""
        with self._lock:
            if is_question:
                self._line = deque(errand for errand in self._line if not errand.is_question)
            self._line.append(Errand(work, then, failed, is_question))
            if self._running_now:
                return
            self._running_now = True
        self._screen.run_worker(self._run, thread=True, group="errands")

    def _run(self) -> None:
        while (errand := self._next()) is not None:
            try:
                found = errand.work()
            except StoreTrouble as trouble:
                self._screen.call_later(errand.failed, str(trouble))
            else:
                self._screen.call_later(errand.then, found)

    def _next(self) -> Errand | None:
        with self._lock:
            self._running_now = bool(self._line)
            return self._line.popleft() if self._line else None
