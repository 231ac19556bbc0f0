"""Which file system a folder is on: some share files between machines, and lock them badly."""

from __future__ import annotations

from pathlib import Path

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
