"""What a person wrote."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from bot.domain.ids import CarerId, ChatId, EntryId, FamilyId, MessageId, OutboxId, ReminderId


@dataclass(frozen=True, slots=True)
class Message:
    id: MessageId
    family_id: FamilyId | None
    carer_id: CarerId | None
    chat_id: ChatId
    message_id: int
    kind: str
    text: str
    at: datetime
    reminder_id: ReminderId | None
    answer_id: OutboxId | None
    corrects: EntryId | None
