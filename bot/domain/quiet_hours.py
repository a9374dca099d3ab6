"""A therapist's quiet time: which hours it has, and when it ends. Pure."""

from __future__ import annotations

import re
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from scheduling.localtime import instant_for

_SPAN = re.compile(
    r"^\s*(\d{1,2})(?:[:.h](\d{2}))?\s*(?:-|–|to|a|hasta)\s*(\d{1,2})(?:[:.h](\d{2}))?\s*$", re.IGNORECASE
)


def read_span(text: str) -> tuple[time, time] | None:
    """Return the two local times of "21:00-07:00" or "21 to 7"; None where the text holds none, or twice the same."""
    found = _SPAN.match(text)
    if found is None:
        return None
    first, first_minute, last, last_minute = (int(part or 0) for part in found.groups())
    if max(first, last) > 23 or max(first_minute, last_minute) > 59:
        return None
    start, end = time(first, first_minute), time(last, last_minute)
    return None if start == end else (start, end)


def quiet_until(start: time, end: time, now: datetime, zone: ZoneInfo) -> datetime | None:
    """Return when the quiet time that holds `now` ends, None where none does. It may pass midnight (start > end)."""
    today = now.astimezone(zone).date()
    for day in (today - timedelta(days=1), today):
        ends_on = day if start < end else day + timedelta(days=1)
        if instant_for(day, start, zone) <= now < instant_for(ends_on, end, zone):
            return instant_for(ends_on, end, zone)
    return None
