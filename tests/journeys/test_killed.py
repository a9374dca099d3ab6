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
from sqlalchemy import func, select

from bot.storage.encryption import Encryption, key_in
from bot.storage.store import Store
from bot.storage.tables import concerns, messages, reminders, sessions
from demo.messaging import Fault, Limits, MessagingServer, Person
from tests.conftest import BOTH
from tests.journeys.serving import ServedBot, eventually

KILLS = int(os.environ.get("UNDERWING_KILLS", "4"))  # more take some four seconds each
A_CONCERN_IN = 15  # messages
SPEED = min(
    60.0, 2400 / KILLS
)  # of the clock: the kills fall within a waking day, and no reminder is late at once
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


async def talk(people: list[Person], stop: asyncio.Event, rng: random.Random) -> list[str]:
    """Write numbered messages at uneven moments until `stop`; a few hold a concern."""
    said: list[str] = []
    while not stop.is_set() and len(said) < len(NAMES):
        number = len(said)
        concern = number % A_CONCERN_IN == 7
        words = f"her lips look blue, says {NAMES[number]}" if concern else f"tummy time {number + 1} min"
        people[number % len(people)].say(words)
        said.append(words)
        await asyncio.sleep(rng.uniform(0.05, 1.0))  # a chat may be written to once a second
    return said


async def kill_and_restart(bot: ServedBot, stop: asyncio.Event, rng: random.Random) -> None:
    """Kill at random moments of serving, and one time in five of starting."""
    for _ in range(KILLS):
        if rng.random() < 0.2:
            await asyncio.sleep(rng.uniform(0.1, 1.0))
        else:
            await bot.serving()
            await asyncio.sleep(rng.uniform(0.0, 1.5))
        await bot.kill()
        await bot.start()
    await bot.serving()
    stop.set()


@BOTH
@pytest.mark.timeout(110 + 15 * KILLS)
async def test_nothing_is_lost_or_done_twice(database: str, tmp_path: Path, caseload: dict[str, Any]) -> None:
    seed = random.SystemRandom().randrange(10**6)  # a fresh one each run, named where something is found
    rng = random.Random(seed)
    async with MessagingServer(limits=Limits.off(), seed=seed) as server:
        people = [server.people.add(6000 + number, f"Carer {number}") for number in range(FAMILIES)]
        robin = server.people.add(9001, "Robin")
        # A morning with reminders every few real seconds, a little different in time for each family.
        async with ServedBot(
            tmp_path,
            server.base_url,
            clock=(MORNING, SPEED),
            settings={"UNDERWING_DATABASE": database},
        ) as bot:
            await bot.load(many_families(caseload))
            server.faults.add(Fault("handed_twice", probability=0.2, count=1000))
            await bot.start()
            stop = asyncio.Event()
            said, _ = await asyncio.gather(talk(people, stop, rng), kill_and_restart(bot, stop, rng))
            await server.updates.settled(timeout=30)
            await everything_said(database, tmp_path, robin, said)
            # Each chat takes one message a second, and answers go before reminders: let some of these through.
            await server.people.until(lambda: len(reminders_heard(server)) >= FAMILIES // 2, timeout=60)
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


async def everything_said(database: str, data: Path, robin: Person, said: list[str]) -> None:
    """Wait until every message was handled and every concern has reached the therapist."""
    store = Store.open(database, Encryption(key_in(data)))

    def all_handled() -> bool:
        with store.read() as uow:
            kept = uow.conn.scalar(select(func.count()).select_from(messages)) or 0
        told = {name for m in robin.messages(by_bot=True) for name in re.findall(r"blue, says (\w+)", m.text)}
        return kept >= len(said) and len(told) >= sum("blue" in words for words in said)

    try:
        await eventually(all_handled, within=60)
    finally:
        store.close()
