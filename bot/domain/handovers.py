"""A family offered to a colleague."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from bot.domain.ids import FamilyId, TherapistId

State = Literal["asked", "accepted", "declined", "replaced"]


@dataclass(frozen=True, slots=True)
class Handover:
    id: int
    family_id: FamilyId
    from_id: TherapistId
    to_id: TherapistId
    state: State
