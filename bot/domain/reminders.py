"""Reminders as they are kept, and where they stand in chats."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Literal

from bot.domain.ids import ChatId, FamilyId, OutboxId, ReminderId
from bot.domain.subject import Subject

ReminderState = Literal["planned", "sent", "answered", "later", "skipped", "expired", "dropped"]


@dataclass(frozen=True, slots=True)
class Reminder:
    id: ReminderId
    family_id: FamilyId
    activity: str
    local_date: date
    side: Literal["left", "right"] | None
    minutes: float
    moment: str | None
    because: Any
    due_at: datetime
    late_after: datetime
    state: ReminderState
    sent_at: datetime | None
    pinned: bool = False

    @property
    def about(self) -> Subject:
        return Subject.of("reminder", self.id)


@dataclass(frozen=True, slots=True)
class Copy:
    """A message of ours about a reminder or a card, as it stands in one chat. sent: it has gone out, perhaps just now."""

    outbox_id: OutboxId
    chat_id: ChatId
    about: Subject
    sent: bool
    made_at: datetime
