"""The way to the messaging service: what never left is told from what may have arrived, and files and proxies go as given."""

from __future__ import annotations

import asyncio
import ssl
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager

import pytest
from telegram import Bot
from telegram.error import BadRequest, NetworkError, TelegramError, TimedOut
from telegram.request import BaseRequest, RequestData

from bot.messenger import http_client
from bot.messenger.api import make_bot, meaning_of
from bot.messenger.http_client import HttpClient, never_left
from demo.messaging import MessagingServer

Answer = Callable[[asyncio.StreamReader, asyncio.StreamWriter], Awaitable[None]]
OK = b"HTTP/1.1 200 OK\r\nContent-Length: 2\r\n\r\n{}"


@asynccontextmanager
async def service(answer: Answer) -> AsyncIterator[str]:
    """A server that does as told with each connection and then hangs up."""

    async def then_hang_up(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        try:
            await answer(reader, writer)
        finally:
            writer.close()

    async with await asyncio.start_server(then_hang_up, "127.0.0.1", 0) as server:
        host, port = server.sockets[0].getsockname()
        yield f"http://{host}:{port}/bot1:secret/sendMessage"


@asynccontextmanager
async def client() -> AsyncIterator[HttpClient]:
    async with HttpClient(1) as made:
        yield made


async def raised(made: BaseRequest, url: str, **timeouts: float) -> TelegramError:
    with pytest.raises(TelegramError) as caught:
        await made.do_request(url, "POST", RequestData([]), **timeouts)
    assert "secret" not in str(caught.value), "the address holds the token"
    return caught.value


async def test_who_cannot_be_reached_got_nothing() -> None:
    async with service(_silent) as url:
        pass  # closed again
    async with client() as made:
        error = await raised(made, url)
    assert isinstance(error, NetworkError)
    assert never_left(error)
    assert meaning_of(error).meaning == "not_sent"


async def test_who_does_not_answer_may_have_got_it() -> None:
    async with service(_silent) as url, client() as made:
        error = await raised(made, url, read_timeout=0.05)
    assert isinstance(error, TimedOut)
    assert meaning_of(error).meaning == "unknown"


async def test_who_hangs_up_may_have_got_it() -> None:
    async def hang_up(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        await reader.readuntil(b"\r\n\r\n")

    async with service(hang_up) as url, client() as made:
        error = await raised(made, url)
    assert not isinstance(error, TimedOut)
    assert meaning_of(error).meaning == "unknown"


async def test_a_request_that_finds_no_free_connection_never_left() -> None:
    async with service(_silent) as url, client() as made:
        first = asyncio.create_task(raised(made, url, read_timeout=0.4))
        await asyncio.sleep(0.05)
        error = await raised(made, url, pool_timeout=0.02, connect_timeout=0.02)
        assert isinstance(error, TimedOut)
        assert meaning_of(error).meaning == "not_sent"
        await first


async def test_a_refused_certificate_means_that_nothing_left(monkeypatch: pytest.MonkeyPatch) -> None:
    # Plain HTTP where TLS is spoken to: the handshake fails.
    monkeypatch.setattr(http_client, "_trust", ssl.create_default_context)
    async with service(_silent_after_rubbish) as url, client() as made:
        error = await raised(made, url.replace("http:", "https:"))
    assert meaning_of(error).meaning == "not_sent"


async def test_nobody_is_followed_elsewhere() -> None:
    async def elsewhere(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        await reader.readuntil(b"\r\n\r\n")
        writer.write(b"HTTP/1.1 302 Found\r\nLocation: http://127.0.0.1:9/\r\nContent-Length: 0\r\n\r\n")

    async with service(elsewhere) as url, client() as made:
        status, _ = await made.do_request(url, "POST", RequestData([]))
    assert status == 302


async def test_a_proxy_of_the_environment_is_used(monkeypatch: pytest.MonkeyPatch) -> None:
    heads: list[str] = []

    async def note(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        heads.append((await reader.readuntil(b"\r\n\r\n")).decode())
        writer.write(OK)

    async with service(note) as url, client() as made:
        monkeypatch.setenv("http_proxy", "http://gate:p%40ss@" + url.split("/")[2])
        monkeypatch.setenv("no_proxy", "inside.test")
        http_client._proxy_of.cache_clear()
        try:
            await made.do_request("http://service.test/bot1:x/getMe", "POST", RequestData([]))
            assert http_client._proxy_for("http://inside.test/") is None
        finally:
            http_client._proxy_of.cache_clear()
    assert heads[0].startswith("POST http://service.test/bot1:x/getMe ")
    assert "Proxy-Authorization: Basic Z2F0ZTpwQHNz" in heads[0]  # "gate:p@ss" (RFC 7617)


async def test_files_arrive_as_they_are(server: MessagingServer) -> None:
    server.people.add(5, "Sam")
    content = bytes(range(256)) * 300
    bot: Bot = make_bot(server.token, server.base_url, server.file_url)
    async with bot:
        sent = await bot.send_document(5, content, filename="week.pdf", caption="Ünder & wing")
        assert sent.document is not None
        file = await bot.get_file(sent.document.file_id)
        assert bytes(await file.download_as_bytearray()) == content
    assert sent.caption == "Ünder & wing"


async def _silent(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    await reader.read()


async def _silent_after_rubbish(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    writer.write(b"no TLS here\r\n")
    await _silent(reader, writer)


def test_what_the_service_quotes_of_a_refused_message_is_not_kept() -> None:
    outcome = meaning_of(
        BadRequest('Can\'t parse entities: unsupported start tag "zanzibar" at byte offset 5')
    )

    assert outcome.meaning == "refused" and outcome.kind == "BadRequest"
    assert "unsupported start tag" in outcome.error and "zanzibar" not in outcome.error
