"""The invented week as a visitor drives it: the real bot behind it, one step at a time, any phone theirs to take."""

from __future__ import annotations

import asyncio
import contextlib
import tempfile
from collections.abc import AsyncIterator
from datetime import datetime, timedelta

from cryptography.fernet import Fernet

from bot.activities.library import Library, load_library
from bot.clock import SteppedClock
from bot.storage import import_caseload, migrate
from bot.storage.caseload_file import caseload_from
from bot.storage.encryption import Encryption
from bot.storage.store import Store
from demo.household import Household
from demo.messaging import Limits, MessagingServer, ServerClock
from demo.page.readings import Readings
from demo.rehearsal import Rehearsal, rehearsing
from demo.scenario import Scenario, read_scenario

FRAME = 0.1  # seconds between two moves of a running clock
SPEEDS = (60, 600, 3600)  # times as fast as real time
MINUTE = timedelta(minutes=1)
PHONES = (5001, 5002, 9001)


class Week:
    """One rehearsed week. `changed` counts up with all that a watcher may want to see."""

    def __init__(self, scenario: Scenario, store: Store, library: Library, rehearsal: Rehearsal) -> None:
        self.scenario, self.store, self.library, self.rehearsal = scenario, store, library, rehearsal
        self.server = rehearsal.server
        self.household = Household(scenario, self.server)
        self.readings = Readings(store, rehearsal)
        self.running, self.speed = False, SPEEDS[1]
        self.changed = 0
        self._lock = asyncio.Lock()
        self._bell = asyncio.Event()

    @property
    def now(self) -> datetime:
        return self.rehearsal.clock.now()

    @property
    def over(self) -> bool:
        return self.now >= self.scenario.ends

    async def begin(self) -> None:
        """Let the bot plan the first day."""
        async with self._lock:
            await self._settle()

    async def step(self) -> None:
        """Go on to the next thing that somebody does, the bot or a person."""
        async with self._lock:
            shown = self.server.events.last
            while not self.over:
                await self._go_on()
                if self.server.events.last > shown:
                    return

    async def advance(self, by: timedelta) -> None:
        """Let time pass, stopping at everything due on the way."""
        async with self._lock:
            until = min(self.now + by, self.scenario.ends)
            while (due := await self._next()) is not None and due < until and self.now < until:
                await self._go_on()
            await self._move(until)

    async def say(self, chat_id: int, text: str) -> None:
        """Write a message from a phone that the visitor has taken over."""
        async with self._lock:
            self.household.taken.add(chat_id)
            self.server.people[chat_id].say(text)
            await self._settle()

    async def press(self, chat_id: int, message_id: int, data: str) -> None:
        """Press a button of a message."""
        async with self._lock:
            self.household.taken.add(chat_id)
            self.server.people[chat_id].press(data=data, message_id=message_id)
            await self._settle()

    async def send_clip(self, chat_id: int, caption: str) -> None:
        """Send a short clip, which stands for one that a phone would take."""
        async with self._lock:
            self.household.taken.add(chat_id)
            self.server.people[chat_id].video(caption=caption)
            await self._settle()

    def hand(self, chat_id: int, *, taken: bool) -> None:
        """Take a phone over, or leave it to its person's habits again."""
        (self.household.taken.add if taken else self.household.taken.discard)(chat_id)
        self._tell()

    def set_clock(self, *, running: bool, speed: int) -> None:
        """Run or pause the clock. speed: one of SPEEDS."""
        self.running, self.speed = running and not self.over, speed
        self._tell()

    async def run(self) -> None:
        """Keep the clock going for ever, while it is to run."""
        while True:
            await asyncio.sleep(FRAME)
            if self.running:
                await self.advance(timedelta(seconds=self.speed * FRAME))
                if self.over:
                    self.set_clock(running=False, speed=self.speed)

    async def wait(self, seen: int, seconds: float) -> int:
        """Return the number of changes once it passes `seen`, or after some real seconds."""
        with contextlib.suppress(TimeoutError):
            async with asyncio.timeout(seconds):
                while self.changed <= seen:
                    self._bell.clear()
                    await self._bell.wait()
        return self.changed

    async def _next(self) -> datetime | None:
        known = [await self.rehearsal.next_due(), self.household.next_at()]
        return min((at for at in known if at is not None), default=None)

    async def _go_on(self) -> None:
        """Move to what is due next; past it where nothing can be done about it now, else the clock would stand for ever."""
        due, before, shown = await self._next(), self.now, self.server.events.last
        await self._move(due or self.scenario.ends)
        if self.now == before and self.server.events.last == shown and await self._next() == due:
            await self._move(self.now + MINUTE)

    async def _move(self, at: datetime) -> None:
        at = min(max(at, self.now), self.scenario.ends)
        self.rehearsal.clock.move_to(at)
        self.server.clock.set(at)
        self.household.act(at)
        await self._settle()

    async def _settle(self) -> None:
        await asyncio.to_thread(self.readings.look)
        await self.rehearsal.settle()
        self.household.look(self.now)
        self.readings.look_back()
        self._tell()

    def _tell(self) -> None:
        self.changed += 1
        self._bell.set()


@contextlib.asynccontextmanager
async def living() -> AsyncIterator[Week]:
    """Set the scenario's week up on a store and a messaging server of its own, and keep its clock going."""
    scenario, library = read_scenario(), load_library()
    with tempfile.TemporaryDirectory(prefix="underwing-page-") as scratch:
        store = Store.open(f"sqlite:///{scratch}/page.db", Encryption(Fernet.generate_key().decode()))
        try:
            migrate.upgrade(store)
            with store.write() as uow:
                caseload = caseload_from(scenario.caseload, list(library), where="demo/scenario.yaml")
                import_caseload.load(uow, caseload, scenario.starts)
            server = MessagingServer(limits=Limits.off(), clock=ServerClock(scenario.starts))
            async with server, rehearsing(store, library, SteppedClock(scenario.starts), server) as rehearsal:
                for chat_id, name in scenario.names.items():
                    server.people.add(chat_id, name)
                week = Week(scenario, store, library, rehearsal)
                await week.begin()
                clock = asyncio.create_task(week.run())
                try:
                    yield week
                finally:
                    clock.cancel()
                    with contextlib.suppress(asyncio.CancelledError):
                        await clock
        finally:
            store.close()
