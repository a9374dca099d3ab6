"""What families raise with their therapist: concerns and questions."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from bot.concerns.finding import Urgency

QuestionKind = Literal["question", "contact", "teachback"]
ConcernState = Literal["asked", "open", "seen", "answered", "wrong", "denied"]


@dataclass(frozen=True, slots=True)
class ConcernRow:
    """A concern as kept, in the carer's own words.

    advice: the phrase of the gravest text that the carer got. notified_at: when a therapist was first told.
    """

    id: int
    family_id: str
    carer_id: str
    message_id: int | None
    urgency: Urgency
    topics: tuple[str, ...]
    text: str
    state: ConcernState
    advice: str | None
    at: datetime
    notified_at: datetime | None
    notification_count: int
    seen_at: datetime | None
    answered_at: datetime | None

    @property
    def about(self) -> str:
        return f"concern:{self.id}"


@dataclass(frozen=True, slots=True)
class QuestionRow:
    id: int
    family_id: str
    carer_id: str
    message_id: int | None
    kind: QuestionKind
    activity: str | None
    text: str
    at: datetime
    answered_at: datetime | None
    answer: str | None
    thread: str | None = None

    @property
    def about(self) -> str:
        return f"question:{self.id}"
