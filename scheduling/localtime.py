"""Wall clock, elapsed time and ISO weeks.

RFC 5545, 3.3.5: a local time that a clock change skips is read with the offset before the gap; one that
occurs twice is its first showing. This is what `fold=0` of the standard library means.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

ONE_DAY = timedelta(days=1)
DAY_MINUTES = 1440


def instant_for(day: date, at: time | int, zone: ZoneInfo) -> datetime:
    """Return the UTC instant when a wall clock in `zone` shows `at` on `day`.

    at: a time, or minutes of the wall clock, 0 to 1440; 1440 (24:00) is the next day's midnight.

    Raises:
        ValueError: the minutes are below 0 or above 1440.
    """
    if isinstance(at, int):
        if not 0 <= at <= DAY_MINUTES:
            raise ValueError(f"{at} minutes is no time of day: give 0 to {DAY_MINUTES}")
        if at == DAY_MINUTES:
            day, at = day + ONE_DAY, 0
        at = time(at // 60, at % 60)
    return datetime.combine(day, at.replace(fold=0), tzinfo=zone).astimezone(UTC)


@lru_cache(maxsize=65536)
def day_begins(day: date, zone: ZoneInfo) -> datetime:
    """Return the UTC instant of the day's first minute (00:00, or what a clock change makes of it)."""
    return instant_for(day, 0, zone)


@lru_cache(maxsize=65536)
def clock_stands(day: date, zone: ZoneInfo) -> bool:
    """Say whether no clock change touches the day, the day before or the day after.

    Asked at every midnight and noon of the three days: two changes that cancel each other within half a day
    are in no zone's record.
    """
    start = datetime.combine(day - ONE_DAY, time(), tzinfo=zone)
    offset = start.utcoffset()
    return all((start + half * timedelta(hours=12)).utcoffset() == offset for half in range(1, 7))


def minutes_into(day: date, other: date, at: int, zone: ZoneInfo) -> int:
    """Return the elapsed minutes from the beginning of `day` to the wall-clock minute `at` of `other`.

    Negative for a day before. at: minutes of the wall clock, 0 to 1440. Counts real minutes: 120 at 03:00
    of a day whose clock skips 02:00 to 03:00.
    """
    if clock_stands(day, zone) and -1 <= (apart := (other - day).days) <= 1:
        return apart * DAY_MINUTES + at
    return (instant_for(other, at, zone) - day_begins(day, zone)) // timedelta(minutes=1)


def elapsed_minutes(day: date, start: time | int, end: time | int, zone: ZoneInfo) -> int:
    """Return the whole minutes that pass between two wall-clock times of one day; below 0 where end is first."""
    return (instant_for(day, end, zone) - instant_for(day, start, zone)) // timedelta(minutes=1)


def local_at(day: date, minutes: int, zone: ZoneInfo) -> datetime:
    """Return the local time, aware, that is `minutes` after the beginning of `day`."""
    return (day_begins(day, zone) + timedelta(minutes=minutes)).astimezone(zone)


def iso_week_of(day: date) -> str:
    """Return the ISO 8601 week that holds `day`, as "2026-W10"."""
    year, week, _ = day.isocalendar()
    return f"{year:04d}-W{week:02d}"


def days_of_iso_week(week: str) -> tuple[date, ...]:
    """Return the seven dates of an ISO 8601 week, Monday first.

    Raises:
        ValueError: not of the form "2026-W10", or the year has no such week.
    """
    year, found, number = week.partition("-W")
    if not found or len(year) != 4 or len(number) != 2 or not (year + number).isdecimal():
        raise ValueError(f"{week!r} is no ISO week: write it like 2026-W10")
    try:
        monday = date.fromisocalendar(int(year), int(number), 1)
    except ValueError:
        raise ValueError(f"{week!r} is no ISO week: the year {year} has no week {number}") from None
    return tuple(monday + timedelta(days=n) for n in range(7))
