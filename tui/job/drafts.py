"""Drafts of unsaved jobs: their folders, locks of running sessions, and drafts of ended ones."""

from __future__ import annotations

import errno
import json
import os
import secrets
import stat
import time
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from contextlib import ExitStack, suppress
from dataclasses import replace
from functools import partial
from itertools import count
from operator import attrgetter
from pathlib import Path
from threading import Condition, Thread
from typing import IO

from physics.frozen import NamedTuple, dataclass
from tui.job.files import real_path, replace_file
from tui.job.job import Job, renewed
from tui.job.tree import Tree, thaw
from tui.saying import printable

_ONLY_READ = (errno.EACCES, errno.EPERM, errno.EROFS)


@dataclass(frozen=True, slots=True)
class Place:
    """A folder for drafts; `among_others`: its parent is writable by everybody, so its owner is checked."""

    folder: Path
    among_others: bool = False

    def make(self) -> None:
        """Make the folder; raises OSError if that fails, or if an existing one is not ours."""
        self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if not self.is_ours():
            raise PermissionError(errno.EACCES, "a folder that others can use", str(self.folder))

    def is_ours(self) -> bool:
        """Return whether only this user can write or read here."""
        if not self.among_others or not hasattr(os, "getuid"):
            return True
        found = self.folder.lstat()
        private = found.st_uid == os.getuid() and not stat.S_IMODE(found.st_mode) & 0o077
        return private and stat.S_ISDIR(found.st_mode)


def draft_places() -> tuple[Place, ...]:
    """Return the folders for drafts: the user's state folder, and a second one in case that fails.

    The second is not the runtime folder: the system removes that when the last login ends, as after a dropped
    connection.
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


def held(lock: IO[bytes]) -> IO[bytes]:
    """Lock an open file; else close it and raise OSError, also on file systems without locks."""
    try:
        _locker()(lock.fileno())
    except OSError:
        lock.close()
        raise
    return lock


def free_lock(path: Path) -> IO[bytes] | None:
    """Take the lock of an ended session; None while the session is running.

    The system releases a lock when its process ends, however it ends. Raises FileNotFoundError if there is no
    lock file.
    """
    try:
        return held(_opened(path))
    except FileNotFoundError:
        raise
    except OSError:
        return None


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


Entry = Mapping[str, str | int]
"""Place of a job in the records: texts and whole numbers with meaning to the records only."""

_REASONS = {
    errno.ENOSPC: "disk full",
    errno.EDQUOT: "disk quota used up",
    errno.EROFS: "disk read-only",
    errno.EACCES: "no permission for the folder",
    errno.EPERM: "no permission for the folder",
}


class Kept(NamedTuple):
    """Folder of a draft, None if it could not be written, and why the preferred folder failed, in words."""

    folder: Path | None
    why: str = ""


class Draft:
    """The draft of this session."""

    def __init__(self, places: Sequence[Place] | None = None) -> None:
        """Choose a name; nothing is written before there is something to keep."""
        self._places = tuple(places or draft_places())
        self._name = f"{os.getpid()}-{secrets.token_hex(4)}.json"
        self._locks: dict[Place, IO[bytes]] = {}
        self._kept_at = 0.0

    def keep(self, job: Job, file: Path | None, entry: Entry | None = None) -> Kept:
        """Write a draft of a job from `file` and `entry`, if any, to the first folder that works."""
        # The later of two copies counts, even if the clock was set back between them.
        self._kept_at = max(time.time(), self._kept_at + 0.001)
        kept = {
            "file": None if file is None else _absolute(file),
            "entry": None if entry is None else dict(entry),
            "kept_at": self._kept_at,
            "job": thaw(job.tree),
        }
        data = json.dumps(kept, default=str).encode()
        why = ""
        for place in self._places:
            try:
                self._write(place, data)
            except OSError as trouble:
                reason = _REASONS.get(trouble.errno or 0) or (trouble.strerror or str(trouble)).lower()
                why = why or reason
            else:
                self._remove([other for other in self._locks if other != place])
                return Kept(place.folder, why)
        return Kept(None, why)

    def _write(self, place: Place, data: bytes) -> None:
        place.make()
        if place not in self._locks:
            self._locks[place] = held(lock_of(self._path(place)).open("wb"))
        # No fsync: the draft must survive the process, not the machine, and it is written for every key.
        replace_file(self._path(place), data, sync=False, private=True)

    def _path(self, place: Place) -> Path:
        return place.folder / self._name

    def discard(self) -> None:
        """Remove the draft: its job is saved, or the changes are discarded."""
        self._remove(list(self._locks))

    def _remove(self, places: Sequence[Place]) -> None:
        for place in places:
            path = self._path(place)
            with suppress(OSError):
                path.unlink(missing_ok=True)
                # A draft that cannot be removed stays locked while this session runs.
                lock_of(path).unlink(missing_ok=True)
                self._locks.pop(place).close()

    def leave_behind(self) -> None:
        """Release the draft's lock but keep the draft: the session ends without a decision."""
        while self._locks:
            self._locks.popitem()[1].close()


