"""The bot's own HTTP side: webhook, health, metrics."""

from __future__ import annotations

import asyncio
import contextlib
import json
import secrets
import socket
from collections.abc import Awaitable, Callable
from typing import Any

import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from bot.clock import Clock
from bot.errors import WorldProblem
from bot.messenger.connections import MOST_OPEN, BoundedConnection
from bot.messenger.health import Health
from bot.messenger.metrics import Metrics
from bot.messenger.triage import urgent_among
from bot.messenger.watching import watch_routes
from bot.messenger.workers import Workers
from bot.storage.repositories.inbox import can_be_kept
from bot.storage.trouble import DatabaseAway

END_WITHIN = 3.0  # seconds
LARGEST_UPDATE = 1_000_000  # bytes
SECRET_HEADER = "x-telegram-bot-api-secret-token"


class GroupCommit:
    """Stores updates that arrive at the same time in one transaction; each caller waits for its commit."""

    def __init__(self, workers: Workers, clock: Clock) -> None:
        self._workers, self._clock = workers, clock
        self._waiting: list[tuple[dict[str, Any], asyncio.Future[bool]]] = []
        self._committing: asyncio.Task[None] | None = None

    async def keep(self, raw: dict[str, Any]) -> bool:
        """Store one update durably; return whether it was new."""
        stored: asyncio.Future[bool] = asyncio.get_running_loop().create_future()
        self._waiting.append((raw, stored))
        if self._committing is None or self._committing.done():
            self._committing = asyncio.create_task(self._commit())
        return await stored

    async def _commit(self) -> None:
        while self._waiting:
            batch, self._waiting = self._waiting, []
            try:
                new = await self._store([raw for raw, _ in batch])
            except Exception as error:  # noqa: BLE001 - handed to every waiting caller
                for _, stored in batch:
                    if not stored.done():
                        stored.set_exception(error)
                continue
            for _, stored in batch:
                if not stored.done():
                    stored.set_result(new > 0)

    async def _store(self, raws: list[dict[str, Any]]) -> int:
        now, urgent = self._clock.now(), await asyncio.to_thread(urgent_among, raws)
        return await self._workers.write(lambda uow: uow.inbox.keep(raws, now, urgent=urgent))


def make_app(
    workers: Workers,
    clock: Clock,
    metrics: Metrics,
    *,
    secret: str | None,
    stored: Callable[[], None],
    healthy: Callable[[], Awaitable[Health]],
    watch_secret: str | None = None,
) -> Starlette:
    """Return the web application. secret None: no webhook, updates are polled for. watch_secret: what whoever reads
    metrics and the details of health must show; None: nobody need."""
    intake = GroupCommit(workers, clock)

    async def receive_update(request: Request) -> Response:
        raw = await _update_in(request, secret)
        if isinstance(raw, Response):
            return raw
        try:
            if await intake.keep(raw):
                metrics.received.inc()
        except DatabaseAway:
            return PlainTextResponse("not now", status_code=503)  # the service hands it over again
        stored()
        return Response(status_code=200)

    return Starlette(
        routes=[
            Route("/webhook", receive_update, methods=["POST"]),
            *watch_routes(workers, clock, metrics, healthy, watch_secret),
        ]
    )


async def _update_in(request: Request, secret: str | None) -> dict[str, Any] | Response:
    """Return the update that a request brings, else the answer that refuses it."""
    given = request.headers.get(SECRET_HEADER, "")
    if secret is None or not secrets.compare_digest(given.encode(), secret.encode()):
        return PlainTextResponse("not for you", status_code=403)
    body = await request.body()
    if len(body) > LARGEST_UPDATE:
        return PlainTextResponse("too large", status_code=413)
    try:
        raw = json.loads(body)
    except ValueError:
        return PlainTextResponse("not JSON", status_code=400)
    if not isinstance(raw, dict) or not can_be_kept(raw.get("update_id")):
        return PlainTextResponse("no update", status_code=400)
    return raw


def start_web(app: Starlette, listen: str) -> WebServer:
    """Serve the application on host:port until told to stop. Raises WorldProblem where that cannot be used."""
    host, _, port = listen.rpartition(":")
    # Named as TCP, else the loop leaves Nagle's delay on.
    listener = socket.socket(
        socket.AF_INET6 if ":" in host else socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP
    )
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host.strip("[]"), int(port)))
    except OSError as error:
        raise WorldProblem(f"UNDERWING_LISTEN {listen} cannot be used ({error.strerror})") from None
    config = uvicorn.Config(
        app,
        http=BoundedConnection,
        backlog=MOST_OPEN,  # as many are accepted in one turn of the loop, before any of them can be closed
        log_config=None,
        lifespan="off",
        timeout_graceful_shutdown=2,
    )
    server = WebServer(config)
    server.task = asyncio.create_task(server.serve(sockets=[listener]), name="web")
    return server


class WebServer(uvicorn.Server):
    """Leaves the signals of the process to us."""

    task: asyncio.Task[None] | None = None

    async def end(self) -> None:
        """Answer what has come in, and close the port."""
        self.should_exit = True
        if self.task is not None:
            await asyncio.wait({self.task}, timeout=END_WITHIN)

    @contextlib.contextmanager
    def capture_signals(self):  # type: ignore[no-untyped-def]
        yield
