"""A line that breaks and a server that falls over while somebody saves."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest

from tests.tui.store.cluster import Cluster
from tests.tui.store.sessions import Session
from tests.tui.store.soundness import assert_kept, assert_whole
from tests.tui.store.work import job_of, save_through_breaks
from tui.store import engines
from tui.store.address import place_of
from tui.store.content import inspect_records
from tui.store.opening import open_store
from tui.store.store import Store
from tui.store.trouble import LineLost, StoreTrouble

BREAKS = 40


@pytest.fixture(scope="module")
def cluster() -> Iterator[Cluster]:
    """Return a server that may be stopped."""
    made = Cluster()
    yield made
    made.throw_away()


@pytest.fixture
def server(cluster: Cluster) -> Iterator[Store]:
    """Return records on that server, with nothing in them."""
    import psycopg

    with psycopg.connect(cluster.address, autocommit=True) as connection:
        connection.execute("DROP SCHEMA public CASCADE")
        connection.execute("CREATE SCHEMA public")
    store = open_store(place_of(cluster.address))
    yield store
    store.close()


def _hear_begun(session: Session, times: int) -> list[tuple[Any, ...]]:
    told = []
    while times:
        told.append(session.hear())
        times -= told[-1][0] == "begun"
    return told


def _break_lines(address: str) -> None:
    """End every connection of others to the database, as a server does that is told to."""
    import psycopg

    with psycopg.connect(address, autocommit=True) as connection:
        connection.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
            " WHERE datname = current_database() AND pid <> pg_backend_pid()"
        )


def _assert_kept_once(store: Store, told: list[tuple[Any, ...]]) -> None:
    """Check that what was acknowledged is there once, and what was not at most once."""
    saved = [line for line in told if line[0] == "saved"]
    assert saved
    assert_kept(store, saved)
    notes = assert_whole(store)
    assert {line[1] for line in saved} <= set(notes) <= {line[1] for line in told if line[0] == "begun"}
    assert set(notes.values()) == {1}


@pytest.mark.slow
def test_lines_that_break_while_saving_lose_nothing_and_double_nothing(
    cluster: Cluster, server: Store
) -> None:
    random = Random(5)
    session = Session(save_through_breaks, server.place, "s")
    told: list[tuple[Any, ...]] = []
    for _ in range(BREAKS):
        told += _hear_begun(session, random.randrange(1, 4))
        _break_lines(cluster.address)
    session.say("enough")
    told += session.rest()
    assert told[-1] == ("over",)
    assert all("does not answer" in line[2] for line in told if line[0] == "refused")
    _assert_kept_once(server, told)


@pytest.mark.slow
def test_a_server_that_falls_over_keeps_what_it_acknowledged(cluster: Cluster, server: Store) -> None:
    random = Random(6)
    sessions = [Session(save_through_breaks, server.place, f"s{number}") for number in range(2)]
    told: list[tuple[Any, ...]] = []
    for _ in range(3):
        for session in sessions:
            told += _hear_begun(session, random.randrange(2, 8))
        cluster.pull_the_plug()
        for session in sessions:
            told += _hear_begun(session, random.randrange(1, 3))
        cluster.start()
    for session in sessions:
        session.say("enough")
        told += session.rest()
    assert any(line[0] == "refused" for line in told)
    _assert_kept_once(server, told)


@pytest.fixture
def lose_words(server: Store, monkeypatch: pytest.MonkeyPatch) -> Callable[[int], None]:
    """Return what lets the line break so many times just after a change was made, before that is heard."""
    import psycopg

    commit = server.engine.dialect.do_commit

    def lose(times: int) -> None:
        left = iter(range(times))

        def commit_and_break(connection: Any) -> None:  # noqa: ANN401
            commit(connection)
            if next(left, None) is not None:
                connection.driver_connection.close()
                raise psycopg.OperationalError("the connection is lost")

        monkeypatch.setattr(server.engine.dialect, "do_commit", commit_and_break)

    return lose


@pytest.mark.slow
def test_a_word_that_is_lost_is_no_lost_save(server: Store, lose_words: Callable[[int], None]) -> None:
    first = server.save(job_of("first"), "Mo", note="first")
    lose_words(1)
    second = server.save(job_of("second"), "Mo", note="second", entry=first.entry)
    assert (second.revision.number, second.meanwhile) == (2, None)
    assert assert_whole(server) == {"first": 1, "second": 1}


@pytest.mark.parametrize("is_new", [True, False])
def test_who_saves_again_because_nothing_was_heard_does_not_save_twice(
    server: Store, lose_words: Callable[[int], None], is_new: bool
) -> None:
    first = server.save(job_of("first"), "Mo", note="first")
    entry = None if is_new else first.entry
    lose_words(2)
    with pytest.raises(LineLost):
        server.save(job_of("second"), "Mo", note="second", entry=entry)
    again = server.save(job_of("second"), "Mo", note="second", entry=entry)
    assert (again.revision.number, again.meanwhile) == (1 if is_new else 2, None)
    assert assert_whole(server) == {"first": 1, "second": 1}
    twice = server.save(job_of("second"), "Mo", note="second", entry=entry)
    assert twice.revision.uid != again.revision.uid, "what was heard of can be saved anew"


@pytest.fixture
def stopped(server: Store, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Stop the process of the server that this session talks to: the line stays up, and nothing is said."""
    server.save(job_of("first"), "Mo", note="first")
    with server.engine.connect() as connection:
        pid = int(connection.exec_driver_sql("SELECT pg_backend_pid()").scalar_one())
    monkeypatch.setattr(engines, "SILENCE", 0.3)
    os.kill(pid, signal.SIGSTOP)
    yield
    os.kill(pid, signal.SIGCONT)


