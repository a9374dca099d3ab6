"""Takes stored updates one by one and hands them to the conversation, each in one transaction with its effects."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

import structlog
from sqlalchemy.ext.asyncio import AsyncConnection
from telegram import Bot

from bot.clock import Clock, real_seconds
from bot.conversation.front_door import FrontDoor
from bot.messenger.metrics import Metrics
from bot.messenger.updates import incoming_from
from bot.records import inbox
from bot.records.inbox import Stored
from bot.records.store import Store

RETRY = 2.0  # seconds, doubled with each failure

log = structlog.get_logger(__name__)


class Handler:
    """Reads the inbox in order of arrival within a chat. `said` is called when something was put in the outbox."""

    def __init__(
        self,
        store: Store,
        bot: Bot,
        clock: Clock,
        door: FrontDoor,
        metrics: Metrics,
        said: Callable[[], None],
    ) -> None:
        self._store, self._bot, self._clock, self._door = store, bot, clock, door
        self._metrics, self._said = metrics, said
        self.wake = asyncio.Event()

    async def run(self, stopping: asyncio.Event) -> None:
        while not stopping.is_set():
            self.wake.clear()
            if await self.handle_one():
                continue
            try:
                await asyncio.wait_for(self.wake.wait(), timeout=1.0)
            except TimeoutError:
                continue

    async def handle_one(self) -> bool:
        """Handle the oldest waiting update; return whether there was one."""
        stored = None
        try:
            async with self._store.write() as conn:
                stored = await inbox.next_waiting(conn, real_now=real_seconds())
                if stored is None:
                    return False
                incoming = incoming_from(stored.raw, self._bot, self._clock)
                if incoming is not None:
                    await self._door.receive(conn, incoming)
                await inbox.done(conn, stored.seq)
        except Exception as error:
            if stored is None:
                raise
            await self._note_failure(stored, error)
            return True
        self._metrics.handled.labels(outcome="done").inc()
        self._said()
        return True

    async def _note_failure(self, stored: Stored, error: Exception) -> None:
        # Never the person's words: only where it broke.
        log.exception("update not handled", seq=stored.seq, error_type=type(error).__name__)
        async with self._store.write() as conn:
            dead = await inbox.failed(
                conn,
                stored.seq,
                error=f"{type(error).__name__}: {error}",
                retry_at=real_seconds() + RETRY * 2**stored.attempts,
            )
            if dead:
                await self._pass_on(conn, stored)
        self._said()
        self._metrics.handled.labels(outcome="dead" if dead else "failed").inc()

    async def _pass_on(self, conn: AsyncConnection, stored: Stored) -> None:
        """Have the words of an update that is given up reach the therapist; should that fail too, it stays given up."""
        try:
            async with conn.begin_nested():
                await self._door.not_handled(conn, stored.raw)
        except Exception:
            log.exception("words not passed on", seq=stored.seq)
