"""Quarantine: a damaged file is renamed, never while another session has it open."""

from __future__ import annotations

import shlex
import time
from contextlib import suppress
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from typing import IO

from tui.store.engines import ENDINGS, PATIENCE
from tui.store.trouble import Damaged, StoreTrouble

_AGAIN = 0.02
"""Time between two attempts at a lock [s]."""


class FileLock:
    """A lock on the file of the records while it is open here: nobody else can quarantine it.

    The system releases it when a session dies. Where there is no locking, as in a folder that cannot be
    written, it locks nothing.
    """

    def __init__(self, path: Path) -> None:
        """Take the lock, shared; raises `StoreTrouble` where another session has it exclusively."""
        self._lock: IO[bytes] | None = None
        for mode in ("ab", "rb"):  # the lock file of another user is locked without being written
            with suppress(OSError):
                self._lock = path.with_name(f"{path.name}.lock").open(mode)
                break
        try:
            self.shared()
        except StoreTrouble:
            self.release()
            raise

    def alone(self) -> bool:
        """Make the lock exclusive; return whether no other session has the file open."""
        try:
            self._flock(shared=False)
        except OSError:
            return False
        return True

    def shared(self) -> None:
        """Make the lock shared again."""
        until = time.monotonic() + PATIENCE
        while True:
            try:
                return self._flock(shared=True)
            except BlockingIOError as busy:  # another session is renaming a damaged file
                if time.monotonic() > until:
                    raise StoreTrouble("another session keeps the records for itself", "try again") from busy
                time.sleep(_AGAIN)
            except OSError:
                return None

    def release(self) -> None:
        """Release the lock."""
        lock, self._lock = self._lock, None
        if lock is not None:
            lock.close()

    def _flock(self, *, shared: bool) -> None:
        try:
            import fcntl
        except ImportError:  # Windows refuses to rename an open file, which protects it as well
            return
        if self._lock is not None:
            fcntl.flock(self._lock.fileno(), (fcntl.LOCK_SH if shared else fcntl.LOCK_EX) | fcntl.LOCK_NB)


def quarantine(path: Path, why: Damaged, last_backup: Path | None) -> str:
    """Rename a damaged file with its log and journal, and return a message with its new name.

    Raises `Damaged` where it cannot be renamed. No other session may have it open.
    """
    stem = f"{path.stem}.damaged-{datetime.now(UTC):%Y%m%d-%H%M%S}"
    numbers = (f"-{number}" if number > 1 else "" for number in count(1))
    names = (path.with_name(f"{stem}{number}{path.suffix}") for number in numbers)
    target = next(name for name in names if not any(_file(name, end).exists() for end in ENDINGS))
    try:
        moved = [_file(path, end).rename(_file(target, end)) for end in ENDINGS if _file(path, end).exists()]
    except OSError as error:
        raise Damaged(
            why.what, f"it cannot be moved aside ({error.strerror}); nothing was changed"
        ) from error
    told = f"{why.what[:1].upper()}{why.what[1:]}. The file is kept as {moved[0]}, and new records are begun."
    if last_backup is None:
        return told
    command = f"springwright store import {shlex.quote(str(last_backup))}"
    return f"{told} {command} brings back the last backup."


def _file(path: Path, ending: str) -> Path:
    return path.with_name(path.name + ending)
