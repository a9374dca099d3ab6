"""Messages that wait for something to be drawn: taken for a while, drawn outside of any transaction, then filled.

Whoever takes one holds a lease. What is drawn is kept only while that lease stands: after a crash, or when something was
erased meanwhile, the request is taken once more and its facts are read anew. The row is the same, so it goes out once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Row, select, update

from bot.domain.ids import ChatId
from bot.domain.outgoing import Button, Buttons, Drawn, MessageEdit, OutgoingMessage, ToSay
from bot.domain.rendering import RenderRequest, request_from
from bot.domain.subject import Subject
from bot.storage.payloads import action_of, fitting, payload_of
from bot.storage.repositories.outbox import Outbox
from bot.storage.repository import Repository
from bot.storage.tables import outbox

RENDERING = outbox.c.state == "rendering"


@dataclass(frozen=True, slots=True)
class Taken:
    """A request that is being drawn. attempts: this one included. lease_until: real seconds; names this taking."""

    id: int
    chat_id: ChatId
    kind: str
    request: RenderRequest
    attempts: int
    lease_until: float


class Renderings(Repository):
    def take(self, *, real_now: float, lease_until: float) -> Taken | None:
        """Take the most pressing request that nobody draws, the oldest within that; None where there is none.

        One that another release wrote and this one cannot read is set down as failed.
        """
        row = self._conn.execute(
            select(outbox.c.id, outbox.c.chat_id, outbox.c.kind, outbox.c.payload, outbox.c.attempts)
            .where(RENDERING, outbox.c.lease_until < real_now, outbox.c.retry_at <= real_now)
            .order_by(outbox.c.priority, outbox.c.id)
            .limit(1)
            .with_for_update(skip_locked=True)
        ).first()
        if row is None:
            return None
        try:
            request = request_from(row.payload["render"])
        except ValueError:
            unreadable = {"state": "failed", "error": "the request cannot be read by this release"}
            self._conn.execute(update(outbox).where(outbox.c.id == row.id).values(**unreadable))
            return self.take(real_now=real_now, lease_until=lease_until)
        attempts = row.attempts + 1
        self._conn.execute(
            update(outbox).where(outbox.c.id == row.id).values(lease_until=lease_until, attempts=attempts)
        )
        return Taken(row.id, row.chat_id, row.kind, request, attempts, lease_until)

    def due(self, *, real_now: float) -> bool:
        """Say whether there is a request that nobody draws."""
        query = select(outbox.c.id).where(
            RENDERING, outbox.c.lease_until < real_now, outbox.c.retry_at <= real_now
        )
        return self._conn.execute(query.limit(1)).first() is not None

    def fill(self, taken: Taken, drawn: Sequence[Drawn], now: datetime) -> bool:
        """Keep what was drawn, at least one message, to be sent; False where the lease stands no more.

        The first message takes the place of the request; the others go after it.
        """
        row = self._conn.execute(select(outbox).where(*self._held(taken))).first()
        if row is None:
            return False
        held_until = row.held_until if row.held_until is not None and row.held_until > now else None
        first, *rest = [part for say in _messages(row, drawn) for part in fitting(say)]
        self._conn.execute(
            update(outbox)
            .where(outbox.c.id == row.id)
            .values(
                action=action_of(first),
                payload=payload_of(first),
                state="waiting" if held_until is None else "held",
                attempts=0,
                lease_until=0.0,
                retry_at=0.0,
                error=None,
            )
        )
        following = Outbox(self._conn)
        for say in rest:
            following.insert(say, now, held_until)
        return True

    def drop(self, taken: Taken) -> None:
        """Give up a request whose family is there no more."""
        self._conn.execute(
            update(outbox)
            .where(*self._held(taken))
            .values(state="dropped", payload={"text": ""}, error="nothing to draw")
        )

    def retry(self, taken: Taken, *, at: float, error: str) -> None:
        """Let a request be taken again from the real second `at`."""
        self._conn.execute(
            update(outbox).where(*self._held(taken)).values(lease_until=0.0, retry_at=at, error=error[:500])
        )

    def free_all(self) -> None:
        """End every lease: whoever held one runs no more, or must read its facts anew."""
        self._conn.execute(update(outbox).where(RENDERING).values(lease_until=0.0))

    def _held(self, taken: Taken) -> tuple[Any, ...]:
        return outbox.c.id == taken.id, RENDERING, outbox.c.lease_until == taken.lease_until


def _messages(row: Row[Any], drawn: Sequence[Drawn]) -> list[ToSay]:
    """Return what was drawn as messages. What the row was given beforehand, or was changed to since, goes with the last."""
    changed = row.payload.get("reworded")
    says: list[ToSay] = []
    edits = row.payload.get("edits")
    for place, each in enumerate(drawn, 1):
        text, buttons = each.text, each.buttons
        if place == len(drawn):
            text, buttons = text or row.payload["text"], buttons or _buttons(row.payload.get("buttons", []))
            if changed is not None:
                text, buttons = changed["text"] or text, _buttons(changed["buttons"])
        about = Subject.from_stored(row.about)
        if edits is not None:
            says.append(
                MessageEdit(
                    chat_id=row.chat_id,
                    edits=edits,
                    text=text,
                    kind=row.kind,
                    buttons=buttons,
                    about=about,
                    family=row.family_id,
                )
            )
            continue
        says.append(
            OutgoingMessage(
                chat_id=row.chat_id,
                text=text,
                kind=row.kind,
                buttons=buttons,
                about=about,
                reply_to=row.payload.get("reply_to"),
                attachment=each.attachment,
                expires_at=row.expires_at,
                family=row.family_id,
            )
        )
    return says


def _buttons(kept: list[list[list[str]]]) -> Buttons:
    return tuple(tuple(Button(label, data) for label, data in line) for line in kept)
