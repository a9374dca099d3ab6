"""The sender and the intake against the local messaging server, with its faults."""

from __future__ import annotations

from collections.abc import AsyncIterator
from dataclasses import dataclass
from datetime import UTC, datetime

import pytest

from bot.activities.library import load_library
from bot.clock import SteppedClock
from bot.messenger.api import make_bot
from bot.messenger.serve import Parts
from bot.records import outbox
from bot.records.store import Store
from bot.say import Say
from demo.messaging import Limits, MessagingServer, Person

NOW = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


@dataclass
class Edge:
    """The bot's edge with nothing behind it."""

    parts: Parts
    store: Store
    server: MessagingServer
    sam: Person
    clock: SteppedClock

    async def say(self, say: Say) -> int:
        async with self.store.write() as conn:
            row_id = await outbox.put(conn, say, NOW)
        assert row_id is not None
        return row_id

    async def send(self) -> None:
        """One turn of the sender: everything that may go now."""
        await self.parts.sender.turn()
        await self.parts.sender.finish()

    async def state(self, row_id: int) -> tuple[str, str | None]:
        async with self.store.read() as conn:
            row = (await conn.execute(outbox.outbox.select().where(outbox.outbox.c.id == row_id))).one()
        return row.state, row.error

    async def now_again(self) -> None:
        """Let what waits for a retry go at once."""
        async with self.store.write() as conn:
            await conn.execute(outbox.outbox.update().values(retry_at=0.0))


@pytest.fixture
async def server() -> AsyncIterator[MessagingServer]:
    async with MessagingServer(limits=Limits.off(), webhook_pause_scale=0.001) as server:
        yield server


@pytest.fixture
async def edge(store: Store, server: MessagingServer) -> AsyncIterator[Edge]:
    bot = make_bot(server.token, server.base_url, server.file_url)
    await bot.initialize()
    clock = SteppedClock(NOW)
    parts = Parts(store, bot, clock, load_library(), rates=None)
    yield Edge(parts, store, server, server.people.add(5, "Sam"), clock)
    await bot.shutdown()
