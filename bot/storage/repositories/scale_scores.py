"""Grades that therapists enter. Sealed at rest; read for the therapist alone."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from sqlalchemy import Row, delete, insert, select

from bot.digest.facts import GradeFact
from bot.domain.ids import FamilyId
from bot.parsing.scale_scores import Scale
from bot.storage.repository import Repository
from bot.storage.tables import grades, therapists


class ScaleScores(Repository):
    def add(
        self,
        family_id: FamilyId,
        *,
        scale: Scale,
        values: Mapping[str, int],
        on: date,
        entered_by: str,
        now: datetime,
    ) -> int:
        """Keep one entry (grades 0 to 7 by movement) and return its id."""
        inserted = self._conn.execute(
            insert(grades)
            .values(
                {
                    grades.c.family_id: family_id,
                    grades.c.scale: scale,
                    grades.c["values"]: dict(values),
                    grades.c.on_date: on,
                    grades.c.entered_by: entered_by,
                    grades.c.entered_at: now,
                }
            )
            .returning(grades.c.id)
        )
        return int(inserted.scalar_one())

    def of_family(self, family_id: FamilyId, *, until: date | None = None) -> tuple[GradeFact, ...]:
        """Return the entries of a family dated `until` or before, the oldest first."""
        query = (
            select(grades, therapists.c.name.label("therapist"))
            .outerjoin(therapists, therapists.c.id == grades.c.entered_by)
            .where(grades.c.family_id == family_id)
            .order_by(grades.c.on_date, grades.c.id)
        )
        if until is not None:
            query = query.where(grades.c.on_date <= until)
        return tuple(_grade(row) for row in self._conn.execute(query))

    def take_back(self, grade_id: int, family_id: FamilyId) -> bool:
        """Remove an entry of that family; return whether there was one."""
        gone = self._conn.execute(
            delete(grades).where(grades.c.id == grade_id, grades.c.family_id == family_id)
        )
        return bool(gone.rowcount)


def _grade(row: Row[Any]) -> GradeFact:
    values = row._mapping["values"]  # a row has a method of that name
    return GradeFact(row.scale, values, row.on_date, row.therapist or row.entered_by, str(row.id))
