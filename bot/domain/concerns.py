"""What families raise with their therapist: concerns and questions."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from bot.concerns.finding import Urgency
from bot.domain.ids import CarerId, ConcernId, FamilyId, MessageId, QuestionId
from bot.domain.subject import Subject

QuestionKind = Literal["question", "contact", "teachback", "check"]
ConcernState = Literal["asked", "open", "seen", "answered", "wrong", "denied"]

Circle = Literal["own", "cover", "clinic"]
"""Who hears of a family's unseen concerns. own: its therapist, and who covers today. cover: also the colleague whom the
therapist named last, on duty or not. clinic: every therapist who can be reached."""


@dataclass(frozen=True, slots=True)
class ConcernRow:
    """A concern as kept, in the carer's own words.

    advice: the phrase of the gravest text that the carer got. notified_at: when a therapist was first told.
    discreet: nothing of it may show where others of the home can read it.
    released_at: when a therapist let the activities that it held go on.
    ask_how_at: when its carer is asked how the baby is; None once that was done.
    """

    id: ConcernId
    family_id: FamilyId
    carer_id: CarerId
    message_id: MessageId | None
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
    released_at: datetime | None = None
    ask_how_at: datetime | None = None

    @property
    def about(self) -> Subject:
        return Subject.of("concern", self.id)


@dataclass(frozen=True, slots=True)
class UnseenSpell:
    """A stretch of time in which a family's urgent concerns wait for somebody to see them.

    first_concern: the one that began it. begun_at: when that was told. restarted_at: when the newest one was.
    next_at: when all that is unseen is told again.
    """

    family_id: FamilyId
    first_concern: int
    begun_at: datetime
    restarted_at: datetime
    next_at: datetime


@dataclass(frozen=True, slots=True)
class QuestionRow:
    id: QuestionId
    family_id: FamilyId
    carer_id: CarerId
    message_id: MessageId | None
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
