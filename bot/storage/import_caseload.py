"""Writes a checked caseload into the records."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import insert, select, update

from bot.domain.actor import CASELOAD_FILE, SERVER
from bot.domain.ids import ChatId, FamilyId, TherapistId
from bot.errors import InputProblem
from bot.storage.caseload_file import (
    WEEKDAYS,
    CarerSection,
    Caseload,
    ClinicSection,
    FamilySection,
    TherapistSection,
)
from bot.storage.tables import clinics, families, therapists
from bot.storage.unit_of_work import UnitOfWork
from scheduling.plan import document_of, plan_from


@dataclass(frozen=True, slots=True)
class Loaded:
    """What loading did. invitations: (family, carer or therapist name, code), each shown once and not kept."""

    families_new: int
    families_changed: int
    families_same: int
    invitations: tuple[tuple[str, str, str], ...]


def load(uow: UnitOfWork, caseload: Caseload, now: datetime) -> Loaded:
    """Bring the records in line with a caseload. Raises InputProblem where it clashes with what is stored."""
    _load_clinic(uow, caseload.clinic)
    invited: list[tuple[str, str, str]] = []
    for therapist in caseload.therapists:
        if _load_therapist(uow, therapist, now):
            code = uow.invitations.invite(therapist_id=therapist.id, now=now)
            invited.append(("", therapist.name, code))
    counts = {"new": 0, "changed": 0, "same": 0}
    for family in caseload.families:
        counts[_load_family(uow, family, now)] += 1
        invited += _invite(uow, family, now)
    if counts["new"] or counts["changed"]:
        uow.audit.note(who=SERVER, what="caseload loaded", now=now)
    return Loaded(counts["new"], counts["changed"], counts["same"], tuple(invited))


def _load_clinic(uow: UnitOfWork, section: ClinicSection) -> None:
    values: dict[str, str | int | None] = {
        "name": section.name,
        "time_zone": section.time_zone,
        "emergency_line": section.emergency_line,
        "nurse_line": section.nurse_line,
        "crisis_line": section.crisis_line,
        "digest_weekday": WEEKDAYS.index(section.digest.weekday),
        "digest_at": section.digest.at,
    }
    known = (uow.conn.execute(select(clinics).limit(1))).mappings().first()
    if known is None:
        uow.conn.execute(insert(clinics).values({"id": 1, **values}))
        return
    uow.conn.execute(update(clinics).where(clinics.c.id == known["id"]).values(values))
    if any(known[name] != values[name] for name in ("time_zone", "digest_weekday", "digest_at")):
        # The next digest is reckoned anew, from where the last one ended.
        uow.conn.execute(update(therapists).values(next_digest_at=None))


def _load_therapist(uow: UnitOfWork, section: TherapistSection, now: datetime) -> bool:
    """Load a therapist; return whether they need an invitation."""
    if section.chat_id is not None:
        _chat_is_free(uow, section.chat_id, therapist_id=section.id)
    known = uow.therapists.find(section.id)
    if known is not None and known.left_at is not None:
        raise InputProblem(
            f"therapist {section.id} was removed; take them out of the caseload file, or give somebody new another id"
        )
    if known is None:
        uow.therapists.add(section.id, name=section.name, language=section.language)
    else:
        uow.therapists.describe(section.id, name=section.name, language=section.language)
    if section.chat_id is not None:
        uow.therapists.set_chat(section.id, section.chat_id)
    return known is None and section.chat_id is None


def _chat_is_free(uow: UnitOfWork, chat_id: ChatId, *, therapist_id: TherapistId | None = None) -> None:
    """Refuse a chat that would be both a therapist's and somebody else's: words must never cross."""
    holder = uow.therapists.in_chat(chat_id)
    if holder is not None and holder.id != therapist_id:
        raise InputProblem(
            f"chat_id {chat_id} is already therapist {holder.id}'s own chat; nothing was changed"
        )
    if therapist_id is not None and uow.carers.in_chat(chat_id):
        raise InputProblem(
            f"chat_id {chat_id} of therapist {therapist_id} is already a carer's chat; nothing was changed"
        )


def _load_family(uow: UnitOfWork, section: FamilySection, now: datetime) -> str:
    document = document_of(plan_from(section.plan))
    mark = hashlib.sha256(
        json.dumps(section.model_dump(mode="json"), sort_keys=True, default=str).encode()
    ).hexdigest()
    known = (uow.conn.execute(select(families.c.loaded).where(families.c.id == section.id))).first()
    if known is not None and known.loaded == mark:
        return "same"
    if known is None:
        uow.families.add(
            section.id,
            therapist_id=section.therapist,
            nickname=document["baby"]["nickname"],
            time_zone=document["time_zone"],
            now=now,
        )
    else:
        uow.families.give_to(section.id, section.therapist)
    if section.numbers is not None:
        uow.families.set_numbers(section.id, **section.numbers.model_dump())
    uow.families.note_loaded(section.id, mark)
    _load_plan(uow, section.id, document, now, says_hold="arm_hold" in section.plan)
    for carer in section.carers:
        _load_carer(uow, section, carer, now)
    return "new" if known is None else "changed"


def _load_plan(
    uow: UnitOfWork, family_id: FamilyId, document: dict[str, Any], now: datetime, *, says_hold: bool
) -> None:
    """Keep a plan that differs from the one that the file held last; a plan made in chat since then stays otherwise.

    says_hold: the file speaks of a hold of the arm, if only to say null. Where it does not, a hold that stands goes on.
    """
    versions = uow.plans.versions(family_id)
    held = None if says_hold or not versions else versions[-1].document.get("arm_hold")
    from_file = [dict(each.document) for each in versions if each.made_by == CASELOAD_FILE]
    if not says_hold and from_file:
        from_file[-1].pop("arm_hold", None)  # it may have been carried over
    if not from_file or from_file[-1] != document:
        carried = {} if held is None else {"arm_hold": held}
        uow.plans.add(family_id, document | carried, made_by=CASELOAD_FILE, now=now)


def _load_carer(uow: UnitOfWork, family: FamilySection, section: CarerSection, now: datetime) -> None:
    if section.chat_id is not None:
        _chat_is_free(uow, section.chat_id)
    gets_prompts = section.id in family.prompts_to if family.prompts_to is not None else True
    if uow.carers.find(family.id, section.id) is None:
        uow.carers.add(family.id, section.id, name=section.name, role=section.role, language=section.language)
    known = uow.carers.get(family.id, section.id)
    uow.carers.describe(known, name=section.name, role=section.role, language=section.language)
    uow.carers.set_reminders(known, gets_prompts)
    if section.taught is not None:
        uow.carers.set_taught(known, section.taught)
    if section.chat_id is None or not section.consented or known.state == "left":
        return
    uow.carers.set_chat(known, section.chat_id)
    if known.state != "active":
        uow.carers.agree(known, now, role=section.role, name=section.name)


def _invite(uow: UnitOfWork, section: FamilySection, now: datetime) -> list[tuple[str, str, str]]:
    """Invite the carers who have not joined and hold no invitation that is still good."""
    invited: list[tuple[str, str, str]] = []
    for carer in uow.carers.of_family(section.id):
        listed = any(each.id == carer.id for each in section.carers)
        if listed and carer.state == "invited" and not uow.invitations.has_open(section.id, carer.id, now):
            code = uow.invitations.invite(family_id=section.id, carer_id=carer.id, now=now)
            invited.append((section.id, carer.name, code))
    return invited
