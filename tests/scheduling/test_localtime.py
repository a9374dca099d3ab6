from __future__ import annotations

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.localtime import (
    days_of_iso_week,
    elapsed_minutes,
    instant_for,
    iso_week_of,
    local_at,
    minutes_into,
)

DUBLIN = ZoneInfo("Europe/Dublin")
SPRING = date(2026, 3, 29)
AUTUMN = date(2026, 10, 25)


def test_a_time_is_an_instant_of_its_zone() -> None:
    assert instant_for(date(2026, 7, 1), time(9), DUBLIN) == datetime(2026, 7, 1, 8, tzinfo=UTC)


def test_midnight_that_ends_a_day_is_the_next_days() -> None:
    assert instant_for(SPRING, 1440, DUBLIN) == instant_for(date(2026, 3, 30), 0, DUBLIN)


def test_a_skipped_time_is_read_with_the_offset_before_the_gap() -> None:
    assert local_at(SPRING, 90, DUBLIN).time() == time(2, 30)
    assert instant_for(SPRING, time(1, 30), DUBLIN) == datetime(2026, 3, 29, 1, 30, tzinfo=UTC)


def test_a_time_that_occurs_twice_is_its_first() -> None:
    assert instant_for(AUTUMN, time(1, 30), DUBLIN) == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    assert instant_for(AUTUMN, time(1, 30, fold=1), DUBLIN) == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)


def test_a_day_has_23_24_or_25_hours() -> None:
    assert [elapsed_minutes(day, 0, 1440, DUBLIN) for day in (SPRING, date(2026, 5, 1), AUTUMN)] == [
        1380,
        1440,
        1500,
    ]


def test_minutes_of_the_evening_before_are_below_zero() -> None:
    assert minutes_into(SPRING, date(2026, 3, 28), 1430, DUBLIN) == -10


def test_a_day_that_a_zone_left_out_has_no_minutes() -> None:
    """Samoa went from 29 to 31 December 2011."""
    apia = ZoneInfo("Pacific/Apia")

    assert elapsed_minutes(date(2011, 12, 30), 0, 1440, apia) == 0


@pytest.mark.parametrize("minutes", [-1, 1441])
def test_minutes_outside_a_day_are_refused(minutes: int) -> None:
    with pytest.raises(ValueError, match="no time of day"):
        instant_for(SPRING, minutes, DUBLIN)


@pytest.mark.parametrize(
    "week", ["2026-W54", "2025-W53", "2026-W00", "2026W10", "2026-W1", "", "26-W10", "2026-W1x"]
)
def test_what_is_no_iso_week_is_refused(week: str) -> None:
    with pytest.raises(ValueError, match="ISO week"):
        days_of_iso_week(week)


@given(day=st.dates(date(1990, 1, 1), date(2100, 1, 1)))
def test_a_day_lies_in_its_own_week_and_the_week_begins_on_monday(day: date) -> None:
    week = days_of_iso_week(iso_week_of(day))

    assert day in week
    assert [each.isoweekday() for each in week] == [1, 2, 3, 4, 5, 6, 7]


@given(day=st.dates(date(2020, 1, 1), date(2035, 12, 31)), minutes=st.integers(0, 1379))
def test_minutes_into_a_day_and_back_are_the_same_minutes(day: date, minutes: int) -> None:
    at = local_at(day, minutes, DUBLIN)

    assert (at.astimezone(UTC) - instant_for(day, 0, DUBLIN)).total_seconds() == minutes * 60
