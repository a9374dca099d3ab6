"""Makes what messages wait for: facts read in one short transaction, drawn in none, kept in another short one.

Only the leading process renders. What it had taken when it died is free again when the next one starts; what is
drawn twice is kept once.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from functools import partial

import structlog

from bot.clock import Clock, backoff, real_seconds
from bot.domain.outgoing import Drawn
from bot.features.routing.render_routes import Work, gather
from bot.features.routing.router import Router
from bot.messenger.drawing import Drawer
from bot.messenger.workers import Workers
from bot.phrases import words_for
from bot.storage.repositories.renderings import Taken
from bot.storage.trouble import DatabaseAway
from bot.storage.unit_of_work import UnitOfWork

LEASE = 300.0  # seconds; far longer than the largest document takes
LOOK_EVERY = 1.0  # seconds, for requests whose wake-up was missed and for those tried again
MOST_ATTEMPTS = 5

log = structlog.get_logger(__name__)


class Renderer:
    """Renders one request at a time. `wake` is set when one may wait; `filled` is called after each that was made."""

    def __init__(
        self, workers: Workers, router: Router, clock: Clock, drawer: Drawer, filled: Callable[[], None]
    ) -> None:
        self._workers, self._router, self._clock = workers, router, clock
        self.drawer, self._filled = drawer, filled
        self.wake = asyncio.Event()

    async def run(self, stopping: asyncio.Event) -> None:
        freed, failures = False, 0
        while not stopping.is_set():
            self.wake.clear()
            try:
                if not freed:
                    await self._workers.write(lambda uow: uow.renderings.free_all())
                    freed = True
                if await self.render_one():
                    continue
                failures = 0
            except DatabaseAway:
                freed, failures = (
                    False,
                    failures + 1,
                )  # what was in hand is free again when the database is back
            wait = backoff(failures, first=LOOK_EVERY) if failures else LOOK_EVERY
            with suppress(TimeoutError):
                await asyncio.wait_for(self.wake.wait(), timeout=wait)

    async def render_one(self) -> bool:
        """Make what is asked for most pressingly; return whether anything was."""
        if not await self._workers.read(lambda uow: uow.renderings.due(real_now=real_seconds())):
            return False
        taken = await self._workers.write(
            lambda uow: uow.renderings.take(real_now=real_seconds(), lease_until=real_seconds() + LEASE)
        )
        if taken is None:
            return False
        began = time.monotonic()
        try:
            work = await self._workers.read(partial(self._gathered, taken=taken))
            drawn = None if work is None else await self.drawer.draw(work)
        except DatabaseAway:
            raise
        except Exception as error:
            log.exception("not rendered", outbox=taken.id, what=taken.request.kind, attempts=taken.attempts)
            await self._workers.write(partial(self._failed, taken=taken, error=error))
        else:
            await self._workers.write(partial(self._keep, taken=taken, drawn=drawn))
            seconds = round(time.monotonic() - began, 3)
            log.info("rendered", outbox=taken.id, what=taken.request.kind, seconds=seconds)
        self._filled()
        return True

    def _gathered(self, uow: UnitOfWork, taken: Taken) -> Work | None:
        context = self._router.context(uow)
        if context is None:
            return None
        return gather(replace(context, now=taken.request.at), taken.request)

    def _keep(self, uow: UnitOfWork, taken: Taken, drawn: tuple[Drawn, ...] | None) -> None:
        if drawn is None:
            uow.renderings.drop(taken)
        else:
            uow.renderings.fill(taken, drawn, self._clock.now())

    def _failed(self, uow: UnitOfWork, taken: Taken, error: Exception) -> None:
        """Try again after a while; whoever waits hears in the end that it could not be made."""
        if taken.attempts < MOST_ATTEMPTS:
            at = real_seconds() + backoff(taken.attempts, first=2.0)
            uow.renderings.retry(taken, at=at, error=repr(error))
            return
        words = words_for(uow.chats.language_of(taken.chat_id))
        uow.renderings.fill(taken, [Drawn(text=words("edge.not_made"))], self._clock.now())
