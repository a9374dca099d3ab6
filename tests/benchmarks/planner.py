"""How fast days are planned. Prints figures; asserts nothing.

    python -m tests.benchmarks.planner [--families 1000] [--workers 2] [--jobs 1000]

One day: microseconds for an empty, a typical (8 activities, 6 prompts) and a crowded plan (16 activities, 24 prompts), and days too full for all their prompts.
Many families: each planned for one day and its prompts stored, in a stream: worker processes plan, one SQLite writer takes
batches. The naive way beside it, in the same run: one APScheduler job a reminder, kept by its SQLAlchemy store.
"""

from __future__ import annotations

import argparse
import resource
import sqlite3
import tempfile
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from multiprocessing import get_context
from pathlib import Path
from statistics import median
from time import perf_counter, process_time
from typing import Any

from apscheduler.jobstores.sqlalchemy import SQLAlchemyJobStore
from apscheduler.schedulers.background import BackgroundScheduler

from scheduling.case import case_from
from scheduling.plan import Plan, plan_from
from scheduling.planner import plan_day
from tests.outside.crowded_days import crowded_case

DAY = date(2026, 3, 4)
BATCH = 500
NAPS = [["06:30", "08:30"], ["09:30", "11:30"], ["12:30", "14:30"], ["15:30", "17:30"], ["18:00", "20:00"]]
FEEDS = ["06:30", "09:30", "12:30", "15:30", "18:30"]
MOMENTS = {
    "nappy": ["06:45", "09:50", "12:50", "15:50", "19:15"],
    "dressing": ["07:10"],
    "bath": ["19:00"],
    "play": ["10:30", "16:30"],
}


def activity(name: str, minutes: float, session: tuple[int, int], **rest: Any) -> dict[str, Any]:
    return {"activity": name, "target": {"minutes": minutes}, "session": list(session), **rest}


TYPICAL = [
    activity("tummy", 60, (3, 15), after_feed=20, own_gap=60, weight=3),
    activity("range", 12, (3, 4), moments=["nappy"], side="affected"),
    activity("dressing", 5, (5, 5), moments=["dressing"]),
    activity("bath", 10, (5, 10), moments=["bath"]),
    activity("sitting", 20, (5, 10), side="alternate"),
    activity("carrying", 30, (5, 15), side={"affected": 2, "unaffected": 1}),
    activity("looking", 15, (3, 5), moments=["play"]),
    activity("rolling", 10, (3, 5), side="alternate", before_feed=10),
]


def plan_of(activities: list[dict[str, Any]], family: int = 0, **rest: Any) -> Plan:
    """Return a plan of a family; families differ in affected side, first nap and targets."""
    shift = family % 7 * 5
    naps = [[f"06:{30 + shift % 30:02d}", "08:30"], *NAPS[1:]]
    varied = [each | {"target": {"minutes": each["target"]["minutes"] + family % 4}} for each in activities]
    return plan_from(
        {
            "baby": {
                "nickname": "Pip",
                "born": "2026-01-05",
                "gestation_weeks": 39,
                "affected_side": ("left", "right")[family % 2],
            },
            "time_zone": "Europe/Dublin",
            "awake": naps,
            "feeds": FEEDS,
            "moments": MOMENTS,
            "quiet": ["20:00", "06:30"],
            "activities": varied,
            **rest,
        }
    )


def one_day() -> None:
    crowded = [
        each | {"activity": f"{each['activity']}{n}", "own_gap": 45, "side": "alternate"}
        for n in (1, 2)
        for each in TYPICAL
    ]
    kinds = {
        "empty": plan_of([]),
        "typical": plan_of(TYPICAL),
        "crowded": plan_of(crowded, most_prompts=24, shortest_gap=15),
    }
    for name, plan in kinds.items():
        times = []
        for _ in range(15 if name == "crowded" else 200):
            start = perf_counter()
            planned = plan_day(plan, DAY)
            times.append(perf_counter() - start)
        worst = sorted(times)[int(len(times) * 0.95)]
        print(
            f"one day, {name:8}: {len(plan.activities):2} activities, {len(planned.prompts):2} prompts, "
            f"median {median(times) * 1e6:8.0f} us, 95 % {worst * 1e6:8.0f} us"
        )


