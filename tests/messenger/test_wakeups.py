"""A process hears at once what another one stored, on PostgreSQL."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import pytest
from sqlalchemy import text

from bot.domain.ids import ChatId
from bot.domain.outgoing import OutgoingMessage
from bot.messenger.wakeups import Wakeups
from bot.storage.store import Store
from tests.messenger.conftest import NOW

POSTGRESQL = pytest.mark.parametrize("database", ["postgresql"], indirect=True)
SOON = 5.0  # seconds; a machine much used is slow, and nobody looks by himself here


class Ears:
    """Listens, and says what was heard."""

    def __init__(self, store: Store) -> None:
        self.inbox, self.outbox = asyncio.Event(), asyncio.Event()
        self._wakeups = Wakeups(store, {"inbox": self.inbox.set, "outbox": self.outbox.set})

    @asynccontextmanager
    async def open(self) -> AsyncIterator[None]:
        stopping = asyncio.Event()
        task = asyncio.create_task(self._wakeups.run(stopping))
        try:
            await self.heard_both()
            yield
        finally:
            stopping.set()
            await asyncio.wait_for(task, SOON)

    async def heard_both(self) -> None:
        """Wait until it listens, which it says by waking both once."""
        for heard in (self.inbox, self.outbox):
            await asyncio.wait_for(heard.wait(), SOON)
            heard.clear()


def keep(store: Store, update_id: int) -> None:
    with store.write() as uow:
        assert uow.inbox.keep([{"update_id": update_id, "message": {"chat": {"id": 5}}}], NOW) == 1


def _say_and_fail(store: Store) -> None:
    with store.write() as uow:
        uow.outbox.put(OutgoingMessage(chat_id=ChatId(5), text="hello"), NOW)
        raise ZeroDivisionError


@POSTGRESQL
async def test_what_another_connection_commits_is_heard_and_nothing_else(store: Store) -> None:
    ears = Ears(store)
    async with ears.open():
        await asyncio.to_thread(keep, store, 1)
        await asyncio.wait_for(ears.inbox.wait(), SOON)
        assert not ears.outbox.is_set()

        with store.write() as uow:
            uow.outbox.put(OutgoingMessage(chat_id=ChatId(5), text="hello"), NOW)
        await asyncio.wait_for(ears.outbox.wait(), SOON)


@POSTGRESQL
async def test_what_is_rolled_back_wakes_nobody(store: Store) -> None:
    ears = Ears(store)
    async with ears.open():
        with pytest.raises(ZeroDivisionError):
            _say_and_fail(store)
        # What is told comes in the order of the commits, so that this one stands behind it.
        await asyncio.to_thread(keep, store, 1)
        await asyncio.wait_for(ears.inbox.wait(), SOON)

        assert not ears.outbox.is_set()


@POSTGRESQL
async def test_a_lost_connection_is_made_again_and_both_are_woken(store: Store) -> None:
    ears = Ears(store)
    async with ears.open():
        with store.write() as uow:
            uow.conn.execute(
                text("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE query LIKE 'LISTEN%'")
            )

        await ears.heard_both()
        await asyncio.to_thread(keep, store, 1)
        await asyncio.wait_for(ears.inbox.wait(), SOON)
