"""What was heard of a family, and on which dates nothing was."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from typing import Literal, NamedTuple
from zoneinfo import ZoneInfo

Outcome = Literal["done", "asleep", "later", "refused", "no_answer"]
Told = Literal["told_asleep", "told_awake", "told_feed", "session"]

OUTCOMES: frozenset[str] = frozenset({"done", "asleep", "later", "refused", "no_answer"})
TOLD: frozenset[str] = frozenset({"told_asleep", "told_awake", "told_feed", "session"})

TAKEN_UP_WITHIN = timedelta(minutes=30)
"""Ours, no source: what is done later than this was not prompted by the reminder's time."""


class Heard(NamedTuple):
    """What came of one reminder (an outcome), or what a carer said or began unasked.

    at: aware; when the reminder was due, or when it was told or begun. answered_at: None where nobody answered.
    """

    what: Outcome | Told
    at: datetime
    answered_at: datetime | None = None

    @property
    def taken_up(self) -> bool:
        """Say whether the reminder was done and answered within half an hour of its time."""
        return (
            self.what == "done"
            and self.answered_at is not None
            and abs(self.answered_at - self.at) <= TAKEN_UP_WITHIN
        )


class Sighting(NamedTuple):
    """One thing heard, in the family's zone. day: ordinal of the local date. minute: of the wall clock. asked: a reminder."""

    what: Outcome | Told
    day: int
    minute: int
    taken_up: bool
    asked: bool


def heard_before(heard: Iterable[Heard], day: date, zone: ZoneInfo) -> list[Sighting]:
    """Return what was heard before a local date, in the family's zone, in the order given."""
    found = []
    last = day.toordinal()
    for each in heard:
        at = each.at.astimezone(zone)
        on = at.toordinal()
        if on < last:
            what = each.what
            taken_up = what == "done" and each.taken_up
            found.append(Sighting(what, on, at.hour * 60 + at.minute, taken_up, what in OUTCOMES))
    return found


def silent_days(sightings: Sequence[Sighting]) -> set[int]:
    """Return the dates on which reminders were due and nothing at all was answered or told."""
    spoken = {each.day for each in sightings if each.what != "no_answer"}
    return {each.day for each in sightings if each.what == "no_answer"} - spoken
