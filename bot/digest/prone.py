"""Time on the tummy: how much of the waking time it was. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from bot.digest.facts import FamilyFacts, PreviousFacts, SessionFact
from bot.digest.figures import Prone

PRONE_ACTIVITIES = frozenset({"tummy_time", "lap_tummy_time", "chest_tummy_time", "forearm_carry"})
"""What counts as time on the tummy: flat, across the lap, on a reclined chest, along the forearm (common practice,
no source). football_hold is left out: it is carried in several ways, not all of them face down, and a share that is
too low does less harm than one that is too high."""

WHO_FLOOR_MINUTES = 30.0
"""A day, for infants not yet mobile. WHO 2019, guidelines on physical activity, sedentary behaviour and sleep."""

AWAKE_SHARE_AIM = 0.5
"""Half of waking time. Common practice for these babies, no source."""


def prone_of(
    facts: FamilyFacts,
    known: frozenset[date],
    previous: PreviousFacts | None,
    previous_known: frozenset[date],
) -> Prone:
    """Return the minutes on the tummy over days with word, and the share of waking time that they are."""
    if not known:
        return Prone(None, None, None, 0, None, _prone_share(previous, previous_known)[1])
    by_day = _prone_minutes(facts.sessions)
    awake, share = _prone_share(facts, known)
    return Prone(
        minutes=sum(by_day.values(), 0.0),
        awake_minutes=awake,
        share=share,
        days=len(known),
        days_at_floor=sum(by_day.get(day, 0.0) >= WHO_FLOOR_MINUTES for day in known),
        previous_share=_prone_share(previous, previous_known)[1],
    )


def _prone_minutes(sessions: Sequence[SessionFact]) -> dict[date, float]:
    by_day: dict[date, float] = {}
    for session in sessions:
        if session.activity in PRONE_ACTIVITIES:
            by_day[session.date] = by_day.get(session.date, 0.0) + (session.minutes or 0.0)
    return by_day


def _prone_share(
    facts: FamilyFacts | PreviousFacts | None, known: frozenset[date]
) -> tuple[float | None, float | None]:
    """Return waking minutes and the share of them on the tummy, over days with word and a known day's shape."""
    if facts is None:
        return None, None
    awake = {
        day.date: day.awake_minutes * day.part
        for day in facts.days
        if day.date in known and day.awake_minutes is not None
    }
    total = sum(awake.values(), 0.0)
    if not total:
        return None, None
    by_day = _prone_minutes(facts.sessions)
    return total, sum(minutes for day, minutes in by_day.items() if day in awake) / total
