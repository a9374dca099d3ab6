"""Minutes and times as people of a language read them."""

from __future__ import annotations

from datetime import date, datetime

from babel.dates import format_date, format_time

from bot.phrases import Words
from bot.records.people import Family


def minutes_shown(minutes: float) -> str:
    """Return minutes as people write them: 12, 1.5."""
    return f"{minutes:g}"


def clock_shown(family: Family, instant: datetime, words: Words) -> str:
    """Return a local time as people of that language read it: 4:30 PM, 16:30."""
    wall_clock = family.local(instant).time()
    shown = format_time(wall_clock, "short", locale="es" if words.language == "es" else "en_US")
    return str(shown).replace("\u202f", " ")  # the narrow space before AM and PM is a box on some phones


def day_shown(local_day: date, words: Words) -> str:
    """Return a date with its weekday: "Tuesday, March 3", "martes 3 de marzo"."""
    if words.language == "es":
        return str(format_date(local_day, "EEEE d 'de' MMMM", locale="es"))
    return str(format_date(local_day, "EEEE, MMMM d", locale="en_US"))
