"""What carers told: messages, sessions, observations, skips."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, cast

from sqlalchemy import Row, bindparam, func, insert, select, update
from sqlalchemy.dialects import postgresql, sqlite

from bot.domain.ids import CarerId, ChatId, EntryId, FamilyId, MessageId, OutboxId, ReminderId
from bot.domain.messages import Message
from bot.storage.prepared import Prepared
from bot.storage.repository import Repository
from bot.storage.rows import AnyRow, kept, new_id, value_of
from bot.storage.tables import messages


class Messages(Repository):
    def keep(
        self,
        *,
        chat_id: ChatId,
        message_id: int,
        kind: str,
        text: str,
        at: datetime,
        family_id: FamilyId | None = None,
        carer_id: CarerId | None = None,
        file_id: str | None = None,
        reminder_id: ReminderId | None = None,
    ) -> MessageId:
        """Keep what a person wrote, verbatim. Raises IntegrityError where that message is kept already."""
        inserted = self._conn.execute(
            insert(messages).values(
                chat_id=chat_id,
                message_id=message_id,
                kind=kind,
                text=text,
                at=at,
                family_id=family_id,
                carer_id=carer_id,
                file_id=file_id,
                reminder_id=reminder_id,
            )
        )
        return MessageId(new_id(inserted))

    def keep_new(
        self,
        *,
        chat_id: ChatId,
        message_id: int,
        kind: str,
        text: str,
        at: datetime,
        family_id: FamilyId | None = None,
        carer_id: CarerId | None = None,
        file_id: str | None = None,
        reminder_id: ReminderId | None = None,
    ) -> MessageId | None:
        """Keep what a person wrote, verbatim, and return its number; None where that message is kept already."""
        values = {
            "chat_id": chat_id, "message_id": message_id, "kind": kind, "text": text, "at": at,
            "family_id": family_id, "carer_id": carer_id, "file_id": file_id, "reminder_id": reminder_id,
        }  # fmt: skip
        return _number(_KEEP_NEW[self._conn.dialect.name].first(self._conn, values))

    def in_chat(self, chat_id: ChatId, message_id: int) -> Message | None:
        row = _IN_CHAT.first(self._conn, {"chat": chat_id, "known_as": message_id})
        return None if row is None else _message(row)

    def last_of_family(self, family_id: FamilyId) -> Message | None:
        """Return the last message that any carer of a family wrote."""
        row = (
            self._conn.execute(
                select(messages)
                .where(messages.c.family_id == family_id)
                .order_by(messages.c.at.desc(), messages.c.id.desc())
                .limit(1)
            )
        ).first()
        return None if row is None else _message(row)

    def find(self, message_id: MessageId) -> Message | None:
        row = _FIND.first(self._conn, {"message": message_id})
        return None if row is None else _message(row)

    def last_at(self, family_id: FamilyId) -> datetime | None:
        newest = select(func.max(messages.c.at)).where(messages.c.family_id == family_id)
        return cast("datetime | None", self._conn.scalar(newest))

    def texts(self, message_ids: Sequence[MessageId]) -> dict[str, str]:
        """Return what was written, verbatim, by message id."""
        rows = self._conn.execute(
            select(messages.c.id, messages.c.text).where(messages.c.id.in_(message_ids))
        )
        return {str(row.id): row.text or "" for row in rows}

    def of_family(self, family_id: FamilyId) -> Sequence[Row[Any]]:
        """Return every message of a family as kept, in the order they were written."""
        rows = self._conn.execute(
            select(messages).where(messages.c.family_id == family_id).order_by(messages.c.at, messages.c.id)
        )
        return rows.all()

    def unparsed_since(self, start: datetime) -> list[str]:
        """Return the parts of messages that were not understood, from an instant on."""
        rows = self._conn.scalars(
            select(messages.c.unread).where(messages.c.at >= start, messages.c.unread.is_not(None))
        )
        return [text for text in rows if text]

    def get(self, message_id: MessageId) -> Message:
        """Return a message that is known to be kept. Raises NotKept."""
        return kept(self.find(message_id), "message", message_id)

    def file_of(self, message_id: MessageId) -> tuple[str, str] | None:
        """Return the kind of a message and the messaging service's id of the file that came with it; None without one."""
        row = self._conn.execute(
            select(messages.c.kind, messages.c.file_id).where(messages.c.id == message_id)
        ).first()
        return None if row is None or row.file_id is None else (row.kind, row.file_id)

    def edit(self, message_id: MessageId, text: str, now: datetime) -> None:
        """Keep the new wording of a message that its writer edited."""
        self._set(message_id, {"text": text, "edited_at": now})

    def set_unparsed(self, message_id: MessageId, text: str | None) -> None:
        """Keep the part that was not understood; None: all of it was."""
        self._set(message_id, {"unread": text})

    def set_reminder(self, message_id: MessageId, reminder_id: ReminderId) -> None:
        """Note which reminder a message answers."""
        self._set(message_id, {"reminder_id": reminder_id})

    def set_line(self, message_id: MessageId, outbox_id: OutboxId | None) -> None:
        """Note which line of ours tells what a message logged. outbox_id: None where nothing was sent."""
        self._set(message_id, {"answer_id": outbox_id})

    def set_correction(self, message_id: MessageId, entry_id: EntryId, outbox_id: OutboxId | None) -> None:
        """Note which log entry a message put right or completed, and which line of ours says so."""
        self._set(message_id, {"corrects": entry_id, "answer_id": outbox_id})

    def assign(self, message_id: MessageId, family_id: FamilyId, carer_id: CarerId) -> None:
        """Give a message to the family that it turned out to be about."""
        self._set(message_id, {"family_id": family_id, "carer_id": carer_id})

    def _set(self, message_id: int, values: Mapping[str, object]) -> None:
        _SET.change(self._conn, {"message": message_id, **values})


# ---------------------------------------------------------------- what each message asks for, built once

_KEEP_NEW = {
    name: Prepared(
        build(messages)
        .on_conflict_do_nothing(index_elements=["chat_id", "message_id"])
        .returning(messages.c.id)
    )
    for name, build in (("sqlite", sqlite.insert), ("postgresql", postgresql.insert))
}
_FIND = Prepared(select(messages).where(messages.c.id == bindparam("message")))
_IN_CHAT = Prepared(
    select(messages).where(
        messages.c.chat_id == bindparam("chat"), messages.c.message_id == bindparam("known_as")
    )
)
# What is set, is told by the values given.
_SET = Prepared(update(messages).where(messages.c.id == bindparam("message")))


def _number(row: AnyRow | None) -> MessageId | None:
    return None if row is None else MessageId(row.id)


def _message(row: AnyRow) -> Message:
    return value_of(Message, row, text=row.text or "")
