"""What families raise with their therapist: concerns and questions."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from bot.concerns.finding import Urgency
from bot.domain.subject import Subject

QuestionKind = Literal["question", "contact", "teachback"]
ConcernState = Literal["asked", "open", "seen", "answered", "wrong", "denied"]


@dataclass(frozen=True, slots=True)
class ConcernRow:
    """A concern as kept, in the carer's own words.

    advice: the phrase of the gravest text that the carer got. notified_at: when a therapist was first told.
    discreet: nothing of it may show where others of the home can read it.
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
    discreet: bool = False

    @property
    def about(self) -> Subject:
        return Subject.of("concern", self.id)


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
    thread: Subject | None = None

    @property
    def about(self) -> Subject:
        return Subject.of("question", self.id)
