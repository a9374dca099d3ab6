"""A few jobs on APScheduler, each asking the records what is due.

One scheduler job a reminder would be lost on a kill, sent twice by two schedulers, and twice in the autumn hour;
a job that finds due rows is none of this.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from datetime import timedelta

from apscheduler.schedulers.asyncio import AsyncIOScheduler

SHORTEST = 0.05  # real seconds between two beats, however fast the rehearsal clock runs


@dataclass(frozen=True, slots=True)
class PeriodicJob:
    """every: between two beats, by the families' clock. do: one beat; it must not raise."""

    name: str
    every: timedelta
    do: Callable[[], Awaitable[None]]


class Runner:
    """Beats until stopped. speed: how many times as fast as real time the families' clock runs."""

    def __init__(self, jobs: Sequence[PeriodicJob], *, speed: float = 1.0) -> None:
        self._scheduler = AsyncIOScheduler(
            timezone="UTC",
            job_defaults={"coalesce": True, "max_instances": 1, "misfire_grace_time": None},
        )
        for beat in jobs:
            seconds = min(beat.every.total_seconds(), max(SHORTEST, beat.every.total_seconds() / speed))
            self._scheduler.add_job(
                _Beat(beat).once, "interval", seconds=seconds, id=beat.name, name=beat.name
            )

    def start(self) -> None:
        self._scheduler.start()

    def stop(self) -> None:
        """Stop beating. A beat in hand is cancelled: its transaction is rolled back whole and the next start finds
        what is due again."""
        self._scheduler.shutdown(wait=False)


class _Beat:
    """A coroutine method, which the scheduler awaits; a plain function that returns a coroutine it would not."""

    def __init__(self, job: PeriodicJob) -> None:
        self._heartbeat = job

    async def once(self) -> None:
        await self._heartbeat.do()
