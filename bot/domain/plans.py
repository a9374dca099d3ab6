"""Versions and drafts of a family's plan."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from bot.domain.actor import Actor
from bot.domain.ids import FamilyId, TherapistId
from scheduling.plan import Plan


@dataclass(frozen=True, slots=True)
class PlanVersion:
    version: int
    plan: Plan
    document: dict[str, Any]
    made_at: datetime
    made_by: Actor
    note: str | None


@dataclass(frozen=True, slots=True)
class Untold:
    """The newest version, that the family was not told of, and the plan it knows. made_by: of the newest."""

    version: int
    before: Plan
    after: Plan
    made_by: Actor
    note: str | None


@dataclass(frozen=True, slots=True)
class Draft:
    """base_version: the version that was in force when the draft was begun."""

    id: int
    therapist_id: TherapistId
    family_id: FamilyId
    plan: Plan
    base_version: int
