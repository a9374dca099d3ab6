"""Connections to the bot's own port: so many and no more, and none that is held open without asking for anything."""

from __future__ import annotations

import asyncio
from typing import Any

import structlog
from uvicorn.protocols.http.h11_impl import H11Protocol

MOST_OPEN = 100  # the messaging service is asked to use 40
WHOLE_REQUEST_WITHIN = 10.0  # seconds

log = structlog.get_logger(__name__)


class BoundedConnection(H11Protocol):
    """One connection. It is closed where no whole request comes in time.

    Where too many are open, the oldest that has nothing in hand gives way: whoever only opens connections shuts nobody out.
    """

    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        self._looked_at: object = None
        self._look: asyncio.TimerHandle | None = None
        self.opened = 0.0

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self.opened = self.loop.time()
        self._look = self.loop.call_later(WHOLE_REQUEST_WITHIN, self._close_if_nothing_came)
        if len(self.connections) > MOST_OPEN:
            others = [each for each in self.connections if isinstance(each, BoundedConnection)]
            idle = [each for each in others if each is not self and not each.is_busy()]
            min(idle, key=lambda each: each.opened, default=self).drop("too many are open")

    def connection_lost(self, exc: Exception | None) -> None:
        if self._look is not None:
            self._look.cancel()
        super().connection_lost(exc)

    def is_busy(self) -> bool:
        """Whether a whole request is in hand and not answered yet."""
        return self.cycle is not None and not self.cycle.more_body and not self.cycle.response_complete

    def drop(self, why: str) -> None:
        """Close at once, whatever is still on its way."""
        log.warning("connection closed", reason=why)
        self.connections.discard(self)  # what closes counts no more, though it takes a turn of the loop
        self.transport.abort()

    def _close_if_nothing_came(self) -> None:
        if self.transport.is_closing():
            return
        if not self.is_busy() and self.cycle is self._looked_at:
            self.drop("no whole request came in time")
            return
        self._looked_at = self.cycle
        self._look = self.loop.call_later(WHOLE_REQUEST_WITHIN, self._close_if_nothing_came)
