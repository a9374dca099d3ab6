"""What carers told: messages, sessions, observations, skips."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from sqlalchemy import bindparam, insert, or_, select, update

from bot.domain.entries import EntryState, LogEntry
from bot.domain.ids import CarerId, EntryId, FamilyId, MessageId, ReminderId
from bot.storage.prepared import Prepared
from bot.storage.repository import Repository
from bot.storage.rows import AnyRow, kept, value_of
from bot.storage.tables import sessions
from scheduling.sides import Side


class Entries(Repository):
    def add(
        self,
        *,
        family_id: FamilyId,
        carer_id: CarerId,
        local_date: date,
        at: datetime,
        state: EntryState,
        logged_at: datetime,
        activity: str | None = None,
        minutes: float | None = None,
        side: Side | None = None,
        local_at: str | None = None,
        message_id: MessageId | None = None,
        reminder_id: ReminderId | None = None,
    ) -> EntryId:
        """Enter minutes of one activity and return the entry's number. local_at: "HH:MM" where a time was said."""
        values = {
            "family_id": family_id, "carer_id": carer_id, "message_id": message_id, "reminder_id": reminder_id,
            "activity": activity, "minutes": minutes, "side": side, "local_date": local_date, "local_at": local_at,
            "at": at, "state": state, "logged_at": logged_at,
        }  # fmt: skip
        return EntryId(_ADD.insert(self._conn, values))

    def find(self, session_id: EntryId) -> LogEntry | None:
        row = _FIND.first(self._conn, {"entry": session_id})
        return None if row is None else _session(row)

    def get(self, session_id: EntryId) -> LogEntry:
        """Return an entry that is known to be kept. Raises NotKept."""
        return kept(self.find(session_id), "log entry", session_id)

    def recent(self, family_id: FamilyId, *, since: datetime, first_day: date) -> list[LogEntry]:
        """Return the entries of a family that were logged since an instant or belong to a day from `first_day` on, by id.

        What an edit replaced is left out.
        """
        rows = _RECENT.all(self._conn, {"family": family_id, "since": since, "first_day": first_day})
        return [_session(row) for row in rows]

    def add_all(self, entries: Sequence[LogEntry]) -> list[EntryId]:
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
        self._conn.execute(_SET_STATE, {"ids": list(ids), "state": state})

    def correct(
        self,
        session_id: EntryId,
        *,
        activity: str | None = None,
        minutes: float | None = None,
        side: Side | None = None,
        local_date: date | None = None,
        at: datetime | None = None,
        reminder_id: ReminderId | None = None,
    ) -> None:
        """Put right what is named; what is None stays as it is."""
        told = {
            "activity": activity,
            "minutes": minutes,
            "side": side,
            "local_date": local_date,
            "at": at,
            "reminder_id": reminder_id,
        }
        changes = {name: value for name, value in told.items() if value is not None}
        if changes:
            _SET.change(self._conn, {"entry": session_id, **changes})

    def note_twins(self, session_id: EntryId, other_id: int) -> None:
        """Note that the family is asked whether two entries were one session."""
        for one, twin in ((session_id, other_id), (other_id, session_id)):
            self._conn.execute(update(sessions).where(sessions.c.id == one).values(twin_of=twin))

    def of_message(self, message_id: MessageId) -> list[LogEntry]:
        """Return what a message logged as it stands now; what its earlier wording had logged is left out."""
        rows = _OF_MESSAGE.all(self._conn, {"message": message_id})
        return [_session(row) for row in rows]

    def of_reminder(self, reminder_id: ReminderId) -> list[LogEntry]:
        rows = self._conn.execute(
            select(sessions)
            .where(sessions.c.reminder_id == reminder_id, sessions.c.state == "counted")
            .order_by(sessions.c.id)
        )
        return [_session(row) for row in rows]

    def counted_between(self, family_id: FamilyId, first: date, last: date) -> list[LogEntry]:
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

    def tries_of(self, family_id: FamilyId, carer_id: CarerId, activity: str) -> list[datetime]:
        """Return when a carer logged each counted session of one activity, the oldest first."""
        asked = {"family": family_id, "carer": carer_id, "of_activity": activity}
        return list(self._conn.scalars(_TRIES_OF, asked))

    def replace_those_of(self, message_id: MessageId) -> None:
        """Have what an edited message had logged give way to its new wording. It never counts again, by no button."""
        self._conn.execute(
            update(sessions).where(sessions.c.message_id == message_id).values(state="replaced")
        )


# ---------------------------------------------------------------- what each message asks for, built once

_ADD = Prepared(insert(sessions))
_FIND = Prepared(select(sessions).where(sessions.c.id == bindparam("entry")))
_SET = Prepared(
    update(sessions).where(sessions.c.id == bindparam("entry"))
)  # what is set, is told by the values given
_SET_STATE = update(sessions).where(sessions.c.id.in_(bindparam("ids", expanding=True)))
_STANDS = select(sessions).where(sessions.c.state != "replaced").order_by(sessions.c.id)
_RECENT = Prepared(
    _STANDS.where(
        sessions.c.family_id == bindparam("family"),
        or_(sessions.c.logged_at >= bindparam("since"), sessions.c.local_date >= bindparam("first_day")),
    )
)
_OF_MESSAGE = Prepared(_STANDS.where(sessions.c.message_id == bindparam("message")))
_TRIES_OF = (
    select(sessions.c.logged_at)
    .where(sessions.c.family_id == bindparam("family"), sessions.c.carer_id == bindparam("carer"))
    .where(sessions.c.activity == bindparam("of_activity"), sessions.c.state == "counted")
    .order_by(sessions.c.logged_at)
)


def _session(row: AnyRow) -> LogEntry:
    return value_of(LogEntry, row)
