"""The open database: one for reading and writing, on SQLite or PostgreSQL, behind the same two doors."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any, Self

from sqlalchemy import event, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError
from sqlalchemy.ext.asyncio import AsyncConnection, AsyncEngine, create_async_engine

from bot.errors import InputProblem, WorldProblem
from bot.records.vault import Vault

DRIVERS = {"sqlite": "sqlite+aiosqlite", "postgresql": "postgresql+psycopg"}


def _async_url(url: str) -> Any:
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


class Store:
    """The database. `write()` is one transaction that may change it, `read()` one that may not."""

    def __init__(self, engine: AsyncEngine) -> None:
        self.engine = engine
        self.embedded = engine.dialect.name == "sqlite"
        # SQLite has one writer at a time; queueing here is fairer and faster than its busy wait.
        self._writing = asyncio.Lock() if self.embedded else None

    @classmethod
    async def open(cls, url: str, vault: Vault) -> Self:
        """Open the database at `url`. Raises InputProblem (bad URL) or WorldProblem (cannot be reached)."""
        parsed = _async_url(url)
        if parsed.get_backend_name() == "sqlite":
            _folder_exists(parsed.database)
            engine = create_async_engine(parsed, pool_size=4, max_overflow=4, hide_parameters=True)
            _prepare_sqlite(engine)
        else:
            engine = create_async_engine(
                parsed, pool_size=8, max_overflow=8, pool_pre_ping=True, hide_parameters=True
            )
        engine.dialect.vault = vault  # type: ignore[attr-defined]
        store = cls(engine)
        try:
            async with store.read():
                pass
        except (DBAPIError, OSError) as error:
            await engine.dispose()
            reason = str(getattr(error, "orig", error)).splitlines()[0]
            shown = parsed.render_as_string(hide_password=True)
            raise WorldProblem(
                f"The database at {shown} cannot be opened ({reason}); check UNDERWING_DATABASE and that it runs"
            ) from error
        return store

    @asynccontextmanager
    async def read(self) -> AsyncIterator[AsyncConnection]:
        async with self.engine.connect() as conn:
            conn = await conn.execution_options(underwing_reads=True)
            async with conn.begin():
                yield conn

    @asynccontextmanager
    async def write(self) -> AsyncIterator[AsyncConnection]:
        if self._writing is None:
            async with self.engine.begin() as conn:
                yield conn
        else:
            async with self._writing, self.engine.begin() as conn:
                yield conn

    async def close(self) -> None:
        await self.engine.dispose()


def _folder_exists(database: str | None) -> None:
    """Refuse a file in a folder that is not there, before a connection is tried: a failed one leaves its thread behind."""
    if database and database != ":memory:" and not Path(database).absolute().parent.is_dir():
        raise WorldProblem(
            f"The database {database} cannot be opened: there is no such folder; make it, or change UNDERWING_DATABASE"
        )


def _prepare_sqlite(engine: AsyncEngine) -> None:
    @event.listens_for(engine.sync_engine, "connect")
    def _connected(connection: Any, _record: Any) -> None:
        connection.isolation_level = None  # we say BEGIN ourselves
        cursor = connection.cursor()
        for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", "busy_timeout=15000"):
            cursor.execute(f"PRAGMA {pragma}")
        cursor.close()

    @event.listens_for(engine.sync_engine, "begin")
    def _begun(conn: Any) -> None:
        # A deferred transaction that reads first and writes later fails at once when another wrote between.
        reads = conn.get_execution_options().get("underwing_reads")
        conn.exec_driver_sql("BEGIN" if reads else "BEGIN IMMEDIATE")
