"""What therapists wrote to carers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from bot.domain.subject import Subject


@dataclass(frozen=True, slots=True)
class Answer:
    """One message of a therapist to one carer. thread: what it answers; a letter begins a thread of its own."""

    id: int
    family_id: str
    carer_id: str
    therapist_id: str
    thread: Subject
    message_id: int
    kind: str
    text: str
    outbox_id: int | None
    at: datetime
