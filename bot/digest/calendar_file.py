"""Visits and the digest's time as an iCalendar file (RFC 5545) for the therapist's own calendar.

Nicknames alone: a calendar shows on lock screens.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from icalendar import Calendar, Event

from bot.phrases import Words

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
DIGEST_MINUTES = 30


@dataclass(frozen=True, slots=True)
class Visit:
    """A visit. start: aware. minutes: more than 0. off: called off, so that a calendar that holds it strikes it out."""

    id: str
    nickname: str
    start: datetime
    minutes: int
    off: bool = False


@dataclass(frozen=True, slots=True)
class DigestTime:
    """When the clinic's digest goes out each week, on the wall clock of its zone. weekday: English, lower case."""

    weekday: str
    at: time


def calendar_file(
    words: Words,
    *,
    time_zone: str,
    as_of: datetime,
    visits: Sequence[Visit] = (),
    digest: DigestTime | None = None,
) -> bytes:
    """Return the calendar, times in the clinic's zone; the digest repeats weekly from the first one after as_of."""
    zone = ZoneInfo(time_zone)
    calendar = Calendar()
    calendar.add("prodid", "-//Underwing//Underwing//EN")
    calendar.add("version", "2.0")
    for visit in visits:
        title = words.plain("digest.calendar_visit", nickname=visit.nickname)
        event = _event(f"visit-{visit.id}", title, visit.start.astimezone(zone), visit.minutes, as_of)
        if visit.off:
            event.add("status", "CANCELLED")
            event.add("sequence", 1)
        calendar.add_component(event)
    if digest:
        start = _first_digest(digest, as_of.astimezone(zone))
        event = _event("weekly-digest", words.plain("digest.calendar_digest"), start, DIGEST_MINUTES, as_of)
        event.add("rrule", {"freq": "weekly"})
        calendar.add_component(event)
    today = as_of.date()
    calendar.add_missing_timezones(today - timedelta(days=366), today + timedelta(days=3653))
    return bytes(calendar.to_ical())


def _event(uid: str, title: str, start: datetime, minutes: int, as_of: datetime) -> Event:
    event = Event()
    event.add("uid", f"{uid}@underwing")
    event.add("dtstamp", as_of.astimezone(UTC))
    event.add("summary", title)
    event.add("dtstart", start)
    event.add("duration", timedelta(minutes=minutes))
    return event


def _first_digest(digest: DigestTime, now: datetime) -> datetime:
    """Return the first digest at or after now, on the wall clock of now's zone."""
    days = (WEEKDAYS.index(digest.weekday) - now.weekday()) % 7
    day: date = now.date() + timedelta(days=days)
    start = datetime.combine(day, digest.at, tzinfo=now.tzinfo)
    return start if start >= now else start + timedelta(days=7)
