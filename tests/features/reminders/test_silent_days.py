"""Which days count as silent."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from bot.features.reminders.inactivity import silent_days

TODAY = date(2026, 3, 10)
DAYS = st.lists(st.integers(0, 30).map(lambda n: TODAY - timedelta(days=n)))


def test_days_with_reminders_after_the_last_word_count_and_today_does_not() -> None:
    days = [date(2026, 3, day) for day in (5, 6, 8, 10)]

    assert silent_days(days, date(2026, 3, 5), TODAY) == 2
    assert silent_days(days, None, TODAY) == 3
    assert silent_days(days, TODAY, TODAY) == 0


@given(prompted=DAYS, heard=st.integers(0, 30))
def test_a_later_word_never_makes_it_more_silent(prompted: list[date], heard: int) -> None:
    earlier, later = TODAY - timedelta(days=heard + 1), TODAY - timedelta(days=heard)

    assert silent_days(prompted, later, TODAY) <= silent_days(prompted, earlier, TODAY) <= len(set(prompted))
