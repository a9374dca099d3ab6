"""The clinic, its therapists, families and their carers."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import Row, func, insert, select, update

from bot.domain.people import Carer, language_from
from bot.domain.roles import GROUP
from bot.phrases import Language
from bot.storage.repository import Repository
from bot.storage.tables import carers


class Carers(Repository):
    def find(self, family_id: str, carer_id: str) -> Carer | None:
        row = (
            self._conn.execute(select(carers).where(carers.c.family_id == family_id, carers.c.id == carer_id))
        ).first()
        return None if row is None else _carer(row)

    def in_chat(self, chat_id: int) -> list[Carer]:
        """Return who a chat is: one carer a baby, those who left not counted."""
        rows = self._conn.execute(
            select(carers)
            .where(carers.c.chat_id == chat_id, carers.c.state != "left")
            .order_by(carers.c.family_id)
        )
        return [_carer(row) for row in rows]

    def active(self) -> list[Carer]:
        rows = self._conn.execute(
            select(carers).where(carers.c.state == "active").order_by(carers.c.family_id, carers.c.id)
        )
        return [_carer(row) for row in rows]

    def left_in_chat(self, chat_id: int) -> list[Carer]:
        """Return who a chat was before they left; their rights outlast their leaving."""
        rows = self._conn.execute(
            select(carers)
            .where(carers.c.chat_id == chat_id, carers.c.state == "left")
            .order_by(carers.c.family_id)
        )
        return [_carer(row) for row in rows]

    def of_family(self, family_id: str) -> list[Carer]:
        rows = self._conn.execute(select(carers).where(carers.c.family_id == family_id).order_by(carers.c.id))
        return [_carer(row) for row in rows]

    def to_remind(self, family_id: str, now: datetime) -> list[Carer]:
        """Return the carers who get this family's reminders now: whoever is on duty today, else all who get them."""
        reachable = [
            found
            for found in self.of_family(family_id)
            if found.state == "active" and found.chat_id is not None and not found.blocked
        ]
        on_duty = [
            found for found in reachable if found.on_duty_until is not None and found.on_duty_until > now
        ]
        return on_duty or [
            found
            for found in reachable
            if found.gets_prompts and (found.off_duty_until is None or found.off_duty_until <= now)
        ]

    def add_group(
        self, family_id: str, carer_id: str, *, chat_id: int, name: str, language: Language, now: datetime
    ) -> None:
        """Seat a family's group: it takes part as a carer of its own."""
        self._conn.execute(
            insert(carers).values(
                family_id=family_id,
                id=carer_id,
                chat_id=chat_id,
                name=name,
                role=GROUP,
                language=language,
                state="active",
                gets_prompts=True,
                consented_at=now,
            )
        )

    def reseat(self, who: Carer, chat_id: int, language: Language) -> None:
        """Give a carer who is back the chat they write from, with reminders."""
        self.change(
            who, chat_id=chat_id, state="active", gets_prompts=True, blocked_at=None, language=language
        )

    def count_blocked(self) -> int:
        """Return how many carers cannot be written to."""
        query = select(func.count()).select_from(carers).where(carers.c.blocked_at.is_not(None))
        return self._conn.scalar(query) or 0

    def change(self, who: Carer, **values: Any) -> None:
        self._conn.execute(
            update(carers).where(carers.c.family_id == who.family_id, carers.c.id == who.id).values(**values)
        )


def _carer(row: Row[Any]) -> Carer:
    return Carer(
        family_id=row.family_id,
        id=row.id,
        chat_id=row.chat_id,
        name=row.name,
        role=row.role,
        language=language_from(row.language),
        state=row.state,
        gets_prompts=row.gets_prompts,
        off_duty_until=row.off_duty_until,
        on_duty_until=row.on_duty_until,
        blocked=row.blocked_at is not None,
    )
