"""Which digests were made, and up to which message."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import func, insert, select

from bot.domain.ids import TherapistId
from bot.storage.repository import Repository
from bot.storage.tables import digests, messages


class Digests(Repository):
    def note_digest(
        self, therapist_id: TherapistId, *, from_at: datetime, to_at: datetime, now: datetime
    ) -> bool:
        """Note that a digest was made; False where one up to that instant was made before."""
        known = self._conn.scalar(
            select(digests.c.id).where(digests.c.therapist_id == therapist_id, digests.c.to_at == to_at)
        )
        if known is not None:
            return False
        self._conn.execute(
            insert(digests).values(
                therapist_id=therapist_id,
                from_at=from_at,
                to_at=to_at,
                made_at=now,
                last_message_id=self._conn.scalar(select(func.max(messages.c.id))) or 0,
            )
        )
        return True
