"""New rows for a clinic, a therapist, a family, a carer, made from the command line or in chat."""

from __future__ import annotations

import secrets
from datetime import date, datetime
from typing import Any

from sqlalchemy import insert, select

from bot.domain.actor import Actor
from bot.domain.ids import CarerId, FamilyId, TherapistId
from bot.phrases import Language
from bot.storage.tables import clinics
from bot.storage.unit_of_work import UnitOfWork
from scheduling.plan import document_of, plan_from

LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # none that look alike
ID_LENGTH = 7  # 31 ** 7 is about 27 thousand million


def fresh_id(first: str) -> str:
    """Return a new id, short enough for any button."""
    return first + "".join(secrets.choice(LETTERS) for _ in range(ID_LENGTH))


def has_clinic(uow: UnitOfWork) -> bool:
    return uow.conn.scalar(select(clinics.c.id).limit(1)) is not None


def add_clinic(
    uow: UnitOfWork,
    *,
    name: str,
    time_zone: str,
    emergency_line: str,
    nurse_line: str,
    crisis_line: str | None = None,
) -> None:
    """Make the clinic, its digest on Sundays at 18:00. crisis_line: the emergency line where there is none."""
    uow.conn.execute(
        insert(clinics).values(
            id=1,
            name=name,
            time_zone=time_zone,
            emergency_line=emergency_line,
            nurse_line=nurse_line,
            crisis_line=crisis_line,
            digest_weekday=6,
            digest_at="18:00",
        )
    )


def add_therapist(uow: UnitOfWork, *, name: str, language: Language) -> TherapistId:
    """Make a therapist who has no chat yet; return the id."""
    therapist_id = TherapistId(fresh_id("t"))
    uow.therapists.add(therapist_id, name=name, language=language)
    return therapist_id


def add_carer(
    uow: UnitOfWork, family_id: FamilyId, *, name: str, language: Language, role: str = "parent"
) -> CarerId:
    """Make a carer who is invited and has not joined; return the id."""
    carer_id = CarerId(fresh_id("c"))
    uow.carers.add(family_id, carer_id, name=name, role=role, language=language)
    return carer_id


def empty_plan(
    *, nickname: str, born: date, gestation_weeks: int, affected_side: str, time_zone: str
) -> dict[str, Any]:
    """Return a plan document that holds nothing yet: no activity, and no day's shape until the family tells it."""
    return document_of(
        plan_from(
            {
                "baby": {
                    "nickname": nickname,
                    "born": born.isoformat(),
                    "gestation_weeks": gestation_weeks,
                    "affected_side": affected_side,
                },
                "time_zone": time_zone,
                "awake": [],
                "activities": [],
            }
        )
    )


def add_family(
    uow: UnitOfWork, *, therapist_id: TherapistId, plan: dict[str, Any], now: datetime
) -> FamilyId:
    """Make a family with a first plan; return the id."""
    family_id = FamilyId(fresh_id("f"))
    uow.families.add(
        family_id,
        therapist_id=therapist_id,
        nickname=plan["baby"]["nickname"],
        time_zone=plan["time_zone"],
        now=now,
    )
    uow.plans.add(family_id, plan, made_by=Actor.therapist(therapist_id), now=now)
    return family_id
