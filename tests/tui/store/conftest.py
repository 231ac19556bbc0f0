"""The records on both databases: a file, and a server where one is named to the tests."""

from __future__ import annotations

import os
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest

from tui.store.address import StoreAddress
from tui.store.opening import open_store
from tui.store.store import Store

SERVER = os.environ.get("SPRINGWRIGHT_TEST_SERVER", "")
"""Address of a PostgreSQL server on which databases may be made and dropped, without a database."""


@pytest.fixture(params=["file", pytest.param("server", marks=pytest.mark.slow)])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[StoreAddress]:
    """Where a test has its records: nothing is there yet."""
    if request.param == "file":
        yield StoreAddress(tmp_path / "records.sqlite")
        return
    if not SERVER and not os.environ.get("CI"):
        pytest.skip("no PostgreSQL server is named in SPRINGWRIGHT_TEST_SERVER")
    assert SERVER, "a PostgreSQL server is needed here"
    import psycopg

    name = f"springwright_{uuid.uuid4().hex}"
    with psycopg.connect(f"{SERVER}/postgres", autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"'.encode())
        try:
            yield StoreAddress(server=f"{SERVER}/{name}")
        finally:
            connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)'.encode())


@pytest.fixture
def store(place: StoreAddress) -> Iterator[Store]:
    """Records with nothing in them."""
    opened = open_store(place)
    yield opened
    opened.close()


@pytest.fixture
def file_store(tmp_path: Path) -> Iterator[Store]:
    """Records in a file, for what only a file has."""
    opened = open_store(StoreAddress(tmp_path / "records.sqlite"))
    yield opened
    opened.close()