@pytest.mark.usefixtures("stopped")
def test_a_server_that_falls_silent_is_given_up_and_another_line_taken(server: Store) -> None:
    assert len(server.find().entries) == 1
    server.save(job_of("second"), "Mo", note="second")
    assert assert_whole(server) == {"first": 1, "second": 1}


def test_a_server_that_falls_silent_in_the_middle_is_told(
    server: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engines, "SILENCE", 0.3)

    def ask() -> None:
        with server.reading() as connection:
            pid = int(connection.exec_driver_sql("SELECT pg_backend_pid()").scalar_one())
            os.kill(pid, signal.SIGSTOP)
            try:
                connection.exec_driver_sql("SELECT 1")
            finally:
                os.kill(pid, signal.SIGCONT)

    with pytest.raises(LineLost, match="the server of the records does not answer"):
        ask()


def test_a_check_waits_no_longer_for_a_locked_table_than_a_save(
    cluster: Cluster, server: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    import psycopg

    monkeypatch.setattr(engines, "PATIENCE", 0.2)
    with psycopg.connect(cluster.address) as connection:
        connection.execute("LOCK TABLE revision IN ACCESS EXCLUSIVE MODE")
        with pytest.raises(StoreTrouble, match="another session is still writing; try again"):
            inspect_records(server.place)


def test_a_statement_that_takes_too_long_is_given_up(
    cluster: Cluster, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engines, "LONGEST", 0.2)
    store = open_store(place_of(cluster.address))
    with pytest.raises(StoreTrouble, match="the server takes too long"), store.reading() as connection:
        connection.exec_driver_sql("SELECT pg_sleep(60)")
    store.close()


@pytest.mark.parametrize(
    ("address", "told"),
    [
        ("{}-none", "the server has no such database"),
        ("{}?user=nobody-here", "refuses this user or password"),
        ("{}?sslmode=bad", 'the server cannot be used: invalid sslmode value: "bad"'),
        ("{}?sslmode=require", "the server cannot be used: server does not support SSL"),
        ("{}?passwrd=secret", 'the server cannot be used: invalid connection option "passwrd"'),
        ("{}?keepalives_idle=x", "the server cannot be used: invalid integer value"),
        ("{}?host=no.such.host.invalid", "does not answer"),
        ("{}?port=1", "does not answer"),
        ("postgresql:///?service=nowhere", 'definition of service "nowhere" not found'),
    ],
)
def test_what_is_wrong_with_an_address_is_told_as_it_is(cluster: Cluster, address: str, told: str) -> None:
    with pytest.raises(StoreTrouble) as trouble:
        open_store(place_of(address.format(cluster.address)))
    assert told in str(trouble.value)
    assert "secret" not in str(trouble.value)


def test_a_table_that_is_missing_is_no_missing_database(cluster: Cluster, server: Store) -> None:
    with server.writing() as connection:
        connection.exec_driver_sql("DROP TABLE attachment")
    with pytest.raises(StoreTrouble, match=r'damaged .*"attachment" does not exist'):
        inspect_records(server.place)
    with server.writing() as connection:
        connection.exec_driver_sql("DELETE FROM springwright_schema")
    with pytest.raises(StoreTrouble, match=r"damaged .springwright_schema is empty"):
        open_store(server.place)


def test_the_name_of_a_value_is_no_word_about_a_password(server: Store) -> None:
    with pytest.raises(StoreTrouble) as trouble, server.reading() as connection:
        connection.exec_driver_sql("SELECT 'password does not exist, connect'::integer")
    assert "cannot be used: invalid input syntax" in str(trouble.value)


def test_a_service_file_names_the_server_and_the_password(
    cluster: Cluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "service.conf"
    words = f"[shop]\nhost=127.0.0.1\nport={cluster.port}\nuser=postgres\ndbname=postgres\npassword=secret\n"
    file.write_text(words)
    monkeypatch.setenv("PGSERVICEFILE", str(file))
    store = open_store(place_of("postgresql:///?service=shop"))
    assert store.name == "postgresql:///?service=shop"
    assert store.find().entries == ()
    store.close()
