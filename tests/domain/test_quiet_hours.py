"""A therapist's quiet time."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.domain.quiet_hours import quiet_until

HALIFAX = ZoneInfo("America/Halifax")
NIGHT = time(21), time(7)


def at(day: int, hour: int, minute: int = 0, month: int = 3) -> datetime:
    return datetime(2026, month, day, hour, minute, tzinfo=HALIFAX)


@pytest.mark.parametrize(
    ("now", "until"),
    [
        (at(2, 21), at(3, 7)),
        (at(2, 23, 59), at(3, 7)),
        (at(3, 6, 59), at(3, 7)),
        (at(3, 7), None),
        (at(3, 20, 59), None),
    ],
)
def test_a_night_begins_with_its_first_minute_and_ends_before_its_last(
    now: datetime, until: datetime | None
) -> None:
    assert quiet_until(*NIGHT, now, HALIFAX) == until


def test_a_quiet_time_within_one_day_does_not_reach_into_the_night() -> None:
    assert quiet_until(time(12), time(13), at(2, 12, 30), HALIFAX) == at(2, 13)
    assert quiet_until(time(12), time(13), at(2, 23), HALIFAX) is None


def test_the_night_of_a_clock_change_ends_by_the_wall_clock() -> None:
    # Clocks go forward at 2:00 on 8 March 2026 in Halifax: that night has nine hours.
    until = quiet_until(*NIGHT, at(7, 22), HALIFAX)

    assert until is not None
    assert until.astimezone(UTC) - at(7, 21).astimezone(UTC) == timedelta(hours=9)


@given(
    start=st.times().map(lambda t: t.replace(second=0, microsecond=0)),
    end=st.times().map(lambda t: t.replace(second=0, microsecond=0)),
    now=st.integers(0, 2 * 365 * 24 * 60).map(
        lambda n: datetime(2025, 1, 1, tzinfo=UTC) + timedelta(minutes=n)
    ),
)
def test_the_end_is_always_to_come_and_never_more_than_a_day_and_an_hour_away(
    start: time, end: time, now: datetime
) -> None:
    until = quiet_until(start, end, now, HALIFAX)

    assert until is None or timedelta() < until - now <= timedelta(hours=25)
