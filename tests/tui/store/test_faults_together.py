"""Several sessions at once: on one job, on many, at the first start and when the schema changes."""

from __future__ import annotations

import threading
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import inspect

from tests.tui.store.sessions import Session, all_at_once
from tests.tui.store.soundness import assert_kept, assert_whole
from tests.tui.store.work import hold_a_change, job_of, open_and_save, save_some
from tui.store.address import StoreAddress
from tui.store.opening import open_store
from tui.store.schema import STEPS, VERSION
from tui.store.store import Store
from tui.store.trouble import StoreTrouble

SAVES = {2: 20, 8: 8}
"""How often each of so many sessions saves."""


@pytest.mark.slow
@pytest.mark.parametrize("sessions", SAVES)
def test_all_who_write_one_job_are_told_and_keep_everything(store: Store, sessions: int) -> None:
    start = store.save(job_of("start"), "Mo", note="start").entry
    at_work = [
        Session(save_some, store.place, f"s{number}", SAVES[sessions], start) for number in range(sessions)
    ]
    saved = [line for told in all_at_once(at_work) for line in told]
    assert len(saved) == sessions * SAVES[sessions]
    assert sorted(number for _, _, _, number, *_ in saved) == list(range(2, len(saved) + 2))
    for _, _, _, number, seen, meanwhile in saved:
        assert meanwhile == (number - 1 if number - 1 > seen else None)
    assert_kept(store, saved)
    assert set(assert_whole(store)) == {"start"} | {line[1] for line in saved}
    assert any(meanwhile for *_, meanwhile in saved), "they were in each other's way"


@pytest.mark.slow
@pytest.mark.parametrize("sessions", SAVES)
def test_many_who_write_jobs_of_their_own_are_in_nobodys_way(store: Store, sessions: int) -> None:
    at_work = [
        Session(save_some, store.place, f"s{number}", SAVES[sessions], None) for number in range(sessions)
    ]
    told = all_at_once(at_work)
    for saved in told:
        assert [line[3] for line in saved] == list(range(1, SAVES[sessions] + 1))
        assert {line[5] for line in saved} == {None}
        assert_kept(store, saved)
    assert len(store.find().entries) == sessions
    assert len(assert_whole(store)) == sessions * SAVES[sessions]


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("round_", range(4))
def test_eight_who_start_at_once_make_the_records_once(place: StoreAddress, round_: int) -> None:
    at_work = [Session(open_and_save, place, f"r{round_}.{number}") for number in range(8)]
    told = all_at_once(at_work)
    assert [lines[0] for lines in told] == [("open", "", False)] * 8
    with closing(open_store(place)) as store:
        assert_kept(store, [lines[1] for lines in told])
        assert len(assert_whole(store)) == 8


@pytest.mark.fast_cases(1)
@pytest.mark.parametrize("sessions", [2, 8])
def test_those_who_find_an_older_schema_at_once_bring_it_up_to_date_once(
    place: StoreAddress, sessions: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    with closing(open_store(place, STEPS[:1])) as older:
        first = older.save(job_of("first"), "Mo", note="first")
    at_work = [Session(open_and_save, place, f"s{number}") for number in range(sessions)]
    told = all_at_once(at_work)
    with closing(open_store(place)) as store:
        assert_kept(store, [lines[1] for lines in told])
        assert set(assert_whole(store)) == {"first"} | {f"s{number}" for number in range(sessions)}
        assert "job_newest" in {index["name"] for index in inspect(store.engine).get_indexes("job")}
    if place.file is not None:
        copies = list(place.backups.iterdir())
        # One before each step, by every session that found the step still to be made.
        assert VERSION - 1 <= len(copies) <= sessions * (VERSION - 1)
        for copy in copies:
            with closing(open_store(StoreAddress(copy))) as before:
                assert before.revision(first.entry.job, 1) == first.revision


def test_who_waits_for_a_change_that_never_ends_gives_up_in_words(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    stuck = Session(hold_a_change, store.place)
    assert stuck.hear() == ("holding",)
    monkeypatch.setattr("tui.store.engines.PATIENCE", 0.2)
    with closing(open_store(store.place)) as waiting:
        with pytest.raises(StoreTrouble) as told:
            waiting.save(job_of("mine"), "Mo", note="mine")
        assert "another session is still writing" in str(told.value)
        assert waiting.find().entries == (), "reading goes on"
        assert stuck.kill() == []
        waiting.save(job_of("mine"), "Mo", note="mine")
        assert assert_whole(waiting) == {"mine": 1}


@pytest.mark.slow
def test_one_looks_for_a_job_while_another_thread_saves(store: Store) -> None:
    saved: list[Any] = []
    wrong: list[BaseException] = []

    def save(name: str) -> None:
        try:
            for number in range(12):
                note = f"{name}.{number}"
                saved.append(store.save(job_of(note), "Mo", note=note))
        except BaseException as error:  # told below, in the thread of the test
            wrong.append(error)

    threads = [threading.Thread(target=save, args=(f"t{number}",)) for number in range(3)]
    for thread in threads:
        thread.start()
    seen = 0
    while any(thread.is_alive() for thread in threads):
        found = store.find("invented").entries
        assert len(found) >= seen, "what was seen stays"
        seen = len(found)
        for entry in found[:3]:
            assert store.revision(entry.uid, entry.latest) is not None
    for thread in threads:
        thread.join()
    assert wrong == []
    assert len(store.find().entries) == len(saved) == 36
    assert set(assert_whole(store).values()) == {1}
