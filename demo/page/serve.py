"""Serves the page on a loopback port."""

from __future__ import annotations

import asyncio
import contextlib
import socket
from collections.abc import AsyncIterator, Iterator

import uvicorn

from demo.page.app import page_app
from demo.page.week import living

HOST = "127.0.0.1"


@contextlib.asynccontextmanager
async def serving(port: int = 0) -> AsyncIterator[str]:
    """Serve a fresh week, on a free port unless one is named; yield the page's address.

    Raises:
        OSError: the port is taken.
    """
    async with living() as week:
        with socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP) as listener:
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            listener.bind((HOST, port))
            server = _Server(
                uvicorn.Config(
                    page_app(week),
                    lifespan="off",
                    ws="none",
                    log_config=None,
                    access_log=False,
                    timeout_graceful_shutdown=1,
                )
            )
            task = asyncio.create_task(server.serve(sockets=[listener]))
            try:
                yield f"http://{HOST}:{listener.getsockname()[1]}/"
            finally:
                server.should_exit = True
                await task


class _Server(uvicorn.Server):
    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Leave the signals to whoever runs this."""
        yield