def too_full() -> None:
    """Plan the days on which not all can stand (tests/outside/crowded_days.py), each once; processor time."""
    times = []
    for seed in range(24):
        case = case_from(crowded_case(seed))
        start = process_time()
        case.planned()
        times.append(process_time() - start)
    print(
        f"one day, too full: 12 activities, up to 24 prompts, median {median(times) * 1e6:8.0f} us, most {max(times) * 1e6:8.0f} us "
        "of processor time"
    )


def rows_of(family: int) -> list[tuple[int, str, str, str | None, int]]:
    planned = plan_day(plan_of(TYPICAL, family), DAY)
    return [
        (family, p.at.astimezone(UTC).isoformat(), p.activity, p.side, p.minutes) for p in planned.prompts
    ]


def planned_rows(families: int, workers: int) -> Iterator[list[tuple[int, str, str, str | None, int]]]:
    if workers == 1:
        yield from map(rows_of, range(families))
        return
    with get_context("fork").Pool(workers) as pool:
        yield from pool.imap(rows_of, range(families), chunksize=100)
        pool.close()
        pool.join()


def processor_seconds() -> float:
    """Return the processor time that this process and its ended children have used."""
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(each.ru_utime + each.ru_stime for each in used)


def many_families(families: int, workers: int, file: Path) -> None:
    """Plan and store one day of each family; rows are committed BATCH families at a time."""
    store = sqlite3.connect(file)
    store.execute("PRAGMA journal_mode=WAL")
    store.execute("PRAGMA synchronous=FULL")
    store.execute(
        "CREATE TABLE reminder (family INTEGER, due TEXT, activity TEXT, side TEXT, minutes INTEGER, "
        "UNIQUE (family, due, activity))"
    )
    start, busy, waiting, prompts = perf_counter(), processor_seconds(), [], 0
    for number, rows in enumerate(planned_rows(families, workers), 1):
        waiting += rows
        prompts += len(rows)
        if number % BATCH == 0 or number == families:
            with store:
                store.executemany("INSERT INTO reminder VALUES (?, ?, ?, ?, ?)", waiting)
            waiting = []
    took = perf_counter() - start
    store.close()
    worked = processor_seconds() - busy
    print(
        f"{families:7} families, {workers} workers: {took:7.2f} s, {took / families * 1e6:6.0f} us a family-day planned and "
        f"stored ({worked / families * 1e6:.0f} us of processor time, all processes), {prompts} prompts, peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB"
    )


def remind() -> None:
    """Stand for the sending of one reminder."""


def one_job_a_reminder(jobs: int, file: Path) -> None:
    """The naive way: book each reminder as a job of its own. Nothing is planned here, only booked."""
    scheduler = BackgroundScheduler(
        jobstores={"default": SQLAlchemyJobStore(url=f"sqlite:///{file}")}, timezone=UTC
    )
    scheduler.start(paused=True)
    first = datetime(2036, 1, 1, tzinfo=UTC)
    start = perf_counter()
    for number in range(jobs):
        scheduler.add_job(remind, "date", run_date=first + timedelta(seconds=number), id=str(number))
    took = perf_counter() - start
    scheduler.shutdown(wait=False)
    print(
        f"{jobs:7} reminders as scheduler jobs: {took:7.2f} s, {took / jobs * 1e6:6.0f} us a reminder booked (none planned)"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument(
        "--families", type=int, nargs="+", default=[200, 1000], help="families to plan, one run each"
    )
    parser.add_argument("--workers", type=int, default=2, help="processes that plan")
    parser.add_argument("--jobs", type=int, default=500, help="reminders to book the naive way")
    options = parser.parse_args()
    one_day()
    too_full()
    with tempfile.TemporaryDirectory() as folder:
        for families in options.families:
            many_families(families, options.workers, Path(folder) / f"{families}.db")
        one_job_a_reminder(options.jobs, Path(folder) / "jobs.db")


if __name__ == "__main__":
    main()
