"""The clinic, its therapists, families and their carers."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from sqlalchemy import Select, bindparam, func, insert, select, update

from bot.domain.ids import CarerId, ChatId, FamilyId
from bot.domain.people import Carer, language_from
from bot.domain.roles import GROUP
from bot.phrases import Language
from bot.storage.prepared import Prepared
from bot.storage.repository import Repository
from bot.storage.rows import AnyRow, kept, value_of
from bot.storage.tables import carers, therapists

BACK: Mapping[str, object] = {"left_at": None, "put_out": False}


class Carers(Repository):
    def find(self, family_id: FamilyId, carer_id: CarerId) -> Carer | None:
        row = (
            self._conn.execute(select(carers).where(carers.c.family_id == family_id, carers.c.id == carer_id))
        ).first()
        return None if row is None else _carer(row)

    def get(self, family_id: FamilyId, carer_id: CarerId) -> Carer:
        """Return a carer who is known to be kept. Raises NotKept."""
        return kept(self.find(family_id, carer_id), "carer", f"{family_id}/{carer_id}")

    def in_chat(self, chat_id: ChatId) -> list[Carer]:
        """Return who a chat is: one carer a baby, those who left not counted."""
        rows = self._conn.execute(
            select(carers)
            .where(carers.c.chat_id == chat_id, carers.c.state != "left")
            .order_by(carers.c.family_id)
        )
        return [_carer(row) for row in rows]

    def around_chat(self, chat_id: ChatId) -> list[Carer]:
        """Return everybody of the families whose carer a chat is, by family and id; nobody for a therapist's chat."""
        return [_carer(row) for row in _AROUND_CHAT.all(self._conn, {"chat": chat_id})]

    def active(self) -> list[Carer]:
        rows = self._conn.execute(
            select(carers).where(carers.c.state == "active").order_by(carers.c.family_id, carers.c.id)
        )
        return [_carer(row) for row in rows]

    def left_in_chat(self, chat_id: ChatId) -> list[Carer]:
        """Return who a chat was before they left; their rights outlast their leaving."""
        rows = self._conn.execute(
            select(carers)
            .where(carers.c.chat_id == chat_id, carers.c.state == "left")
            .order_by(carers.c.family_id)
        )
        return [_carer(row) for row in rows]

    def of_family(self, family_id: FamilyId) -> list[Carer]:
        return [_carer(row) for row in _OF_FAMILY.all(self._conn, {"family": family_id})]

    def to_remind(self, family_id: FamilyId, now: datetime) -> list[Carer]:
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

    def add(
        self, family_id: FamilyId, carer_id: CarerId, *, name: str, role: str, language: Language
    ) -> None:
        """Keep a carer who is invited and has not joined."""
        self._conn.execute(
            insert(carers).values(
                family_id=family_id, id=carer_id, name=name, role=role, language=language, state="invited"
            )
        )

    def describe(self, who: Carer, *, name: str, role: str, language: Language) -> None:
        """Keep what the clinic says of a carer now."""
        self._set(who, {"name": name, "role": role, "language": language})

    def set_taught(self, who: Carer, taught: Mapping[str, date]) -> None:
        """Keep which activities a therapist taught a carer, each with its date."""
        self._set(who, {"taught": {name: on.isoformat() for name, on in sorted(taught.items())}})

    def set_chat(self, who: Carer, chat_id: ChatId) -> None:
        """Give a carer the chat that the clinic knows as theirs."""
        self._set(who, {"chat_id": chat_id})

    def add_group(
        self,
        family_id: FamilyId,
        carer_id: CarerId,
        *,
        chat_id: ChatId,
        name: str,
        language: Language,
        now: datetime,
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

    def reseat(self, who: Carer, chat_id: ChatId, language: Language) -> None:
        """Give a carer who is back the chat they write from, with reminders."""
        back = {**BACK, "state": "active", "gets_prompts": True, "blocked_at": None}
        self._set(who, {"chat_id": chat_id, "language": language, **back})

    def begin_joining(self, who: Carer, chat_id: ChatId, language: Language) -> None:
        """Give a carer who used an invitation their chat; they have not agreed yet."""
        self._set(who, {**BACK, "chat_id": chat_id, "state": "joining", "language": language})

    def agree(self, who: Carer, now: datetime, *, role: str | None = None, name: str | None = None) -> None:
        """Note that a carer agreed to what is kept. role, name: as they said themselves; None: as known before."""
        told = {"role": role or who.role, "name": name or who.name}
        self._set(who, {"state": "active", "consented_at": now, **told})

    def decline(self, who: Carer) -> None:
        """Note that a carer did not agree: nothing ties their chat to the family any more."""
        self._set(who, {"state": "left", "gets_prompts": False, "chat_id": None})

    def leave(self, who: Carer, now: datetime) -> None:
        """Note that a carer left: they get nothing more, and keep their rights."""
        self._set(who, {"state": "left", "gets_prompts": False, "on_duty_until": None, "left_at": now})

    def put_out(self, who: Carer, now: datetime) -> None:
        """Note that the clinic ended a carer's part: as if they had left, without a way back of their own."""
        self.leave(who, now)
        self._set(who, {"put_out": True})

    def come_back(self, who: Carer) -> None:
        """Note that a carer who left is back in the same chat."""
        self._set(who, {**BACK, "state": "active", "gets_prompts": True})

    def release_chat(self, who: Carer) -> None:
        """Untie the chat of a carer who left, so that it can be somebody else's."""
        self._set(who, {"chat_id": None})

    def set_language(self, who: Carer, language: Language) -> None:
        self._set(who, {"language": language})

    def set_reminders(self, who: Carer, wanted: bool) -> None:
        """Have a carer get reminders, or none."""
        self._set(who, {"gets_prompts": wanted})

    def set_on_duty(self, who: Carer, until: datetime | None) -> None:
        """Have the family's reminders go to this carer alone until an instant; None: as before."""
        self._set(who, {"on_duty_until": until})

    def count_blocked(self) -> int:
        """Return how many carers cannot be written to."""
        query = select(func.count()).select_from(carers).where(carers.c.blocked_at.is_not(None))
        return self._conn.scalar(query) or 0

    def _set(self, who: Carer, values: Mapping[str, object]) -> None:
        self._conn.execute(
            update(carers).where(carers.c.family_id == who.family_id, carers.c.id == who.id).values(values)
        )


# ---------------------------------------------------------------- what each message asks for, built once


def _around_chat() -> Select[Any]:
    chat, own = bindparam("chat", type_=carers.c.chat_id.type), carers.alias()
    ours = select(own.c.family_id).where(own.c.chat_id == chat)
    a_therapists = select(therapists.c.id).where(therapists.c.chat_id == chat).exists()
    of_them = select(carers).where(carers.c.family_id.in_(ours), ~a_therapists)
    return of_them.order_by(carers.c.family_id, carers.c.id)


_AROUND_CHAT = Prepared(_around_chat())
_OF_FAMILY = Prepared(select(carers).where(carers.c.family_id == bindparam("family")).order_by(carers.c.id))


def _carer(row: AnyRow) -> Carer:
    return value_of(Carer, row, language=language_from(row.language), blocked=row.blocked_at is not None)
