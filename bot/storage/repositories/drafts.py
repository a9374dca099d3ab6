"""Plans that a therapist is building and has not sent: one a therapist and family, kept until sent or thrown away."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import delete, insert, select, update

from bot.domain.ids import FamilyId, TherapistId
from bot.domain.plans import Draft
from bot.storage.repository import Repository
from bot.storage.rows import AnyRow, new_id, value_of
from bot.storage.tables import plan_drafts
from scheduling.plan import Plan, document_of, plan_from


class Drafts(Repository):
    def find(self, draft_id: int) -> Draft | None:
        return _draft((self._conn.execute(select(plan_drafts).where(plan_drafts.c.id == draft_id))).first())

    def of_family(self, therapist_id: TherapistId, family_id: FamilyId) -> Draft | None:
        found = self._conn.execute(
            select(plan_drafts).where(
                plan_drafts.c.therapist_id == therapist_id, plan_drafts.c.family_id == family_id
            )
        )
        return _draft(found.first())

    def begin(
        self, therapist_id: TherapistId, family_id: FamilyId, plan: Plan, base_version: int, now: datetime
    ) -> int:
        """Begin a draft as a copy of the plan in force; return its number."""
        made = self._conn.execute(
            insert(plan_drafts).values(
                therapist_id=therapist_id,
                family_id=family_id,
                document=document_of(plan),
                base_version=base_version,
                changed_at=now,
            )
        )
        return new_id(made)

    def save(self, draft_id: int, plan: Plan, now: datetime) -> None:
        """Keep how a draft stands now."""
        self._conn.execute(
            update(plan_drafts)
            .where(plan_drafts.c.id == draft_id)
            .values(document=document_of(plan), changed_at=now)
        )

    def rebase(self, draft_id: int, plan: Plan, base_version: int, now: datetime) -> None:
        """Begin a draft over as a copy of a newer plan in force."""
        self._conn.execute(
            update(plan_drafts)
            .where(plan_drafts.c.id == draft_id)
            .values(document=document_of(plan), changed_at=now, base_version=base_version)
        )

    def drop(self, draft_id: int) -> None:
        self._conn.execute(delete(plan_drafts).where(plan_drafts.c.id == draft_id))


def _draft(row: AnyRow | None) -> Draft | None:
    return None if row is None else value_of(Draft, row, plan=plan_from(row.document))
