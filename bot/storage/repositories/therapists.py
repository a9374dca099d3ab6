"""The clinic, its therapists, families and their carers."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, time

from sqlalchemy import insert, select, update

from bot.domain.ids import ChatId, TherapistId
from bot.domain.people import Therapist, language_from
from bot.phrases import Language
from bot.storage.prepared import Prepared
from bot.storage.repository import Repository
from bot.storage.rows import AnyRow, kept, value_of
from bot.storage.tables import therapists


class Therapists(Repository):
    def find(self, therapist_id: TherapistId) -> Therapist | None:
        row = (self._conn.execute(select(therapists).where(therapists.c.id == therapist_id))).first()
        return None if row is None else _therapist(row)

    def in_chat(self, chat_id: ChatId) -> Therapist | None:
        row = (self._conn.execute(select(therapists).where(therapists.c.chat_id == chat_id))).first()
        return None if row is None else _therapist(row)

    def all(self) -> list[Therapist]:
        """Return who works here, by id."""
        return [_therapist(row) for row in _ALL.all(self._conn, {})]

    def leave(self, therapist_id: TherapistId, now: datetime) -> None:
        """Note that a therapist works here no more: no chat is theirs, nobody covers for them, and they for nobody."""
        self._set(therapist_id, {"left_at": now, "chat_id": None, "next_digest_at": None})
        self.end_cover(therapist_id)
        for each in self.all():
            if each.covered_by == therapist_id:
                self.end_cover(each.id)

    def get(self, therapist_id: TherapistId) -> Therapist:
        """Return a therapist who is known to be kept. Raises NotKept."""
        return kept(self.find(therapist_id), "therapist", therapist_id)

    def add(self, therapist_id: TherapistId, *, name: str, language: Language) -> None:
        """Keep a new therapist, who has no chat yet."""
        self._conn.execute(insert(therapists).values(id=therapist_id, name=name, language=language))

    def describe(self, therapist_id: TherapistId, *, name: str, language: Language) -> None:
        """Keep what the clinic says of a therapist now."""
        self._set(therapist_id, {"name": name, "language": language})

    def set_chat(self, therapist_id: TherapistId, chat_id: ChatId) -> None:
        """Give a therapist the chat that the clinic knows as theirs."""
        self._set(therapist_id, {"chat_id": chat_id})

    def book_digest(self, therapist_id: TherapistId, at: datetime | None) -> None:
        """Set when a therapist's next digest is due; None: not known yet."""
        self._set(therapist_id, {"next_digest_at": at})

    def note_digest(self, therapist_id: TherapistId, *, until: datetime, next_at: datetime) -> None:
        """Note up to when a therapist's last digest told everything, and when the next is due."""
        self._set(therapist_id, {"digest_until": until, "next_digest_at": next_at})

    def set_quiet_hours(self, therapist_id: TherapistId, span: tuple[time, time] | None) -> None:
        """Set a therapist's quiet hours, local to the clinic; None: they have none."""
        start, end = (f"{each:%H:%M}" for each in span) if span else (None, None)
        self._set(therapist_id, {"quiet_from": start, "quiet_to": end})

    def set_cover(self, therapist_id: TherapistId, colleague_id: TherapistId, start: date, end: date) -> None:
        """Have a colleague cover for a therapist; both days, local to the clinic, are included."""
        self._set(therapist_id, {"covered_by": colleague_id, "cover_from": start, "cover_until": end})

    def end_cover(self, therapist_id: TherapistId) -> None:
        self._set(therapist_id, {"covered_by": None, "cover_from": None, "cover_until": None})

    def seat(self, therapist_id: TherapistId, chat_id: ChatId, now: datetime) -> None:
        """Give a therapist the chat that they joined from."""
        self._conn.execute(
            update(therapists)
            .where(therapists.c.id == therapist_id)
            .values(chat_id=chat_id, joined_at=now, unreachable_at=None)
        )

    def _set(self, therapist_id: TherapistId, values: Mapping[str, object]) -> None:
        self._conn.execute(update(therapists).where(therapists.c.id == therapist_id).values(values))


_ALL = Prepared(select(therapists).where(therapists.c.left_at.is_(None)).order_by(therapists.c.id))


def _therapist(row: AnyRow) -> Therapist:
    return value_of(
        Therapist, row, language=language_from(row.language), unreachable=row.unreachable_at is not None
    )
