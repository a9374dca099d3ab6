"""What is due by the clock: plan days, say reminders, close them, forward and repeat worries, send digests, tidy up."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence
from datetime import datetime, timedelta
from functools import partial

import structlog

from bot.conversation import planning, worrying
from bot.conversation.carer import asking, prompted, reminding, travel
from bot.conversation.desk import Desk
from bot.conversation.front_door import FrontDoor
from bot.conversation.plan import plan_told
from bot.conversation.therapist import cover_talk, digesting, quieting
from bot.messenger.metrics import Metrics
from bot.records import day, erase, inbox, outbox, people, worries
from bot.records.store import Store
from scheduling.runner import Heartbeat

FAMILIES_A_TURN = 50  # planned in one transaction
EXPIRES_AFTER = timedelta(hours=20)  # an unanswered reminder is closed even where no next one comes
KEEP_EDGE_ROWS = timedelta(days=30)

log = structlog.get_logger(__name__)

Work = Callable[[Desk], Awaitable[None]]


class Heartbeats:
    """Each beat is one transaction; a beat that fails is logged and tried again at the next."""

    def __init__(
        self,
        store: Store,
        door: FrontDoor,
        metrics: Metrics,
        said: Callable[[], None],
        also: Sequence[Heartbeat] = (),
    ) -> None:
        self._store, self._door, self._metrics, self._said = store, door, metrics, said
        self._also = also  # beats that keep their transactions themselves

    def all(self) -> list[Heartbeat]:
        return [
            Heartbeat("plan", timedelta(seconds=1), lambda: self._beat("plan", plan_days)),
            Heartbeat("remind", timedelta(seconds=1), lambda: self._beat("remind", send_reminders)),
            Heartbeat("worries", timedelta(seconds=5), lambda: self._beat("worries", carry_worries)),
            Heartbeat("plans", timedelta(seconds=5), lambda: self._beat("plans", plan_told.tell_due)),
            Heartbeat("digest", timedelta(seconds=10), self._send_digests),
            Heartbeat("cover", timedelta(seconds=60), lambda: self._beat("cover", cover_talk.offer_digests)),
            Heartbeat("quiet", timedelta(seconds=5), lambda: self._beat("quiet", quieting.release_due)),
            Heartbeat("upkeep", timedelta(minutes=30), lambda: self._beat("upkeep", tidy_up)),
            *self._also,
        ]

    async def beat_all(self) -> None:
        """Do everything that is due now, in an order in which each sees what came before."""
        for heartbeat in self.all():
            await heartbeat.do()

    async def next_due(self) -> datetime | None:
        """Return the next instant at which a beat has something to do; for a clock that jumps."""
        async with self._store.read() as conn:
            therapists = await people.all_therapists(conn)
            known = [
                await day.next_due(conn),
                await day.next_planning(conn),
                await worries.next_wake(conn),
                await outbox.next_release(conn),
                await plan_told.next_due(conn, self._door.now()),
                *(therapist.next_digest_at for therapist in therapists),
            ]
        return min((instant for instant in known if instant is not None), default=None)

    async def _send_digests(self) -> None:
        """Send the digests that are due, each in its own transaction: a caseload's pictures take a second or two, in
        which a worry must not wait, and one that fails must not hold back the others."""
        due: list[str] = []

        async def look(desk: Desk) -> None:
            due.extend(await digesting.due_now(desk))

        await self._beat("digest", look)
        for therapist_id in due:
            await self._beat("digest", partial(digesting.send, therapist_id=therapist_id))

    async def _beat(self, name: str, work: Work) -> None:
        try:
            async with self._store.write() as conn:
                desk = await self._door.desk(conn)
                if desk is not None:
                    await work(desk)
        except Exception:
            self._metrics.ticks.labels(name=name, outcome="failed").inc()
            log.exception("heartbeat failed", name=name)
            return
        self._metrics.ticks.labels(name=name, outcome="done").inc()
        self._said()


async def plan_days(desk: Desk) -> None:
    """Plan the families whose day must be planned (anew); who came home is planned by home's clock."""
    await travel.bring_home(desk)
    for family_id in await day.families_to_plan(desk.conn, desk.now, limit=FAMILIES_A_TURN):
        await planning.plan_family(desk, family_id)


async def send_reminders(desk: Desk) -> None:
    """Say the reminders that are due; one that is too late is dropped and its day planned anew, never sent in a burst."""
    for reminder in await day.due_reminders(desk.conn, desk.now):
        family = await people.family(desk.conn, reminder.family_id)
        version = await day.plan_of(desk.conn, reminder.family_id)
        if family is None or version is None or family.state != "active":
            await day.mark_reminder(desk.conn, reminder.id, "dropped", now=desk.now)
        elif desk.now > reminder.late_after:
            await day.mark_reminder(desk.conn, reminder.id, "dropped", now=desk.now)
            await day.plan_anew(desk.conn, family.id, desk.now)
        else:
            await reminding.send(desk, reminder, family, version.plan)


async def carry_worries(desk: Desk) -> None:
    await worrying.forward_unanswered(desk)
    await worrying.tell_again(desk)
    await asking.tell_waiting(desk)


async def tidy_up(desk: Desk) -> None:
    """Close what nobody answered, and forget what the edge no longer needs."""
    for reminder in await day.stale(desk.conn, desk.now - EXPIRES_AFTER):
        await prompted.close(desk, reminder)
    await erase.forget_last_words(desk.conn)
    await inbox.forget(desk.conn, before=desk.now - KEEP_EDGE_ROWS)
    await outbox.forget(desk.conn, before=desk.now - KEEP_EDGE_ROWS)
