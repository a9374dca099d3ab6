"""What carers told, and what was sent to them, in a period: rows read as the digest's facts."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import and_, func, or_, select

from bot.digest.facts import (
    ConcernFact,
    ConfidenceFact,
    NoteFact,
    ObservationFact,
    PromptFact,
    QuestionFact,
    SessionFact,
    SkipFact,
    UnreadFact,
)
from bot.domain.entries import LogEntry
from bot.domain.people import Family
from bot.storage.tables import confidences, messages, observations, reminders, skips
from bot.storage.unit_of_work import UnitOfWork


class Told:
    """Reads one family's rows of a period, each with the ids of the messages it came from."""

    def __init__(self, uow: UnitOfWork, family: Family, names: dict[str, str], known: int | None) -> None:
        """known: the newest message that the digest before this period knew; older ones that came later belong here."""
        self._uow, self._family, self._names, self._known = uow, family, names, known

    def _carer(self, carer_id: str) -> str:
        return self._names.get(carer_id, carer_id)

    def _local(self, instant: datetime) -> datetime:
        return self._family.local(instant)

    def days_with_word(self, start: datetime, end: datetime) -> frozenset[date]:
        wrote = self._uow.conn.scalars(
            select(messages.c.at).where(
                messages.c.family_id == self._family.id, messages.c.at >= start, messages.c.at < end
            )
        )
        pressed = self._uow.conn.scalars(
            select(reminders.c.closed_at).where(
                reminders.c.family_id == self._family.id,
                reminders.c.state.in_(("answered", "later", "skipped")),
                reminders.c.closed_at >= start,
                reminders.c.closed_at < end,
            )
        )
        return frozenset(self._local(at).date() for at in [*wrote, *pressed] if at is not None)

    def logged(self, start: datetime, end: datetime) -> tuple[SessionFact, ...]:
        """Sessions told of in a digest's period: nothing falls between two digests."""
        corrected = self._corrected(start, end)
        found = self._uow.entries.counted_logged(self._family.id, start, end)
        return self._sessions([session for session in found if session.message_id not in corrected])

    def done_on(self, first: date, last: date) -> tuple[SessionFact, ...]:
        return self._sessions(self._uow.entries.counted_between(self._family.id, first, last))

    def _sessions(self, found: Sequence[LogEntry]) -> tuple[SessionFact, ...]:
        return tuple(
            SessionFact(
                id=str(session.id),
                activity=session.activity,
                minutes=session.minutes or None,
                side=session.side,
                date=session.local_date,
                at=self._local(session.at),
                carer=self._carer(session.carer_id),
                messages=_traced(session.message_id),
            )
            for session in found
            if session.activity is not None
        )

    def prompts(self, start: datetime, end: datetime) -> tuple[PromptFact, ...]:
        rows = self._uow.conn.execute(
            select(reminders)
            .where(
                reminders.c.family_id == self._family.id,
                reminders.c.sent_at >= start,
                reminders.c.sent_at < end,
            )
            .order_by(reminders.c.sent_at)
        )
        return tuple(
            PromptFact(
                activity=row.activity,
                side=row.side,
                date=row.local_date,
                state=row.state,
                reason=row.reason,
                at=self._local(row.sent_at),
            )
            for row in rows
            if row.state != "dropped"
        )

    def skips(self, start: datetime, end: datetime) -> tuple[SkipFact, ...]:
        return tuple(
            SkipFact(
                reason=row.reason,
                activity=row.activity,
                date=self._local(row.at).date(),
                at=self._local(row.at),
                carer=self._carer(row.carer_id),
                messages=_traced(row.message_id),
            )
            for row in self._rows(skips, start, end)
        )

    def observations(self, start: datetime, end: datetime) -> tuple[ObservationFact, ...]:
        return tuple(
            ObservationFact(
                kind=row.kind,
                side=row.side,
                date=self._local(row.at).date(),
                at=self._local(row.at),
                carer=self._carer(row.carer_id),
                messages=_traced(row.message_id),
            )
            for row in self._rows(observations, start, end)
        )

    def confidence(self, until: datetime) -> tuple[ConfidenceFact, ...]:
        rows = self._uow.conn.execute(
            select(confidences)
            .where(
                confidences.c.family_id == self._family.id,
                confidences.c.value.is_not(None),
                confidences.c.at < until,
            )
            .order_by(confidences.c.at)
        )
        return tuple(
            ConfidenceFact(
                activity=row.activity,
                value=row.value,
                at=self._local(row.at),
                carer=self._carer(row.carer_id),
            )
            for row in rows
        )

    def concerns(self, start: datetime, end: datetime) -> tuple[ConcernFact, ...]:
        return tuple(
            ConcernFact(
                at=self._local(found.at),
                carer=self._carer(found.carer_id),
                urgency=found.urgency,
                text=found.text,
                answered_at=self._local(found.answered_at) if found.answered_at else None,
                messages=_traced(found.message_id),
            )
            for found in self._uow.concerns.between(self._family.id, start, end)
        )

    def questions(self, start: datetime, end: datetime) -> tuple[QuestionFact, ...]:
        return tuple(
            QuestionFact(
                at=self._local(found.at),
                carer=self._carer(found.carer_id),
                text=found.text,
                answered_at=self._local(found.answered_at) if found.answered_at else None,
                messages=_traced(found.message_id),
            )
            for found in self._uow.questions.between(self._family.id, start, end)
        )

    def unread(self, start: datetime, end: datetime) -> tuple[UnreadFact, ...]:
        return tuple(
            UnreadFact(
                at=self._local(row.at),
                carer=self._carer(row.carer_id),
                text=row.unread,
                messages=_traced(row.id),
            )
            for row in self._said(start, end)
            if row.unread
        )

    def files(self, start: datetime, end: datetime) -> tuple[NoteFact, ...]:
        """What the bot could not read at all: files that it passed on."""
        return tuple(
            NoteFact(
                at=self._local(row.at),
                kind="file",
                values={"carer": self._carer(row.carer_id), "what": row.kind},
            )
            for row in self._said(start, end)
            if row.kind in ("photo", "video", "voice", "document")
        )

    def _corrected(self, start: datetime, end: datetime) -> frozenset[int]:
        """Return the messages that the digest before told of already and that were changed in this period.

        What they say now is logged anew, but it must not be told as new; a note says that it was corrected.
        """
        return frozenset(row.id for row in self._said(start, end) if self._told_before(row, start))

    def _told_before(self, message: Any, start: datetime) -> bool:
        return (
            self._known is not None
            and message.edited_at is not None
            and message.at < start
            and message.id <= self._known
        )

    def corrections(self, start: datetime, end: datetime) -> tuple[NoteFact, ...]:
        return tuple(
            NoteFact(
                at=self._local(row.edited_at),
                text=row.text or "",
                kind="corrected",
                values={"carer": self._carer(row.carer_id), "day": self._local(row.at).date().isoformat()},
            )
            for row in self._said(start, end)
            if self._told_before(row, start)
        )

    def _said(self, start: datetime, end: datetime) -> list[Any]:
        """Return the messages written, or last changed, in [start, end), with those of before that came too late."""
        told = func.coalesce(messages.c.edited_at, messages.c.at)
        inside = and_(told >= start, told < end)
        if self._known is not None:
            inside = or_(inside, and_(told < start, messages.c.id > self._known))
        rows = self._uow.conn.execute(
            select(messages)
            .where(messages.c.family_id == self._family.id, inside)
            .order_by(messages.c.at, messages.c.id)
        )
        return list(rows)

    def _rows(self, table: Any, start: datetime, end: datetime) -> list[Any]:
        rows = self._uow.conn.execute(
            select(table)
            .where(table.c.family_id == self._family.id, table.c.at >= start, table.c.at < end)
            .order_by(table.c.at, table.c.id)
        )
        corrected = self._corrected(start, end)
        return [row for row in rows if row.message_id not in corrected]


def _traced(message_id: int | None) -> tuple[str, ...]:
    return () if message_id is None else (str(message_id),)
