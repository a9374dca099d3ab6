"""A family's plan and its day: reminders, and the log that the planner reads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any, Literal, cast

from sqlalchemy import Row, and_, delete, func, insert, or_, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.people import Family
from bot.records.tables import families, plans, reminders, sessions
from scheduling.again import Standing
from scheduling.plan import Plan, plan_from
from scheduling.planner import LogEntry

ReminderState = Literal["planned", "sent", "answered", "later", "skipped", "expired", "dropped"]

# The planner balances sides over what was logged; older entries no longer move a count that matters.
LOG_DAYS = 60

# Before any moment that a clock can show, a rehearsal clock's included.
AT_ONCE = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Reminder:
    id: int
    family_id: str
    activity: str
    local_date: date
    side: Literal["left", "right"] | None
    minutes: float
    moment: str | None
    because: Any
    due_at: datetime
    late_after: datetime
    state: ReminderState
    sent_at: datetime | None

    @property
    def about(self) -> str:
        return f"reminder:{self.id}"


def _reminder(row: Row[Any]) -> Reminder:
    return Reminder(
        id=row.id,
        family_id=row.family_id,
        activity=row.activity,
        local_date=row.local_date,
        side=row.side,
        minutes=row.minutes,
        moment=row.moment,
        because=row.because,
        due_at=row.due_at,
        late_after=row.late_after,
        state=row.state,
        sent_at=row.sent_at,
    )


@dataclass(frozen=True, slots=True)
class PlanVersion:
    version: int
    plan: Plan
    document: dict[str, Any]
    made_at: datetime
    made_by: str | None
    note: str | None


async def plan_of(conn: AsyncConnection, family_id: str) -> PlanVersion | None:
    """Return the plan in force: the newest version."""
    row = (
        await conn.execute(
            select(plans).where(plans.c.family_id == family_id).order_by(plans.c.version.desc()).limit(1)
        )
    ).first()
    return None if row is None else _version(row)


async def plan_versions(conn: AsyncConnection, family_id: str) -> list[PlanVersion]:
    rows = await conn.execute(select(plans).where(plans.c.family_id == family_id).order_by(plans.c.version))
    return [_version(row) for row in rows]


def _version(row: Row[Any]) -> PlanVersion:
    return PlanVersion(row.version, plan_from(row.document), row.document, row.made_at, row.made_by, row.note)


async def began_at(conn: AsyncConnection, family_id: str, first_version_at: datetime) -> datetime:
    """Return when a family began: with its first plan, or with its first reminder where a rehearsed day lies earlier."""
    first = await conn.scalar(select(func.min(reminders.c.due_at)).where(reminders.c.family_id == family_id))
    return min(first, first_version_at) if first is not None else first_version_at


async def add_plan(
    conn: AsyncConnection,
    family_id: str,
    document: dict[str, Any],
    *,
    made_by: str | None,
    now: datetime,
    note: str | None = None,
    told: bool = False,
) -> int:
    """Keep a new version of a plan and have the day planned anew; return its number. told: the family knows it."""
    newest = await conn.scalar(select(func.max(plans.c.version)).where(plans.c.family_id == family_id))
    version = (newest or 0) + 1
    plan = plan_from(document)
    await conn.execute(
        insert(plans).values(
            family_id=family_id,
            version=version,
            document=document,
            made_at=now,
            made_by=made_by,
            note=note,
            told_at=now if told else None,
        )
    )
    await conn.execute(
        update(families)
        .where(families.c.id == family_id)
        .values(nickname=plan.baby.nickname, time_zone=plan.time_zone, plan_at=AT_ONCE)
    )
    return version


async def plan_anew(conn: AsyncConnection, family_id: str, now: datetime) -> None:
    """Have the rest of a family's day planned at the next heartbeat."""
    await conn.execute(update(families).where(families.c.id == family_id).values(plan_at=now))


async def log_of(
    conn: AsyncConnection, family: Family, *, until: date, days: int = LOG_DAYS
) -> list[LogEntry]:
    """Return what the planner must know of the past: sessions counted, and reminders sent but not done (0 minutes).

    A session that answers a reminder stands at the reminder's own time, so that gaps and caps see the prompt.
    """
    since = until - timedelta(days=days)
    counted = await conn.execute(
        select(
            sessions.c.activity, sessions.c.minutes, sessions.c.side, sessions.c.at, sessions.c.local_date,
            sessions.c.local_at, sessions.c.reminder_id, reminders.c.due_at, reminders.c.local_date.label("prompt_date"),
        )
        .outerjoin(reminders, reminders.c.id == sessions.c.reminder_id)
        .where(sessions.c.family_id == family.id, sessions.c.state == "counted", sessions.c.local_date >= since)
        .order_by(sessions.c.at, sessions.c.id)
    )  # fmt: skip
    entries: list[LogEntry] = []
    answered: set[int] = set()
    for row in counted:
        first_answer = row.reminder_id is not None and row.reminder_id not in answered
        prompted = first_answer and row.prompt_date == row.local_date
        if prompted:
            answered.add(row.reminder_id)
        at: datetime | date = row.local_date
        if prompted:
            at = family.local(row.due_at)
        elif row.local_at is not None or family.local(row.at).date() == row.local_date:
            at = family.local(row.at)
        entries.append(
            LogEntry(activity=row.activity, minutes=row.minutes, side=row.side, at=at, prompted=prompted)
        )
    for sent in await _sent_reminders(conn, family.id, since):
        if sent.id not in answered:
            entries.append(
                LogEntry(
                    activity=sent.activity,
                    minutes=0,
                    side=sent.side,
                    at=family.local(sent.due_at),
                    prompted=True,
                )
            )
    return entries


