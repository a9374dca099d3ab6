"""What carers told: messages, sessions, observations, skips."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Literal, cast

from sqlalchemy import Row, delete, func, insert, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.rows import new_id
from bot.records.tables import messages, observations, sessions, skips

SessionState = Literal["counted", "asked", "undone", "replaced"]


@dataclass(frozen=True, slots=True)
class Message:
    id: int
    family_id: str | None
    carer_id: str | None
    chat_id: int
    message_id: int
    kind: str
    text: str
    at: datetime
    reminder_id: int | None
    answer_id: int | None
    corrects: int | None


@dataclass(frozen=True, slots=True)
class Session:
    id: int
    family_id: str
    carer_id: str
    message_id: int | None
    reminder_id: int | None
    activity: str | None
    minutes: float | None
    side: Literal["left", "right"] | None
    local_date: date
    at: datetime
    state: SessionState
    twin_of: int | None
    logged_at: datetime

    def logged_before(self, instant: datetime) -> bool:
        return self.logged_at < instant


def _message(row: Row[Any]) -> Message:
    return Message(
        id=row.id,
        family_id=row.family_id,
        carer_id=row.carer_id,
        chat_id=row.chat_id,
        message_id=row.message_id,
        kind=row.kind,
        text=row.text or "",
        at=row.at,
        reminder_id=row.reminder_id,
        answer_id=row.answer_id,
        corrects=row.corrects,
    )


def _session(row: Row[Any]) -> Session:
    return Session(
        id=row.id,
        family_id=row.family_id,
        carer_id=row.carer_id,
        message_id=row.message_id,
        reminder_id=row.reminder_id,
        activity=row.activity,
        minutes=row.minutes,
        side=row.side,
        local_date=row.local_date,
        at=row.at,
        state=row.state,
        twin_of=row.twin_of,
        logged_at=row.logged_at,
    )


async def keep_message(
    conn: AsyncConnection,
    *,
    chat_id: int,
    message_id: int,
    kind: str,
    text: str,
    at: datetime,
    family_id: str | None = None,
    carer_id: str | None = None,
    file_id: str | None = None,
    reminder_id: int | None = None,
) -> int:
    """Keep what a person wrote, verbatim. Raises IntegrityError where that message is kept already."""
    inserted = await conn.execute(
        insert(messages).values(
            chat_id=chat_id,
            message_id=message_id,
            kind=kind,
            text=text,
            at=at,
            family_id=family_id,
            carer_id=carer_id,
            file_id=file_id,
            reminder_id=reminder_id,
        )
    )
    return new_id(inserted)


async def message_in_chat(conn: AsyncConnection, chat_id: int, message_id: int) -> Message | None:
    row = (
        await conn.execute(
            select(messages).where(messages.c.chat_id == chat_id, messages.c.message_id == message_id)
        )
    ).first()
    return None if row is None else _message(row)


async def last_word(conn: AsyncConnection, family_id: str) -> Message | None:
    """Return the last message that any carer of a family wrote."""
    row = (
        await conn.execute(
            select(messages)
            .where(messages.c.family_id == family_id)
            .order_by(messages.c.at.desc(), messages.c.id.desc())
            .limit(1)
        )
    ).first()
    return None if row is None else _message(row)


async def message(conn: AsyncConnection, message_id: int) -> Message | None:
    row = (await conn.execute(select(messages).where(messages.c.id == message_id))).first()
    return None if row is None else _message(row)


async def last_message(conn: AsyncConnection, family_id: str) -> datetime | None:
    newest = select(func.max(messages.c.at)).where(messages.c.family_id == family_id)
    return cast("datetime | None", await conn.scalar(newest))


async def texts_of(conn: AsyncConnection, message_ids: Sequence[int]) -> dict[str, str]:
    """Return what was written, verbatim, by message id."""
    rows = await conn.execute(select(messages.c.id, messages.c.text).where(messages.c.id.in_(message_ids)))
    return {str(row.id): row.text or "" for row in rows}


async def messages_of(conn: AsyncConnection, family_id: str) -> Sequence[Row[Any]]:
    """Return every message of a family as kept, in the order they were written."""
    rows = await conn.execute(
        select(messages).where(messages.c.family_id == family_id).order_by(messages.c.at, messages.c.id)
    )
    return rows.all()


async def change_message(conn: AsyncConnection, message_id: int, **values: Any) -> None:
    await conn.execute(update(messages).where(messages.c.id == message_id).values(**values))


async def add_session(conn: AsyncConnection, **values: Any) -> int:
    inserted = await conn.execute(insert(sessions).values(**values))
    return new_id(inserted)


async def session(conn: AsyncConnection, session_id: int) -> Session | None:
    row = (await conn.execute(select(sessions).where(sessions.c.id == session_id))).first()
    return None if row is None else _session(row)


async def change_session(conn: AsyncConnection, session_id: int, **values: Any) -> None:
    await conn.execute(update(sessions).where(sessions.c.id == session_id).values(**values))


async def sessions_of_message(conn: AsyncConnection, message_id: int) -> list[Session]:
    """Return what a message logged as it stands now; what its earlier wording had logged is left out."""
    rows = await conn.execute(
        select(sessions)
        .where(sessions.c.message_id == message_id, sessions.c.state != "replaced")
        .order_by(sessions.c.id)
    )
    return [_session(row) for row in rows]


async def sessions_of_reminder(conn: AsyncConnection, reminder_id: int) -> list[Session]:
    rows = await conn.execute(
        select(sessions)
        .where(sessions.c.reminder_id == reminder_id, sessions.c.state == "counted")
        .order_by(sessions.c.id)
    )
    return [_session(row) for row in rows]


async def last_counted(conn: AsyncConnection, family_id: str, carer_id: str) -> list[Session]:
    """Return the sessions that the carer's last counted message or press logged, the oldest first."""
    rows = await conn.execute(
        select(sessions)
        .where(
            sessions.c.family_id == family_id, sessions.c.carer_id == carer_id, sessions.c.state == "counted"
        )
        .order_by(sessions.c.id.desc())
        .limit(8)
    )
    found = [_session(row) for row in rows]
    if not found:
        return []
    newest = found[0]
    if newest.message_id is None:
        return [newest]
    return [session for session in reversed(found) if session.message_id == newest.message_id]


