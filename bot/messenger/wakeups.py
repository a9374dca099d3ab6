"""Wakes this process when another one stored something: PostgreSQL's LISTEN, which tells with the commit.

A trigger of the database says it, so that whoever writes is heard. Who listens still looks by itself now and then: what
waits for a retry, or came while the connection was lost, is told by nobody.
"""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import Callable, Mapping
from typing import Literal

import psycopg

from bot.clock import backoff
from bot.storage.store import Store

LONGEST_PAUSE = 5.0  # seconds between two tries to reach the database
STOPS_WITHIN = 0.5  # seconds

Stored = Literal["inbox", "outbox"]


class Wakeups:
    """Calls what is to be woken when rows came into a table, whichever process put them there."""

    def __init__(self, store: Store, wakes: Mapping[Stored, Callable[[], None]]) -> None:
        self._store = store
        self._wakes = {f"underwing_{table}": wake for table, wake in wakes.items()}

    async def run(self, stopping: asyncio.Event) -> None:
        failures = 0
        while not stopping.is_set():
            try:
                async with await psycopg.AsyncConnection.connect(
                    **self._store.connect_arguments(), autocommit=True
                ) as connection:
                    failures = 0
                    await self._listen(connection, stopping)
            except psycopg.OperationalError:
                # Who works with the database says in the log that it is away; until it is back there is nothing to hear.
                failures += 1
                with contextlib.suppress(TimeoutError):
                    await asyncio.wait_for(stopping.wait(), timeout=backoff(failures, most=LONGEST_PAUSE))

    async def _listen(
        self, connection: psycopg.AsyncConnection[tuple[object, ...]], stopping: asyncio.Event
    ) -> None:
        for channel in self._wakes:
            await connection.execute(f"LISTEN {channel}")
        for wake in self._wakes.values():
            wake()  # for what came before we listened
        while not stopping.is_set():
            async for told in connection.notifies(timeout=STOPS_WITHIN):
                self._wakes[told.channel]()
