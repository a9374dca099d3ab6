"""Who saw or changed what; kept even after a family is erased, without the family's words."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import insert, select

from bot.domain.actor import Actor
from bot.domain.audit import Act
from bot.domain.ids import FamilyId
from bot.storage.repository import Repository
from bot.storage.tables import audit


class AuditLog(Repository):
    def note(
        self,
        *,
        who: Actor,
        what: str,
        now: datetime,
        family_id: FamilyId | None = None,
        detail: str | None = None,
    ) -> None:
        """Note an act. who: a carer is one of that family. detail: ids and numbers only, never words."""
        self._conn.execute(
            insert(audit).values(at=now, who=who.stored, what=what, family_id=family_id, detail=detail)
        )

    def of_family(self, family_id: FamilyId, *, most: int = 50, before: int | None = None) -> list[Act]:
        """Return what was done with a family, the newest first. before: only entries older than that one."""
        query = (
            select(audit.c.id, audit.c.at, audit.c.who, audit.c.what, audit.c.detail)
            .where(audit.c.family_id == family_id)
            .order_by(audit.c.id.desc())
            .limit(most)
        )
        rows = self._conn.execute(query if before is None else query.where(audit.c.id < before))
        return [Act(row.id, row.at, Actor.from_stored(row.who), row.what, row.detail) for row in rows]
