"""Whom an invitation is for."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Invitation:
    family_id: str | None
    carer_id: str | None
    therapist_id: str | None
