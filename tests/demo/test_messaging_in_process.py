"""The library's bot and a server of the same process, with no network between them."""

from __future__ import annotations

from collections.abc import AsyncIterator

import pytest
from telegram import Bot
from telegram.error import BadRequest, Forbidden, TelegramError

from demo.messaging import MessagingServer
from demo.messaging.in_process import InProcessRequest


@pytest.fixture
def beside() -> MessagingServer:
    """A server that never listens."""
    return MessagingServer()


@pytest.fixture
async def near(beside: MessagingServer) -> AsyncIterator[Bot]:
    wire = InProcessRequest(beside.service)
    async with Bot(
        beside.token,
        base_url=beside.base_url,
        base_file_url=beside.file_url,
        request=wire,
        get_updates_request=wire,
    ) as bot:
        yield bot


async def test_what_is_said_on_either_side_arrives(beside: MessagingServer, near: Bot) -> None:
    sam = beside.people.add(5001, "Sam")
    sam.say("12 min")
    [update] = await near.get_updates(timeout=0)
    assert update.message is not None and update.message.text == "12 min"

    said = await near.send_message(5001, "<b>Counted</b>: 12 min", parse_mode="HTML")

    assert not beside.listens
    assert sam.messages(by_bot=True)[-1].message_id == said.message_id
    assert sam.messages(by_bot=True)[-1].text == "Counted: 12 min"


async def test_a_file_goes_there_and_back(beside: MessagingServer, near: Bot) -> None:
    beside.people.add(5001, "Sam")
    sent = await near.send_document(5001, b"%PDF-1.7", filename="week.pdf")
    assert sent.document is not None

    file = await near.get_file(sent.document.file_id)

    assert bytes(await file.download_as_bytearray()) == b"%PDF-1.7"


async def test_refusals_are_those_of_the_service(beside: MessagingServer, near: Bot) -> None:
    sam = beside.people.add(5001, "Sam")
    with pytest.raises(BadRequest, match="Chat not found"):
        await near.send_message(77, "hi")
    sam.block()
    with pytest.raises(Forbidden, match="blocked by the user"):
        await near.send_message(5001, "hi")
    with pytest.raises(TelegramError, match="not found"):
        await near.do_api_request("noSuchMethod")
