"""Updates posted to an address of the bot's: the secret, the repeats, the order, the end of patience."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from datetime import timedelta
from typing import Any

import pytest
from telegram import Bot
from telegram.error import BadRequest, Conflict

from demo.messaging import Fault, MessagingServer, Person


class Listener:
    """A bot's own address. Answers each post with the next of `statuses`, then with 200."""

    def __init__(self) -> None:
        self.bodies: list[bytes] = []
        self.secrets: list[str] = []
        self.statuses: list[int] = []
        self.holding: asyncio.Event | None = None
        self.most_at_once = 0
        self._now = 0
        self._arrival = asyncio.Condition()
        self.url = ""

    async def answer(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        try:
            while True:
                head = (await reader.readuntil(b"\r\n\r\n")).decode()
                fields = dict(line.split(": ", 1) for line in head.lower().split("\r\n")[1:] if line)
                self.bodies.append(await reader.readexactly(int(fields["content-length"])))
                self.secrets.append(fields.get("x-telegram-bot-api-secret-token", ""))
                async with self._arrival:
                    self._arrival.notify_all()
                self._now += 1
                self.most_at_once = max(self.most_at_once, self._now)
                if self.holding is not None:
                    await self.holding.wait()
                self._now -= 1
                status = self.statuses.pop(0) if self.statuses else 200
                writer.write(f"HTTP/1.1 {status} X\r\nContent-Length: 0\r\n\r\n".encode())
        except (asyncio.IncompleteReadError, ConnectionError):
            writer.close()

    async def received(self, posts: int) -> None:
        """Wait for so many posts, 5 s at most."""
        async with asyncio.timeout(5), self._arrival:
            await self._arrival.wait_for(lambda: len(self.bodies) >= posts)

    def texts(self) -> list[str]:
        bodies: list[dict[str, Any]] = [json.loads(body) for body in self.bodies]
        return [body["message"]["text"] for body in bodies]


@pytest.fixture
async def listener() -> AsyncIterator[Listener]:
    listening = Listener()
    served = await asyncio.start_server(listening.answer, "127.0.0.1", 0)
    listening.url = f"http://127.0.0.1:{served.sockets[0].getsockname()[1]}/hook"
    yield listening
    served.close()


async def test_updates_are_posted_with_the_secret_and_confirmed_by_a_200(
    bot: Bot, server: MessagingServer, sam: Person, listener: Listener
) -> None:
    sam.say("before")
    await bot.set_webhook(listener.url, secret_token="a-secret")
    sam.say("after")
    await server.updates.settled()
    info = await bot.get_webhook_info()

    assert listener.texts() == ["before", "after"]
    assert listener.secrets == ["a-secret", "a-secret"]
    assert (info.url, info.pending_update_count) == (listener.url, 0)


async def test_a_refused_post_is_repeated_and_holds_back_its_own_chat_alone(
    bot: Bot, server: MessagingServer, sam: Person, listener: Listener
) -> None:
    luz = server.people.add(5002, "Luz")
    listener.statuses = [500, 503]
    await bot.set_webhook(listener.url)
    sam.say("one")
    sam.say("two")
    await server.updates.settled()
    luz.say("mine")
    await server.updates.settled()

    assert listener.texts() == ["one", "one", "one", "two", "mine"]
    assert (await bot.get_webhook_info()).last_error_message == "Wrong response from the webhook: 503"


async def test_one_update_of_a_chat_is_under_way_at_a_time(
    bot: Bot, server: MessagingServer, sam: Person, listener: Listener
) -> None:
    luz = server.people.add(5002, "Luz")
    listener.holding = asyncio.Event()
    await bot.set_webhook(listener.url)
    for word in ("a", "b", "c"):
        sam.say(word)
        luz.say(word.upper())
    await listener.received(2)
    await asyncio.sleep(0.05)
    under_way = sorted(listener.texts())
    listener.holding.set()
    await server.updates.settled()

    assert under_way == ["A", "a"]
    assert listener.most_at_once == 2
    assert [text for text in listener.texts() if text.islower()] == ["a", "b", "c"]


async def test_an_update_too_old_for_another_try_is_dropped(
    bot: Bot, server: MessagingServer, sam: Person, listener: Listener
) -> None:
    listener.statuses = [500] * 3
    listener.holding = asyncio.Event()
    await bot.set_webhook(listener.url)
    sam.say("old")
    server.clock.advance(timedelta(hours=24) - timedelta(seconds=3))
    sam.say("young")
    listener.holding.set()
    await server.updates.settled()

    assert listener.texts()[-1] == "young"
    assert len(server.record.expired) == 1


async def test_a_posted_update_can_be_handed_over_twice(
    bot: Bot, server: MessagingServer, sam: Person, listener: Listener
) -> None:
    server.faults.add(Fault("handed_twice"))
    await bot.set_webhook(listener.url)
    sam.say("once")
    await listener.received(2)

    assert listener.texts() == ["once", "once"]


async def test_polling_and_a_webhook_exclude_each_other(
    bot: Bot, server: MessagingServer, listener: Listener
) -> None:
    waiting = asyncio.create_task(bot.get_updates(timeout=20))
    await server.updates.polled()
    await bot.set_webhook(listener.url)
    with pytest.raises(Conflict, match="terminated by setWebhook request"):
        await waiting
    with pytest.raises(Conflict, match="can't use getUpdates method while webhook is active"):
        await bot.get_updates()
    await bot.delete_webhook()

    assert await bot.get_updates() == ()


@pytest.mark.parametrize("url", ["http://example.org/hook", "ftp://127.0.0.1/hook"])
async def test_only_web_addresses_on_this_machine_are_posted_to(bot: Bot, url: str) -> None:
    with pytest.raises(BadRequest, match=r"(?i)bad webhook"):
        await bot.set_webhook(url)


async def test_waiting_updates_can_be_dropped(bot: Bot, server: MessagingServer, sam: Person) -> None:
    sam.say("forgotten")
    await bot.delete_webhook(drop_pending_updates=True)

    assert len(server.updates) == 0
