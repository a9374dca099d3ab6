"""The last day of a stay against python-dateutil, which no one here wrote (dateutil.parser, dateutil.relativedelta)."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from dateutil import parser, relativedelta
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.parsing.stay import read_until

days = st.dates(date(2026, 1, 1), date(2031, 12, 31))
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@given(today=days, weekday=st.integers(0, 6))
@settings(max_examples=150)
def test_till_a_weekday_is_the_next_one_after_today(today: date, weekday: int) -> None:
    expected = today + relativedelta.relativedelta(days=1, weekday=relativedelta.weekday(weekday))

    assert read_until(f"till {WEEKDAYS[weekday]}", today) == expected


@given(today=days, ahead=st.integers(0, 300))
@settings(max_examples=150)
def test_a_day_and_month_is_the_next_such_date(today: date, ahead: int) -> None:
    end = today + timedelta(days=ahead)
    said = end.strftime("%d %B")
    parsed = parser.parse(said, default=datetime(end.year, 1, 1)).date()  # noqa: DTZ001 - a date alone

    assert read_until(f"until {said}", today) == parsed
