"""What a person wrote."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Message:
    id: int
    family_id: str | None
    carer_id: str | None
    chat_id: int
    message_id: int
    kind: str
    text: str
    at: datetime
    reminder_id: int | None
    answer_id: int | None
    corrects: int | None
