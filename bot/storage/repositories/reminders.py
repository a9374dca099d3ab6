"""A family's plan and its day: reminders, and the log that the planner reads."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import bindparam, delete, func, select, update

from bot.domain.ids import FamilyId, ReminderId
from bot.domain.people import Family
from bot.domain.reminders import Reminder, ReminderState
from bot.storage import beat, day_statements
from bot.storage.prepared import Prepared
from bot.storage.repository import Repository
from bot.storage.rows import value_of
from bot.storage.tables import reminders
from scheduling.again import Standing
from scheduling.planner import LogEntry

# The planner balances sides over what was logged; older entries no longer move a count that matters.
LOG_DAYS = 60


class Reminders(Repository):
    def planner_log(self, family: Family, *, until: date, days: int = LOG_DAYS) -> list[LogEntry]:
        """Return what the planner must know of the past: sessions counted, and reminders sent but not done (0 minutes).

        A session that answers a reminder stands at the reminder's own time, so that gaps and caps see the prompt.
        """
        since = until - timedelta(days=days)
        counted = day_statements.COUNTED.all(self._conn, {"family": family.id, "since": since})
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
        return entries + [
            LogEntry(
                activity=sent.activity, minutes=0, side=sent.side, at=family.local(sent.due_at), prompted=True
            )
            for sent in day_statements.SENT.all(self._conn, {"family": family.id, "since": since})
            if sent.id not in answered
        ]

    def replace_planned(self, family_id: FamilyId, day: date, prompts: Sequence[dict[str, Any]]) -> None:
        """Put the prompts of a day in place of those not sent yet, but for those that somebody asked for.

        The slot counts an activity's reminders of the day, sent ones included, so that no two can be the same.
        """
        day_statements.DROP.change(self._conn, {"family": family_id, "day": day})
        self.add_planned(family_id, day, prompts)

    def add_planned(self, family_id: FamilyId, day: date, prompts: Sequence[dict[str, Any]]) -> None:
        """Add prompts to a day."""
        taken = day_statements.SLOTS.all(self._conn, {"family": family_id, "day": day})
        slots: dict[str, int] = {row.activity: row.last for row in taken}
        for prompt in prompts:
            slots[prompt["activity"]] = slot = slots.get(prompt["activity"], 0) + 1
            where = {"family_id": family_id, "local_date": day, "slot": slot, "state": "planned"}
            day_statements.ADD.insert(self._conn, {**prompt, **where})

    def pinned_on(self, family: Family, day: date) -> list[LogEntry]:
        """Return prompts that were asked for and are still to come, as the planner must see them: already settled."""
        rows = day_statements.PINNED.all(self._conn, {"family": family.id, "day": day})
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

    def standing_on(self, family: Family, day: date) -> list[Standing]:
        """Return the planned prompts of a day that nobody asked for: those that replanning may keep or move."""
        rows = day_statements.STANDING.all(self._conn, {"family": family.id, "day": day})
        return [Standing(family.local(row.due_at), row.activity, int(row.minutes)) for row in rows]

    def drop_planned(self, family_id: FamilyId, *, before: datetime | None = None) -> None:
        """Take back what is planned and not sent (all of it, or what was due before an instant)."""
        query = delete(reminders).where(reminders.c.family_id == family_id, reminders.c.state == "planned")
        self._conn.execute(query if before is None else query.where(reminders.c.due_at < before))

    def due(self, now: datetime, *, limit: int = 500) -> list[Reminder]:
        rows = beat.REMINDERS.all(self._conn, {"now": now, "most": limit})
        return [value_of(Reminder, row) for row in rows]

    def next_due(self) -> datetime | None:
        return beat.first_of(self._conn, beat.NEXT_REMINDER)

    def find(self, reminder_id: ReminderId) -> Reminder | None:
        row = _FIND.first(self._conn, {"reminder": reminder_id})
        return None if row is None else value_of(Reminder, row)

    def due_times(self, reminder_ids: Sequence[int]) -> list[datetime]:
        """Return when some reminders were due, in any order."""
        return list(self._conn.scalars(_DUE_TIMES, {"ids": list(reminder_ids)}))

    def recent(self, family_id: FamilyId, *, since: date) -> list[Reminder]:
        """Return a family's reminders of the local days from `since` on, in any state, by id."""
        rows = _RECENT.all(self._conn, {"family": family_id, "since": since})
        return [value_of(Reminder, row) for row in rows]

    def open_in_family(self, family_id: FamilyId, *, since: datetime) -> Reminder | None:
        """Return the reminder that a reply without a quote answers: the last sent one, still open, not older than `since`."""
        newest = self.last_sent(family_id)
        if newest is None or newest.state != "sent" or newest.sent_at is None:
            return None
        return newest if newest.sent_at >= since else None

    def unanswered(self, family_id: FamilyId) -> list[Reminder]:
        rows = self._conn.execute(
            select(reminders)
            .where(reminders.c.family_id == family_id, reminders.c.state == "sent")
            .order_by(reminders.c.id)
        )
        return [value_of(Reminder, row) for row in rows]

    def on_day(self, family_id: FamilyId, day: date) -> list[Reminder]:
        rows = day_statements.ON_DAY.all(self._conn, {"family": family_id, "day": day})
        return [value_of(Reminder, row) for row in rows]

    def mark(
        self, reminder_id: ReminderId, state: ReminderState, *, now: datetime, reason: str | None = None
    ) -> None:
        values: dict[str, Any] = {"state": state, "reason": reason}
        if state == "sent":
            values["sent_at"] = now
        else:
            values["closed_at"] = now
        _SET.change(self._conn, {"reminder": reminder_id, **values})

    def reopen(self, reminder_id: ReminderId) -> None:
        """Put a reminder back to where it was before it was answered."""
        self._conn.execute(
            update(reminders)
            .where(reminders.c.id == reminder_id)
            .values(state="sent", closed_at=None, reason=None)
        )

    def last_sent(self, family_id: FamilyId) -> Reminder | None:
        """Return the reminder that was sent last, whatever became of it."""
        row = _LAST_SENT.first(self._conn, {"family": family_id})
        return None if row is None else value_of(Reminder, row)

    def unpin(self, family_id: FamilyId, activity: str, local_day: date) -> None:
        """Leave a repeat that somebody asked for to the planner again: the activity was done, or is not planned any more."""
        self._conn.execute(
            update(reminders)
            .where(
                reminders.c.family_id == family_id,
                reminders.c.activity == activity,
                reminders.c.local_date == local_day,
                reminders.c.state == "planned",
            )
            .values(pinned=False)
        )

    def sent_and_answered(self, family_id: FamilyId, local_day: date) -> tuple[int, int]:
        """Return how many reminders of a day went out, and how many of them somebody answered in any way."""
        rows = self._conn.execute(
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

    def last_two(self, family_id: FamilyId, activity: str) -> list[tuple[datetime, bool]]:
        """Return the two newest answered reminders of an activity, the newest first: when each was sent, and whether the
        baby refused it."""
        rows = self._conn.execute(
            select(reminders.c.sent_at, reminders.c.state, reminders.c.reason)
            .where(
                reminders.c.family_id == family_id,
                reminders.c.activity == activity,
                reminders.c.sent_at.is_not(None),
                reminders.c.state.in_(("answered", "skipped")),
            )
            .order_by(reminders.c.sent_at.desc())
            .limit(2)
        )
        return [(row.sent_at, row.state == "skipped" and row.reason == "refused") for row in rows]

    def days_with_reminders(self, family_id: FamilyId, *, since: date) -> list[date]:
        """Return the local days from `since` on which a reminder was due, in order, even one that reached nobody."""
        rows = self._conn.scalars(
            select(reminders.c.local_date)
            .where(reminders.c.family_id == family_id, reminders.c.local_date >= since)
            .where(reminders.c.state != "planned")
            .distinct()
            .order_by(reminders.c.local_date)
        )
        return list(rows)

    def stale(self, before: datetime) -> list[Reminder]:
        """Return sent reminders that nobody answered and whose day is over."""
        rows = beat.STALE_REMINDERS.all(self._conn, {"before": before, "most": 500})
        return [value_of(Reminder, row) for row in rows]


# Built once: every message asks for them. What is set, is told by the values given.
_FIND = Prepared(select(reminders).where(reminders.c.id == bindparam("reminder")))
_SET = Prepared(update(reminders).where(reminders.c.id == bindparam("reminder")))
_RECENT = Prepared(
    select(reminders)
    .where(reminders.c.family_id == bindparam("family"), reminders.c.local_date >= bindparam("since"))
    .order_by(reminders.c.id)
)
_LAST_SENT = Prepared(
    select(reminders)
    .where(reminders.c.family_id == bindparam("family"), reminders.c.sent_at.is_not(None))
    .order_by(reminders.c.sent_at.desc(), reminders.c.id.desc())
    .limit(1)
)
_DUE_TIMES = select(reminders.c.due_at).where(reminders.c.id.in_(bindparam("ids", expanding=True)))
