"""The local messaging server: the bot's API and the people's side over HTTP, in one process with whoever uses it."""

from __future__ import annotations

import asyncio
import contextlib
import socket
from collections.abc import Iterator, Sequence
from types import TracebackType
from typing import Self

import uvicorn
from starlette.applications import Starlette
from starlette.routing import BaseRoute
from starlette.types import Receive, Scope, Send

from demo.messaging.api import BotApi
from demo.messaging.clock import ServerClock
from demo.messaging.connections import Connections
from demo.messaging.control import control_routes
from demo.messaging.events import EventLog, Record
from demo.messaging.faults import FaultPlan
from demo.messaging.limits import Limits
from demo.messaging.people import People
from demo.messaging.service import Service
from demo.messaging.updates import UpdateQueue
from demo.messaging.webhook import WebhookSender

# Seconds for calls under way when the server stops.
PATIENCE = 1.0


class MessagingServer:
    """A server for one bot, on a loopback address.

        async with MessagingServer() as server:
            application = Application.builder().token(server.token).base_url(server.base_url).build()
            server.people.add(5001, "Sam").say("done")

    port 0 takes a free one. webhook_pause_scale: factor on the pauses between repeated posts. routes: of a page
    that is to be served beside it. seed: of faults and jitter.

    Raises:
        ValueError: the token is not of the shape number:letters.
        OSError: on start, the port is taken.
    """

    def __init__(
        self,
        token: str = "1000:local-bot",
        *,
        host: str = "127.0.0.1",
        port: int = 0,
        clock: ServerClock | None = None,
        limits: Limits | None = None,
        bot_name: str = "Underwing",
        bot_username: str = "underwing_local_bot",
        seed: int = 0,
        webhook_pause_scale: float = 1.0,
        routes: Sequence[BaseRoute] = (),
    ) -> None:
        self.token = token
        self.host = host
        self.port = port
        self.clock = clock or ServerClock()
        self.service = Service(
            token,
            clock=self.clock,
            limits=limits or Limits(),
            bot_name=bot_name,
            bot_username=bot_username,
            seed=seed,
        )
        self.people = People(self.service)
        self._connections = Connections()
        self._webhook = WebhookSender(self.service, pause_scale=webhook_pause_scale, seed=seed)
        self._bot_api = BotApi(self.service, self._connections)
        self._other = Starlette(
            routes=[*control_routes(self.service, self.people, self.begin_outage), *routes]
        )
        self._http: _QuietServer | None = None
        self._serving: asyncio.Task[None] | None = None
        self._outage: asyncio.Task[None] | None = None

    @property
    def url(self) -> str:
        return f"http://{self.host}:{self.port}"

    @property
    def base_url(self) -> str:
        """What a bot is told as its base URL; its token follows directly."""
        return f"{self.url}/bot"

    @property
    def file_url(self) -> str:
        """What a bot is told as its base URL for files; its token follows directly."""
        return f"{self.url}/file/bot"

    @property
    def listens(self) -> bool:
        """Whether it was started and not stopped; otherwise it is of use within this process alone."""
        return self._http is not None

    @property
    def faults(self) -> FaultPlan:
        return self.service.faults

    @property
    def record(self) -> Record:
        return self.service.record

    @property
    def events(self) -> EventLog:
        return self.service.events

    @property
    def updates(self) -> UpdateQueue:
        return self.service.updates

    async def start(self) -> None:
        """Begin to serve; afterwards `port` is the one it listens on."""
        self._webhook.start()
        await self._listen()

    async def stop(self) -> None:
        """End all waits and connections, and an outage that is not over."""
        if self._outage is not None:
            self._outage.cancel()
        self.service.close()
        await self._webhook.stop()
        await self._hang_up()

    async def go_down(self) -> None:
        """Stop listening, as in an outage: connections are refused. What is known stays."""
        self.service.updates.end_poll()
        await self._hang_up()

    async def come_back(self) -> None:
        """Listen again on the same port."""
        await self._listen()

    def begin_outage(self, seconds: float) -> None:
        """Go down at once, and come back after `seconds` of real time."""

        async def outage() -> None:
            await self.go_down()
            await asyncio.sleep(seconds)
            await self.come_back()

        self._outage = asyncio.create_task(outage())

    async def __aenter__(self) -> Self:
        await self.start()
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        await self.stop()

    async def _app(self, scope: Scope, receive: Receive, send: Send) -> None:
        is_call = scope["path"].startswith(("/bot", "/file/bot"))
        await (self._bot_api if is_call else self._other)(scope, receive, send)

    async def _listen(self) -> None:
        # Named as TCP, else asyncio leaves Nagle's delay on and every answer waits 40 ms.
        listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((self.host, self.port))
        self.port = listener.getsockname()[1]
        config = uvicorn.Config(
            self._app,
            http=self._connections.protocol(),
            interface="asgi3",
            ws="none",
            lifespan="off",
            log_config=None,
            access_log=False,
            proxy_headers=False,
            timeout_keep_alive=60,
        )
        self._http = _QuietServer(config)
        self._serving = asyncio.create_task(self._http.serve(sockets=[listener]))
        while not self._http.started:
            if self._serving.done():
                await self._serving
            await asyncio.sleep(0.002)

    async def _hang_up(self) -> None:
        if self._http is None or self._serving is None:
            return
        self._http.asked_to_stop.set()
        await self._serving
        self._http = self._serving = None


class _QuietServer(uvicorn.Server):
    """Leaves the signals of the process to whoever runs it, and stops at once when asked."""

    def __init__(self, config: uvicorn.Config) -> None:
        super().__init__(config)
        self.asked_to_stop = asyncio.Event()

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield

    async def main_loop(self) -> None:
        await self.asked_to_stop.wait()

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """As the base class does it, without its pause of 0.1 s, which every test would pay."""
        for server in self.servers:
            server.close()
        for listener in sockets or []:
            listener.close()
        for connection in list(self.server_state.connections):
            connection.shutdown()
        if unanswered := list(self.server_state.tasks):
            _, late = await asyncio.wait(unanswered, timeout=PATIENCE)
            for task in late:
                task.cancel()
        await asyncio.sleep(0)
