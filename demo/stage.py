"""A stage for lives: the real bot on a clock that jumps, a local messaging server, people with habits. Gone when left."""

from __future__ import annotations

import contextlib
import tempfile
from collections.abc import AsyncIterator, Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Generic, Protocol, TypeVar
from zoneinfo import ZoneInfo

from cryptography.fernet import Fernet
from sqlalchemy import Engine, event

from bot.activities.library import Library
from bot.clock import SteppedClock
from bot.storage import import_caseload, migrate
from bot.storage.caseload_file import CarerSection, Caseload, TherapistSection
from bot.storage.encryption import Encryption
from bot.storage.store import Store
from demo.messaging import Limits, MessagingServer, ServerClock
from demo.rehearsal import Rehearsal, rehearsing


class Residents(Protocol):
    """The people on a stage, who act by themselves."""

    def next_at(self) -> datetime | None:
        """Return when somebody does something next."""
        ...

    def act(self, now: datetime) -> None:
        """Do what people do by `now`."""
        ...

    def look(self, now: datetime) -> None:
        """Let everybody see what has come, and make up their minds."""
        ...


R = TypeVar("R", bound=Residents)


@dataclass(frozen=True, slots=True)
class Stage(Generic[R]):
    """Everything of some invented lives, in memory and in a folder of its own."""

    caseload: Caseload
    starts: datetime
    ends: datetime
    store: Store
    library: Library
    server: MessagingServer
    rehearsal: Rehearsal
    residents: R

    @property
    def clinic(self) -> str:
        return self.caseload.clinic.name

    @property
    def zone(self) -> ZoneInfo:
        """The clinic's."""
        return ZoneInfo(self.caseload.clinic.time_zone)

    async def next_at(self) -> datetime | None:
        """Return when the next thing happens, by the bot or by somebody; None when all is over."""
        known = [at for at in (await self.rehearsal.next_due(), self.residents.next_at()) if at is not None]
        return min(known) if known and min(known) < self.ends else None

    async def step(self) -> datetime | None:
        """Jump to the next thing that happens, and have everybody see it; return when that was, None when all is over."""
        due = await self.next_at()
        if due is None:
            return None
        now = max(due, self.rehearsal.clock.now())
        self.move_to(now)
        self.residents.act(now)
        await self.rehearsal.settle()
        self.residents.look(now)
        return now

    def move_to(self, instant: datetime) -> None:
        """Set both clocks, the bot's and the messaging server's."""
        self.rehearsal.clock.move_to(instant)
        self.server.clock.set(instant)


@contextlib.asynccontextmanager
async def opened(
    caseload: Caseload,
    library: Library,
    starts: datetime,
    ends: datetime,
    residents: Callable[[MessagingServer], R],
) -> AsyncIterator[Stage[R]]:
    """Open a stage for a caseload's people. The bot speaks with the server within this process."""
    server = MessagingServer(limits=Limits.off(), clock=ServerClock(starts))
    for chat_id, name in _phones(caseload):
        server.people.add(chat_id, name)
    with _store_for_a_while() as store:
        with store.write() as uow:
            import_caseload.load(uow, caseload, starts)
        async with rehearsing(store, library, SteppedClock(starts), server) as rehearsal:
            await rehearsal.settle()
            stage = Stage(caseload, starts, ends, store, library, server, rehearsal, residents(server))
            stage.residents.look(starts)
            yield stage


def _phones(caseload: Caseload) -> list[tuple[int, str]]:
    """Return chat and name of everybody who has a phone."""
    people: list[TherapistSection | CarerSection] = [
        *caseload.therapists,
        *(carer for family in caseload.families for carer in family.carers),
    ]
    return [(person.chat_id, person.name) for person in people if person.chat_id is not None]


@contextlib.contextmanager
def _store_for_a_while() -> Iterator[Store]:
    with tempfile.TemporaryDirectory(prefix="underwing-stage-") as scratch:
        store = Store.open(f"sqlite:///{scratch}/stage.db", Encryption(Fernet.generate_key().decode()))
        try:
            without_waiting(store.engine)
            migrate.upgrade(store)
            yield store
        finally:
            store.close()


def without_waiting(engine: Engine) -> None:
    """Nobody wants this file after a power cut, so no commit waits for the disk."""

    def connected(connection: object, _record: object) -> None:
        connection.execute("PRAGMA synchronous=OFF")  # type: ignore[attr-defined]

    event.listen(engine, "connect", connected)
    engine.dispose()  # what is open already was opened to wait
