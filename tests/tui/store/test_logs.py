"""Logs that hang on a revision: kept by their content, given back whole, exported, imported and purged."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.random_cases import cases
from tests.tui.store.jobs import job_for, weighing
from tui.store.address import StoreAddress
from tui.store.content import inspect_records
from tui.store.export import MANIFEST, export, read_export
from tui.store.importing import import_paths, merge
from tui.store.kept import Attached, KeptLog, packed, unpacked
from tui.store.opening import open_store
from tui.store.reading import all_rows
from tui.store.store import Store
from tui.store.trouble import StoreTrouble, Unimportable

RIDE = KeptLog("ride.csv", b"time [s],fork [mm]\n" + b"0,1\n" * 5000, '{"units": {}}')
OTHER = KeptLog("other\x1b[31m.csv", bytes(range(256)), "{}")


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Store]:
    with closing(open_store(StoreAddress(tmp_path / "other" / "records.sqlite"))) as opened:
        yield opened


def count(store: Store, table: str) -> int:
    return len(all_rows(store.engine)[table])


def test_a_revision_gives_its_logs_back_whole_in_order(store: Store) -> None:
    saved = store.save(job_for("Ida"), "Mo", logs=[OTHER, RIDE])
    found = store.attached(saved.revision.uid)
    assert found == (
        Attached(OTHER.digest, "other[31m.csv", 256, "{}"),
        Attached(RIDE.digest, "ride.csv", len(RIDE.data), '{"units": {}}'),
    )
    assert [store.log_bytes(one.digest) for one in found] == [OTHER.data, RIDE.data]


def test_a_log_is_kept_once_however_often_it_is_saved(store: Store) -> None:
    first = store.save(job_for("Ida"), "Mo", logs=[RIDE])
    store.save(weighing(job_for("Ida"), "90 kg"), "Mo", entry=first.entry, logs=[RIDE])
    store.save(job_for("Ben"), "Mo", logs=[KeptLog("renamed.csv", RIDE.data, "{}")])
    assert (count(store, "log"), count(store, "attachment")) == (1, 3)
    later = store.save(weighing(job_for("Ida"), "91 kg"), "Mo", entry=first.entry)
    assert store.attached(later.revision.uid) == ()


def test_a_purge_erases_the_logs_of_no_other_job(store: Store) -> None:
    gone = store.save(job_for("Gone"), "Mo", logs=[RIDE, OTHER])
    kept = store.save(job_for("Ida"), "Mo", logs=[RIDE])
    store.delete(gone.entry.job)
    store.purge()
    assert [row["digest"] for row in all_rows(store.engine)["log"]] == [RIDE.digest]
    assert store.log_bytes(store.attached(kept.revision.uid)[0].digest) == RIDE.data


def test_an_export_has_the_file_as_its_logger_wrote_it(store: Store, other: Store, tmp_path: Path) -> None:
    saved = store.save(job_for("Ida"), "Mo", logs=[RIDE, OTHER])
    export(store, tmp_path / "out")
    assert (tmp_path / "out" / "logs" / f"{OTHER.digest}.csv").read_bytes() == OTHER.data
    for _ in range(2):
        with other.writing() as connection:
            merged = merge(connection, read_export(tmp_path / "out"))
    assert merged.known["log"] == 2
    assert [other.log_bytes(one.digest) for one in other.attached(saved.revision.uid)] == [
        RIDE.data,
        OTHER.data,
    ]


def test_a_backup_brings_its_logs_along(store: Store, other: Store, tmp_path: Path) -> None:
    saved = store.save(job_for("Ida"), "Mo", logs=[RIDE])
    import_paths(other, [store.back_up(tmp_path / "backup.sqlite")], "Ana")
    [found] = other.attached(saved.revision.uid)
    assert other.log_bytes(found.digest) == RIDE.data


@pytest.mark.parametrize(
    ("harm", "said"),
    [
        (lambda path: path.write_bytes(path.read_bytes()[:-1] + b"?"), "is not what was written"),
        (Path.unlink, "is missing"),
        (lambda path: shutil.copy(path, path.with_name("more.csv")), "is not listed in a table"),
    ],
)
def test_a_changed_log_of_an_export_is_told(store: Store, tmp_path: Path, harm: object, said: str) -> None:
    store.save(job_for("Ida"), "Mo", logs=[RIDE])
    export(store, tmp_path / "out")
    assert callable(harm)
    harm(tmp_path / "out" / "logs" / f"{RIDE.digest}.csv")
    with pytest.raises(Unimportable) as refused:
        read_export(tmp_path / "out")
    assert any(said in fault for fault in refused.value.lines)


def test_an_export_from_before_there_were_logs_comes_in(store: Store, other: Store, tmp_path: Path) -> None:
    store.save(job_for("Ida"), "Mo")
    folder = tmp_path / "out"
    export(store, folder)
    for name in ("logs.csv", "attachments.csv"):
        (folder / name).unlink()
    lines = (folder / MANIFEST).read_text().replace("schema = 3", "schema = 2").splitlines()
    kept = [line for line in lines if not line.startswith(("logs =", "attachments ="))]
    (folder / MANIFEST).write_text("\n".join(kept))
    with other.writing() as connection:
        assert merge(connection, read_export(folder)).new["job"] == 1


def test_damage_of_a_log_is_found_and_never_given_back(file_store: Store, tmp_path: Path) -> None:
    file_store.save(job_for("Ida"), "Mo", logs=[RIDE])
    assert file_store.place.file is not None
    assert inspect_records(file_store.place).faults == ()
    with closing(sqlite3.connect(file_store.place.file)) as connection:
        connection.execute("UPDATE log SET data = ?", (packed(b"something else"),))
        connection.commit()
    [fault] = inspect_records(file_store.place).faults
    assert "does not match its checksum" in fault
    with pytest.raises(StoreTrouble, match="does not match its checksum"):
        file_store.log_bytes(RIDE.digest)


@settings(max_examples=cases(100))
@given(data=st.binary(min_size=1, max_size=5000))
def test_any_bytes_come_back(data: bytes) -> None:
    log = KeptLog("ride.csv", data, "{}")
    assert unpacked(packed(data), log.digest) == data
