"""What to ask a carer about the told day: at most one change, with the dates that speak for it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from statistics import median_low

from scheduling.learned.candidate import Candidate
from scheduling.learned.edges import Seen
from scheduling.learned.feeds import feed_changes
from scheduling.learned.heard import Sighting, silent_days
from scheduling.learned.moves import moved_sleeps
from scheduling.learned.sleeps import naps_new_or_gone, tells
from scheduling.learned.suggestion import Asked, Evidence, Suggestion, may_ask, ruled_out
from scheduling.plan import Plan

WINDOW = 14
"""Days of which sightings and evidence are counted."""

_TRIED = 12
"""New naps looked at, the best first: what is refused for want of evidence is seldom better further down."""

LEAST_SAID = 250
"""Thousandths by which the sightings of a date must be likelier with a change than without to speak for it; ours, no source."""


def suggest(
    plan: Plan,
    day: date,
    sightings: Sequence[Sighting],
    refused: Sequence[Asked] = (),
    confirmed: Sequence[Asked] = (),
) -> Suggestion | None:
    """Return the one change of the told day that is worth asking on a date, or None.

    sightings: what was heard before the date, any order. refused, confirmed: earlier suggestions;
    one that was not answered counts as refused.
    """
    asked = (*refused, *confirmed)
    if not may_ask(day, asked):
        return None
    silent = silent_days(sightings)
    today = day.toordinal()
    if {today - 1, today - 2} <= silent:
        return None
    recent = sorted(
        (each for each in sightings if today - WINDOW <= each.day < today and each.day not in silent),
        key=lambda each: (each.day, each.minute, each.what),
    )
    found = (
        *_sleeps(plan, today, recent, _settled("awake", asked)),
        *feed_changes(plan, today, [each for each in recent if each.day >= _settled("feeds", asked)]),
    )
    return next(
        (each for each in found if not ruled_out(each.field, each.to_value, day, refused, confirmed)), None
    )


def _settled(field: str, asked: Iterable[Asked]) -> int:
    """Return the first date whose sightings speak of a field: an answer of the carer settles what was heard before it."""
    return max((each.day.toordinal() for each in asked if each.field == field), default=0)


def _sleeps(plan: Plan, today: int, recent: Iterable[Sighting], since: int) -> Iterator[Suggestion]:
    dated = [
        (each.day, seen)
        for each in recent
        if each.day >= since
        and (seen := _seen(each, today))
        and (seen.told or tells(plan.awake, seen.minute))
    ]
    for candidate in _candidates(plan, [seen for _, seen in dated]):
        evidence, about, asleep = _evidence(candidate, dated)
        if evidence.enough:
            yield Suggestion(
                "awake",
                candidate.change,
                plan.awake,
                candidate.awake,
                evidence,
                "asleep" if asleep else "awake",
                about,
                candidate.now,
                candidate.then,
            )


def _candidates(plan: Plan, seen: Sequence[Seen]) -> Iterator[Candidate]:
    """Yield a nap gone before one moved, which what speaks for the first may look like, and a new one last: it changes most."""
    others = naps_new_or_gone(plan.awake, seen)
    yield from [each for each in others if each.change == "nap_gone"]
    yield from moved_sleeps(plan.awake, seen)
    yield from [each for each in others if each.change == "nap_new"][:_TRIED]


def _seen(each: Sighting, today: int) -> Seen | None:
    """Return what a thing heard tells of sleep; a late answer and "later" tell nothing."""
    if each.what in ("asleep", "told_asleep"):
        return Seen(today - each.day, each.minute, True, each.what == "told_asleep")
    if each.taken_up or each.what in ("told_awake", "told_feed", "session"):
        return Seen(today - each.day, each.minute, False, each.what == "told_awake")
    return None


def _evidence(candidate: Candidate, dated: Iterable[tuple[int, Seen]]) -> tuple[Evidence, int, bool]:
    """Return the dates that speak for or against a change, and when and how the baby was mostly seen."""
    balance: dict[int, int] = {}
    speaking: list[Seen] = []
    for day, seen in dated:
        told = candidate.speaks(seen)
        balance[day] = balance.get(day, 0) + told
        if told >= LEAST_SAID:
            speaking.append(seen)
    days = sum(1 for each in balance.values() if each >= LEAST_SAID)
    of = sum(1 for each in balance.values() if abs(each) >= LEAST_SAID)
    if not speaking:
        return Evidence(0, of), 0, True
    asleep = 2 * sum(each.asleep for each in speaking) >= len(speaking)
    about = median_low(sorted(each.minute for each in speaking if each.asleep == asleep))
    return Evidence(days, of), about, asleep
