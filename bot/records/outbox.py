"""What must be said, kept in the transaction of the change that causes it.

States: (held →) waiting → sending → sent, or failed (refused for good), unknown (perhaps sent, not tried again), dropped
(too late, or never reachable). Held is what a therapist's quiet time keeps back. A row in "sending" holds a lease; when its holder dies the outcome is unknown.
"""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, cast

from sqlalchemy import and_, delete, func, insert, or_, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.rows import new_id
from bot.records.tables import outbox
from bot.say import LONGEST_CAPTION, PRIORITY, Say, parts_of, visible_length

SENT_AT_LEAST_ONCE = ("concern", "digest", "reply")  # a reminder, a press note: at most once


@dataclass(frozen=True, slots=True)
class Outgoing:
    """A row that is about to be sent. repeat: an earlier attempt may have gone through."""

    id: int
    kind: str
    chat_id: int
    action: str
    payload: dict[str, Any]
    about: str | None
    attempts: int
    repeat: bool
    expires_at: datetime | None


def _action(say: Say) -> str:
    if say.press is not None:
        return "press"
    if say.edits is not None:
        return "edit" if say.text else "buttons"
    return say.attachment.kind if say.attachment else "send"


def _payload(say: Say) -> dict[str, Any]:
    payload: dict[str, Any] = {"text": say.text}
    if say.buttons:
        payload["buttons"] = [[[button.label, button.data] for button in line] for line in say.buttons]
    if say.edits is not None:
        payload["edits"] = say.edits
    if say.press is not None:
        payload["press"] = say.press
    if say.reply_to is not None:
        payload["reply_to"] = say.reply_to
    if say.attachment:
        content = say.attachment.content
        payload["file"] = {
            "name": say.attachment.name,
            "content": base64.b85encode(content).decode("ascii") if content is not None else None,
            "file_id": say.attachment.file_id,
        }
    return payload


async def put(
    conn: AsyncConnection, say: Say, now: datetime, *, held_until: datetime | None = None
) -> int | None:
    """Keep what must be said and return its id, or None where its key was said before.

    held_until: it waits until that instant before it may be sent. A change of what is still held changes it there.
    """
    if say.key is not None:
        known = await conn.scalar(select(outbox.c.id).where(outbox.c.key == say.key))
        if known is not None:
            return None
    if say.edits is not None and await _reworded(conn, say, say.edits):
        return say.edits
    *before, say = _fitting(say)
    for part in before:
        await _insert(conn, part, now, held_until)
    return await _insert(conn, say, now, held_until)


async def _reworded(conn: AsyncConnection, say: Say, row_id: int) -> bool:
    """Change a message that is still held in place of sending a change of it; return whether it was held."""
    held = (
        await conn.execute(select(outbox.c.payload).where(outbox.c.id == row_id, outbox.c.state == "held"))
    ).first()
    if held is None:
        return False
    changed = _payload(say)
    payload = {name: value for name, value in held.payload.items() if name != "buttons"}
    if say.text:
        payload["text"] = say.text
    if "buttons" in changed:
        payload["buttons"] = changed["buttons"]
    await conn.execute(update(outbox).where(outbox.c.id == row_id).values(payload=payload))
    return True


def _fitting(say: Say) -> list[Say]:
    """Cut a text that is too long for one message; its buttons stay under the last part."""
    if say.edits is not None or say.press is not None:
        return [say]
    if say.attachment and visible_length(say.text) > LONGEST_CAPTION:
        return [replace(say, text="", buttons=(), key=None), *_fitting(replace(say, attachment=None))]
    parts = parts_of(say.text)
    first = [replace(say, text=part, buttons=(), key=None) for part in parts[:-1]]
    return [*first, replace(say, text=parts[-1])] if parts else [say]


async def _insert(conn: AsyncConnection, say: Say, now: datetime, held_until: datetime | None) -> int:
    inserted = await conn.execute(
        insert(outbox).values(
            key=say.key,
            kind=say.kind,
            priority=PRIORITY["press" if say.press else say.kind],
            chat_id=say.chat_id,
            action=_action(say),
            payload=_payload(say),
            about=say.about,
            state="waiting" if held_until is None else "held",
            held_until=held_until,
            family_id=say.family,
            expires_at=say.expires_at,
            created_at=now,
        )
    )
    return new_id(inserted)


async def waiting(conn: AsyncConnection, *, real_now: float, limit: int) -> list[tuple[int, int, str]]:
    """Return (id, chat, kind) of what may be sent now, the most pressing first, the oldest first within that."""
    rows = await conn.execute(
        select(outbox.c.id, outbox.c.chat_id, outbox.c.kind)
        .where(outbox.c.state == "waiting", outbox.c.retry_at <= real_now)
        .order_by(outbox.c.priority, outbox.c.id)
        .limit(limit)
    )
    return [(row.id, row.chat_id, row.kind) for row in rows]


