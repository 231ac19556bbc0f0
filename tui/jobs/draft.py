"""The draft of a session: what was typed and not saved, kept so that a dropped line loses nothing.

Each session owns one draft and holds a lock beside it as long as it lives; a draft whose lock nobody
holds was left by a session that died. Nothing here ever raises for a home that cannot be written.
"""

from __future__ import annotations

import json
import os
import secrets
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from tui.jobs.atomic import replace_file
from tui.jobs.job import Job
from tui.jobs.tree import Table, thaw


@dataclass(frozen=True, slots=True)
class Abandoned:
    """A draft of a dead session: its job, the file it was opened from if any, and when it was kept.

    `kept_at` is in seconds since the epoch; `path` is the draft itself.
    """

    job: Job
    file: Path | None
    kept_at: float
    path: Path


class Draft:
    """The draft of this session."""

    def __init__(self, folder: Path | None = None) -> None:
        """Choose a name; nothing is written before there is something to keep."""
        self._folder = folder or drafts_folder()
        self._path = self._folder / f"{os.getpid()}-{secrets.token_hex(4)}.json"
        self._lock: IO[bytes] | None = None

    def keep(self, job: Job, file: Path | None) -> bool:
        """Keep a job that came from `file` if any; return whether it could be written."""
        try:
            if self._lock is None:
                self._lock = self._hold_lock()
            kept = {"file": None if file is None else str(file.resolve()), "job": thaw(job.tree)}
            # Not forced onto the disk: it must survive this process, and every keystroke waits for it.
            replace_file(self._path, json.dumps(kept, default=str).encode(), sync=False)
        except (OSError, ValueError):
            return False
        return True

    def discard(self) -> None:
        """Remove the draft: its job is saved, or the session ends as its owner wants."""
        lock, self._lock = self._lock, None
        for path in (self._path, _lock_of(self._path)):
            with suppress(OSError):
                path.unlink(missing_ok=True)
        if lock is not None:
            lock.close()

    def leave_behind(self) -> None:
        """Let go of the draft and keep it for a later session: this one ends without its owner's word."""
        lock, self._lock = self._lock, None
        if lock is not None:
            lock.close()

    def _hold_lock(self) -> IO[bytes]:
        self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        lock = _lock_of(self._path).open("wb")
        _try_lock(lock)
        return lock


def drafts_folder() -> Path:
    """Return where drafts are kept: the state folder of this user."""
    from platformdirs import user_state_path

    return user_state_path("springwright") / "drafts"


def abandoned_drafts(folder: Path | None = None) -> tuple[Abandoned, ...]:
    """Return the drafts of dead sessions, the newest first; damaged ones are left where they are."""
    found = []
    with suppress(OSError):
        for path in (folder or drafts_folder()).glob("*.json"):
            if _is_free(_lock_of(path)) and (draft := _read(path)) is not None:
                found.append(draft)
    return tuple(sorted(found, key=lambda draft: draft.kept_at, reverse=True))


def forget(draft: Abandoned) -> None:
    """Remove a draft of a dead session, once its job is kept elsewhere or not wanted."""
    for path in (draft.path, _lock_of(draft.path)):
        with suppress(OSError):
            path.unlink(missing_ok=True)


def _lock_of(path: Path) -> Path:
    return path.with_suffix(".lock")


def _read(path: Path) -> Abandoned | None:
    with suppress(OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        kept = json.loads(path.read_text("utf-8"))
        file = None if kept["file"] is None else Path(kept["file"])
        return Abandoned(Job(Table(kept["job"])), file, path.stat().st_mtime, path)
    return None


def _is_free(path: Path) -> bool:
    try:
        with path.open("r+b") as lock:
            return _try_lock(lock)
    except FileNotFoundError:
        return True
    except OSError:
        return False


def _try_lock(lock: IO[bytes]) -> bool:
    """Take a lock that the system gives back when its process ends, however it ends."""
    taking = _locker()
    try:
        taking(lock.fileno())
    except OSError:
        return False
    return True


def _locker() -> Callable[[int], None]:
    try:
        import fcntl
    except ImportError:
        import msvcrt

        return lambda number: msvcrt.locking(number, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
    return lambda number: fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
