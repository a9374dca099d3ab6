"""What a therapist shows of an activity."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from bot.domain.ids import FamilyId, TherapistId
from bot.domain.subject import Subject

MaterialKind = Literal["picture", "video", "voice"]


@dataclass(frozen=True, slots=True)
class Material:
    """One thing that a therapist keeps for one hold of one family. caption: shown with it."""

    id: int
    family_id: FamilyId
    activity: str
    kind: MaterialKind
    file_id: str
    caption: str | None
    added_at: datetime

    @property
    def about(self) -> Subject:
        return Subject.of("material", self.id)


@dataclass(frozen=True, slots=True)
class HoldNote:
    """What a therapist said after looking at how a family does a hold; text "" where they answered by a file alone."""

    activity: str
    therapist: TherapistId
    text: str
    at: datetime
