"""Minutes and times as people of a language read them."""

from __future__ import annotations

import html
from datetime import date, datetime, time, tzinfo
from zoneinfo import ZoneInfo

from babel.dates import format_date, format_datetime, format_time

from bot.domain.actor import Actor
from bot.domain.ids import CarerId, TherapistId
from bot.domain.people import Family
from bot.features.context import Context
from bot.parsing.stay import city_of
from bot.phrases import Verbatim, Words


def minutes_shown(minutes: float) -> str:
    """Return minutes as people write them: 12, 1.5."""
    return f"{minutes:g}"


def clock_shown(family: Family, instant: datetime, words: Words) -> str:
    """Return a local time as people of that language read it: 4:30 PM, 16:30."""
    return time_shown(family.local(instant).time(), words)


def minute_shown(minute: int, words: Words) -> str:
    """Return a minute of the day, 0 to 1440, as people of that language read it; 24:00 is midnight."""
    return time_shown(time(minute // 60 % 24, minute % 60), words)


def time_shown(at: time, words: Words) -> str:
    """Return a time of day as people of that language read it."""
    return str(format_time(at, words.plain("format.clock"), locale=words.locale))


def wall_clock_shown(minute: int) -> str:
    """Return a minute of the day by the clock of 24 hours, as a therapist types it: 07:30, 24:00."""
    return f"{minute // 60:02d}:{minute % 60:02d}"


def day_shown(day: date, words: Words) -> str:
    """Return a date with its weekday: "Tuesday 3 March", "martes 3 de marzo"."""
    return str(format_date(day, words.plain("format.day"), locale=words.locale))


def short_day_shown(day: date, words: Words) -> str:
    """Return a date with its weekday in few letters: "Tue 3 Mar"."""
    return str(format_date(day, words.plain("format.short_day"), locale=words.locale))


def date_shown(day: date, words: Words) -> str:
    """Return a date with its year: "3 Mar 2026", "3 mar 2026"."""
    return str(format_date(day, words.plain("format.date"), locale=words.locale))


def actor_named(context: Context, actor: Actor, family: Family, words: Words) -> str:
    """Return by name who did something to a family; by the id where that is all that is left of them."""
    match actor.kind:
        case "therapist":
            therapist = context.uow.therapists.find(TherapistId(actor.id))
            return therapist.name if therapist else actor.id
        case "carer":
            carer = context.uow.carers.find(family.id, CarerId(actor.id))
            return carer.name if carer else actor.id
        case "caseload_file":
            return words.plain("plan.made_by_file")
        case "server":
            return words.plain("audit.server")


BEGINNING = 120  # characters of a thread's first message that are shown again


def when_shown(instant: datetime, family: Family, words: Words, reader: tzinfo | None = None) -> str:
    """Return a family's local moment as "Tue 3 Mar, 2:05 PM"; with the place where the reader's clock shows another time.

    reader: the zone of whoever reads it, where that is not the family.
    """
    shown = str(format_datetime(family.local(instant), words.plain("format.moment"), locale=words.locale))
    place = place_named(family.zone.key, instant, reader, words)
    return words.plain("format.moment_at", moment=shown, place=place) if place else shown


def place_named(zone: str, instant: datetime, reader: tzinfo | None, words: Words) -> str | None:
    """Return the city of a zone where its clock and the reader's differ at an instant; None where they agree."""
    same = (
        reader is None
        or instant.astimezone(reader).utcoffset() == instant.astimezone(ZoneInfo(zone)).utcoffset()
    )
    return None if same else city_of(zone, words.language)


def quoted(text: str) -> Verbatim:
    """Return somebody's own words as message HTML, in italics line by line, since markup must not span lines."""
    lines = html.escape(text, quote=False).split("\n")
    return Verbatim("\n".join(f"<i>{line}</i>" if line.strip() else line for line in lines))


def shortened(text: str) -> str:
    """Return the first words of a text, on one line."""
    flat = " ".join(text.split())
    return flat if len(flat) <= BEGINNING else flat[: BEGINNING - 1].rsplit(" ", 1)[0] + "…"
