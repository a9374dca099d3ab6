"""Fetches updates and stores them before they are acknowledged.

Asking with an offset confirms everything before it, so the offset moves only after the commit. The library's own
polling confirms first and handles later, and stops for ever at an update that it cannot parse.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable

import structlog
from telegram import Bot
from telegram.error import Conflict, EndPointNotFound, InvalidToken, RetryAfter, TelegramError

from bot.clock import Clock, backoff
from bot.messenger.api import fetch_updates, seconds_of
from bot.messenger.metrics import Metrics
from bot.messenger.triage import urgent_among
from bot.messenger.workers import Workers
from bot.storage.trouble import DatabaseAway

LONG_POLL = 25  # seconds that the service may hold a request open; it caps at 50

log = structlog.get_logger(__name__)


class Intake:
    """Polls for updates; `stored` is called after each commit that brought something."""

    def __init__(
        self, workers: Workers, bot: Bot, clock: Clock, metrics: Metrics, stored: Callable[[], None]
    ) -> None:
        self._workers, self._bot, self._clock, self._metrics, self._stored = (
            workers,
            bot,
            clock,
            metrics,
            stored,
        )
        self._offset: int | None = None
        self.problem: str | None = None

    async def run(self, stopping: asyncio.Event) -> None:
        begun, failures = False, 0
        while not stopping.is_set():
            try:
                if not begun:
                    last = await self._workers.read(lambda uow: uow.inbox.last_update_id())
                    self._offset, begun = None if last is None else last + 1, True
                await self._poll_unless(stopping)
                failures, self.problem = 0, None
            except RetryAfter as error:
                await _pause(stopping, seconds_of(error.retry_after))
            except (Conflict, InvalidToken, EndPointNotFound) as error:
                failures += 1
                self.problem = str(error)
                log.error("updates refused", error=error)
                await _pause(stopping, backoff(failures, first=2.0, most=10.0))
            except TelegramError as error:
                failures += 1
                self.problem = str(error)
                log.warning("no updates", error=error)
                await _pause(stopping, backoff(failures, first=0.5, most=30.0))
            except DatabaseAway:
                # What was fetched is not confirmed, so the service hands it over again.
                failures += 1
                await _pause(stopping, backoff(failures, first=0.5, most=5.0))

    async def _poll_unless(self, stopping: asyncio.Event) -> None:
        """One request; given up when we are to stop, which loses nothing since nothing is confirmed by it."""
        asking = asyncio.create_task(self.poll_once(LONG_POLL))
        stop = asyncio.create_task(stopping.wait())
        await asyncio.wait({asking, stop}, return_when=asyncio.FIRST_COMPLETED)
        stop.cancel()
        if not asking.done():
            asking.cancel()
            await asyncio.gather(asking, return_exceptions=True)
            return
        await asking

    async def poll_once(self, wait: int = 0) -> int:
        """Fetch, store, and only then move the offset; return how many updates came."""
        updates = await fetch_updates(self._bot, self._offset, wait=wait)
        if updates:
            now = self._clock.now()
            urgent = await asyncio.to_thread(urgent_among, updates)
            new = await self._workers.write(lambda uow: uow.inbox.keep(updates, now, urgent=urgent))
            self._offset = self._next_offset([raw["update_id"] for raw in updates], new)
            self._metrics.received.inc(new)
            self._stored()
        return len(updates)

    def _next_offset(self, ids: list[int], new: int) -> int:
        """Return the offset that confirms what was stored.

        An update handed over once more must not take it back; but after a quiet week ids start anew, perhaps lower.
        """
        ahead = [update_id for update_id in ids if self._offset is None or update_id >= self._offset]
        if ahead or self._offset is None:
            return max(ahead) + 1
        return ids[-1] + 1 if new else self._offset


async def _pause(stopping: asyncio.Event, seconds: float) -> None:
    try:
        await asyncio.wait_for(stopping.wait(), timeout=seconds)
    except TimeoutError:
        return