async def _sent_reminders(conn: AsyncConnection, family_id: str, since: date) -> Sequence[Any]:
    rows = await conn.execute(
        select(reminders.c.id, reminders.c.activity, reminders.c.side, reminders.c.due_at)
        .where(
            reminders.c.family_id == family_id,
            reminders.c.local_date >= since,
            reminders.c.state.in_(("sent", "answered", "later", "skipped", "expired")),
        )
        .order_by(reminders.c.due_at)
    )
    return rows.all()


async def replace_planned(
    conn: AsyncConnection, family_id: str, day: date, prompts: Sequence[dict[str, Any]]
) -> None:
    """Put the prompts of a day in place of those not sent yet, but for those that somebody asked for.

    The slot counts an activity's reminders of the day, sent ones included, so that no two can be the same.
    """
    await conn.execute(
        delete(reminders).where(
            reminders.c.family_id == family_id,
            reminders.c.local_date == day,
            reminders.c.state == "planned",
            reminders.c.pinned.is_(False),
        )
    )
    await add_planned(conn, family_id, day, prompts)


async def add_planned(
    conn: AsyncConnection, family_id: str, day: date, prompts: Sequence[dict[str, Any]]
) -> None:
    """Add prompts to a day."""
    taken = await conn.execute(
        select(reminders.c.activity, func.max(reminders.c.slot))
        .where(reminders.c.family_id == family_id, reminders.c.local_date == day)
        .group_by(reminders.c.activity)
    )
    slots: dict[str, int] = {row[0]: row[1] for row in taken}
    values = []
    for prompt in prompts:
        slots[prompt["activity"]] = slot = slots.get(prompt["activity"], 0) + 1
        values.append({**prompt, "family_id": family_id, "local_date": day, "slot": slot, "state": "planned"})
    if values:
        await conn.execute(insert(reminders), values)


async def pinned_on(conn: AsyncConnection, family: Family, day: date) -> list[LogEntry]:
    """Return prompts that were asked for and are still to come, as the planner must see them: already settled."""
    rows = await conn.execute(
        select(reminders)
        .where(
            reminders.c.family_id == family.id,
            reminders.c.local_date == day,
            reminders.c.state == "planned",
            reminders.c.pinned.is_(True),
        )
        .order_by(reminders.c.due_at)
    )
    return [
        LogEntry(
            activity=row.activity,
            minutes=row.minutes,
            side=row.side,
            at=family.local(row.due_at),
            prompted=True,
        )
        for row in rows
    ]


async def standing_on(conn: AsyncConnection, family: Family, day: date) -> list[Standing]:
    """Return the planned prompts of a day that nobody asked for: those that planning anew may keep or move."""
    rows = await conn.execute(
        select(reminders.c.due_at, reminders.c.activity, reminders.c.minutes)
        .where(
            reminders.c.family_id == family.id,
            reminders.c.local_date == day,
            reminders.c.state == "planned",
            reminders.c.pinned.is_(False),
        )
        .order_by(reminders.c.due_at)
    )
    return [Standing(family.local(row.due_at), row.activity, int(row.minutes)) for row in rows]


async def drop_planned(conn: AsyncConnection, family_id: str, *, before: datetime | None = None) -> None:
    """Take back what is planned and not sent (all of it, or what was due before an instant)."""
    query = delete(reminders).where(reminders.c.family_id == family_id, reminders.c.state == "planned")
    await conn.execute(query if before is None else query.where(reminders.c.due_at < before))


async def due_reminders(conn: AsyncConnection, now: datetime, *, limit: int = 500) -> list[Reminder]:
    rows = await conn.execute(
        select(reminders)
        .where(reminders.c.state == "planned", reminders.c.due_at <= now)
        .order_by(reminders.c.due_at, reminders.c.id)
        .limit(limit)
        .with_for_update(skip_locked=True)
    )
    return [_reminder(row) for row in rows]


async def next_due(conn: AsyncConnection) -> datetime | None:
    return cast(
        "datetime | None",
        await conn.scalar(select(func.min(reminders.c.due_at)).where(reminders.c.state == "planned")),
    )


async def reminder(conn: AsyncConnection, reminder_id: int) -> Reminder | None:
    row = (await conn.execute(select(reminders).where(reminders.c.id == reminder_id))).first()
    return None if row is None else _reminder(row)


