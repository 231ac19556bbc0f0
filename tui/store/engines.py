"""How the database is opened: connections, transactions, locks and the journal, on SQLite and PostgreSQL."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Generator, Iterator
from contextlib import ExitStack, closing, contextmanager
from pathlib import Path
from time import monotonic
from typing import Any, NoReturn

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.pool import NullPool, QueuePool

from tui.store.address import StoreAddress, is_on_network, url_of
from tui.store.trouble import StoreTrouble, gone

MARK = 0x53505257
"""Our application id (PRAGMA application_id of SQLite): other programs have none or another."""
PATIENCE = 10.0
"""Longest wait for the lock of another session [s]."""
LONGEST = 30.0
"""Longest time for one statement on a server [s]."""
SILENCE = LONGEST + 5.0
"""Longest time without a word from a server [s]: it reports by itself what takes it too long."""
_LOG = "-wal"
ENDINGS = ("", _LOG, "-shm", "-journal")
"""Endings of the files of one database: SQLite keeps the others beside the first."""


def holds_changes(path: Path) -> bool:
    """Return whether the write-ahead log of a file holds changes that are not in the file yet."""
    log = path.with_name(path.name + _LOG)
    return log.exists() and log.stat().st_size > 0


def pages_beside(path: Path, size: int) -> set[int]:
    """Return the numbers of the pages of `size` bytes in the valid part of the write-ahead log.

    Source: the file format of SQLite, "The Write-Ahead Log" (sqlite.org/fileformat2.html).
    """
    if not holds_changes(path):
        return set()
    log = path.with_name(path.name + _LOG).read_bytes()
    heads = (log[at : at + 16] for at in range(32, len(log), 24 + size))
    return {int.from_bytes(head[:4], "big") for head in heads if head[8:16] == log[16:24]}


def is_read_only(path: Path) -> bool:
    """Return whether a file can only be read: in a read-only folder SQLite could make no journal."""
    return not os.access(path.parent, os.W_OK) or (path.exists() and not os.access(path, os.W_OK))


def address_of(path: Path) -> str:
    """Return the URI that SQLite opens a file by now; it never creates the file.

    A read-only file is opened as immutable, unless another session has changes in its write-ahead log.
    """
    mode = "rw" if not is_read_only(path) else "ro" if holds_changes(path) else "ro&immutable=1"
    return f"{path.absolute().as_uri()}?mode={mode}"


def ask_for_journal(path: Path) -> str:
    """Set the journal mode of a file and return the mode it has then.

    A write-ahead log lets sessions read while one writes. It needs shared memory, which machines on a
    network do not have: there the rollback journal is used.
    """
    wanted = "DELETE" if is_on_network(path) else "WAL"
    with closing(sqlite3.connect(address_of(path), uri=True, timeout=PATIENCE)) as connection:
        try:
            return str(connection.execute(f"PRAGMA journal_mode = {wanted}").fetchone()[0])
        except sqlite3.OperationalError:  # another session has it open and has set the mode
            return str(connection.execute("PRAGMA journal_mode").fetchone()[0])


WRITES = "springwright_writes"
"""Execution option of a connection whose transaction will write."""
_KEEPALIVE = {
    "connect_timeout": f"{PATIENCE:.0f}",
    "keepalives_idle": f"{PATIENCE:.0f}",
    "keepalives_interval": "5",
    "keepalives_count": "3",
    "tcp_user_timeout": f"{3 * PATIENCE * 1000:.0f}",
}
"""When a dead connection is given up: a save would wait a quarter of an hour by the system's own limits."""
# Programs share a server: this number is the key of our advisory lock.
_LOCK = 0x5052494E


def engine_at(place: StoreAddress) -> Engine:
    """Return the engine for an address."""
    return server_engine(place.server) if place.file is None else sqlite_engine(place.file)


