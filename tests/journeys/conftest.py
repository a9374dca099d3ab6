"""A clinic in a box: the real bot on a stepped clock, over HTTP with the local messaging server."""

from __future__ import annotations

import copy
from collections.abc import AsyncIterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from bot.activities.library import load_library
from bot.clock import SteppedClock
from bot.storage import import_caseload
from bot.storage.caseload_file import caseload_from
from bot.storage.store import Store
from demo.messaging import Limits, MessageView, MessagingServer, Person
from demo.rehearsal import Rehearsal, rehearsing

HALIFAX = ZoneInfo("America/Halifax")
MONDAY = datetime(2026, 3, 2, 6, 0, tzinfo=HALIFAX)

CASELOAD: dict[str, Any] = {
    "clinic": {
        "name": "Harbour Arm Clinic",
        "time_zone": "America/Halifax",
        "emergency_line": "555 0199",
        "nurse_line": "555 0100",
        "digest": {"weekday": "sunday", "at": "18:00"},
    },
    "therapists": [{"id": "t1", "chat_id": 9001, "name": "Robin"}],
    "families": [
        {
            "id": "f1",
            "therapist": "t1",
            "plan": {
                "baby": {
                    "nickname": "Pip",
                    "born": "2025-11-20",
                    "gestation_weeks": 39,
                    "affected_side": "right",
                },
                "time_zone": "America/Halifax",
                "awake": [["07:00", "09:00"], ["10:30", "12:30"], ["14:00", "16:00"], ["17:30", "19:30"]],
                "feeds": ["07:10", "10:40", "14:10", "17:40"],
                "quiet": ["20:00", "07:00"],
                "activities": [
                    {
                        "activity": "tummy_time",
                        "target": {"minutes": 40},
                        "session": [5, 10],
                        "after_feed": 30,
                    },
                    {
                        "activity": "football_hold",
                        "target": {"minutes": 15},
                        "session": [5, 5],
                        "side": "alternate",
                    },
                ],
            },
            "carers": [
                {"id": "c1", "chat_id": 5001, "name": "Mum", "consented": True},
                {"id": "c2", "chat_id": 5002, "name": "Grandpa", "language": "es", "consented": True},
            ],
            "prompts_to": ["c1"],
        }
    ],
}


@dataclass
class House:
    """The clinic's whole world in a test."""

    rehearsal: Rehearsal
    store: Store
    server: MessagingServer
    clock: SteppedClock

    def person(self, chat_id: int) -> Person:
        return self.server.people[chat_id]

    @property
    def mum(self) -> Person:
        return self.person(5001)

    @property
    def grandpa(self) -> Person:
        return self.person(5002)

    @property
    def robin(self) -> Person:
        return self.person(9001)

    async def at(self, hour: int, minute: int = 0, *, day: int = 0) -> None:
        """Move on to a local time, `day` days after the first Monday."""
        midnight = MONDAY.replace(hour=0) + timedelta(days=day)
        await self.rehearsal.jump(midnight.replace(hour=hour, minute=minute))

    async def settle(self) -> None:
        await self.rehearsal.settle()

    async def to_first_reminder(self, who: Person | None = None) -> MessageView:
        """Move on to the moment at which the day's first reminder has come."""
        person = who or self.mum
        before = len(self.heard(person))
        while len(self.heard(person)) == before:
            due = await self.rehearsal.next_due()
            assert due is not None
            await self.rehearsal.jump(due)
        return self.heard(person)[-1]

    def heard(self, person: Person) -> list[MessageView]:
        """Return what the bot has said to a person, as it stands now."""
        return person.messages(by_bot=True)

    def last(self, person: Person) -> MessageView:
        return self.heard(person)[-1]

    def texts(self, person: Person) -> list[str]:
        return [message.text or "" for message in self.heard(person)]


async def make_house(
    store: Store, server: MessagingServer, caseload: dict[str, Any], start: datetime
) -> AsyncIterator[House]:
    library = load_library()
    checked = caseload_from(caseload, list(library), where="test")
    with store.write() as uow:
        import_caseload.load(uow, checked, start)
    for family in caseload["families"]:
        for carer in family["carers"]:
            if carer.get("chat_id") and carer["chat_id"] not in {person.id for person in server.people}:
                server.people.add(carer["chat_id"], carer["name"])
    for therapist in caseload["therapists"]:
        server.people.add(therapist["chat_id"], therapist["name"])
    clock = SteppedClock(start)
    async with rehearsing(store, library, clock, server) as rehearsal:
        house = House(rehearsal, store, server, clock)
        await house.settle()
        yield house


@pytest.fixture
def caseload() -> dict[str, Any]:
    return copy.deepcopy(CASELOAD)


@pytest.fixture
async def server() -> AsyncIterator[MessagingServer]:
    async with MessagingServer(limits=Limits.off()) as server:
        yield server


@pytest.fixture
async def house(store: Store, server: MessagingServer, caseload: dict[str, Any]) -> AsyncIterator[House]:
    async for house in make_house(store, server, caseload, MONDAY):
        yield house
