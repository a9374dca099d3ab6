"""Writes a checked caseload into the records."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import insert, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.errors import InputProblem
from bot.records import audit, day, invitations, people
from bot.records.caseload import (
    WEEKDAYS,
    CarerSection,
    Caseload,
    ClinicSection,
    FamilySection,
    TherapistSection,
)
from bot.records.tables import carers, clinics, families, therapists
from scheduling.plan import document_of, plan_from

FROM_FILE = "file"


@dataclass(frozen=True, slots=True)
class Loaded:
    """What loading did. invitations: (family, carer or therapist name, code), each shown once and not kept."""

    families_new: int
    families_changed: int
    families_same: int
    invitations: tuple[tuple[str, str, str], ...]


async def load(conn: AsyncConnection, caseload: Caseload, now: datetime) -> Loaded:
    """Bring the records in line with a caseload. Raises InputProblem where it clashes with what is stored."""
    await _load_clinic(conn, caseload.clinic)
    invited: list[tuple[str, str, str]] = []
    for therapist in caseload.therapists:
        if await _load_therapist(conn, therapist, now):
            code = await invitations.invite(conn, therapist_id=therapist.id, now=now)
            invited.append(("", therapist.name, code))
    counts = {"new": 0, "changed": 0, "same": 0}
    for family in caseload.families:
        counts[await _load_family(conn, family, now)] += 1
        invited += await _invite(conn, family, now)
    if counts["new"] or counts["changed"]:
        await audit.note(conn, who="server", what="caseload loaded", now=now)
    return Loaded(counts["new"], counts["changed"], counts["same"], tuple(invited))


async def _load_clinic(conn: AsyncConnection, section: ClinicSection) -> None:
    values = {
        "name": section.name,
        "time_zone": section.time_zone,
        "emergency_line": section.emergency_line,
        "nurse_line": section.nurse_line,
        "digest_weekday": WEEKDAYS.index(section.digest.weekday),
        "digest_at": section.digest.at,
    }
    known = (await conn.execute(select(clinics).limit(1))).mappings().first()
    if known is None:
        await conn.execute(insert(clinics).values(id=1, **values))
        return
    await conn.execute(update(clinics).where(clinics.c.id == known["id"]).values(**values))
    if any(known[name] != values[name] for name in ("time_zone", "digest_weekday", "digest_at")):
        # The next digest is reckoned anew, from where the last one ended.
        await conn.execute(update(therapists).values(next_digest_at=None))


async def _load_therapist(conn: AsyncConnection, section: TherapistSection, now: datetime) -> bool:
    """Load a therapist; return whether they need an invitation."""
    if section.chat_id is not None:
        await _chat_is_free(conn, section.chat_id, therapist_id=section.id)
    known = await people.therapist(conn, section.id)
    values: dict[str, Any] = {"name": section.name, "language": section.language}
    if section.chat_id is not None:
        values["chat_id"] = section.chat_id
    if known is None:
        await conn.execute(insert(therapists).values(id=section.id, **values))
    else:
        await conn.execute(update(therapists).where(therapists.c.id == section.id).values(**values))
    return known is None and section.chat_id is None


async def _chat_is_free(conn: AsyncConnection, chat_id: int, *, therapist_id: str | None = None) -> None:
    """Refuse a chat that would be both a therapist's and somebody else's: words must never cross."""
    holder = await people.therapist_in_chat(conn, chat_id)
    if holder is not None and holder.id != therapist_id:
        raise InputProblem(
            f"chat_id {chat_id} is already therapist {holder.id}'s own chat; nothing was changed"
        )
    if therapist_id is not None and await people.carers_in_chat(conn, chat_id):
        raise InputProblem(
            f"chat_id {chat_id} of therapist {therapist_id} is already a carer's chat; nothing was changed"
        )


async def _load_family(conn: AsyncConnection, section: FamilySection, now: datetime) -> str:
    document = document_of(plan_from(section.plan))
    mark = hashlib.sha256(
        json.dumps(section.model_dump(mode="json"), sort_keys=True, default=str).encode()
    ).hexdigest()
    known = (await conn.execute(select(families.c.loaded).where(families.c.id == section.id))).first()
    if known is not None and known.loaded == mark:
        return "same"
    if known is None:
        await conn.execute(
            insert(families).values(
                id=section.id,
                therapist_id=section.therapist,
                nickname=document["baby"]["nickname"],
                time_zone=document["time_zone"],
                loaded=mark,
                joined_at=now,
            )
        )
    else:
        await people.change_family(conn, section.id, therapist_id=section.therapist, loaded=mark)
    await _load_plan(conn, section.id, document, now)
    for carer in section.carers:
        await _load_carer(conn, section, carer, now)
    return "new" if known is None else "changed"


async def _load_plan(conn: AsyncConnection, family_id: str, document: dict[str, Any], now: datetime) -> None:
    """Keep a plan that differs from the one that the file held last; a plan made in chat since then stays otherwise."""
    from_file = [each for each in await day.plan_versions(conn, family_id) if each.made_by == FROM_FILE]
    if not from_file or from_file[-1].document != document:
        await day.add_plan(conn, family_id, document, made_by=FROM_FILE, now=now)


async def _load_carer(
    conn: AsyncConnection, family: FamilySection, section: CarerSection, now: datetime
) -> None:
    if section.chat_id is not None:
        await _chat_is_free(conn, section.chat_id)
    ready = section.consented and section.chat_id is not None
    values: dict[str, Any] = {
        "name": section.name,
        "language": section.language,
        "role": section.role,
        "gets_prompts": section.id in family.prompts_to if family.prompts_to is not None else True,
    }
    known = await people.carer(conn, family.id, section.id)
    if known is None:
        await conn.execute(
            insert(carers).values(
                family_id=family.id,
                id=section.id,
                chat_id=section.chat_id if ready else None,
                state="active" if ready else "invited",
                consented_at=now if ready else None,
                **values,
            )
        )
        return
    if ready and known.state in ("invited", "joining"):
        values |= {"chat_id": section.chat_id, "state": "active", "consented_at": now}
    elif ready and known.state == "active":
        values["chat_id"] = section.chat_id
    await people.change_carer(conn, known, **values)


async def _invite(conn: AsyncConnection, section: FamilySection, now: datetime) -> list[tuple[str, str, str]]:
    """Invite the carers who have not joined and hold no invitation that is still good."""
    invited = []
    for carer in await people.carers_of(conn, section.id):
        listed = any(each.id == carer.id for each in section.carers)
        if (
            listed
            and carer.state == "invited"
            and not await invitations.has_open(conn, section.id, carer.id, now)
        ):
            code = await invitations.invite(conn, family_id=section.id, carer_id=carer.id, now=now)
            invited.append((section.id, carer.name, code))
    return invited