def sqlite_engine(path: Path) -> Engine:
    """Return the engine of an existing file.

    Its connections raise `StoreTrouble` when the path leads to another file than now: a change written to a
    file that nobody finds again would be reported as saved and lost.
    """
    opened = path.stat()

    def check_same(*_: object) -> None:
        try:
            same = os.path.samestat(path.stat(), opened)
        except OSError:
            same = False
        if not same:
            raise gone()

    def connect() -> sqlite3.Connection:
        check_same()
        # No isolation level: `_begin_with` begins transactions, as the driver would begin them too late.
        connection = sqlite3.connect(
            address_of(path), uri=True, timeout=PATIENCE, isolation_level=None, check_same_thread=False
        )
        with ExitStack() as on_error:
            on_error.callback(connection.close)
            connection.execute("PRAGMA synchronous = FULL")
            connection.execute("PRAGMA foreign_keys = ON")
            on_error.pop_all()
        return connection

    # An immutable connection does not see the changes of others: a read-only file is opened anew each time.
    pool = NullPool if is_read_only(path) else QueuePool
    engine = create_engine("sqlite+pysqlite://", creator=connect, poolclass=pool)
    event.listen(engine, "checkout", check_same)
    _begin_with(engine, ("BEGIN IMMEDIATE",), ("BEGIN",))
    return engine


def server_engine(address: str) -> Engine:
    """Return the engine of a PostgreSQL server; raises `StoreTrouble` if its driver is not installed."""
    try:
        from psycopg import Connection as Line
        from psycopg import OperationalError
    except ImportError as missing:
        raise StoreTrouble(
            "the driver for PostgreSQL is not installed", "pip install 'springwright[postgresql]' installs it"
        ) from missing

    class Watched(Line[Any]):
        """A connection that is given up when its server falls silent while the line stays up."""

        def wait(self, gen: Generator[Any, Any, Any], *given: Any, **named: Any) -> Any:  # noqa: ANN401
            return super().wait(_hearing(gen, self._give_up), *given, **named)

        def _give_up(self) -> NoReturn:
            self.pgconn.finish()
            raise OperationalError("closed: the server does not answer")

    engine = create_engine(_url(address), pool_pre_ping=True)
    event.listen(
        engine, "do_connect", lambda _dialect, _record, words, named: Watched.connect(*words, **named)
    )
    # One writer at a time, as on a file: a save takes milliseconds, and no transaction has to be retried.
    limits = (
        f"SELECT set_config('lock_timeout', '{PATIENCE * 1000:.0f}ms', true),"
        f" set_config('statement_timeout', '{LONGEST * 1000:.0f}ms', true)"
    )
    _begin_with(engine, (limits, f"SELECT pg_advisory_xact_lock({_LOCK})"), (limits,))
    return engine


def _hearing(steps: Generator[Any, Any, Any], give_up: Callable[[], object]) -> Generator[Any, Any, Any]:
    """Go through the steps of the driver, which wakes them for its socket and for nothing ten times a second.

    Once nothing was heard for `SILENCE` it calls `give_up`, which raises.
    """
    heard, woken = monotonic(), None
    while True:
        try:
            wanted = steps.send(woken)
        except StopIteration as end:
            return end.value
        woken = yield wanted
        if woken:
            heard = monotonic()
        elif monotonic() - heard > SILENCE:
            give_up()


def _begin_with(engine: Engine, writes: tuple[str, ...], reads: tuple[str, ...]) -> None:
    """Execute statements at the beginning of every transaction, according to its option `WRITES`."""

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        for statement in writes if connection.get_execution_options().get(WRITES) else reads:
            connection.exec_driver_sql(statement)


def _url(address: str) -> URL:
    """Return an address as the driver takes it; its own parameters override `_KEEPALIVE`."""
    url = url_of(address)
    return url.set(query={**_KEEPALIVE, **url.query})


@contextmanager
def snapshot(engine: Engine) -> Iterator[Connection]:
    """Give a connection that sees one state in all its queries while others write."""
    # Any transaction on a file does.
    options = {} if engine.dialect.name == "sqlite" else {"isolation_level": "REPEATABLE READ"}
    with engine.connect().execution_options(**options) as connection, connection.begin():
        yield connection
