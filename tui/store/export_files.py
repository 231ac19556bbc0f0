"""Files of an export opened: a device or a pipe that came with it would be read without end."""

from __future__ import annotations

import errno
from pathlib import Path
from typing import BinaryIO

_LARGEST = 10_000_000
"""Largest text taken [bytes]."""


def opened(path: Path) -> BinaryIO:
    """Open a file to be read; raises OSError, also for what is there and no file."""
    if path.exists() and not path.is_file():
        raise OSError(errno.EINVAL, "it is no file")
    return path.open("rb")


def whole_text(path: Path) -> str:
    """Return the text of a file exactly; raises OSError, and `UnicodeDecodeError` where it is none."""
    with opened(path) as file:
        data = file.read(_LARGEST + 1)
    if len(data) > _LARGEST:
        raise OSError(errno.EFBIG, f"larger than {_LARGEST // 10**6} MB")
    return data.decode()
