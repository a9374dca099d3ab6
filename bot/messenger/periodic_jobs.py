"""What is due by the clock: plan days, say reminders, close them, forward and repeat concerns, send digests, tidy up."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from functools import partial

import structlog

from bot.features.access import quiet_hours
from bot.features.caseload import cover
from bot.features.concerns import alert
from bot.features.context import Context
from bot.features.digests import send
from bot.features.plan import announce
from bot.features.reminders import replanning, sending
from bot.features.routing.router import Router
from bot.features.schedule import travel
from bot.features.threads import questions
from bot.messenger.metrics import Metrics
from bot.messenger.workers import Workers
from bot.storage import erasure
from bot.storage.unit_of_work import UnitOfWork
from scheduling.runner import PeriodicJob

FAMILIES_A_TURN = 50  # planned in one transaction
EXPIRES_AFTER = timedelta(hours=20)  # an unanswered reminder is closed even where no next one comes
KEEP_EDGE_ROWS = timedelta(days=30)

log = structlog.get_logger(__name__)

Work = Callable[[Context], object]


class PeriodicJobs:
    """Each beat is one transaction; a beat that fails is logged and tried again at the next."""

    def __init__(
        self,
        workers: Workers,
        router: Router,
        metrics: Metrics,
        queued: Callable[[], None],
        also: Sequence[PeriodicJob] = (),
    ) -> None:
        self._workers, self._router, self._metrics, self._queued = workers, router, metrics, queued
        self._also = also  # beats that keep their transactions themselves

    def all(self) -> list[PeriodicJob]:
        return [
            PeriodicJob("plan", timedelta(seconds=1), lambda: self._run("plan", plan_days)),
            PeriodicJob("remind", timedelta(seconds=1), lambda: self._run("remind", send_reminders)),
            PeriodicJob("worries", timedelta(seconds=5), lambda: self._run("worries", notify_concerns)),
            PeriodicJob("plans", timedelta(seconds=5), lambda: self._run("plans", announce.tell_due)),
            PeriodicJob("digest", timedelta(seconds=10), self._send_digests),
            PeriodicJob("cover", timedelta(seconds=60), lambda: self._run("cover", cover.offer_digests)),
            PeriodicJob("quiet", timedelta(seconds=5), lambda: self._run("quiet", quiet_hours.release_due)),
            PeriodicJob("upkeep", timedelta(minutes=30), lambda: self._run("upkeep", tidy_up)),
            *self._also,
        ]

    async def run_all(self) -> None:
        """Do everything that is due now, in an order in which each sees what came before."""
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

    async def _send_digests(self) -> None:
        """Send the digests that are due, each in its own transaction: a caseload's pictures take a second or two, in
        which a concern must not wait, and one that fails must not hold back the others."""
        due: list[str] = []

        await self._run("digest", lambda context: due.extend(send.due_now(context)))
        for therapist_id in due:
            await self._run("digest", partial(send.send, therapist_id=therapist_id))

    async def _run(self, name: str, work: Work) -> None:
        try:
            await self._workers.write(partial(self._in_context, work))
        except Exception:
            self._metrics.ticks.labels(name=name, outcome="failed").inc()
            log.exception("periodic_job failed", name=name)
            return
        self._metrics.ticks.labels(name=name, outcome="done").inc()
        self._queued()

    def _in_context(self, work: Work, uow: UnitOfWork) -> None:
        context = self._router.context(uow)
        if context is not None:
            work(context)


def plan_days(context: Context) -> None:
    """Plan the families whose day must be planned (anew); who came home is planned by home's clock."""
    travel.bring_home(context)
    for family_id in context.uow.families.to_plan(context.now, limit=FAMILIES_A_TURN):
        replanning.plan_family(context, family_id)


def send_reminders(context: Context) -> None:
    """Say the reminders that are due; one that is too late is dropped and its day replanned, never sent in a burst."""
    for reminder in context.uow.reminders.due(context.now):
        family = context.uow.families.find(reminder.family_id)
        version = context.uow.plans.current(reminder.family_id)
        if family is None or version is None or family.state != "active":
            context.uow.reminders.mark(reminder.id, "dropped", now=context.now)
        elif context.now > reminder.late_after:
            context.uow.reminders.mark(reminder.id, "dropped", now=context.now)
            context.uow.families.request_replan(family.id, context.now)
        else:
            sending.send(context, reminder, family, version.plan)


def notify_concerns(context: Context) -> None:
    alert.forward_unanswered(context)
    alert.tell_again(context)
    questions.tell_waiting(context)


def tidy_up(context: Context) -> None:
    """Close what nobody answered, and forget what the edge no longer needs."""
    for reminder in context.uow.reminders.stale(context.now - EXPIRES_AFTER):
        sending.close(context, reminder)
    erasure.forget_last_words(context.uow)
    context.uow.inbox.forget(before=context.now - KEEP_EDGE_ROWS, limit=500)
    context.uow.outbox.forget(before=context.now - KEEP_EDGE_ROWS, limit=500)
