"""Files of the records hold customers' names: they are made for their owner alone."""

from __future__ import annotations

import os
import stat
from pathlib import Path


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
