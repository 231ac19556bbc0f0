"""The records with ten thousand jobs in them: found while one types, saved, opened, and the first paint."""

from __future__ import annotations

import os
import uuid
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from random import Random
from typing import Any

import pytest
from pytest_benchmark.fixture import BenchmarkFixture
from sqlalchemy import Connection, Table, select

from tests.benchmarks.pty_bench import BENCH, PtySession, busy_time
from tests.tui.store.jobs import job_for
from tui.store import schema as tables
from tui.store.address import StoreAddress, place_of
from tui.store.opening import open_store
from tui.store.store import Store

MANY, FEW = 10_000, 50
"""How many jobs there are; few where nothing is measured."""
FINDING = 0.030
"""What a person who types may wait for the list [s]."""
SERVER = os.environ.get("SPRINGWRIGHT_TEST_SERVER", "")
on_the_line = pytest.mark.benchmark(timer=busy_time)


def _fill(store: Store, jobs: int) -> None:
    """Put copies of one saved job under other names into some records."""
    store.save(job_for("nnnn", "bike of nnnn", ticket="tttt"), "Mo", note="creaks when cold")
    random = Random(1)
    with store.writing() as connection:
        one = {table.name: _only_row(connection, table) for table in tables.TABLES[:2]}
        one |= {table.name: _only_row(connection, table) for table in (tables.job, tables.revision)}
        rows: dict[str, list[dict[str, Any]]] = {name: [] for name in one}
        for number in range(1, jobs):
            name = f"rider {number} {''.join(random.choices('abcdefghij', k=7))}"
            for kind, row in one.items():
                rows[kind].append(_renamed(row, name, number))
        for table in (tables.customer, tables.bike, tables.job, tables.revision):
            connection.execute(table.insert(), rows[table.name])


def _only_row(connection: Connection, table: Table) -> dict[str, Any]:
    return dict(connection.execute(select(table)).one()._mapping)


def _renamed(row: dict[str, Any], name: str, number: int) -> dict[str, Any]:
    def changed(column: str, value: object) -> object:
        if column in ("uid", "customer", "bike", "job") and len(str(value)) == 32:
            return f"{value}"[:24] + f"{number:08x}"
        if column == "saved_at":
            return f"2026-{1 + number % 12:02}-{1 + number % 28:02}T10:00:00.{number:06}Z"
        return value.replace("nnnn", name).replace("tttt", f"t-{number}") if isinstance(value, str) else value

    return {column: changed(column, value) for column, value in row.items()}


@pytest.fixture(scope="module", params=["file", "server"])
def full_place(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[StoreAddress]:
    """Return where ten thousand jobs are."""
    jobs = MANY if request.config.getoption("benchmark_enable") else FEW
    if request.param == "file":
        place = StoreAddress(tmp_path_factory.mktemp("full") / "records.sqlite")
        with closing(open_store(place)) as store:
            _fill(store, jobs)
        yield place
        return
    if not SERVER:
        pytest.skip("no PostgreSQL server is named in SPRINGWRIGHT_TEST_SERVER")
    import psycopg

    name = f"springwright_{uuid.uuid4().hex}"
    with psycopg.connect(f"{SERVER}/postgres", autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"'.encode())
        try:
            place = place_of(f"{SERVER}/{name}")
            with closing(open_store(place)) as store:
                _fill(store, jobs)
            yield place
        finally:
            connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)'.encode())


@pytest.fixture
def full_store(full_place: StoreAddress) -> Iterator[Store]:
    """Return these records, open."""
    with closing(open_store(full_place)) as store:
        yield store


@pytest.mark.parametrize(
    ("asked", "is_there"),
    [
        ("", True),
        ("r", True),
        ("rider 49", True),
        ("cold mo", True),
        ("t-31", True),
        ("82 kg demo", False),
        ("zzzz", False),
        ("nobody at all", False),
    ],
)
def test_a_list_is_found_while_one_types(
    benchmark: BenchmarkFixture, full_store: Store, asked: str, is_there: bool
) -> None:
    found = benchmark(full_store.find, asked)
    assert bool(found.entries) == is_there
    # The least of many: what else this machine does meanwhile is no part of it.
    assert benchmark.stats is None or benchmark.stats.stats.min <= FINDING


def test_a_job_is_saved(benchmark: BenchmarkFixture, full_store: Store) -> None:
    job = job_for("Ida Fern")
    assert benchmark.pedantic(full_store.save, (job, "Mo"), rounds=20).revision.number == 1


def test_they_are_opened(benchmark: BenchmarkFixture, full_place: StoreAddress) -> None:
    def opened() -> str:
        with closing(open_store(full_place)) as store:
            return store.told

    assert benchmark.pedantic(opened, rounds=10) == ""


@pytest.mark.fast_cases(1)
@on_the_line
@pytest.mark.parametrize("are_full", [False, True], ids=["no records", "full records"])
def test_the_first_paint_waits_for_no_records(
    benchmark: BenchmarkFixture, full_place: StoreAddress, tmp_path: Path, are_full: bool
) -> None:
    full = full_place.server or str(full_place.file)
    place = full if are_full else str(tmp_path / "records.sqlite")

    def start() -> None:
        with PtySession(120, 40, (*BENCH, "open", "--store", place)) as session:
            session.wait_for("rider mass")

    benchmark.pedantic(start, rounds=15 if not benchmark.disabled else 1, warmup_rounds=1)
