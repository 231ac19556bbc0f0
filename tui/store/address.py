"""Where the records are: one file of this user, a file that is shared, or a server."""

from __future__ import annotations

import os
import stat
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

VARIABLE = "SPRINGWRIGHT_STORE"
"""Names the records in the environment, for all who share them."""
SERVER = ("postgresql://", "postgres://")
_FILE = "records.sqlite"


@dataclass(frozen=True, slots=True)
class StoreAddress:
    """A file, or the address of a server: one of the two."""

    file: Path | None = None
    server: str = ""

    def __str__(self) -> str:
        """Name it as a person may see it: an address without its password."""
        if self.file is not None:
            return str(self.file)
        scheme, _, rest = self.server.partition("://")
        before, _, host = rest.rpartition("@")
        # A password may hold any sign; a user never holds these.
        user = before.partition(":")[0]
        if not before or "/" in user or "?" in user:
            user, host = "", rest.removeprefix("@")
        return f"{scheme}://{user}{'@' if user else ''}{host.partition('?')[0]}"

    @property
    def backups(self) -> Path:
        """The folder of its backups; those of a server are kept on this machine."""
        return (self.file.parent if self.file is not None else data_folder()) / "backups"


def place_of(text: str) -> StoreAddress:
    """Return the place that a text names: the address of a server, else the path of a file."""
    if text.startswith(SERVER):
        return StoreAddress(server=text)
    path = Path(text)
    with suppress(RuntimeError):  # the home of nobody: then the sign stands for itself, as in a shell
        path = path.expanduser()
    return StoreAddress(path.absolute())


def chosen_place(asked: str | None, environ: Mapping[str, str], settings: str = "") -> StoreAddress:
    """Return the records of the command line, the environment or the settings, else this user's own."""
    named = next(filter(None, (asked, environ.get(VARIABLE), settings)), None)
    return place_of(named) if named else StoreAddress(data_folder() / _FILE)


def data_folder() -> Path:
    """Return the folder of this program's data for this user."""
    from platformdirs import user_data_path

    return user_data_path("springwright")


_MOUNTS = Path("/proc/self/mounts")
_SHARED = (
    "nfs",
    "cifs",
    "smb",
    "afs",
    "9p",
    "ncp",
    "fuse.sshfs",
    "fuse.rclone",
    "fuse.gluster",
    "ceph",
    "lustre",
)
"""Beginnings of the names of file systems that other machines reach too."""


def is_on_network(path: Path, mounts: str | None = None) -> bool:
    """Return whether a path is on a file system that other machines share.

    `mounts` is the list of them as Linux writes it; where there is none nothing is known, and the answer
    is no.
    """
    if mounts is None:
        try:
            mounts = _MOUNTS.read_text("utf-8", errors="replace")
        except OSError:
            return False
    found = path.resolve()
    points = (line.split() for line in mounts.splitlines())
    kinds = {_point(fields[1]): fields[2] for fields in points if len(fields) > 2}
    above = [point for point in kinds if found == Path(point) or Path(point) in found.parents]
    nearest = max(above, key=len, default=None)
    return nearest is not None and kinds[nearest].startswith(_SHARED)


def _point(text: str) -> str:
    # Blanks in a path stand there as octal numbers.
    for code, character in (("\\040", " "), ("\\011", "\t"), ("\\134", "\\")):
        text = text.replace(code, character)
    return text


def make_file(path: Path) -> None:
    """Make an empty file for its owner alone; one that is there stays as it is."""
    _make(path, 0o600)


def make_shared_file(path: Path) -> None:
    """Make an empty file for its owner and for those with whom its folder is shared."""
    folder = path.parent.stat().st_mode
    # Where each may take out only what is his own, as in /tmp, that is no sign of sharing.
    shared = 0 if folder & stat.S_ISVTX else folder
    group = 0o060 if shared & stat.S_IWGRP else 0
    others = 0o006 if shared & stat.S_IWOTH else 0
    _make(path, 0o600 | group | others)


def _make(path: Path, mode: int) -> None:
    try:
        handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, mode)
    except FileExistsError:
        return
    try:
        if hasattr(os, "fchmod"):  # the shell would leave out the right of others to write
            os.fchmod(handle, mode)
    finally:
        os.close(handle)
