"""Which feature a carer's message goes to, in which order. Pure.

Decided: a message is offered to one feature after the other, and the first that takes it ends the search. A concern is
raised before any of this. A yes or a no answers the newest question. Who was asked something is believed to answer it; then come words about the day, being awake,
thanks, corrections and wishes; what is left is told or asked.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import Literal

from bot.replies.reading import Reading

Taker = Literal[
    "yes_no",
    "thread",
    "written_question",
    "confidence",
    "minutes",
    "entry_question",
    "dialog",
    "older_question",
    "awake",
    "pleasantry",
    "aside",
    "pause",
    "hours",
    "fixed_times",
    "several",
    "correction",
    "frequency",
    "news",
    "entries",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """step: the open dialog of the chat. quotes: the message quotes one of ours. edited: its line is changed in place.

    asleep: reminders are held back for the baby's sleep. entry_waits: an entry of this carer waits for an answer.
    older_question: a bare yes, where a reminder came after what was asked about an entry.
    concern_open: this carer told of something urgent lately that no therapist has closed. speaks_of_alarm: news of it.
    yes_no: words that answer a question of ours with a yes, a no or a button's own words.
    thanks, awake, aside: what the words themselves say. wish: more or fewer reminders. most_a_day: so many a day, and nothing else. hours: when they may come. pause: none for so long. several: one answer for several reminders. fixed_times: they are to stay.
    """

    reading: Reading
    step: str | None = None
    quotes: bool = False
    edited: bool = False
    asleep: bool = False
    entry_waits: bool = False
    thanks: bool = False
    awake: bool = False
    wish: bool = False
    most_a_day: bool = False
    aside: bool = False
    hours: bool = False
    pause: bool = False
    several: bool = False
    fixed_times: bool = False
    older_question: bool = False
    concern_open: bool = False
    speaks_of_alarm: bool = False
    yes_no: bool = False


def takers(situation: Situation) -> tuple[Taker, ...]:
    """Return the features that a message is offered to, the first first; "entries" takes whatever comes."""
    reading = situation.reading
    unworried = reading.concern is None and reading.unclear is None
    order: list[Taker] = []
    if situation.yes_no and unworried and not situation.edited:
        order.append("yes_no")
    if situation.quotes:
        order.append("thread")
    if situation.concern_open and situation.speaks_of_alarm and unworried:
        order.append("news")
    if not situation.edited:
        order += _answered(situation, unworried=unworried)
    if says_nothing(reading):
        if situation.asleep and situation.awake:
            order.append("awake")
        if situation.thanks:
            order.append("pleasantry")
    if not situation.quotes:
        order += _whole_messages(situation)
    if situation.several and unworried and not (situation.quotes or situation.edited):
        order.append("several")
    order.append("correction")
    if situation.wish and not reading.entries and "frequency" not in order:
        order.append("frequency")
    # Not understood, but said while a concern is open: the therapist hears it now, not with the week.
    if situation.concern_open and says_nothing(reading) and "news" not in order:
        order.append("news")
    return (*order, "entries")


def _whole_messages(situation: Situation) -> list[Taker]:
    """Return the features whose messages say nothing else, so that a number in one is no minutes, and a mild doubt no alarm."""
    reading = situation.reading
    mild = reading.unclear is None and (
        reading.concern is None or reading.concern.urgency == "tell_therapist"
    )
    if not mild:
        return []
    order: list[Taker] = []
    if situation.aside:
        order.append("aside")
    if situation.pause:
        order.append("pause")
    if situation.hours:
        order.append("hours")
    if situation.most_a_day:
        order.append("frequency")
    if situation.fixed_times and says_nothing(reading):
        order.append("fixed_times")
    return order


def _answered(situation: Situation, *, unworried: bool) -> list[Taker]:
    """Return the features whose question a message may answer."""
    order: list[Taker] = []
    if situation.step == "question" and not situation.quotes:
        order.append("written_question")
    if situation.quotes or situation.step == "confidence":
        order.append("confidence")
    if not situation.quotes and unworried:
        if situation.step == "minutes":
            order.append("minutes")
        if situation.entry_waits:
            order.append("entry_question")
    order.append("dialog")
    if situation.older_question and not situation.quotes:
        order.append("older_question")
    return order


def says_nothing(reading: Reading) -> bool:
    """Say whether nothing was read from a message, whatever its words."""
    found = (
        reading.entries,
        reading.skipped,
        reading.observations,
        reading.request,
        reading.concern,
        reading.unclear,
    )
    return not any(found)


@dataclass(frozen=True, slots=True)
class Caption:
    """What the words of a file are. only_asks: a question, and nothing that must be done for itself. hold: the one activity they name."""

    only_asks: bool = False
    hold: str | None = None


def caption_of(reading: Reading, named: Collection[str], *, looked_at: bool) -> Caption:
    """Return what the words of a file are. named: activities that they name. looked_at: it is a photo or video, so that a hold named without minutes is what it shows."""
    asks = reading.request is None or reading.request.kind in ("question", "refresher")
    told = any(entry.minutes or entry.times for entry in reading.entries)
    entries = () if looked_at and not told else reading.entries
    return Caption(
        only_asks=asks and says_nothing(replace(reading, request=None, entries=entries)),
        hold=next(iter(named)) if len(named) == 1 else None,
    )


def kinds_said(reading: Reading) -> list[str]:
    """Return by which kinds a message is counted for whoever watches how well messages are understood."""
    parts = {
        "entries": reading.entries,
        "skip": reading.skipped,
        "observations": reading.observations,
        "request": reading.request,
        "concern": reading.concern,
        "asked": reading.unclear,
        "partly_unread": reading.unread,
    }
    found = [kind for kind, part in parts.items() if part]
    return found if not says_nothing(reading) else ["nothing"]


def says_more(reading: Reading) -> bool:
    """Say whether a message logs something or asks for something, so that it is no answer in the carer's own words."""
    wants = reading.request is not None and reading.request.kind not in ("question", "refresher")
    logs = any(entry.minutes or entry.times for entry in reading.entries) and reading.unread is None
    return logs or bool(reading.skipped) or wants or reading.concern is not None


def without_lengths(reading: Reading, *, did: bool = False) -> Reading:
    """Return what was told by somebody who does not know how long it took: each length is asked for.

    did: the words tell that something was done, if not what.
    """
    if did and not (
        reading.entries or reading.skipped or reading.observations or reading.concern or reading.unclear
    ):
        return replace(reading, confirm=True, request=None)
    if not (reading.entries or reading.confirm):
        return reading
    if all(entry.times for entry in reading.entries):
        return reading  # how often needs no clock
    entries = tuple(replace(entry, minutes=None) for entry in reading.entries)
    asks = reading.request is not None and reading.request.kind == "question"
    return replace(reading, entries=entries, confirm=True, request=None if asks else reading.request)
