"""Minutes and times as people of a language read them."""

from __future__ import annotations

import html
from datetime import date, datetime

from babel.dates import format_date, format_datetime, format_time

from bot.domain.actor import Actor
from bot.domain.people import Family
from bot.features.context import Context
from bot.phrases import Verbatim, Words


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


def actor_named(context: Context, actor: Actor, family: Family, words: Words) -> str:
    """Return by name who did something to a family; by the id where that is all that is left of them."""
    match actor.kind:
        case "therapist":
            therapist = context.uow.therapists.find(actor.id)
            return therapist.name if therapist else actor.id
        case "carer":
            carer = context.uow.carers.find(family.id, actor.id)
            return carer.name if carer else actor.id
        case "caseload_file":
            return words.plain("plan.made_by_file")
        case "server":
            return words.plain("audit.server")


BEGINNING = 120  # characters of a thread's first message that are shown again


def when_shown(instant: datetime, family: Family, words: Words) -> str:
    """Return a local moment as "Tue 3 Mar, 14:05"."""
    return str(format_datetime(family.local(instant), "EEE d MMM, HH:mm", locale=words.language))


def quoted(text: str) -> Verbatim:
    """Return somebody's own words as message HTML, in italics line by line, since markup must not span lines."""
    lines = html.escape(text, quote=False).split("\n")
    return Verbatim("\n".join(f"<i>{line}</i>" if line.strip() else line for line in lines))


def shortened(text: str) -> str:
    """Return the first words of a text, on one line."""
    flat = " ".join(text.split())
    return flat if len(flat) <= BEGINNING else flat[: BEGINNING - 1].rsplit(" ", 1)[0] + "…"
