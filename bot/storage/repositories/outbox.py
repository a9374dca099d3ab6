"""What must be said, kept in the transaction of the change that causes it.

States: (rendering →) (held →) waiting → sending → sent, or failed (refused for good), unknown (perhaps sent, not tried
again), dropped (too late, or never reachable). Rendering is what must be drawn first (renderings.py). Held is what a
therapist's quiet time keeps back. A row in "sending" holds a lease; when its holder dies the outcome is unknown.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Integer, bindparam, case, func, insert, or_, select, update

from bot.domain.ids import ChatId, FamilyId, OutboxId
from bot.domain.outgoing import MessageEdit, OutgoingMessage, PressAnswer, ToSay
from bot.domain.reminders import Copy
from bot.domain.subject import Subject
from bot.storage import beat
from bot.storage.payloads import action_of, fitting, kind_of, payload_of, priority_of
from bot.storage.prepared import Prepared
from bot.storage.repository import Repository
from bot.storage.rows import AnyRow
from bot.storage.tables import carers, outbox, therapists

# What is said to a chat that nobody is known by goes after all else; fixed advice on a sign of trouble, right after replies.
STRANGER_LATER, STRANGER_CONCERN_LATER = 10, 2


class Outbox(Repository):
    def put(self, say: ToSay, now: datetime, *, held_until: datetime | None = None) -> OutboxId | None:
        """Keep what must be said and return its id, or None where its key was said before.

        held_until: it waits until that instant before it may be sent. A change of what is still held changes it there.
        """
        match say:
            case OutgoingMessage(key=str() as key):
                if _BY_KEY.all(self._conn, {"said_under": key}):
                    return None
            case MessageEdit(sent=False, render=None) if self._reworded(say):
                return say.edits
        *before, say = fitting(say)
        for part in before:
            self.insert(part, now, held_until)
        return self.insert(say, now, held_until)

    def _reworded(self, say: MessageEdit) -> bool:
        """Change a message that is still held or being drawn in place of sending a change of it; return whether it was."""
        query = select(outbox.c.payload).where(
            outbox.c.id == say.edits, outbox.c.state.in_(("held", "rendering"))
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
        self._conn.execute(update(outbox).where(outbox.c.id == say.edits).values(payload=payload))
        return True

    def insert(self, say: ToSay, now: datetime, held_until: datetime | None) -> OutboxId:
        """Keep one message that fits into one, whatever was said before; return its id."""
        usual, kind = priority_of(say), kind_of(say)
        new = say if isinstance(say, OutgoingMessage) else None
        about, family = (None, None) if isinstance(say, PressAnswer) else (say.about, say.family)
        row = {
            "key": new.key if new else None,
            "kind": kind,
            "chat_id": say.chat_id,
            "action": action_of(say),
            "payload": payload_of(say),
            "about": about.stored if about else None,
            "state": _first_state(say, held_until),
            "held_until": held_until,
            "family_id": family,
            "expires_at": new.expires_at if new else None,
            "created_at": now,
        }
        later = STRANGER_CONCERN_LATER if kind == "concern" else STRANGER_LATER
        order = {"to_chat": say.chat_id, "if_known": usual, "if_stranger": usual + later}
        return OutboxId(_INSERT.insert(self._conn, {**row, **order}))

    def said_as(self, chat_id: ChatId, message_id: int) -> Said | None:
        """Return our message that the service knows by `message_id` in that chat."""
        row = _SAID_AS.first(self._conn, {"chat": chat_id, "known_as": message_id})
        return None if row is None else _said(row)

    def last_said(self, chat_id: ChatId) -> LastSaid | None:
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

    def said_about(self, about: Subject) -> list[tuple[OutboxId, ChatId]]:
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
        rows = _COPIES.all(self._conn, {"abouts": [each.stored for each in abouts]})
        return [
            Copy(row.id, row.chat_id, about, row.state in ("sending", "sent"), row.created_at)
            for row in rows
            if (about := Subject.from_stored(row.about)) is not None
        ]

    def count_reminders(self, chat_id: ChatId, *, most: int) -> int:
        """Return how many reminders a chat was sent that are still kept, counted up to `most`."""
        some = (
            select(outbox.c.id)
            .where(outbox.c.chat_id == chat_id, outbox.c.kind == "reminder")
            .limit(most)
            .subquery()
        )
        return self._conn.scalar(select(func.count()).select_from(some)) or 0

    def said_in(self, about: Subject, chat_id: ChatId) -> list[Said]:
        """Return our messages about one thing in one chat, the oldest first, with their words and buttons."""
        rows = self._conn.execute(
            _SAID.where(outbox.c.about == about.stored, outbox.c.chat_id == chat_id)
            .where(outbox.c.state.in_(("rendering", "held", "waiting", "sending", "sent")))
            .where(outbox.c.action.not_in(("edit", "buttons", "press")))
            .order_by(outbox.c.id)
        )
        return [_said(row) for row in rows]

    def due_from_hold(self, now: datetime, *, limit: int = 20) -> dict[ChatId, int]:
        """Return how many messages each chat's quiet time held back that may go now, of up to `limit` chats."""
        rows = beat.FROM_HOLD.all(self._conn, {"now": now, "most": limit})
        return {row.chat_id: row.messages for row in rows}

    def release(self, chat_id: ChatId, *, until: datetime) -> int:
        """Let go what a chat's quiet time held back until an instant; return how many messages.

        The instant stays in the row: from then on, not from its writing, a message counts as late.
        """
        freed = self._conn.execute(
            update(outbox)
            .where(outbox.c.chat_id == chat_id, outbox.c.state == "held", outbox.c.held_until <= until)
            .values(state="waiting")
        )
        self._conn.execute(
            update(outbox)
            .where(outbox.c.chat_id == chat_id, outbox.c.state == "rendering", outbox.c.held_until <= until)
            .values(held_until=None)
        )
        return int(freed.rowcount)

    def next_release(self) -> datetime | None:
        """Return when the next held message may go."""
        return beat.first_of(self._conn, beat.NEXT_RELEASE)

    def drop_to(self, chat_id: ChatId, *, family_id: FamilyId | None = None) -> None:
        """Take back what was not sent yet to a chat: all of it, or what is of one family or of none."""
        unsent = outbox.c.state.in_(("rendering", "held", "waiting"))
        query = update(outbox).where(outbox.c.chat_id == chat_id, unsent)
        if family_id is not None:
            query = query.where(or_(outbox.c.family_id == family_id, outbox.c.family_id.is_(None)))
        self._conn.execute(query.values(state="dropped", payload={"text": ""}))

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

    def forget(self, *, before: datetime, limit: int) -> int:
        """Remove up to `limit` rows that were settled before an instant; nothing waiting is touched."""
        return beat.SETTLED_MESSAGES.change(self._conn, {"before": before, "most": limit})


