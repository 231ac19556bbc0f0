"""Home folders for tests."""

from __future__ import annotations

from pathlib import Path


def been_here(data: Path) -> None:
    """Leave a folder of data as somebody has it who does not start for the first time."""
    (data / "springwright").mkdir(parents=True)
    (data / "springwright" / "records.sqlite").touch()
