"""The sender and the intake against the local messaging server, with its faults."""

from __future__ import annotations

import asyncio
import copy
from collections.abc import AsyncIterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime

import pytest

from bot.activities.library import load_library
from bot.clock import SteppedClock
from bot.domain.outgoing import ToSay
from bot.messenger.api import make_bot
from bot.messenger.limits import Limits
from bot.messenger.parts import Parts
from bot.storage import import_caseload
from bot.storage.caseload_file import caseload_from
from bot.storage.store import Store
from bot.storage.tables import outbox
from demo import messaging
from demo.messaging import MessagingServer, Person
from tests.journeys.conftest import CASELOAD

MUM, ROBIN = 5001, 9001
NOW = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


@dataclass
class Edge:
    """The bot's edge with nothing behind it."""

    parts: Parts
    store: Store
    server: MessagingServer
    sam: Person
    clock: SteppedClock

    async def say(self, say: ToSay) -> int:
        with self.store.write() as uow:
            row_id = uow.outbox.put(say, NOW)
        assert row_id is not None
        return row_id

    async def send(self) -> None:
        """One turn of the sender: everything that may go now."""
        await self.parts.sender.turn()
        await self.parts.sender.finish()

    def heard(self, chat_id: int) -> list[str]:
        """Return what the bot has said in a private chat."""
        return [message.text for message in self.server.people[chat_id].messages(by_bot=True)]

    async def wait_for(self, seconds: float) -> None:
        """Wait as the sender does between two turns."""
        self.parts.sender.wake.clear()
        with suppress(TimeoutError):
            await asyncio.wait_for(self.parts.sender.wake.wait(), timeout=min(seconds, 0.1))

    async def state(self, row_id: int) -> tuple[str, str | None]:
        with self.store.read() as uow:
            row = (uow.conn.execute(outbox.select().where(outbox.c.id == row_id))).one()
        return row.state, row.error

    async def now_again(self) -> None:
        """Let what waits for a retry go at once."""
        self.parts.sender._quiet_until, self.parts.sender._limits = 0.0, Limits(None)
        with self.store.write() as uow:
            uow.conn.execute(outbox.update().values(retry_at=0.0))


@pytest.fixture
async def server() -> AsyncIterator[MessagingServer]:
    async with MessagingServer(limits=messaging.Limits.off(), webhook_pause_scale=0.001) as server:
        yield server


@pytest.fixture
async def edge(store: Store, server: MessagingServer) -> AsyncIterator[Edge]:
    bot = make_bot(server.token, server.base_url, server.file_url)
    await bot.initialize()
    clock = SteppedClock(NOW)
    parts = Parts(store, bot, clock, load_library(), rates=None)
    yield Edge(parts, store, server, server.people.add(5, "Sam"), clock)
    await bot.shutdown()


@pytest.fixture
def clinic(edge: Edge) -> Edge:
    """The edge with a clinic behind it: Mum (5001) and Grandpa (5002, Spanish) with Pip, and Robin the therapist (9001)."""
    loaded = caseload_from(copy.deepcopy(CASELOAD), list(load_library()), where="test")
    with edge.store.write() as uow:
        import_caseload.load(uow, loaded, NOW)
    for chat_id, name in ((MUM, "Mum"), (5002, "Grandpa"), (ROBIN, "Robin"), (77, "Stranger")):
        edge.server.people.add(chat_id, name)
    return edge