def _first_state(say: ToSay, held_until: datetime | None) -> str:
    if not isinstance(say, PressAnswer) and say.render is not None:
        return "rendering"
    return "waiting" if held_until is None else "held"


# When a message goes, the lower the sooner: who the chat is, is asked as the row is put in.
_INSERT = Prepared(
    insert(outbox).values(
        priority=case(
            (
                or_(
                    select(carers.c.id)
                    .where(carers.c.chat_id == bindparam("to_chat", type_=outbox.c.chat_id.type))
                    .exists(),
                    select(therapists.c.id)
                    .where(therapists.c.chat_id == bindparam("to_chat", type_=outbox.c.chat_id.type))
                    .exists(),
                ),
                bindparam("if_known", type_=Integer),
            ),
            else_=bindparam("if_stranger", type_=Integer),
        )
    )
)


@dataclass(frozen=True, slots=True)
class Said:
    """An earlier message of ours."""

    id: OutboxId
    about: Subject | None
    text: str
    message_id: int | None
    family_id: FamilyId | None
    made_at: datetime
    has_buttons: bool = False


_SAID = select(
    outbox.c.id,
    outbox.c.about,
    outbox.c.payload,
    outbox.c.message_id,
    outbox.c.family_id,
    outbox.c.created_at,
)
_SAID_AS = Prepared(
    _SAID.where(outbox.c.chat_id == bindparam("chat"), outbox.c.message_id == bindparam("known_as"))
)
_BY_KEY = Prepared(select(outbox.c.id).where(outbox.c.key == bindparam("said_under")))
_COPIES = Prepared(
    select(outbox.c.id, outbox.c.chat_id, outbox.c.about, outbox.c.state, outbox.c.created_at)
    .where(outbox.c.about.in_(bindparam("abouts", expanding=True)))
    .where(outbox.c.state.in_(("rendering", "held", "waiting", "sending", "sent")))
    .where(outbox.c.action.not_in(("edit", "buttons", "press")))
    .order_by(outbox.c.id),
    lists=["abouts"],
)


def _said(row: AnyRow) -> Said:
    return Said(
        row.id,
        Subject.from_stored(row.about),
        row.payload.get("text", ""),
        row.message_id,
        row.family_id,
        made_at=row.created_at,
        has_buttons=bool(row.payload.get("buttons")),
    )


@dataclass(frozen=True, slots=True)
class LastSaid:
    kind: str
    family_id: FamilyId | None
    created_at: datetime
