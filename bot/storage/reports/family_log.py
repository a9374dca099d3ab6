"""What carers told, and what was sent to them, in a period: rows read as the digest's facts."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from sqlalchemy import Row

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
from bot.domain.ids import CarerId
from bot.domain.people import Family
from bot.storage.reports.rows import PRESSED, FamilyRows, within

FILES = ("photo", "video", "voice", "document")


class FamilyLog:
    """One family's rows as facts, each with the ids of the messages it came from."""

    def __init__(self, family: Family, rows: FamilyRows) -> None:
        self._family, self._rows = family, rows
        # The digest of this very period must say the same whenever it is drawn.
        self._messages = [
            row for row in rows.messages if rows.known_at_end is None or row.id <= rows.known_at_end
        ]

    def _carer(self, carer_id: CarerId) -> str:
        return self._rows.names.get(carer_id, carer_id)

    def _local(self, instant: datetime) -> datetime:
        return self._family.local(instant)

    def days_with_word(self, start: datetime, end: datetime) -> frozenset[date]:
        wrote = [row.at for row in within(self._messages, start, end)]
        pressed = [
            row.closed_at
            for row in self._rows.reminders
            if row.state in PRESSED and row.closed_at is not None and start <= row.closed_at < end
        ]
        return frozenset(self._local(at).date() for at in [*wrote, *pressed])

    def logged(self, start: datetime, end: datetime) -> tuple[SessionFact, ...]:
        """Sessions told of in a digest's period: nothing falls between two digests."""
        corrected = self._corrected(start, end)
        return self._sessions(
            row
            for row in self._rows.sessions
            if start <= row.logged_at < end and row.message_id not in corrected
        )

    def done_on(self, first: date, last: date) -> tuple[SessionFact, ...]:
        return self._sessions(row for row in self._rows.sessions if first <= row.local_date <= last)

    def _sessions(self, rows: Iterable[Row[Any]]) -> tuple[SessionFact, ...]:
        return tuple(
            SessionFact(
                id=str(row.id),
                activity=row.activity,
                minutes=row.minutes or None,
                side=row.side,
                date=row.local_date,
                at=self._local(row.at),
                carer=self._carer(row.carer_id),
                messages=_traced(row.message_id),
            )
            for row in rows
            if row.activity is not None
        )

    def prompts(self, start: datetime, end: datetime) -> tuple[PromptFact, ...]:
        return tuple(
            PromptFact(
                activity=row.activity,
                side=row.side,
                date=row.local_date,
                state=row.state,
                reason=row.reason,
                at=self._local(row.sent_at),
            )
            for row in self._rows.reminders
            if row.sent_at is not None and start <= row.sent_at < end and row.state != "dropped"
        )

    def skips(self, start: datetime, end: datetime) -> tuple[SkipFact, ...]:
        return tuple(
            SkipFact(
                reason=row.kind,
                activity=row.activity,
                date=self._local(row.at).date(),
                at=self._local(row.at),
                carer=self._carer(row.carer_id),
                messages=_traced(row.message_id),
            )
            for row in self._marks("skip", start, end)
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
            for row in self._marks("observation", start, end)
        )

    def _marks(self, mark: str, start: datetime, end: datetime) -> list[Row[Any]]:
        corrected = self._corrected(start, end)
        inside = within(self._rows.marks, start, end)
        return [row for row in inside if row.mark == mark and row.message_id not in corrected]

    def confidence(self, until: datetime) -> tuple[ConfidenceFact, ...]:
        return tuple(
            ConfidenceFact(
                activity=row.activity,
                value=row.value,
                at=self._local(row.at),
                carer=self._carer(row.carer_id),
            )
            for row in self._rows.marks
            if row.mark == "confidence" and row.at < until
        )

    def concerns(self, start: datetime, end: datetime) -> tuple[ConcernFact, ...]:
        """Concerns, each answered when its words were, be it as the question that went out beside it."""
        inside = within(self._rows.words, start, end)
        answered = {
            (row.message_id, row.text): row.answered_at
            for row in inside
            if row.message_id is not None and row.answered_at is not None
        }
        return tuple(
            ConcernFact(
                at=self._local(row.at),
                carer=self._carer(row.carer_id),
                urgency=row.urgency,
                text=row.text,
                answered_at=self._answered(row.answered_at or answered.get((row.message_id, row.text))),
                messages=_traced(row.message_id),
                seen=row.state in ("seen", "answered", "wrong"),
                wrong=row.state == "wrong",
            )
            for row in inside
            if row.urgency is not None
        )

    def questions(self, start: datetime, end: datetime) -> tuple[QuestionFact, ...]:
        """Questions, the words of each message once: what is told as a concern is none here."""
        inside = within(self._rows.words, start, end)
        told = {(row.message_id, row.text) for row in inside if row.urgency is not None}
        asked: dict[object, Row[Any]] = {}
        for row in inside:
            if row.urgency is not None or (row.message_id is not None and (row.message_id, row.text) in told):
                continue
            asked.setdefault(row.id if row.message_id is None else (row.message_id, row.text), row)
        return tuple(
            QuestionFact(
                at=self._local(row.at),
                carer=self._carer(row.carer_id),
                text=row.text,
                answered_at=self._answered(row.answered_at),
                messages=_traced(row.message_id),
                shows=row.kind == "check",
                activity=row.activity,
            )
            for row in asked.values()
        )

    def _answered(self, at: datetime | None) -> datetime | None:
        return None if at is None else self._local(at)

    def _told_in_words(self, message_id: int, text: str) -> bool:
        """Say whether these words of a message stand in the digest as a concern or question already."""
        return any(row.message_id == message_id and text in row.text for row in self._rows.words)

    def unread(self, start: datetime, end: datetime) -> tuple[UnreadFact, ...]:
        return tuple(
            UnreadFact(
                at=self._local(row.at),
                carer=self._carer(row.carer_id),
                text=row.unread,
                messages=_traced(row.id),
            )
            for row in self._said(start, end)
            if row.unread and not self._told_in_words(row.id, row.unread)
        )

    def files(self, start: datetime, end: datetime) -> tuple[NoteFact, ...]:
        """What the bot could not read at all: files that it passed on, but for those that stand there as a question."""
        shown = {row.message_id for row in self._rows.words if row.kind == "check"}
        return tuple(
            NoteFact(
                at=self._local(row.at),
                kind="file",
                values={"carer": self._carer(row.carer_id), "what": row.kind},
            )
            for row in self._said(start, end)
            if row.kind in FILES and row.id not in shown
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

    def _corrected(self, start: datetime, end: datetime) -> frozenset[int]:
        """Return the messages that the digest before told of already and that were changed in this period.

        What they say now is logged anew, but it must not be told as new; a note says that it was corrected.
        """
        return frozenset(row.id for row in self._said(start, end) if self._told_before(row, start))

    def _told_before(self, message: Row[Any], start: datetime) -> bool:
        known = self._rows.known
        return (
            known is not None and message.edited_at is not None and message.at < start and message.id <= known
        )

    def _said(self, start: datetime, end: datetime) -> list[Row[Any]]:
        """Return the messages written, or last changed, in [start, end), with those of before that came too late."""
        known = self._rows.known
        found = []
        for row in self._messages:
            told = row.edited_at or row.at
            late = known is not None and told < start and row.id > known
            if late or start <= told < end:
                found.append(row)
        return found


def _traced(message_id: int | None) -> tuple[str, ...]:
    return () if message_id is None else (str(message_id),)
