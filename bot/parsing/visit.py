"""Reading when a visit is: "2026-03-12 10:00 45min bring the splint". Pure."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, time
from functools import cache

from bot.parsing.clock import LAST_MINUTE, wall_clock
from bot.parsing.dates import ISO, iso_date
from bot.parsing.word_lists import beginning, either

USUAL_MINUTES = 45
MOST_MINUTES = 480


@cache
def _line() -> re.Pattern[str]:
    at, length, unit = either("visit_line.at"), either("visit_line.for"), beginning("visit_line.minutes")
    return re.compile(
        rf"\s*(?P<day>{ISO})\s+(?:{at}\s+)?(?P<at>\d{{1,2}}[:.h]\d{{2}}(?:\s*(?:am|pm))?)"
        rf"(?:\s+(?:{length}\s+)?(?P<minutes>\d{{1,3}})\s*(?:{unit}\.?|')?(?=\s|$|,))?[\s,]*(?P<note>.*)",
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
    read = _line().fullmatch(text)
    if read is None:
        return None
    day, at = iso_date(read["day"]), wall_clock(read["at"])
    minutes = int(read["minutes"]) if read["minutes"] else USUAL_MINUTES
    if day is None or at is None or at > LAST_MINUTE or not 1 <= minutes <= MOST_MINUTES:
        return None
    return VisitAsked(day, time(at // 60, at % 60), minutes, read["note"].strip())
