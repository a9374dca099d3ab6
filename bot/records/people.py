"""The clinic, its therapists, families and their carers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import Any, Literal, cast
from zoneinfo import ZoneInfo

from sqlalchemy import Row, and_, or_, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.phrases import Language
from bot.records.tables import carers, chats, clinics, concerns, families, outbox, therapists

# What a therapist who cannot be reached missed is held until they are back.
UNTIL_BACK = datetime(9999, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Clinic:
    name: str
    zone: ZoneInfo
    emergency_line: str
    nurse_line: str
    digest_weekday: int  # Monday 0
    digest_at: time


@dataclass(frozen=True, slots=True)
class Therapist:
    id: str
    chat_id: int | None
    name: str
    language: Language
    quiet_from: str | None
    quiet_to: str | None
    covered_by: str | None
    cover_from: date | None
    cover_until: date | None
    digest_until: datetime | None
    next_digest_at: datetime | None
    unreachable: bool = False

    @property
    def reachable(self) -> bool:
        return self.chat_id is not None and not self.unreachable

    def cover_on(self, day: date) -> str | None:
        """Return the id of who covers for this therapist on a local day of the clinic."""
        begun = self.cover_from is None or self.cover_from <= day
        over = self.cover_until is not None and self.cover_until < day
        return self.covered_by if begun and not over else None


@dataclass(frozen=True, slots=True)
class Family:
    id: str
    therapist_id: str
    nickname: str
    zone: ZoneInfo
    state: Literal["active", "paused", "discharged"]
    paused_until: datetime | None
    asleep_until: datetime | None
    hold_until: datetime | None
    budget: int | None
    asked_load: int
    budget_on: date | None
    heard_at: datetime | None
    kind_note_at: datetime | None
    silence_told_at: datetime | None
    group_allowed: bool
    shape_told_at: datetime | None
    shape_draft: dict[str, Any] | None
    home_zone: str | None
    away_until: date | None

    def local(self, instant: datetime) -> datetime:
        return instant.astimezone(self.zone)


@dataclass(frozen=True, slots=True)
class Carer:
    family_id: str
    id: str
    chat_id: int | None
    name: str
    role: str
    language: Language
    state: Literal["invited", "joining", "active", "left"]
    gets_prompts: bool
    off_duty_until: datetime | None
    on_duty_until: datetime | None
    blocked: bool


def _language(value: str) -> Language:
    return "es" if value == "es" else "en"


def _clinic(row: Row[Any]) -> Clinic:
    return Clinic(
        name=row.name,
        zone=ZoneInfo(row.time_zone),
        emergency_line=row.emergency_line,
        nurse_line=row.nurse_line,
        digest_weekday=row.digest_weekday,
        digest_at=time.fromisoformat(row.digest_at),
    )


def _therapist(row: Row[Any]) -> Therapist:
    return Therapist(
        id=row.id,
        chat_id=row.chat_id,
        name=row.name,
        language=_language(row.language),
        quiet_from=row.quiet_from,
        quiet_to=row.quiet_to,
        covered_by=row.covered_by,
        cover_from=row.cover_from,
        cover_until=row.cover_until,
        digest_until=row.digest_until,
        next_digest_at=row.next_digest_at,
        unreachable=row.unreachable_at is not None,
    )


def _family(row: Row[Any]) -> Family:
    return Family(
        id=row.id,
        therapist_id=row.therapist_id,
        nickname=row.nickname,
        zone=ZoneInfo(row.time_zone),
        state=row.state,
        paused_until=row.paused_until,
        asleep_until=row.asleep_until,
        hold_until=row.hold_until,
        budget=row.budget,
        asked_load=row.asked_load,
        budget_on=row.budget_on,
        heard_at=row.heard_at,
        kind_note_at=row.kind_note_at,
        silence_told_at=row.silence_told_at,
        group_allowed=row.group_allowed,
        shape_told_at=row.shape_told_at,
        shape_draft=row.shape_draft,
        home_zone=row.home_zone,
        away_until=row.away_until,
    )


def _carer(row: Row[Any]) -> Carer:
    return Carer(
        family_id=row.family_id,
        id=row.id,
        chat_id=row.chat_id,
        name=row.name,
        role=row.role,
        language=_language(row.language),
        state=row.state,
        gets_prompts=row.gets_prompts,
        off_duty_until=row.off_duty_until,
        on_duty_until=row.on_duty_until,
        blocked=row.blocked_at is not None,
    )


async def clinic(conn: AsyncConnection) -> Clinic | None:
    row = (await conn.execute(select(clinics).limit(1))).first()
    return None if row is None else _clinic(row)


async def therapist(conn: AsyncConnection, therapist_id: str) -> Therapist | None:
    row = (await conn.execute(select(therapists).where(therapists.c.id == therapist_id))).first()
    return None if row is None else _therapist(row)


async def therapist_in_chat(conn: AsyncConnection, chat_id: int) -> Therapist | None:
    row = (await conn.execute(select(therapists).where(therapists.c.chat_id == chat_id))).first()
    return None if row is None else _therapist(row)


async def all_therapists(conn: AsyncConnection) -> list[Therapist]:
    return [_therapist(row) for row in await conn.execute(select(therapists).order_by(therapists.c.id))]


async def change_therapist(conn: AsyncConnection, therapist_id: str, **values: Any) -> None:
    await conn.execute(update(therapists).where(therapists.c.id == therapist_id).values(**values))


async def family(conn: AsyncConnection, family_id: str) -> Family | None:
    row = (await conn.execute(select(families).where(families.c.id == family_id))).first()
    return None if row is None else _family(row)


async def families_of(conn: AsyncConnection, therapist_id: str) -> list[Family]:
    """Return the families of a therapist in the order of their ids, discharged ones included."""
    rows = await conn.execute(
        select(families).where(families.c.therapist_id == therapist_id).order_by(families.c.id)
    )
    return [_family(row) for row in rows]


async def change_family(conn: AsyncConnection, family_id: str, **values: Any) -> None:
    await conn.execute(update(families).where(families.c.id == family_id).values(**values))


async def carer(conn: AsyncConnection, family_id: str, carer_id: str) -> Carer | None:
    row = (
        await conn.execute(select(carers).where(carers.c.family_id == family_id, carers.c.id == carer_id))
    ).first()
    return None if row is None else _carer(row)


async def carers_in_chat(conn: AsyncConnection, chat_id: int) -> list[Carer]:
    """Return who a chat is: one carer a baby, those who left not counted."""
    rows = await conn.execute(
        select(carers)
        .where(carers.c.chat_id == chat_id, carers.c.state != "left")
        .order_by(carers.c.family_id)
    )
    return [_carer(row) for row in rows]


async def active_carers(conn: AsyncConnection) -> list[Carer]:
    rows = await conn.execute(
        select(carers).where(carers.c.state == "active").order_by(carers.c.family_id, carers.c.id)
    )
    return [_carer(row) for row in rows]


async def left_in_chat(conn: AsyncConnection, chat_id: int) -> list[Carer]:
    """Return who a chat was before they left; their rights outlast their leaving."""
    rows = await conn.execute(
        select(carers)
        .where(carers.c.chat_id == chat_id, carers.c.state == "left")
        .order_by(carers.c.family_id)
    )
    return [_carer(row) for row in rows]


async def away_families(conn: AsyncConnection) -> list[Family]:
    """Return the families that are in another zone for a while."""
    rows = await conn.execute(
        select(families).where(families.c.away_until.is_not(None)).order_by(families.c.id)
    )
    return [_family(row) for row in rows]


async def carers_of(conn: AsyncConnection, family_id: str) -> list[Carer]:
    rows = await conn.execute(select(carers).where(carers.c.family_id == family_id).order_by(carers.c.id))
    return [_carer(row) for row in rows]


async def prompted_carers(conn: AsyncConnection, family_id: str, now: datetime) -> list[Carer]:
    """Return the carers who get this family's reminders now: whoever is on duty today, else all who get them."""
    reachable = [
        found
        for found in await carers_of(conn, family_id)
        if found.state == "active" and found.chat_id is not None and not found.blocked
    ]
    on_duty = [found for found in reachable if found.on_duty_until is not None and found.on_duty_until > now]
    return on_duty or [
        found
        for found in reachable
        if found.gets_prompts and (found.off_duty_until is None or found.off_duty_until <= now)
    ]


