"""Loads, in the process that all sessions are forked from, whatever a save loads late."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from tests.tui.store.work import job_of
from tui.store.address import StoreAddress
from tui.store.opening import open_store

with TemporaryDirectory() as folder:
    _store = open_store(StoreAddress(Path(folder) / "records.sqlite"))
    _store.save(job_of("warm"), "Mo")
    _store.close()
