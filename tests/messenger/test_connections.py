"""Whoever opens connections and asks for nothing shuts nobody out, and fills no log."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Iterator
from contextlib import suppress

import httpx
import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.routing import Route
from structlog.testing import capture_logs

from bot.messenger import connections
from bot.messenger.web import WebServer, start_web

HALF_OPEN = 400
BEGINNINGS = (b"", b"GET / HT", b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 9\r\n\r\n12")
PATIENCE = 20.0  # seconds


@pytest.fixture
async def web(unused_tcp_port: int) -> AsyncIterator[tuple[WebServer, int]]:
    async def answer(request: Request) -> PlainTextResponse:
        return PlainTextResponse(await request.body() or b"well")

    app = Starlette(routes=[Route("/", answer, methods=["GET", "POST"])])
    server = start_web(app, f"127.0.0.1:{unused_tcp_port}")
    while not server.started:  # noqa: ASYNC110 - the server has no event for it
        await asyncio.sleep(0.01)
    yield server, unused_tcp_port
    await server.end()


class HalfOpen:
    """Connections that were opened, and began to ask for something or not."""

    def __init__(self) -> None:
        self._open: list[tuple[asyncio.StreamReader, asyncio.StreamWriter]] = []

    async def open(self, port: int, number: int) -> None:
        for place in range(number):
            reader, writer = await asyncio.open_connection("127.0.0.1", port)
            with suppress(ConnectionError):
                writer.write(BEGINNINGS[place % len(BEGINNINGS)])
            self._open.append((reader, writer))

    async def until_all_are_closed(self) -> None:
        async with asyncio.timeout(PATIENCE):
            for reader, _ in self._open:
                with suppress(ConnectionError):
                    await reader.read()

    def close(self) -> None:
        for _, writer in self._open:
            writer.transport.abort()


@pytest.fixture
def half_open() -> Iterator[HalfOpen]:
    opened = HalfOpen()
    yield opened
    opened.close()


async def test_beside_400_half_open_connections_a_request_is_answered(
    web: tuple[WebServer, int], half_open: HalfOpen
) -> None:
    server, port = web
    await half_open.open(port, HALF_OPEN)

    async with httpx.AsyncClient(timeout=PATIENCE) as caller:
        for _ in range(3):
            assert (await caller.get(f"http://127.0.0.1:{port}/")).text == "well"
            await half_open.open(port, connections.MOST_OPEN)
    assert len(server.server_state.connections) <= connections.MOST_OPEN


async def test_what_asks_for_nothing_in_time_is_closed_and_what_asks_is_not(
    web: tuple[WebServer, int], half_open: HalfOpen, monkeypatch: pytest.MonkeyPatch
) -> None:
    _, port = web
    monkeypatch.setattr(connections, "WHOLE_REQUEST_WITHIN", 0.3)
    await half_open.open(port, 30)
    with capture_logs() as lines:
        async with httpx.AsyncClient(timeout=PATIENCE) as caller:
            asking = asyncio.create_task(half_open.until_all_are_closed())
            while not asking.done():
                assert (await caller.post(f"http://127.0.0.1:{port}/", content=b"all")).text == "all"
                await asyncio.sleep(0.05)
        await asking

    assert {line["reason"] for line in lines} == {"no whole request came in time"}
