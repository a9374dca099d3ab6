"""What carers told: messages, sessions, observations, skips."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from sqlalchemy import func, insert, or_, select, update

from bot.domain.entries import EntryState, LogEntry, Side
from bot.storage.repository import Repository
from bot.storage.rows import AnyRow, kept, new_id, value_of
from bot.storage.tables import sessions


class Entries(Repository):
    def add(
        self,
        *,
        family_id: str,
        carer_id: str,
        local_date: date,
        at: datetime,
        state: EntryState,
        logged_at: datetime,
        activity: str | None = None,
        minutes: float | None = None,
        side: Side | None = None,
        local_at: str | None = None,
        message_id: int | None = None,
        reminder_id: int | None = None,
    ) -> int:
        """Enter minutes of one activity and return the entry's number. local_at: "HH:MM" where a time was said."""
        inserted = self._conn.execute(
            insert(sessions).values(
                family_id=family_id,
                carer_id=carer_id,
                local_date=local_date,
                at=at,
                state=state,
                logged_at=logged_at,
                activity=activity,
                minutes=minutes,
                side=side,
                local_at=local_at,
                message_id=message_id,
                reminder_id=reminder_id,
            )
        )
        return new_id(inserted)

    def find(self, session_id: int) -> LogEntry | None:
        row = (self._conn.execute(select(sessions).where(sessions.c.id == session_id))).first()
        return None if row is None else _session(row)

    def get(self, session_id: int) -> LogEntry:
        """Return an entry that is known to be kept. Raises NotKept."""
        return kept(self.find(session_id), "log entry", session_id)

    def count(self, session_id: int) -> None:
        """Have an entry count, whether it was asked about or taken back before."""
        self._set_state(session_id, "counted")

    def undo(self, session_id: int) -> None:
        """Take an entry back; it can be counted again."""
        self._set_state(session_id, "undone")

    def recent(self, family_id: str, *, since: datetime, first_day: date) -> list[LogEntry]:
        """Return the entries of a family that were logged since an instant or belong to a day from `first_day` on, by id.

        What an edit replaced is left out.
        """
        rows = self._conn.execute(
            select(sessions)
            .where(
                sessions.c.family_id == family_id,
                sessions.c.state != "replaced",
                or_(sessions.c.logged_at >= since, sessions.c.local_date >= first_day),
            )
            .order_by(sessions.c.id)
        )
        return [_session(row) for row in rows]

    def add_all(self, entries: Sequence[LogEntry]) -> list[int]:
        """Keep new entries, whatever numbers they bear; return those they got, in order."""
        return [
            self.add(
                family_id=entry.family_id,
                carer_id=entry.carer_id,
                message_id=entry.message_id,
                reminder_id=entry.reminder_id,
                activity=entry.activity,
                minutes=entry.minutes,
                side=entry.side,
                local_date=entry.local_date,
                local_at=entry.local_at,
                at=entry.at,
                state=entry.state,
                logged_at=entry.logged_at,
            )
            for entry in entries
        ]

    def set_state(self, ids: Sequence[int], state: EntryState) -> None:
        self._conn.execute(update(sessions).where(sessions.c.id.in_(ids)).values(state=state))

    def _set_state(self, session_id: int, state: EntryState) -> None:
        self._conn.execute(update(sessions).where(sessions.c.id == session_id).values(state=state))

    def correct(
        self,
        session_id: int,
        *,
        activity: str | None = None,
        minutes: float | None = None,
        side: Side | None = None,
        local_date: date | None = None,
        reminder_id: int | None = None,
    ) -> None:
        """Put right what is named; what is None stays as it is."""
        told = {
            "activity": activity,
            "minutes": minutes,
            "side": side,
            "local_date": local_date,
            "reminder_id": reminder_id,
        }
        changes = {name: value for name, value in told.items() if value is not None}
        if changes:
            self._conn.execute(update(sessions).where(sessions.c.id == session_id).values(changes))

    def note_twins(self, session_id: int, other_id: int) -> None:
        """Note that the family is asked whether two entries were one session."""
        for one, twin in ((session_id, other_id), (other_id, session_id)):
            self._conn.execute(update(sessions).where(sessions.c.id == one).values(twin_of=twin))

    def answer_reminder(self, session_id: int, reminder_id: int) -> None:
        """Have an entry stand as the answer to a reminder."""
        self._conn.execute(
            update(sessions).where(sessions.c.id == session_id).values(reminder_id=reminder_id)
        )

    def of_message(self, message_id: int) -> list[LogEntry]:
        """Return what a message logged as it stands now; what its earlier wording had logged is left out."""
        rows = self._conn.execute(
            select(sessions)
            .where(sessions.c.message_id == message_id, sessions.c.state != "replaced")
            .order_by(sessions.c.id)
        )
        return [_session(row) for row in rows]

    def of_reminder(self, reminder_id: int) -> list[LogEntry]:
        rows = self._conn.execute(
            select(sessions)
            .where(sessions.c.reminder_id == reminder_id, sessions.c.state == "counted")
            .order_by(sessions.c.id)
        )
        return [_session(row) for row in rows]

    def last_counted(self, family_id: str, carer_id: str) -> list[LogEntry]:
        """Return the sessions that the carer's last counted message or press logged, the oldest first."""
        rows = self._conn.execute(
            select(sessions)
            .where(
                sessions.c.family_id == family_id,
                sessions.c.carer_id == carer_id,
                sessions.c.state == "counted",
            )
            .order_by(sessions.c.id.desc())
            .limit(8)
        )
        found = [_session(row) for row in rows]
        if not found:
            return []
        newest = found[0]
        if newest.message_id is None:
            return [newest]
        return [session for session in reversed(found) if session.message_id == newest.message_id]

    def waiting(self, family_id: str, carer_id: str, *, since: datetime) -> LogEntry | None:
        """Return the newest entry of a carer that still needs an answer before it counts."""
        row = (
            self._conn.execute(
                select(sessions)
                .where(
                    sessions.c.family_id == family_id,
                    sessions.c.carer_id == carer_id,
                    sessions.c.state == "asked",
                    sessions.c.logged_at >= since,
                )
                .order_by(sessions.c.id.desc())
                .limit(1)
            )
        ).first()
        return None if row is None else _session(row)

    def similar(self, new: LogEntry, *, within: timedelta) -> list[LogEntry]:
        """Return sessions of other carers that may be the same as `new`: same activity, side and minutes, about then."""
        rows = self._conn.execute(
            select(sessions)
            .where(
                sessions.c.family_id == new.family_id,
                sessions.c.carer_id != new.carer_id,
                sessions.c.state == "counted",
                sessions.c.activity == new.activity,
                sessions.c.minutes == new.minutes,
                sessions.c.local_date == new.local_date,
                sessions.c.at >= new.at - within,
                sessions.c.at <= new.at + within,
            )
            .order_by(sessions.c.id)
        )
        return [
            found for row in rows if (found := _session(row)).side in (None, new.side) or new.side is None
        ]

    def counted_between(self, family_id: str, first: date, last: date) -> list[LogEntry]:
        """Return the sessions counted on the local days `first` to `last`, both included, in the order they happened."""
        rows = self._conn.execute(
            select(sessions)
            .where(
                sessions.c.family_id == family_id,
                sessions.c.state == "counted",
                sessions.c.local_date >= first,
                sessions.c.local_date <= last,
            )
            .order_by(sessions.c.at, sessions.c.id)
        )
        return [_session(row) for row in rows]

    def tries_of(self, family_id: str, carer_id: str, activity: str) -> list[datetime]:
        """Return when a carer logged each counted session of one activity, the oldest first."""
        rows = self._conn.scalars(
            select(sessions.c.logged_at)
            .where(
                sessions.c.family_id == family_id,
                sessions.c.carer_id == carer_id,
                sessions.c.activity == activity,
                sessions.c.state == "counted",
            )
            .order_by(sessions.c.logged_at)
        )
        return list(rows)

    def minutes_today(self, family_id: str, activity: str, day: date) -> float:
        total = self._conn.scalar(
            select(func.sum(sessions.c.minutes)).where(
                sessions.c.family_id == family_id,
                sessions.c.activity == activity,
                sessions.c.local_date == day,
                sessions.c.state == "counted",
            )
        )
        return float(total or 0)

    def replace_those_of(self, message_id: int) -> None:
        """Have what an edited message had logged give way to its new wording. It never counts again, by no button."""
        self._conn.execute(
            update(sessions).where(sessions.c.message_id == message_id).values(state="replaced")
        )


def _session(row: AnyRow) -> LogEntry:
    return value_of(LogEntry, row)
