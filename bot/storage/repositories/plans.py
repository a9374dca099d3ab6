"""A family's plan and its day: reminders, and the log that the planner reads."""

from __future__ import annotations

import json
from datetime import datetime
from functools import lru_cache
from typing import Any

from sqlalchemy import bindparam, func, insert, select, update

from bot.domain.actor import Actor
from bot.domain.ids import FamilyId
from bot.domain.plans import PlanVersion, Untold
from bot.storage import beat
from bot.storage.prepared import Prepared
from bot.storage.repositories.families import AT_ONCE
from bot.storage.repository import Repository
from bot.storage.rows import AnyRow, kept, value_of
from bot.storage.tables import families, plans, reminders
from scheduling.plan import Plan, plan_from

# Read anew for every message and every planning of a day; a plan takes some 20 kB of memory.
PLANS_KEPT = 500


class Plans(Repository):
    def current(self, family_id: FamilyId) -> PlanVersion | None:
        """Return the plan in force: the newest version."""
        row = _NEWEST.first(self._conn, {"family": family_id})
        return None if row is None else version_of(row)

    def get(self, family_id: FamilyId) -> PlanVersion:
        """Return the plan in force of a family that has one: each is made with its first. Raises NotKept."""
        return kept(self.current(family_id), "plan of family", family_id)

    def versions(self, family_id: FamilyId) -> list[PlanVersion]:
        rows = self._conn.execute(
            select(plans).where(plans.c.family_id == family_id).order_by(plans.c.version)
        )
        return [version_of(row) for row in rows]

    def families_with_arm_hold(self) -> list[FamilyId]:
        """Return the ids of families whose plan in force may hold the arm, in order: every one that does is among them."""
        return [row.family_id for row in beat.WITH_ARM_HOLD.all(self._conn, {})]

    def began_at(self, family_id: FamilyId, first_version_at: datetime) -> datetime:
        """Return when a family began: with its first plan, or with its first reminder where a rehearsed day lies earlier."""
        first = self._conn.scalar(
            select(func.min(reminders.c.due_at)).where(reminders.c.family_id == family_id)
        )
        return min(first, first_version_at) if first is not None else first_version_at

    def add(
        self,
        family_id: FamilyId,
        document: dict[str, Any],
        *,
        made_by: Actor,
        now: datetime,
        note: str | None = None,
        told: bool = False,
    ) -> int:
        """Keep a new version of a plan and have the day replanned; return its number. told: the family knows it."""
        newest = self._conn.scalar(select(func.max(plans.c.version)).where(plans.c.family_id == family_id))
        version = (newest or 0) + 1
        plan = plan_from(document)
        self._conn.execute(
            insert(plans).values(
                family_id=family_id,
                version=version,
                document=document,
                made_at=now,
                made_by=made_by.stored,
                note=note,
                told_at=now if told else None,
                may_hold_arm=plan.arm_hold is not None,
            )
        )
        self._conn.execute(
            update(families)
            .where(families.c.id == family_id)
            .values(nickname=plan.baby.nickname, time_zone=plan.time_zone, plan_at=AT_ONCE)
        )
        return version

    def unannounced_families(self, *, limit: int) -> list[FamilyId]:
        """Return families that are active and were not told of a version of their plan but the first."""
        rows = beat.UNANNOUNCED.all(self._conn, {"most": limit})
        return [row.family_id for row in rows]

    def unannounced(self, family_id: FamilyId) -> Untold | None:
        """Return what a family must be told; the first version counts as known."""
        told = set(
            (
                self._conn.scalars(
                    select(plans.c.version).where(
                        plans.c.family_id == family_id, plans.c.told_at.is_not(None)
                    )
                )
            ).all()
        )
        all_versions = self.versions(family_id)
        if not all_versions or all_versions[-1].version == 1 or all_versions[-1].version in told:
            return None
        known = [each for each in all_versions if each.version == 1 or each.version in told]
        newest = all_versions[-1]
        return Untold(newest.version, known[-1].plan, newest.plan, newest.made_by, newest.note)

    def mark_announced(self, family_id: FamilyId, now: datetime) -> None:
        """Note that a family knows every version up to now."""
        self._conn.execute(
            update(plans).where(plans.c.family_id == family_id, plans.c.told_at.is_(None)).values(told_at=now)
        )

    def forget_notes_of(self, family_id: FamilyId, maker: Actor) -> None:
        """Forget what is said in words of the versions that somebody made."""
        theirs = [each.version for each in self.versions(family_id) if each.made_by == maker]
        self._conn.execute(
            update(plans).where(plans.c.family_id == family_id, plans.c.version.in_(theirs)).values(note=None)
        )

    def set_note(self, family_id: FamilyId, version: int, note: str) -> None:
        """Keep in words what a version changed, for the digest and the list of versions."""
        self._conn.execute(
            update(plans).where(plans.c.family_id == family_id, plans.c.version == version).values(note=note)
        )


_NEWEST = Prepared(
    select(plans).where(plans.c.family_id == bindparam("family")).order_by(plans.c.version.desc()).limit(1)
)


def version_of(row: AnyRow) -> PlanVersion:
    """Return a version of a plan from its row."""
    plan = _plan_in(json.dumps(row.document))
    return value_of(PlanVersion, row, plan=plan, made_by=Actor.from_stored(row.made_by))


@lru_cache(maxsize=PLANS_KEPT)
def _plan_in(document: str) -> Plan:
    """Return the plan of a document's JSON text: by the text itself, so that nothing that changes can be missed."""
    return plan_from(json.loads(document))
