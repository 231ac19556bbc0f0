"""Drafts of unsaved jobs: where they are kept, the locks of living sessions, and what dead ones left."""

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
from dataclasses import dataclass, replace
from functools import partial
from itertools import count
from operator import attrgetter
from pathlib import Path
from threading import Condition, Thread
from typing import IO, NamedTuple

from tui.job.files import replace_file
from tui.job.job import Job, renewed
from tui.job.tree import Tree, thaw
from tui.saying import printable

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


def held(lock: IO[bytes]) -> IO[bytes]:
    """Hold an open lock; else close it and raise OSError, also where this file system knows no locks."""
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
"""Where a job lives in the records: texts and whole numbers that only the records understand."""

_REASONS = {
    errno.ENOSPC: "disk full",
    errno.EDQUOT: "disk quota used up",
    errno.EROFS: "disk read-only",
    errno.EACCES: "no permission for the folder",
    errno.EPERM: "no permission for the folder",
}


class Kept(NamedTuple):
    """Where a draft is kept, None if it could not be, and in words why not in the first place."""

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
        """Keep a job that came from `file` and `entry`, if any, in the first place that takes it."""
        # Of two copies the later one counts, also where the clock was set back between them.
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
        # Not forced onto the disk: it must survive this process, and every keystroke waits for it.
        replace_file(self._path(place), data, sync=False, private=True)

    def _path(self, place: Place) -> Path:
        return place.folder / self._name

    def discard(self) -> None:
        """Remove the draft: its job is saved, or the session ends as its owner wants."""
        self._remove(list(self._locks))

    def _remove(self, places: Sequence[Place]) -> None:
        for place in places:
            path = self._path(place)
            with suppress(OSError):
                path.unlink(missing_ok=True)
                # A draft that cannot be removed stays this session's as long as it lives.
                lock_of(path).unlink(missing_ok=True)
                self._locks.pop(place).close()

    def leave_behind(self) -> None:
        """Let go of the draft and keep it for a later session: this one ends without its owner's word."""
        while self._locks:
            self._locks.popitem()[1].close()


BRIEFLY = 0.05
"""Longest time for which a key waits for a disk [s]; one that took longer is not waited for again."""


class _Step(NamedTuple):
    """Something to do about a draft: when it was asked for, and whether it keeps a job."""

    asked_at: float
    do: Callable[[], Kept | None]
    keeps: bool


class DraftThread:
    """The draft of this session in a thread of its own, so that a disk that hangs holds up no key.

    What is asked for is done in order; of jobs to keep that wait only the newest is kept.
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
        """What became of the job that was kept last."""

    @property
    def waiting(self) -> float | None:
        """How long something that was asked for is not done yet [s], None where all is done."""
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
        """Wait for all that was asked for, at most some seconds; return whether it is done."""
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
    """Do something that may wait for a disk in a thread; return whether it was done in some seconds."""
    thread = Thread(target=work, daemon=True)
    thread.start()
    thread.join(seconds)
    return not thread.is_alive()


def _absolute(file: Path) -> str:
    with suppress(OSError, RuntimeError):
        return str(file.resolve())
    return str(file)


DAMAGED = ".damaged"
"""Ending of a draft that cannot be read: it is moved aside under it."""


@dataclass(frozen=True, slots=True)
class Abandoned:
    """A draft of a dead session: its job, the file and the entry it came from if any, and when it was kept.

    `kept_at` is in seconds since the epoch; `paths` are the draft itself and older copies of it.
    """

    job: Job
    file: Path | None
    entry: Entry | None
    kept_at: float
    paths: tuple[Path, ...]


class Found(NamedTuple):
    """Drafts of dead sessions, the newest first, and the files that should be drafts and cannot be read."""

    drafts: tuple[Abandoned, ...]
    damaged: tuple[Path, ...]


def abandoned_drafts(places: Sequence[Place] | None = None) -> Found:
    """Find what dead sessions left; what is damaged is moved aside, under the path that is returned."""
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
    # A draft may have been kept in one place after the other.
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
    # Drafts of earlier versions know neither entry nor time.
    kept_at = float(kept.get("kept_at") or path.stat().st_mtime)
    entry = kept.get("entry")
    # What is no entry costs nobody the job beside it.
    if not isinstance(entry, dict) or not all(isinstance(part, str | int) for part in entry.values()):
        entry = None
    return Abandoned(Job(renewed(Tree(kept["job"]))), file, entry, kept_at, (path,))


def _moved_aside(path: Path) -> Path:
    """Return the path of a damaged draft once it is moved aside, its own where it cannot be moved."""
    names = (path.with_name(f"{path.stem}{number or ''}{DAMAGED}") for number in count())
    aside = next(name for name in names if not name.exists())
    with suppress(OSError):
        path.rename(aside)
        lock_of(path).unlink(missing_ok=True)
    return aside if aside.exists() else path


def claim(draft: Abandoned) -> ExitStack | None:
    """Return the hold on a draft, to be closed at last; None where another session has it now."""
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
    """Remove a draft of a dead session, once its job is kept elsewhere or not wanted."""
    for path in draft.paths:
        with suppress(OSError):
            half_written = list(path.parent.glob(f".{path.name}.*"))
            for one in (path, lock_of(path), *half_written):
                one.unlink(missing_ok=True)
