"""The open database: one for reading and writing, on SQLite or PostgreSQL, behind the same two doors."""

from __future__ import annotations

import os
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Self, cast

from sqlalchemy import URL, Connection, Engine, create_engine, event, inspect, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError

from bot.errors import InputProblem, WorldProblem
from bot.storage.encryption import Encryption
from bot.storage.lookup import Lookup, find_lookup
from bot.storage.prepared import say
from bot.storage.tables import lookup_keys
from bot.storage.unit_of_work import UnitOfWork

CONNECT_WITHIN = 5  # seconds
BUSY_FOR = 5  # seconds that SQLite waits for a lock of another process
# A server that is gone without a word, by a cut cable, is noticed within a quarter of a minute (libpq's connection settings).
NOTICE_A_SILENT_SERVER = {
    "connect_timeout": CONNECT_WITHIN,
    "tcp_user_timeout": 15_000,
    "keepalives_idle": 5,
    "keepalives_interval": 3,
    "keepalives_count": 3,
}
DRIVERS = {"sqlite": "sqlite", "postgresql": "postgresql+psycopg"}
# Bytes of a SQLite file that is written anew while serving: about 0.3 s, in which no other write is taken.
REWRITTEN_AT_ONCE = 50_000_000


class Store:
    """The database. `write()` is one transaction that may change it, `read()` one that may not.

    Plain calls that block: whoever runs an event loop calls them in a worker thread.
    """

    def __init__(self, engine: Engine, encryption: Encryption) -> None:
        self.engine, self.encryption = engine, encryption
        engine.dialect.encryption = encryption  # type: ignore[attr-defined]
        self.use_lookup(None)
        self.embedded = engine.dialect.name == "sqlite"
        # SQLite has one writer at a time; queueing here is fairer and faster than its busy wait.
        self._writing = threading.Lock() if self.embedded else None

    @classmethod
    def open(cls, url: str, encryption: Encryption) -> Self:
        """Open the database at `url`. Raises InputProblem (bad URL) or WorldProblem (cannot be reached)."""
        parsed = _with_driver(url)
        if parsed.get_backend_name() == "sqlite":
            _folder_exists(parsed.database)
            _for_its_owner_alone(parsed.database)
            engine = create_engine(parsed, pool_size=8, max_overflow=8, hide_parameters=True)
            _prepare_sqlite(engine)
        else:
            engine = create_engine(
                parsed,
                pool_size=8,
                max_overflow=8,
                pool_timeout=CONNECT_WITHIN,
                pool_pre_ping=True,
                hide_parameters=True,
                connect_args=NOTICE_A_SILENT_SERVER,
            )
        store = cls(engine, encryption)
        try:
            with store.read():
                pass
        except (DBAPIError, OSError) as error:
            engine.dispose()
            reason = str(getattr(error, "orig", error)).splitlines()[0]
            shown = parsed.render_as_string(hide_password=True)
            raise WorldProblem(
                f"The database at {shown} cannot be opened ({reason}); check UNDERWING_DATABASE and that it runs"
            ) from error
        return store

    @staticmethod
    def is_begun(url: str) -> bool:
        """Return whether a database was written to before; False for one that is not there or cannot be reached."""
        parsed = _with_driver(url)
        if parsed.get_backend_name() == "sqlite":
            path = Path(parsed.database or "")
            return path.is_file() and path.stat().st_size > 0
        engine = create_engine(parsed, connect_args=NOTICE_A_SILENT_SERVER)
        try:
            return inspect(engine).has_table("alembic_version")
        except DBAPIError:
            return False
        finally:
            engine.dispose()

    @contextmanager
    def read(self) -> Iterator[UnitOfWork]:
        with self.engine.connect() as conn:
            reading = conn.execution_options(underwing_reads=True)
            # Nothing is to be kept, so it ends by a rollback, which a damaged file lets pass as well.
            reading.begin()
            yield self._working_on(reading)

    @contextmanager
    def write(self) -> Iterator[UnitOfWork]:
        if self._writing is None:
            with self.engine.begin() as conn:
                yield self._working_on(conn)
        else:
            with self._writing, self.engine.begin() as conn:
                yield self._working_on(conn)

    @contextmanager
    def reshape(self) -> Iterator[Connection]:
        """One transaction that may make tables anew: SQLite then checks no reference at each step."""
        with self.engine.connect() as conn:
            if self.embedded:
                driver = cast(sqlite3.Connection, conn.connection.driver_connection)
                conn.detach()  # closed afterwards, so that no other work gets it
                driver.execute("PRAGMA foreign_keys=OFF")  # means nothing within a transaction
            with conn.begin():
                yield conn

    def use_lookup(self, lookup: Lookup | None) -> None:
        """Look chats up by these from now on; None: by what the database's own key tells."""
        self.lookup = lookup
        self.engine.dialect.lookup = lookup  # type: ignore[attr-defined]

    def _working_on(self, conn: Connection) -> UnitOfWork:
        if self.lookup is None:
            self.use_lookup(find_lookup(conn, lookup_keys, self.encryption))
        return UnitOfWork(conn)

    def empty_journal(self) -> bool:
        """Write SQLite's journal back and cut it: until then it holds pages as they were before an erasure.

        Return False where somebody still reads from it, so that it must be tried again.
        """
        if not self.embedded:
            return True
        with self.engine.connect() as conn:
            raw = conn.execution_options(isolation_level="AUTOCOMMIT", underwing_reads=True)
            busy = raw.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").one()[0]
        return not busy

    def forget_erased(self) -> bool:
        """After an erasure, leave nothing of it in SQLite's file and journal; False where that must be tried again.

        What is deleted is overwritten (secure_delete), but not the copies that lie where rows stood before SQLite moved them
        from one page to another: only writing the file anew is sure. That holds up writing, so that a file of more than
        REWRITTEN_AT_ONCE bytes is not written anew while serving; `underwing erase` does it.
        """
        if not self.embedded:
            return True
        try:
            if self._size() <= REWRITTEN_AT_ONCE:
                self._vacuum()
            return self.empty_journal()
        except (sqlite3.Error, DBAPIError):
            return False

    def _size(self) -> int:
        path = Path(self.engine.url.database or "")
        return path.stat().st_size if path.is_file() else 0

    def _vacuum(self) -> None:
        with self.engine.connect() as conn:
            cast(sqlite3.Connection, conn.connection.driver_connection).execute("VACUUM")

    def rewrite(self) -> None:
        """Write the database anew without what was deleted or replaced; each table is locked for as long.

        What PostgreSQL's own journal (WAL) holds of it stays until the server recycles that.
        """
        if self.embedded:
            self._vacuum()
            self.empty_journal()
            return
        with self.engine.connect() as conn:
            raw = conn.execution_options(isolation_level="AUTOCOMMIT", underwing_reads=True)
            for name in inspect(raw).get_table_names():
                raw.exec_driver_sql(f'VACUUM (FULL, ANALYZE) "{name}"')
            # The planner's statistics hold samples of the values; the new ones stand beside the old until then.
            raw.exec_driver_sql("VACUUM (FULL) pg_catalog.pg_statistic")

    def connect_arguments(self) -> dict[str, Any]:
        """Return what the driver needs for a connection of its own to PostgreSQL."""
        _, arguments = self.engine.dialect.create_connect_args(self.engine.url)
        return {**arguments, **NOTICE_A_SILENT_SERVER}

    def close(self) -> None:
        self.engine.dispose()


