"""Whom an invitation is for."""

from __future__ import annotations

from dataclasses import dataclass

from bot.domain.ids import CarerId, FamilyId, TherapistId


@dataclass(frozen=True, slots=True)
class Invitation:
    family_id: FamilyId | None
    carer_id: CarerId | None
    therapist_id: TherapistId | None
