"""A therapist's quiet time: which hours it has, and when it ends. Pure."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from scheduling.localtime import instant_for


def quiet_until(start: time, end: time, now: datetime, zone: ZoneInfo) -> datetime | None:
    """Return when the quiet time that holds `now` ends, None where none does. It may pass midnight (start > end)."""
    today = now.astimezone(zone).date()
    for day in (today - timedelta(days=1), today):
        ends_on = day if start < end else day + timedelta(days=1)
        if instant_for(day, start, zone) <= now < instant_for(ends_on, end, zone):
            return instant_for(ends_on, end, zone)
    return None
