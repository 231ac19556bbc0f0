"""Sessions in processes of their own, as on a host that several mechanics share: watched, and killed."""

from __future__ import annotations

import multiprocessing
import os
import traceback
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any, TypeAlias

PATIENCE = 60.0
"""How long a session is waited for before a test gives up [s]; it usually answers in milliseconds."""
_PROCESSES = multiprocessing.get_context("forkserver")
# A parent that has everything loaded forks them: a session then starts in milliseconds.
_PROCESSES.set_forkserver_preload(["__main__", "tests.tui.store.warm"])

Line: TypeAlias = "Connection[Any, Any]"
"""The pipe between a test and a session; what goes through it are tuples."""


class Session:
    """A process that does some work and tells of it; one that crashes fails the test."""

    def __init__(self, work: Callable[..., None], *given: object) -> None:
        """Start it: `work` gets its end of the line and what is given."""
        self._line, theirs = _PROCESSES.Pipe()
        self._process = _PROCESSES.Process(
            target=_run, args=(work, theirs, dict(os.environ), given), daemon=True
        )
        self._process.start()
        theirs.close()

    @property
    def pid(self) -> int:
        """Its number in the system."""
        assert self._process.pid is not None
        return self._process.pid

    def hear(self) -> tuple[Any, ...]:
        """Return the next thing it tells; raises `EOFError` when it is over."""
        assert self._line.poll(PATIENCE), "the session tells nothing"
        try:
            told: tuple[Any, ...] = self._line.recv()
        except ConnectionResetError as gone:
            raise EOFError from gone
        assert told[0] != "crashed", told[1]
        return told

    def say(self, word: object) -> None:
        """Tell it something."""
        self._line.send(word)

    def rest(self) -> list[tuple[Any, ...]]:
        """Return all it tells until its end."""
        told: list[tuple[Any, ...]] = []
        while not self._line.closed:
            try:
                told.append(self.hear())
            except EOFError:
                self._process.join(PATIENCE)
                self._line.close()
        return told

    def kill(self) -> list[tuple[Any, ...]]:
        """Kill it as `kill -9` does; return what it had told before and nobody had heard."""
        self._process.kill()
        return self.rest()

    @property
    def exit_code(self) -> int | None:
        """What it ended with; -9 when it was killed."""
        return self._process.exitcode


def _run(
    work: Callable[..., None], line: Line, environment: dict[str, str], given: tuple[object, ...]
) -> None:
    os.environ.update(environment)  # the parent that forks it has that of the first test
    try:
        work(line, *given)
    except BaseException:
        line.send(("crashed", traceback.format_exc()))
        raise


def all_at_once(sessions: list[Session]) -> list[list[tuple[Any, ...]]]:
    """Let sessions that say they are ready go at the same moment; return what each of them tells."""
    for session in sessions:
        assert session.hear() == ("ready",)
    for session in sessions:
        session.say("go")
    return [session.rest() for session in sessions]
