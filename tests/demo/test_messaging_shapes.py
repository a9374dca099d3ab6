"""The shapes of answers and updates: the library reads every field, and writes back what it read."""

from __future__ import annotations

from typing import Any

import httpx
import pytest
from telegram import Bot, Message, TelegramObject, Update

from demo.messaging import MessagingServer, Person

KEYS = {
    "inline_keyboard": [
        [{"text": "Yes", "callback_data": "y"}, {"text": "See", "url": "https://example.org"}]
    ]
}


def unread_fields(read: Any) -> list[str]:
    """Return the names of fields that the library kept aside because it knows them not, at any depth."""
    if isinstance(read, (list, tuple)):
        return [name for item in read for name in unread_fields(item)]
    if not isinstance(read, TelegramObject):
        return []
    inner = [name for slot in vars_of(read) for name in unread_fields(getattr(read, slot, None))]
    return [*read.api_kwargs, *inner]


def vars_of(read: TelegramObject) -> list[str]:
    return [slot for kind in type(read).__mro__ for slot in getattr(kind, "__slots__", ()) if slot[0] != "_"]


def without_false(value: Any) -> Any:
    """Leave out what is false or empty: the library writes some of it where the API leaves it out."""
    if isinstance(value, dict):
        return {
            name: without_false(inner) for name, inner in value.items() if inner not in (False, None, [], ())
        }
    return [without_false(inner) for inner in value] if isinstance(value, (list, tuple)) else value


async def raw(server: MessagingServer, method: str, **fields: Any) -> Any:
    async with httpx.AsyncClient(verify=False) as client:
        answer = await client.post(server.base_url + server.token + "/" + method, json=fields)

    assert answer.status_code == 200, answer.text
    return answer.json()["result"]


@pytest.fixture
async def everything(server: MessagingServer, sam: Person) -> list[dict[str, Any]]:
    """One update of each thing that a person or a group can do."""
    sent = await raw(
        server, "sendMessage", chat_id=sam.id, text="<b>Done?</b>", parse_mode="HTML", reply_markup=KEYS
    )
    said = sam.say("/start abc")
    sam.say("ten", reply_to=sent["message_id"])
    sam.edit(said, "/start")
    sam.photo(caption="see https://example.org")
    sam.video(caption="clip")
    sam.voice()
    sam.document()
    sam.sticker()
    sam.press("Yes")
    sam.block()
    sam.unblock()
    group = server.people.add_group(-7, "Family", [sam])
    sam.say("/today", chat_id=-7)
    group.upgrade(-1007, sam.account)
    updates: list[dict[str, Any]] = await raw(server, "getUpdates")

    assert len(updates) == 16
    return updates


async def test_the_library_knows_every_field_of_every_update(
    bot: Bot, everything: list[dict[str, Any]]
) -> None:
    for update in everything:
        assert unread_fields(Update.de_json(update, bot)) == []


async def test_the_library_writes_every_update_back_as_it_came(
    bot: Bot, everything: list[dict[str, Any]]
) -> None:
    for update in everything:
        assert without_false(Update.de_json(update, bot).to_dict()) == without_false(update)


@pytest.mark.parametrize(
    ("method", "fields"),
    [
        ("sendMessage", {"text": "a <i>b</i>", "parse_mode": "HTML", "reply_markup": KEYS}),
        (
            "sendMessage",
            {"text": "a", "link_preview_options": {"is_disabled": True}, "protect_content": True},
        ),
    ],
)
async def test_the_library_writes_every_message_back_as_it_came(
    bot: Bot, server: MessagingServer, sam: Person, method: str, fields: dict[str, Any]
) -> None:
    message = await raw(server, method, chat_id=sam.id, **fields)
    read = Message.de_json(message, bot)

    assert unread_fields(read) == []
    assert without_false(read.to_dict()) == without_false(message)