BRIEFLY = 0.05
"""Longest time a key waits for a disk [s]; a disk that took longer is not waited for again."""


class _Step(NamedTuple):
    """A queued operation on a draft: when it was requested, and whether it writes a job."""

    asked_at: float
    do: Callable[[], Kept | None]
    keeps: bool


class DraftThread:
    """The draft of this session in its own thread, so that a hanging disk delays no key.

    Operations are done in order; of several queued jobs only the newest is written.
    """

    def __init__(self, places: Sequence[Place] | None = None) -> None:
        """Choose a name; nothing is written before there is something to keep."""
        self._draft = Draft(places)
        self._steps: deque[_Step] = deque()
        self._changed = Condition()
        self._runs = False
        self._is_slow = False
        self._since: float | None = None
        self.kept: Kept | None = None
        """Result of the last write."""

    @property
    def waiting(self) -> float | None:
        """Age of the oldest pending operation [s], None if none is pending."""
        since = self._since
        return None if since is None else time.monotonic() - since

    def keep(self, job: Job, file: Path | None, entry: Entry | None = None) -> None:
        """Keep a job as `Draft.keep` does."""
        self._send(partial(self._draft.keep, job, file, entry), keeps=True)

    def discard(self) -> None:
        """Remove the draft as `Draft.discard` does."""
        self._send(self._draft.discard)

    def leave_behind(self) -> None:
        """Let go of the draft as `Draft.leave_behind` does."""
        self._send(self._draft.leave_behind)

    def wait(self, seconds: float) -> bool:
        """Wait for pending operations, at most some seconds; return whether all are done."""
        with self._changed:
            return self._changed.wait_for(lambda: self._since is None, seconds)

    def _send(self, do: Callable[[], Kept | None], *, keeps: bool = False) -> None:
        with self._changed:
            asked_at = time.monotonic()
            if keeps and self._steps and self._steps[-1].keeps:
                asked_at = self._steps.pop().asked_at
            self._steps.append(_Step(asked_at, do, keeps))
            self._since = self._since or asked_at
            if not self._runs:
                self._runs = True
                Thread(target=self._run, daemon=True, name="draft").start()
            if not self._is_slow:
                self._is_slow = not self._changed.wait_for(lambda: self._since is None, BRIEFLY)

    def _run(self) -> None:
        while True:
            with self._changed:
                if not self._steps:
                    self._runs, self._since = False, None
                    self._changed.notify_all()
                    return
                step = self._steps.popleft()
                self._since = step.asked_at
            began = time.monotonic()
            try:
                found = step.do()
            except Exception as trouble:  # what no disk is to blame for costs nobody the thread
                found = Kept(None, printable(str(trouble)))
            with self._changed:
                self._is_slow = time.monotonic() - began > BRIEFLY
                self.kept = found if step.keeps else self.kept


