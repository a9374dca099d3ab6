"""The server's memory of all that happened: calls for tests to count, happenings for a page to show."""

from __future__ import annotations

import asyncio
from collections import Counter
from collections.abc import AsyncIterator, Iterator
from dataclasses import dataclass, field
from typing import Any, Literal

from demo.messaging.clock import ServerClock

Outcome = Literal["ok", "refused", "lost_before", "lost_after"]


@dataclass(frozen=True, slots=True)
class Call:
    """One call of the bot.

    at: the server's clock, seconds since 1970. received: real, growing seconds. outcome: "lost_before" had no effect,
    "lost_after" had its effect and the caller never heard of it. message_id: of the message that it made or changed.
    """

    at: float
    received: float
    method: str
    chat_id: int | None
    params: dict[str, Any]
    outcome: Outcome
    error_code: int | None = None
    description: str | None = None
    message_id: int | None = None

    @property
    def had_effect(self) -> bool:
        return self.outcome in ("ok", "lost_after")


@dataclass
class Record:
    """Everything that was called and handed over. handed and confirmed count by update_id.

    getUpdates is counted in `polls`, not listed, as a poller calls it for ever.
    """

    calls: list[Call] = field(default_factory=list)
    polls: int = 0
    handed: Counter[int] = field(default_factory=Counter)
    confirmed: Counter[int] = field(default_factory=Counter)
    expired: list[int] = field(default_factory=list)

    def sent(self, chat_id: int | None = None) -> list[Call]:
        """Return the calls that put a message into a chat, in order, the lost answers too."""
        return [
            call
            for call in self.calls
            if call.had_effect
            and call.method.startswith(("send", "copy"))
            and call.method != "sendchataction"
            and (chat_id is None or call.chat_id == chat_id)
        ]

    def repeated_texts(self, chat_id: int | None = None) -> dict[tuple[int | None, str], int]:
        """Return (chat, text or caption) → times, for what reached a chat more than once."""
        counts = Counter(
            (call.chat_id, str(call.params.get("text") or call.params.get("caption") or ""))
            for call in self.sent(chat_id)
        )
        return {key: times for key, times in counts.items() if times > 1}

    def unconfirmed(self) -> list[int]:
        """Return the update_ids handed over at least once and not confirmed, in order."""
        return sorted(set(self.handed) - set(self.confirmed))


class EventLog:
    """What happened, numbered from 1, for whoever watches."""

    def __init__(self, clock: ServerClock) -> None:
        self._clock = clock
        self._events: list[dict[str, Any]] = []
        self._watchers: set[asyncio.Event] = set()
        self._closed = False

    def add(self, kind: str, chat_id: int | None, **facts: Any) -> None:
        self._events.append(
            {
                "id": len(self._events) + 1,
                "at": self._clock.today().isoformat(timespec="milliseconds"),
                "kind": kind,
                "chat_id": chat_id,
                **facts,
            }
        )
        for watcher in self._watchers:
            watcher.set()

    def since(self, number: int, chat_id: int | None = None) -> Iterator[dict[str, Any]]:
        """Yield the events after `number`, of one chat if named."""
        for event in self._events[max(0, number) :]:
            if chat_id is None or event["chat_id"] == chat_id:
                yield event

    @property
    def last(self) -> int:
        """The number of the latest event, 0 before the first."""
        return len(self._events)

    async def watch(self, since: int, chat_id: int | None = None) -> AsyncIterator[dict[str, Any]]:
        """Yield events after `since`, then each new one as it happens, until the log closes."""
        bell = asyncio.Event()
        self._watchers.add(bell)
        try:
            while not self._closed:
                bell.clear()
                for event in self.since(since, chat_id):
                    yield event
                since = max(since, self.last)
                await bell.wait()
        finally:
            self._watchers.discard(bell)

    async def changed(self, since: int) -> None:
        """Return as soon as there is an event after `since`."""
        bell = asyncio.Event()
        self._watchers.add(bell)
        try:
            while self.last <= since and not self._closed:
                bell.clear()
                await bell.wait()
        finally:
            self._watchers.discard(bell)

    def close(self) -> None:
        """End every watch."""
        self._closed = True
        for watcher in self._watchers:
            watcher.set()
