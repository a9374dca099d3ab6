"""Serves the page on the loopback address until it is told to stop."""

from __future__ import annotations

import asyncio
import contextlib
import socket
from collections.abc import AsyncIterator

import uvicorn

from demo.page.app import page_app
from demo.page.world import World
from demo.scenario import Scenario, read_scenario
from demo.week import living

HOST = "127.0.0.1"


class _Quiet(uvicorn.Server):
    """A server that leaves the signals to whoever started it."""

    @contextlib.contextmanager
    def capture_signals(self):  # type: ignore[no-untyped-def]  # as uvicorn has it
        yield


async def _listening(server: uvicorn.Server) -> None:
    while not server.started:  # noqa: ASYNC110 - the library tells it in no other way
        await asyncio.sleep(0.01)


@contextlib.asynccontextmanager
async def serving(port: int = 0, *, scenario: Scenario | None = None) -> AsyncIterator[str]:
    """Serve the page of a fresh week, our own scenario's unless another is given; yield its address.

    port 0 takes a free one.

    Raises:
        OSError: the port is taken.
    """
    async with living(scenario or read_scenario()) as week:
        world = World(week)
        listening = socket.create_server((HOST, port))
        config = uvicorn.Config(
            page_app(world), log_config=None, lifespan="off", timeout_graceful_shutdown=1, access_log=False
        )
        server = _Quiet(config)
        tasks = [
            asyncio.create_task(server.serve(sockets=[listening])),
            asyncio.create_task(world.keep_time()),
        ]
        try:
            await _listening(server)
            yield f"http://{HOST}:{listening.getsockname()[1]}/"
        finally:
            await world.close()
            server.should_exit = True
            tasks[1].cancel()
            await asyncio.gather(*tasks, return_exceptions=True)
