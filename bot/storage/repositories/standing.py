"""What was said in a chat lately and still stands there with buttons, as they are now: each change in place counts."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import bindparam, func, select

from bot.domain.ids import ChatId, FamilyId, OutboxId
from bot.domain.outgoing import Button, Buttons
from bot.domain.subject import Subject
from bot.storage.prepared import Prepared
from bot.storage.repository import Repository
from bot.storage.tables import outbox

MOST_LOOKED_AT = 40  # rows of one chat: what stands further up is no longer seen


@dataclass(frozen=True, slots=True)
class Standing:
    """A message of ours with its buttons as they stand. message_id: the service's number of it."""

    id: OutboxId
    message_id: int
    about: Subject | None
    text: str
    buttons: Buttons
    family_id: FamilyId | None
    said_at: datetime

    def data(self) -> tuple[str, ...]:
        """Return what each button says, in reading order."""
        return tuple(button.data for line in self.buttons for button in line)


class StandingMessages(Repository):
    def in_chat(self, chat_id: ChatId, since: datetime) -> list[Standing]:
        """Return the messages of a chat that stand with buttons and were said since an instant, the newest first."""
        changed: dict[int, Buttons] = {}
        found = []
        for row in _LATELY.all(self._conn, {"chat": chat_id, "since": since}):
            buttons = _buttons(row.payload.get("buttons", ()))
            edits = row.payload.get("edits")
            if edits is not None:
                changed.setdefault(edits, buttons)
                continue
            buttons = changed.get(row.id, buttons)
            if buttons and row.message_id is not None:
                about = Subject.from_stored(row.about)
                text = row.payload.get("text", "")
                found.append(
                    Standing(row.id, row.message_id, about, text, buttons, row.family_id, said_at=row.said_at)
                )
        return found


def _buttons(lines: list[list[list[str]]]) -> Buttons:
    return tuple(tuple(Button(label, data) for label, data in line) for line in lines)


# What was held till a morning counts from when it went out.
_SAID_AT = func.coalesce(outbox.c.sent_at, outbox.c.created_at, type_=outbox.c.created_at.type)
_LATELY = Prepared(
    select(
        outbox.c.id,
        outbox.c.about,
        outbox.c.payload,
        outbox.c.message_id,
        outbox.c.family_id,
        _SAID_AT.label("said_at"),
    )
    .where(
        outbox.c.chat_id == bindparam("chat", type_=outbox.c.chat_id.type),
        bindparam("since", type_=outbox.c.created_at.type) <= _SAID_AT,
        outbox.c.action != "press",
        outbox.c.state.in_(("waiting", "sending", "sent")),
    )
    .order_by(_SAID_AT.desc(), outbox.c.id.desc())
    .limit(MOST_LOOKED_AT)
)
