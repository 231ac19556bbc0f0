"""Where drafts are kept, and the locks that tell which session still lives."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import IO

_ONLY_READ = (errno.EACCES, errno.EPERM, errno.EROFS)


@dataclass(frozen=True, slots=True)
class Place:
    """A folder for drafts; one `among_others` lies where anybody may put things, and is looked at twice."""

    folder: Path
    among_others: bool = False

    def make(self) -> None:
        """Make the folder; raises OSError where that fails, or where the one that is there is not ours."""
        self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if not self.is_ours():
            raise PermissionError(errno.EACCES, "a folder that others can use", str(self.folder))

    def is_ours(self) -> bool:
        """Return whether what is written here, and read, can only be this user's."""
        if not self.among_others or not hasattr(os, "getuid"):
            return True
        found = self.folder.lstat()
        private = found.st_uid == os.getuid() and not stat.S_IMODE(found.st_mode) & 0o077
        return private and stat.S_ISDIR(found.st_mode)


def draft_places() -> tuple[Place, ...]:
    """Return where drafts are kept: the state folder of this user, and a second one for when that fails.

    The second is not the runtime folder: the system empties that with the last login, as on a dropped line.
    """
    from platformdirs import user_state_path

    home = Place(user_state_path("springwright") / "drafts")
    if not hasattr(os, "getuid"):
        return (home,)  # there the folder for temporary files lies beside the first, on the same disk
    temporary = Path(os.environ.get("TMPDIR") or "/tmp")
    return home, Place(temporary / f"springwright-{os.getuid()}", among_others=True)


def lock_of(draft: Path) -> Path:
    """Return the lock beside a draft."""
    return draft.with_suffix(".lock")


def new_lock(path: Path) -> IO[bytes]:
    """Make a lock and hold it; raises OSError, also where this file system knows no locks."""
    lock = path.open("wb")
    try:
        _locker()(lock.fileno())
    except OSError:
        lock.close()
        raise
    return lock


def free_lock(path: Path) -> IO[bytes] | None:
    """Return the lock of a dead session, held from now on, or None while its session lives.

    The system gives a lock back when its process ends, however it ends. Raises FileNotFoundError where
    there is no lock at all.
    """
    try:
        lock = _opened(path)
    except FileNotFoundError:
        raise
    except OSError:
        return None
    try:
        _locker()(lock.fileno())
    except OSError:
        lock.close()
        return None
    return lock


def _opened(path: Path) -> IO[bytes]:
    try:
        return path.open("r+b")
    except OSError as trouble:
        if trouble.errno not in _ONLY_READ:
            raise
    return path.open("rb")


def _locker() -> Callable[[int], None]:
    try:
        import fcntl
    except ImportError:
        import msvcrt

        return lambda number: msvcrt.locking(number, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
    return lambda number: fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