async def claim(conn: AsyncConnection, ids: Sequence[int], *, lease_until: float) -> list[Outgoing]:
    """Mark rows as being sent and return them. Commit before sending: from here the outcome may be unknown."""
    rows = await conn.execute(
        update(outbox)
        .where(outbox.c.id.in_(ids), outbox.c.state == "waiting")
        .values(state="sending", lease_until=lease_until, attempts=outbox.c.attempts + 1)
        .returning(outbox)
    )
    found = [
        Outgoing(
            id=row.id,
            kind=row.kind,
            chat_id=row.chat_id,
            action=row.action,
            payload=row.payload,
            about=row.about,
            attempts=row.attempts,
            repeat=row.error == UNKNOWN,
            expires_at=row.expires_at,
        )
        for row in rows
    ]
    order = {row_id: place for place, row_id in enumerate(ids)}
    return sorted(found, key=lambda out: order[out.id])


UNKNOWN = "outcome unknown"


async def sent(
    conn: AsyncConnection, row_id: int, *, message_id: int | None, file_id: str | None, now: datetime
) -> None:
    values: dict[str, Any] = {"state": "sent", "sent_at": now, "error": None}
    if message_id is not None:
        values["message_id"] = message_id
    if file_id is not None:
        values["file_id"] = file_id
    await conn.execute(update(outbox).where(outbox.c.id == row_id).values(**values))


async def settle(conn: AsyncConnection, row_id: int, state: str, error: str) -> None:
    """End a row without its having been sent: failed, unknown or dropped."""
    await conn.execute(update(outbox).where(outbox.c.id == row_id).values(state=state, error=error[:500]))


async def retry(
    conn: AsyncConnection, row_id: int, *, at: float, error: str | None = None, attempt_counts: bool = True
) -> None:
    """Put a row back to be sent from the real second `at`. error UNKNOWN marks the next sending as a repeat."""
    values: dict[str, Any] = {"state": "waiting", "retry_at": at}
    if error is not None:
        values["error"] = error[:500]
    if not attempt_counts:
        values["attempts"] = outbox.c.attempts - 1
    await conn.execute(update(outbox).where(outbox.c.id == row_id).values(**values))


async def retry_as_text(conn: AsyncConnection, out: Outgoing, error: str) -> bool:
    """Put a row whose file the service refuses back as its text alone; return whether it has any."""
    if "file" not in out.payload or not out.payload["text"]:
        return False
    payload = {name: value for name, value in out.payload.items() if name != "file"}
    await conn.execute(
        update(outbox)
        .where(outbox.c.id == out.id)
        .values(action="send", payload=payload, state="waiting", retry_at=0.0, error=error[:500])
    )
    return True


async def sweep(conn: AsyncConnection, *, real_now: float) -> int:
    """Deal with rows whose sender died: say again what must be said at least once, give up the rest.

    A row that never reached a "sent" mark may have been delivered; its repeat says that it is one.
    """
    stalled = and_(outbox.c.state == "sending", outbox.c.lease_until < real_now)
    again = await conn.execute(
        update(outbox)
        .where(stalled, outbox.c.kind.in_(SENT_AT_LEAST_ONCE), outbox.c.action != "press")
        .values(state="waiting", retry_at=0.0, error=UNKNOWN)
    )
    given_up = await conn.execute(update(outbox).where(stalled).values(state="unknown", error=UNKNOWN))
    return int(again.rowcount + given_up.rowcount)


async def message_of(conn: AsyncConnection, row_id: int) -> tuple[str, int | None] | None:
    """Return (state, message id) of an earlier row, or None where there is none."""
    row = (
        await conn.execute(select(outbox.c.state, outbox.c.message_id).where(outbox.c.id == row_id))
    ).first()
    return None if row is None else (row.state, row.message_id)


@dataclass(frozen=True, slots=True)
class Said:
    """An earlier message of ours."""

    id: int
    about: str | None
    text: str
    message_id: int | None
    family_id: str | None
    has_buttons: bool = False


async def said_as(conn: AsyncConnection, chat_id: int, message_id: int) -> Said | None:
    """Return our message that the service knows by `message_id` in that chat."""
    row = (
        await conn.execute(
            select(
                outbox.c.id, outbox.c.about, outbox.c.payload, outbox.c.message_id, outbox.c.family_id
            ).where(outbox.c.chat_id == chat_id, outbox.c.message_id == message_id)
        )
    ).first()
    return (
        None
        if row is None
        else Said(
            row.id,
            row.about,
            row.payload.get("text", ""),
            row.message_id,
            row.family_id,
            has_buttons=bool(row.payload.get("buttons")),
        )
    )


