"""When a carer is asked how the baby is after an urgent concern, and of what."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.domain.ids import CarerId
from bot.features.concerns import day_after
from tests.features.concerns.cases import NOW, concern

HALIFAX = ZoneInfo("America/Halifax")
WHEN = st.datetimes(datetime(2026, 1, 1), datetime(2026, 12, 31), timezones=st.just(HALIFAX))  # noqa: DTZ001


@pytest.mark.parametrize(
    ("told", "asked"),
    [
        ("2026-03-30 07:59", "2026-03-31 08:00"),
        ("2026-03-30 14:00", "2026-03-31 08:00"),
        ("2026-03-30 23:59", "2026-03-31 08:00"),
        ("2026-03-31 01:59", "2026-03-31 08:00"),
        ("2026-03-31 02:00", "2026-03-31 08:00"),
        ("2026-03-31 02:01", "2026-04-01 08:00"),
        ("2026-03-07 22:00", "2026-03-08 08:00"),  # the clocks go forward in between
    ],
)
def test_the_morning_that_is_asked_on(told: str, asked: str) -> None:
    at = day_after.ask_at(datetime.fromisoformat(told).replace(tzinfo=HALIFAX), HALIFAX)
    assert at == datetime.fromisoformat(asked).replace(tzinfo=HALIFAX)


@given(told=WHEN)
def test_it_is_asked_in_the_morning_within_a_day_and_six_hours(told: datetime) -> None:
    at = day_after.ask_at(told, HALIFAX)
    assert at.astimezone(HALIFAX).time() == day_after.IN_THE_MORNING
    assert timedelta(hours=5) <= at - told <= timedelta(hours=31)  # an hour less where the clocks change


@pytest.mark.parametrize(
    ("values", "asked"),
    [
        ({}, True),
        ({"urgency": "same_day", "state": "seen"}, True),
        ({"state": "answered"}, True),
        ({"urgency": "tell_therapist"}, False),
        ({"state": "wrong"}, False),
        ({"state": "denied"}, False),
        ({"state": "asked"}, False),
        ({"discreet": True}, False),
    ],
)
def test_what_is_asked_about(values: dict[str, object], asked: bool) -> None:
    assert day_after.asked_about(concern(**values)) is asked


def test_many_concerns_of_a_carer_are_one_question() -> None:
    due = [concern(), concern(id=8), concern(id=9, carer_id="c2"), concern(id=10, state="wrong")]
    assert [each.id for each in day_after.to_ask(due)] == [8, 9]


def test_no_reminder_comes_before_the_question_of_an_earlier_day() -> None:
    yesterday = concern(at=NOW - timedelta(days=1))
    assert day_after.of_before([yesterday], NOW, HALIFAX)
    assert not day_after.of_before([concern()], NOW, HALIFAX)
    assert not day_after.of_before([concern(at=NOW - timedelta(days=1), discreet=True)], NOW, HALIFAX)


def test_news_is_of_the_carers_own_newest_recent_concern() -> None:
    old = concern(id=8, at=NOW - day_after.OPEN_FOR - timedelta(minutes=1))
    others = concern(id=9, carer_id="c2")
    told = concern(id=10, urgency="tell_therapist")
    assert day_after.news_of([concern(), old, others, told], CarerId("c1"), NOW) == concern()
    assert day_after.news_of([old, others, told], CarerId("c1"), NOW) is None
