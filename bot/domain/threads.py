"""What therapists wrote to carers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from bot.domain.ids import AnswerId, CarerId, FamilyId, OutboxId, TherapistId
from bot.domain.subject import Subject


@dataclass(frozen=True, slots=True)
class Answer:
    """One message of a therapist to one carer. thread: what it answers; a letter begins a thread of its own."""

    id: AnswerId
    family_id: FamilyId
    carer_id: CarerId
    therapist_id: TherapistId
    thread: Subject
    message_id: int
    kind: str
    text: str
    outbox_id: OutboxId | None
    at: datetime