async def open_reminder(conn: AsyncConnection, family_id: str, *, since: datetime) -> Reminder | None:
    """Return the reminder that a reply without a quote answers: the last sent one, still open, not older than `since`."""
    row = (
        await conn.execute(
            select(reminders)
            .where(reminders.c.family_id == family_id, reminders.c.sent_at.is_not(None))
            .order_by(reminders.c.sent_at.desc(), reminders.c.id.desc())
            .limit(1)
        )
    ).first()
    return None if row is None or row.state != "sent" or row.sent_at < since else _reminder(row)


async def unanswered(conn: AsyncConnection, family_id: str) -> list[Reminder]:
    rows = await conn.execute(
        select(reminders)
        .where(reminders.c.family_id == family_id, reminders.c.state == "sent")
        .order_by(reminders.c.id)
    )
    return [_reminder(row) for row in rows]


async def reminders_on(conn: AsyncConnection, family_id: str, day: date) -> list[Reminder]:
    rows = await conn.execute(
        select(reminders)
        .where(reminders.c.family_id == family_id, reminders.c.local_date == day)
        .order_by(reminders.c.due_at)
    )
    return [_reminder(row) for row in rows]


async def mark_reminder(
    conn: AsyncConnection, reminder_id: int, state: ReminderState, *, now: datetime, reason: str | None = None
) -> None:
    values: dict[str, Any] = {"state": state, "reason": reason}
    if state == "sent":
        values["sent_at"] = now
    else:
        values["closed_at"] = now
    await conn.execute(update(reminders).where(reminders.c.id == reminder_id).values(**values))


async def reopen_reminder(conn: AsyncConnection, reminder_id: int) -> None:
    """Put a reminder back to where it was before it was answered."""
    await conn.execute(
        update(reminders)
        .where(reminders.c.id == reminder_id)
        .values(state="sent", closed_at=None, reason=None)
    )


async def last_sent(conn: AsyncConnection, family_id: str) -> Reminder | None:
    """Return the reminder that was sent last, whatever became of it."""
    row = (
        await conn.execute(
            select(reminders)
            .where(reminders.c.family_id == family_id, reminders.c.sent_at.is_not(None))
            .order_by(reminders.c.sent_at.desc(), reminders.c.id.desc())
            .limit(1)
        )
    ).first()
    return None if row is None else _reminder(row)


async def unpin(conn: AsyncConnection, family_id: str, activity: str, local_day: date) -> None:
    """Leave a repeat that somebody asked for to the planner again: the activity was done, or is not planned any more."""
    await conn.execute(
        update(reminders)
        .where(
            reminders.c.family_id == family_id,
            reminders.c.activity == activity,
            reminders.c.local_date == local_day,
            reminders.c.state == "planned",
        )
        .values(pinned=False)
    )


async def sent_and_answered(conn: AsyncConnection, family_id: str, local_day: date) -> tuple[int, int]:
    """Return how many reminders of a day went out, and how many of them somebody answered in any way."""
    rows = await conn.execute(
        select(reminders.c.state, func.count())
        .where(
            reminders.c.family_id == family_id,
            reminders.c.local_date == local_day,
            reminders.c.state.in_(("sent", "answered", "later", "skipped", "expired")),
        )
        .group_by(reminders.c.state)
    )
    counts: dict[str, int] = {row[0]: row[1] for row in rows}
    answered = sum(counts.get(state, 0) for state in ("answered", "later", "skipped"))
    return sum(counts.values()), answered


async def days_with_prompts(conn: AsyncConnection, family_id: str, *, since: date) -> list[date]:
    """Return the local days from `since` on on which at least one reminder was due, in order.

    A reminder that went to nobody, since nobody could be reached, counts too.
    """
    rows = await conn.scalars(
        select(reminders.c.local_date)
        .where(
            reminders.c.family_id == family_id,
            reminders.c.local_date >= since,
            reminders.c.state != "planned",
        )
        .distinct()
        .order_by(reminders.c.local_date)
    )
    return list(rows)


async def stale(conn: AsyncConnection, before: datetime) -> list[Reminder]:
    """Return sent reminders that nobody answered and whose day is over."""
    rows = await conn.execute(
        select(reminders)
        .where(reminders.c.state == "sent", reminders.c.sent_at < before)
        .order_by(reminders.c.id)
        .limit(500)
    )
    return [_reminder(row) for row in rows]


async def families_to_plan(conn: AsyncConnection, now: datetime, *, limit: int = 200) -> list[str]:
    """Return families whose day must be planned (or whose pause is over)."""
    rows = await conn.scalars(
        select(families.c.id)
        .where(
            or_(
                and_(families.c.state == "active", families.c.plan_at <= now),
                and_(families.c.state == "paused", families.c.paused_until <= now),
            )
        )
        .order_by(families.c.plan_at)
        .limit(limit)
        .with_for_update(skip_locked=True)
    )
    return list(rows.all())


async def next_planning(conn: AsyncConnection) -> datetime | None:
    """Return when the next family must be planned or resumed."""
    planned = await conn.scalar(select(func.min(families.c.plan_at)).where(families.c.state == "active"))
    resumed = await conn.scalar(select(func.min(families.c.paused_until)).where(families.c.state == "paused"))
    known = [instant for instant in (planned, resumed) if instant is not None]
    return min(known) if known else None
