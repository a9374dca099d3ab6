"""Many families that each write one line to the same clinic, and what comes on every phone of theirs: no network in between."""

from __future__ import annotations

import copy
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any, Literal

from cryptography.fernet import Fernet

from bot.activities.library import load_library
from bot.clock import SteppedClock
from bot.storage import import_caseload, migrate
from bot.storage.caseload_file import caseload_from
from bot.storage.encryption import Encryption
from bot.storage.store import Store
from demo.messaging import Limits, MessageView, MessagingServer, Person
from demo.rehearsal import Rehearsal, rehearsing
from demo.stage import without_waiting
from tests.journeys.conftest import CASELOAD, MONDAY

WRITERS, OTHERS, THERAPIST = 10_000, 20_000, 9001
"""Chats: of the line's number and this. The others are the second carers of the same families."""


@dataclass(frozen=True, slots=True)
class Line:
    """What the first carer of a family writes. reminded: the family gets reminders, of the arm and of the head."""

    text: str
    language: Literal["en", "es"]
    reminded: bool = False


@dataclass(frozen=True, slots=True)
class Clinic:
    rehearsal: Rehearsal
    server: MessagingServer
    store: Store
    lines: tuple[Line, ...]

    def writer(self, number: int) -> Person:
        return self.server.people[WRITERS + number]

    def other(self, number: int) -> Person:
        return self.server.people[OTHERS + number]

    @property
    def therapist(self) -> Person:
        return self.server.people[THERAPIST]

    async def everybody_writes(self) -> None:
        for number, line in enumerate(self.lines):
            self.writer(number).say(line.text)
        await self.rehearsal.settle()

    async def at(self, hour: int, minute: int = 0, *, day: int = 0) -> None:
        midnight = MONDAY.replace(hour=0) + timedelta(days=day)
        await self.rehearsal.jump(midnight.replace(hour=hour, minute=minute))

    def alerts_of(self, number: int) -> list[MessageView]:
        """Return what the therapist was told of a family; each baby has a name of its own."""
        return [each for each in heard(self.therapist) if nickname(number) in each.text]


def nickname(number: int) -> str:
    return f"Pip-{number:02}."


def heard(person: Person) -> list[MessageView]:
    return person.messages(by_bot=True)


def caseload_of(lines: Sequence[Line]) -> dict[str, Any]:
    caseload = copy.deepcopy(CASELOAD)
    plan = caseload["families"][0]["plan"]
    plan["activities"] = [
        {"activity": "tummy_time", "target": {"minutes": 20}, "session": [5, 10], "after_feed": 30},
        {"activity": "head_turning", "target": {"minutes": 6}, "session": [3, 3], "side": "affected"},
    ]
    caseload["families"] = [
        {
            "id": f"f{number}",
            "therapist": "t1",
            "plan": {**copy.deepcopy(plan), "baby": {**plan["baby"], "nickname": nickname(number)}},
            "carers": [
                {"id": "c1", "chat_id": WRITERS + number, "name": "Mum", "language": line.language, "consented": True},
                {"id": "c2", "chat_id": OTHERS + number, "name": "Dad", "language": line.language, "consented": True},
            ],
            "prompts_to": ["c1", "c2"] if line.reminded else [],
        }
        for number, line in enumerate(lines)
    ]  # fmt: skip
    return caseload


@asynccontextmanager
async def clinic_of(lines: Sequence[Line], folder: Path) -> AsyncIterator[Clinic]:
    """Open a clinic with a family a line, at nine on a Monday morning; nobody has written yet."""
    store = Store.open(f"sqlite:///{folder}/many.db", Encryption(Fernet.generate_key().decode()))
    without_waiting(store.engine)
    server = MessagingServer(limits=Limits.off())
    library, nine = load_library(), MONDAY.replace(hour=9)
    caseload = caseload_from(caseload_of(lines), list(library), where="test")
    try:
        migrate.upgrade(store)
        with store.write() as uow:
            import_caseload.load(uow, caseload, nine)
        for chat_id in [base + n for n in range(len(lines)) for base in (WRITERS, OTHERS)]:
            server.people.add(chat_id, f"Carer {chat_id}")
        server.people.add(THERAPIST, "Robin")
        async with rehearsing(store, library, SteppedClock(nine), server) as rehearsal:
            await rehearsal.settle()
            yield Clinic(rehearsal, server, store, tuple(lines))
    finally:
        store.close()
