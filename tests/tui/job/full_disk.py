"""Disks that are full, for tests."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from tui.job import drafts as draft
from tui.job.files import replace_file


def no_room(monkeypatch: pytest.MonkeyPatch, *folders: Path) -> None:
    """Let no draft be written in some folders."""

    def replace_or_fail(path: Path, data: bytes, **how: bool) -> None:
        if path.parent in folders:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        replace_file(path, data, **how)

    monkeypatch.setattr(draft, "replace_file", replace_or_fail)
