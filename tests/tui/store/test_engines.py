"""The file of the records moved, erased or replaced under an open session: nothing is saved to nowhere."""

from __future__ import annotations

import socket
from collections.abc import Generator
from pathlib import Path
from threading import Thread

import pytest

from tests.tui.store.jobs import job_for
from tui.store import engines
from tui.store.address import StoreAddress
from tui.store.opening import open_store
from tui.store.store import Store
from tui.store.trouble import StoreTrouble


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "records.sqlite"


def _refused(store: Store) -> None:
    for act in (store.find, lambda: store.save(job_for("Bo Ash"), "Mo"), store.back_up):
        with pytest.raises(StoreTrouble, match="the records were moved or replaced; restore the file"):
            act()


def test_a_file_that_is_gone_takes_no_save(file_store: Store, file: Path) -> None:
    file_store.save(job_for("Ida Fern"), "Mo")
    file.rename(file.with_name("moved.sqlite"))
    _refused(file_store)
    assert not file.exists()


def test_a_file_that_is_put_back_goes_on(file_store: Store, file: Path) -> None:
    file_store.save(job_for("Ida Fern"), "Mo")
    moved = file.rename(file.with_name("moved.sqlite"))
    _refused(file_store)
    moved.rename(file)
    file_store.save(job_for("Bo Ash"), "Mo")
    assert {found.customer for found in file_store.find().entries} == {"Ida Fern", "Bo Ash"}


def test_another_file_in_its_place_is_not_written(file_store: Store, file: Path, tmp_path: Path) -> None:
    file_store.save(job_for("Ida Fern"), "Mo")
    other = tmp_path / "other" / "records.sqlite"
    open_store(StoreAddress(other)).close()
    before = other.read_bytes()
    other.replace(file)
    _refused(file_store)
    assert file.read_bytes() == before


def test_a_thread_that_comes_new_to_it_makes_no_other(file_store: Store, file: Path) -> None:
    told: list[StoreTrouble] = []

    def find() -> None:
        try:
            file_store.find()
        except StoreTrouble as trouble:
            told.append(trouble)

    with file_store.reading():
        file.rename(file.with_name("moved.sqlite"))
        thread = Thread(target=find)
        thread.start()
        thread.join()
    assert "moved or replaced" in str(told[0])
    assert not file.exists()


def test_a_driver_that_hears_nothing_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """A driver before 3.2.11 reports data of a silent server, which then is never given up."""
    waiting = pytest.importorskip("psycopg.waiting")
    monkeypatch.setattr(engines, "SILENCE", 0.2)

    def steps() -> Generator[object, object, str]:
        for _ in range(20):
            yield waiting.WAIT_R
        return "never given up"

    def give_up() -> None:
        raise ConnectionError

    here, silent = socket.socketpair()
    with here, silent, pytest.raises(ConnectionError):
        waiting.wait(engines._hearing(steps(), give_up), here.fileno(), interval=0.05)
