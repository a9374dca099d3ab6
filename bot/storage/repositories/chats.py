"""The clinic, its therapists, families and their carers."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import cast

from sqlalchemy import and_, bindparam, or_, select, update

from bot.domain.dialogs import Chat, DialogState
from bot.domain.ids import ChatId, FamilyId, TherapistId
from bot.domain.json_value import JsonValue
from bot.domain.people import UNTIL_BACK
from bot.storage.prepared import Prepared
from bot.storage.repository import Repository
from bot.storage.tables import carers, chats, families, outbox, therapists, unseen_spells


class Chats(Repository):
    def language_of(self, chat_id: ChatId) -> str:
        """Return the language of whoever a chat is, English for strangers."""
        found = self._conn.scalar(select(therapists.c.language).where(therapists.c.chat_id == chat_id))
        found = found or self._conn.scalar(
            select(carers.c.language).where(carers.c.chat_id == chat_id).limit(1)
        )
        return cast(str, found or "en")

    def mark_unreachable(self, chat_id: ChatId, now: datetime) -> None:
        """Note that a chat blocked us; nothing is sent there until it speaks again."""
        self._conn.execute(
            update(carers)
            .where(carers.c.chat_id == chat_id, carers.c.blocked_at.is_(None))
            .values(blocked_at=now)
        )
        lost = self._conn.execute(
            update(therapists)
            .where(therapists.c.chat_id == chat_id, therapists.c.unreachable_at.is_(None))
            .values(unreachable_at=now)
            .returning(therapists.c.id)
        )
        if (therapist_id := lost.scalar()) is not None:
            self._redirect_concerns(TherapistId(therapist_id), chat_id, now)

    def _redirect_concerns(self, therapist_id: TherapistId, chat_id: ChatId, now: datetime) -> None:
        """Have open concerns told again at once (to others, now), and keep the rest until this therapist is back."""
        theirs = select(families.c.id).where(families.c.therapist_id == therapist_id)
        covered = select(families.c.id).where(
            families.c.therapist_id.in_(
                select(therapists.c.id).where(therapists.c.covered_by == therapist_id)
            )
        )
        self._conn.execute(
            update(unseen_spells)
            .where(or_(unseen_spells.c.family_id.in_(theirs), unseen_spells.c.family_id.in_(covered)))
            .values(next_at=now)
        )
        refused = and_(outbox.c.state == "failed", outbox.c.error.like("Forbidden%"))
        self._conn.execute(
            update(outbox)
            .where(outbox.c.chat_id == chat_id, outbox.c.action.not_in(("press", "edit", "buttons")))
            .where(or_(outbox.c.state == "waiting", refused))
            .values(state="held", held_until=UNTIL_BACK, error=None)
        )
        self._conn.execute(
            update(outbox)
            .where(outbox.c.chat_id == chat_id, outbox.c.state == "rendering")
            .values(held_until=UNTIL_BACK)
        )

    def mark_reachable(self, chat_id: ChatId) -> None:
        self._conn.execute(
            update(carers)
            .where(carers.c.chat_id == chat_id, carers.c.blocked_at.is_not(None))
            .values(blocked_at=None)
        )
        back = self._conn.execute(
            update(therapists)
            .where(therapists.c.chat_id == chat_id, therapists.c.unreachable_at.is_not(None))
            .values(unreachable_at=None)
        )
        if back.rowcount:
            self._conn.execute(
                update(outbox)
                .where(
                    outbox.c.chat_id == chat_id, outbox.c.state == "held", outbox.c.held_until == UNTIL_BACK
                )
                .values(state="waiting", held_until=None)
            )
            self._conn.execute(
                update(outbox)
                .where(
                    outbox.c.chat_id == chat_id,
                    outbox.c.state == "rendering",
                    outbox.c.held_until == UNTIL_BACK,
                )
                .values(held_until=None)
            )

    def move(self, old: int, new: int) -> None:
        """Follow a group that the service gave a new id."""
        self._conn.execute(update(carers).where(carers.c.chat_id == old).values(chat_id=new))
        self._conn.execute(update(therapists).where(therapists.c.chat_id == old).values(chat_id=new))
        self._conn.execute(
            update(outbox)
            .where(outbox.c.chat_id == old, outbox.c.state.in_(("rendering", "waiting", "sending")))
            .values(chat_id=new)
        )

    def get(self, chat_id: ChatId) -> Chat:
        """Return where a chat stands; with nothing known of it, an empty one."""
        row = _FIND.first(self._conn, {"chat": chat_id})
        return (
            Chat()
            if row is None
            else Chat(DialogState(row.step, row.step_data or {}), row.family_id, row.stranger_told_at)
        )

    def start_dialog(self, chat_id: ChatId, step: str, data: Mapping[str, JsonValue] | None = None) -> None:
        """Note what the next message of a chat answers, in place of any dialog before. data: what it needs, as JSON."""
        self._set(chat_id, {"step": step, "step_data": dict(data) if data else None})

    def end_dialog(self, chat_id: ChatId, keeping: Mapping[str, JsonValue] | None = None) -> None:
        """Note that the next message answers nothing in particular. keeping: what stays known all the same."""
        self._set(chat_id, {"step": None, "step_data": dict(keeping) if keeping else None})

    def keep_data(self, chat_id: ChatId, data: Mapping[str, JsonValue]) -> None:
        """Replace what a chat's dialog knows; its step stays."""
        self._set(chat_id, {"step_data": dict(data)})

    def set_family(self, chat_id: ChatId, family_id: FamilyId) -> None:
        """Note which family a chat is about, where it may be about several."""
        self._set(chat_id, {"family_id": family_id})

    def note_stranger_told(self, chat_id: ChatId, now: datetime) -> None:
        """Note that a chat that is nobody's was told so."""
        self._set(chat_id, {"stranger_told_at": now})

    def _set(self, chat_id: ChatId, values: Mapping[str, object]) -> None:
        """Set fields of a chat's row, making it where there is none."""
        if not _SET.change(self._conn, {"chat": chat_id, **values}):
            self._conn.execute(chats.insert().values({"chat_id": chat_id, **values}))


# Built once: every message asks for them. What is set, is told by the values given.
_FIND = Prepared(select(chats).where(chats.c.chat_id == bindparam("chat", type_=chats.c.chat_id.type)))
_SET = Prepared(update(chats).where(chats.c.chat_id == bindparam("chat", type_=chats.c.chat_id.type)))
