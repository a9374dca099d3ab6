"""The real bot on a clock that jumps: everything due is done, everything said is delivered, then time moves on."""

from __future__ import annotations

import contextlib
from collections.abc import AsyncIterator
from datetime import datetime

from bot.activities.library import Library
from bot.clock import SteppedClock
from bot.messenger.api import make_bot
from bot.messenger.drawing import Drawer
from bot.messenger.parts import Parts
from bot.storage.store import Store
from demo.messaging import MessagingServer


class Rehearsal:
    """One bot on one store, talking over HTTP with a local messaging server; it draws in a thread, one after the other."""

    def __init__(self, parts: Parts, clock: SteppedClock, server: MessagingServer) -> None:
        self.parts, self.clock, self.server = parts, clock, server

    async def settle(self) -> None:
        """Fetch, handle, draw and send until there is nothing left to do at this moment."""
        while True:
            fetched = await self.parts.intake.poll_once(0)
            handled = False
            while await self.parts.handler.handle_waiting():
                handled = True
            await self.parts.periodic_jobs.run_all()
            while await self.parts.renderer.render_one():
                pass
            await self._send_all()
            if not fetched and not handled:
                return

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


@contextlib.asynccontextmanager
async def rehearsing(
    store: Store, library: Library, clock: SteppedClock, server: MessagingServer
) -> AsyncIterator[Rehearsal]:
    """Wire the bot to a local server, without limits of sending: this server is our own."""
    bot = make_bot(server.token, server.base_url, server.file_url)
    await bot.initialize()
    try:
        parts = Parts(store, bot, clock, library, rates=None, drawer=Drawer(library, in_process=False))
        try:
            yield Rehearsal(parts, clock, server)
        finally:
            parts.close()
    finally:
        await bot.shutdown()
