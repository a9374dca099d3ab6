"""One family's date as minutes: where the hard rules of the plan and the log leave room for a session.

All times here are elapsed minutes since the local day began, so that a day of 23 or 25 hours needs no care further on.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from math import ceil, floor
from zoneinfo import ZoneInfo

from scheduling.localtime import minutes_into
from scheduling.plan import Activity, MinutesADay, MomentName, Plan, ShareOfAwake, Target, TimesADay

Opening = tuple[int, int, int]
"""(first, last, end): a session may start at any whole minute from first to last and must end by `end`."""

LATE = 10**6
"""Later than anything in a day."""


@dataclass(frozen=True, slots=True)
class DayShape:
    """spans: awake spans, in order. feeds: sorted, the days before and after with them. quiet: (from, to) that touch
    the day. moments: name → sorted times. zone: the family's."""

    day: date
    zone: ZoneInfo
    spans: tuple[tuple[int, int], ...]
    feeds: tuple[int, ...]
    quiet: tuple[tuple[int, int], ...]
    moments: dict[MomentName, tuple[int, ...]]

    @property
    def awake_minutes(self) -> int:
        """The elapsed minutes of the awake spans, quiet not taken off."""
        return sum(end - start for start, end in self.spans)


def shape_of(plan: Plan, day: date) -> DayShape:
    """Return the shape of `day`. A span that a clock change leaves nothing of is left out."""
    zone = ZoneInfo(plan.time_zone)

    def at(minute: int, ahead: int = 0) -> int:
        return minutes_into(day, day + timedelta(days=ahead) if ahead else day, minute, zone)

    spans = tuple((at(start), at(end)) for start, end in plan.awake)
    quiet: list[tuple[int, int]] = []
    if plan.quiet:
        start, end = plan.quiet
        over_midnight = int(start > end)
        quiet = [(at(start, ahead), at(end, ahead + over_midnight)) for ahead in range(-over_midnight, 1)]
    return DayShape(
        day=day,
        zone=zone,
        spans=tuple(span for span in spans if span[0] < span[1]),
        feeds=tuple(sorted({at(feed, ahead) for ahead in (-1, 0, 1) for feed in plan.feeds})),
        quiet=tuple(each for each in quiet if each[0] < each[1]),
        moments={name: tuple(sorted({at(minute) for minute in times})) for name, times in plan.moments},
    )


@lru_cache(maxsize=4096)
def _share(share: float, awake: int) -> int:
    return int((Decimal(repr(share)) * awake).quantize(Decimal(1), ROUND_HALF_UP))


def target_amount(target: Target, shape: DayShape) -> float:
    """Return what a target asks of the day: minutes, a share rounded half up, or sessions where it counts times."""
    match target:
        case MinutesADay(minutes):
            return minutes
        case ShareOfAwake(share):
            return _share(share, shape.awake_minutes)
        case TimesADay(times):
            return times


def open_stretches(shape: DayShape, lower: int) -> list[tuple[int, int]]:
    """Return the stretches outside quiet time, each in one awake span, from `lower` on: a session lies in one."""
    stretches = [(max(start, lower), end) for start, end in shape.spans]
    for quiet_from, quiet_to in shape.quiet:
        pieces = [((start, min(end, quiet_from)), (max(start, quiet_to), end)) for start, end in stretches]
        stretches = [piece for pair in pieces for piece in pair if piece[0] < piece[1]]
    return sorted({(start, end) for start, end in stretches if start < end})


def openings_between_feeds(
    stretches: Iterable[tuple[int, int]], feeds: Sequence[int], after_feed: int, before_feed: int, least: int
) -> list[Opening]:
    """Return where a session of at least `least` minutes fits, its distance from every feed kept.

    The feed that a start must be clear of is the last one at or before it; the one that an end must be clear of is
    the first one after the start.
    """
    found: list[Opening] = []
    for start, end in stretches:
        place = bisect_right(feeds, start)
        while True:
            first, stop = start, end
            if place:
                first = max(first, feeds[place - 1] + after_feed)
            following = feeds[place] if place < len(feeds) else LATE
            stop = min(stop, following - before_feed)
            if first <= stop - least:
                found.append((first, stop - least, stop))
            if following >= end:
                break
            start, place = following, place + 1
    return found


def without_starts(openings: list[Opening], after: float, before: float) -> list[Opening]:
    """Return the openings with no start strictly between the two minutes."""
    if all(last <= after or first >= before for first, last, _ in openings):
        return openings
    halves = ((first, min(last, floor(after)), end) for first, last, end in openings)
    rest = ((max(first, ceil(before)), last, end) for first, last, end in openings)
    return sorted({each for each in (*halves, *rest) if each[0] <= each[1]})


def without_sessions(openings: list[Opening], busy_from: float, busy_to: float, least: int) -> list[Opening]:
    """Return the openings with no session of at least `least` minutes over the busy ones."""
    if all(end <= busy_from or first >= busy_to for first, _, end in openings):
        return openings
    stop = floor(busy_from)
    halves = ((first, min(last, stop - least), min(end, stop)) for first, last, end in openings)
    rest = ((max(first, ceil(busy_to)), last, end) for first, last, end in openings)
    return sorted({each for each in (*halves, *rest) if each[0] <= each[1]})


def at_moments(openings: list[Opening], times: Sequence[int]) -> list[Opening]:
    """Return the openings narrowed to the given starts."""
    return [
        (at, at, end)
        for first, last, end in openings
        for at in times[bisect_left(times, first) : bisect_right(times, last)]
    ]


def moment_times(activity: Activity, shape: DayShape) -> dict[int, MomentName]:
    """Return when the activity's moments are; where two fall together, the one the activity names first."""
    times: dict[int, MomentName] = {}
    for name in activity.moments or ():
        for at in shape.moments.get(name, ()):
            times.setdefault(at, name)
    return times
