"""What must be said, kept in the transaction of the change that causes it.

States: (rendering →) (held →) waiting → sending → sent, or failed (refused for good), unknown (perhaps sent, not tried
again), dropped (too late, or never reachable). Rendering is what must be drawn first (renderings.py). Held is what a
therapist's quiet time keeps back. A row in "sending" holds a lease; when its holder dies the outcome is unknown.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, cast

from sqlalchemy import and_, delete, func, insert, or_, select, update

from bot.domain.outgoing import PRIORITY, OutgoingMessage
from bot.domain.reminders import Copy
from bot.domain.subject import Subject
from bot.storage.payloads import action_of, fitting, payload_of
from bot.storage.repository import Repository
from bot.storage.rows import new_id
from bot.storage.tables import outbox

SENT_AT_LEAST_ONCE = ("concern", "digest", "reply")  # a reminder, a press note: at most once

UNKNOWN = "outcome unknown"


class Outbox(Repository):
    def put(self, say: OutgoingMessage, now: datetime, *, held_until: datetime | None = None) -> int | None:
        """Keep what must be said and return its id, or None where its key was said before.

        held_until: it waits until that instant before it may be sent. A change of what is still held changes it there.
        """
        if say.key is not None:
            known = self._conn.scalar(select(outbox.c.id).where(outbox.c.key == say.key))
            if known is not None:
                return None
        unheld = say.edits_sent or say.render is not None
        if say.edits is not None and not unheld and self._reworded(say, say.edits):
            return say.edits
        *before, say = fitting(say)
        for part in before:
            self.insert(part, now, held_until)
        return self.insert(say, now, held_until)

    def _reworded(self, say: OutgoingMessage, row_id: int) -> bool:
        """Change a message that is still held or being drawn in place of sending a change of it; return whether it was."""
        query = select(outbox.c.payload).where(
            outbox.c.id == row_id, outbox.c.state.in_(("held", "rendering"))
        )
        kept = self._conn.execute(query).first()
        if kept is None:
            return False
        changed = payload_of(say)
        payload = {name: value for name, value in kept.payload.items() if name != "buttons"}
        if say.text:
            payload["text"] = say.text
        if "buttons" in changed:
            payload["buttons"] = changed["buttons"]
        if "render" in payload:
            payload["reworded"] = {"text": say.text or None, "buttons": changed.get("buttons", [])}
        self._conn.execute(update(outbox).where(outbox.c.id == row_id).values(payload=payload))
        return True

    def insert(self, say: OutgoingMessage, now: datetime, held_until: datetime | None) -> int:
        """Keep one message that fits into one, whatever was said before; return its id."""
        inserted = self._conn.execute(
            insert(outbox).values(
                key=say.key,
                kind=say.kind,
                priority=PRIORITY["press" if say.press else say.kind],
                chat_id=say.chat_id,
                action=action_of(say),
                payload=payload_of(say),
                about=say.about.stored if say.about else None,
                state=_first_state(say, held_until),
                held_until=held_until,
                family_id=say.family,
                expires_at=say.expires_at,
                created_at=now,
            )
        )
        return new_id(inserted)

    def waiting(self, *, real_now: float, limit: int) -> list[tuple[int, int, str]]:
        """Return (id, chat, kind) of what may be sent now, the most pressing first, the oldest first within that."""
        rows = self._conn.execute(
            select(outbox.c.id, outbox.c.chat_id, outbox.c.kind)
            .where(outbox.c.state == "waiting", outbox.c.retry_at <= real_now)
            .order_by(outbox.c.priority, outbox.c.id)
            .limit(limit)
        )
        return [(row.id, row.chat_id, row.kind) for row in rows]

    def claim(self, ids: Sequence[int], *, lease_until: float) -> list[Outgoing]:
        """Mark rows as being sent and return them. Commit before sending: from here the outcome may be unknown."""
        rows = self._conn.execute(
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
                about=Subject.from_stored(row.about),
                attempts=row.attempts,
                repeat=row.error == UNKNOWN,
                expires_at=row.expires_at,
            )
            for row in rows
        ]
        order = {row_id: place for place, row_id in enumerate(ids)}
        return sorted(found, key=lambda out: order[out.id])

    def sent(self, row_id: int, *, message_id: int | None, file_id: str | None, now: datetime) -> None:
        values: dict[str, Any] = {"state": "sent", "sent_at": now, "error": None}
        if message_id is not None:
            values["message_id"] = message_id
        if file_id is not None:
            values["file_id"] = file_id
        self._conn.execute(update(outbox).where(outbox.c.id == row_id).values(**values))

    def settle(self, row_id: int, state: str, error: str) -> None:
        """End a row without its having been sent: failed, unknown or dropped."""
        self._conn.execute(update(outbox).where(outbox.c.id == row_id).values(state=state, error=error[:500]))

    def retry(self, row_id: int, *, at: float, error: str | None = None, attempt_counts: bool = True) -> None:
        """Put a row back to be sent from the real second `at`. error UNKNOWN marks the next sending as a repeat."""
        values: dict[str, Any] = {"state": "waiting", "retry_at": at}
        if error is not None:
            values["error"] = error[:500]
        if not attempt_counts:
            values["attempts"] = outbox.c.attempts - 1
        self._conn.execute(update(outbox).where(outbox.c.id == row_id).values(**values))

    def retry_as_text(self, out: Outgoing, error: str) -> bool:
        """Put a row whose file the service refuses back as its text alone; return whether it has any."""
        if "file" not in out.payload or not out.payload["text"]:
            return False
        payload = {name: value for name, value in out.payload.items() if name != "file"}
        self._conn.execute(
            update(outbox)
            .where(outbox.c.id == out.id)
            .values(action="send", payload=payload, state="waiting", retry_at=0.0, error=error[:500])
        )
        return True

    def sweep(self, *, real_now: float) -> int:
        """Deal with rows whose sender died: say again what must be said at least once, give up the rest.

        A row that never reached a "sent" mark may have been delivered; its repeat says that it is one.
        """
        stalled = and_(outbox.c.state == "sending", outbox.c.lease_until < real_now)
        again = self._conn.execute(
            update(outbox)
            .where(stalled, outbox.c.kind.in_(SENT_AT_LEAST_ONCE), outbox.c.action != "press")
            .values(state="waiting", retry_at=0.0, error=UNKNOWN)
        )
        given_up = self._conn.execute(update(outbox).where(stalled).values(state="unknown", error=UNKNOWN))
        return int(again.rowcount + given_up.rowcount)

    def message_of(self, row_id: int) -> tuple[str, int | None] | None:
        """Return (state, message id) of an earlier row, or None where there is none."""
        row = (
            self._conn.execute(select(outbox.c.state, outbox.c.message_id).where(outbox.c.id == row_id))
        ).first()
        return None if row is None else (row.state, row.message_id)

    def said_as(self, chat_id: int, message_id: int) -> Said | None:
        """Return our message that the service knows by `message_id` in that chat."""
        row = (
            self._conn.execute(
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
                Subject.from_stored(row.about),
                row.payload.get("text", ""),
                row.message_id,
                row.family_id,
                has_buttons=bool(row.payload.get("buttons")),
            )
        )

    def last_said(self, chat_id: int) -> LastSaid | None:
        """Return what was said last in a chat: a message of its own, or one changed in place."""
        row = (
            self._conn.execute(
                select(outbox.c.kind, outbox.c.family_id, outbox.c.created_at)
                .where(outbox.c.chat_id == chat_id, outbox.c.action.not_in(("press", "buttons")))
                .order_by(outbox.c.id.desc())
                .limit(1)
            )
        ).first()
        return None if row is None else LastSaid(row.kind, row.family_id, row.created_at)

    def said_about(self, about: Subject) -> list[tuple[int, int]]:
        """Return (outbox id, chat) of every message about one thing, the oldest first."""
        rows = self._conn.execute(
            select(outbox.c.id, outbox.c.chat_id)
            .where(
                outbox.c.about == about.stored,
                outbox.c.state.in_(("rendering", "held", "waiting", "sending", "sent")),
            )
            .where(outbox.c.action.not_in(("edit", "buttons", "press")))
            .order_by(outbox.c.id)
        )
        return [(row.id, row.chat_id) for row in rows]

    def copies(self, abouts: Sequence[Subject]) -> list[Copy]:
        """Return where our messages about some things stand, or will, in chats; the oldest first."""
        if not abouts:
            return []
        rows = self._conn.execute(
            select(outbox.c.id, outbox.c.chat_id, outbox.c.about, outbox.c.state, outbox.c.created_at)
            .where(
                outbox.c.about.in_([each.stored for each in abouts]),
                outbox.c.state.in_(("held", "waiting", "sending", "sent")),
            )
            .where(outbox.c.action.not_in(("edit", "buttons", "press")))
            .order_by(outbox.c.id)
        )
        return [
            Copy(row.id, row.chat_id, about, row.state in ("sending", "sent"), row.created_at)
            for row in rows
            if (about := Subject.from_stored(row.about)) is not None
        ]

    def said_in(self, about: Subject, chat_id: int) -> list[Said]:
        """Return our messages about one thing in one chat, the oldest first, with their words and buttons."""
        rows = self._conn.execute(
            select(outbox.c.id, outbox.c.about, outbox.c.payload, outbox.c.message_id, outbox.c.family_id)
            .where(outbox.c.about == about.stored, outbox.c.chat_id == chat_id)
            .where(outbox.c.state.in_(("rendering", "held", "waiting", "sending", "sent")))
            .where(outbox.c.action.not_in(("edit", "buttons", "press")))
            .order_by(outbox.c.id)
        )
        return [
            Said(
                row.id,
                Subject.from_stored(row.about),
                row.payload.get("text", ""),
                row.message_id,
                row.family_id,
                has_buttons=bool(row.payload.get("buttons")),
            )
            for row in rows
        ]

    def due_from_hold(self, now: datetime) -> dict[int, int]:
        """Return how many messages each chat's quiet time held back that may go now."""
        rows = self._conn.execute(
            select(outbox.c.chat_id, func.count())
            .where(outbox.c.state == "held", outbox.c.held_until <= now)
            .group_by(outbox.c.chat_id)
        )
        return {row[0]: row[1] for row in rows}

    def release(self, chat_id: int, *, until: datetime) -> int:
        """Let go what a chat's quiet time held back until an instant; return how many messages."""
        freed = self._conn.execute(
            update(outbox)
            .where(outbox.c.chat_id == chat_id, outbox.c.state == "held", outbox.c.held_until <= until)
            .values(state="waiting", held_until=None)
        )
        self._conn.execute(
            update(outbox)
            .where(outbox.c.chat_id == chat_id, outbox.c.state == "rendering", outbox.c.held_until <= until)
            .values(held_until=None)
        )
        return int(freed.rowcount)

    def next_release(self) -> datetime | None:
        """Return when the next held message may go."""
        found = self._conn.scalar(select(func.min(outbox.c.held_until)).where(outbox.c.state == "held"))
        return cast("datetime | None", found)

    def last_about(self, chat_id: int, about: Subject) -> datetime | None:
        """Return when we last spoke of something in a chat."""
        newest = select(func.max(outbox.c.created_at)).where(
            outbox.c.chat_id == chat_id, outbox.c.about == about.stored
        )
        return cast("datetime | None", self._conn.scalar(newest))

    def drop_about(self, about: Subject) -> None:
        """Take back what was not sent yet about one thing."""
        self._conn.execute(
            update(outbox)
            .where(outbox.c.about == about.stored, outbox.c.state.in_(("rendering", "held", "waiting")))
            .values(state="dropped")
        )

    def counts(self) -> dict[str, int]:
        rows = self._conn.execute(select(outbox.c.state, func.count()).group_by(outbox.c.state))
        return {row[0]: row[1] for row in rows}

    def forget(self, *, before: datetime) -> int:
        """Remove what was settled before an instant; nothing waiting is touched."""
        gone = self._conn.execute(
            delete(outbox).where(
                outbox.c.created_at < before,
                or_(outbox.c.state == "sent", outbox.c.state.in_(("failed", "unknown", "dropped"))),
            )
        )
        return int(gone.rowcount)


def _first_state(say: OutgoingMessage, held_until: datetime | None) -> str:
    if say.render is not None:
        return "rendering"
    return "waiting" if held_until is None else "held"


@dataclass(frozen=True, slots=True)
class Outgoing:
    """A row that is about to be sent. repeat: an earlier attempt may have gone through."""

    id: int
    kind: str
    chat_id: int
    action: str
    payload: dict[str, Any]
    about: Subject | None
    attempts: int
    repeat: bool
    expires_at: datetime | None


@dataclass(frozen=True, slots=True)
class Said:
    """An earlier message of ours."""

    id: int
    about: Subject | None
    text: str
    message_id: int | None
    family_id: str | None
    has_buttons: bool = False


@dataclass(frozen=True, slots=True)
class LastSaid:
    kind: str
    family_id: str | None
    created_at: datetime
