"""A few jobs on APScheduler, each asking the records what is due.

One scheduler job a reminder would be lost on a kill, sent twice by two schedulers, and twice in the autumn hour;
a job that finds due rows is none of this.

The scheduler goes by the wall clock, which may be set back ten minutes or on a day. Here the jobs go by steady time: a step
of the wall clock books all of them anew, and a job never makes up for runs that the step left out.
"""

from __future__ import annotations

import time
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from apscheduler.schedulers.asyncio import AsyncIOScheduler
from apscheduler.triggers.base import BaseTrigger

SHORTEST = 0.05  # real seconds between two runs, however fast the rehearsal clock goes
WATCH = 0.5  # seconds of steady time between two looks at the wall clock
STEP = 0.25  # seconds by which the wall clock must differ from steady time to count as set
OVERDUE_AFTER = 3  # intervals without a run


@dataclass(frozen=True, slots=True)
class PeriodicJob:
    """every: between two runs, by the families' clock. do: one run; it returns whether it did its work, and must not raise."""

    name: str
    every: timedelta
    do: Callable[[], Awaitable[bool]]


class Runner:
    """Runs jobs until stopped. speed: how many times as fast as real time the families' clock goes.

    wall, steady: seconds since any moment, the one as the wall clock tells and the other without steps.
    """

    def __init__(
        self,
        jobs: Sequence[PeriodicJob],
        *,
        speed: float = 1.0,
        wall: Callable[[], float] = time.time,
        steady: Callable[[], float] = time.monotonic,
    ) -> None:
        self._wall, self._steady = wall, steady
        self._every = {job.name: _real(job.every, speed) for job in jobs}
        self._last_run: dict[str, float] = {}
        self._difference = 0.0
        self._scheduler = AsyncIOScheduler(
            timezone="UTC",
            job_defaults={"coalesce": True, "max_instances": 1, "misfire_grace_time": None},
        )
        for job in jobs:
            self._scheduler.add_job(
                _Run(job, self._ran).once, Steadily(self._every[job.name]), id=job.name, name=job.name
            )

    def start(self) -> None:
        """Run each job after one interval, and from then on. Call it where an event loop runs."""
        self._last_run = dict.fromkeys(self._every, self._steady())
        self._difference = self._wall() - self._steady()
        self._scheduler.start()
        self._watch()

    def stop(self) -> None:
        """Stop running. A run in hand is cancelled: its transaction is rolled back whole and the next start finds
        what is due again."""
        self._watching.cancel()
        self._scheduler.shutdown(wait=False)

    def seconds_since(self) -> dict[str, float]:
        """Return for each job the seconds since it last did its work, or since the start."""
        now = self._steady()
        return {name: now - at for name, at in self._last_run.items()}

    def overdue(self) -> dict[str, float]:
        """Return the jobs that have not done their work for three intervals, with the seconds since."""
        return {
            name: seconds
            for name, seconds in self.seconds_since().items()
            if seconds > OVERDUE_AFTER * self._every[name]
        }

    def _ran(self, name: str) -> None:
        self._last_run[name] = self._steady()

    def _watch(self) -> None:
        difference = self._wall() - self._steady()
        if abs(difference - self._difference) > STEP:
            now = datetime.fromtimestamp(self._wall(), self._scheduler.timezone)
            for name, every in self._every.items():
                due_in = max(0.0, every - (self._steady() - self._last_run[name]))
                self._scheduler.modify_job(name, next_run_time=now + timedelta(seconds=due_in))
        self._difference = difference
        self._watching = self._scheduler._eventloop.call_later(WATCH, self._watch)


class Steadily(BaseTrigger):  # type: ignore[misc]
    """One run an interval, counted from the last: what the wall clock skipped is not made up for."""

    def __init__(self, seconds: float) -> None:
        self._interval = timedelta(seconds=seconds)

    def get_next_fire_time(self, previous_fire_time: datetime | None, now: datetime) -> datetime:
        on_time = (previous_fire_time or now) + self._interval
        return on_time if on_time > now else now + self._interval


def _real(every: timedelta, speed: float) -> float:
    return min(every.total_seconds(), max(SHORTEST, every.total_seconds() / speed))


class _Run:
    """A coroutine method, which the scheduler awaits; a plain function that returns a coroutine it would not."""

    def __init__(self, job: PeriodicJob, ran: Callable[[str], None]) -> None:
        self._job, self._ran = job, ran

    async def once(self) -> None:
        if await self._job.do():
            self._ran(self._job.name)
