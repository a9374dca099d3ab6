"""Visits at the clinic: when the family comes."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import insert, select, update

from bot.domain.ids import FamilyId, TherapistId
from bot.domain.visits import KeptVisit
from bot.storage.repository import Repository
from bot.storage.rows import AnyRow, kept, value_of
from bot.storage.tables import families, visits

_JOINED = select(visits, families.c.nickname).join(families, families.c.id == visits.c.family_id)


class Visits(Repository):
    def add(
        self,
        family_id: FamilyId,
        *,
        at: datetime,
        minutes: int,
        note: str | None,
        made_by: str,
        now: datetime,
    ) -> int:
        inserted = self._conn.execute(
            insert(visits)
            .values(family_id=family_id, at=at, minutes=minutes, note=note, made_by=made_by, made_at=now)
            .returning(visits.c.id)
        )
        return int(inserted.scalar_one())

    def find(self, visit_id: int) -> KeptVisit | None:
        row = (self._conn.execute(_JOINED.where(visits.c.id == visit_id))).first()
        return None if row is None else _visit(row)

    def get(self, visit_id: int) -> KeptVisit:
        """Return a visit that is known to be kept. Raises NotKept."""
        return kept(self.find(visit_id), "visit", visit_id)

    def cancel(self, visit_id: int, now: datetime) -> None:
        self._conn.execute(update(visits).where(visits.c.id == visit_id).values(cancelled_at=now))

    def of_family(self, family_id: FamilyId, *, since: datetime) -> list[KeptVisit]:
        """Return the visits of a family that stand from `since` on, the earliest first."""
        rows = self._conn.execute(
            _JOINED.where(visits.c.family_id == family_id, visits.c.at >= since, visits.c.cancelled_at.is_(None))
            .order_by(visits.c.at, visits.c.id)
        )  # fmt: skip
        return [_visit(row) for row in rows]

    def of_therapist(self, therapist_id: TherapistId, *, since: datetime) -> list[KeptVisit]:
        """Return the visits of a therapist's families that stand from `since` on, the earliest first."""
        rows = self._conn.execute(
            _JOINED.where(
                families.c.therapist_id == therapist_id, visits.c.at >= since, visits.c.cancelled_at.is_(None)
            ).order_by(visits.c.at, visits.c.id)
        )
        return [_visit(row) for row in rows]


def _visit(row: AnyRow) -> KeptVisit:
    return value_of(KeptVisit, row, cancelled=row.cancelled_at is not None)
