"""A messaging server and the bot's usual client at it, fresh for each test."""

from __future__ import annotations

from collections.abc import AsyncIterator

import pytest
from telegram import Bot
from telegram.request import HTTPXRequest

from demo.messaging import Limits, MessagingServer, Person


@pytest.fixture(autouse=True)
def _lengths_are_timedeltas(monkeypatch: pytest.MonkeyPatch) -> None:
    """The library warns of every length of time that it gives as a number."""
    monkeypatch.setenv("PTB_TIMEDELTA", "true")


@pytest.fixture
async def server() -> AsyncIterator[MessagingServer]:
    """A server without rates."""
    async with MessagingServer(limits=Limits.off(), webhook_pause_scale=0.001) as running:
        yield running


@pytest.fixture
async def bot(server: MessagingServer) -> AsyncIterator[Bot]:
    """The unmodified client of the library, told the server's address. Certificates are not loaded: it is plain HTTP."""
    plain: dict[str, bool] = {"verify": False}
    client = Bot(
        server.token,
        base_url=server.base_url,
        base_file_url=server.file_url,
        request=HTTPXRequest(connection_pool_size=8, httpx_kwargs=plain),
        get_updates_request=HTTPXRequest(httpx_kwargs=plain),
    )
    async with client:
        yield client


@pytest.fixture
def sam(server: MessagingServer) -> Person:
    return server.people.add(5001, "Sam", username="sam_home")
