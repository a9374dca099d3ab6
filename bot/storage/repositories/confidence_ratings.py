"""How sure carers say they feel, and when they were asked: the ruler from 0 to 10, and "tell me how you do it"."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import bindparam, insert, select, update

from bot.domain.confidence import Asked, AskedKind
from bot.domain.ids import CarerId, FamilyId
from bot.storage.prepared import Prepared
from bot.storage.repository import Repository
from bot.storage.rows import AnyRow, value_of
from bot.storage.tables import confidences


class ConfidenceRatings(Repository):
    def ask(
        self, *, family_id: FamilyId, carer_id: CarerId, activity: str, kind: AskedKind, now: datetime
    ) -> Asked:
        """Keep that a question was asked."""
        values = {
            "family_id": family_id, "carer_id": carer_id, "activity": activity, "kind": kind, "asked_at": now,
        }  # fmt: skip
        row = (self._conn.execute(insert(confidences).values(**values).returning(confidences))).one()
        return _asked(row)

    def find(self, asked_id: int) -> Asked | None:
        row = (self._conn.execute(select(confidences).where(confidences.c.id == asked_id))).first()
        return None if row is None else _asked(row)

    def asked_of(self, family_id: FamilyId, carer_id: CarerId) -> list[Asked]:
        """Return all questions to one carer, the oldest first."""
        rows = _ASKED_OF.all(self._conn, {"family": family_id, "carer": carer_id})
        return [_asked(row) for row in rows]

    def answer(self, asked_id: int, value: int | None, now: datetime) -> None:
        """Keep the answer; a later tap on the same ruler replaces it."""
        self._conn.execute(
            update(confidences).where(confidences.c.id == asked_id).values(value=value, at=now)
        )


_ASKED_OF = Prepared(
    select(confidences)
    .where(confidences.c.family_id == bindparam("family"), confidences.c.carer_id == bindparam("carer"))
    .order_by(confidences.c.asked_at, confidences.c.id)
)


def _asked(row: AnyRow) -> Asked:
    return value_of(Asked, row)