def _with_driver(url: str) -> URL:
    try:
        parsed = make_url(url)
    except ArgumentError:
        raise InputProblem(
            f"UNDERWING_DATABASE is {url!r}: give a SQLAlchemy URL, sqlite:///file.db or postgresql://user@host/name"
        ) from None
    backend = parsed.get_backend_name()
    if backend not in DRIVERS:
        raise InputProblem(f"UNDERWING_DATABASE names {backend!r}: only sqlite and postgresql are supported")
    return parsed.set(drivername=DRIVERS[backend])


def _folder_exists(database: str | None) -> None:
    """Refuse a file in a folder that is not there, before a connection is tried."""
    if database and database != ":memory:" and not Path(database).absolute().parent.is_dir():
        raise WorldProblem(
            f"The database {database} cannot be opened: there is no such folder; make it, or change UNDERWING_DATABASE"
        )


def _for_its_owner_alone(database: str | None) -> None:
    """Close the files of a database to others, where an earlier version or another mask left them open."""
    for end in ("", "-wal", "-shm"):
        path = Path(f"{database}{end}")
        if path.is_file() and path.stat().st_mode & 0o077 and path.stat().st_uid == os.geteuid():
            path.chmod(0o600)


def _prepare_sqlite(engine: Engine) -> None:
    @event.listens_for(engine, "connect")
    def _connected(connection: sqlite3.Connection, _record: object) -> None:
        connection.isolation_level = None  # we say BEGIN ourselves
        cursor = connection.cursor()
        for pragma in (
            "journal_mode=WAL",
            "synchronous=FULL",
            "foreign_keys=ON",
            "secure_delete=ON",
            f"busy_timeout={BUSY_FOR * 1000}",
        ):
            cursor.execute(f"PRAGMA {pragma}")
        cursor.close()

    @event.listens_for(engine, "begin")
    def _begun(conn: Connection) -> None:
        # A deferred transaction that reads first and writes later fails at once when another wrote between.
        reads = conn.get_execution_options().get("underwing_reads")
        say(conn, "BEGIN" if reads else "BEGIN IMMEDIATE")
