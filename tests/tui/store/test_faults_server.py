"""A line that breaks and a server that falls over while somebody saves."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from random import Random
from typing import Any

import pytest

from tests.tui.store.cluster import Cluster
from tests.tui.store.sessions import Session
from tests.tui.store.soundness import assert_kept, assert_whole
from tests.tui.store.work import job_of, save_through_breaks
from tui.store.address import place_of
from tui.store.opening import open_store
from tui.store.store import Store
from tui.store.trouble import LineLost

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
