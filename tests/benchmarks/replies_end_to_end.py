"""How many typed replies the whole bot handles a second: python -m tests.benchmarks.replies_end_to_end [CHATS] [ROUNDS].

Every chat says "12 min, turned right twice" (13 in the next round, …) at the same moment. The bot runs as it is served, in a process of its own, on
SQLite, without the limits of sending; the local messaging server runs here. Measured from the first word said to the last
answer that reached its chat. Beside it, in the same run, the library's own polling loop, once with a handler that does
nothing and once with one that answers a fixed line: it confirms what it has not handled, keeps nothing, and is the upper
bound. Figures depend on the machine and on what else it does.
"""

from __future__ import annotations

import asyncio
import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import AsyncExitStack
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from bot.storage.encryption import Encryption, key_in
from bot.storage.store import Store
from demo.messaging import Limits, MessagingServer
from tests.journeys.serving import REPOSITORY, ServedBot

WORDS = "{minutes} min, turned right twice"
FIRST_CHAT = 700_001
NIGHT = datetime.fromisoformat("2026-03-02T01:00:00-04:00")  # no reminder is due for hours
PATIENCE = 180.0  # seconds


@dataclass(frozen=True, slots=True)
class Measured:
    """What one round took. handled, sent: counts. seconds: wall. processor: seconds of the bot's processes."""

    handled: int
    sent: int
    seconds: float
    processor: float

    def __str__(self) -> str:
        return (
            f"{self.handled / self.seconds:7.0f} replies/s  {self.processor / self.handled * 1000:6.2f} ms processor "
            f"a reply  {self.sent / self.seconds:7.0f} sends/s"
        )


def caseload(chats: int) -> dict[str, Any]:
    """A clinic in which every family has one carer, one activity and one chat."""
    return {
        "clinic": {
            "name": "Clinic",
            "time_zone": "America/Halifax",
            "emergency_line": "555 0199",
            "nurse_line": "555 0100",
            "digest": {"weekday": "sunday", "at": "18:00"},
        },
        "therapists": [{"id": "t1", "chat_id": 9001, "name": "Robin"}],
        "families": [_family(number) for number in range(chats)],
    }


def _family(number: int) -> dict[str, Any]:
    carer = {"id": "c1", "chat_id": FIRST_CHAT + number, "name": f"Carer {number}", "consented": True}
    plan = {
        "baby": {
            "nickname": f"Baby {number}",
            "born": "2025-11-20",
            "gestation_weeks": 39,
            "affected_side": "right",
        },
        "time_zone": "America/Halifax",
        "awake": [["08:00", "12:00"]],
        "activities": [{"activity": "tummy_time", "target": {"minutes": 30}, "session": [5, 15]}],
    }
    return {"id": f"f{number}", "therapist": "t1", "plan": plan, "carers": [carer], "prompts_to": ["c1"]}


async def until(true: Callable[[], bool]) -> None:
    ends = time.monotonic() + PATIENCE
    while not true():
        if time.monotonic() > ends:
            raise SystemExit(f"not done within {PATIENCE:.0f} seconds")
        await asyncio.sleep(0.005)


def processor_seconds(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


async def everyone_says(server: MessagingServer, chats: int, words: str, done: Callable[[], bool]) -> float:
    began = time.perf_counter()
    for person in server.people:
        if FIRST_CHAT <= person.id < FIRST_CHAT + chats:
            person.say(words)
    await until(done)
    return time.perf_counter() - began


async def measure_bot(
    chats: int, rounds: int, *, database: str | None = None, workers: int = 1
) -> list[Measured]:
    """Measure the bot on SQLite, or on an empty database at a URL with as many processes."""
    with tempfile.TemporaryDirectory() as folder:
        url = database or f"sqlite:///{Path(folder) / 'underwing.db'}"
        async with MessagingServer(limits=Limits.off()) as server, AsyncExitStack() as running:
            for number in range(chats):
                server.people.add(FIRST_CHAT + number, f"Carer {number}")
            settings = {
                "UNDERWING_BENCHMARK_WITHOUT_LIMITS": "1", "UNDERWING_LOG": "error", "UNDERWING_DATABASE": url,
            }  # fmt: skip
            bots = [
                ServedBot(Path(folder), server.base_url, clock=(NIGHT, 1.0), settings=settings)
                for _ in range(workers)
            ]
            await bots[0].load(caseload(chats))
            for bot in bots:
                await running.enter_async_context(bot)
                await bot.start()
            await planned(Path(folder), url)
            return [await _round(server, bots, chats, 12 + number) for number in range(rounds)]


async def _round(server: MessagingServer, bots: list[ServedBot], chats: int, minutes: int) -> Measured:
    calls, before = len(server.record.calls), sum(processor_seconds(bot.pid) for bot in bots)

    def answered() -> bool:
        new = {call.chat_id for call in server.record.calls[calls:] if call.method == "sendmessage"}
        return len(new) >= chats

    seconds = await everyone_says(server, chats, WORDS.format(minutes=minutes), answered)
    sent = [call for call in server.record.calls[calls:] if call.chat_id is not None]
    return Measured(chats, len(sent), seconds, sum(processor_seconds(bot.pid) for bot in bots) - before)


async def planned(data: Path, url: str) -> None:
    """Wait until the bot has planned every family's day, so that only replies are measured."""
    store = Store.open(url, Encryption(key_in(data)))

    def nothing_to_plan() -> bool:
        with store.read() as uow:
            return not uow.families.to_plan(NIGHT, limit=1) and uow.clinics.find() is not None

    try:
        await until(nothing_to_plan)
        await asyncio.sleep(1.0)
    finally:
        store.close()


async def measure_library(chats: int, *, answers: bool) -> Measured:
    async with MessagingServer(limits=Limits.off()) as server:
        for number in range(chats):
            server.people.add(FIRST_CHAT + number, f"Carer {number}")
        arguments = [server.base_url, server.token, str(chats), "yes" if answers else "no"]
        process = await asyncio.create_subprocess_exec(
            sys.executable, "-m", "tests.benchmarks.library_loop", *arguments,
            cwd=REPOSITORY, stdout=asyncio.subprocess.PIPE,
        )  # fmt: skip
        assert process.stdout is not None
        await server.updates.polled(timeout=30)
        told = asyncio.create_task(process.stdout.readline())
        seconds = await everyone_says(server, chats, WORDS.format(minutes=12), told.done)
        await process.wait()
        sent = sum(call.method == "sendmessage" for call in server.record.calls)
        return Measured(chats, sent, seconds, float(await told))


async def main() -> None:
    given = [int(argument) for argument in sys.argv[1:]]
    chats, rounds = (*given, *(400, 3)[len(given) :])
    print(f"library, empty handler      {await measure_library(chats, answers=False)}")
    library = await measure_library(chats, answers=True)
    print(f"library, one fixed line     {library}")
    found = await measure_bot(chats, rounds)
    for each in found:
        print(f"the bot                     {each}")
    rate = statistics.median(each.handled / each.seconds for each in found)
    print(
        f"\nmedian {rate:.0f} replies/s, {rate * library.seconds / library.handled:.2f} of the library's loop that answers"
    )


if __name__ == "__main__":
    asyncio.run(main())