async def waiting_session(
    conn: AsyncConnection, family_id: str, carer_id: str, *, since: datetime
) -> Session | None:
    """Return the newest entry of a carer that still needs an answer before it counts."""
    row = (
        await conn.execute(
            select(sessions)
            .where(
                sessions.c.family_id == family_id,
                sessions.c.carer_id == carer_id,
                sessions.c.state == "asked",
                sessions.c.logged_at >= since,
            )
            .order_by(sessions.c.id.desc())
            .limit(1)
        )
    ).first()
    return None if row is None else _session(row)


async def like_sessions(conn: AsyncConnection, new: Session, *, within: timedelta) -> list[Session]:
    """Return sessions of other carers that may be the same as `new`: same activity, side and minutes, about then."""
    rows = await conn.execute(
        select(sessions)
        .where(
            sessions.c.family_id == new.family_id,
            sessions.c.carer_id != new.carer_id,
            sessions.c.state == "counted",
            sessions.c.activity == new.activity,
            sessions.c.minutes == new.minutes,
            sessions.c.local_date == new.local_date,
            sessions.c.at >= new.at - within,
            sessions.c.at <= new.at + within,
        )
        .order_by(sessions.c.id)
    )
    return [found for row in rows if (found := _session(row)).side in (None, new.side) or new.side is None]


async def counted_between(conn: AsyncConnection, family_id: str, first: date, last: date) -> list[Session]:
    """Return the sessions counted on the local days `first` to `last`, both included, in the order they happened."""
    rows = await conn.execute(
        select(sessions)
        .where(
            sessions.c.family_id == family_id,
            sessions.c.state == "counted",
            sessions.c.local_date >= first,
            sessions.c.local_date <= last,
        )
        .order_by(sessions.c.at, sessions.c.id)
    )
    return [_session(row) for row in rows]


async def counted_logged(
    conn: AsyncConnection, family_id: str, start: datetime, end: datetime
) -> list[Session]:
    """Return the counted sessions that were logged in [start, end), in the order they happened."""
    rows = await conn.execute(
        select(sessions)
        .where(
            sessions.c.family_id == family_id,
            sessions.c.state == "counted",
            sessions.c.logged_at >= start,
            sessions.c.logged_at < end,
        )
        .order_by(sessions.c.at, sessions.c.id)
    )
    return [_session(row) for row in rows]


async def tries_of(conn: AsyncConnection, family_id: str, carer_id: str, activity: str) -> list[datetime]:
    """Return when a carer logged each counted session of one activity, the oldest first."""
    rows = await conn.scalars(
        select(sessions.c.logged_at)
        .where(
            sessions.c.family_id == family_id,
            sessions.c.carer_id == carer_id,
            sessions.c.activity == activity,
            sessions.c.state == "counted",
        )
        .order_by(sessions.c.logged_at)
    )
    return list(rows)


async def skip_reasons(conn: AsyncConnection, message_id: int) -> set[str]:
    """Return why a message said that something was not done."""
    return set(await conn.scalars(select(skips.c.reason).where(skips.c.message_id == message_id)))


async def change_skip(conn: AsyncConnection, reminder_id: int, *, reason: str) -> None:
    """Set the reason of the skip that closed a reminder."""
    await conn.execute(update(skips).where(skips.c.reminder_id == reminder_id).values(reason=reason))


async def minutes_today(conn: AsyncConnection, family_id: str, activity: str, day: date) -> float:
    total = await conn.scalar(
        select(func.sum(sessions.c.minutes)).where(
            sessions.c.family_id == family_id,
            sessions.c.activity == activity,
            sessions.c.local_date == day,
            sessions.c.state == "counted",
        )
    )
    return float(total or 0)


async def add_observation(conn: AsyncConnection, **values: Any) -> None:
    await conn.execute(insert(observations).values(**values))


async def add_skip(conn: AsyncConnection, **values: Any) -> None:
    await conn.execute(insert(skips).values(**values))


async def forget_readings(conn: AsyncConnection, message_id: int) -> None:
    """Take back what an edited message had told, before it is read again. It never counts again, by no button."""
    await conn.execute(update(sessions).where(sessions.c.message_id == message_id).values(state="replaced"))
    await conn.execute(delete(observations).where(observations.c.message_id == message_id))
    await conn.execute(delete(skips).where(skips.c.message_id == message_id))
