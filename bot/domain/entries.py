"""Log entries: minutes of one activity that a carer told of."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from bot.domain.ids import CarerId, EntryId, FamilyId, MessageId, ReminderId
from scheduling.sides import Side

EntryState = Literal["counted", "asked", "undone", "replaced"]


@dataclass(frozen=True, slots=True)
class LogEntry:
    id: EntryId
    family_id: FamilyId
    carer_id: CarerId
    message_id: MessageId | None
    reminder_id: ReminderId | None
    activity: str | None
    minutes: float | None
    side: Side | None
    local_date: date
    at: datetime
    state: EntryState
    twin_of: EntryId | None
    logged_at: datetime
    local_at: str | None = None

    def logged_before(self, instant: datetime) -> bool:
        return self.logged_at < instant
