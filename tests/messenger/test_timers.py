"""Periodic jobs go by steady time, whatever is done to the wall clock, and a job that stands still is told of."""

from __future__ import annotations

import asyncio
import time
from datetime import datetime, timedelta, tzinfo
from itertools import pairwise

import pytest
from apscheduler.schedulers import base

from scheduling.runner import OVERDUE_AFTER, PeriodicJob, Runner, Steadily
from tests.messenger.conftest import NOW, Edge

EVERY = timedelta(seconds=0.1)


class WallClock:
    """The machine's wall clock, which can be set."""

    def __init__(self) -> None:
        self.offset = 0.0

    def time(self) -> float:
        return time.time() + self.offset

    def as_datetime(self) -> type[datetime]:
        """Return a datetime whose now() shows this clock, for the scheduler."""
        wall = self

        class Shown(datetime):
            @classmethod
            def now(cls, tz: tzinfo | None = None) -> datetime:  # type: ignore[override]
                return datetime.fromtimestamp(wall.time(), tz)

        return Shown


@pytest.mark.parametrize("step", [timedelta(minutes=-10), timedelta(days=1), timedelta(days=-3)])
async def test_jobs_keep_running_when_the_wall_clock_is_set(
    monkeypatch: pytest.MonkeyPatch, step: timedelta
) -> None:
    wall = WallClock()
    monkeypatch.setattr(base, "datetime", wall.as_datetime())
    ran: list[float] = []
    again = asyncio.Event()

    async def do() -> bool:
        ran.append(time.monotonic())
        again.set()
        return True

    runner = Runner([PeriodicJob("job", EVERY, do)], wall=wall.time)
    runner.start()
    try:
        await asyncio.wait_for(again.wait(), timeout=10)
        wall.offset = step.total_seconds()
        for _ in range(5):
            again.clear()
            await asyncio.wait_for(again.wait(), timeout=10)
    finally:
        runner.stop()

    shortest = min(later - sooner for sooner, later in pairwise(ran))
    assert len(ran) >= 6
    assert shortest > EVERY.total_seconds() / 10, "missed runs are not made up for in a burst"


def test_a_day_that_was_skipped_is_not_made_up_for() -> None:
    trigger = Steadily(1.0)
    tomorrow = NOW + timedelta(days=1)

    assert trigger.get_next_fire_time(NOW, NOW + timedelta(seconds=0.2)) == NOW + timedelta(seconds=1)
    assert trigger.get_next_fire_time(NOW, tomorrow) == tomorrow + timedelta(seconds=1)


async def test_a_job_that_does_not_do_its_work_is_overdue_after_three_intervals() -> None:
    steady = [0.0]

    async def fails() -> bool:
        return False

    runner = Runner([PeriodicJob("job", timedelta(seconds=10), fails)], steady=lambda: steady[0])
    runner.start()
    try:
        steady[0] = OVERDUE_AFTER * 10.0
        assert runner.overdue() == {}
        steady[0] += 1.0
        assert runner.overdue() == {"job": 31.0}
    finally:
        runner.stop()


async def test_health_names_the_job_that_stands_still(edge: Edge) -> None:
    steady = [0.0]
    parts = edge.parts
    parts.runner = Runner(parts.periodic_jobs.all(), steady=lambda: steady[0])
    parts.runner.start()
    try:
        assert (await parts.healthy()).problems == {}
        steady[0] = 4.0
        health = await parts.healthy()
    finally:
        parts.runner.stop()

    assert health.problems == {"jobs": "has not run: plan for 4 seconds, remind for 4 seconds"}
    assert health.jobs["upkeep"] == 4.0


async def test_a_run_that_fails_does_not_count_as_a_run(
    clinic: Edge, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("broken on purpose")

    jobs = {job.name: job for job in clinic.parts.periodic_jobs.all()}
    assert await jobs["concerns"].do()
    monkeypatch.setattr("bot.features.concerns.notify.repeat_unseen", broken)

    assert not await jobs["concerns"].do()