async def change_carer(conn: AsyncConnection, who: Carer, **values: Any) -> None:
    await conn.execute(
        update(carers).where(carers.c.family_id == who.family_id, carers.c.id == who.id).values(**values)
    )


async def language_of(conn: AsyncConnection, chat_id: int) -> str:
    """Return the language of whoever a chat is, English for strangers."""
    found = await conn.scalar(select(therapists.c.language).where(therapists.c.chat_id == chat_id))
    found = found or await conn.scalar(select(carers.c.language).where(carers.c.chat_id == chat_id).limit(1))
    return cast(str, found or "en")


async def chat_unreachable(conn: AsyncConnection, chat_id: int, now: datetime) -> None:
    """Note that a chat blocked us; nothing is sent there until it speaks again."""
    await conn.execute(
        update(carers)
        .where(carers.c.chat_id == chat_id, carers.c.blocked_at.is_(None))
        .values(blocked_at=now)
    )
    lost = await conn.execute(
        update(therapists)
        .where(therapists.c.chat_id == chat_id, therapists.c.unreachable_at.is_(None))
        .values(unreachable_at=now)
        .returning(therapists.c.id)
    )
    if (therapist_id := lost.scalar()) is not None:
        await _worries_go_elsewhere(conn, str(therapist_id), chat_id, now)


