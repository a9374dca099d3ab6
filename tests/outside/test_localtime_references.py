"""Local time against outside references.

- RFC 5545, 3.3.5 (https://www.rfc-editor.org/rfc/rfc5545#section-3.3.5): its own two examples, and its rule over every
  clock change of every IANA zone from 2020 to 2035, as python-dateutil (resolve_imaginary, enfold) reads the same zone data.
- ISO 8601 weeks: the edge dates of Wikipedia's "ISO week date" (from memory), and dateutil's rrule BYWEEKNO.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta, tzinfo
from functools import cache
from importlib.resources import files
from zoneinfo import ZoneInfo, available_timezones

import pytest
from dateutil import rrule, tz

from scheduling.localtime import (
    clock_stands,
    day_begins,
    days_of_iso_week,
    instant_for,
    iso_week_of,
    minutes_into,
)

NEW_YORK = ZoneInfo("America/New_York")


def test_rfc_5545_a_skipped_time_takes_the_offset_before_the_gap() -> None:
    assert instant_for(date(2007, 3, 11), time(2, 30), NEW_YORK) == datetime(2007, 3, 11, 7, 30, tzinfo=UTC)


def test_rfc_5545_a_time_that_occurs_twice_is_its_first() -> None:
    assert instant_for(date(2007, 11, 4), time(1, 30), NEW_YORK) == datetime(2007, 11, 4, 5, 30, tzinfo=UTC)


@cache
def changes(name: str) -> tuple[datetime, ...]:
    """Return the UTC instants of a zone's clock changes from 2020 to 2035, to the minute."""
    zone = ZoneInfo(name)
    found = []
    at, last = datetime(2020, 1, 1, tzinfo=UTC), datetime(2036, 1, 1, tzinfo=UTC)
    step = timedelta(days=20)  # no zone keeps an offset for less
    while at < last:
        if at.astimezone(zone).utcoffset() != (at + step).astimezone(zone).utcoffset():
            low, high = at, at + step
            while high - low > timedelta(minutes=1):
                middle = low + (high - low) // timedelta(minutes=2) * timedelta(minutes=1)
                same = middle.astimezone(zone).utcoffset() == low.astimezone(zone).utcoffset()
                low, high = (middle, high) if same else (low, middle)
            found.append(high)
        at += step
    return tuple(found)


def outside_instant(local: datetime, zone: tzinfo) -> datetime:
    return tz.resolve_imaginary(tz.enfold(local.replace(tzinfo=zone), fold=0)).astimezone(UTC)


def same_data(name: str) -> tzinfo:
    """Return dateutil's reading of the zone file that the standard library reads."""
    zone = tz.gettz(name)
    return (
        zone if zone is not None else tz.tzfile(str(files("tzdata").joinpath("zoneinfo", *name.split("/"))))
    )


ZONES = sorted(name for name in available_timezones() if name != "localtime")


@cache
def unlike_zones() -> tuple[str, ...]:
    """Return one zone of each that change their clocks at the same instants by as much: most are names for one another."""
    unlike: dict[object, str] = {}
    for name in ZONES:
        zone = ZoneInfo(name)
        at = (datetime(2020, 1, 1, tzinfo=UTC), *changes(name))
        unlike.setdefault(tuple((each, each.astimezone(zone).utcoffset()) for each in at), name)
    return tuple(unlike.values())


def test_the_zones_change_their_clocks_thousands_of_times() -> None:
    assert sum(len(changes(name)) for name in ZONES) > 3000
    assert sum(len(changes(name)) for name in unlike_zones()) > 500


def test_every_local_time_around_every_clock_change_agrees_with_dateutil() -> None:
    wrong = []
    for name in unlike_zones():
        zone, outside = ZoneInfo(name), same_data(name)
        for change in changes(name):
            around = change.astimezone(zone).replace(tzinfo=None, second=0, fold=0)
            for minutes in range(-150, 151, 15):
                local = around + timedelta(minutes=minutes)
                ours = instant_for(local.date(), local.time(), zone)
                if ours != outside_instant(local, outside):
                    wrong.append((name, local))

    assert wrong == []


def test_minutes_of_the_days_around_every_clock_change_are_elapsed_minutes() -> None:
    wrong: list[tuple[object, ...]] = []
    for name in unlike_zones():
        zone = ZoneInfo(name)
        for change in changes(name):
            changed = change.astimezone(zone).date()
            for ahead in range(-3, 4):
                day = changed + timedelta(days=ahead)
                for other in (day - timedelta(days=1), day, day + timedelta(days=1)):
                    for at in (0, 90, 150, 720, 1439, 1440):
                        apart = instant_for(other, at, zone) - day_begins(day, zone)
                        if minutes_into(day, other, at, zone) != apart / timedelta(minutes=1):
                            wrong.append((name, day, other, at))
            if clock_stands(changed, zone):
                wrong.append((name, changed, "stands"))

    assert wrong == []


@pytest.mark.parametrize(
    ("day", "week"),
    [
        ("1977-01-01", "1976-W53"),
        ("1977-12-31", "1977-W52"),
        ("1978-01-01", "1977-W52"),
        ("1978-01-02", "1978-W01"),
        ("1979-12-31", "1980-W01"),
        ("1981-12-31", "1981-W53"),
        ("1982-01-03", "1981-W53"),
        ("2005-01-02", "2004-W53"),
        ("2008-12-29", "2009-W01"),
        ("2010-01-03", "2009-W53"),
        ("2020-12-31", "2020-W53"),
        ("2021-01-03", "2020-W53"),
        ("2021-01-04", "2021-W01"),
        ("2024-12-30", "2025-W01"),
        ("2026-12-31", "2026-W53"),
        ("2027-01-03", "2026-W53"),
        ("2027-01-04", "2027-W01"),
    ],
)
def test_published_edge_dates_fall_in_their_iso_week(day: str, week: str) -> None:
    assert iso_week_of(date.fromisoformat(day)) == week
    assert date.fromisoformat(day) in days_of_iso_week(week)


@pytest.mark.parametrize("year", range(2000, 2041))
def test_every_monday_of_a_year_agrees_with_dateutils_week_numbers(year: int) -> None:
    long_year = date(year, 12, 28).isocalendar().week == 53
    for number in range(1, 53 + long_year):
        mondays = rrule.rrule(
            rrule.YEARLY,
            dtstart=datetime(year, 1, 1, tzinfo=UTC),
            until=datetime(year, 12, 31, tzinfo=UTC),
            byweekno=number,
            byweekday=rrule.MO,
            wkst=rrule.MO,
        )
        inside = [each.date() for each in mondays if each.date() + timedelta(days=3) <= date(year, 12, 31)]
        week = days_of_iso_week(f"{year}-W{number:02d}")
        if week[0].year == year:
            assert inside == [week[0]]
        assert iso_week_of(week[0]) == iso_week_of(week[6]) == f"{year}-W{number:02d}"