@dataclass(frozen=True, slots=True)
class LastSaid:
    kind: str
    family_id: str | None
    created_at: datetime


async def last_said(conn: AsyncConnection, chat_id: int) -> LastSaid | None:
    """Return what was said last in a chat: a message of its own, or one changed in place."""
    row = (
        await conn.execute(
            select(outbox.c.kind, outbox.c.family_id, outbox.c.created_at)
            .where(outbox.c.chat_id == chat_id, outbox.c.action.not_in(("press", "buttons")))
            .order_by(outbox.c.id.desc())
            .limit(1)
        )
    ).first()
    return None if row is None else LastSaid(row.kind, row.family_id, row.created_at)


async def said_about(conn: AsyncConnection, about: str) -> list[tuple[int, int]]:
    """Return (outbox id, chat) of every message about one thing, the oldest first."""
    rows = await conn.execute(
        select(outbox.c.id, outbox.c.chat_id)
        .where(outbox.c.about == about, outbox.c.state.in_(("held", "waiting", "sending", "sent")))
        .where(outbox.c.action.not_in(("edit", "buttons", "press")))
        .order_by(outbox.c.id)
    )
    return [(row.id, row.chat_id) for row in rows]


async def said_in(conn: AsyncConnection, about: str, chat_id: int) -> list[Said]:
    """Return our messages about one thing in one chat, the oldest first, with their words and buttons."""
    rows = await conn.execute(
        select(outbox.c.id, outbox.c.about, outbox.c.payload, outbox.c.message_id, outbox.c.family_id)
        .where(outbox.c.about == about, outbox.c.chat_id == chat_id)
        .where(outbox.c.state.in_(("held", "waiting", "sending", "sent")))
        .where(outbox.c.action.not_in(("edit", "buttons", "press")))
        .order_by(outbox.c.id)
    )
    return [
        Said(
            row.id,
            row.about,
            row.payload.get("text", ""),
            row.message_id,
            row.family_id,
            has_buttons=bool(row.payload.get("buttons")),
        )
        for row in rows
    ]


async def due_from_hold(conn: AsyncConnection, now: datetime) -> dict[int, int]:
    """Return how many messages each chat's quiet time held back that may go now."""
    rows = await conn.execute(
        select(outbox.c.chat_id, func.count())
        .where(outbox.c.state == "held", outbox.c.held_until <= now)
        .group_by(outbox.c.chat_id)
    )
    return {row[0]: row[1] for row in rows}


async def release(conn: AsyncConnection, chat_id: int, *, until: datetime) -> int:
    """Let go what a chat's quiet time held back until an instant; return how many messages."""
    freed = await conn.execute(
        update(outbox)
        .where(outbox.c.chat_id == chat_id, outbox.c.state == "held", outbox.c.held_until <= until)
        .values(state="waiting", held_until=None)
    )
    return int(freed.rowcount)


async def next_release(conn: AsyncConnection) -> datetime | None:
    """Return when the next held message may go."""
    found = await conn.scalar(select(func.min(outbox.c.held_until)).where(outbox.c.state == "held"))
    return cast("datetime | None", found)


async def last_about(conn: AsyncConnection, chat_id: int, about: str) -> datetime | None:
    """Return when we last spoke of something in a chat."""
    newest = select(func.max(outbox.c.created_at)).where(outbox.c.chat_id == chat_id, outbox.c.about == about)
    return cast("datetime | None", await conn.scalar(newest))


async def drop_about(conn: AsyncConnection, about: str) -> None:
    """Take back what was not sent yet about one thing."""
    await conn.execute(
        update(outbox)
        .where(outbox.c.about == about, outbox.c.state.in_(("held", "waiting")))
        .values(state="dropped")
    )


async def counts(conn: AsyncConnection) -> dict[str, int]:
    rows = await conn.execute(select(outbox.c.state, func.count()).group_by(outbox.c.state))
    return {row[0]: row[1] for row in rows}


async def forget(conn: AsyncConnection, *, before: datetime) -> int:
    """Remove what was settled before an instant; nothing waiting is touched."""
    gone = await conn.execute(
        delete(outbox).where(
            outbox.c.created_at < before,
            or_(outbox.c.state == "sent", outbox.c.state.in_(("failed", "unknown", "dropped"))),
        )
    )
    return int(gone.rowcount)