async def _worries_go_elsewhere(
    conn: AsyncConnection, therapist_id: str, chat_id: int, now: datetime
) -> None:
    """Have open worries told again at once (to others, now), and keep the rest until this therapist is back."""
    theirs = select(families.c.id).where(families.c.therapist_id == therapist_id)
    covered = select(families.c.id).where(
        families.c.therapist_id.in_(select(therapists.c.id).where(therapists.c.covered_by == therapist_id))
    )
    await conn.execute(
        update(concerns)
        .where(concerns.c.state == "open", concerns.c.next_tell_at.is_not(None))
        .where(or_(concerns.c.family_id.in_(theirs), concerns.c.family_id.in_(covered)))
        .values(next_tell_at=now)
    )
    refused = and_(outbox.c.state == "failed", outbox.c.error.like("Forbidden%"))
    await conn.execute(
        update(outbox)
        .where(outbox.c.chat_id == chat_id, outbox.c.action.not_in(("press", "edit", "buttons")))
        .where(or_(outbox.c.state == "waiting", refused))
        .values(state="held", held_until=UNTIL_BACK, error=None)
    )


async def chat_reachable(conn: AsyncConnection, chat_id: int) -> None:
    await conn.execute(
        update(carers)
        .where(carers.c.chat_id == chat_id, carers.c.blocked_at.is_not(None))
        .values(blocked_at=None)
    )
    back = await conn.execute(
        update(therapists)
        .where(therapists.c.chat_id == chat_id, therapists.c.unreachable_at.is_not(None))
        .values(unreachable_at=None)
    )
    if back.rowcount:
        await conn.execute(
            update(outbox)
            .where(outbox.c.chat_id == chat_id, outbox.c.state == "held", outbox.c.held_until == UNTIL_BACK)
            .values(state="waiting", held_until=None)
        )


async def move_chat(conn: AsyncConnection, old: int, new: int) -> None:
    """Follow a group that the service gave a new id."""
    await conn.execute(update(carers).where(carers.c.chat_id == old).values(chat_id=new))
    await conn.execute(update(therapists).where(therapists.c.chat_id == old).values(chat_id=new))
    await conn.execute(
        update(outbox)
        .where(outbox.c.chat_id == old, or_(outbox.c.state == "waiting", outbox.c.state == "sending"))
        .values(chat_id=new)
    )


@dataclass(frozen=True, slots=True)
class Chat:
    """Where a talk of several steps stands in one chat."""

    step: str | None
    data: dict[str, Any]
    family_id: str | None
    stranger_told_at: datetime | None


async def chat(conn: AsyncConnection, chat_id: int) -> Chat:
    row = (await conn.execute(select(chats).where(chats.c.chat_id == chat_id))).first()
    return (
        Chat(None, {}, None, None)
        if row is None
        else Chat(row.step, row.step_data or {}, row.family_id, row.stranger_told_at)
    )


async def change_chat(conn: AsyncConnection, chat_id: int, **values: Any) -> None:
    """Set fields of a chat's row, making it where there is none."""
    changed = await conn.execute(update(chats).where(chats.c.chat_id == chat_id).values(**values))
    if not changed.rowcount:
        await conn.execute(chats.insert().values(chat_id=chat_id, **values))


async def set_step(conn: AsyncConnection, chat_id: int, step: str | None, **data: Any) -> None:
    """Say what the next message of a chat answers; None: nothing in particular."""
    await change_chat(conn, chat_id, step=step, step_data=data or None)


async def seat_therapist(conn: AsyncConnection, therapist_id: str, chat_id: int, now: datetime) -> None:
    """Give a therapist the chat that they joined from."""
    await conn.execute(
        update(therapists)
        .where(therapists.c.id == therapist_id)
        .values(chat_id=chat_id, joined_at=now, unreachable_at=None)
    )
