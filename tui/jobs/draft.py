"""The draft of a session: what was typed and not saved, kept so that a dropped line loses nothing.

Each session owns one draft and holds a lock beside it as long as it lives; a draft whose lock nobody
holds was left by a session that died. Nothing here ever raises for a folder that cannot be written.
"""

from __future__ import annotations

import errno
import json
import os
import secrets
import time
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import IO, NamedTuple

from tui.jobs.atomic import replace_file
from tui.jobs.draft_places import Place, draft_places, lock_of, new_lock
from tui.jobs.job import Job
from tui.jobs.tree import thaw

Entry = Mapping[str, str | int]
"""Where a job lives in the records: texts and whole numbers that only the records understand."""

_REASONS = {
    errno.ENOSPC: "disk full",
    errno.EDQUOT: "no room left for this user",
    errno.EROFS: "disk read-only",
    errno.EACCES: "folder not open to this user",
    errno.EPERM: "folder not open to this user",
}


class Kept(NamedTuple):
    """Where a draft is kept, None where it could not be, and in words why not in the first place."""

    folder: Path | None
    why: str = ""


class Draft:
    """The draft of this session."""

    def __init__(self, places: Sequence[Place] | None = None) -> None:
        """Choose a name; nothing is written before there is something to keep."""
        self._places = tuple(places or draft_places())
        self._name = f"{os.getpid()}-{secrets.token_hex(4)}.json"
        self._locks: dict[Place, IO[bytes]] = {}

    def keep(self, job: Job, file: Path | None, entry: Entry | None = None) -> Kept:
        """Keep a job that came from `file` and `entry`, if any, in the first place that takes it."""
        kept = {
            "file": None if file is None else _absolute(file),
            "entry": None if entry is None else dict(entry),
            "kept_at": time.time(),
            "job": thaw(job.tree),
        }
        data = json.dumps(kept, default=str).encode()
        why = ""
        for place in self._places:
            try:
                self._write(place, data)
            except OSError as trouble:
                why = why or _reason(trouble)
            else:
                self._remove([other for other in self._locks if other != place])
                return Kept(place.folder, why)
        return Kept(None, why)

    def _write(self, place: Place, data: bytes) -> None:
        place.make()
        if place not in self._locks:
            self._locks[place] = new_lock(lock_of(self._path(place)))
        # Not forced onto the disk: it must survive this process, and every keystroke waits for it.
        replace_file(self._path(place), data, sync=False)

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


def _absolute(file: Path) -> str:
    with suppress(OSError, RuntimeError):
        return str(file.resolve())
    return str(file)


def _reason(trouble: OSError) -> str:
    return _REASONS.get(trouble.errno or 0) or (trouble.strerror or str(trouble)).lower()
