"""What others notice while a caseload's digest, its document and its list of families are made.

    python -m tests.benchmarks.digest_stall [families]        (40 unless told)

The bot runs against the local messaging server, which is a process of its own. Every 5 ms the event loop is looked at,
and one small write after the other is made. Prints the longest time in which the loop did nothing else, the longest
wait of a write, and how long each thing took to arrive. The aims: 50 ms, 100 ms. On a machine that is busy with other
things a process waits in any case: beside the stall of the loop stands what an idle process was made to wait meanwhile.
"""

from __future__ import annotations

import asyncio
import contextlib
import socket
import subprocess
import sys
from collections.abc import Iterator
from datetime import timedelta
from time import perf_counter, thread_time
from typing import Any

import httpx
import structlog

from bot.activities.library import load_library
from bot.clock import SteppedClock
from bot.messenger.api import make_bot
from bot.messenger.parts import Parts
from bot.messenger.serve import load_for_good
from bot.storage.store import Store
from tests.benchmarks.digest_records import DAYS, START, filled

THERAPIST = 9001
LOOK_EVERY = 0.005  # seconds
WITHIN = 120.0

IDLE = f"""
import select, sys, time
longest = 0.0
while not select.select([sys.stdin], [], [], 0)[0]:
    start = time.perf_counter()
    time.sleep({LOOK_EVERY})
    longest = max(longest, time.perf_counter() - start - {LOOK_EVERY})
print(longest)
"""

structlog.configure(logger_factory=structlog.ReturnLoggerFactory())


@contextlib.contextmanager
def messaging_server() -> Iterator[str]:
    """Run the local messaging server in a process; yield where it is."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    arguments = ["--port", str(port), "--no-limits", "--person", f"{THERAPIST}:Robin"]
    process = subprocess.Popen(
        [sys.executable, "-m", "demo.messaging", *arguments], stdout=subprocess.DEVNULL
    )
    try:
        yield f"http://127.0.0.1:{port}"
    finally:
        process.terminate()
        process.wait()


class Therapist:
    """The therapist's phone."""

    def __init__(self, http: httpx.AsyncClient) -> None:
        self._http = http

    async def there(self) -> None:
        for _ in range(400):
            with contextlib.suppress(httpx.TransportError):
                await self._http.get("/people")
                return
            await asyncio.sleep(0.05)
        raise TimeoutError("the messaging server did not start")

    async def do(self, what: str, act: dict[str, Any], kind: str, holds: str) -> None:
        """Do something and print how long it took until the answer was there."""
        before = len(await self._heard())
        start = perf_counter()
        answer = await self._http.post(f"/people/{THERAPIST}/{what}", json=act)
        answer.raise_for_status()
        while perf_counter() - start < WITHIN:
            new = (await self._heard())[before:]
            if any(each["kind"] == kind and holds in (each["text"] or "") for each in new):
                print(f"  {act!s:<40}{perf_counter() - start:8.3f} s")
                return
            await asyncio.sleep(0.1)
        raise TimeoutError(f"no answer to {act}")

    async def _heard(self) -> list[dict[str, Any]]:
        seen = await self._http.get(f"/people/{THERAPIST}/messages")
        return [each for each in seen.json()["messages"] if each["by_bot"]]


async def longest_stall(stopping: asyncio.Event) -> tuple[float, float]:
    """Return the longest time in which the loop did not come round, and the most processor time it took at one go."""
    longest = busiest = 0.0
    while not stopping.is_set():
        start, worked = perf_counter(), thread_time()
        await asyncio.sleep(LOOK_EVERY)
        longest = max(longest, perf_counter() - start - LOOK_EVERY)
        busiest = max(busiest, thread_time() - worked)
    return longest, busiest


@contextlib.contextmanager
def idle_process() -> Iterator[list[float]]:
    """Run a process that does nothing but sleep; its longest delay in seconds is in the list afterwards."""
    process = subprocess.Popen(
        [sys.executable, "-c", IDLE], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    longest: list[float] = []
    try:
        yield longest
    finally:
        output, _ = process.communicate("end\n")
        longest.append(float(output))


async def longest_write(parts: Parts, stopping: asyncio.Event) -> float:
    longest = 0.0
    while not stopping.is_set():
        start = perf_counter()
        await parts.workers.write(lambda uow: uow.families.active_ids())
        longest = max(longest, perf_counter() - start)
        await asyncio.sleep(LOOK_EVERY)
    return longest


async def measured(store: Store, base: str, families: int) -> None:
    bot = make_bot("1000:local-bot", f"{base}/bot", f"{base}/file/bot")
    async with httpx.AsyncClient(base_url=base, timeout=30) as http:
        therapist = Therapist(http)
        await therapist.there()
        await bot.initialize()
        clock = SteppedClock(START + timedelta(days=DAYS))
        load_for_good()
        parts = Parts(store, bot, clock, load_library(), rates=None)
        stopping = asyncio.Event()
        running = [
            asyncio.create_task(part.run(stopping))
            for part in (parts.intake, parts.handler, parts.sender, parts.renderer)
        ]
        for temperature in ("cold", "warm"):
            print(f"{families} families, {temperature}")
            await _look(parts, therapist)
        stopping.set()
        await asyncio.gather(*running)
        await asyncio.to_thread(parts.close)
        await bot.shutdown()


async def _look(parts: Parts, therapist: Therapist) -> None:
    done = asyncio.Event()
    with idle_process() as idle:
        watched = asyncio.gather(longest_stall(done), longest_write(parts, done))
        await therapist.do("say", {"text": "/digest"}, "photo", "Week at a glance")
        await therapist.do("press", {"label": "Document (PDF)"}, "document", "")
        await therapist.do("say", {"text": "/families"}, "text", "Who needs you first")
        done.set()
        (stall, busiest), write = await watched
    print(f"  {'(an idle process waited)':<40}{idle[0] * 1000:8.0f} ms")
    print(f"  {'longest stall of the loop':<40}{stall * 1000:8.0f} ms")
    print(f"  {'most work of the loop at one go':<40}{busiest * 1000:8.0f} ms")
    print(f"  {'longest wait of another write':<40}{write * 1000:8.0f} ms")


def run(families: int) -> None:
    with filled(families) as store, messaging_server() as base:
        asyncio.run(measured(store, base, families))


if __name__ == "__main__":
    run(int(sys.argv[1]) if len(sys.argv) > 1 else 40)
