"""Takes stored updates in order and hands them to the features, each with its effects in a savepoint of its own.

Updates that wait at the same time share one commit; one that fails takes back only itself.
"""

from __future__ import annotations

import asyncio
import time
from collections import Counter
from collections.abc import Callable

import structlog

from bot.clock import Clock, backoff, real_seconds
from bot.errors import where_it_broke
from bot.features.events import Event
from bot.features.routing.router import Router
from bot.messenger.metrics import Metrics
from bot.messenger.updates import event_from
from bot.messenger.workers import Workers
from bot.storage.repositories.inbox import Stored
from bot.storage.trouble import DatabaseAway, why_away
from bot.storage.unit_of_work import UnitOfWork

MOST_ATTEMPTS = 5
MOST_ATTEMPTS_URGENT = (
    2  # words that may hold a concern do not wait long for a retry: a person is to read them
)
FIRST_RETRY, FIRST_RETRY_URGENT = 2.0, 0.2  # seconds
MOST_A_COMMIT = 20
TAKEN_AT_ONCE = 12  # what is taken and not reached is unsealed in vain
MOST_STRANGERS_A_COMMIT = 2
LONGEST_BATCH = 0.05  # seconds after which a batch takes no further update, so that others may write

LONGEST_PAUSE = 5.0  # seconds between two tries while the database is away

log = structlog.get_logger(__name__)


class Handler:
    """Reads the inbox in order of arrival within a chat. `queued` is called when something may stand in the outbox."""

    def __init__(
        self,
        workers: Workers,
        clock: Clock,
        router: Router,
        metrics: Metrics,
        queued: Callable[[], None],
    ) -> None:
        self._workers, self._clock, self._router = workers, clock, router
        self._metrics, self._queued = metrics, queued
        self.wake = asyncio.Event()

    async def run(self, stopping: asyncio.Event) -> None:
        failures = 0
        while not stopping.is_set():
            self.wake.clear()
            try:
                handled, failures = await self.handle_waiting(), 0
            except DatabaseAway:
                handled, failures = 0, failures + 1
            except Exception as error:
                # Whatever it is, the next update must not wait for somebody to start us again.
                handled, failures = 0, failures + 1
                log.exception("updates not handled", error_type=type(error).__name__)
            if handled:
                continue
            try:
                await asyncio.wait_for(
                    self.wake.wait() if not failures else stopping.wait(),
                    timeout=backoff(failures, most=LONGEST_PAUSE),
                )
            except TimeoutError:
                continue

    async def handle_waiting(self) -> int:
        """Handle what waits, in one commit; return how many updates that were."""
        outcomes, tally = await self._workers.write(lambda uow: (self._batch(uow), uow.tally))
        for outcome, n in outcomes.items():
            self._metrics.handled.labels(outcome=outcome).inc(n)
        self._metrics.note(tally)
        if outcomes:
            self._queued()
        return outcomes.total()

    def _batch(self, uow: UnitOfWork) -> Counter[str]:
        outcomes: Counter[str] = Counter()
        strangers = MOST_STRANGERS_A_COMMIT
        ends = time.monotonic() + LONGEST_BATCH
        while outcomes.total() < MOST_A_COMMIT and time.monotonic() < ends:
            room = min(TAKEN_AT_ONCE, MOST_A_COMMIT - outcomes.total())
            taken = uow.inbox.take(real_now=real_seconds(), limit=room, strangers=strangers)
            if not taken:
                break
            done = []
            for stored in taken:
                # Whatever is logged meanwhile can be told to belong to this update.
                with structlog.contextvars.bound_contextvars(update=stored.update_id):
                    outcome = self._handle(uow, stored)
                    log.debug("update handled", outcome=outcome, seq=stored.seq)
                outcomes[outcome] += 1
                strangers -= not stored.known
                if outcome == "done":
                    done.append(stored)
                if time.monotonic() > ends:
                    break
            uow.inbox.done(done)
        return outcomes

    def _handle(self, uow: UnitOfWork, stored: Stored) -> str:
        try:
            event = event_from(stored.raw, self._clock)
        except Exception as error:
            # It will never be parsed, so nothing waits for a retry.
            log.exception("update not parsed", seq=stored.seq, error_type=type(error).__name__)
            return self._give_up(uow, stored, error)
        try:
            self._receive(uow, event)
        except Exception as error:
            if why_away(error):
                raise  # not this update's doing: it is read again when the database is back
            # Never the person's words: only where it broke.
            log.exception("update not handled", seq=stored.seq, error_type=type(error).__name__)
            return self._note_failure(uow, stored, error)
        return "done"

    def _receive(self, uow: UnitOfWork, event: Event | None) -> None:
        if event is not None:
            with uow.savepoint():
                self._router.receive(uow, event)

    def _note_failure(self, uow: UnitOfWork, stored: Stored, error: Exception) -> str:
        if stored.attempts + 1 >= (MOST_ATTEMPTS_URGENT if stored.urgent else MOST_ATTEMPTS):
            return self._give_up(uow, stored, error)
        first = FIRST_RETRY_URGENT if stored.urgent else FIRST_RETRY
        uow.inbox.failed(
            stored.seq,
            error=_said(error),
            retry_at=real_seconds() + backoff(stored.attempts + 1, first=first),
        )
        return "failed"

    def _give_up(self, uow: UnitOfWork, stored: Stored, error: Exception) -> str:
        """Set an update aside, and pass its words on to a person."""
        uow.inbox.set_aside(stored.seq, _said(error))
        try:
            with uow.savepoint():
                self._router.not_handled(uow, stored.raw)
        except Exception as failed:
            if why_away(failed):
                raise
            log.exception("words not passed on", seq=stored.seq)
        return "dead"


def _said(error: Exception) -> str:
    """Return what is kept of an error: where it broke, since its message may hold a person's words."""
    return where_it_broke(error)
