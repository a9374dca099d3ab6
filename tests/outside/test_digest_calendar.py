"""The calendar file against RFC 5545 by way of icalendar's parser, and its recurrence against python-dateutil."""

import itertools
from datetime import time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from dateutil.rrule import rrulestr
from icalendar import Calendar

from bot.digest.calendar_file import DigestTime, Visit, calendar_file
from bot.phrases import words_for
from tests.digest.invented_weeks import MONDAY, at

ZONE = "America/Halifax"
NOW = at(MONDAY, 9)


def events(**what: Any) -> tuple[Any, list[Any]]:
    calendar = Calendar.from_ical(calendar_file(words_for("en"), time_zone=ZONE, as_of=NOW, **what))
    return calendar, list(calendar.walk("VEVENT"))


def test_a_visit_stands_at_its_instant_under_the_nickname_alone() -> None:
    start = at(MONDAY + timedelta(days=3), 10)
    calendar, (event,) = events(visits=[Visit("v1", "Pip", start, 45)])

    assert event.decoded("dtstart") == start
    assert event.decoded("duration") == timedelta(minutes=45)
    assert str(event["summary"]) == "Visit: Pip"
    assert [str(zone["tzid"]) for zone in calendar.walk("VTIMEZONE")] == [ZONE]


def test_the_digest_repeats_at_the_same_wall_clock_time_through_a_clock_change() -> None:
    _, (event,) = events(digest=DigestTime("sunday", time(18)))
    start = event.decoded("dtstart")
    rule = rrulestr(event["rrule"].to_ical().decode(), dtstart=start.replace(tzinfo=ZoneInfo(ZONE)))
    moments = list(itertools.islice(iter(rule), 40))

    # Halifax puts its clocks forward on 8 March 2026, the day of the first digest, and back on 1 November.
    assert start.replace(tzinfo=None).isoformat() == "2026-03-08T18:00:00"
    assert {moment.time() for moment in moments} == {time(18)}
    assert {moment.weekday() for moment in moments} == {6}


@pytest.mark.parametrize(("hour", "first"), [(11, "2026-03-02"), (10, "2026-03-09")])
def test_a_digest_time_that_has_passed_today_starts_next_week(hour: int, first: str) -> None:
    # It is 11:00 in Halifax.
    _, (event,) = events(digest=DigestTime("monday", time(hour)))

    assert event.decoded("dtstart").date().isoformat() == first


def test_lines_are_folded_and_end_as_the_standard_asks() -> None:
    text = calendar_file(
        words_for("es"), time_zone=ZONE, as_of=NOW, visits=[Visit("v1", "Ñandú " * 30, NOW, 30)]
    )

    assert text.endswith(b"END:VCALENDAR\r\n")
    assert all(len(line) <= 75 for line in text.split(b"\r\n"))
