"""The clinic, its therapists, families and their carers."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Row, and_, func, not_, or_, select, update

from bot.domain.people import Family
from bot.storage.repository import Repository
from bot.storage.tables import (
    families,
)

# Before any moment that a clock can show, a rehearsal clock's included.
AT_ONCE = datetime(1970, 1, 1, tzinfo=UTC)


class Families(Repository):
    def find(self, family_id: str) -> Family | None:
        row = (self._conn.execute(select(families).where(families.c.id == family_id))).first()
        return None if row is None else _family(row)

    def of_ids(self, family_ids: Sequence[str]) -> list[Family]:
        """Return those of these families that there are, in the order of their ids."""
        rows = self._conn.execute(
            select(families).where(families.c.id.in_(family_ids)).order_by(families.c.id)
        )
        return [_family(row) for row in rows]

    def of_therapist(self, therapist_id: str) -> list[Family]:
        """Return the families of a therapist in the order of their ids, discharged ones included."""
        rows = self._conn.execute(
            select(families).where(families.c.therapist_id == therapist_id).order_by(families.c.id)
        )
        return [_family(row) for row in rows]

    def not_discharged_before(self, therapist_id: str, since: datetime) -> list[Family]:
        """Return a therapist's families in the order of their ids, those discharged before `since` left out."""
        gone = and_(
            families.c.state == "discharged",
            or_(families.c.discharged_at.is_(None), families.c.discharged_at < since),
        )
        rows = self._conn.execute(
            select(families)
            .where(families.c.therapist_id == therapist_id, not_(gone))
            .order_by(families.c.id)
        )
        return [_family(row) for row in rows]

    def active_ids(self) -> list[str]:
        """Return the ids of the families that get reminders, in order."""
        query = select(families.c.id).where(families.c.state == "active").order_by(families.c.id)
        return list(self._conn.scalars(query))

    def change(self, family_id: str, **values: Any) -> None:
        self._conn.execute(update(families).where(families.c.id == family_id).values(**values))

    def away(self) -> list[Family]:
        """Return the families that are in another zone for a while."""
        rows = self._conn.execute(
            select(families).where(families.c.away_until.is_not(None)).order_by(families.c.id)
        )
        return [_family(row) for row in rows]

    def request_replan(self, family_id: str, now: datetime) -> None:
        """Have the rest of a family's day planned at the next periodic_job."""
        self._conn.execute(update(families).where(families.c.id == family_id).values(plan_at=now))

    def to_plan(self, now: datetime, *, limit: int = 200) -> list[str]:
        """Return families whose day must be planned (or whose pause is over)."""
        rows = self._conn.scalars(
            select(families.c.id)
            .where(
                or_(
                    and_(families.c.state == "active", families.c.plan_at <= now),
                    and_(families.c.state == "paused", families.c.paused_until <= now),
                )
            )
            .order_by(families.c.plan_at)
            .limit(limit)
            .with_for_update(skip_locked=True)
        )
        return list(rows.all())

    def next_planning(self) -> datetime | None:
        """Return when the next family must be planned or resumed."""
        planned = self._conn.scalar(select(func.min(families.c.plan_at)).where(families.c.state == "active"))
        resumed = self._conn.scalar(
            select(func.min(families.c.paused_until)).where(families.c.state == "paused")
        )
        known = [instant for instant in (planned, resumed) if instant is not None]
        return min(known) if known else None


def _family(row: Row[Any]) -> Family:
    return Family(
        id=row.id,
        therapist_id=row.therapist_id,
        nickname=row.nickname,
        zone=ZoneInfo(row.time_zone),
        state=row.state,
        paused_until=row.paused_until,
        asleep_until=row.asleep_until,
        hold_until=row.hold_until,
        budget=row.budget,
        asked_load=row.asked_load,
        budget_on=row.budget_on,
        heard_at=row.heard_at,
        kind_note_at=row.kind_note_at,
        silence_told_at=row.silence_told_at,
        group_allowed=row.group_allowed,
        shape_told_at=row.shape_told_at,
        shape_draft=row.shape_draft,
        home_zone=row.home_zone,
        away_until=row.away_until,
    )
