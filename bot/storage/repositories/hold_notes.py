"""What a therapist said after looking at how a family does a hold; it stands on that family's card from then on."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import insert, select

from bot.domain.ids import FamilyId, TherapistId
from bot.domain.media import HoldNote
from bot.storage.repository import Repository
from bot.storage.rows import value_of
from bot.storage.tables import hold_notes, therapists


class HoldNotes(Repository):
    def add(
        self, *, family_id: FamilyId, activity: str, therapist_id: TherapistId, text: str, at: datetime
    ) -> None:
        """Keep what a therapist said. text: "" where they only answered by a file, which is kept beside."""
        self._conn.execute(
            insert(hold_notes).values(
                family_id=family_id, activity=activity, therapist_id=therapist_id, text=text, at=at
            )
        )

    def of_activity(self, family_id: FamilyId, activity: str, *, most: int) -> list[HoldNote]:
        """Return the newest notes of one hold of one family, the oldest of them first."""
        rows = self._conn.execute(
            select(hold_notes, therapists.c.name.label("therapist"))
            .join(therapists, therapists.c.id == hold_notes.c.therapist_id)
            .where(hold_notes.c.family_id == family_id, hold_notes.c.activity == activity)
            .order_by(hold_notes.c.id.desc())
            .limit(most)
        )
        return [value_of(HoldNote, row) for row in rows][::-1]
