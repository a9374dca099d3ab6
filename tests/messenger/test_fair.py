"""Nobody waits behind somebody else's flood, and a concern waits behind nothing."""

from __future__ import annotations

import asyncio
import time
from typing import Any

import pytest
from sqlalchemy import select

from bot.domain.ids import ChatId
from bot.domain.outgoing import OutgoingMessage
from bot.messenger.limits import Limits
from bot.messenger.triage import may_hold_concern, words_in
from bot.storage.tables import inbox
from tests.messenger.conftest import MUM, NOW, ROBIN, Edge

STRANGER = 77
GREY = "he is grey and floppy"


def message(update_id: int, chat_id: int, text: str, **more: Any) -> dict[str, Any]:
    sender = {"id": chat_id, "is_bot": False, "first_name": "A"}
    body = {
        "message_id": update_id,
        "date": 1_772_000_000,
        "chat": {"id": chat_id, "type": "private"},
        "from": sender,
        "text": text,
        **more,
    }
    return {"update_id": update_id, "message": body}


def keep(edge: Edge, updates: list[dict[str, Any]]) -> None:
    """Store updates as the intake does."""
    urgent = {raw["update_id"] for raw in updates if may_hold_concern(words_in(raw))}
    with edge.store.write() as uow:
        uow.inbox.keep(updates, NOW, urgent=urgent)


async def test_a_concern_is_handled_first_whatever_a_stranger_has_waiting(clinic: Edge) -> None:
    keep(clinic, [message(n, STRANGER, f"AB12-CD{n:04}") for n in range(1, 3001)])
    keep(clinic, [message(4000, MUM, "10 min"), message(4001, MUM, GREY)])
    # Two commits, since one ends early where the machine is slow.
    for _ in range(2):
        await clinic.parts.handler.handle_waiting()
    await clinic.send()

    assert any("555 0199" in text for text in clinic.heard(MUM))
    assert any(GREY in text for text in clinic.heard(ROBIN))


async def test_a_strangers_flood_takes_a_small_part_of_each_commit(clinic: Edge) -> None:
    keep(clinic, [message(n, STRANGER, "hello") for n in range(1, 200)])
    keep(clinic, [message(500, MUM, "tummy 10 min")])
    await clinic.parts.handler.handle_waiting()

    with clinic.store.read() as uow:
        done = list(uow.conn.scalars(select(inbox.c.chat_id).where(inbox.c.state == "done")))
    assert MUM in done
    assert done.count(STRANGER) <= 2


async def test_a_reply_does_not_wait_behind_what_is_said_to_a_stranger(clinic: Edge) -> None:
    clinic.parts.sender._limits = Limits()
    with clinic.store.write() as uow:
        for number in range(260):
            uow.outbox.put(OutgoingMessage(chat_id=ChatId(STRANGER), text=f"wrong code {number}"), NOW)
        uow.outbox.put(OutgoingMessage(chat_id=ChatId(MUM), text="Counted."), NOW)
    await clinic.send()

    assert clinic.heard(MUM) == ["Counted."]


@pytest.mark.parametrize(
    "bad",
    [
        {"date": "no date", "chat": {"id": MUM}},
        {"message_id": "x", "date": 1, "chat": {"id": MUM, "type": "private"}, "from": 7},
    ],
)
async def test_after_an_update_that_cannot_be_parsed_the_next_is_read_at_once(
    clinic: Edge, bad: dict[str, Any]
) -> None:
    keep(clinic, [{"update_id": 1, "message": bad}, message(2, MUM, GREY), message(3, MUM, "tummy 10 min")])
    for _ in range(3):
        await clinic.parts.handler.handle_waiting()
    await clinic.send()

    with clinic.store.read() as uow:
        assert uow.inbox.counts() == {"dead": 1, "done": 2}
        assert [update_id for update_id, _ in uow.inbox.dead()] == [1]
    assert any("555 0199" in text for text in clinic.heard(MUM))


async def test_after_an_update_that_fails_a_concern_is_read_and_the_rest_keeps_its_order(
    clinic: Edge, monkeypatch: pytest.MonkeyPatch
) -> None:
    receive = clinic.parts.router.receive
    handled: list[str] = []

    def failing_on_bath(uow: Any, event: Any) -> None:
        if event.text == "bath":
            raise RuntimeError("broken")
        handled.append(event.text)
        receive(uow, event)

    monkeypatch.setattr(clinic.parts.router, "receive", failing_on_bath)
    keep(clinic, [message(1, MUM, "bath"), message(2, MUM, "tummy 10 min"), message(3, MUM, GREY)])
    for _ in range(3):
        await clinic.parts.handler.handle_waiting()

    assert handled == [GREY]


async def test_words_that_may_hold_a_concern_reach_a_person_soon_when_handling_them_fails(
    clinic: Edge, monkeypatch: pytest.MonkeyPatch
) -> None:
    def failing(uow: Any, event: Any) -> None:
        raise RuntimeError("broken")

    monkeypatch.setattr(clinic.parts.router, "receive", failing)
    keep(clinic, [message(1, MUM, GREY)])
    began = time.monotonic()
    while not clinic.heard(ROBIN) and time.monotonic() < began + 20:
        await clinic.parts.handler.handle_waiting()
        await clinic.send()
        await asyncio.sleep(0.02)

    assert any(GREY in text for text in clinic.heard(ROBIN))
    with clinic.store.read() as uow:
        assert uow.inbox.counts() == {"dead": 1}


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        ({"message": {"text": "a"}}, "a"),
        ({"edited_message": {"caption": "b"}}, "b"),
        ({"message": {"poll": {"question": "q", "options": [{"text": "x"}, 7, "z"]}}}, "q\nx"),
        ({"message": {"venue": {"title": "c"}}}, "c"),
        ({"message": {"text": 7, "poll": {"options": 3}, "venue": []}}, ""),
        ({"message": "text"}, ""),
        ({"callback_query": {"data": "done:1"}}, ""),
    ],
)
def test_the_words_of_an_update_are_found_whatever_its_form(raw: dict[str, Any], words: str) -> None:
    assert words_in(raw) == words


@pytest.mark.parametrize(
    ("text", "may"),
    [
        ("12 min, turned right twice", False),
        (GREY, True),
        ("está gris y flojito", True),
        ("he still doesn't move his arm", True),
        ("no fever today", False),
        ("", False),
        ("x" * 100_000, False),
    ],
)
def test_which_words_may_hold_a_concern(text: str, may: bool) -> None:
    assert may_hold_concern(text) is may
