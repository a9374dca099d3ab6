"""Visits at the clinic."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from bot.domain.ids import FamilyId


@dataclass(frozen=True, slots=True)
class KeptVisit:
    """at: aware. minutes: more than 0. note: the therapist's own, not for the family."""

    id: int
    family_id: FamilyId
    nickname: str
    at: datetime
    minutes: int
    note: str | None
    cancelled: bool
