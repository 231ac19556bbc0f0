"""Clocks that run behind: what is saved last stands last in histories and first in lists."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.tui.store.jobs import job_for, weighing
from tui.store import guarding, saving
from tui.store.address import StoreAddress
from tui.store.guarding import back_up_anew, backup_name, last_backup
from tui.store.store import Store

NOW = datetime(2026, 5, 4, 10, 30, tzinfo=UTC)


class Clock(datetime):
    """A clock that says what a test wants."""

    at = NOW

    @classmethod
    def now(cls, tz: object = None) -> datetime:  # type: ignore[override]
        """Return the time it was set to."""
        return cls.at


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> type[Clock]:
    monkeypatch.setattr(Clock, "at", NOW)
    for module in (saving, guarding):
        monkeypatch.setattr(module, "datetime", Clock)
    monkeypatch.setattr("tui.store.store.datetime", Clock)
    return Clock


def test_a_revision_is_never_dated_before_the_one_it_follows(store: Store, clock: type[Clock]) -> None:
    job = job_for("Ida Fern", "green")
    first = store.save(job, "Mo")
    assert not first.ahead
    clock.at = NOW - timedelta(days=400)
    second = store.save(weighing(job, "90 kg"), "Mo", entry=first.entry)
    third = store.save(weighing(job, "91 kg"), "Mo", entry=second.entry)
    assert second.ahead
    assert third.ahead
    assert [one.number for one in store.timeline(first.entry.job)] == [1, 2, 3]
    times = [one.saved_at for one in store.revisions(first.entry.job)]
    assert times == sorted(set(times))


def test_the_job_saved_last_is_listed_first(file_store: Store, clock: type[Clock]) -> None:
    for number in range(4):
        file_store.save(job_for(f"Rider {number}"), "Mo")
    clock.at = NOW - timedelta(days=400)
    file_store.save(job_for("Ida Fern"), "Mo")
    clock.at = NOW - timedelta(days=500)
    file_store.save(job_for("Bo Ash"), "Mo")
    assert [found.customer for found in file_store.find(most=2).entries] == ["Bo Ash", "Ida Fern"]


def test_times_that_are_the_wrong_way_round_already_do_not_turn_a_history_round(
    store: Store, clock: type[Clock]
) -> None:
    first = store.save(job_for("Ida Fern", "green"), "Mo")
    store.save(weighing(job_for("Ida Fern", "green"), "90 kg"), "Mo", entry=first.entry)
    with store.writing() as connection:
        connection.exec_driver_sql(
            "UPDATE revision SET saved_at = '2020-01-01T00:00:00.000000Z' WHERE number = 2"
        )
    assert [one.number for one in store.timeline(first.entry.job)] == [1, 2]


def test_the_backup_made_last_is_the_last_backup(tmp_path: Path, clock: type[Clock]) -> None:
    place = StoreAddress(tmp_path / "records.sqlite")
    made = []
    for days in (0, 400, 400, 7):
        clock.at = NOW - timedelta(days=days)
        made.append(backup_name(place, "backup"))
        made[-1].parent.mkdir(exist_ok=True)
        made[-1].touch()
        assert last_backup(place) == made[-1]
    assert len(set(made)) == len(made)


def test_a_backup_whose_name_another_session_took_meanwhile_gets_the_next_one(
    file_store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    place, engine = file_store.place, file_store.engine
    both_read = iter([place.backups / "records-backup-20260101T000000000000.sqlite"] * 2)
    monkeypatch.setattr(guarding, "backup_name", lambda *asked: next(both_read, None) or backup_name(*asked))
    taken = back_up_anew(place, engine, "backup")
    assert taken.name == "records-backup-20260101T000000000000.sqlite"
    mine = back_up_anew(place, engine, "backup")
    assert mine != taken
    assert last_backup(place) == mine
    assert {path.name for path in place.backups.iterdir()} == {taken.name, mine.name}
