"""Takes stored updates in order and hands them to the features, each with its effects in a savepoint of its own.

Updates that wait at the same time share one commit; one that fails takes back only itself.
"""

from __future__ import annotations

import asyncio
import time
from collections import Counter
from collections.abc import Callable

import structlog
from telegram import Bot

from bot.clock import Clock, real_seconds
from bot.features.routing.router import Router
from bot.messenger.metrics import Metrics
from bot.messenger.updates import event_from
from bot.messenger.workers import Workers
from bot.storage.repositories.inbox import Stored
from bot.storage.unit_of_work import UnitOfWork

RETRY = 2.0  # seconds, doubled with each failure
MOST_A_COMMIT = 20
LONGEST_BATCH = 0.05  # seconds after which a batch takes no further update, so that others may write

log = structlog.get_logger(__name__)


class Handler:
    """Reads the inbox in order of arrival within a chat. `queued` is called when something may stand in the outbox."""

    def __init__(
        self,
        workers: Workers,
        bot: Bot,
        clock: Clock,
        router: Router,
        metrics: Metrics,
        queued: Callable[[], None],
    ) -> None:
        self._workers, self._bot, self._clock, self._router = workers, bot, clock, router
        self._metrics, self._queued = metrics, queued
        self.wake = asyncio.Event()

    async def run(self, stopping: asyncio.Event) -> None:
        while not stopping.is_set():
            self.wake.clear()
            if await self.handle_waiting():
                continue
            try:
                await asyncio.wait_for(self.wake.wait(), timeout=1.0)
            except TimeoutError:
                continue

    async def handle_waiting(self) -> int:
        """Handle what waits, in one commit; return how many updates that were."""
        outcomes = await self._workers.write(self._batch)
        for outcome, n in outcomes.items():
            self._metrics.handled.labels(outcome=outcome).inc(n)
        if outcomes:
            self._queued()
        return outcomes.total()

    def _batch(self, uow: UnitOfWork) -> Counter[str]:
        outcomes: Counter[str] = Counter()
        ends = time.monotonic() + LONGEST_BATCH
        while outcomes.total() < MOST_A_COMMIT and time.monotonic() < ends:
            stored = uow.inbox.next_waiting(real_now=real_seconds())
            if stored is None:
                break
            outcomes[self._handle(uow, stored)] += 1
        return outcomes

    def _handle(self, uow: UnitOfWork, stored: Stored) -> str:
        try:
            with uow.savepoint():
                event = event_from(stored.raw, self._bot, self._clock)
                if event is not None:
                    self._router.receive(uow, event)
                uow.inbox.done(stored.seq)
        except Exception as error:
            # Never the person's words: only where it broke.
            log.exception("update not handled", seq=stored.seq, error_type=type(error).__name__)
            return self._note_failure(uow, stored, error)
        return "done"

    def _note_failure(self, uow: UnitOfWork, stored: Stored, error: Exception) -> str:
        dead = uow.inbox.failed(
            stored.seq,
            error=f"{type(error).__name__}: {error}",
            retry_at=real_seconds() + RETRY * 2**stored.attempts,
        )
        if not dead:
            return "failed"
        try:
            with uow.savepoint():
                self._router.not_handled(uow, stored.raw)
        except Exception:
            log.exception("words not passed on", seq=stored.seq)
        return "dead"
