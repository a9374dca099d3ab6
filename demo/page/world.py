"""The world behind the page: one week, a clock that the visitor rules, people whom the visitor may be."""

from __future__ import annotations

import asyncio
import contextlib
import time
from collections.abc import AsyncIterator, Callable
from datetime import datetime, timedelta
from typing import Literal

from demo.messaging.person import Person
from demo.week import Week

TICK = 0.2  # real seconds between two moves of a running clock
SPEEDS = (1, 5, 30)  # minutes of the week in one real second
SHOWN_EVERY = 1.0  # real seconds between two looks at a week that goes by
MOST_STEPS = 400  # of a single wish to see what comes next

Clip = Literal["photo", "video"]


class World:
    """What the visitor does, one thing after the other; `version` grows with all that can be seen."""

    def __init__(self, week: Week) -> None:
        self.week = week
        self.running = False
        self.speed = SPEEDS[0]
        self.version = 0
        self._changed = asyncio.Condition()
        self._busy = asyncio.Lock()
        self._closed = False

    @property
    def now(self) -> datetime:
        return self.week.rehearsal.clock.now()

    @property
    def over(self) -> bool:
        return self.now >= self.week.ends

    def person(self, chat_id: int) -> Person:
        """Return who has a phone. Raises PeopleError for nobody."""
        return self.week.server.people[chat_id]

    # ---------------------------------------------------------------- the clock

    async def keep_time(self) -> None:
        """Let the clock run while it is meant to; ends with the page."""
        while True:
            await asyncio.sleep(TICK)
            if self.running:
                async with self._busy:
                    await self._advance(self.now + timedelta(minutes=self.speed * TICK))
                await self._tell()

    async def _advance(self, target: datetime) -> None:
        target = min(target, self.week.ends)
        while (due := await self.week.next_at()) is not None and due <= target:
            await self._step()
        self.week.move_to(max(target, self.now))
        if self.over:
            self.running = False

    async def _step(self) -> bool:
        return await self.week.step() is not None

    def run(self, speed: int) -> None:
        self.running, self.speed = not self.over, speed

    def pause(self) -> None:
        self.running = False

    async def step(self) -> None:
        """Go to the next thing that can be seen on any of the phones."""
        async with self._busy:
            seen = self.week.server.events.last
            for _ in range(MOST_STEPS):
                if not await self._step() or self.week.server.events.last > seen:
                    break
        await self._tell()

    async def until(self, happened: Callable[[], bool], *, by: datetime | None = None) -> None:
        """Go on until something has happened, the week is over, or a moment has come."""
        async with self._busy:
            told = time.monotonic()
            while not happened() and (by is None or self.now < by):
                if not await self._step():
                    break
                if time.monotonic() - told >= SHOWN_EVERY:
                    await self._tell()
                    told = time.monotonic()
        await self._tell()

    # ---------------------------------------------------------------- the people

    async def act(self, chat_id: int, do: Callable[[Person], object]) -> None:
        """Have somebody do something now, and see what comes of it. From then on the phone is the visitor's."""
        async with self._busy:
            self.week.residents.taken.add(chat_id)
            self.week.server.clock.set(self.now)
            do(self.person(chat_id))
            await self.week.rehearsal.settle()
            self.week.residents.look(self.now)
        await self._tell()

    def give_back(self, chat_id: int) -> None:
        """Let somebody live by their own habits again."""
        self.week.residents.taken.discard(chat_id)

    # ---------------------------------------------------------------- those who watch

    async def _tell(self) -> None:
        async with self._changed:
            self.version += 1
            self._changed.notify_all()

    async def tell(self) -> None:
        """Say that something was changed that can be seen."""
        await self._tell()

    async def versions(self, patience: float) -> AsyncIterator[int]:
        """Yield the version at hand, then each newer one; the same again after `patience` seconds without a change."""
        known = -1
        while not self._closed:
            async with self._changed:
                if known == self.version:
                    with contextlib.suppress(TimeoutError):
                        await asyncio.wait_for(self._changed.wait(), patience)
                known = self.version
            yield known

    async def close(self) -> None:
        """End what watches."""
        self._closed = True
        await self._tell()
