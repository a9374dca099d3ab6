"""A family on its way from one therapist to another: asked for, accepted or declined."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import insert, select, update

from bot.domain.handovers import Handover, State
from bot.domain.ids import FamilyId, TherapistId
from bot.storage.repository import Repository
from bot.storage.rows import value_of
from bot.storage.tables import handovers


class Handovers(Repository):
    def ask(self, *, family_id: FamilyId, from_id: TherapistId, to_id: TherapistId, now: datetime) -> int:
        """Keep that a family is offered to a colleague, in place of any earlier offer; return its number."""
        self._conn.execute(
            update(handovers)
            .where(handovers.c.family_id == family_id, handovers.c.state == "asked")
            .values(state="replaced", settled_at=now)
        )
        inserted = self._conn.execute(
            insert(handovers)
            .values(family_id=family_id, from_id=from_id, to_id=to_id, asked_at=now, state="asked")
            .returning(handovers.c.id)
        )
        return int(inserted.scalar_one())

    def withdraw_of(self, therapist_id: TherapistId, now: datetime) -> None:
        """Take back what a therapist offered or was offered, and is not settled."""
        theirs = (handovers.c.from_id == therapist_id) | (handovers.c.to_id == therapist_id)
        self._conn.execute(
            update(handovers)
            .where(theirs, handovers.c.state == "asked")
            .values(state="replaced", settled_at=now)
        )

    def find(self, handover_id: int) -> Handover | None:
        row = (self._conn.execute(select(handovers).where(handovers.c.id == handover_id))).first()
        return None if row is None else value_of(Handover, row)

    def settle(self, handover_id: int, state: State, now: datetime) -> None:
        self._conn.execute(
            update(handovers).where(handovers.c.id == handover_id).values(state=state, settled_at=now)
        )
