"""Who can read the records: customers' names are for those who keep them."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.tui.store.jobs import job_for
from tui.store.address import StoreAddress
from tui.store.export import export
from tui.store.opening import open_store

pytestmark = pytest.mark.skipif(os.name != "posix", reason="rights of a group are of POSIX")


@pytest.fixture(params=[0o000, 0o022, 0o077])
def _usual(request: pytest.FixtureRequest) -> Iterator[None]:
    """Let the shell leave out fewer or more rights from what is made."""
    before = os.umask(request.param)
    yield
    os.umask(before)


def _rights(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@pytest.mark.usefixtures("_usual")
def test_what_is_made_is_for_its_owner_alone(tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    with closing(open_store(StoreAddress(shop / "records.sqlite"))) as store:
        store.save(job_for("Ida Fern"), "Mo")
        beside = {path.name: _rights(path) for path in shop.glob("records.sqlite*") if path.suffix != ".lock"}
        assert beside == dict.fromkeys(("records.sqlite", "records.sqlite-wal", "records.sqlite-shm"), 0o600)
        assert _rights(store.back_up()) == 0o600
        assert _rights(store.back_up(tmp_path / "copy.sqlite")) == 0o600
        there = tmp_path / "there"
        there.mkdir()
        for out in (tmp_path / "out", there):
            export(store, out)
            written = [path for path in out.rglob("*") if path.is_file()]
            assert len(written) > 7
            assert {_rights(path) for path in written} == {0o600}
    assert _rights(shop) == _rights(shop / "backups") == _rights(tmp_path / "out") == 0o700


@pytest.mark.fast_cases(5)
@pytest.mark.usefixtures("_usual")
@pytest.mark.parametrize(
    ("folder", "file"), [(0o755, 0o600), (0o775, 0o660), (0o2770, 0o660), (0o777, 0o666), (0o1777, 0o600)]
)
def test_those_who_share_a_folder_share_the_records_in_it(tmp_path: Path, folder: int, file: int) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    shop.chmod(folder)
    with closing(open_store(StoreAddress(shop / "records.sqlite"))) as store:
        store.save(job_for("Ida Fern"), "Mo")
        assert _rights(shop / "records.sqlite") == _rights(shop / "records.sqlite-wal") == file


def test_rights_that_somebody_gave_stay(tmp_path: Path) -> None:
    place = StoreAddress(tmp_path / "records.sqlite")
    open_store(place).close()
    (tmp_path / "records.sqlite").chmod(0o644)
    open_store(place).close()
    assert _rights(tmp_path / "records.sqlite") == 0o644
