"""The clinic, its therapists, families and their carers."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import Row, select, update

from bot.domain.people import Therapist, language_from
from bot.storage.repository import Repository
from bot.storage.tables import therapists


class Therapists(Repository):
    def find(self, therapist_id: str) -> Therapist | None:
        row = (self._conn.execute(select(therapists).where(therapists.c.id == therapist_id))).first()
        return None if row is None else _therapist(row)

    def in_chat(self, chat_id: int) -> Therapist | None:
        row = (self._conn.execute(select(therapists).where(therapists.c.chat_id == chat_id))).first()
        return None if row is None else _therapist(row)

    def all(self) -> list[Therapist]:
        return [_therapist(row) for row in self._conn.execute(select(therapists).order_by(therapists.c.id))]

    def change(self, therapist_id: str, **values: Any) -> None:
        self._conn.execute(update(therapists).where(therapists.c.id == therapist_id).values(**values))

    def seat(self, therapist_id: str, chat_id: int, now: datetime) -> None:
        """Give a therapist the chat that they joined from."""
        self._conn.execute(
            update(therapists)
            .where(therapists.c.id == therapist_id)
            .values(chat_id=chat_id, joined_at=now, unreachable_at=None)
        )


def _therapist(row: Row[Any]) -> Therapist:
    return Therapist(
        id=row.id,
        chat_id=row.chat_id,
        name=row.name,
        language=language_from(row.language),
        quiet_from=row.quiet_from,
        quiet_to=row.quiet_to,
        covered_by=row.covered_by,
        cover_from=row.cover_from,
        cover_until=row.cover_until,
        digest_until=row.digest_until,
        next_digest_at=row.next_digest_at,
        unreachable=row.unreachable_at is not None,
    )
