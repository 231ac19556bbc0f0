"""A damaged file moved out of the way whole, and never from under a session that has it open."""

from __future__ import annotations

import shlex
import time
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import IO

from tui.store.engines import BESIDE, PATIENCE
from tui.store.trouble import Damaged, StoreTrouble

_AGAIN = 0.02
"""How long until a hold is asked for once more [s]."""


class FileLock:
    """A hold on the file as long as it is open here: nobody moves it aside meanwhile.

    The system lets go of it when a session dies. Where there is no locking, as in a folder that cannot be
    written, it holds nothing.
    """

    def __init__(self, path: Path) -> None:
        """Hold the file together with other sessions; raises `StoreTrouble` where one keeps it for itself."""
        self._lock = _lock_file(path.with_name(f"{path.name}.lock"))
        try:
            self.shared()
        except StoreTrouble:
            self.release()
            raise

    def alone(self) -> bool:
        """Take the file for this session alone; return whether nobody else has it open."""
        if self._lock is None:
            return True
        try:
            _flock(self._lock, shared=False)
        except OSError:
            return False
        return True

    def shared(self) -> None:
        """Let others in again."""
        if self._lock is None:
            return
        until = time.monotonic() + PATIENCE
        while True:
            try:
                return _flock(self._lock, shared=True)
            except BlockingIOError as busy:  # a damaged file is being moved, which takes a moment
                if time.monotonic() > until:
                    raise StoreTrouble("another session keeps the records for itself", "try again") from busy
                time.sleep(_AGAIN)
            except OSError:
                return None

    def release(self) -> None:
        """Let go."""
        lock, self._lock = self._lock, None
        if lock is not None:
            lock.close()


def _lock_file(path: Path) -> IO[bytes] | None:
    for mode in ("ab", "rb"):  # another person's can be held without being written
        with suppress(OSError):
            return path.open(mode)
    return None


def _flock(lock: IO[bytes], *, shared: bool) -> None:
    try:
        import fcntl
    except ImportError:  # Windows refuses to rename what is open, which is the same hold
        return
    fcntl.flock(lock.fileno(), (fcntl.LOCK_SH if shared else fcntl.LOCK_EX) | fcntl.LOCK_NB)


def move_aside(path: Path, why: Damaged, last_backup: Path | None) -> str:
    """Move a damaged file and what belongs to it out of the way, and say where it is now.

    Raises `Damaged` where it cannot be moved. Nobody else may have it open.
    """
    aside = _free_name(path)
    try:
        moved = [aside.with_name(aside.name + end) for end in ("", *BESIDE) if _moved(path, aside, end)]
    except OSError as error:
        raise Damaged(
            why.what, f"it cannot be moved aside ({error.strerror}); nothing was changed"
        ) from error
    told = f"{why.what[:1].upper()}{why.what[1:]}. The file is kept as {moved[0]}, and new records are begun."
    if last_backup is None:
        return told
    command = f"springwright store import {shlex.quote(str(last_backup))}"
    return f"{told} {command} brings back the last backup."


def _moved(path: Path, aside: Path, ending: str) -> bool:
    with suppress(FileNotFoundError):
        path.with_name(path.name + ending).rename(aside.with_name(aside.name + ending))
        return True
    return False


def _free_name(path: Path) -> Path:
    stem = f"{path.stem}.damaged-{datetime.now(UTC):%Y%m%d-%H%M%S}"
    names = (
        path.with_name(f"{stem}{extra}{path.suffix}") for extra in ("", *(f"-{n}" for n in range(2, 1000)))
    )
    return next(name for name in names if not _is_taken(name))


def _is_taken(name: Path) -> bool:
    return any(name.with_name(name.name + ending).exists() for ending in ("", *BESIDE))
