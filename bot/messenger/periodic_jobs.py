"""When what is due by the clock is done: plan days, say reminders, close them, repeat concerns, send digests, tidy up."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from functools import partial

import structlog

from bot.domain.ids import TherapistId
from bot.domain.keeping import FOR_EVER, Keeping
from bot.features.caseload import cover
from bot.features.concerns import notify
from bot.features.context import Context
from bot.features.digests import send
from bot.features.plan import announce, arm_hold
from bot.features.routing.router import Router
from bot.features.threads import how_is_baby, questions
from bot.messenger.due_work import SLICE, Slice, plan_days, release_held, send_reminders, tidy_up
from bot.messenger.metrics import Metrics
from bot.messenger.workers import Workers
from bot.storage.trouble import DatabaseAway
from bot.storage.unit_of_work import UnitOfWork
from scheduling.runner import PeriodicJob

# A run takes slice after slice for so long; what is left is done by the next run.
RUN_FOR = 0.8  # seconds

log = structlog.get_logger(__name__)

Work = Callable[[Context], object]


class PeriodicJobs:
    """Each run is one transaction, or several short ones; a run that fails is logged and tried again at the next."""

    def __init__(
        self,
        workers: Workers,
        router: Router,
        metrics: Metrics,
        queued: Callable[[], None],
        also: Sequence[PeriodicJob] = (),
        keeping: Keeping = FOR_EVER,
    ) -> None:
        self._workers, self._router, self._metrics, self._queued = workers, router, metrics, queued
        self._also = also  # jobs that keep their transactions themselves
        self._run_for, self._tidy_up = RUN_FOR, partial(tidy_up, keeping=keeping)

    def all(self) -> list[PeriodicJob]:
        return [
            PeriodicJob("plan", timedelta(seconds=1), lambda: self._in_slices("plan", plan_days)),
            PeriodicJob("remind", timedelta(seconds=1), lambda: self._in_slices("remind", send_reminders)),
            PeriodicJob("concerns", timedelta(seconds=5), lambda: self._run("concerns", notify_concerns)),
            PeriodicJob("plans", timedelta(seconds=5), lambda: self._run("plans", announce.tell_due)),
            PeriodicJob("arm holds", timedelta(minutes=5), lambda: self._run("arm holds", arm_hold.ask_due)),
            PeriodicJob("digest", timedelta(seconds=10), self._send_digests),
            PeriodicJob("cover", timedelta(seconds=60), lambda: self._run("cover", cover.offer_digests)),
            PeriodicJob("quiet", timedelta(seconds=5), lambda: self._in_slices("quiet", release_held)),
            PeriodicJob("upkeep", timedelta(minutes=30), lambda: self._in_slices("upkeep", self._tidy_up)),
            *self._also,
        ]

    async def run_all(self) -> None:
        """Do everything that is due now to its end, in an order in which each sees what came before."""
        self._run_for = float("inf")
        for periodic_job in self.all():
            await periodic_job.do()

    async def next_due(self) -> datetime | None:
        """Return the next instant at which a beat has something to do; for a clock that jumps."""
        return await self._workers.read(self._next_due)

    def _next_due(self, uow: UnitOfWork) -> datetime | None:
        known = [
            uow.reminders.next_due(),
            uow.families.next_planning(),
            uow.concerns.next_notification(),
            uow.outbox.next_release(),
            announce.next_due(uow, self._router.now()),
            *(therapist.next_digest_at for therapist in uow.therapists.all()),
        ]
        return min((instant for instant in known if instant is not None), default=None)

    async def _send_digests(self) -> bool:
        """Send the digests that are due, each in its own transaction: a caseload's pictures take a second or two, in
        which a concern must not wait, and one that fails must not hold back the others."""
        due: list[TherapistId] = []
        done = await self._run("digest", lambda context: due.extend(send.due_now(context)))
        for therapist_id in due:
            done &= await self._run("digest", partial(send.send, therapist_id=therapist_id))
        return done

    async def _in_slices(self, name: str, work: Slice) -> bool:
        """Do work in transactions of at most SLICE seconds each, between which others may write."""
        ends = time.monotonic() + self._run_for
        left: list[bool] = [True]

        def one_slice(context: Context) -> None:
            left.append(work(context, time.monotonic() + SLICE))

        while left and left.pop() and time.monotonic() < ends:
            if not await self._run(name, one_slice):
                return False
        return True

    async def _run(self, name: str, work: Work) -> bool:
        """Do one transaction; return whether it was done."""
        try:
            await self._workers.write(partial(self._in_context, work))
        except DatabaseAway:
            self._metrics.ticks.labels(name=name, outcome="failed").inc()
            return False
        except Exception:
            self._metrics.ticks.labels(name=name, outcome="failed").inc()
            log.exception("periodic_job failed", name=name)
            return False
        self._metrics.ticks.labels(name=name, outcome="done").inc()
        self._queued()
        return True

    def _in_context(self, work: Work, uow: UnitOfWork) -> None:
        context = self._router.context(uow)
        if context is not None:
            work(context)


def notify_concerns(context: Context) -> None:
    notify.forward_unanswered(context)
    notify.repeat_unseen(context)
    how_is_baby.ask_due(context)
    questions.tell_waiting(context)
