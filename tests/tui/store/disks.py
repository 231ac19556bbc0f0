"""Small disks that fill up or lose the right to write, mounted for a test."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

_PIECE = b"\0" * 4096


class SmallDisk:
    """A disk of a given size in a folder; it is gone when it is taken away."""

    def __init__(self, folder: Path, size: str) -> None:
        """Mount it, or skip the test where that is not allowed."""
        self.folder = folder
        self._ballast = folder / "ballast"
        folder.mkdir()
        mounted = subprocess.run(
            ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(folder)], capture_output=True
        )
        if mounted.returncode != 0:
            pytest.skip("a disk cannot be mounted here")

    def fill(self, but: int = 0) -> None:
        """Leave so many pieces of 4096 bytes of room."""
        with self._ballast.open("ab", buffering=0) as ballast:
            try:
                while ballast.write(_PIECE):
                    pass
            except OSError:
                ballast.truncate(max(0, ballast.tell() - but * len(_PIECE)))

    def make_room(self) -> None:
        """Throw the ballast out."""
        self._ballast.unlink()

    def close_for_writing(self) -> None:
        """Let nobody write any more, whoever it is."""
        subprocess.run(["mount", "-o", "remount,ro", str(self.folder)], check=True)

    def take_away(self) -> None:
        """Unmount it."""
        subprocess.run(["umount", "-l", str(self.folder)], check=True)
