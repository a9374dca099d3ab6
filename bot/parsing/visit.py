"""Reading when a visit is: "2026-03-12 10:00 45min bring the splint". Pure."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, time

USUAL_MINUTES = 45
MOST_MINUTES = 480

_LINE = re.compile(
    r"\s*(?P<day>\d{4}-\d{2}-\d{2})\s+(?:at\s+|a\s+las\s+)?(?P<hour>\d{1,2})[:.h](?P<minute>\d{2})(?:\s*(?P<half>am|pm))?"
    r"(?:\s+(?:for\s+)?(?P<minutes>\d{1,3})\s*(?:min(?:utes|utos|s)?\.?|'|m)?(?=\s|$|,))?[\s,]*(?P<note>.*)",
    re.IGNORECASE | re.DOTALL,
)


@dataclass(frozen=True, slots=True)
class VisitAsked:
    """day and at: on the clinic's wall clock. note: the therapist's own, "" for none."""

    day: date
    at: time
    minutes: int
    note: str


def visit_asked(text: str) -> VisitAsked | None:
    """Return the visit that a line sets: date, time, minutes (45 unless told), a note. None where it cannot be read."""
    read = _LINE.fullmatch(text)
    if read is None:
        return None
    hour, half = int(read["hour"]), (read["half"] or "").lower()
    if half and not 1 <= hour <= 12:
        return None
    if half:
        hour = hour % 12 + (12 if half == "pm" else 0)
    minutes = int(read["minutes"]) if read["minutes"] else USUAL_MINUTES
    try:
        day, at = date.fromisoformat(read["day"]), time(hour, int(read["minute"]))
    except ValueError:
        return None
    return VisitAsked(day, at, minutes, read["note"].strip()) if 1 <= minutes <= MOST_MINUTES else None
