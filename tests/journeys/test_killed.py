"""Killed at random moments under traffic: no reply lost, none counted twice, no reminder twice, no concern unsent."""

from __future__ import annotations

import asyncio
import os
import random
import re
from collections import Counter
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from bot.storage.encryption import Encryption, key_in
from bot.storage.store import Store
from bot.storage.tables import concerns, messages, reminders, sessions
from demo.messaging import Fault, Limits, MessagingServer, Person
from tests.conftest import BOTH
from tests.journeys.serving import ServedBot

KILLS = int(os.environ.get("UNDERWING_KILLS", "6"))  # more take some three seconds each
MESSAGES = 10 * KILLS
WORRIES = MESSAGES // 15
FAMILIES = 6
MORNING = datetime.fromisoformat("2026-03-02T07:25:00-04:00")
NAMES = [
    first + second + third
    for third in (
        "",
        "da",
        "fe",
        "gu",
        "ho",
        "jo",
        "pe",
        "qui",
        "sa",
        "tu",
        "ve",
        "wa",
        "xi",
        "yo",
        "za",
        "bri",
        "cle",
    )
    for first in ("Ba", "Do", "Ki", "Lu", "Me", "Ru")
    for second in ("by", "ra", "no", "sel", "ti", "va", "lo", "mi", "na", "ro")
]


def many_families(caseload: dict[str, Any]) -> dict[str, Any]:
    """Several families, so that reminders of many chats fall due while the process is killed."""
    first = caseload["families"][0]
    first["plan"] = {
        **first["plan"],
        "awake": [["07:30", "12:30"]],
        "feeds": [],
        "most_prompts": 12,
        "shortest_gap": 5,
        "activities": [{"activity": "rolling", "target": {"minutes": 12}, "session": [1, 1], "own_gap": 15}],
    }
    caseload["families"] = [
        {
            **first,
            "id": f"f{number}",
            "carers": [{"id": "c1", "chat_id": 6000 + number, "name": f"Carer {number}", "consented": True}],
            "prompts_to": ["c1"],
        }
        for number in range(FAMILIES)
    ]
    return caseload


async def ctx(people: list[Person], stop: asyncio.Event, rng: random.Random) -> list[str]:
    """Write numbered messages at uneven moments; a few hold a worry."""
    said = []
    for number in range(MESSAGES):
        person = people[number % len(people)]
        concern = number % (MESSAGES // WORRIES) == 7
        words = f"her lips look blue, says {NAMES[number]}" if concern else f"tummy time {number + 1} min"
        person.say(words)
        said.append(words)
        await asyncio.sleep(rng.uniform(0.02, 0.45))  # a chat may be written to once a second
    stop.set()
    return said


async def kill_and_restart(bot: ServedBot, stop: asyncio.Event, rng: random.Random) -> int:
    kills = 0
    while not stop.is_set() or kills < KILLS:
        await asyncio.sleep(rng.uniform(0.9, 2.2))
        await bot.kill()
        kills += 1
        await bot.start()
    return kills


@BOTH
@pytest.mark.timeout(110 + 10 * KILLS)
async def test_nothing_is_lost_or_done_twice(database: str, tmp_path: Path, caseload: dict[str, Any]) -> None:
    seed = random.SystemRandom().randrange(10**6)  # a fresh one each run, named where something is found
    rng = random.Random(seed)
    async with MessagingServer(limits=Limits.off(), seed=seed) as server:
        people = [server.people.add(6000 + number, f"Carer {number}") for number in range(FAMILIES)]
        robin = server.people.add(9001, "Robin")
        # A morning as long as the kills, with reminders every few real seconds, a little different in time for each family.
        async with ServedBot(
            tmp_path,
            server.base_url,
            clock=(MORNING, 2400 / KILLS),
            settings={"UNDERWING_DATABASE": database},
        ) as bot:
            await bot.load(many_families(caseload))
            server.faults.add(Fault("handed_twice", probability=0.2, count=1000))
            await bot.start()
            stop = asyncio.Event()
            said, kills = await asyncio.gather(ctx(people, stop, rng), kill_and_restart(bot, stop, rng))
            await server.updates.settled(timeout=30)
            await everything_said(database, tmp_path, server, robin)
            # Each chat takes one message a second, and answers go before reminders: let some of these through.
            await server.people.until(lambda: len(reminders_heard(server)) >= FAMILIES, timeout=60)
            assert await bot.stop() == 0, bot.log()[-2000:]

            store = Store.open(database, Encryption(key_in(tmp_path)))
            with store.read() as uow:
                kept = list(uow.conn.scalars(select(messages.c.text)))
                counted = Counter(
                    uow.conn.scalars(select(sessions.c.minutes).where(sessions.c.state == "counted"))
                )
                raised = list(uow.conn.scalars(select(concerns.c.text)))
                sent = set(uow.conn.scalars(select(reminders.c.id).where(reminders.c.sent_at.is_not(None))))
            store.close()

            assert kills >= KILLS
            assert sorted(kept) == sorted(said)
            plain = [float(re.findall(r"\d+", words)[0]) for words in said if "blue" not in words]
            assert counted == Counter(plain)
            worried = [words for words in said if "blue" in words]
            assert sorted(raised) == sorted(worried)
            heard = " ".join(message.text for message in robin.messages(by_bot=True))
            assert all(words in heard for words in worried)
            copies = reminders_heard(server)
            assert copies
            assert set(copies) <= sent
            assert max(copies.values()) == 1, f"seed {seed}: {copies}"


def reminders_heard(server: MessagingServer) -> Counter[int]:
    """Count, on the messaging server's side, how often each reminder reached a phone."""
    found: Counter[int] = Counter()
    for call in server.record.sent():
        data = re.findall(r"done:(\d+)", str(call.params.get("reply_markup", "")))
        found.update(int(number) for number in data)
    return found


async def everything_said(database: str, data: Path, server: MessagingServer, robin: Person) -> None:
    """Wait until every concern has reached the therapist and every message of a carer was answered."""

    def worries_told() -> bool:
        told = {
            number for m in robin.messages(by_bot=True) for number in re.findall(r"blue, says (\w+)", m.text)
        }
        return len(told) >= WORRIES

    await server.people.until(worries_told, timeout=40)
    store = Store.open(database, Encryption(key_in(data)))
    try:
        for _ in range(200):
            with store.read() as uow:
                if len(list(uow.conn.scalars(select(messages.c.id)))) >= MESSAGES:
                    return
            await asyncio.sleep(0.1)
    finally:
        store.close()
