"""A correction that is handed over before the message that it corrects, as a webhook with several connections may do."""

from __future__ import annotations

from typing import Any

from bot.storage.tables import messages, sessions
from tests.messenger.conftest import MUM, NOW, Edge


def update(update_id: int, kind: str, text: str) -> dict[str, Any]:
    person = {"id": MUM, "is_bot": False, "first_name": "Sam", "language_code": "en"}
    date = int(NOW.timestamp())
    message = {
        "message_id": 7,
        "date": date,
        "chat": {"id": MUM, "type": "private"},
        "from": person,
        "text": text,
    }
    edited = {"edit_date": date + 5} if kind == "edited_message" else {}
    return {"update_id": update_id, kind: message | edited}


async def test_the_message_behind_it_changes_nothing_any_more(clinic: Edge) -> None:
    for each in (update(2, "edited_message", "tummy time 15 min"), update(1, "message", "tummy time 12 min")):
        with clinic.store.write() as uow:
            uow.inbox.keep([each], NOW)
        assert await clinic.parts.handler.handle_waiting() == 1

    with clinic.store.read() as uow:
        kept = list(uow.conn.scalars(messages.select().with_only_columns(messages.c.text)))
        counted = uow.conn.execute(
            sessions.select().with_only_columns(sessions.c.minutes, sessions.c.state)
        ).all()
    assert kept == ["tummy time 15 min"]
    assert [tuple(row) for row in counted] == [(15.0, "counted")]
