"""Updates that wait for the bot: how long they are kept, and how they are handed over and confirmed.

Kept: a typed message 24 h, a pressed button 150 s, measured in the open-source server (tdlib/telegram-bot-api, Client.cpp).
"""

from __future__ import annotations

import asyncio
import math
from collections import OrderedDict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import islice, takewhile

from demo.messaging.chats import Json
from demo.messaging.clock import ServerClock
from demo.messaging.errors import ApiError, conflict
from demo.messaging.events import Record

MESSAGE_LIFE = 86_400.0
PRESS_LIFE = 150.0
LONGEST_POLL = 50
# Not handed over unless allowed_updates names them (Bot API, getUpdates).
UNASKED_KINDS = {"chat_member", "message_reaction", "message_reaction_count"}

SECOND_POLLER = "terminated by other getUpdates request; make sure that only one bot instance is running"


@dataclass(slots=True)
class Waiting:
    """An update not yet confirmed. repeats: how often it is handed over again after it was confirmed."""

    update_id: int
    chat_id: int | None
    body: Json
    expires_at: float
    repeats: int = 0


class UpdateQueue:
    """Updates in the order of their ids. One poller at a time may wait for them."""

    def __init__(self, clock: ServerClock, record: Record, *, first_id: int = 500_000_001) -> None:
        self._clock = clock
        self._record = record
        self._next_id = first_id
        # In the order of ids. A plain dict would scan its emptied front again at each look.
        self._waiting: OrderedDict[int, Waiting] = OrderedDict()
        self._next_expiry = math.inf
        self._again: list[Waiting] = []
        self._poller: asyncio.Future[None] | None = None
        self._polled = asyncio.Event()
        self._settled = asyncio.Event()
        self._settled.set()
        self.allowed: list[str] = []
        self.on_new: Callable[[int | None], None] = lambda chat_id: None

    def __len__(self) -> int:
        self._drop_expired()
        return len(self._waiting)

    def add(
        self, kind: str, body: Json, *, chat_id: int | None, life: float = MESSAGE_LIFE, repeats: int = 0
    ) -> int | None:
        """Queue an update; return its id, or None when allowed_updates leaves its kind out. life: seconds."""
        if kind not in self.allowed if self.allowed else kind in UNASKED_KINDS:
            return None
        return self._put({kind: body}, chat_id, life, repeats)

    def inject(self, raw: Json, *, chat_id: int | None = None, life: float = MESSAGE_LIFE) -> int:
        """Queue any JSON object as an update, whatever is in it; it is given an update_id unless it has one."""
        return self._put(raw, chat_id, life, 0)

    def _put(self, content: Json, chat_id: int | None, life: float, repeats: int) -> int:
        update_id = content.get("update_id")
        if not isinstance(update_id, int):
            update_id = self._next_id
        in_order = update_id >= self._next_id
        self._next_id = max(self._next_id, update_id + 1)
        expires_at = self._clock.elapsed() + life
        body = {"update_id": update_id, **content}
        self._waiting[update_id] = Waiting(update_id, chat_id, body, expires_at, repeats)
        self._next_expiry = min(self._next_expiry, expires_at)
        self._settled.clear()
        if not in_order:
            self._waiting = OrderedDict(sorted(self._waiting.items()))
        if self._poller is not None and not self._poller.done():
            self._poller.set_result(None)
        self.on_new(chat_id)
        return update_id

    def waiting(self) -> Iterable[Waiting]:
        """Return what waits, oldest first, expired ones dropped. Nothing may be confirmed while it is gone through."""
        self._drop_expired()
        return self._waiting.values()

    def take(self, offset: int, limit: int) -> list[Json]:
        """Confirm everything before `offset` and return up to `limit` of the rest (Bot API, getUpdates).

        A negative offset keeps the last -offset updates and forgets those before.
        """
        self._drop_expired()
        if offset < 0:
            offset = next(iter(list(self._waiting)[offset:]), 0)
        for update_id in list(takewhile(lambda number: number < offset, self._waiting)):
            self.confirm(update_id)
        again, self._again = self._again[:limit], self._again[limit:]
        batch = again + list(islice(self._waiting.values(), limit - len(again)))
        for update in batch:
            self._record.handed[update.update_id] += 1
        return [update.body for update in batch]

    def confirm(self, update_id: int) -> None:
        """Forget an update that the bot has taken."""
        update = self._waiting.pop(update_id, None)
        if update is None:
            return
        self._record.confirmed[update_id] += 1
        self._note_if_settled()
        if update.repeats:
            update.repeats -= 1
            self._again.append(update)

    def drop(self, update_id: int) -> None:
        """Give an update up as too old."""
        if self._waiting.pop(update_id, None) is not None:
            self._record.expired.append(update_id)
            self._note_if_settled()

    def take_repeats(self) -> list[Waiting]:
        """Return what is to be handed over again, for a sender that does not poll."""
        again, self._again = self._again, []
        return again

    def forget_all(self) -> None:
        """Drop what waits, unconfirmed (drop_pending_updates)."""
        self._waiting.clear()
        self._again.clear()
        self._note_if_settled()

    def end_poll(self, error: ApiError | None = None) -> None:
        """Let go of whoever waits, with a refusal if one is given."""
        poller, self._poller = self._poller, None
        self._polled.clear()
        if poller is not None and not poller.done():
            if error is None:
                poller.set_result(None)
            else:
                poller.set_exception(error)

    async def poll(self, offset: int, limit: int, seconds: float) -> list[Json]:
        """Take a batch, and wait up to `seconds` of real time for one when there is none.

        Raises:
            ApiError: 409 as soon as another poller comes.
        """
        self.end_poll(conflict(SECOND_POLLER))
        batch = self.take(offset, limit)
        if batch or seconds <= 0:
            return batch
        poller = asyncio.get_running_loop().create_future()
        self._poller = poller
        self._polled.set()
        try:
            done, _ = await asyncio.wait({poller}, timeout=seconds)
        finally:
            if self._poller is poller:
                self._poller = None
                self._polled.clear()
        if done:
            poller.result()
        return self.take(offset, limit)

    async def polled(self, timeout: float = 5.0) -> None:  # noqa: ASYNC109
        """Return as soon as a poller waits.

        Raises:
            TimeoutError: none does within `timeout` seconds of real time.
        """
        async with asyncio.timeout(timeout):
            await self._polled.wait()

    async def settled(self, timeout: float = 5.0) -> None:  # noqa: ASYNC109
        """Return when the bot has confirmed all that waited.

        Raises:
            TimeoutError: it has not within `timeout` seconds of real time.
        """
        async with asyncio.timeout(timeout):
            await self._settled.wait()

    def _note_if_settled(self) -> None:
        if not self._waiting:
            self._settled.set()

    def _drop_expired(self) -> None:
        now = self._clock.elapsed()
        if now < self._next_expiry:
            return
        for update in [update for update in self._waiting.values() if update.expires_at <= now]:
            del self._waiting[update.update_id]
            self._record.expired.append(update.update_id)
        self._next_expiry = min((update.expires_at for update in self._waiting.values()), default=math.inf)
        self._note_if_settled()
