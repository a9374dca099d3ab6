"""Connections that can be cut in the middle, as a bad network cuts them."""

from __future__ import annotations

import asyncio
from typing import Any

from starlette.types import Receive, Scope
from uvicorn.protocols.http.auto import AutoHTTPProtocol


class Connections:
    """The open connections by the address of their client."""

    def __init__(self) -> None:
        self._transports: dict[tuple[str, int], asyncio.Transport] = {}

    def protocol(self) -> type[asyncio.Protocol]:
        """Return uvicorn's HTTP protocol, which also enters its connections here."""
        transports = self._transports

        class WatchedProtocol(AutoHTTPProtocol):  # type: ignore[misc, valid-type]
            def connection_made(self, transport: Any) -> None:
                super().connection_made(transport)
                if self.client is not None:
                    transports[self.client] = transport

            def connection_lost(self, exc: Exception | None) -> None:
                if self.client is not None:
                    transports.pop(self.client, None)
                super().connection_lost(exc)

        return WatchedProtocol

    async def drop(self, scope: Scope, receive: Receive) -> None:
        """Cut the connection of a request, and return when its end is noticed."""
        transport = self._transports.get(tuple(scope["client"]))
        if transport is None:
            return
        transport.abort()
        while (await receive())["type"] != "http.disconnect":
            pass