def done_within(seconds: float, work: Callable[[], object]) -> bool:
    """Do work that may wait for a disk in a thread; return whether it finished within some seconds."""
    thread = Thread(target=work, daemon=True)
    thread.start()
    thread.join(seconds)
    return not thread.is_alive()


def _absolute(file: Path) -> str:
    with suppress(OSError):
        return str(real_path(file))
    return str(file)


DAMAGED = ".damaged"
"""Ending under which an unreadable draft is put aside."""


@dataclass(frozen=True, slots=True)
class Abandoned:
    """A draft of an ended session: its job, the file and entry it came from, if any, and when it was kept.

    `kept_at` is in seconds since the epoch; `paths` are the draft itself and older copies of it.
    """

    job: Job
    file: Path | None
    entry: Entry | None
    kept_at: float
    paths: tuple[Path, ...]


class Found(NamedTuple):
    """Drafts of ended sessions, the newest first, and draft files that cannot be read."""

    drafts: tuple[Abandoned, ...]
    damaged: tuple[Path, ...]


def abandoned_drafts(places: Sequence[Place] | None = None) -> Found:
    """Return the drafts of ended sessions; damaged ones are renamed, and their new paths returned."""
    drafts: dict[str, list[Abandoned]] = {}
    damaged: list[Path] = []
    for path in _free_paths(places or draft_places()):
        try:
            draft = _read(path)
        except FileNotFoundError:  # another session has it by now
            continue
        except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
            damaged.append(_moved_aside(path))
        else:
            drafts.setdefault(path.name, []).append(draft)
    # A draft may have copies in both folders.
    newest = []
    for copies in drafts.values():
        paths = tuple(path for draft in copies for path in draft.paths)
        newest.append(replace(max(copies, key=attrgetter("kept_at")), paths=paths))
    return Found(tuple(sorted(newest, key=attrgetter("kept_at"), reverse=True)), tuple(damaged))


def _free_paths(places: Sequence[Place]) -> list[Path]:
    found: list[Path] = []
    for place in places:
        with suppress(OSError):
            if place.is_ours():
                found += filter(_is_free, sorted(place.folder.glob("*.json")))
    return found


def _is_free(path: Path) -> bool:
    try:
        lock = free_lock(lock_of(path))
    except FileNotFoundError:
        return True
    if lock is not None:
        lock.close()
    return lock is not None


def _read(path: Path) -> Abandoned:
    kept = json.loads(path.read_text("utf-8"))
    file = None if kept["file"] is None else Path(kept["file"])
    # Drafts of earlier versions have neither entry nor time.
    kept_at = float(kept.get("kept_at") or path.stat().st_mtime)
    entry = kept.get("entry")
    # An invalid entry is ignored: the job is still good.
    if not isinstance(entry, dict) or not all(isinstance(part, str | int) for part in entry.values()):
        entry = None
    return Abandoned(Job(renewed(Tree(kept["job"]))), file, entry, kept_at, (path,))


def _moved_aside(path: Path) -> Path:
    """Rename a damaged draft and return its new path, the old one if it cannot be renamed."""
    names = (path.with_name(f"{path.stem}{number or ''}{DAMAGED}") for number in count())
    aside = next(name for name in names if not name.exists())
    with suppress(OSError):
        path.rename(aside)
        lock_of(path).unlink(missing_ok=True)
    return aside if aside.exists() else path


def claim(draft: Abandoned) -> ExitStack | None:
    """Return the locks on a draft, to be closed at the end; None if another session has it now."""
    with ExitStack() as held:
        for path in draft.paths:
            with suppress(FileNotFoundError):
                lock = free_lock(lock_of(path))
                if lock is None:
                    return None
                held.enter_context(lock)
                if not path.exists():
                    return None
        return held.pop_all()


def forget(draft: Abandoned) -> None:
    """Remove a draft of an ended session whose job is kept elsewhere or discarded."""
    for path in draft.paths:
        with suppress(OSError):
            half_written = list(path.parent.glob(f".{path.name}.*"))
            for one in (path, lock_of(path), *half_written):
                one.unlink(missing_ok=True)
