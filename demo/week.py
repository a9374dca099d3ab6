"""A scenario's week, ready to be lived: the real bot, a local messaging server, people with habits, a clock that jumps."""

from __future__ import annotations

import contextlib
import tempfile
from collections.abc import AsyncIterator
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from cryptography.fernet import Fernet

from bot.activities.library import Library, load_library
from bot.clock import SteppedClock
from bot.storage import import_caseload, migrate
from bot.storage.caseload_file import caseload_from
from bot.storage.encryption import Encryption
from bot.storage.store import Store
from demo.household import Household
from demo.messaging import Limits, MessagingServer, ServerClock
from demo.rehearsal import Rehearsal, rehearsing
from demo.scenario import Scenario


@dataclass(frozen=True, slots=True)
class Week:
    """Everything of one world that lives in memory and in a folder of its own. clinic: its name. zone: the clinic's."""

    scenario: Scenario
    store: Store
    library: Library
    server: MessagingServer
    rehearsal: Rehearsal
    household: Household
    clinic: str
    zone: ZoneInfo

    async def next_at(self) -> datetime | None:
        """Return when the next thing happens, by the bot or by somebody; None when the week is over."""
        known = [at for at in (await self.rehearsal.next_due(), self.household.next_at()) if at is not None]
        return min(known) if known and min(known) < self.scenario.ends else None

    async def step(self) -> datetime | None:
        """Jump to the next thing that happens; return when that was, None when the week is over."""
        due = await self.next_at()
        if due is None:
            return None
        now = max(due, self.rehearsal.clock.now())
        self.move_to(now)
        self.household.act(now)
        await self.rehearsal.settle()
        return now

    def move_to(self, instant: datetime) -> None:
        """Set both clocks, the bot's and the messaging server's."""
        self.rehearsal.clock.move_to(instant)
        self.server.clock.set(instant)


@contextlib.asynccontextmanager
async def living(scenario: Scenario) -> AsyncIterator[Week]:
    """Open a week at its first moment; everything of it is gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="underwing-demo-") as scratch:
        store = Store.open(f"sqlite:///{scratch}/demo.db", Encryption(Fernet.generate_key().decode()))
        try:
            migrate.upgrade(store)
            async with (
                MessagingServer(limits=Limits.off(), clock=ServerClock(scenario.starts)) as server,
                _people_moved_in(scenario, store, server) as week,
            ):
                yield week
        finally:
            store.close()


@contextlib.asynccontextmanager
async def _people_moved_in(scenario: Scenario, store: Store, server: MessagingServer) -> AsyncIterator[Week]:
    library = load_library()
    caseload = caseload_from(scenario.caseload, list(library), where="demo/scenario.yaml")
    with store.write() as uow:
        import_caseload.load(uow, caseload, scenario.starts)
    for chat_id, name in scenario.names.items():
        server.people.add(chat_id, name)
    clock = SteppedClock(scenario.starts)
    async with rehearsing(store, library, clock, server) as rehearsal:
        await rehearsal.settle()
        yield Week(
            scenario=scenario,
            store=store,
            library=library,
            server=server,
            rehearsal=rehearsal,
            household=Household(scenario, server),
            clinic=caseload.clinic.name,
            zone=ZoneInfo(caseload.clinic.time_zone),
        )
