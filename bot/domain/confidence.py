"""Questions to carers of how sure they feel, and their answers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from bot.domain.ids import CarerId, FamilyId, QuestionId
from bot.domain.subject import Subject

AskedKind = Literal["ruler", "teachback"]


@dataclass(frozen=True, slots=True)
class Asked:
    """One question of this kind to one carer. value: 0 to 10, None where it is not answered or was no ruler."""

    id: QuestionId
    family_id: FamilyId
    carer_id: CarerId
    activity: str
    kind: AskedKind
    asked_at: datetime
    value: int | None
    at: datetime | None = None

    @property
    def about(self) -> Subject:
        return Subject.of("confidence", self.id)
