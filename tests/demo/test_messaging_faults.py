"""Trouble on request, and what the unmodified library makes of it."""

from __future__ import annotations

import asyncio
from datetime import timedelta

import httpx
import pytest
from telegram import Bot
from telegram.error import NetworkError, RetryAfter, TimedOut

from demo.messaging import Fault, Limits, MessagingServer, Person


async def test_a_connection_lost_before_the_call_leaves_nothing_behind(
    bot: Bot, server: MessagingServer, sam: Person
) -> None:
    server.faults.add(Fault("lost_before", "sendMessage"))
    with pytest.raises(NetworkError):
        await bot.send_message(sam.id, "one")
    await bot.send_message(sam.id, "two")

    assert [view.text for view in sam.messages()] == ["two"]
    assert [call.outcome for call in server.record.calls[1:]] == ["lost_before", "ok"]


async def test_an_answer_lost_after_the_call_leaves_the_message_there(
    bot: Bot, server: MessagingServer, sam: Person
) -> None:
    server.faults.add(Fault("lost_after", "sendMessage"))
    with pytest.raises(NetworkError):
        await bot.send_message(sam.id, "one")
    await bot.send_message(sam.id, "one")

    assert [view.text for view in sam.messages()] == ["one", "one"]
    assert server.record.repeated_texts() == {(sam.id, "one"): 2}


async def test_a_late_answer_is_a_timeout_with_the_message_sent(
    bot: Bot, server: MessagingServer, sam: Person
) -> None:
    server.faults.add(Fault("delay", "sendMessage", seconds=0.5))
    with pytest.raises(TimedOut):
        await bot.send_message(sam.id, "one", read_timeout=0.1)

    assert [view.text for view in sam.messages()] == ["one"]


async def test_a_pause_can_be_asked_for(bot: Bot, server: MessagingServer, sam: Person) -> None:
    server.faults.add(Fault("too_many_requests", "sendMessage", chat_id=sam.id, seconds=17))
    server.people.add(5002, "Luz")
    await bot.send_message(5002, "x")
    with pytest.raises(RetryAfter) as refused:
        await bot.send_message(sam.id, "x")
    await bot.send_message(sam.id, "x")

    assert refused.value.retry_after == timedelta(seconds=17)
    assert [call.params.get("text") for call in server.record.sent(sam.id)] == ["x"]


async def test_a_server_error_can_be_asked_for(bot: Bot, server: MessagingServer, sam: Person) -> None:
    server.faults.add(Fault("server_error", count=2))
    for _ in range(2):
        with pytest.raises(NetworkError, match="Internal Server Error"):
            await bot.send_message(sam.id, "x")
    await bot.send_message(sam.id, "x")

    assert len(sam.messages()) == 1


async def test_a_fault_without_a_method_leaves_polling_alone(bot: Bot, server: MessagingServer) -> None:
    server.faults.add(Fault("server_error", count=None))

    assert await bot.get_updates() == ()


async def strikes(seed: int) -> list[str]:
    async with MessagingServer(limits=Limits.off(), seed=seed) as server:
        server.people.add(5001, "Sam")
        server.faults.add(Fault("server_error", "sendMessage", count=None, probability=0.3))
        async with Bot(server.token, base_url=server.base_url) as bot:
            for _ in range(40):
                await asyncio.gather(bot.send_message(5001, "x"), return_exceptions=True)
        return [call.outcome for call in server.record.calls if call.method == "sendmessage"]


async def test_the_same_seed_brings_the_same_trouble() -> None:
    first, second, other = await strikes(7), await strikes(7), await strikes(8)

    assert first == second != other
    assert 4 <= first.count("refused") <= 22


async def test_while_the_server_is_down_connections_are_refused(
    bot: Bot, server: MessagingServer, sam: Person
) -> None:
    await server.go_down()
    with pytest.raises(NetworkError, match="ConnectError"):
        await bot.send_message(sam.id, "lost")
    sam.say("meanwhile")
    await server.come_back()
    updates = await bot.get_updates()
    await bot.send_message(sam.id, "back")

    assert [update.message.text for update in updates if update.message] == ["meanwhile"]
    assert [view.text for view in sam.messages(by_bot=True)] == ["back"]


async def test_an_outage_ends_by_itself(bot: Bot, server: MessagingServer, sam: Person) -> None:
    async with httpx.AsyncClient() as web:
        await web.post(server.url + "/control/outage", json={"seconds": 0.3})
    await asyncio.sleep(0.12)
    with pytest.raises(NetworkError):
        await bot.send_message(sam.id, "lost")
    await asyncio.sleep(0.6)
    await bot.send_message(sam.id, "back")

    assert [view.text for view in sam.messages()] == ["back"]


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"kind": "earthquake"}, "no fault 'earthquake'"),
        ({"kind": "delay", "probability": 2}, "between 0 and 1"),
        ({"kind": "delay", "count": 0}, "1 or more"),
        ({"kind": "delay", "seconds": -1}, "must not be negative"),
    ],
)
def test_a_fault_that_makes_no_sense_is_refused(fields: dict[str, object], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        Fault(**fields)  # type: ignore[arg-type]
