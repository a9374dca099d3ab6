"""The real bot on a clock that jumps: everything due is done, everything said is delivered, then time moves on."""

from __future__ import annotations

import contextlib
from collections.abc import AsyncIterator, Callable
from datetime import datetime
from typing import TypeVar

from telegram import Bot

from bot.activities.library import Library
from bot.clock import SteppedClock
from bot.messenger.api import make_bot
from bot.messenger.drawing import Drawer
from bot.messenger.parts import Parts
from bot.messenger.workers import Workers
from bot.storage.store import Store
from bot.storage.unit_of_work import UnitOfWork
from demo.messaging import MessagingServer
from demo.messaging.in_process import InProcessRequest

T = TypeVar("T")


class Rehearsal:
    """One bot on one store, talking with a local messaging server; it draws in a thread, one after the other."""

    def __init__(self, parts: Parts, clock: SteppedClock, server: MessagingServer) -> None:
        self.parts, self.clock, self.server = parts, clock, server

    async def settle(self) -> None:
        """Fetch, handle, draw and send until there is nothing left to do at this moment."""
        first = True
        while await self._took_in() or first:
            first = False
            await self.parts.periodic_jobs.run_all()
            while await self.parts.renderer.render_one():
                pass
            await self._send_all()

    async def _took_in(self) -> bool:
        """Fetch and handle what people did; return whether they did anything."""
        took = bool(await self.parts.intake.poll_once(0))
        while await self.parts.handler.handle_waiting():
            took = True
        return took

    async def _send_all(self) -> None:
        while not await self.parts.sender.idle():
            await self.parts.sender.turn()
            await self.parts.sender.finish()

    async def next_due(self) -> datetime | None:
        """Return the next instant at which the bot has something to do by itself."""
        return await self.parts.periodic_jobs.next_due()

    async def jump(self, instant: datetime) -> None:
        """Move on to `instant`, stopping at everything that is due on the way."""
        while True:
            due = await self.next_due()
            if due is None or due > instant:
                break
            before = self.clock.now()
            self.clock.move_to(due)
            await self.settle()
            if due <= before and await self.next_due() == due:
                break  # nothing could be done about it now; the next real event will
        self.clock.move_to(instant)
        await self.settle()


class OneThread(Workers):
    """Units of work in the thread that asks for them: whoever lives weeks alone has nobody to keep waiting."""

    async def write(self, work: Callable[[UnitOfWork], T]) -> T:
        return self._in_write(work)

    async def read(self, work: Callable[[UnitOfWork], T]) -> T:
        return self._in_read(work)


@contextlib.asynccontextmanager
async def rehearsing(
    store: Store, library: Library, clock: SteppedClock, server: MessagingServer
) -> AsyncIterator[Rehearsal]:
    """Wire the bot to a local server, without limits of sending: this server is our own.

    One that listens is spoken to over HTTP, as the world would; one that does not, in this process and thread.
    """
    over_http = server.listens
    bot = make_bot(server.token, server.base_url, server.file_url) if over_http else _bot_beside(server)
    await bot.initialize()
    try:
        workers = Workers(store) if over_http else OneThread(store)
        drawer = Drawer(library, in_process=False)
        parts = Parts(store, bot, clock, library, rates=None, drawer=drawer, workers=workers)
        try:
            yield Rehearsal(parts, clock, server)
        finally:
            parts.close()
    finally:
        await bot.shutdown()


def _bot_beside(server: MessagingServer) -> Bot:
    return Bot(
        server.token,
        base_url=server.base_url,
        base_file_url=server.file_url,
        request=InProcessRequest(server.service),
        get_updates_request=InProcessRequest(server.service),
    )
