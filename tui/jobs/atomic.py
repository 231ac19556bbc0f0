"""Writing a file so that whoever reads it sees the old one or the new one, never half of either."""

from __future__ import annotations

import os
import tempfile
from contextlib import suppress
from pathlib import Path


def replace_file(path: Path, data: bytes, *, sync: bool = True) -> None:
    """Write `data` beside `path` and put it in its place; raises OSError and then leaves the old file.

    A symbolic link is followed, so that the file it names is replaced and not the link. Permissions
    (and the owner, where that is allowed) are kept; a new file gets the ones the shell would give it.
    """
    target = path.resolve()
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:80]}.")
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            if sync:
                os.fsync(file.fileno())
        _like_before(beside, target)
        beside.replace(target)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    if sync:
        sync_folder(target.parent)


def _like_before(beside: Path, target: Path) -> None:
    try:
        before = target.stat()
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        beside.chmod(0o666 & ~mask)
        return
    if hasattr(os, "chown"):
        with suppress(OSError):
            os.chown(beside, before.st_uid, before.st_gid)
    beside.chmod(before.st_mode & 0o7777)


def sync_folder(folder: Path) -> None:
    """Put a new name itself on the disk, which it is only once its folder is; not every disk can."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
