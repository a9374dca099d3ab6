"""Log entries: minutes of one activity that a carer told of."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

Side = Literal["left", "right"]
EntryState = Literal["counted", "asked", "undone", "replaced"]


@dataclass(frozen=True, slots=True)
class LogEntry:
    id: int
    family_id: str
    carer_id: str
    message_id: int | None
    reminder_id: int | None
    activity: str | None
    minutes: float | None
    side: Side | None
    local_date: date
    at: datetime
    state: EntryState
    twin_of: int | None
    logged_at: datetime
    local_at: str | None = None

    def logged_before(self, instant: datetime) -> bool:
        return self.logged_at < instant
