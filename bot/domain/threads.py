"""TODO bot.domain.threads."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Answer:
    """One message of a therapist to one carer. thread: what it answers, "concern:3", "question:4", "letter:5"."""

    id: int
    family_id: str
    carer_id: str
    therapist_id: str
    thread: str
    message_id: int
    kind: str
    text: str
    outbox_id: int | None
    at: datetime
