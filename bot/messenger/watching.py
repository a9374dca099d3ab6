"""What whoever keeps the bot running may ask it: whether it lives, whether all is well, its figures."""

from __future__ import annotations

import secrets
from collections.abc import Awaitable, Callable
from dataclasses import asdict
from typing import Any

from prometheus_client import generate_latest
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.routing import Route

from bot.clock import Clock
from bot.messenger.health import Health
from bot.messenger.metrics import Metrics
from bot.messenger.workers import Workers
from bot.storage.trouble import DatabaseAway


def watch_routes(
    workers: Workers,
    clock: Clock,
    metrics: Metrics,
    healthy: Callable[[], Awaitable[Health]],
    secret: str | None,
) -> list[Route]:
    """Return the paths to watch by. secret: what shows figures and the details of health; None: everybody sees them."""

    async def live(request: Request) -> Response:
        return PlainTextResponse("alive")

    async def health(request: Request) -> Response:
        state = await healthy()
        told: dict[str, Any] = {"ok": not state.problems}
        if _may_watch(request, secret):
            told |= asdict(state)
        return JSONResponse(told, status_code=503 if state.problems else 200)

    async def show_metrics(request: Request) -> Response:
        if not _may_watch(request, secret):
            return PlainTextResponse("not for you", status_code=401, headers={"www-authenticate": "Bearer"})
        return await _metrics_shown(workers, clock, metrics, healthy)

    return [Route("/live", live), Route("/health", health), Route("/metrics", show_metrics)]


def _may_watch(request: Request, secret: str | None) -> bool:
    given = request.headers.get("authorization", "")
    return secret is None or secrets.compare_digest(given.encode(), f"Bearer {secret}".encode())


async def _metrics_shown(
    workers: Workers, clock: Clock, metrics: Metrics, healthy: Callable[[], Awaitable[Health]]
) -> Response:
    try:
        counts = await workers.read(lambda uow: (uow.inbox.counts(), uow.outbox.counts()))
        oldest = await workers.read(lambda uow: (uow.inbox.oldest_waiting(), uow.deliveries.oldest_waiting()))
    except DatabaseAway:
        return PlainTextResponse("the database does not answer", status_code=503)
    for gauge, since in zip((metrics.inbox_age, metrics.outbox_age), oldest, strict=True):
        gauge.set(0.0 if since is None else max(0.0, (clock.now() - since).total_seconds()))
    _set(metrics, counts, await healthy())
    return Response(generate_latest(metrics.registry), media_type="text/plain; version=0.0.4")


def _set(metrics: Metrics, counts: tuple[dict[str, int], dict[str, int]], state: Health) -> None:
    """Bring the gauges up to date. counts: of the inbox and of the outbox, by state."""
    inbox, outbox = counts
    for gauge, of_state in ((metrics.inbox, inbox), (metrics.outbox, outbox)):
        for name, n in of_state.items():
            gauge.labels(state=name).set(n)
    for name, seconds in state.jobs.items():
        metrics.job_age.labels(name=name).set(seconds)
    metrics.untold.clear()
    for kind, n in state.untold.items():
        metrics.untold.labels(kind=kind).set(n)
