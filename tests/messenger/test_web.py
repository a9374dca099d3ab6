"""The webhook, health and metrics, without a port."""

from __future__ import annotations

from typing import Any

import httpx
import pytest
from sqlalchemy import select

from bot.messenger.web import SECRET_HEADER, make_app
from bot.storage.tables import inbox
from tests.messenger.conftest import Edge

SECRET = "a-secret"
UPDATE: dict[str, Any] = {"update_id": 7, "message": {"message_id": 1, "chat": {"id": 5}, "text": "10 min"}}


def client(edge: Edge, secret: str | None = SECRET) -> httpx.AsyncClient:
    parts = edge.parts
    app = make_app(
        parts.workers,
        parts.clock,
        parts.metrics,
        secret=secret,
        stored=parts.handler.wake.set,
        healthy=parts.healthy,
    )
    return httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url="http://here")


@pytest.mark.parametrize(
    ("body", "headers", "status"),
    [
        (b'{"update_id": 7}', {}, 403),
        (b'{"update_id": 7}', {SECRET_HEADER: "wrong"}, 403),
        (b"not json", {SECRET_HEADER: SECRET}, 400),
        (b"[1, 2]", {SECRET_HEADER: SECRET}, 400),
        (b'{"update_id": "seven"}', {SECRET_HEADER: SECRET}, 400),
        (b'{"update_id": 7, "x": "' + b"y" * 1_000_001 + b'"}', {SECRET_HEADER: SECRET}, 413),
    ],
)
async def test_what_is_no_update_of_ours_is_refused(
    edge: Edge, body: bytes, headers: dict[str, str], status: int
) -> None:
    async with client(edge) as caller:
        assert (await caller.post("/webhook", content=body, headers=headers)).status_code == status


async def test_without_a_secret_there_is_no_webhook(edge: Edge) -> None:
    async with client(edge, None) as caller:
        assert (await caller.post("/webhook", json=UPDATE, headers={SECRET_HEADER: ""})).status_code == 403


async def test_an_update_is_stored_before_the_200(edge: Edge) -> None:
    async with client(edge) as caller:
        for _ in range(2):
            answer = await caller.post("/webhook", json=UPDATE, headers={SECRET_HEADER: SECRET})
            assert answer.status_code == 200
        health = await caller.get("/health")
        metrics = await caller.get("/metrics")

    with edge.store.read() as uow:
        kept = list(uow.conn.scalars(select(inbox.c.raw)))
    assert kept == [UPDATE]
    assert health.json() == {"ok": True, "problems": {}, "jobs": {}, "untold": {}}
    assert "underwing_updates_received_total 1.0" in metrics.text
    assert 'underwing_inbox{state="new"} 1.0' in metrics.text
